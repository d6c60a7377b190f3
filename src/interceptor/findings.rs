//! What must be said about a part of the line.

use super::part::LinePart;
use super::propose::LineSettings;
use crate::warning::Warning;

/// A low point inside the line counts when it lies this far below both ends, metres: about the noise of good
/// elevation data.
const DIP_M: f64 = 0.05;

/// Warnings about a part: setback, unknown ground, a low point inside, a flow that no pipe carries.
pub(super) fn findings(part: &LinePart, settings: &LineSettings) -> Vec<Warning> {
    let mut found = Vec::new();
    let place = format!(
        "part {} of the line ({:.1} to {:.1} m of ring {})",
        part.id, part.from_m, part.to_m, part.ring
    );
    if part.setback < settings.setback {
        found.push(Warning::new(
            "setback-reduced",
            format!(
                "{place} keeps {:.2} m from the lot line instead of {:.2} m: the lot is too narrow there",
                part.setback.as_m(),
                settings.setback.as_m()
            ),
            "ask for a smaller setback, or agree with the neighbour on a line that serves both lots",
        ));
    }
    let unknown = part.stations.iter().filter(|s| s.ground_m.is_none()).count();
    if unknown > 0 {
        found.push(Warning::new(
            "ground-unknown-along-line",
            format!("{place} has no elevation at {unknown} of {} stations", part.stations.len()),
            "give elevation data without holes there, or have the line levelled on site",
        ));
    }
    let ground = |i: usize| part.stations.get(i).and_then(|s| s.ground_m);
    if let (Some(low), Some(low_m), Some(end_m)) =
        (part.lowest, part.lowest.and_then(ground), part.to_ground_m())
        && end_m - low_m > DIP_M
    {
        found.push(Warning::new(
            "line-dips",
            format!(
                "{place} is lowest at {:.1} m from its upper end, {:.2} m below its lower end",
                part.stations[low].station_m,
                end_m - low_m
            ),
            "look for an outlet at the low point: a pipe to the end runs deeper, and a swale would hold water",
        ));
    }
    if matches!(&part.sizing, Some(sizing) if sizing.pipe.fit().is_none()) {
        found.push(Warning::new(
            "no-pipe-fits",
            format!("no pipe of the catalogue carries the flow of {place} at the least grade"),
            "divide the line between two outlets, lay it steeper, use a swale, or give a catalogue with larger pipes",
        ));
    }
    found
}
