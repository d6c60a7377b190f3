//! Outlines of lots and houses.

use geo::{Coord, LineString, Polygon};

use super::DemoLot;
use super::frame::{Frame, Place, place};
use super::plan::{
    HOUSES, LOWER_FRONT, LOWER_SIDES, LOWER_STREET, REAR, UPPER_FRONT, UPPER_SIDES, UPPER_STREET,
};

/// All lots, the lower row from west to east, then the upper row.
///
/// The rear line carries the corners of both rows, so that lots of either row share every vertex of it.
pub(super) fn lots(frame: Frame) -> Vec<DemoLot> {
    let lower = LOWER_SIDES.windows(2).map(|sides| (LOWER_STREET, sides[0], sides[1], LOWER_FRONT));
    let upper = UPPER_SIDES.windows(2).map(|sides| (UPPER_STREET, sides[0], sides[1], UPPER_FRONT));
    let row = |(number, (street, west, east, front)): (usize, (&str, f64, f64, f64))| DemoLot {
        id: format!("{street} {}", number + 1),
        outline: polygon(frame, &outline(west, east, front)),
    };
    lower.enumerate().map(row).chain(upper.enumerate().map(row)).collect()
}

/// Outlines of the houses, in the order of the lots.
pub(super) fn buildings(frame: Frame) -> Vec<Polygon<f64>> {
    let corners = |pad: &super::plan::Pad| {
        let Place { along, up } = pad.middle;
        [
            place(along - pad.half_along, up - pad.half_up),
            place(along + pad.half_along, up - pad.half_up),
            place(along + pad.half_along, up + pad.half_up),
            place(along - pad.half_along, up + pad.half_up),
        ]
    };
    HOUSES.iter().map(|pad| polygon(frame, &corners(pad))).collect()
}

/// Corners of one lot, anticlockwise.
fn outline(west: f64, east: f64, front: f64) -> Vec<Place> {
    let mut rear: Vec<f64> =
        LOWER_SIDES.iter().chain(&UPPER_SIDES).copied().filter(|side| (west..=east).contains(side)).collect();
    rear.sort_by(f64::total_cmp);
    rear.dedup();
    let rear = rear.into_iter().map(|side| place(side, rear_line(side)));
    if front < REAR {
        [place(west, front), place(east, front)].into_iter().chain(rear.rev()).collect()
    } else {
        rear.chain([place(east, front), place(west, front)]).collect()
    }
}

/// The rear line isn't quite straight: old fences seldom are.
fn rear_line(along: f64) -> f64 {
    REAR + 0.35 * (along / 17.0).sin()
}

fn polygon(frame: Frame, corners: &[Place]) -> Polygon<f64> {
    let ring: Vec<Coord<f64>> = corners.iter().map(|corner| frame.coord(*corner)).collect();
    Polygon::new(LineString::new(ring), Vec::new())
}
