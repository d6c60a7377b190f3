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
    /// All rows.
    pub const ALL: [Self; 7] = [
        Self::Pavement,
        Self::GrassedWaterway,
        Self::NearlyBare,
        Self::StraightRows,
        Self::ShortGrassPasture,
        Self::Woodland,
        Self::HayMeadow,
    ];

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

    /// Depth (ft) and Manning's n that the constant assumes.
    #[must_use]
    pub const fn assumes(self) -> (f64, f64) {
        match self {
            Self::Pavement => (0.2, 0.025),
            Self::GrassedWaterway => (0.4, 0.050),
            Self::NearlyBare => (0.2, 0.051),
            Self::StraightRows => (0.2, 0.058),
            Self::ShortGrassPasture => (0.2, 0.073),
            Self::Woodland => (0.2, 0.101),
            Self::HayMeadow => (0.2, 0.202),
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
/// V = k s^0.5 with k by ground. The constants are Manning's with 1.486 at the depth and roughness of
/// [`ShallowFlow::assumes`].
///
/// # Source
/// USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), table 15-3.
#[must_use]
pub fn velocity(over: ShallowFlow, grade: Grade) -> Velocity {
    Velocity::from_ft_per_s(over.constant_ft_s() * grade.get().sqrt())
}
