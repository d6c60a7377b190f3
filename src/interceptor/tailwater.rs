//! What the water at an outlet does to the pipe that leads there.

use super::full_pipe::FullPipes;
use super::minor_losses::MinorLosses;
use super::outlet::{OutletKind, OutletPlace, OutletWay};
use super::profile::{Profile, ProfileStation};
use geo::Coord;
use serde::Serialize;

/// Levels that differ by less are one, m. Ours: 5 mm is the half of the hundredth that levels are told to, and less than any map of the
/// ground or any rim is known to; where a rim lies in the ground microns would decide.
const ROUNDING_M: f64 = 0.005;

/// Places nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// What stands at the outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Receiving {
    /// Nothing: water falls out of the pipe.
    Free,
    /// Water at the level given.
    Given,
    /// Water at the rim: the sewer below runs full.
    Rim,
    /// Water in the pipe of another part that it comes into, at the level of that one's grade line.
    OtherPipe,
}

/// Whether standing water comes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Backflow {
    /// It stands below the pipe's end.
    None,
    /// It stands in the pipe.
    InPipe,
    /// It stands above ground where water can come out of the line, and does.
    Surface,
}

/// Where water comes out of the line, since it would stand above the ground there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Overflow {
    /// From the way's upper end, m.
    pub from_m: f64,
    /// To where, m.
    pub to_m: f64,
    /// Where it stands highest above the ground, m.
    pub at_m: f64,
    /// By how much, m.
    pub above_ground_m: f64,
}

/// From a level so far above the ground with nothing at the outlet, the pipe is too small, m. Ours.
const FAR_M: f64 = 1.0;

impl Overflow {
    /// Whether the level is so far above the ground that it is none that water can stand at: it only says that the pipe is too small.
    #[must_use]
    pub fn is_far(&self) -> bool {
        self.above_ground_m > FAR_M
    }
}

/// The hydraulic grade line of a way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tailwater {
    /// What stands at the outlet.
    pub receiving: Receiving,
    /// Its level, m; nothing where water falls out freely.
    pub level_m: Option<f64>,
    /// Level of the grade line at the pipe's upper end, m.
    pub head_m: f64,
    /// Fall by length that the flow uses up in the full pipe that leaves; nothing without a storm.
    pub friction: Option<f64>,
    /// Level that the flow uses up at the entrance, bends, joins and the exit, m; nothing without a storm.
    pub minor_losses_m: Option<f64>,
    /// Where the grade line lies above the ground.
    pub overflow: Option<Overflow>,
    /// Whether water comes back without any flow.
    pub backflow: Backflow,
}

/// The pipes of a way, with what comes in and what they end in.
#[derive(Debug, Clone, Copy)]
pub struct PipedWay<'a> {
    /// The way.
    pub way: &'a OutletWay,
    /// The pipe's course, where it isn't that of the way.
    pub course: Option<&'a Profile>,
    /// Its pipes.
    pub pipes: &'a FullPipes,
    /// Where it ends.
    pub place: &'a OutletPlace,
    /// Places on the way at which another pipe joins.
    pub joins: &'a [Coord],
}

/// The grade line of a way's pipes with a free outfall, and with water at the level given there or else at the rim; nothing
/// where no pipe fits.
///
/// # Method
/// From the outlet up: the line starts at the water's level, or at the pipe's top where that is higher, and
/// rises by the friction of each full pipe (Manning) at its flow; it nowhere lies below the pipe's top. So
/// where the pipe runs part full the true line lies lower. At bends, where another pipe joins, and at the
/// line's end for entrance and exit it rises by the loss there, of a pipe that runs full. The approach is
/// that of any text on pipes under pressure.
#[must_use]
pub fn tailwaters(piped: PipedWay<'_>) -> Vec<Tailwater> {
    let Some(stations) = piped.stations() else { return Vec::new() };
    let losses = MinorLosses::of(piped.way, piped.pipes, piped.joins);
    let line = Piped::of(&stations, piped.pipes, &losses);
    let all = std::iter::once((Receiving::Free, None)).chain(piped.place.standing());
    all.map(|(receiving, level_m)| line.tailwater(receiving, level_m)).collect()
}

