//! Soil that a trench is dug in.

use super::check::{Fault, within};
use crate::units::{Velocity, Volume};
use serde::Deserialize;

/// A kind of soil.
///
/// # Invariants
/// Swell 1 to 2.
#[derive(Debug, Clone, PartialEq)]
pub struct Soil {
    description: String,
    swell: f64,
    drain_velocity: Option<Velocity>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSoil {
    description: String,
    swell: f64,
    drain_velocity_ft_s: Option<f64>,
    pub(super) source: String,
}

impl TryFrom<RawSoil> for Soil {
    type Error = Fault;

    fn try_from(raw: RawSoil) -> Result<Self, Fault> {
        within("swell", raw.swell, 1.0..=2.0, "1 to 2 (loose volume by volume in the bank)")?;
        if let Some(found) = raw.drain_velocity_ft_s {
            within("velocity in a drain in ft/s", found, 0.5..=30.0, "0.5 to 30")?;
        }
        Ok(Self {
            description: raw.description,
            swell: raw.swell,
            drain_velocity: raw.drain_velocity_ft_s.map(Velocity::from_ft_per_s),
            source: raw.source,
        })
    }
}

impl Soil {
    /// What it is.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Loose volume by volume in the bank.
    #[must_use]
    pub const fn swell(&self) -> f64 {
        self.swell
    }

    /// Volume when dug.
    #[must_use]
    pub fn loose(&self, bank: Volume) -> Volume {
        bank * self.swell
    }

    /// Greatest velocity in a drain through it without protection; `None` where no figure is known.
    #[must_use]
    pub const fn drain_velocity(&self) -> Option<Velocity> {
        self.drain_velocity
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}
