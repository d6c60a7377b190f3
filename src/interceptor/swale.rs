//! A grassed V-shaped swale as the alternative to a pipe.

use super::materials::Materials;
use crate::formula::channel::Trapezoid;
use crate::formula::grass_velocity::{Erodibility, GrassLining};
use crate::units::{Flow, Grade, Length, ManningN, OutOfRange, Velocity};
use serde::Serialize;

/// What a swale must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwaleRules {
    /// The V.
    pub shape: Trapezoid,
    /// Roughness when the grass is long and the water shallow: sets the depth.
    pub long_grass_n: ManningN,
    /// Roughness when the grass is mown: sets the velocity.
    pub mown_grass_n: ManningN,
    /// Deepest water.
    pub deepest: Length,
    /// Flattest ground.
    pub flattest: Grade,
    /// Velocities that the grass bears.
    pub lining: GrassLining,
    /// How the soil under it bears running water.
    pub soil: Erodibility,
}

impl SwaleRules {
    /// Side slopes 3:1, as is common practice for banks that are mown; no source. Water up to 0.30 m deep: common
    /// practice, no source. Ground that falls 0.5 % or more: common practice, no source; the usual minimum for grass is
    /// 1 to 1.5 %, and at half a percent water stands in every unevenness of the bed. Velocities: mixed grasses on easily
    /// eroded soil, of the table of materials.
    ///
    /// # Source
    /// n 0.06 for shallow flow on turf: the lower end of the 0.06 to 0.08 of the US Federal Aviation Administration
    /// (second hand). n 0.035 for bluegrass mown to 50 mm in water 0.2 to 0.5 m deep: Denver Urban Drainage and Flood
    /// Control District (1990), table 2-4 (second hand).
    ///
    /// # Errors
    /// None in practice: the numbers are fixed and a test makes them.
    ///
    /// # Panics
    /// Only if the embedded table of materials were damaged; a test reads it.
    pub fn usual() -> Result<Self, OutOfRange> {
        Self::with(&Materials::built_in())
    }

    /// The same with the grass of a table of materials.
    ///
    /// # Errors
    /// As [`Self::usual`].
    ///
    /// # Panics
    /// Only if the embedded table were damaged: a user's takes no name away without standing for it.
    pub fn with(materials: &Materials) -> Result<Self, OutOfRange> {
        let grass = materials.grass("grass-mixture").expect("the embedded table has it");
        Ok(Self {
            lining: grass.lining(),
            soil: Erodibility::EasilyEroded,
            shape: Trapezoid::v(3.0)?,
            long_grass_n: ManningN::new(0.06)?,
            mown_grass_n: ManningN::new(0.035)?,
            deepest: Length::from_m(0.30),
            flattest: Grade::new(0.005)?,
        })
    }
}

/// Water in a swale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Swale {
    /// Grade that the depth is found at.
    pub grade: Grade,
    /// Normal depth at that grade, grass long.
    #[serde(rename = "depth_m")]
    pub depth: Length,
    /// Width of the water's surface at that depth.
    #[serde(rename = "top_width_m")]
    pub top_width: Length,
    /// Mean velocity at the ground's fall, grass mown.
    #[serde(rename = "velocity_m_s")]
    pub velocity: Velocity,
}

/// Whether a grassed swale serves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "verdict", rename_all = "kebab-case")]
pub enum SwaleSizing {
    /// It does.
    Fits(Swale),
    /// The water would be deeper than allowed.
    TooDeep(Swale),
    /// The water would be faster than the grass bears.
    TooFast(Swale),
    /// Steeper than grass is used for.
    TooSteep(Swale),
    /// The ground is too flat for a swale; the water is that at the flattest grade allowed.
    TooFlat(Swale),
}

impl SwaleSizing {
    /// The water, whatever the verdict.
    #[must_use]
    pub const fn water(&self) -> &Swale {
        match self {
            Self::Fits(water)
            | Self::TooDeep(water)
            | Self::TooFast(water)
            | Self::TooSteep(water)
            | Self::TooFlat(water) => water,
        }
    }
}

