//! What must be said about a part of the line.

use super::part::{Coverage, LinePart};
use super::propose::LineSettings;
use crate::units::Grade;
use crate::warning::Warning;
use crate::wording::{metres, span};

/// A low point inside the line counts when it lies this far below both ends, and a want of fall when it takes this
/// much depth, metres: about the noise of good elevation data.
const NOISE_M: f64 = 0.05;

/// Warnings about the course of a part: setback, length, unknown ground.
pub(super) fn findings(part: &LinePart, settings: &LineSettings<'_>) -> Vec<Warning> {
    let place = place(part);
    [setback(part, settings, &place), shorter(part, &place), unknown(part, &place)]
        .into_iter()
        .flatten()
        .collect()
}

/// Warnings about a part for which no way to an outlet by gravity is known, so that no drain can be designed: a low point
/// inside, ground flatter than the grade that pipes are sized at, a flow that no pipe carries.
#[must_use]
pub fn without_outlet(part: &LinePart, min_grade: Grade) -> Vec<Warning> {
    let place = place(part);
    [dip(part, &place), flat(part, min_grade, &place), no_pipe(part, &place)].into_iter().flatten().collect()
}

fn place(part: &LinePart) -> String {
    format!("part {} of the line ({} of ring {})", part.id, span(part.from_m, part.to_m), part.ring)
}

fn setback(part: &LinePart, settings: &LineSettings<'_>, place: &str) -> Option<Warning> {
    (part.setback < settings.setback).then(|| {
        Warning::new(
            "setback-reduced",
            format!(
                "{place} keeps {} from the lot line instead of {}: the lot is too narrow there",
                metres(part.setback.as_m(), 2),
                metres(settings.setback.as_m(), 2)
            ),
            "ask for a smaller setback, or agree with the neighbour on a line that serves both lots",
        )
    })
}

fn shorter(part: &LinePart, place: &str) -> Option<Warning> {
    (part.coverage() == Coverage::AtMost).then(|| {
        Warning::new(
            "line-shorter-than-stretch",
            format!(
                "{place} is {} long beside a stretch of {}: water can pass its ends, and its area and flow \
                 are at most what is given",
                metres(part.length.as_m(), 1),
                metres(part.stretch_length().as_m(), 1)
            ),
            "ask for a smaller setback, or lead the line on to the ends of the stretch",
        )
    })
}

fn unknown(part: &LinePart, place: &str) -> Option<Warning> {
    let unknown = part.stations.iter().filter(|s| s.ground_m.is_none()).count();
    (unknown > 0).then(|| {
        Warning::new(
            "ground-unknown-along-line",
            format!("{place} has no elevation at {unknown} of {} stations", part.stations.len()),
            "give elevation data without holes there, or have the line levelled on site",
        )
    })
}

fn dip(part: &LinePart, place: &str) -> Option<Warning> {
    let low = part.stations.get(part.lowest?)?;
    let below_m = part.to_ground_m()? - low.ground_m?;
    (below_m > NOISE_M).then(|| {
        Warning::new(
            "line-dips",
            format!(
                "{place} is lowest at {} from its upper end, {} below its lower end",
                metres(low.station_m, 1),
                metres(below_m, 2)
            ),
            "look for an outlet at the low point: a pipe to the end runs deeper, and a swale would hold water",
        )
    })
}

/// A pipe that falls more than the ground ends deeper than it starts.
fn flat(part: &LinePart, min_grade: Grade, place: &str) -> Option<Warning> {
    let grade = min_grade.get();
    let ground = part.ground_grade()?;
    let deeper_m = (grade - ground) * part.length.as_m();
    (deeper_m > NOISE_M).then(|| {
        Warning::new(
            "ground-flatter-than-grade",
            format!(
                "the ground along {place} falls {:.2} %, less than the {:.2} % that pipes are sized at: a pipe must \
                 lie {} deeper at the lower end than at the upper one",
                ground * 100.0,
                grade * 100.0,
                metres(deeper_m, 2)
            ),
            "make sure that an outlet lies deep enough for the lower end, or ask for a smaller least grade",
        )
    })
}

fn no_pipe(part: &LinePart, place: &str) -> Option<Warning> {
    part.sizing.as_ref().filter(|sizing| sizing.pipe.fit().is_none()).map(|_| {
        Warning::new(
            "no-pipe-fits",
            format!("no pipe of the catalogue carries the flow of {place} at the least grade"),
            "divide the line between two outlets, lay it steeper, use a swale, or give a catalogue with larger pipes",
        )
    })
}
