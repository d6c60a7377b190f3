//! Why, in sentences.

use super::super::rows::whose;
use super::super::screen::Units;
use super::super::summary::Receiver;
use super::{
    ComesRow, DecisionKind, DecisionRow, EndKind, EndRow, ExplanationRow, GoesRow, ReceiverRow, WayRow,
};
use crate::certainty::Verdict;
use crate::input::ParcelSet;
use crate::wording::{called, percent};

/// Receivers, crossings and parcels that a sentence names.
const NAMED: usize = 4;
/// Parts of the water below this share have no name in a sentence.
const FOLD_BELOW: f64 = 0.005;

/// All that is said of one parcel; as many sentences in every unit.
pub(super) fn sentences(row: &ExplanationRow, parcels: &ParcelSet, units: Units) -> Vec<String> {
    let lot = &parcels.parcels()[parcels.subject()].id;
    let who = called("Parcel", &row.id);
    if row.known_area_m2 <= 0.0 && row.comes.is_none() {
        return vec![format!(
            "{who}: no elevation is known there, or it is smaller than a cell; nothing can be said of it."
        )];
    }
    let mut said = vec![format!("{who}: {}.", in_or_out(row, units))];
    if let Some(comes) = &row.comes {
        said.extend(comes_words(comes, lot, units));
    }
    if let Some(goes) = &row.goes {
        said.extend(goes_words(goes, lot, units));
    }
    if let Some((likelihood, verdict)) = row.likelihood.zip(row.verdict) {
        let verdict = match verdict {
            Verdict::Contributes => "it contributes",
            Verdict::DoesNot => "it does not contribute",
            Verdict::CannotTell => "nobody can tell whether it contributes",
        };
        said.push(format!(
            "On {:.0} % of the equally plausible surfaces water of it reaches the lot: {verdict}.",
            100.0 * likelihood
        ));
    }
    said
}

/// How much of it comes.
fn in_or_out(row: &ExplanationRow, units: Units) -> String {
    let of_it = |area_m2: f64| percent((area_m2 / row.known_area_m2).min(1.0));
    match (&row.comes, &row.goes) {
        (Some(comes), goes) => {
            let how = if goes.is_some() { "partly in" } else { "in" };
            let of_ground = if row.known_area_m2 > 0.0 {
                format!(" ({} of its ground)", of_it(comes.area_m2))
            } else {
                String::new()
            };
            format!(
                "{how}; rain on {} of it{of_ground} reaches the lot, {} of the run-on",
                units.area(comes.area_m2),
                percent(comes.share_of_run_on)
            )
        }
        (None, _) => "out; no rain that falls on it reaches the lot".to_owned(),
    }
}

fn comes_words(comes: &ComesRow, lot: &str, units: Units) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(way) = &comes.way {
        said.push(format!("Its longest way to the lot {}.", way_words(way, units)));
    }
    let shown = comes.crossings.iter().filter(|row| row.area_m2 >= FOLD_BELOW * comes.area_m2).take(NAMED);
    let named: Vec<String> = shown
        .map(|row| format!("crossing {} ({})", row.crossing, percent(row.area_m2 / comes.area_m2)))
        .collect();
    if !named.is_empty() {
        said.push(format!("It enters by {}.", listed(&named)));
    }
    said.extend(match &comes.decision {
        Some(decision) => decision_words(decision, "turn it away", "drains elsewhere", lot, units),
        None => vec!["Nothing on the ground that was read would turn it away.".to_owned()],
    });
    said
}

fn goes_words(goes: &GoesRow, lot: &str, units: Units) -> Vec<String> {
    let to: Vec<String> = shown(&goes.to, |row| row.area_m2, goes.area_m2)
        .map(|row| format!("{} ({})", receiver_words(row), percent(row.area_m2 / goes.area_m2)))
        .collect();
    let ended_m2: f64 = goes.ends.iter().map(|row| row.area_m2).sum();
    let ends: Vec<String> = shown(&goes.ends, |row| row.area_m2, ended_m2)
        .map(|row| format!("{} ({})", end_words(row), percent(row.area_m2 / ended_m2)))
        .collect();
    let ends = if ends.is_empty() { String::new() } else { format!("; in the end {}", listed(&ends)) };
    let mut said =
        vec![format!("Water of {} of it goes elsewhere: {}{ends}.", units.area(goes.area_m2), listed(&to))];
    said.push(format!("From where most of that leaves it, the way {}.", way_words(&goes.way, units)));
    said.extend(match &goes.decision {
        Some(decision) => decision_words(decision, "send it to the lot", "drains to the lot", lot, units),
        None => vec!["Nothing on the ground that was read would send it to the lot.".to_owned()],
    });
    said
}

