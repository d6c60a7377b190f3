//! North and the scale.

use super::super::super::screen::Units;
use super::view::View;
use crate::crs::WorkingCrs;
use crate::units::Length;
use geo::Coord;
use maud::{Markup, html};

/// From the drawing's edge.
const EDGE: f64 = 14.0;
/// Longest bar, in parts of the drawing.
const LONGEST: f64 = 0.3;
/// Step to the north by which north is found, degrees: a hundred metres.
const STEP_DEG: f64 = 1e-3;

/// Arrow to true north; nothing where the place can't be told.
pub(in crate::output) fn north(crs: &WorkingCrs, view: &View) -> Markup {
    let degrees = true_north_deg(crs, view).unwrap_or(0.0);
    let (x, y) = (View::width() - EDGE - 12.0, EDGE + 24.0);
    html! {
        g class="north" transform=(format!("translate({x:.1} {y:.1}) rotate({degrees:.2})")) {
            circle r="20" {}
            path d="M0 -16L6 11L0 6L-6 11Z" {}
            text y="-3" transform="translate(0 20)" text-anchor="middle" { "N" }
        }
    }
}

/// Clockwise from the top of the drawing.
fn true_north_deg(crs: &WorkingCrs, view: &View) -> Option<f64> {
    let middle = view.ground.center();
    let (lon, lat) = crs.to_lonlat(middle.x, middle.y).ok()?;
    let (x, y) = crs.from_lonlat(lon, lat + STEP_DEG).ok()?;
    Some((x - middle.x).atan2(y - middle.y).to_degrees())
}

/// Bars in both systems, the one that was asked for above.
pub(in crate::output) fn scale_bar(view: &View, units: Units) -> Markup {
    let room_m = LONGEST * View::width() / view.length(1.0);
    let metres = Bar { length_m: round_below(room_m), text: format!("{} m", round_below(room_m)) };
    let feet = round_below(Length::from_m(room_m).as_ft());
    let feet = Bar { length_m: Length::from_ft(feet).as_m(), text: format!("{feet} ft") };
    let [above, below] = match units {
        Units::Si => [metres, feet],
        Units::Us => [feet, metres],
    };
    let y = view.height() - EDGE;
    html! {
        g class="scale" {
            rect class="scale-ground" x=(EDGE - 8.0) y=(format!("{:.1}", y - 33.0)) width=(format!("{:.1}", LONGEST.mul_add(View::width(), 62.0))) height="40" rx="4" {}
            (bar(&above, view, y - 18.0))
            (bar(&below, view, y))
        }
    }
}

struct Bar {
    length_m: f64,
    text: String,
}

fn bar(bar: &Bar, view: &View, y: f64) -> Markup {
    let long = view.length(bar.length_m);
    let end = Coord { x: EDGE + long, y };
    html! {
        path class="bar" d=(format!("M{EDGE} {:.1}V{y:.1}H{:.1}V{:.1}", y - 5.0, end.x, y - 5.0)) {}
        text x=(format!("{:.1}", end.x + 5.0)) y=(format!("{y:.1}")) { (bar.text) }
    }
}

/// 1, 2 or 5 times a power of ten, no more than a number.
fn round_below(number: f64) -> f64 {
    let power = 10.0_f64.powf(number.log10().floor());
    [5.0, 2.0, 1.0].map(|step| step * power).into_iter().find(|&step| step <= number).unwrap_or(power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_have_round_lengths() {
        for (room, bar) in [(1.0, 1.0), (1.9, 1.0), (37.0, 20.0), (64.0, 50.0), (100.0, 100.0), (0.3, 0.2)] {
            assert!((round_below(room) - bar).abs() < 1e-9, "{room}: {}", round_below(room));
        }
    }
}
