//! Whether surface water gets to the storm inlets near the lot, on the screen.

use super::Units;
use crate::output::inlet_access::{BankRow, BesideRow, InletRow, PondsFirstRow};
use crate::output::summary::Summary;
use std::fmt::Write;

/// Inlets shown; all that were looked at stand in the file.
const SHOWN: usize = 3;

/// The nearest inlets.
pub(super) fn inlets(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    if summary.inlets.is_empty() {
        return Ok(());
    }
    let count = summary.inlets.len();
    let only = if count > SHOWN { format!(": {SHOWN} of {count}") } else { String::new() };
    writeln!(text, "\nStorm inlets near the lot{only}")?;
    summary.inlets.iter().take(SHOWN).try_for_each(|row| {
        let [first, more @ ..] = &inlet_words(row, units)[..] else { return Ok(()) };
        writeln!(text, "  {first}")?;
        more.iter().try_for_each(|line| writeln!(text, "    {line}"))
    })
}

/// Whether surface water gets to an inlet: what drains to it, what ponds first, and what is held back beside
/// it.
pub(in crate::output) fn inlet_words(row: &InletRow, units: Units) -> Vec<String> {
    let first = format!("{}, {} from the lot: {}", row.id, units.length(row.distance_m), drains(row, units));
    let ponds = row.ponds_first.as_ref().map(|first| ponds_first(first, units));
    let beside = row.beside.as_ref().map(|beside| besides(beside, units));
    [first].into_iter().chain(ponds).chain(beside).collect()
}

fn drains(row: &InletRow, units: Units) -> String {
    if !row.takes_water {
        return "the ground falls on past it".to_owned();
    }
    let least = if row.complete { "" } else { "at least " };
    format!("the rain of {least}{} drains to it over the ground", units.area(row.area_m2))
}

fn ponds_first(first: &PondsFirstRow, units: Units) -> String {
    let pond = &first.pond;
    format!(
        "water stands {} deep beside it, {} on {}, before it spills in{}",
        units.depth(pond.depth_m),
        units.volume(pond.volume_m3),
        units.area(pond.pond_area_m2),
        cut(&first.bank, units)
    )
}

fn besides(beside: &BesideRow, units: Units) -> String {
    let area = units.area(beside.area_m2);
    if beside.held_back {
        format!("a bank holds back the rain of {area} beside it{}", cut(&beside.bank, units))
    } else {
        format!("the rain of {area} runs past it, with no bank between")
    }
}

/// What would let the water in.
fn cut(bank: &BankRow, units: Units) -> String {
    let sill = if bank.sill_m > 0.0 {
        format!("; it lies {} above the lowest ground there", units.depth(bank.sill_m))
    } else {
        String::new()
    };
    if bank.cut_m <= 0.0 {
        return sill;
    }
    format!(
        "; a cut {} deep over {} would let it in (top of the bank {}){sill}",
        units.depth(bank.cut_m),
        units.length(bank.cut_length_m),
        units.level(bank.top_m)
    )
}
