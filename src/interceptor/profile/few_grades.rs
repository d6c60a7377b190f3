//! The pipe with the fewest grades that digs little more than the highest one.
//!
//! A crew sets a few grades, not one a metre. For one grade, two grades and so on, a search over places where the grade
//! may change and levels there finds the least digging: at each such place the pipe lies some steps below the highest
//! one, and between two places it is straight and keeps every limit. The steps are then made finer around what was
//! found, until they are a millimetre; the places stay. Straight reaches and their chains are in `straight.rs`.

use super::bounds::Bounds;
use super::straight::{Chains, ROUNDING_M, Stop, Straight};
use super::{GroundPoint, MORE_DIGGING, ProfileLimits, area_above};

/// Most grades that are tried; where none of up to so many keeps the limits, the highest pipe itself counts.
const MOST_GRADES: usize = 8;
/// Most places where the grade may change.
const MOST_PLACES: usize = 48;
/// Levels tried at each place.
const LEVELS: usize = 25;
/// The last steps are no larger than this, m.
const FINEST_M: f64 = 0.001;

/// Places and inverts at which the grade changes, the ends included.
pub(super) fn few_grades(
    ground: &[GroundPoint],
    limits: &ProfileLimits,
    bounds: &Bounds,
) -> Vec<(usize, f64)> {
    let dug = |invert: &dyn Fn(usize) -> f64| {
        let below = limits.below_m() * (ground[ground.len() - 1].station_m - ground[0].station_m);
        area_above(ground, invert) + below
    };
    let least_m2 = dug(&|i| bounds.highest[i]);
    let mut best: Option<(f64, Vec<(usize, f64)>)> = None;
    for found in with_up_to(MOST_GRADES, ground, limits, bounds) {
        let line = Broken { ground, breaks: &found };
        let dug_m2 = dug(&|i| line.at(i));
        if dug_m2 <= least_m2 * (1.0 + MORE_DIGGING) {
            return found;
        }
        if best.as_ref().is_none_or(|(least, _)| dug_m2 < *least) {
            best = Some((dug_m2, found));
        }
    }
    best.map_or_else(|| corners(ground, &bounds.highest), |(_, found)| found)
}

/// Of pipes with one grade, with two and so on up to so many, those that dig least; none of a number with which no pipe keeps the
/// limits. Each is made when it is asked for.
pub(super) fn with_up_to<'a>(
    most: usize,
    ground: &'a [GroundPoint],
    limits: &'a ProfileLimits,
    bounds: &'a Bounds,
) -> impl Iterator<Item = Vec<(usize, f64)>> + 'a {
    let search = Search { straight: Straight { ground, limits, bounds } };
    let stops = search.first_stops();
    let most = most.min(stops.len() - 1);
    let mut chains = Chains::new(search.straight, stops);
    (1..=most).filter_map(move |grades| search.refined(chains.best(grades)?))
}

/// A line with breaks.
struct Broken<'a> {
    ground: &'a [GroundPoint],
    breaks: &'a [(usize, f64)],
}

impl Broken<'_> {
    fn at(&self, place: usize) -> f64 {
        let next = self.breaks.partition_point(|&(stop, _)| stop < place).clamp(1, self.breaks.len() - 1);
        let [(from, from_m), (to, to_m)] = [self.breaks[next - 1], self.breaks[next]];
        let run = |a: usize, b: usize| self.ground[b].station_m - self.ground[a].station_m;
        from_m + (to_m - from_m) * run(from, place) / run(from, to)
    }
}

/// The corners of a line that is given at every place.
fn corners(ground: &[GroundPoint], levels: &[f64]) -> Vec<(usize, f64)> {
    let last = levels.len() - 1;
    let grade = |i: usize| (levels[i - 1] - levels[i]) / (ground[i].station_m - ground[i - 1].station_m);
    let is_corner = |&i: &usize| i == 0 || i == last || (grade(i) - grade(i + 1)).abs() > 1e-9;
    (0..=last).filter(is_corner).map(|i| (i, levels[i])).collect()
}

struct Search<'a> {
    straight: Straight<'a>,
}

impl Search<'_> {
    /// All places, or where there are too many those that tell most of the highest pipe's shape.
    fn first_stops(&self) -> Vec<Stop> {
        let places = telling_places(self.straight.ground, &self.bounds().highest, MOST_PLACES);
        let room = self.room();
        // The same steps below the highest pipe everywhere: parallels to it are among what is tried. They grow, since
        // little lower is more often right than much lower. And even steps of each place's own room, which may be narrow.
        let part = |i: usize| index(i) / index(LEVELS - 1);
        let stop = |place: usize| {
            let own = self.bounds().highest[place] - self.bounds().lowest[place];
            let steps = (0..LEVELS).flat_map(|i| [room * part(i).powi(2), own * part(i)]);
            self.stop(place, steps)
        };
        places.into_iter().map(stop).collect()
    }

    /// The most that a pipe may lie below the highest one anywhere, m.
    fn room(&self) -> f64 {
        let rooms = self.bounds().highest.iter().zip(&self.bounds().lowest).map(|(high, low)| high - low);
        rooms.fold(0.0, f64::max)
    }

    fn stop(&self, place: usize, below_highest: impl Iterator<Item = f64>) -> Stop {
        let (low, high) = (self.bounds().lowest[place], self.bounds().highest[place]);
        let level = |below: f64| (high - below.max(0.0)).max(low.min(high));
        let mut levels: Vec<f64> = below_highest.map(level).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        Stop { place, levels }
    }

    const fn bounds(&self) -> &Bounds {
        self.straight.bounds
    }

    /// What was found, its levels made finer.
    fn refined(&self, mut best: Vec<(usize, f64)>) -> Option<Vec<(usize, f64)>> {
        // No two levels of the first search are farther apart: the widest of steps that grow with the square.
        let mut step = 2.0 * self.room() / index(LEVELS - 1);
        while step > FINEST_M {
            let around = |&(place, level): &(usize, f64)| {
                let half = index(LEVELS / 2);
                let below = self.bounds().highest[place] - level;
                let offsets = (0..LEVELS).map(move |i| below + step * (index(i) - half) / half);
                self.stop(place, offsets.chain([below]))
            };
            let finer: Vec<Stop> = best.iter().map(around).collect();
            // What was found before is among the levels.
            best = self.straight.through(&finer)?;
            step /= 6.0;
        }
        Some(best)
    }
}

/// At most so many places of a line, the ends first, then always the one farthest from the line through those before.
fn telling_places(ground: &[GroundPoint], levels: &[f64], most: usize) -> Vec<usize> {
    let last = ground.len() - 1;
    if ground.len() <= most {
        return (0..=last).collect();
    }
    let mut chosen = vec![0, last];
    while chosen.len() < most {
        let breaks: Vec<(usize, f64)> = chosen.iter().map(|&i| (i, levels[i])).collect();
        let line = Broken { ground, breaks: &breaks };
        let off = (0..=last).map(|i| ((levels[i] - line.at(i)).abs(), i));
        let Some((distance, farthest)) = off.reduce(|a, b| if b.0 > a.0 { b } else { a }) else { break };
        if distance <= ROUNDING_M {
            break;
        }
        chosen.push(farthest);
        chosen.sort_unstable();
    }
    chosen
}

#[expect(clippy::cast_precision_loss, reason = "a few levels")]
const fn index(i: usize) -> f64 {
    i as f64
}
