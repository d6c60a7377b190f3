//! Soil that a trench is dug in.

use super::check::{Faults, all, within};
use crate::formula::darcy::Conductivity;
use crate::units::{Flow, Velocity, Volume};
use serde::Deserialize;

/// A kind of soil.
///
/// # Invariants
/// Swell 1 to 2. Bare soil never bears faster water than soil with a good cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Soil {
    description: String,
    swell: f64,
    drain_velocity: Option<Velocity>,
    surface_velocity: Option<[Velocity; 2]>,
    inflow_per_1000_ft: Option<[Flow; 2]>,
    conductivity: Option<Conductivity>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSoil {
    description: String,
    swell: f64,
    drain_velocity_ft_s: Option<f64>,
    surface_velocity_ft_s: Option<[f64; 2]>,
    inflow_cfs_per_1000_ft: Option<[f64; 2]>,
    conductivity_m_day: Option<[f64; 2]>,
    pub(super) source: String,
}

impl TryFrom<RawSoil> for Soil {
    type Error = Faults;

    fn try_from(raw: RawSoil) -> Result<Self, Faults> {
        let mut held =
            vec![within("swell", raw.swell, 1.0..=2.0, "1 to 2 (loose volume by volume in the bank)")];
        if let Some(found) = raw.drain_velocity_ft_s {
            held.push(within("velocity in a drain in ft/s", found, 0.5..=30.0, "0.5 to 30"));
        }
        if let Some([bare, covered]) = raw.surface_velocity_ft_s {
            held.push(within("velocity over bare soil in ft/s", bare, 0.1..=20.0, "0.1 to 20"));
            held.push(within(
                "velocity over grown soil in ft/s",
                covered,
                bare..=20.0,
                "that over bare soil to 20",
            ));
        }
        if let Some([least, most]) = raw.inflow_cfs_per_1000_ft {
            held.push(within("ground water in ft3/s on 1000 ft", least, 0.0..=10.0, "0 to 10"));
            held.push(within("ground water in ft3/s on 1000 ft", most, least..=10.0, "its lower end to 10"));
        }
        all(held)?;
        let conductivity = raw.conductivity_m_day.map(|ends| {
            let [least, most] = ends.map(Velocity::from_m_per_day);
            Conductivity::new(least, most)
        });
        Ok(Self {
            description: raw.description,
            swell: raw.swell,
            drain_velocity: raw.drain_velocity_ft_s.map(Velocity::from_ft_per_s),
            surface_velocity: raw.surface_velocity_ft_s.map(|both| both.map(Velocity::from_ft_per_s)),
            inflow_per_1000_ft: raw.inflow_cfs_per_1000_ft.map(|ends| ends.map(Flow::from_ft3_per_s)),
            conductivity: conductivity.transpose()?,
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

    /// Greatest velocity in a drain that lies in it without protection, such as fabric around the stone; `None` where no
    /// figure is known.
    #[must_use]
    pub const fn drain_velocity(&self) -> Option<Velocity> {
        self.drain_velocity
    }

    /// Greatest velocity of water over it, bare and with a good cover; `None` where no figure is known.
    #[must_use]
    pub const fn surface_velocity(&self) -> Option<[Velocity; 2]> {
        self.surface_velocity
    }

    /// Ground water that comes into 1000 ft of a drain across nearly level ground of it, lower and upper end; `None` where no
    /// figure is known.
    #[must_use]
    pub const fn inflow_per_1000_ft(&self) -> Option<[Flow; 2]> {
        self.inflow_per_1000_ft
    }

    /// What it conducts at a grade of one; `None` where no figure is known.
    #[must_use]
    pub const fn conductivity(&self) -> Option<Conductivity> {
        self.conductivity
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}
