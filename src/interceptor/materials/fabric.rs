//! Fabric around the stone, by the soil's fines.

use super::check::{Faults, all, within};
use super::error::MaterialError;
use crate::units::Length;
use serde::Deserialize;

/// Upper end of the fines that a fabric serves, in percent.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fines {
    Below(f64),
    UpTo(f64),
}

impl Fines {
    const fn percent(self) -> f64 {
        match self {
            Self::Below(percent) | Self::UpTo(percent) => percent,
        }
    }

    fn holds(self, percent: f64) -> bool {
        match self {
            Self::Below(end) => percent < end,
            Self::UpTo(end) => percent <= end,
        }
    }
}

/// A class of fabric.
#[derive(Debug, Clone, PartialEq)]
pub struct Fabric {
    name: String,
    fines: Fines,
    opening: Length,
    permittivity_per_s: f64,
    overlap: Length,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFabric {
    name: String,
    fines_below_percent: Option<f64>,
    fines_up_to_percent: Option<f64>,
    opening_mm: f64,
    permittivity_per_s: f64,
    overlap_mm: f64,
    source: String,
}

impl RawFabric {
    fn figures(&self) -> Result<(), Faults> {
        all([
            within("opening in mm", self.opening_mm, 0.01..=5.0, "0.01 to 5"),
            within("permittivity in 1/s", self.permittivity_per_s, 0.01..=100.0, "0.01 to 100"),
            within("overlap in mm", self.overlap_mm, 0.0..=2000.0, "0 to 2000"),
        ])
    }
}

/// Checks the list as a whole.
pub(super) fn check(list: Vec<RawFabric>, path: &str) -> Result<Vec<Fabric>, MaterialError> {
    let mut all: Vec<Fabric> = Vec::new();
    let last = list.len();
    for (number, raw) in (1..).zip(list) {
        let wrong = |reason| MaterialError::Fabric { path: path.to_owned(), number, reason };
        raw.figures().map_err(|faults| MaterialError::Figure {
            path: path.to_owned(),
            entry: format!("fabric {number}"),
            faults,
        })?;
        if raw.source.trim().is_empty() {
            return Err(MaterialError::Source { path: path.to_owned(), entry: format!("fabric {number}") });
        }
        let fines = match (raw.fines_below_percent, raw.fines_up_to_percent) {
            (Some(end), None) => Fines::Below(end),
            (None, Some(end)) => Fines::UpTo(end),
            _ => return Err(wrong("expected one of fines_below_percent and fines_up_to_percent")),
        };
        let before = all.last().map_or(0.0, |fabric| fabric.fines.percent());
        if !(fines.percent() > before && fines.percent() <= 100.0) {
            return Err(wrong("its end of fines is not above that of the one before, up to 100"));
        }
        if number == last && fines != Fines::UpTo(100.0) {
            return Err(wrong("the last one doesn't end at 100 percent, so that some soil has no fabric"));
        }
        all.push(Fabric {
            name: raw.name,
            fines,
            opening: Length::from_mm(raw.opening_mm),
            permittivity_per_s: raw.permittivity_per_s,
            overlap: Length::from_mm(raw.overlap_mm),
            source: raw.source,
        });
    }
    Ok(all)
}

impl Fabric {
    /// What the class is called.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Largest apparent opening.
    #[must_use]
    pub const fn opening(&self) -> Length {
        self.opening
    }

    /// Least permittivity, by second.
    #[must_use]
    pub const fn permittivity_per_s(&self) -> f64 {
        self.permittivity_per_s
    }

    /// Overlap on top of the stone, where the stone is that wide.
    #[must_use]
    pub const fn overlap(&self) -> Length {
        self.overlap
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }

    pub(super) fn serves(&self, fines_percent: f64) -> bool {
        self.fines.holds(fines_percent)
    }
}