/// The level of the same grade line at a place of the way, m, with the water that stands at its outlet where
/// that is known, else with none; nothing where no pipe fits, or none lies there.
#[must_use]
pub fn grade_line_at(piped: PipedWay<'_>, at: Coord) -> Option<f64> {
    let stations = piped.stations()?;
    let losses = MinorLosses::of(piped.way, piped.pipes, piped.joins);
    let line = Piped::of(&stations, piped.pipes, &losses);
    let place = piped.way.place_nearest(at)?.checked_sub(line.first)?;
    let standing = piped.place.standing().and_then(|(_, level_m)| level_m);
    line.grade_line(standing).get(place).copied()
}

impl PipedWay<'_> {
    /// Stations of the pipe's course, below the lawn; nothing where no pipe fits.
    fn stations(&self) -> Option<Vec<ProfileStation>> {
        let lawn = self.way.profile()?;
        let laid = self.course.unwrap_or(lawn).stations();
        let station = |(lawn, laid): (&ProfileStation, &ProfileStation)| ProfileStation {
            ground_m: lawn.ground_m,
            ..*laid
        };
        Some(lawn.stations().iter().zip(laid).map(station).collect())
    }
}

impl OutletPlace {
    /// The water that stands there, with its level, m; nothing where that isn't known.
    fn standing(&self) -> Option<(Receiving, Option<f64>)> {
        match (self.tailwater_m, self.rim_m) {
            (Some(given_m), _) if self.kind == OutletKind::OtherPart => {
                Some((Receiving::OtherPipe, Some(given_m)))
            }
            (Some(given_m), _) => Some((Receiving::Given, Some(given_m))),
            (None, Some(rim_m)) => Some((Receiving::Rim, Some(rim_m))),
            (None, None) => None,
        }
    }
}

/// The stations of a way at which there is pipe, the first by its place among all.
struct Piped<'a> {
    stations: &'a [ProfileStation],
    first: usize,
    pipes: &'a FullPipes,
    losses: &'a MinorLosses,
}

impl<'a> Piped<'a> {
    fn of(stations: &'a [ProfileStation], pipes: &'a FullPipes, losses: &'a MinorLosses) -> Self {
        let first = stations.partition_point(|s| s.station_m < pipes.begins_m() - SAME_M);
        Self { stations: &stations[first.min(stations.len() - 1)..], first, pipes, losses }
    }

    fn tailwater(&self, receiving: Receiving, level_m: Option<f64>) -> Tailwater {
        let levels = self.grade_line(level_m);
        let last = self.pipes.last();
        Tailwater {
            receiving,
            level_m,
            head_m: levels[0],
            friction: last.friction,
            minor_losses_m: last.head_m.map(|_| self.losses.total_m()),
            overflow: self.overflow(&levels),
            backflow: self.backflow(level_m),
        }
    }

    fn top_m(&self, at: &ProfileStation) -> f64 {
        at.invert_m + self.pipes.at(at.station_m).inside_m
    }

    /// Level at each station, m.
    fn grade_line(&self, level_m: Option<f64>) -> Vec<f64> {
        let stations = self.stations;
        let last = stations.len() - 1;
        let mut levels = vec![0.0; stations.len()];
        let end_m = self.top_m(&stations[last]);
        let at_end_m = level_m.map_or(end_m, |level_m| level_m.max(end_m));
        levels[last] = at_end_m + self.losses.at_m(self.first + last);
        for place in (0..last).rev() {
            let (from, to) = (&stations[place], &stations[place + 1]);
            let used_m = self.pipes.friction_m(from.station_m, to.station_m);
            let lost_m = self.losses.at_m(self.first + place);
            levels[place] = (levels[place + 1] + used_m + lost_m).max(self.top_m(from));
        }
        levels
    }

