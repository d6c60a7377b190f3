//! How sure the answer is, in sentences.

use super::super::certainty::{CertaintyRow, CrossingSure, ParcelRow};
use super::super::rows::whose;
use super::super::summary::Summary;
use super::Units;
use crate::certainty::{Likelihood, Verdict};
use crate::wording::percent;
use std::fmt::Write;

/// Parcels likelier than this are listed; the file has all.
const LIKELIER_THAN: f64 = 0.05;

pub(super) fn certainty(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let Some(found) = &summary.certainty else { return Ok(()) };
    writeln!(
        text,
        "\nHow sure that is, with elevations off by {} (RMSE) and {}",
        units.depth(found.elevation_rmse_m),
        lots_off(found, units)
    )?;
    sentences(found, units).iter().try_for_each(|sentence| writeln!(text, "  {sentence}"))
}

/// How far the lots are taken to be off.
pub(in crate::output) fn lots_off(found: &CertaintyRow, units: Units) -> String {
    if found.parcel_error_m > 0.0 {
        format!("lots off by {} along each axis (RMSE)", units.length(found.parcel_error_m))
    } else {
        "lots in their place".to_owned()
    }
}

/// The run-on, parcels, and crossings, a sentence each.
pub(in crate::output) fn sentences(found: &CertaintyRow, units: Units) -> Vec<String> {
    let run_on = &found.run_on_area_m2;
    let mut said = vec![format!(
        "Nine in ten of {} equally plausible surfaces give a run-on from {} to {}.",
        found.realisations,
        units.area(run_on.low),
        units.area(run_on.high)
    )];
    said.extend(moved_lots(found, units));
    let (likely, rest): (Vec<&ParcelRow>, Vec<&ParcelRow>) =
        found.parcels.iter().partition(|row| row.likelihood > LIKELIER_THAN);
    said.extend(likely.into_iter().map(|row| parcel(found, row, units)));
    if !rest.is_empty() {
        said.push(unlikely(&rest));
    }
    said.extend(asked(found));
    said.push(others(found, units));
    said.extend(found.crossings.iter().map(|row| crossing(found, row, units)));
    said.extend(found.calibration.as_ref().map(|row| row.message.clone()));
    if let Some(settling) = &found.settling {
        said.push(settling.message.first(units).to_owned());
        said.extend(settling.shots.iter().map(|shot| shot.message.first(units).to_owned()));
    }
    said
}

fn parcel(found: &CertaintyRow, row: &ParcelRow, units: Units) -> String {
    let verdict = match row.verdict {
        Verdict::Contributes => "contributes",
        Verdict::DoesNot => "does not contribute",
        Verdict::CannotTell => "cannot tell",
    };
    let name = row.id.as_ref().map_or("Land without a parcel".to_owned(), |id| format!("Parcel {id}"));
    format!(
        "{name}: {verdict}. In {} of {} surfaces more than {} of it drains onto the lot{}, in nine of ten {} to {}{}.",
        row.hits,
        found.realisations,
        units.area(found.floor_m2),
        interval(row.likelihood_interval),
        units.area(row.area_m2.low),
        units.area(row.area_m2.high),
        split(found, row, units)
    )
}

/// That the likelihoods aren't of the elevations alone.
fn moved_lots(found: &CertaintyRow, units: Units) -> Option<String> {
    (found.parcel_error_m > 0.0).then(|| {
        format!(
            "On each surface all lots are moved alike, by a chance way of {} along each axis (RMSE): likelihoods and ranges hold what that does, too. --parcel-error sets it; 0m leaves it out.",
            units.length(found.parcel_error_m)
        )
    })
}

/// Parcels on few surfaces or none, and what none still allows.
fn unlikely(rest: &[&ParcelRow]) -> String {
    let none = rest.iter().filter(|row| row.hits == 0);
    let allowed = none.clone().map(|row| row.likelihood_interval[1]).reduce(f64::max);
    let of_none = allowed.map_or(String::new(), |allowed| {
        format!(
            ", {} of them on none, which doesn't exclude a likelihood of {}",
            none.count(),
            percent(allowed)
        )
    });
    let names: Vec<String> = rest.iter().map(|row| whose(row.id.as_deref())).collect();
    format!("On at most {:.0} in 100: {}{of_none}.", 100.0 * LIKELIER_THAN, names.join(", "))
}

/// Parcels that have no row of their own.
fn others(found: &CertaintyRow, units: Units) -> String {
    let [_, allowed] = Likelihood::new(0, found.realisations).interval();
    format!(
        "No other parcel gives more than {} on any of the {} surfaces, which doesn't exclude a likelihood of {} for one.",
        units.area(found.floor_m2),
        found.realisations,
        percent(allowed)
    )
}

fn crossing(found: &CertaintyRow, row: &CrossingSure, units: Units) -> String {
    let wander = row.wander_m.map_or(String::new(), |wander| {
        format!(
            "; where its water enters on average lies from {} to {} its place on the surface as given, clockwise, in nine of ten of these",
            signed(wander.low, units),
            signed(wander.high, units)
        )
    });
    format!(
        "Crossing {}: on {} of {} surfaces the rain of more than {} enters there{}{wander}.",
        row.id,
        row.hits,
        found.realisations,
        units.area(found.floor_m2),
        interval(row.likelihood_interval)
    )
}

/// A way along the lot line, with its direction.
fn signed(along_m: f64, units: Units) -> String {
    let side = if along_m < 0.0 { "short" } else { "past" };
    format!("{} {side}", units.length(along_m.abs()))
}

/// Between which shares the ranges of the error are split, where that is why nobody can tell: all surfaces together
/// may well agree.
fn split(found: &CertaintyRow, row: &ParcelRow, units: Units) -> String {
    let by_range = || row.likelihood_by_range.iter().zip(&found.ranges_m);
    let least = by_range().min_by(|a, b| a.0.total_cmp(b.0));
    let most = by_range().max_by(|a, b| a.0.total_cmp(b.0));
    let Some(((low, low_m), (high, high_m))) = least.zip(most) else { return String::new() };
    if row.verdict != Verdict::CannotTell || low >= high {
        return String::new();
    }
    let alike = |range_m: f64| {
        if range_m > 0.0 {
            format!("where errors are alike over {}", units.length(range_m))
        } else {
            "where those of neighbouring cells have nothing in common".to_owned()
        }
    };
    format!("; from {} {} to {} {}", percent(*low), alike(*low_m), percent(*high), alike(*high_m))
}

/// What a claim takes, where one of the parcels is open.
fn asked(found: &CertaintyRow) -> Option<String> {
    let [never, always] = found.verdict_limits.map(percent);
    found.parcels.iter().any(|row| row.verdict == Verdict::CannotTell).then(|| {
        format!("To claim that a parcel contributes asks for {always} or more of the surfaces of each range of the error, to deny it for {never} or less.")
    })
}

/// What the number of surfaces leaves open.
fn interval([low, high]: [f64; 2]) -> String {
    format!(" (likelihood {:.0} to {:.0} %)", 100.0 * low, 100.0 * high)
}
