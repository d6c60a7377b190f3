//! A figure of the sheet: value, equation, source.

use super::covers::short;
use crate::output::Units;
use crate::output::words::grade_words;
use crate::units::{Flow, Grade, Length, RainIntensity, RunoffCoefficient, Time, Velocity, Volume};
use serde::Serialize;
use std::borrow::Cow;

/// What a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "unit", content = "value")]
pub enum Value {
    /// A discharge.
    #[serde(rename = "m3/s")]
    Flow(Flow),
    /// Depth of rain or runoff.
    #[serde(rename = "m")]
    Depth(Length),
    /// A span of time.
    #[serde(rename = "s")]
    Time(Time),
    /// A rainfall intensity.
    #[serde(rename = "m/s")]
    Intensity(RainIntensity),
    /// A mean velocity.
    #[serde(rename = "m/s")]
    Velocity(Velocity),
    /// A volume.
    #[serde(rename = "m3")]
    Volume(Volume),
    /// Fall by length.
    #[serde(rename = "1")]
    Grade(Grade),
    /// Share of the rain that runs off at the peak.
    #[serde(rename = "1")]
    Coefficient(RunoffCoefficient),
}

impl Value {
    /// In both systems.
    #[must_use]
    pub fn words(self, units: Units) -> String {
        match self {
            Self::Flow(flow) => units.flow(flow.as_m3_per_s()),
            Self::Depth(depth) => units.rain(depth.as_mm()),
            Self::Time(time) => format!("{:.1} min", time.as_min()),
            Self::Intensity(intensity) => units.intensity(intensity.as_mm_per_h()),
            Self::Velocity(velocity) => units.velocity(velocity.as_m_per_s()),
            Self::Volume(volume) => units.volume(volume.as_m3()),
            Self::Grade(grade) => grade_words(grade),
            Self::Coefficient(coefficient) => short(coefficient.get()),
        }
    }
}

/// An equation with its numbers, in each system of units.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Worked {
    /// In feet and inches.
    pub us: String,
    /// In metres.
    pub si: String,
}

impl Worked {
    /// An equation that is published in one system only.
    #[must_use]
    pub fn same(text: String) -> Self {
        Self { us: text.clone(), si: text }
    }

    /// In one system.
    #[must_use]
    pub fn words(&self, units: Units) -> &str {
        match units {
            Units::Us => &self.us,
            Units::Si => &self.si,
        }
    }
}

/// One figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// What it is.
    pub name: String,
    /// How much.
    #[serde(flatten)]
    pub value: Value,
    /// How it was worked out; nothing for a number given.
    pub worked: Option<Worked>,
    /// Where the equation is from.
    pub source: Option<Cow<'static, str>>,
}

impl Figure {
    /// A number given.
    #[must_use]
    pub fn plain(name: impl Into<String>, value: Value) -> Self {
        Self { name: name.into(), value, worked: None, source: None }
    }

    /// A number worked out.
    #[must_use]
    pub fn worked(
        name: impl Into<String>,
        value: Value,
        worked: Worked,
        source: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self { name: name.into(), value, worked: Some(worked), source: Some(source.into()) }
    }
}
