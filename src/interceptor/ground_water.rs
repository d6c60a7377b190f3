//! Ground water that a trench of stone may meet besides: an allowance, no part of the flow that it is sized
//! for.

use super::materials::Soil;
use crate::formula::drainage_coefficient::drainage_flow;
use crate::formula::interceptor_inflow::{added_for_fall, interceptor_inflow};
use crate::formula::interceptor_seepage::interceptor_seepage;
use crate::formula::side_drawdown::{drawdown_reach, side_inflow};
use crate::units::{Area, Flow, Grade, Length, Velocity};

/// Depth of water that wet mineral soil gives off in a day, in; surface water apart.
///
/// # Source
/// NRCS, National Engineering Handbook, part 650, chapter 14 (drainage coefficient, from memory, to be
/// confirmed).
const PER_DAY_IN: [f64; 2] = [3.0 / 8.0, 1.0 / 2.0];

/// A trench that lies open to the ground beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WetTrench {
    /// Length of its stone.
    pub length: Length,
    /// Its depth where it is deepest.
    pub depth: Length,
    /// Fall of the ground around it.
    pub fall: Grade,
    /// Ground that drains to it.
    pub area: Area,
}

/// Ground water that it may meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundWater {
    /// Fall of the ground that it is reckoned with.
    pub fall: Grade,
    /// What is added for that, as a share.
    pub added: f64,
    /// By what lines in such soil have met, lower and upper end; nothing where no figure is known.
    pub inflow: Option<[Flow; 2]>,
    /// By the soil's conductivity, with the ground wet to its surface; the same.
    pub seepage: Option<[Flow; 2]>,
    /// What its ground gives off in the days after rain.
    pub after_rain: [Flow; 2],
    /// How far uphill it draws the water down from the surface.
    pub drawn_down: Length,
}

/// Works it out.
///
/// # Method
/// See `docs/methods.md`, "Ground water".
#[must_use]
pub fn ground_water(trench: &WetTrench, soil: &Soil) -> GroundWater {
    let WetTrench { length, depth, fall, area } = *trench;
    let seeps = |conductivity: Velocity| {
        let down_the_slope = interceptor_seepage(conductivity, fall, [depth, Length::ZERO], length);
        let from_the_side = side_inflow(conductivity, depth, length);
        if from_the_side > down_the_slope { from_the_side } else { down_the_slope }
    };
    GroundWater {
        fall,
        added: added_for_fall(fall),
        inflow: soil.inflow_per_1000_ft().map(|ends| ends.map(|end| interceptor_inflow(end, length, fall))),
        seepage: soil.conductivity().map(|range| [range.least(), range.most()].map(seeps)),
        after_rain: PER_DAY_IN.map(|inches| drainage_flow(Length::from_in(inches), area)),
        drawn_down: drawdown_reach(depth),
    }
}

#[cfg(test)]
mod tests {
    use super::super::materials::Materials;
    use super::*;
    use approx::assert_relative_eq;

    fn trench(fall: f64) -> WetTrench {
        WetTrench {
            length: Length::from_ft(200.0),
            depth: Length::from_m(0.6),
            fall: Grade::new(fall).unwrap(),
            area: Area::from_acres(0.5),
        }
    }

    // Loam as silt loam: 0.04 to 0.10 ft3/s on 1000 ft, x 0.2 x 1.1 = 0.0088 to 0.0220. Half an acre: 3/8 and
    // 1/2 in x 0.04201 x 0.5 = 0.007877 and 0.010503 ft3/s. Drawn down 3.8 x 0.6 = 2.28 m. No conductivity is
    // known.
    #[test]
    fn in_loam_on_three_percent() {
        let materials = Materials::built_in();
        let found = ground_water(&trench(0.03), materials.soil("loam").unwrap());
        let [least, most] = found.inflow.unwrap().map(Flow::as_ft3_per_s);
        assert_relative_eq!(least, 0.0088, max_relative = 1e-9);
        assert_relative_eq!(most, 0.0220, max_relative = 1e-9);
        let [least, most] = found.after_rain.map(Flow::as_ft3_per_s);
        assert_relative_eq!(least, 0.007_877, epsilon = 1e-6);
        assert_relative_eq!(most, 0.010_503, epsilon = 1e-6);
        assert_relative_eq!(found.drawn_down.as_m(), 2.28, max_relative = 1e-9);
        assert_relative_eq!(found.added, 0.1);
        assert!(found.seepage.is_none());
        assert!(ground_water(&trench(0.03), materials.soil("rock").unwrap()).inflow.is_none());
    }

    // Sand, 1.6 to 6.0 m/day, 60.96 m. On 3 % the side brings more: K x 0.6 / 7.6 = 0.078947 K a metre
    // against 0.018 K: 1.6 x 0.078947 x 60.96 = 7.7002 m3/day. On 20 % the slope: 0.12 K, 1.6 x 0.12 x 60.96
    // = 11.704 m3/day.
    #[test]
    fn in_sand_the_greater_of_slope_and_side_counts() {
        let materials = Materials::built_in();
        for (fall, m3_day) in [(0.03, 7.7002), (0.2, 11.704)] {
            let [least, most] = ground_water(&trench(fall), materials.soil("sand").unwrap()).seepage.unwrap();
            assert_relative_eq!(least.as_m3_per_s() * 86_400.0, m3_day, max_relative = 1e-4);
            assert_relative_eq!(most / least, 6.0 / 1.6, max_relative = 1e-9);
        }
    }
}
