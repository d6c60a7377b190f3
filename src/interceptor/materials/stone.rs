//! Stone by size.

use super::check::{Faults, all, within};
use crate::formula::darcy::Conductivity;
use crate::units::{Mass, Share, Velocity, Volume};
use serde::Deserialize;

/// A size of stone.
///
/// # Invariants
/// Porosity 0.2 to 0.6, mass 1000 to 2500 kg/m3, the smallest grain smaller than the largest.
#[derive(Debug, Clone, PartialEq)]
pub struct Stone {
    name: String,
    description: String,
    sieve_mm: [f64; 2],
    porosity: Share,
    loose_kg_m3: f64,
    conductivity: Conductivity,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawStone {
    /// That of the entry.
    #[serde(skip)]
    name: String,
    description: String,
    sieve_mm: [f64; 2],
    porosity: f64,
    loose_kg_m3: f64,
    conductivity_m_day: [f64; 2],
    pub(super) source: String,
}

impl TryFrom<RawStone> for Stone {
    type Error = Faults;

    fn try_from(raw: RawStone) -> Result<Self, Faults> {
        let [smallest, largest] = raw.sieve_mm;
        all([
            within("smallest size in mm", smallest, 0.1..=200.0, "0.1 to 200"),
            within("largest size in mm", largest, smallest..=300.0, "the smallest to 300"),
            within("porosity", raw.porosity, 0.2..=0.6, "0.2 to 0.6"),
            within("loose mass in kg/m3", raw.loose_kg_m3, 1000.0..=2500.0, "1000 to 2500"),
        ])?;
        let [least, most] = raw.conductivity_m_day.map(Velocity::from_m_per_day);
        Ok(Self {
            name: raw.name,
            description: raw.description,
            sieve_mm: raw.sieve_mm,
            porosity: Share::new(raw.porosity)?,
            loose_kg_m3: raw.loose_kg_m3,
            conductivity: Conductivity::new(least, most)?,
            source: raw.source,
        })
    }
}

impl RawStone {
    /// The entry with its name.
    pub(super) fn named(self, name: &str) -> Self {
        Self { name: name.to_owned(), ..self }
    }
}

impl Stone {
    /// Its name in the table of materials, and in price lists.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What it is.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Nominal size in millimetres, smallest and largest.
    #[must_use]
    pub const fn sieve_mm(&self) -> [f64; 2] {
        self.sieve_mm
    }

    /// Voids by whole volume.
    #[must_use]
    pub const fn porosity(&self) -> Share {
        self.porosity
    }

    /// Mass of a cubic metre as placed loose, in kilograms.
    #[must_use]
    pub const fn loose_kg_m3(&self) -> f64 {
        self.loose_kg_m3
    }

    /// Mass of a volume as placed.
    #[must_use]
    pub const fn mass(&self, placed: Volume) -> Mass {
        Mass::from_kg(self.loose_kg_m3 * placed.as_m3())
    }

    /// What it conducts.
    #[must_use]
    pub const fn conductivity(&self) -> Conductivity {
        self.conductivity
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}
