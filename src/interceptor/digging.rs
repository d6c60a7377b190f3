//! What a depth asks for before anybody gets in.

use crate::units::Length;

/// How near to a limit a depth counts as on it, metres: depths come from differences of elevations.
const NOISE_M: f64 = 1e-5;

/// Care that a depth asks for, from less to more.
///
/// A wall may fall at any depth; these are the depths from which rules ask for something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Digging {
    /// Shallower than 1.2 m (4 ft).
    Shallow,
    /// From 1.2 m (4 ft): a way out, and somebody who knows soil looks at the walls.
    ///
    /// # Source
    /// OSHA, 29 CFR 1926.651(c)(2), a way out within 25 ft (from memory).
    Deep,
    /// From 1.5 m (5 ft): walls sloped, shored or shielded, under the rules that most places have.
    ///
    /// # Source
    /// OSHA, 29 CFR 1926.652(a)(1) (from memory).
    Protected,
}

impl Digging {
    /// What a depth asks for.
    #[must_use]
    pub fn to(depth: Length) -> Self {
        let reaches = |limit: Self| limit.from().is_some_and(|limit| depth.as_m() >= limit.as_m() - NOISE_M);
        [Self::Protected, Self::Deep].into_iter().find(|&limit| reaches(limit)).unwrap_or(Self::Shallow)
    }

    /// The depth from which it is so; `None` where every depth is.
    #[must_use]
    pub const fn from(self) -> Option<Length> {
        match self {
            Self::Shallow => None,
            Self::Deep => Some(Length::from_ft(4.0)),
            Self::Protected => Some(Length::from_ft(5.0)),
        }
    }

    /// A warning's code, what may happen or is asked for, and what to do; `None` where every depth is.
    #[must_use]
    pub const fn caution(self) -> Option<[&'static str; 3]> {
        match self {
            Self::Shallow => None,
            Self::Deep => Some([
                "trench-deep",
                "walls of that height can fall and bury somebody",
                "nobody goes in without a ladder close by and a look at the walls by somebody who knows soil; a shallower line needs less",
            ]),
            Self::Protected => Some([
                "trench-protection",
                "its walls must be sloped, shored or shielded before anybody goes in",
                "follow the local rules (in the United States OSHA, 29 CFR 1926.652(a)(1), from memory), and have the protection priced: it is in no bill of ours",
            ]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // 4 ft = 1.2192 m, 5 ft = 1.524 m: on the limit it holds.
    #[test]
    fn deep_trenches_ask_for_care() {
        for (depth_m, expected) in [
            (0.6, Digging::Shallow),
            (1.219, Digging::Shallow),
            (1.2192, Digging::Deep),
            (1.5, Digging::Deep),
            (1.524, Digging::Protected),
            (3.0, Digging::Protected),
        ] {
            assert_eq!(Digging::to(Length::from_m(depth_m)), expected, "{depth_m}");
        }
        assert!(Digging::Shallow.caution().is_none() && Digging::Shallow.from().is_none());
    }
}