    /// Where the grade line lies above the ground, and above the pipe's own top where it comes out in the open, of
    /// the places at which water can come out.
    fn overflow(&self, levels: &[f64]) -> Option<Overflow> {
        let over = |s: &ProfileStation| s.ground_m.max(self.top_m(s));
        let above = self
            .open()
            .map(|place| (place, &self.stations[place]))
            .map(|(place, s)| (s.station_m, levels[place] - over(s)));
        let over: Vec<(f64, f64)> = above.filter(|(_, above_m)| *above_m > ROUNDING_M).collect();
        let highest = over.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a })?;
        Some(Overflow {
            from_m: over[0].0,
            to_m: over[over.len() - 1].0,
            at_m: highest.0,
            above_ground_m: highest.1,
        })
    }

    /// Places of stations at which water can come out of the pipe.
    fn open(&self) -> impl Iterator<Item = usize> + '_ {
        let stations_m: Vec<f64> = self.stations.iter().map(|s| s.station_m).collect();
        (0..stations_m.len()).filter(move |&place| self.pipes.is_open(&stations_m, place))
    }

    fn backflow(&self, level_m: Option<f64>) -> Backflow {
        let Some(level_m) = level_m else { return Backflow::None };
        let stations = self.stations;
        if self.open().any(|place| level_m > stations[place].ground_m + ROUNDING_M) {
            Backflow::Surface
        } else if level_m > stations[stations.len() - 1].invert_m + ROUNDING_M {
            Backflow::InPipe
        } else {
            Backflow::None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::full_pipe::FullPipe;
    use super::*;

    /// One pipe of 0.15 m with so much friction.
    fn even(friction: f64) -> FullPipes {
        let (from_m, to_m) = (0.0, 40.0);
        FullPipes::new(vec![FullPipe {
            from_m,
            to_m,
            inside_m: 0.15,
            friction: Some(friction),
            head_m: None,
        }])
    }

    fn grade_line(
        stations: &[ProfileStation],
        friction: f64,
        level_m: Option<f64>,
        losses: &MinorLosses,
    ) -> Vec<f64> {
        Piped { stations, first: 0, pipes: &even(friction), losses }.grade_line(level_m)
    }

    fn overflow(stations: &[ProfileStation], levels: &[f64]) -> Option<Overflow> {
        Piped { stations, first: 0, pipes: &even(0.0), losses: &MinorLosses::default() }.overflow(levels)
    }

    fn backflow(stations: &[ProfileStation], level_m: Option<f64>) -> Backflow {
        Piped { stations, first: 0, pipes: &even(0.0), losses: &MinorLosses::default() }.backflow(level_m)
    }

    // Water at 9.9 and 0.5 % of friction: 10.1 at the head, 10.05 at 10 m, 10.0 at 20 m, on level ground at 10. Out of a pipe with holes it
    // comes at the first two; out of a tight one with a grate at 11 m at the station next to that, out of a lead from 20 m on nowhere,
    // and out of one from 0 m on at its head alone.
    #[test]
    fn a_tight_pipe_runs_over_only_where_it_is_open() {
        let levels = grade_line(&pipe(), 0.005, Some(9.9), &MinorLosses::default());
        let over = |open: Vec<[f64; 2]>| {
            let (pipes, losses) = (even(0.005).open_along(open), MinorLosses::default());
            let found =
                Piped { stations: &pipe(), first: 0, pipes: &pipes, losses: &losses }.overflow(&levels);
            found.map(|over| (over.from_m, over.to_m))
        };
        assert_eq!(over(vec![[0.0, 40.0]]), Some((0.0, 10.0)));
        assert_eq!(over(vec![[11.0, 11.0]]), Some((10.0, 10.0)));
        assert_eq!(over(vec![[20.0, 20.0]]), None);
        assert_eq!(over(vec![[0.0, 0.0]]), Some((0.0, 0.0)));
        assert_eq!(over(vec![]), None);
        // Standing at 10.1 without any flow it comes out of none but an open one.
        let tight = even(0.0).open_along(vec![]);
        let losses = MinorLosses::default();
        let piped = Piped { stations: &pipe(), first: 0, pipes: &tight, losses: &losses };
        assert_eq!(piped.backflow(Some(10.1)), Backflow::InPipe);
    }

    fn station(station_m: f64, ground_m: f64, invert_m: f64) -> ProfileStation {
        ProfileStation { station_m, ground_m, invert_m, cut_m: ground_m - invert_m + 0.1 }
    }

    /// 40 m of pipe of 0.15 m at 1 %, 0.6 m below level ground at its upper end.
    fn pipe() -> Vec<ProfileStation> {
        (0..=4_u8).map(|i| f64::from(i) * 10.0).map(|m| station(m, 10.0, 9.4 - 0.01 * m)).collect()
    }

    // Friction 0.5 %. Free: from the top of the end, 9.0 + 0.15 = 9.15; up to 40 m the top of the pipe, at 9.55, is above 9.15 + 0.2.
    #[test]
    fn a_pipe_with_a_free_outfall_and_room_runs_no_higher_than_its_top() {
        let levels = grade_line(&pipe(), 0.005, None, &MinorLosses::default());
        for (level, expected) in levels.iter().zip([9.55, 9.45, 9.35, 9.25, 9.15]) {
            assert!((level - expected).abs() < 1e-12, "{levels:?}");
        }
        assert_eq!(overflow(&pipe(), &levels), None);
    }

    // Water at 9.9 at the outlet: 9.9 + 0.005 x 40 = 10.1 at the head, 0.1 m above the ground; above it from 0 to 10 m (9.95 + ... : 10.05 at
    // 10 m, 10.0 at 20 m, which is on it).
    #[test]
    fn standing_water_and_friction_lift_the_line_above_the_ground() {
        let levels = grade_line(&pipe(), 0.005, Some(9.9), &MinorLosses::default());
        for (level, expected) in levels.iter().zip([10.1, 10.05, 10.0, 9.95, 9.9]) {
            assert!((level - expected).abs() < 1e-12, "{levels:?}");
        }
        let over = overflow(&pipe(), &levels).unwrap();
        assert_eq!((over.from_m, over.to_m, over.at_m), (0.0, 10.0, 0.0));
        assert!((over.above_ground_m - 0.1).abs() < 1e-12);
    }

    // A flow twice that at which friction equals the grade loses four times as much: 4 %, from 9.15 to 10.75.
    #[test]
    fn a_pipe_that_is_too_small_overflows_without_any_water_at_its_end() {
        let levels = grade_line(&pipe(), 0.04, None, &MinorLosses::default());
        assert!((levels[0] - 10.75).abs() < 1e-12, "{levels:?}");
        let to_m = overflow(&pipe(), &levels).unwrap().to_m;
        assert!((to_m - 10.0).abs() < 1e-12, "9.95 at 20 m: {to_m}");
    }

    // As before with water at 9.9 and friction 0.5 %, and losses of 0.03 m at 20 m and 0.02 m at 10 m: 9.9,
    // 9.95, 10.03, 10.10, 10.15.
    #[test]
    fn the_line_steps_up_where_level_is_lost() {
        let losses = MinorLosses::at(vec![0.0, 0.02, 0.03, 0.0, 0.0]);
        let levels = grade_line(&pipe(), 0.005, Some(9.9), &losses);
        for (level, expected) in levels.iter().zip([10.15, 10.10, 10.03, 9.95, 9.9]) {
            assert!((level - expected).abs() < 1e-12, "{levels:?}");
        }
    }

    // Two pipes of 20 m: above 0.079 m inside with 3 L/s, n 0.012, below 0.1010 m with 8 L/s, n 0.011. Manning, S = (Q n / (A R^(2/3)))^2:
    // A = 0.00490167, R^(2/3) = 0.01975^(2/3) = 0.0730651: (0.000036 / 0.000358141)^2 = 0.0101041.
    // A = 0.00801185, R^(2/3) = 0.02525^(2/3) = 0.0860700: (0.000088 / 0.000689580)^2 = 0.0162853.
    // With water at 9.9: 9.9 + 20 x 0.0162853 = 10.225706 in the middle, 20 x 0.0101041 more at the head: 10.427788.
    #[test]
    fn each_pipe_uses_up_what_its_own_flow_does() {
        use super::super::bore::Bore;
        use crate::units::{Flow, Length, ManningN};
        let pipe = |inside_m: f64, n: f64, (from_m, to_m): (f64, f64), l_per_s: f64| {
            let (inside, wall) = (Length::from_m(inside_m), Length::ZERO);
            let bore = Bore { inside, wall, roughness: Some(ManningN::new(n).unwrap()) };
            FullPipe::of(bore, (from_m, to_m), Some(Flow::from_l_per_s(l_per_s)))
        };
        let pipes = FullPipes::new(vec![
            pipe(0.079, 0.012, (0.0, 20.0), 3.0),
            pipe(0.1010, 0.011, (20.0, 40.0), 8.0),
        ]);
        let (stations, losses) = (self::pipe(), MinorLosses::default());
        let piped = Piped { stations: &stations, first: 0, pipes: &pipes, losses: &losses };
        let levels = piped.grade_line(Some(9.9));
        for (level, expected) in [levels[2], levels[0]].iter().zip([10.225_706, 10.427_788]) {
            assert!((level - expected).abs() < 2e-5, "{levels:?}");
        }
        // V^2 / 2g of 8 L/s in 0.00801185 m2: 0.998521^2 / 19.6133 = 0.0508350.
        assert!((pipes.last().head_m.unwrap() - 0.050_835).abs() < 1e-5);
    }

    // A pipe that comes out on the ground, its top 0.15 m above it, doesn't run over there.
    #[test]
    fn a_pipe_that_comes_out_in_the_open_does_not_overflow() {
        let open = [station(0.0, 10.0, 9.4), station(10.0, 9.2, 9.2)];
        assert_eq!(overflow(&open, &grade_line(&open, 0.0, None, &MinorLosses::default())), None);
    }

    // A rim in the ground is level with it: 4 mm of noise are no water over the lawn, 6 mm are.
    #[test]
    fn a_rim_level_with_the_ground_does_not_run_over() {
        let flat: Vec<ProfileStation> =
            [0.0, 10.0].into_iter().map(|m| station(m, 10.0, 9.4 - 0.01 * m)).collect();
        for (rim_m, over) in [(10.0 + 1e-5, false), (10.004, false), (10.006, true)] {
            let levels = grade_line(&flat, 0.0, Some(rim_m), &MinorLosses::default());
            assert_eq!(overflow(&flat, &levels).is_some(), over, "{rim_m}");
            assert_eq!(backflow(&flat, Some(rim_m)) == Backflow::Surface, over, "{rim_m}");
        }
    }

    #[test]
    fn water_comes_back_where_it_stands_above_the_end_or_the_ground() {
        assert_eq!(backflow(&pipe(), None), Backflow::None);
        assert_eq!(backflow(&pipe(), Some(9.0)), Backflow::None);
        assert_eq!(backflow(&pipe(), Some(9.2)), Backflow::InPipe);
        assert_eq!(backflow(&pipe(), Some(10.0)), Backflow::InPipe);
        assert_eq!(backflow(&pipe(), Some(10.1)), Backflow::Surface);
    }
}
