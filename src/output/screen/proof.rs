//! The water with the line in place, on the screen.

use super::{FOLD_BELOW, Units};
use crate::interceptor::OutletKind;
use crate::interceptor::proof::Balance;
use crate::output::outlets::outlet_name;
use crate::output::proof::{DischargeRow, DischargeTo, PassedRow, ProofRow, ReceivedRow, WayEnd};
use crate::output::rows::{receiver_words, whose};
use crate::output::summary::Summary;
use crate::wording::percent;
use std::fmt::Write;

/// Receivers and contributors that are named; all stand in the file.
const NAMED: usize = 4;
/// A part that takes less than this of what crosses it is told.
const WHOLE: f64 = 0.9995;

/// Balance, what is left, where the water goes instead.
pub(super) fn proof(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let line = &summary.interception_line;
    let (Some(balance), Some(proof)) = (line.balance_m2, &line.proof) else { return Ok(()) };
    writeln!(text, "\nWith the line in place, of the run-on")?;
    balance_words(text, balance, units)?;
    left(text, proof, balance)?;
    for row in proof.taken.iter().filter(|row| row.takes_share < WHOLE) {
        if row.takes_share > 0.0 {
            let by = row.limited_by.as_ref().map_or(String::new(), |by| format!(", limited by {by}"));
            writeln!(
                text,
                "  part {} can carry {} of what crosses it{by}",
                row.part,
                percent(row.takes_share)
            )?;
        } else {
            let why = row.limited_by.as_deref().unwrap_or("no drain of it that can be built");
            writeln!(text, "  part {} takes nothing: {why}", row.part)?;
        }
    }
    discharges(text, proof)?;
    changes(text, proof, units)
}

fn balance_words(text: &mut String, balance: Balance, units: Units) -> std::fmt::Result {
    let rows = [
        (balance.caught_m2, "caught"),
        (balance.left_m2, "left on the lot"),
        (balance.elsewhere_m2, "off the lot again in front of the line"),
    ];
    rows.into_iter().try_for_each(|(m2, what)| {
        writeln!(
            text,
            "  {:>8}  {what}, {}",
            percent(m2 / balance.before_m2.max(f64::MIN_POSITIVE)),
            units.area(m2)
        )
    })
}

fn left(text: &mut String, proof: &ProofRow, balance: Balance) -> std::fmt::Result {
    if balance.left_m2 < FOLD_BELOW * balance.before_m2 {
        return Ok(());
    }
    let rows = proof.left.iter().filter(|row| row.area_m2 >= FOLD_BELOW * balance.left_m2);
    let named: Vec<String> = rows
        .take(NAMED)
        .map(|row| format!("{} {}", percent(row.area_m2 / balance.left_m2), whose(row.id.as_deref())))
        .collect();
    let more = proof.left.len() - named.len();
    let more = if more > 0 { format!(", and {more} more") } else { String::new() };
    writeln!(text, "  what is left comes from: {}{more}", named.join(", "))
}

/// Where the water goes that the parts take; parts that have the same outlet together.
fn discharges(text: &mut String, proof: &ProofRow) -> std::fmt::Result {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    let takes = |part: usize| proof.taken.iter().any(|row| row.part == part && row.takes_share > 0.0);
    for row in proof.discharges.iter().filter(|row| takes(row.part)) {
        let (words, part) = (discharge(row), row.part.to_string());
        match told.iter_mut().find(|(other, _)| *other == words) {
            Some((_, parts)) => parts.push(part),
            None => told.push((words, vec![part])),
        }
    }
    told.iter().try_for_each(|(words, parts)| {
        let label = if parts.len() > 1 { "parts" } else { "part" };
        writeln!(text, "  {label} {}: {words}", parts.join(", "))
    })
}

fn discharge(row: &DischargeRow) -> String {
    let outlet = || {
        let id = row.id.as_deref().unwrap_or_default();
        row.outlet_kind.map_or_else(String::new, |kind| outlet_name(kind, id))
    };
    match row.to {
        DischargeTo::Nowhere => "no outlet yet, counted as taken away".to_owned(),
        DischargeTo::Chamber => "into a chamber, counted as taken away".to_owned(),
        DischargeTo::Inlet => format!("into {}", outlet()),
        DischargeTo::NotRead => {
            format!("let out at {}, where nothing is known of the ground", outlet())
        }
        DischargeTo::Ground => {
            let lot = |lot: &PassedRow| format!("{} ({})", whose(lot.id.as_deref()), percent(lot.share));
            let passes: Vec<String> = row.passes.iter().take(NAMED).map(lot).collect();
            let end = match (row.ends, &row.first_inlet) {
                (_, Some(inlet)) => format!("first inlet on the way: {inlet}"),
                (Some(WayEnd::EdgeOfData), None) => "to the edge of the data without an inlet".to_owned(),
                _ => "no inlet on the ground that was read".to_owned(),
            };
            let into = match row.outlet_kind {
                Some(OutletKind::Ditch | OutletKind::Kerb) => format!("let into {}", outlet()),
                _ => format!("let out onto the ground at {}", outlet()),
            };
            format!("{into}; from there to {}; {end}", passes.join(", "))
        }
    }
}

/// Who receives more, and who less.
fn changes(text: &mut String, proof: &ProofRow, units: Units) -> std::fmt::Result {
    let told = |row: &&ReceivedRow| row.change_m2.abs() > proof.least_change_m2;
    let rows: Vec<&ReceivedRow> = proof.inlets.iter().chain(&proof.received).filter(told).collect();
    let (more, less): (Vec<&ReceivedRow>, Vec<&ReceivedRow>) =
        rows.into_iter().partition(|row| row.change_m2 > 0.0);
    for (label, mut rows) in [("more", more), ("less", less)] {
        if rows.is_empty() {
            continue;
        }
        rows.sort_by(|a, b| b.change_m2.abs().total_cmp(&a.change_m2.abs()));
        let words: Vec<String> = rows
            .iter()
            .take(NAMED)
            .map(|row| format!("{} {}", receiver_words(row), units.area(row.change_m2.abs())))
            .collect();
        let rest = rows.len() - words.len();
        let rest = if rest > 0 { format!(", and {rest} more receivers") } else { String::new() };
        writeln!(text, "  the rain of so much {label} comes to: {}{rest}", words.join(", "))?;
    }
    Ok(())
}
