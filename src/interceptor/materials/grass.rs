//! Grass in a swale.

use super::check::Faults;
use crate::formula::grass_velocity::GrassLining;
use crate::units::Velocity;
use serde::Deserialize;

/// A kind of grass.
#[derive(Debug, Clone, PartialEq)]
pub struct Grass {
    grasses: Vec<String>,
    lining: GrassLining,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawGrass {
    #[serde(default)]
    grasses: Vec<String>,
    resistant_ft_s: Vec<f64>,
    easily_eroded_ft_s: Vec<f64>,
    pub(super) source: String,
}

impl RawGrass {
    pub(super) fn grasses(&self) -> &[String] {
        &self.grasses
    }
}

impl TryFrom<RawGrass> for Grass {
    type Error = Faults;

    fn try_from(raw: RawGrass) -> Result<Self, Faults> {
        let all = |ft_s: &[f64]| ft_s.iter().copied().map(Velocity::from_ft_per_s).collect::<Vec<_>>();
        let lining = GrassLining::new(&all(&raw.resistant_ft_s), &all(&raw.easily_eroded_ft_s))?;
        Ok(Self { grasses: raw.grasses, lining, source: raw.source })
    }
}

impl Grass {
    /// Names of grasses that it stands for, beside its own.
    #[must_use]
    pub fn grasses(&self) -> &[String] {
        &self.grasses
    }

    /// Stands no longer for some of them.
    pub(super) fn give_up(&mut self, taken: impl Fn(&str) -> bool) {
        self.grasses.retain(|name| !taken(name));
    }

    /// Velocities that it bears.
    #[must_use]
    pub const fn lining(&self) -> GrassLining {
        self.lining
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}
