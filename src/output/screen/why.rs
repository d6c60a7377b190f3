//! Why water of some parcels comes to the lot, or doesn't.

use super::super::summary::Summary;
use super::Units;
use std::fmt::Write;

pub(super) fn why(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    if summary.explanations.is_empty() {
        return Ok(());
    }
    writeln!(text, "\nWhy")?;
    for row in &summary.explanations {
        for (place, sentence) in row.message.iter().enumerate() {
            let indent = if place == 0 { "  " } else { "    " };
            writeln!(text, "{indent}{}", sentence.first(units))?;
        }
    }
    Ok(())
}
