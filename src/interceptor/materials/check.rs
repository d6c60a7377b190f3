//! Ranges of figures.

use crate::units::OutOfRange;
use std::ops::RangeInclusive;

/// Figures of an entry that can't be: all of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Faults(pub(super) Vec<OutOfRange>);

impl From<OutOfRange> for Faults {
    fn from(fault: OutOfRange) -> Self {
        Self(vec![fault])
    }
}

impl std::fmt::Display for Faults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let all: Vec<String> = self.0.iter().map(OutOfRange::to_string).collect();
        write!(f, "{}", all.join("; "))
    }
}

/// Holds a figure against its range.
pub(super) fn within(
    what: &'static str,
    found: f64,
    range: RangeInclusive<f64>,
    words: &'static str,
) -> Result<(), OutOfRange> {
    if range.contains(&found) { Ok(()) } else { Err(OutOfRange { what, found, range: words }) }
}

/// All that is wrong of what was held against its range.
pub(super) fn all(held: impl IntoIterator<Item = Result<(), OutOfRange>>) -> Result<(), Faults> {
    let wrong: Vec<OutOfRange> = held.into_iter().filter_map(Result::err).collect();
    if wrong.is_empty() { Ok(()) } else { Err(Faults(wrong)) }
}
