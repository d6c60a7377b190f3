//! Looks, by the public simplestyle 1.1.0 property names.
//!
//! One hue for the lot's own water, darker with the share, so that it reads in grey print and for colour-blind eyes.

use serde_json::{Map, Value, json};

/// Subject lot.
pub(super) const LOT: (&str, f64) = ("#3b2e5a", 3.0);
/// Crossings.
pub(super) const CROSSING: (&str, f64) = ("#d1495b", 5.0);
/// The proposed line.
pub(super) const LINE: (&str, f64) = ("#12130f", 4.0);
/// The way to its outlet.
pub(super) const ROUTE_WIDTH: f64 = 2.0;
/// Ways of the water.
pub(super) const PATH: &str = "#1f6f8b";
/// Parcels that receive less with the line, and more.
pub(super) const CHANGES: [&str; 2] = ["#6a994e", "#bc4749"];
/// The way of let-out water.
pub(super) const DISCHARGE: (&str, f64) = ("#bc4749", 3.0);
/// The way of what a part can't take.
pub(super) const OVERFLOW_WIDTH: f64 = 1.5;
/// Ground on the longest way that is too flat, or slower than the storm.
pub(super) const SLOW: (&str, f64) = ("#e09f3e", 4.0);
/// Places where a line comes too near to something, or cuts what carries it.
pub(super) const NEAR: &str = "#f77f00";
/// Lines of the same likelihood; the likelier the wider.
pub(super) const LIKELIHOOD: &str = "#6d597a";
/// Places where a shot of the ground would tell much.
pub(super) const WANTED: &str = "#6d597a";
/// Why a parcel's water comes or doesn't: its way, and what decides.
pub(super) const WHY: &str = "#6a1b6e";
/// Standing water.
pub(super) const POND: &str = "#5b8fb9";
/// Storm inlets.
pub(super) const INLET: &str = "#2a9d8f";

/// Four steps from a small to a large share.
const SHARES: [(f64, &str); 4] =
    [(0.05, "#f3e3c3"), (0.15, "#e3b778"), (0.35, "#c4813d"), (f64::INFINITY, "#8c4a1c")];

pub(super) fn line(map: &mut Map<String, Value>, stroke: &str, width: f64) {
    map.insert("stroke".into(), json!(stroke));
    map.insert("stroke-width".into(), json!(width));
    map.insert("stroke-opacity".into(), json!(1.0));
}

pub(super) fn marker(map: &mut Map<String, Value>, colour: &str) {
    map.insert("marker-color".into(), json!(colour));
    map.insert("marker-size".into(), json!("small"));
}

pub(super) fn fill(map: &mut Map<String, Value>, colour: &str, opacity: f64) {
    map.insert("fill".into(), json!(colour));
    map.insert("fill-opacity".into(), json!(opacity));
}

/// Whether a field tells the looks of a mark.
pub(super) fn is_look(name: &str) -> bool {
    ["stroke", "marker-", "fill"].iter().any(|look| name.starts_with(look))
}

/// Width of a line of the same likelihood.
pub(super) fn likelihood_width(likelihood: f64) -> f64 {
    0.5 + 2.0 * likelihood
}

/// Width of a way that carries the rain of an area: twice the area is one wider.
pub(super) fn water_width(area_m2: f64) -> f64 {
    (1.0 + (area_m2 / 50.0).max(1.0).log2()).min(6.0)
}

/// Shares up to which each colour but the last goes.
pub(super) fn share_limits() -> impl Iterator<Item = f64> {
    SHARES.iter().map(|&(limit, _)| limit).filter(|limit| limit.is_finite())
}

/// Colours of small to large shares.
pub(super) fn share_colours() -> impl Iterator<Item = &'static str> {
    SHARES.iter().map(|&(_, colour)| colour)
}

/// Colour of a contributor by its share of the run-on.
pub(super) fn share_colour(share: f64) -> &'static str {
    SHARES.iter().find(|(limit, _)| share <= *limit).map_or(SHARES[3].1, |(_, colour)| colour)
}
