//! What keeps an arrangement from keeping all of the water off the lot.

use super::arrangement::Arrangement;
use super::option::{ALL, DrainOption};
use serde::Serialize;

/// What holds a drain back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Held {
    /// The surface over the trench lets no more in.
    Top,
    /// The holes of its pipe let no more in.
    Holes,
    /// Its stone ends before the part does.
    StoneEnds,
    /// A pipe is full.
    Pipe,
    /// The swale carries no more.
    Swale,
    /// Water passes between the basins, or over their grates.
    Basins,
}

impl Held {
    /// In words, after "limited by".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Top => "the top of its trench, by the lower end of what that takes",
            Self::Holes => "the holes of its pipe",
            Self::StoneEnds => "its stone, which ends before the part does",
            Self::Pipe => "its pipe",
            Self::Swale => "the ground or the rules of its swale",
            Self::Basins => "its basins, between which water passes, or their grates",
        }
    }
}

impl DrainOption {
    /// What limits its share; nothing where it keeps all.
    #[must_use]
    pub fn held_by(&self) -> Option<Held> {
        if self.share() >= ALL {
            return None;
        }
        let (taken, carried) = (self.taken_shares[0], self.carried_share());
        Some(if carried < taken { Held::Pipe } else { self.held_at_the_top() })
    }

    fn held_at_the_top(&self) -> Held {
        match self.arrangement {
            Arrangement::Swale | Arrangement::SwaleOverDrain => Held::Swale,
            Arrangement::Basins => Held::Basins,
            Arrangement::OnePipe | Arrangement::TwoPipes => match &self.intake {
                Some(intake) if intake.shares[0] + self.beyond_share() >= ALL => Held::StoneEnds,
                Some(intake) if intake.holes < intake.takes[0] => Held::Holes,
                _ => Held::Top,
            },
        }
    }
    /// Share of the water that comes where no stone lies any more.
    fn beyond_share(&self) -> f64 {
        self.stone_ends.as_ref().map_or(0.0, |end| end.beyond_share)
    }
}
