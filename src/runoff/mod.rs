//! Stage 5: from contributing area and storm to the flow that sizes things.
//!
//! Takes a [`Storm`] and a runoff coefficient, each only if the user gave one, and an area. Gives a [`DesignFlow`]:
//! the flow with all that it rests on, or what is missing. There is no default storm and no default coefficient: a
//! made-up one would look like an answer. Touches no files.

mod ponds;

pub use ponds::{PondInStorm, StormLedger, storm_ledger};

use crate::formula::rational::{LARGEST_AREA_HA, peak_flow};
use crate::units::{Area, Flow, RainIntensity, RunoffCoefficient};
use crate::warning::{Warned, Warning};
use serde::Serialize;

/// The rain that things are sized for.
#[derive(Debug, Clone, PartialEq)]
pub struct Storm {
    /// Mean number of years between storms as large, when known.
    pub return_period_years: Option<f64>,
    /// How long it lasts, in minutes, when known.
    pub duration_min: Option<f64>,
    /// Its mean intensity over that time.
    pub intensity: RainIntensity,
    /// Where the intensity comes from, in words.
    pub source: String,
}

impl Storm {
    /// A storm of which the user gave nothing but the intensity.
    #[must_use]
    pub fn of_intensity(intensity: RainIntensity) -> Self {
        Self {
            return_period_years: None,
            duration_min: None,
            intensity,
            source: "given by the user".to_owned(),
        }
    }
}

/// What sizing rests on, as far as the user gave it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DesignBasis {
    /// The storm.
    pub storm: Option<Storm>,
    /// Share of the rain that runs off at the peak.
    pub coefficient: Option<RunoffCoefficient>,
}

/// Something that must be given before a flow can be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Missing {
    /// The intensity of the design storm.
    Intensity,
    /// The runoff coefficient.
    Coefficient,
}

impl Missing {
    /// What to give, in words.
    #[must_use]
    pub const fn remedy(self) -> &'static str {
        match self {
            Self::Intensity => "a design rainfall intensity, in mm/h or in/h",
            Self::Coefficient => "a runoff coefficient, above 0 up to 1",
        }
    }
}

/// The flow that an area gives in the design storm, or why there is none.
#[derive(Debug, Clone, PartialEq)]
pub enum DesignFlow {
    /// By the rational method.
    Estimated(PeakFlow),
    /// Not worked out.
    NotEstimated {
        /// What must be given first; at least one.
        needs: Vec<Missing>,
    },
}

/// A peak flow with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct PeakFlow {
    /// The flow.
    pub flow: Flow,
    /// The area it comes from.
    pub area: Area,
    /// Share of the rain that runs off at the peak.
    pub coefficient: RunoffCoefficient,
    /// The storm.
    pub storm: Storm,
}

impl DesignFlow {
    /// The flow of an area.
    ///
    /// # Method
    /// Rational method, [`peak_flow`]. An area above its usual limit is still worked out, with the warning
    /// `area-beyond-rational-method`.
    #[must_use]
    pub fn of_area(basis: &DesignBasis, area: Area) -> Warned<Self> {
        let (Some(storm), Some(coefficient)) = (&basis.storm, basis.coefficient) else {
            return Warned::clean(Self::NotEstimated { needs: basis.missing() });
        };
        let flow = peak_flow(coefficient, storm.intensity, area);
        let peak = Self::Estimated(PeakFlow { flow, area, coefficient, storm: storm.clone() });
        if area.as_ha() <= LARGEST_AREA_HA {
            return Warned::clean(peak);
        }
        Warned::new(peak, vec![beyond_method(area)])
    }

    /// The flow, when there is one.
    #[must_use]
    pub fn flow(&self) -> Option<Flow> {
        match self {
            Self::Estimated(peak) => Some(peak.flow),
            Self::NotEstimated { .. } => None,
        }
    }
}

impl DesignBasis {
    /// What is not given; empty when a flow can be worked out.
    #[must_use]
    pub fn missing(&self) -> Vec<Missing> {
        let mut needs = Vec::new();
        if self.storm.is_none() {
            needs.push(Missing::Intensity);
        }
        if self.coefficient.is_none() {
            needs.push(Missing::Coefficient);
        }
        needs
    }
}

fn beyond_method(area: Area) -> Warning {
    Warning::new(
        "area-beyond-rational-method",
        format!(
            "the contributing area of {:.0} ha is above the {LARGEST_AREA_HA:.0} ha for which the rational method is meant",
            area.as_ha()
        ),
        "use the flow as a rough figure only; an area of this size needs a method that lets the flood rise and fall",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn basis(mm_per_h: Option<f64>, coefficient: Option<f64>) -> DesignBasis {
        DesignBasis {
            storm: mm_per_h.map(|i| Storm::of_intensity(RainIntensity::from_mm_per_h(i))),
            coefficient: coefficient.map(|c| RunoffCoefficient::new(c).unwrap()),
        }
    }

    // 0.5 x 36 mm/h x 1 ha = 0.5 x 1e-5 m/s x 1e4 m2, by hand.
    #[test]
    fn area_and_storm_give_the_flow() {
        let found = DesignFlow::of_area(&basis(Some(36.0), Some(0.5)), Area::from_ha(1.0));
        assert!(found.warnings.is_empty());
        assert_relative_eq!(found.value.flow().unwrap().as_m3_per_s(), 0.05, max_relative = 1e-12);
    }

    #[test]
    fn what_is_missing_is_named_and_nothing_is_assumed() {
        let needs = |mm_per_h, coefficient| match DesignFlow::of_area(
            &basis(mm_per_h, coefficient),
            Area::from_ha(1.0),
        )
        .value
        {
            DesignFlow::NotEstimated { needs } => needs,
            DesignFlow::Estimated(peak) => panic!("estimated from nothing: {peak:?}"),
        };
        assert_eq!(needs(None, Some(0.5)), [Missing::Intensity]);
        assert_eq!(needs(Some(36.0), None), [Missing::Coefficient]);
        assert_eq!(needs(None, None), [Missing::Intensity, Missing::Coefficient]);
    }

    #[test]
    fn a_large_area_is_worked_out_with_a_warning() {
        let found = DesignFlow::of_area(&basis(Some(36.0), Some(0.5)), Area::from_ha(81.0));
        assert!(found.value.flow().is_some());
        assert_eq!(found.warnings[0].code, "area-beyond-rational-method");
        assert!(found.warnings[0].message.contains("81 ha"));
    }
}