/// Those that are worth a name.
fn shown<'a, T>(rows: &'a [T], area: impl Fn(&T) -> f64 + 'a, whole_m2: f64) -> impl Iterator<Item = &'a T> {
    rows.iter().filter(move |row| area(row) >= FOLD_BELOW * whole_m2).take(NAMED)
}

fn receiver_words(row: &ReceiverRow) -> String {
    match row.kind {
        Receiver::OffTheData => "over the edge of the data".to_owned(),
        Receiver::Inlet => format!("into {}", called("storm inlet", row.id.as_deref().unwrap_or_default())),
        Receiver::Parcel | Receiver::Unparcelled => format!("onto {}", whose(row.id.as_deref())),
    }
}

fn end_words(row: &EndRow) -> String {
    match row.kind {
        EndKind::OffTheData => "over the edge of the data".to_owned(),
        EndKind::Inlet => format!("into {}", called("storm inlet", row.id.as_deref().unwrap_or_default())),
        EndKind::NotRead => "on over ground that did not have to be read".to_owned(),
    }
}

fn way_words(way: &WayRow, units: Units) -> String {
    let slope = way.slope.map_or(String::new(), |slope| format!(", {} on average", percent(slope)));
    let named: Vec<String> = way.through.iter().take(NAMED).map(|id| whose(id.as_deref())).collect();
    let more = way.through.len().saturating_sub(NAMED);
    let through = match (named.len(), more) {
        (0, _) => String::new(),
        (_, 0) => format!(", over {}", listed(&named)),
        _ => format!(", over {}, and {more} more", named.join(", ")),
    };
    format!("is {} long and falls {}{slope}{through}", units.length(way.length_m), units.level(way.fall_m))
}

/// What decides, what it is held against, and where.
fn decision_words(row: &DecisionRow, turns: &str, drains: &str, lot: &str, units: Units) -> Vec<String> {
    let place = format!("at {:.6}, {:.6}", row.lon, row.lat);
    let on = ground_of(row.on.as_deref(), lot);
    let towards = match row.towards.as_deref() {
        Some(id) if id == lot => "onto the lot".to_owned(),
        id => format!("to {} that {drains}", ground_named(id)),
    };
    let most = if row.spread { "half of it, where it crosses the line spread out," } else { "most of it" };
    let (rise, length) = (units.level(row.rise_m), units.length(row.length_m));
    let decides = match row.kind {
        DecisionKind::OpenSlope => {
            return vec![
                format!(
                    "What decides is the slope alone, no bank or ridge: {length} of low bank or furrow, from {:.6}, {:.6} on, would {turns} ({most} {towards}).",
                    row.dam_lon, row.dam_lat
                ),
                "On an open slope no one height can be held against the error of the elevations.".to_owned(),
            ];
        }
        DecisionKind::Ridge => {
            format!("What decides is ground on {on} {place}: it stands {rise} above the way of the water")
        }
        DecisionKind::PondEdge => {
            format!(
                "What decides is the edge of a hollow on {on} {place}: it stands {rise} above the level to which water fills the hollow"
            )
        }
    };
    let if_changed = format!(
        "If it were lower by more than that, or the water dammed higher by as much at {:.6}, {:.6}, that would {turns}: {most} over {length} {towards}.",
        row.dam_lon, row.dam_lat
    );
    vec![format!("{decides}."), if_changed, error_words(row, units)]
}

/// The rise against the error of the elevations.
fn error_words(row: &DecisionRow, units: Units) -> String {
    let Some(rmse_m) = row.elevation_rmse_m else {
        return "No error of the elevations was given to hold that height against (--elevation-rmse)."
            .to_owned();
    };
    let rmse = units.level(rmse_m);
    if row.within_error == Some(true) {
        format!(
            "The error of the elevations ({rmse}) is as large as that height: these data cannot carry the decision; a level taken on site can."
        )
    } else {
        format!("That height is {:.1} times the error of the elevations ({rmse}).", row.rise_m / rmse_m)
    }
}

fn ground_named(id: Option<&str>) -> String {
    id.map_or_else(|| whose(None), |id| format!("ground of {}", whose(Some(id))))
}

fn ground_of(id: Option<&str>, lot: &str) -> String {
    if id == Some(lot) { "the lot".to_owned() } else { whose(id) }
}

/// Names with commas and a last "and".
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
