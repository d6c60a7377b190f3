//! Across a swale, to scale: the same both ways.

use super::super::Page;
use super::measures::{across, down};
use super::picture::{Picture, PictureKind};
use crate::interceptor::drain::SwaleWay;
use crate::language::Blank;
use maud::html;

const WIDTH: f64 = 420.0;
/// Width of the V.
const WIDE: f64 = 230.0;
const TOP: f64 = 40.0;
const MIDDLE: f64 = 150.0;

/// The V where it is deepest.
pub(in crate::output::page) fn swale(page: &Page<'_>, part: usize, swale: &SwaleWay) -> Picture {
    let deepest = swale.bed.deepest();
    let (units, depth_m, width_m) = (page.units, deepest.depth.as_m(), deepest.width.as_m());
    let scale = WIDE / width_m;
    let (left, right) = (MIDDLE - WIDE / 2.0, MIDDLE + WIDE / 2.0);
    let bed = scale.mul_add(depth_m, TOP);
    let below = bed + 26.0;
    let (name, station) = (part.to_string(), units.length(deepest.station.as_m()));
    let side = format!("{:.0}:1", swale.rules.shape.side());
    let blanks = [
        ("part", Blank::Text(name.as_str())),
        ("station", Blank::Text(station.as_str())),
        ("side", Blank::Text(side.as_str())),
    ];
    let drawn = html! {
                path class="soil" d=(format!("M10 {TOP}H{left:.1}L{MIDDLE} {bed:.1}L{right:.1} {TOP}H{:.1}V{below:.1}H10Z", 2.0 * MIDDLE - 10.0)) {}
                path class="lawn" d=(format!("M10 {TOP}H{left:.1}L{MIDDLE} {bed:.1}L{right:.1} {TOP}H{:.1}", 2.0 * MIDDLE - 10.0)) {}
                (across(TOP - 12.0, left, right, &units.width(width_m)))
                (down(right + 34.0, TOP, bed, &units.width(depth_m)))
    };
    Picture {
        kind: PictureKind::Swale,
        size: [WIDTH, below + 10.0],
        label: page.words.fill("swale-label", &blanks[..1]),
        drawn,
        caption: page.words.fill("swale-caption", &blanks),
    }
}
