//! What the surface over the stone takes in.

use super::check::{Faults, all, within};
use crate::formula::darcy::FlowRange;
use crate::units::{Area, RainIntensity};
use serde::Deserialize;

/// A kind of surface.
///
/// # Invariants
/// The lower end of the intake is above 0 and not above the upper one; clogged it takes no more than that.
#[derive(Debug, Clone, PartialEq)]
pub struct Top {
    description: String,
    least: RainIntensity,
    most: RainIntensity,
    clogged: Option<RainIntensity>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawTop {
    description: String,
    intake_mm_h: [f64; 2],
    #[serde(default)]
    clogged_mm_h: Option<f64>,
    pub(super) source: String,
}

impl TryFrom<RawTop> for Top {
    type Error = Faults;

    fn try_from(raw: RawTop) -> Result<Self, Faults> {
        let [least, most] = raw.intake_mm_h;
        let clogged = raw
            .clogged_mm_h
            .map(|found| within("clogged intake in mm/h", found, 0.01..=least, "0.01 to the least"));
        let ends = [
            within("least intake in mm/h", least, 0.01..=1e7, "0.01 to 10 000 000"),
            within("greatest intake in mm/h", most, least..=1e7, "the least to 10 000 000"),
        ];
        all(ends.into_iter().chain(clogged))?;
        Ok(Self {
            description: raw.description,
            least: RainIntensity::from_mm_per_h(least),
            most: RainIntensity::from_mm_per_h(most),
            clogged: raw.clogged_mm_h.map(RainIntensity::from_mm_per_h),
            source: raw.source,
        })
    }
}

impl Top {
    /// What it is.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Lower end of the intake.
    #[must_use]
    pub const fn least(&self) -> RainIntensity {
        self.least
    }

    /// Upper end of the intake.
    #[must_use]
    pub const fn most(&self) -> RainIntensity {
        self.most
    }

    /// What it takes in when silt and leaves have clogged it; nothing where that isn't known.
    #[must_use]
    pub const fn clogged(&self) -> Option<RainIntensity> {
        self.clogged
    }

    /// What an area of it takes, water standing on it: both ends of the range.
    #[must_use]
    pub fn takes(&self, area: Area) -> FlowRange {
        FlowRange { least: self.least * area, most: self.most * area }
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}
