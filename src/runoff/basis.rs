//! What sizing rests on, as far as the user gave it.

use super::design::CrossingWater;
use super::graphical::GraphicalBasis;
use super::ground_kind::{GroundKind, NEEDS_SOIL};
use super::rain::Rain;
use super::travel::{ChannelFlow, TimeMethod, TravelBasis};
use crate::units::{CurveNumber, Length, RunoffCoefficient, Time};
use serde::Serialize;

/// Least time of concentration in minutes.
///
/// # Source
/// FHWA, Urban Drainage Design Manual, Hydraulic Engineering Circular 22, for inlets (from memory); many local codes ask
/// for 5 to 10 minutes. NRCS TR-55 (1986), page 3-4, has 0.1 h = 6 minutes.
const LEAST_MINUTES: f64 = 5.0;

/// Rain, and how times are found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DesignBasis {
    /// The design rain; there is no default: a made-up one would look like an answer.
    pub rain: Option<Rain>,
    /// Depth of rain that volumes are of, where the user gave one; else the 24-hour depth of the rainfall table.
    #[serde(rename = "rain_depth_m")]
    pub rain_depth: Option<Length>,
    /// Formula of the time of concentration.
    pub time_method: TimeMethod,
    /// Least time of concentration.
    #[serde(rename = "least_time_s")]
    pub least_time: Time,
    /// Where water runs in a channel; nothing for nowhere.
    pub channel: Option<ChannelFlow>,
    /// What a second opinion by the graphical method rests on; nothing for none.
    pub graphical: Option<GraphicalBasis>,
}

/// Something that must be given before a flow can be worked out.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Missing {
    /// The design rain.
    Intensity,
    /// The runoff coefficient of one kind of ground.
    Coefficient {
        /// The kind.
        ground: String,
        /// Why it isn't known, in words.
        because: String,
    },
}

impl Missing {
    /// What is missing, in words.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::Intensity => "there is no design rainfall".to_owned(),
            Self::Coefficient { ground, because } => {
                format!("the runoff coefficient of {ground} is not known ({because})")
            }
        }
    }

    /// What to give, in words.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Intensity => {
                "a design rainfall: an intensity in mm/h or in/h, or a rainfall table".to_owned()
            }
            Self::Coefficient { because, .. } if because == NEEDS_SOIL => {
                "a soil group, with --soil-group or --soils".to_owned()
            }
            Self::Coefficient { ground, .. } => {
                format!(
                    "a runoff coefficient, above 0 up to 1, for {ground}: --coefficient, --default-cover, or in a file"
                )
            }
        }
    }
}

impl Default for DesignBasis {
    /// No rain; 5 minutes at the least.
    fn default() -> Self {
        Self {
            rain: None,
            rain_depth: None,
            time_method: TimeMethod::Chain,
            least_time: Time::from_min(LEAST_MINUTES),
            channel: None,
            graphical: None,
        }
    }
}

impl DesignBasis {
    /// What is not given; empty when a flow can be worked out.
    #[must_use]
    pub fn missing(&self, kinds: &[GroundKind], crossings: &[CrossingWater<'_>]) -> Vec<Missing> {
        let mut needs = Vec::new();
        if self.rain.is_none() {
            needs.push(Missing::Intensity);
        }
        for (place, kind) in kinds.iter().enumerate() {
            let is_there = || crossings.iter().flat_map(|c| &c.pieces).any(|piece| piece.kind == place);
            if kind.coefficient.is_none() && is_there() {
                let (ground, because) = (kind.name.clone(), kind.coefficient_from.clone());
                needs.push(Missing::Coefficient { ground, because });
            }
        }
        needs
    }

    /// Return period of the design rain, when known.
    #[must_use]
    pub fn years(&self) -> Option<f64> {
        self.rain.as_ref()?.years().map(f64::from)
    }

    /// Depth of rain that volumes are of, if known.
    #[must_use]
    pub fn depth(&self) -> Option<Length> {
        self.rain_depth.or_else(|| self.rain.as_ref()?.day_depth())
    }

    /// What the time of a way rests on, with its composites.
    #[must_use]
    pub fn travel_basis(
        &self,
        coefficient: Option<RunoffCoefficient>,
        curve_number: Option<CurveNumber>,
    ) -> TravelBasis {
        TravelBasis {
            method: self.time_method,
            least: self.least_time,
            two_year_day: self.rain.as_ref().and_then(Rain::two_year_day),
            channel: self.channel,
            coefficient,
            curve_number,
        }
    }
}
