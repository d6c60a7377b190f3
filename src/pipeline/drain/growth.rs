//! How a part's water grows along it.

use super::super::shares::comes_in_over;
use super::Entering;
use crate::interceptor::drain::Growth;
use crate::interceptor::proof::Came;
use crate::interceptor::{InterceptorError, LinePart};
use crate::lots::{Stretch, amount_within};

/// How a part's water grows from its drawn upper end.
///
/// # Method
/// Each station of the part takes what has entered up to the place of the lot line next to it, by area; what enters beyond
/// the line's ends comes to its first and its last metres. The strip between the two sheds evenly. Water that enters elsewhere,
/// and the lot's own, comes in where it crosses the part's path, spread over as much of it as a cell is wide. No piece is shorter than a
/// whole step between stations: nothing is known finer than by cells, and what is left of the line at its end is shorter.
pub(super) fn growth(
    entering: &Entering<'_>,
    place: usize,
    part: &LinePart,
) -> Result<Growth, InterceptorError> {
    let (line, drainage) = (entering.line, entering.drainage);
    let stretch = &entering.caught[place].stretch;
    let Some(ring) = line.ring(stretch.ring) else {
        let rings = line.rings().len();
        return Err(InterceptorError::NoSuchRing { ring: stretch.ring, rings });
    };
    let (length_m, around_m) = (stretch.length_m(), ring.length_m());
    let along = |place_m: f64| {
        let past_m = ring.wrap_m(place_m - stretch.from_m);
        // A place before the start has gone nearly all around.
        if past_m > length_m + 0.5 * (around_m - length_m) { 0.0 } else { past_m.min(length_m) }
    };
    let places: Vec<f64> = part.stations.iter().map(|station| along(ring.nearest(station.point).0)).collect();
    let clockwise = places.first() <= places.last();
    let entered = |to_m: f64| {
        let up_to = Stretch { to_m: stretch.from_m + to_m, members: Vec::new(), ..stretch.clone() };
        amount_within(&up_to, &drainage.inflows, around_m)
    };
    let whole_m2 = entered(length_m);
    let (caught_m2, strip_m2) = (part.contributing_area.as_m2(), part.strip_area.as_m2());
    let line_m = part.length.as_m();
    let came = &entering.feeding[place].came;
    let came_m2: f64 = came.iter().map(|came| came.area_m2).sum();
    let step_m = part.station_step.as_m();
    let mut so_far = 0.0_f64;
    let last = places.len() - 1;
    let shares = places.iter().zip(&part.stations).enumerate().map(|(i, (&place_m, station))| {
        let before = if whole_m2 > 0.0 { entered(place_m) / whole_m2 } else { station.station_m / line_m };
        let share = if clockwise { before } else { 1.0 - before };
        let all_m2 = caught_m2 + strip_m2 + came_m2;
        let came_m2: f64 = came.iter().map(|came| come_in(came, station.station_m, step_m, line_m)).sum();
        let so_far_m2 = share * caught_m2 + station.station_m / line_m * strip_m2 + came_m2;
        let with_all = if all_m2 > 0.0 { so_far_m2 / all_m2 } else { share };
        so_far = so_far.max(with_all.clamp(0.0, 1.0));
        // What enters beyond the ends comes in at them.
        let share = if i == 0 {
            0.0
        } else if i == last {
            1.0
        } else {
            so_far
        };
        (station.station_m, share)
    });
    Ok(Growth::new(shares.collect())?.no_finer_than(step_m))
}

/// What has come in up to a station, m²: water of a cell comes evenly over the cell's width.
fn come_in(came: &Came, station_m: f64, spread_m: f64, line_m: f64) -> f64 {
    let [from_m, to_m] = comes_in_over(came.station_m, spread_m, line_m);
    let share = if to_m > from_m { (station_m - from_m) / (to_m - from_m) } else { 1.0 };
    came.area_m2 * share.clamp(0.0, 1.0)
}
