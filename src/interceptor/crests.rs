//! Where a line is divided: at a crest of the ground water runs off both ways, at a low point it comes
//! together.

use super::alignment::Aligner;
use super::propose::LineSettings;
use super::stations::stations_along;
use crate::lots::{LotLine, Stretch};
use geo::Coord;

/// A crest counts where it lies so far above both ends, m: a pipe across it would lie as much deeper. Ours.
const CREST_M: f64 = 0.15;
/// Arms shorter than this aren't worth a line of their own, m. Ours.
const LEAST_ARM_M: f64 = 5.0;
/// Lines that a stretch is divided into at the most. Ours.
const MOST_PARTS: usize = 4;

/// Chainages at which a stretch of the lot line is divided, rising between its ends; none where the ground along the line beside it has no
/// crest.
///
/// # Method
/// Along the line that would run beside the stretch the highest place is a crest if it lies 0.15 m above the lowest place on either side of
/// it, and 5 m from both ends; then each side is looked at in the same way. The stretch is divided beside it.
#[must_use]
pub fn crests(
    line: &LotLine,
    stretch: &Stretch,
    ground: &dyn Fn(Coord) -> Option<f64>,
    settings: &LineSettings<'_>,
) -> Vec<f64> {
    let Some(course) = LineLevels::beside(line, stretch, ground, settings) else { return Vec::new() };
    let mut found = Vec::new();
    divide(&course.levels, MOST_PARTS - 1, &mut found);
    found.sort_by(f64::total_cmp);
    found.into_iter().map(|station_m| course.chainage_m(stretch, station_m)).collect()
}

/// Chainage at which a stretch of the lot line has its low point; nothing where the ground along the line
/// beside it has none inside.
///
/// # Method
/// The lowest place along the line that would run beside the stretch, if it lies 5 m or more from both ends
/// and 0.15 m or more below either.
#[must_use]
pub fn low_point(
    line: &LotLine,
    stretch: &Stretch,
    ground: &dyn Fn(Coord) -> Option<f64>,
    settings: &LineSettings<'_>,
) -> Option<f64> {
    let course = LineLevels::beside(line, stretch, ground, settings)?;
    let [(from_m, first), .., (to_m, last)] = course.levels[..] else { return None };
    let &(low_m, low) = course.levels.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let is_inside = low_m - from_m >= LEAST_ARM_M && to_m - low_m >= LEAST_ARM_M;
    (is_inside && first - low >= CREST_M && last - low >= CREST_M).then(|| course.chainage_m(stretch, low_m))
}

/// The ground along the line that would run beside a stretch.
struct LineLevels {
    /// Stations, from 0, with the ground there, m.
    levels: Vec<(f64, f64)>,
    /// The last station, above 0.
    length_m: f64,
}

impl LineLevels {
    /// Nothing where the ground isn't known all along.
    fn beside(
        line: &LotLine,
        stretch: &Stretch,
        ground: &dyn Fn(Coord) -> Option<f64>,
        settings: &LineSettings<'_>,
    ) -> Option<Self> {
        let ring = line.ring(stretch.ring)?;
        let path = Aligner::new(line, settings.setback.as_m()).along(stretch, ring).path;
        let step_m = settings.cell.as_m().max(1.0);
        let stations = stations_along(&path, line.metres_per_unit(), step_m, ground);
        let levels: Option<Vec<(f64, f64)>> =
            stations.iter().map(|s| Some((s.station_m, s.ground_m?))).collect();
        let length_m = stations.last()?.station_m;
        (length_m > 0.0).then_some(Self { levels: levels?, length_m })
    }

    fn chainage_m(&self, stretch: &Stretch, station_m: f64) -> f64 {
        stretch.from_m + stretch.length_m() * station_m / self.length_m
    }
}

/// Stations of the crests of a course, no more than so many.
fn divide(course: &[(f64, f64)], most: usize, found: &mut Vec<f64>) {
    let [(from_m, _), .., (to_m, _)] = course else { return };
    let inner =
        course.iter().enumerate().filter(|(_, (m, _))| m - from_m >= LEAST_ARM_M && to_m - m >= LEAST_ARM_M);
    let Some((top, &(top_m, top_level))) = inner.reduce(|a, b| if b.1.1 > a.1.1 { b } else { a }) else {
        return;
    };
    let lowest = |side: &[(f64, f64)]| side.iter().map(|(_, level)| *level).fold(f64::INFINITY, f64::min);
    let (before, behind) = (&course[..=top], &course[top..]);
    // Where the ground goes on rising beyond, it is the side of a slope and no crest.
    let highest =
        |side: &[(f64, f64)]| side.iter().map(|(_, level)| *level).fold(f64::NEG_INFINITY, f64::max);
    let is_top = highest(before) <= top_level + CREST_M / 3.0 && highest(behind) <= top_level + CREST_M / 3.0;
    let is_crest = top_level - lowest(before) >= CREST_M && top_level - lowest(behind) >= CREST_M;
    if most == 0 || found.len() >= MOST_PARTS - 1 || !is_crest || !is_top {
        return;
    }
    found.push(top_m);
    divide(before, most - 1, found);
    divide(behind, most - 1, found);
}

