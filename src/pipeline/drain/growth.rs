//! How a part's water grows along it.

use super::super::shares::comes_in_over;
use super::Entering;
use crate::interceptor::drain::{DrainError, Growth};
use crate::interceptor::proof::Came;
use crate::interceptor::{InterceptorError, LinePart};
use crate::lots::{Stretch, amount_within};

/// How a part's water grows from its drawn upper end.
///
/// # Method
/// Each station of the part takes what has entered up to the place of the lot line next to it, by area; what enters beyond
/// the line's ends comes over its first and its last whole step, also where what is left of the line for its last one is centimetres. The
/// strip between the two sheds evenly. Water that enters elsewhere, and the lot's own, comes in where it crosses the part's path,
/// spread over as much of it as a cell is wide. No shorter piece has more by length than those beside it: nothing is known finer than by cells.
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
    let all_m2 = caught_m2 + strip_m2 + came_m2;
    let mut so_far_m2 = 0.0_f64;
    let so_far = places.iter().zip(&part.stations).map(|(&place_m, station)| {
        let before = if whole_m2 > 0.0 { entered(place_m) / whole_m2 } else { station.station_m / line_m };
        let share = if clockwise { before } else { 1.0 - before };
        let came_m2: f64 = came.iter().map(|came| come_in(came, station.station_m, step_m, line_m)).sum();
        let all_so_far_m2 = share * caught_m2 + station.station_m / line_m * strip_m2 + came_m2;
        so_far_m2 = so_far_m2.max(all_so_far_m2).min(all_m2);
        (station.station_m, so_far_m2)
    });
    Ok(with_what_comes_at_the_ends(&so_far.collect::<Vec<_>>(), all_m2, step_m)?)
}

/// Growth of water of which so much, m², has entered up to each station; the rest before the first and beyond the last.
fn with_what_comes_at_the_ends(
    so_far: &[(f64, f64)],
    all_m2: f64,
    step_m: f64,
) -> Result<Growth, DrainError> {
    let [(_, first_m2), .., (line_m, last_m2)] = so_far[..] else { return Growth::new(Vec::new()) };
    let along_m2 = last_m2 - first_m2;
    if all_m2 <= 0.0 || along_m2 <= 0.0 {
        return Growth::new(vec![(0.0, 0.0), (line_m, 1.0)]);
    }
    let share = |&(station_m, m2): &(f64, f64)| (station_m, (m2 - first_m2) / along_m2);
    let along = Growth::new(so_far.iter().map(share).collect())?.no_finer_than(step_m);
    Ok(along.with_ends([first_m2, all_m2 - last_m2].map(|m2| m2 / all_m2), step_m))
}

/// What has come in up to a station, m²: water of a cell comes evenly over the cell's width.
fn come_in(came: &Came, station_m: f64, spread_m: f64, line_m: f64) -> f64 {
    let [from_m, to_m] = comes_in_over(came.station_m, spread_m, line_m);
    let share = if to_m > from_m { (station_m - from_m) / (to_m - from_m) } else { 1.0 };
    came.area_m2 * share.clamp(0.0, 1.0)
}
