//! The surface: a hillside, two streets cut into it, and what people made of their lots.

use geo::Coord;

use super::frame::{Frame, Place};
use super::plan::{DRIVEWAY, HOUSES, LOW_SPOT, Pad, REAR, SILTED, TERRACE, WALL, WALL_HEIGHT};
use super::shape::{blend, bump, noise, ramp, step};
use super::street::{LOWER, UPPER};

/// Fall of the hillside, rise over run.
const FALL: f64 = 0.045;
/// Angle between the fall and the side lines of the lots: water drifts across them to the east.
const DRIFT_DEGREES: f64 = 11.0;
/// Distance up the hill at which it is crowned by a ridge.
const RIDGE_M: f64 = 88.0;
/// Fall on the far side of the ridge.
const FAR_FALL: f64 = 0.035;
/// Where the hill's spur turns: ground west of it drifts west.
const SPUR_M: f64 = -6.0;
/// How much more the ground falls to the west beyond the spur.
const SPUR_FALL: f64 = 0.030;
/// Elevation of the hillside where the block's axes begin.
const DATUM_M: f64 = 7.6;

/// Elevation in metres at coordinates on the ground.
pub(super) fn elevation(frame: Frame, at: Coord<f64>) -> f64 {
    let place = frame.place(at);
    let mut level = hillside(place) + undulation(at);
    level = swale(level, place);
    for pad in HOUSES.iter().chain([&TERRACE]) {
        level = lay_pad(level, *pad, place);
    }
    level -= 0.40 * bump((place.along - LOW_SPOT.along).hypot(place.up - LOW_SPOT.up), 5.5);
    level = UPPER.lay(level, place);
    level = LOWER.lay(level, place);
    level = driveway(level, place);
    level += WALL_HEIGHT * wall(place);
    level + roughness(at)
}

/// The hillside without its gentle waves: even fall, rounded over at the ridge and at a spur to the west.
pub(super) fn hillside(at: Place) -> f64 {
    let (across, along_fall) = DRIFT_DEGREES.to_radians().sin_cos();
    let up = at.up * along_fall - at.along * across;
    let beyond_ridge = (FALL + FAR_FALL) * ramp(up - RIDGE_M * along_fall, 6.0);
    let beyond_spur = SPUR_FALL * ramp(SPUR_M - at.along, 5.0);
    DATUM_M + FALL * up - beyond_ridge - beyond_spur
}

/// Gentle waves, some ten metres long and a few centimetres high.
fn undulation(at: Coord<f64>) -> f64 {
    let wave = |length: f64, bearing: f64, phase: f64| {
        let (sin, cos) = bearing.to_radians().sin_cos();
        (std::f64::consts::TAU * (at.x * sin + at.y * cos) / length + phase).sin()
    };
    0.06 * wave(47.0, 71.0, 0.4) + 0.05 * wave(31.0, 128.0, 1.9) + 0.025 * wave(17.0, 12.0, 4.2)
}

/// Roughness of lawn and of the survey: soft noise over two metres, and millimetres from cell to cell.
fn roughness(at: Coord<f64>) -> f64 {
    0.008 * soft_noise(at, 2.3, 11) + 0.0025 * soft_noise(at, 0.5, 23)
}

/// Noise on a lattice, joined smoothly.
#[expect(clippy::cast_possible_truncation, reason = "coordinates are a few hundred metres")]
fn soft_noise(at: Coord<f64>, mesh: f64, seed: u64) -> f64 {
    let (x, y) = (at.x / mesh, at.y / mesh);
    let (column, row) = (x.floor() as i64, y.floor() as i64);
    let (right, high) = (step(0.0, 1.0, x - x.floor()), step(0.0, 1.0, y - y.floor()));
    let low_side = blend(noise(column, row, seed), noise(column + 1, row, seed), right);
    let high_side = blend(noise(column, row + 1, seed), noise(column + 1, row + 1, seed), right);
    blend(low_side, high_side, high)
}

/// The swale along the rear line: graded evenly, two hands deep, silted up behind the subject's lot.
fn swale(level: f64, at: Place) -> f64 {
    let silted = step(SILTED.0, SILTED.1, at.along) * (1.0 - step(82.0, 94.0, at.along));
    let ends = step(-6.0, 4.0, at.along) * (1.0 - step(112.0, 140.0, at.along));
    let off = at.up - (REAR - 0.8);
    let graded = blend(level, hillside(at), ends * (1.0 - step(2.5, 6.0, off.abs())));
    graded - 0.32 * (1.0 - 0.9 * silted) * ends * bump(off, 2.8)
}

/// Lays a pad into the ground: flat, with a slight crown so that it sheds its own water, and a bank around it.
fn lay_pad(level: f64, pad: Pad, at: Place) -> f64 {
    let beside = (at.along - pad.middle.along).abs() - pad.half_along;
    let above = (at.up - pad.middle.up).abs() - pad.half_up;
    let outside = beside.max(0.0).hypot(above.max(0.0));
    if outside >= pad.bank {
        return level;
    }
    let crown = 0.015 * beside.max(above).min(0.0).abs();
    let top = hillside(pad.middle) + pad.raised + crown;
    blend(level, top, 1.0 - step(0.0, pad.bank, outside))
}

/// The sunken driveway: it takes up the gutter of the upper street and lets it run down beside the house.
fn driveway(level: f64, at: Place) -> f64 {
    let (west, east) = DRIVEWAY;
    let inside = step(west - 0.6, west, at.along) * (1.0 - step(east, east + 0.6, at.along));
    let gutter = UPPER.gutter_on_the_low_side();
    let below = gutter - at.up;
    if !(0.0..=14.0).contains(&below) {
        return level;
    }
    let start = UPPER.gutter_level(at.along) - 0.03;
    let surface = start - 0.055 * below;
    let reach = inside * (1.0 - step(10.0, 14.0, below));
    blend(level, surface.min(level), reach)
}

/// 1 on the garden wall, 0 beyond its faces. At 0.7 m it closes every row and column of half-metre cells.
fn wall(at: Place) -> f64 {
    let distance = WALL
        .windows(2)
        .map(|ends| {
            let run = (ends[1].along - ends[0].along, ends[1].up - ends[0].up);
            let from = (at.along - ends[0].along, at.up - ends[0].up);
            let part = ((from.0 * run.0 + from.1 * run.1) / (run.0 * run.0 + run.1 * run.1)).clamp(0.0, 1.0);
            (from.0 - part * run.0).hypot(from.1 - part * run.1)
        })
        .fold(f64::INFINITY, f64::min);
    1.0 - step(0.36, 0.46, distance)
}
