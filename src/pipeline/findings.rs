//! What the reader must know of the ground and of the answer's limits.

use super::catchment::Routed;
use super::completeness::{BANK_M, Completeness, EdgePart};
use super::settings::Settings;
use crate::flow::Routing;
use crate::input::{Hole, HoleFate, Site};
use crate::lots::{Label, LotDrainage};
use crate::warning::Warning;
use crate::wording::{metres, span, square_metres};
use geo::{Centroid, Distance, Haversine, Point};

/// Findings about the ground: holes, and how far the data reach.
pub(super) fn ground_warnings(
    routed: &Routed,
    completeness: &Completeness,
    drainage: &LotDrainage,
) -> Vec<Warning> {
    let mut found = hole_warnings(routed);
    if completeness.edge_limited_m2 > 0.0 || completeness.lot_at_edge_m > 0.0 {
        let edges: Vec<String> = completeness.edges.iter().map(EdgePart::in_words).collect();
        found.push(Warning::new(
            "catchment-cut-by-edge",
            format!(
                "the run-on is at least what is stated: water may come from beyond {}{}",
                edges.join("; "),
                where_it_enters(completeness, drainage)
            ),
            "add elevation data there and run again",
        ));
    } else if completeness.cut_by_sink {
        found.push(Warning::new(
            "sink-cut-by-edge",
            format!(
                "a sink cut by the edge of the data could spill towards the lot: with ground {} higher just beyond the edge the run-on changes by {}",
                metres(f64::from(BANK_M), 1),
                square_metres(completeness.bank_change_m2)
            ),
            "add elevation data around the edge and run again",
        ));
    }
    found
}

/// The stretches of the lot line that the edge concerns.
fn where_it_enters(completeness: &Completeness, drainage: &LotDrainage) -> String {
    let stretches: Vec<String> = drainage
        .crossings
        .iter()
        .filter(|crossing| !crossing.complete)
        .map(|crossing| span(crossing.from_m, crossing.to_m))
        .collect();
    let mut text = String::new();
    if !stretches.is_empty() {
        text = format!(", entering at {} along the lot line", stretches.join(", "));
    }
    if completeness.lot_at_edge_m > 0.0 {
        text = format!("{text}; {} of the lot itself lie at the edge", metres(completeness.lot_at_edge_m, 0));
    }
    text
}

/// Farther than this a rainfall table is of another place, m. Ours.
const RAIN_REACH_M: f64 = 50_000.0;

/// A rainfall table that says that it is for a place far from the lot.
pub(super) fn rain_elsewhere(site: &Site, settings: &Settings) -> Option<Warning> {
    let (lon, lat) = settings.storm.rain.as_ref()?.place()?;
    let lot = site.parcels.subject_lot();
    let middle = lot.outline.centroid()?;
    let (x, y) = site.crs.to_lonlat(middle.x(), middle.y()).ok()?;
    let away_m = Haversine.distance(Point::new(lon, lat), Point::new(x, y));
    (away_m > RAIN_REACH_M).then(|| {
        Warning::new(
            "rain-table-elsewhere",
            format!(
                "the rainfall table is for longitude {lon}, latitude {lat}, {:.0} km from the lot",
                away_m / 1000.0
            ),
            "give a table for the lot's own place",
        )
    })
}

/// The two routings bracket what the way of spreading water can do: where they differ, the run-on isn't well known.
pub(super) fn routings_differ(
    run_on_m2: f64,
    other: &[(Label, f64)],
    settings: &Settings,
) -> Option<Warning> {
    /// Difference of the two, as a share of the larger, from which on it is worth a word.
    const DIFFERENCE: f64 = 0.1;
    /// Smaller differences aren't worth a word, m².
    const FLOOR_M2: f64 = 20.0;
    let (name, other_name) = match settings.routing {
        Routing::Proportional => ("proportional", "single"),
        Routing::Single => ("single", "proportional"),
        Routing::Steepest => return None,
    };
    let other_m2: f64 = other.iter().map(|&(_, m2)| m2).sum();
    let larger = run_on_m2.max(other_m2);
    ((run_on_m2 - other_m2).abs() > (DIFFERENCE * larger).max(FLOOR_M2)).then(|| {
        Warning::new(
            "routings-differ",
            format!(
                "the {name} routing gives a run-on of {}, the {other_name} one {}: small unevenness of the ground decides where the water goes",
                square_metres(run_on_m2),
                square_metres(other_m2)
            ),
            "take the two as a range; finer or newer elevations, or a few levels shot on site, would narrow it",
        )
    })
}

/// Roof water of other lots that is let out inside the lot.
pub(super) fn roof_water_inside(routed: &Routed) -> Option<Warning> {
    let ground = &routed.ground;
    let steps = ground.roofs.drips().iter();
    let inside = steps.filter(|&&(roof, drip)| routed.is_subject(drip) && !routed.is_subject(roof)).count();
    #[expect(clippy::cast_precision_loss, reason = "a number of cells")]
    let area_m2 = inside as f64 * ground.cell.area_m2();
    (inside > 0).then(|| {
        Warning::new(
            "roof-water-let-out-inside",
            format!(
                "water of {} of roof beyond the lot line comes down inside the lot: it counts as run-on, but a line along the lot line doesn't catch it",
                square_metres(area_m2)
            ),
            "lead that downspout to the line, or to the outlet, in a pipe of its own",
        )
    })
}

fn hole_warnings(routed: &Routed) -> Vec<Warning> {
    let report = &routed.ground.holes;
    let area = |holes: &[Hole]| -> f64 { holes.iter().map(|hole| hole.area_m2).sum() };
    let mut found = Vec::new();
    if !report.bridged.is_empty() {
        found.push(Warning::new(
            "holes-bridged",
            format!(
                "{} gaps in the elevations around the lot, {} in all, were bridged from their rims",
                report.bridged.len(),
                square_metres(area(&report.bridged))
            ),
            "look at them in the summary; --bridge-holes sets the largest area that is bridged",
        ));
    }
    let inner: Vec<Hole> =
        report.kept.iter().copied().filter(|hole| hole.fate == HoleFate::TooLarge).collect();
    if !inner.is_empty() {
        found.push(Warning::new(
            "holes-left",
            format!(
                "{} gaps in the elevations around the lot, {} in all, are too large to bridge: they count as edges of the data",
                inner.len(),
                square_metres(area(&inner))
            ),
            "give elevations without gaps, or raise --bridge-holes if the ground there is simple",
        ));
    }
    found
}
