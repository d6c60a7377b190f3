//! How far the data carry the answer, in a sentence or two.

use super::super::summary::Summary;
use super::Units;
use std::fmt::Write;

pub(super) fn data_quality(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    writeln!(text, "\nHow far the data carry it")?;
    writeln!(text, "  {}", summary.data_quality.message.first(units))
}
