//! What the water at an outlet does to the pipe that leads there.

use super::minor_losses::MinorLosses;
use super::outlet::{OutletPlace, OutletWay};
use super::profile::ProfileStation;
use crate::units::Flow;
use geo::Coord;
use serde::Serialize;

/// Levels that differ by less are one, m. Ours: 5 mm is the half of the hundredth that levels are told to, and less than any map of the
/// ground or any rim is known to; where a rim lies in the ground microns would decide.
const ROUNDING_M: f64 = 0.005;

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
}

/// Whether standing water comes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Backflow {
    /// It stands below the pipe's end.
    None,
    /// It stands in the pipe.
    InPipe,
    /// It stands above ground over the line, and comes out there.
    Surface,
}

/// Where water stands above the ground over the line.
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
    /// Level of the grade line at the way's upper end, m.
    pub head_m: f64,
    /// Fall by length that the flow uses up in the full pipe; nothing without a storm.
    pub friction: Option<f64>,
    /// Level that the flow uses up at the entrance, bends, joins and the exit, m; nothing without a storm.
    pub minor_losses_m: Option<f64>,
    /// Where the grade line lies above the ground.
    pub overflow: Option<Overflow>,
    /// Whether water comes back without any flow.
    pub backflow: Backflow,
}

/// A way's grade line with a free outfall, and with water at the level given there or else at the rim; nothing where no pipe fits.
///
/// # Method
/// From the outlet up: the line starts at the water's level, or at the pipe's top where that is higher, and
/// rises by the friction of the full pipe (Manning) at the whole flow of the part; it nowhere lies below the
/// pipe's top. So where the pipe runs part full the true line lies lower. At bends, where another pipe joins
/// (`joins`, places on the way), and at the line's end for entrance and exit it rises by the loss there, of a
/// pipe that runs full. The approach is that of any text on pipes under pressure.
#[must_use]
pub fn tailwaters(
    way: &OutletWay,
    place: &OutletPlace,
    joins: &[Coord],
    flow: Option<Flow>,
) -> Vec<Tailwater> {
    let Some(profile) = way.profile() else { return Vec::new() };
    let friction = flow.and_then(|flow| way.bore.friction(flow));
    let losses = MinorLosses::of(way, joins, flow);
    let stations = profile.stations();
    let line = |receiving: Receiving, level_m: Option<f64>| {
        let levels = grade_line(stations, way.bore.inside.as_m(), friction.unwrap_or(0.0), level_m, &losses);
        Tailwater {
            receiving,
            level_m,
            head_m: levels[0],
            friction,
            minor_losses_m: flow.map(|_| losses.total_m()),
            overflow: overflow(stations, way.bore.inside.as_m(), &levels),
            backflow: backflow(stations, level_m),
        }
    };
    let standing = match (place.tailwater_m, place.rim_m) {
        (Some(given_m), _) => Some(line(Receiving::Given, Some(given_m))),
        (None, Some(rim_m)) => Some(line(Receiving::Rim, Some(rim_m))),
        (None, None) => None,
    };
    [line(Receiving::Free, None)].into_iter().chain(standing).collect()
}

/// Level at each station, m.
fn grade_line(
    stations: &[ProfileStation],
    inside_m: f64,
    friction: f64,
    level_m: Option<f64>,
    losses: &MinorLosses,
) -> Vec<f64> {
    let top_m = |place: usize| stations[place].invert_m + inside_m;
    let last = stations.len() - 1;
    let mut levels = vec![0.0; stations.len()];
    let at_end_m = level_m.map_or(top_m(last), |level_m| level_m.max(top_m(last)));
    levels[last] = at_end_m + losses.at_m(last);
    for place in (0..last).rev() {
        let run_m = stations[place + 1].station_m - stations[place].station_m;
        levels[place] = (levels[place + 1] + friction * run_m + losses.at_m(place)).max(top_m(place));
    }
    levels
}

/// Where the grade line lies above the ground, and above the pipe's own top where it comes out in the open.
fn overflow(stations: &[ProfileStation], inside_m: f64, levels: &[f64]) -> Option<Overflow> {
    let over = |s: &ProfileStation| s.ground_m.max(s.invert_m + inside_m);
    let above = stations.iter().zip(levels).map(|(s, level_m)| (s.station_m, level_m - over(s)));
    let over: Vec<(f64, f64)> = above.filter(|(_, above_m)| *above_m > ROUNDING_M).collect();
    let highest = over.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a })?;
    Some(Overflow {
        from_m: over[0].0,
        to_m: over[over.len() - 1].0,
        at_m: highest.0,
        above_ground_m: highest.1,
    })
}

