//! Basins with grates, where water arrives concentrated.

use super::growth::Growth;
use crate::formula::grate::grate_inflow;
use crate::units::{Area, Flow, Length, OutOfRange, Share};

/// Line whose water a basin gathers, m: the lawn around it is dished. Ours: the width up to which water counts as
/// concentrated.
const GATHERS_M: f64 = 3.0;
/// At most one basin in so much line, m. Ours: more of them are a drain along the whole line.
const APART_M: f64 = 10.0;
/// A basin that takes less than this share of the water isn't worth building. Ours.
const LEAST_SHARE: f64 = 0.02;

/// A grate 12 in square with half a square foot of openings, 3 in of water over it, half of it clogged.
///
/// # Source
/// Half clogged: Texas DOT, Hydraulic Design Manual, chapter 10, section 6 (second hand). Size and depth: common practice,
/// no source.
///
/// # Errors
/// None in practice: the numbers are fixed and a test makes them.
pub fn usual_grate() -> Result<Flow, OutOfRange> {
    let (edge, clear) = (Length::from_ft(4.0), Area::from_ft2(0.5));
    Ok(grate_inflow(edge, clear, Share::new(0.5)?, Length::from_ft(0.25)).flow())
}

/// A basin along the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Basin {
    /// Station down the water's way, m.
    pub station_m: f64,
    /// Flow that comes to it.
    pub arrives: Flow,
    /// Flow that it takes.
    pub takes: Flow,
}

/// The lawn that is dished to a basin: both ends along a part of a length, m.
#[must_use]
pub(super) fn gathered(station_m: f64, length_m: f64) -> [f64; 2] {
    let half_m = 0.5 * GATHERS_M.min(length_m);
    [station_m - half_m, station_m + half_m]
}

/// Grates for a flow.
#[must_use]
pub(super) fn grates_for(flow: Flow, grate: Flow) -> u32 {
    super::super::quantities::whole_up(flow / grate).max(1)
}

/// Places for basins: again and again the 3 m of line to which most comes, apart from those that are taken.
///
/// The basins stand in the order of the water's way.
#[must_use]
pub(super) fn place_basins(growth: &Growth, flow: Flow, grate: Flow) -> Vec<Basin> {
    let length_m = growth.length_m();
    let width_m = GATHERS_M.min(length_m);
    let most = super::super::quantities::whole_up(length_m / APART_M).max(1);
    // Where the inflow changes, and side by side.
    let changes = growth.entering().flat_map(|piece| [piece.from_m, piece.to_m - width_m]);
    let side_by_side =
        (0..super::super::quantities::whole_up(length_m / width_m)).map(|i| f64::from(i) * width_m);
    let mut starts: Vec<f64> = side_by_side.chain(changes).collect();
    starts.retain(|from_m| *from_m >= 0.0 && from_m + width_m <= length_m + 1e-9);
    let share = |from_m: f64| growth.share_at(from_m + width_m) - growth.share_at(from_m);
    let mut found: Vec<Basin> = Vec::new();
    for _ in 0..most {
        let apart = |from_m: f64| {
            let station_m = from_m + 0.5 * width_m;
            found.iter().all(|basin| (basin.station_m - station_m).abs() >= width_m - 1e-9)
        };
        let free = starts.iter().copied().filter(|&from_m| apart(from_m));
        let Some(from_m) = free.reduce(|a, b| if share(b) > share(a) { b } else { a }) else { break };
        if share(from_m) < LEAST_SHARE {
            break;
        }
        let arrives = flow * share(from_m);
        let takes = if arrives < grate { arrives } else { grate };
        found.push(Basin { station_m: from_m + 0.5 * width_m, arrives, takes });
    }
    found.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // `../shared/checks/hydrology.md`, 9b: weir 1.500 cfs, orifice 1.344 cfs; half clogged 0.750 and 0.672 cfs.
    #[test]
    fn the_usual_grate_takes_what_its_example_has() {
        assert_relative_eq!(usual_grate().unwrap().as_ft3_per_s(), 0.672, epsilon = 5e-4);
    }

    // 20 m of line; 70 % enter between 4 and 7 m, the rest evenly over the other 17 m (1.76 % a metre): at most 2 basins.
    // 10 L/s: the first is at 5.5 m and has 7; the grate takes 5. The second is the first free 3 m, from 0 m on: 0.529.
    #[test]
    fn basins_stand_where_most_water_comes() {
        let growth = Growth::new(vec![
            (0.0, 0.0),
            (4.0, 0.3 * 4.0 / 17.0),
            (7.0, 0.7 + 0.3 * 4.0 / 17.0),
            (20.0, 1.0),
        ]);
        let found = place_basins(&growth.unwrap(), Flow::from_l_per_s(10.0), Flow::from_l_per_s(5.0));
        assert_eq!(found.len(), 2);
        let wet = found.iter().find(|basin| (basin.station_m - 5.5).abs() < 1e-9).unwrap();
        assert_relative_eq!(wet.arrives.as_l_per_s(), 7.0, max_relative = 1e-9);
        assert_relative_eq!(wet.takes.as_l_per_s(), 5.0, max_relative = 1e-9);
        let other = found.iter().find(|basin| (basin.station_m - 5.5).abs() > 1.0).unwrap();
        assert_relative_eq!(other.takes.as_l_per_s(), 10.0 * 0.3 * 3.0 / 17.0, max_relative = 1e-9);
    }

    #[test]
    fn a_line_shorter_than_a_basin_gathers_has_one() {
        let growth = Growth::new(vec![(0.0, 0.0), (1.4, 1.0)]).unwrap();
        let found = place_basins(&growth, Flow::from_l_per_s(1.0), Flow::from_l_per_s(5.0));
        assert_eq!(found.len(), 1);
        assert_relative_eq!(found[0].takes.as_l_per_s(), 1.0);
        assert_relative_eq!(found[0].station_m, 0.7);
        assert_eq!(grates_for(Flow::from_l_per_s(10.1), Flow::from_l_per_s(5.0)), 3);
    }
}
