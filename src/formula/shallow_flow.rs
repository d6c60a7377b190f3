//! Velocity of shallow concentrated flow.

use crate::units::{Grade, Velocity};
use serde::{Deserialize, Serialize};

/// What gathered water runs over: the rows of the published table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShallowFlow {
    /// Pavement and small upland gullies.
    Pavement,
    /// Grassed waterways.
    GrassedWaterway,
    /// Nearly bare, untilled ground.
    NearlyBare,
    /// Cultivated straight rows.
    StraightRows,
    /// Short-grass pasture.
    ShortGrassPasture,
    /// Least tillage, contour or strip cropping, woodland.
    Woodland,
    /// Forest with heavy litter, hay meadow.
    HayMeadow,
}

impl ShallowFlow {
    /// Its constant as printed, ft/s.
    #[must_use]
    pub const fn constant_ft_s(self) -> f64 {
        match self {
            Self::Pavement => 20.328,
            Self::GrassedWaterway => 16.135,
            Self::NearlyBare => 9.965,
            Self::StraightRows => 8.762,
            Self::ShortGrassPasture => 6.962,
            Self::Woodland => 5.032,
            Self::HayMeadow => 2.516,
        }
    }

    /// Its name, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pavement => "over paving",
            Self::GrassedWaterway => "in a grassed waterway",
            Self::NearlyBare => "over nearly bare ground",
            Self::StraightRows => "over straight rows",
            Self::ShortGrassPasture => "over short grass",
            Self::Woodland => "through woods",
            Self::HayMeadow => "through meadow or forest litter",
        }
    }
}

/// Mean velocity.
///
/// # Method
/// V = k s^0.5 with k by ground: Manning's equation at a depth of 0.2 ft (waterways 0.4 ft) and the roughness that the table assumes.
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), table 15-3.
#[must_use]
pub fn velocity(over: ShallowFlow, grade: Grade) -> Velocity {
    Velocity::from_ft_per_s(over.constant_ft_s() * grade.get().sqrt())
}
