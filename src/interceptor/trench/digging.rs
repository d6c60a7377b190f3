//! What a depth asks for before anybody gets in.

use super::super::profile::{DEEP_M, PROTECTION_M};
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
            Self::Deep => Some(Length::from_m(DEEP_M)),
            Self::Protected => Some(Length::from_m(PROTECTION_M)),
        }
    }
}