/// Sizes a swale that follows the ground.
///
/// # Units
/// `ground` is the ground's fall from end to end by length; `None` where it is unknown, and `least` is taken for it.
///
/// # Method
/// Normal depth by Manning's equation. Depth from the ground's fall, but never from more than `least`, and long grass;
/// velocity from the ground's fall and mown grass: each is worst there. The verdict names the first rule that fails:
/// flat ground, steep ground, velocity, depth.
///
/// # Errors
/// [`OutOfRange`] when the flow is negative or not finite.
pub fn size_swale(
    flow: Flow,
    least: Grade,
    ground: Option<f64>,
    rules: &SwaleRules,
) -> Result<SwaleSizing, OutOfRange> {
    let flattest = rules.flattest.get();
    let fall = ground.unwrap_or(least.get());
    let too_flat = fall < flattest;
    let flatter = Grade::new(if too_flat { flattest } else { fall.min(least.get()) })?;
    let steeper = Grade::new(fall.clamp(flattest, 1.0))?;
    let depth = rules.shape.normal_depth(flow, rules.long_grass_n, flatter)?;
    let shallow = rules.shape.normal_depth(flow, rules.mown_grass_n, steeper)?;
    let radius = rules.shape.section(shallow).hydraulic_radius();
    let water = Swale {
        grade: flatter,
        depth,
        top_width: rules.shape.section(depth).top_width,
        velocity: crate::formula::manning::velocity(rules.mown_grass_n, radius, steeper),
    };
    if too_flat {
        return Ok(SwaleSizing::TooFlat(water));
    }
    Ok(match rules.lining.permissible(steeper, rules.soil) {
        None => SwaleSizing::TooSteep(water),
        Some(limit) if water.velocity > limit => SwaleSizing::TooFast(water),
        Some(_) if depth > rules.deepest => SwaleSizing::TooDeep(water),
        Some(_) => SwaleSizing::Fits(water),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn sized(l_per_s: f64, least: f64, ground: f64) -> SwaleSizing {
        let rules = SwaleRules::usual().unwrap();
        size_swale(Flow::from_l_per_s(l_per_s), Grade::new(least).unwrap(), Some(ground), &rules).unwrap()
    }

    // Closed form of the V: K = 3 (3 / (2 x 10^(1/2)))^(2/3) = 1.82466 in SI; y = (Q n / (K S^(1/2)))^(3/8).
    // Q 0.02, n 0.06, S 0.01: (0.0012 / 0.182466)^(3/8) = 0.15197 m; top width 6 y = 0.91180 m.
    // Velocity, n 0.035: y = (0.0007 / 0.182466)^(3/8) = 0.12416 m; V = Q / (3 y^2) = 0.43249 m/s.
    #[test]
    fn depth_is_that_of_long_grass_and_velocity_that_of_mown() {
        let SwaleSizing::Fits(water) = sized(20.0, 0.01, 0.01) else { panic!("does not fit") };
        assert_relative_eq!(water.depth.as_m(), 0.151_97, epsilon = 1e-5);
        assert_relative_eq!(water.top_width.as_m(), 0.911_80, epsilon = 1e-5);
        assert_relative_eq!(water.velocity.as_m_per_s(), 0.432_49, epsilon = 1e-5);
    }

    #[test]
    fn each_rule_that_fails_is_named() {
        assert!(matches!(sized(20.0, 0.01, 0.12), SwaleSizing::TooSteep(_)));
        assert!(matches!(sized(2000.0, 0.01, 0.05), SwaleSizing::TooFast(_)));
        assert!(matches!(sized(300.0, 0.01, 0.01), SwaleSizing::TooDeep(_)));
        assert!(matches!(sized(20.0, 0.01, 0.004), SwaleSizing::TooFlat(_)));
        assert!(matches!(sized(20.0, 0.01, 0.0), SwaleSizing::TooFlat(_)));
    }

    // The closed form above with S 0.006: (0.0012 / (1.82466 x 0.006^(1/2)))^(3/8) = 0.16724 m; at 1 % it is 0.15197 m.
    #[test]
    fn ground_flatter_than_the_least_grade_makes_the_water_deeper() {
        let SwaleSizing::Fits(water) = sized(20.0, 0.01, 0.006) else { panic!("does not fit") };
        assert_relative_eq!(water.depth.as_m(), 0.167_24, epsilon = 1e-5);
        assert_relative_eq!(water.grade.get(), 0.006);
        // Steeper ground doesn't make it shallower.
        assert_relative_eq!(sized(20.0, 0.01, 0.03).water().depth.as_m(), 0.151_97, epsilon = 1e-5);
    }

    // SCS-TP-61 (1954) as quoted in town codes (second hand): mixed grasses on easily eroded soil, 4 and 3 ft/s.
    #[test]
    fn permissible_velocity_steps_down_with_grade() {
        let rules = SwaleRules::usual().unwrap();
        let limit = |s| {
            let limit = rules.lining.permissible(Grade::new(s).unwrap(), rules.soil);
            limit.map(|v| v.as_ft_per_s().round())
        };
        assert_eq!(
            [limit(0.05), limit(0.06), limit(0.10), limit(0.11)],
            [Some(4.), Some(3.), Some(3.), None]
        );
    }

    proptest! {
        #[test]
        fn more_flow_is_deeper_and_faster(l_per_s in 0.01..500.0f64, s in 0.002..0.1f64, more in 1.0..4.0f64) {
            let (less, more) = (*sized(l_per_s, s, s).water(), *sized(l_per_s * more, s, s).water());
            prop_assert!(more.depth >= less.depth && more.velocity >= less.velocity * (1.0 - 1e-12));
        }
    }
}