/// A stretch as far as the line beside it goes: on past its last inflow, but not around a corner of the lot, nor beyond half the way to
/// another stretch.
pub(super) fn past_inflow(stretch: &Stretch, all: &[&Stretch], line: &LotLine, by_m: f64) -> Stretch {
    let Some(ring) = line.ring(stretch.ring) else { return stretch.clone() };
    let length_m = ring.length_m();
    let dry_m = length_m - stretch.length_m();
    let gap = |from_m: f64, forwards: bool| {
        let others = all.iter().filter(|other| other.ring == stretch.ring && **other != stretch);
        let gaps = others.map(|other| {
            let gap_m = if forwards { other.from_m - from_m } else { from_m - other.to_m };
            // Ends that meet may differ by rounding.
            let gap_m = gap_m.rem_euclid(length_m);
            if gap_m > length_m - 1e-6 { 0.0 } else { gap_m }
        });
        gaps.fold(dry_m, f64::min) / 2.0
    };
    let before = straight_on(ring, stretch.from_m, -1.0, by_m.min(gap(stretch.from_m, false)));
    let behind = straight_on(ring, stretch.to_m, 1.0, by_m.min(gap(stretch.to_m, true)));
    let from_m = stretch.from_m - before;
    let turn_m = if from_m < 0.0 { length_m } else { 0.0 };
    Stretch {
        from_m: from_m + turn_m,
        to_m: stretch.to_m + behind + turn_m,
        ring: stretch.ring,
        members: stretch.members.clone(),
    }
}

/// Stretches whose ends lie nearer than a length to a corner of the lot, taken up to it: the line beside them
/// ends there as it is.
#[must_use]
pub fn up_to_corners(stretches: Vec<Stretch>, line: &LotLine, most_m: f64) -> Vec<Stretch> {
    let all = stretches.clone();
    let longer = |stretch: Stretch| {
        let Some(ring) = line.ring(stretch.ring) else { return stretch };
        let length_m = ring.length_m();
        let others = || all.iter().filter(|other| other.ring == stretch.ring && **other != stretch);
        // How far to the nearest corner, where no other stretch lies before it; nothing where the stretch
        // would meet its own other end.
        let gap_m = |at_m: f64, forwards: bool| {
            let away = |m: f64| ring.wrap_m(if forwards { m - at_m } else { at_m - m });
            let corners = ring.chainages_m().iter().filter(|m| is_corner(ring, **m));
            let nearest = corners.map(|m| away(*m)).fold(f64::INFINITY, f64::min);
            let next = others().map(|other| away(if forwards { other.from_m } else { other.to_m }));
            let free_m = next.fold(length_m - stretch.length_m(), f64::min);
            if nearest <= most_m.min(free_m / 2.0) { nearest } else { 0.0 }
        };
        let (before, behind) = (gap_m(stretch.from_m, false), gap_m(stretch.to_m, true));
        let from_m = stretch.from_m - before;
        let turn_m = if from_m < -1e-6 { length_m } else { 0.0 };
        let (from_m, to_m) = ((from_m + turn_m).max(0.0), stretch.to_m + behind + turn_m);
        Stretch { from_m, to_m, ..stretch }
    };
    stretches.into_iter().map(longer).collect()
}

/// Whether the ring turns by more than 30 degrees at a vertex.
fn is_corner(ring: &crate::lots::LotRing, at_m: f64) -> bool {
    let [before, behind] = [-1e-3, 1e-3].map(|m| ring.direction_at(ring.wrap_m(at_m + m)));
    before.x * behind.x + before.y * behind.y < CORNER
}

/// Corners turn by more than 30 degrees: by its cosine.
const CORNER: f64 = 0.866;

/// How far the ring goes straight on from a place, clockwise (1) or against the clock (-1), up to a length.
fn straight_on(ring: &crate::lots::LotRing, from_m: f64, sense: f64, most_m: f64) -> f64 {
    let start = ring.direction_at(from_m - sense * 1e-3);
    let steps = (most_m / 0.1).ceil();
    let mut gone_m = 0.0;
    let mut step = 1.0;
    while step <= steps {
        let next_m = (step * 0.1).min(most_m);
        let direction = ring.direction_at(from_m + sense * next_m);
        if direction.x * start.x + direction.y * start.y < CORNER {
            break;
        }
        gone_m = next_m;
        step += 1.0;
    }
    gone_m
}

#[cfg(test)]
mod tests {
    use super::super::obstacles::Obstacles;
    use super::*;
    use geo::{MultiPolygon, polygon};

