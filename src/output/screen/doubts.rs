//! How far the data carry the answer, in a sentence or two, and what speaks against it.

use super::super::summary::Summary;
use super::Units;
use std::fmt::Write;

/// Reasons shown; all of them stand in the files.
const SHOWN: usize = 5;

pub(super) fn data_quality(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    writeln!(text, "\nHow far the data carry it")?;
    writeln!(text, "  {}", summary.data_quality.message.first(units))?;
    let doubts = &summary.doubts;
    doubts.iter().take(SHOWN).try_for_each(|doubt| writeln!(text, "  - {}", doubt.message.first(units)))?;
    match doubts.len().saturating_sub(SHOWN) {
        0 => Ok(()),
        more => writeln!(text, "  and {more} more in summary.json"),
    }
}
