//! A sentence in both systems of units.

use super::screen::Units;
use serde::{Serialize, Serializer};

/// A sentence with SI first, and the same with US units first. Files for programs have it in SI.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    si: String,
    us: String,
}

impl Said {
    /// Said in both.
    pub(super) fn of(words: impl Fn(Units) -> String) -> Self {
        Self { si: words(Units::Si), us: words(Units::Us) }
    }

    /// Said in both, where there is something to say.
    pub(super) fn if_any(words: impl Fn(Units) -> Option<String>) -> Option<Self> {
        Some(Self { si: words(Units::Si)?, us: words(Units::Us)? })
    }

    /// Sentences one by one: as many in both.
    pub(super) fn all_of(words: impl Fn(Units) -> Vec<String>) -> Vec<Self> {
        words(Units::Si).into_iter().zip(words(Units::Us)).map(|(si, us)| Self { si, us }).collect()
    }

    /// With these units first.
    #[must_use]
    pub fn first(&self, units: Units) -> &str {
        match units {
            Units::Si => &self.si,
            Units::Us => &self.us,
        }
    }
}

impl Serialize for Said {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.si)
    }
}
