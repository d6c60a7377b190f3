//! How sure the answer is, in sentences.

use super::super::certainty::{CertaintyRow, CrossingSure, ParcelRow};
use super::super::summary::Summary;
use super::Units;
use crate::certainty::Verdict;
use std::fmt::Write;

/// Parcels likelier than this are listed; the file has all.
const LIKELIER_THAN: f64 = 0.05;

pub(super) fn certainty(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let Some(found) = &summary.certainty else { return Ok(()) };
    writeln!(
        text,
        "\nHow sure that is, with elevations off by {} (RMSE)",
        units.depth(found.elevation_rmse_m)
    )?;
    let run_on = &found.run_on_area_m2;
    writeln!(
        text,
        "  Nine in ten of {} equally plausible surfaces give a run-on from {} to {}.",
        found.realisations,
        units.area(run_on.low),
        units.area(run_on.high)
    )?;
    for row in found.parcels.iter().filter(|row| row.likelihood > LIKELIER_THAN) {
        writeln!(text, "  {}", parcel(found, row, units))?;
    }
    let rest = found.parcels.iter().filter(|row| row.likelihood <= LIKELIER_THAN).count();
    if rest > 0 {
        writeln!(text, "  {rest} more on at most {:.0} in 100.", 100.0 * LIKELIER_THAN)?;
    }
    found.crossings.iter().try_for_each(|row| writeln!(text, "  {}", crossing(found, row, units)))
}

fn parcel(found: &CertaintyRow, row: &ParcelRow, units: Units) -> String {
    let verdict = match row.verdict {
        Verdict::Contributes => "contributes",
        Verdict::DoesNot => "does not contribute",
        Verdict::CannotTell => "cannot tell",
    };
    let name = row.id.as_ref().map_or("Land without a parcel".to_owned(), |id| format!("Parcel {id}"));
    format!(
        "{name}: {verdict}. In {} of {} surfaces more than {} of it drains onto the lot{}.",
        row.hits,
        found.realisations,
        units.area(found.floor_m2),
        interval(row.likelihood_interval)
    )
}

fn crossing(found: &CertaintyRow, row: &CrossingSure, units: Units) -> String {
    let wander = row.wander_m.map_or(String::new(), |wander| {
        let farthest = wander.low.abs().max(wander.high.abs());
        format!("; its middle stays within {} in nine of ten", units.length(farthest))
    });
    format!(
        "Crossing {}: there in {} of {} surfaces{}{wander}.",
        row.id,
        row.hits,
        found.realisations,
        interval(row.likelihood_interval)
    )
}

/// What the number of surfaces leaves open.
fn interval([low, high]: [f64; 2]) -> String {
    format!(" (likelihood {:.0} to {:.0} %)", 100.0 * low, 100.0 * high)
}