    /// 40 x 20 m; clockwise from its north-west corner at (0, 20).
    fn lot() -> LotLine {
        let lot: MultiPolygon =
            polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 20.), (x: 0., y: 20.)].into();
        LotLine::new(&lot, 1.0).unwrap()
    }

    fn stretch(from_m: f64, to_m: f64) -> Stretch {
        Stretch { ring: 0, from_m, to_m, members: vec![] }
    }

    fn found(ground: &dyn Fn(Coord) -> Option<f64>) -> Vec<f64> {
        let obstacles = Obstacles::none();
        let settings = LineSettings::plain(&obstacles);
        crests(&lot(), &stretch(2.0, 38.0), ground, &settings)
    }

    // A crest at x = 20 of ground that falls 1 % both ways: 0.18 m at the ends of the line from 2 to 38. At 0.5 % it's 0.09 m and none.
    #[test]
    fn ground_that_falls_both_ways_divides_the_line_at_its_crest() {
        let roof = |fall: f64| move |p: Coord| Some(10.0 - fall * (p.x - 20.0).abs());
        assert_eq!(found(&roof(0.01)), [20.0]);
        assert!(found(&roof(0.005)).is_empty());
        assert!(found(&|p| Some(10.0 - 0.02 * p.x)).is_empty(), "a slope");
        assert!(found(&|p| Some(10.0 + 0.02 * (p.x - 20.0).abs())).is_empty(), "a hollow");
        assert!(found(&|p| Some(10.0 - 0.1 * (p.x - 4.0).abs())).is_empty(), "too near to an end");
        // Two crests, at 10 and 30, with a hollow of 0.5 m between them.
        let two = |p: Coord| Some(10.0 - 0.05 * ((p.x - 20.0).abs() - 10.0).abs());
        assert_eq!(found(&two), [10.0, 30.0]);
    }

    // A valley at x = 15 of ground that rises 2 % both ways: 0.26 m below the end at 2, 0.46 m below that at
    // 38. At 1 % the nearer end lies 0.13 m above it, too little; a valley 3 m from an end, or a slope, has
    // none inside.
    #[test]
    fn a_line_that_sags_has_a_low_point() {
        let obstacles = Obstacles::none();
        let settings = LineSettings::plain(&obstacles);
        let low =
            |ground: &dyn Fn(Coord) -> Option<f64>| low_point(&lot(), &stretch(2.0, 38.0), ground, &settings);
        let valley = |x: f64, rise: f64| move |p: Coord| Some(10.0 + rise * (p.x - x).abs());
        assert_eq!(low(&valley(15.0, 0.02)), Some(15.0));
        assert_eq!(low(&valley(15.0, 0.01)), None);
        assert_eq!(low(&valley(5.0, 0.1)), None);
        assert_eq!(low(&|p| Some(10.0 - 0.02 * p.x)), None);
        assert_eq!(low(&|p| (p.x < 30.0).then_some(10.0)), None, "unknown ground");
    }

    // The lot's corners lie at 0, 40, 60 and 100 m of its ring.
    #[test]
    fn a_stretch_that_ends_beside_a_corner_is_taken_up_to_it() {
        let ends = |stretches: &[(f64, f64)]| -> Vec<(f64, f64)> {
            let stretches = stretches.iter().map(|&(from_m, to_m)| stretch(from_m, to_m)).collect();
            up_to_corners(stretches, &lot(), 2.0).iter().map(|s| (s.from_m, s.to_m)).collect()
        };
        assert_eq!(ends(&[(1.5, 38.5)]), [(0.0, 40.0)]);
        assert_eq!(ends(&[(2.5, 37.5)]), [(2.5, 37.5)]);
        assert_eq!(ends(&[(10.0, 38.5), (39.0, 50.0)]), [(10.0, 38.5), (39.0, 50.0)], "another before it");
        assert_eq!(ends(&[(101.0, 119.0)]), [(100.0, 120.0)]);
    }

    #[test]
    fn a_line_goes_on_past_its_last_inflow_but_round_no_corner_and_into_no_other() {
        let grown = |from_m, to_m, others: &[Stretch]| {
            let all: Vec<&Stretch> = others.iter().collect();
            let found = past_inflow(&stretch(from_m, to_m), &all, &lot(), 1.0);
            (found.from_m, found.to_m)
        };
        let near = |found: (f64, f64), from: f64, to: f64| {
            assert!((found.0 - from).abs() < 0.11 && (found.1 - to).abs() < 0.11, "{found:?}");
        };
        near(grown(10.0, 30.0, &[]), 9.0, 31.0);
        near(grown(10.0, 39.5, &[]), 9.0, 40.0);
        near(grown(0.0, 40.0, &[]), 0.0, 40.0);
        near(grown(10.0, 30.0, &[stretch(30.0, 36.0), stretch(4.0, 8.6)]), 9.3, 30.0);
        // Around the whole ring nothing is left.
        near(grown(0.0, 120.0, &[]), 0.0, 120.0);
    }
}