fn backflow(stations: &[ProfileStation], level_m: Option<f64>) -> Backflow {
    let Some(level_m) = level_m else { return Backflow::None };
    if stations.iter().any(|s| level_m > s.ground_m + ROUNDING_M) {
        Backflow::Surface
    } else if level_m > stations[stations.len() - 1].invert_m + ROUNDING_M {
        Backflow::InPipe
    } else {
        Backflow::None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let levels = grade_line(&pipe(), 0.15, 0.005, None, &MinorLosses::default());
        for (level, expected) in levels.iter().zip([9.55, 9.45, 9.35, 9.25, 9.15]) {
            assert!((level - expected).abs() < 1e-12, "{levels:?}");
        }
        assert_eq!(overflow(&pipe(), 0.15, &levels), None);
    }

    // Water at 9.9 at the outlet: 9.9 + 0.005 x 40 = 10.1 at the head, 0.1 m above the ground; above it from 0 to 10 m (9.95 + ... : 10.05 at
    // 10 m, 10.0 at 20 m, which is on it).
    #[test]
    fn standing_water_and_friction_lift_the_line_above_the_ground() {
        let levels = grade_line(&pipe(), 0.15, 0.005, Some(9.9), &MinorLosses::default());
        for (level, expected) in levels.iter().zip([10.1, 10.05, 10.0, 9.95, 9.9]) {
            assert!((level - expected).abs() < 1e-12, "{levels:?}");
        }
        let over = overflow(&pipe(), 0.15, &levels).unwrap();
        assert_eq!((over.from_m, over.to_m, over.at_m), (0.0, 10.0, 0.0));
        assert!((over.above_ground_m - 0.1).abs() < 1e-12);
    }

    // A flow twice that at which friction equals the grade loses four times as much: 4 %, from 9.15 to 10.75.
    #[test]
    fn a_pipe_that_is_too_small_overflows_without_any_water_at_its_end() {
        let levels = grade_line(&pipe(), 0.15, 0.04, None, &MinorLosses::default());
        assert!((levels[0] - 10.75).abs() < 1e-12, "{levels:?}");
        let to_m = overflow(&pipe(), 0.15, &levels).unwrap().to_m;
        assert!((to_m - 10.0).abs() < 1e-12, "9.95 at 20 m: {to_m}");
    }

    // As before with water at 9.9 and friction 0.5 %, and losses of 0.03 m at 20 m and 0.02 m at 10 m: 9.9,
    // 9.95, 10.03, 10.10, 10.15.
    #[test]
    fn the_line_steps_up_where_level_is_lost() {
        let losses = MinorLosses::at(vec![0.0, 0.02, 0.03, 0.0, 0.0]);
        let levels = grade_line(&pipe(), 0.15, 0.005, Some(9.9), &losses);
        for (level, expected) in levels.iter().zip([10.15, 10.10, 10.03, 9.95, 9.9]) {
            assert!((level - expected).abs() < 1e-12, "{levels:?}");
        }
    }

    // A pipe that comes out on the ground, its top 0.15 m above it, doesn't run over there.
    #[test]
    fn a_pipe_that_comes_out_in_the_open_does_not_overflow() {
        let open = [station(0.0, 10.0, 9.4), station(10.0, 9.2, 9.2)];
        assert_eq!(overflow(&open, 0.15, &grade_line(&open, 0.15, 0.0, None, &MinorLosses::default())), None);
    }

    // A rim in the ground is level with it: 4 mm of noise are no water over the lawn, 6 mm are.
    #[test]
    fn a_rim_level_with_the_ground_does_not_run_over() {
        let flat: Vec<ProfileStation> =
            [0.0, 10.0].into_iter().map(|m| station(m, 10.0, 9.4 - 0.01 * m)).collect();
        for (rim_m, over) in [(10.0 + 1e-5, false), (10.004, false), (10.006, true)] {
            let levels = grade_line(&flat, 0.15, 0.0, Some(rim_m), &MinorLosses::default());
            assert_eq!(overflow(&flat, 0.15, &levels).is_some(), over, "{rim_m}");
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
