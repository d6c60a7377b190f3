//! One cover of the table.

use super::super::travel::Surface;
use crate::formula::shallow_flow::ShallowFlow;
use crate::units::{CurveNumber, Retardance, RunoffCoefficient, SheetRoughness, SoilGroup};
use serde::Deserialize;
use std::collections::BTreeMap;

/// Slopes between which the middle coefficient of grassed ground counts, both included: the source's rows are "flat, below
/// 2 %", "2 to 7 %" and "steep, above 7 %".
const SLOPES: [f64; 2] = [0.02, 0.07];

/// Rows of the source by the slope of the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SlopeClass {
    /// Below 2 %.
    Flat,
    /// 2 to 7 %.
    Middle,
    /// Above 7 %.
    Steep,
}

impl SlopeClass {
    /// All of them, the flattest first.
    pub const ALL: [Self; 3] = [Self::Flat, Self::Middle, Self::Steep];

    /// That of ground with a fall by length.
    #[must_use]
    pub fn of(grade: f64) -> Self {
        Self::ALL[usize::from(grade >= SLOPES[0]) + usize::from(grade > SLOPES[1])]
    }

    /// Its place among all.
    #[must_use]
    pub const fn place(self) -> usize {
        self as usize
    }

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Flat => "below 2 %",
            Self::Middle => "2 to 7 %",
            Self::Steep => "above 7 %",
        }
    }
}

/// Share of the rain that runs off at the peak.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(
    untagged,
    expecting = "a runoff coefficient is a number above 0 up to 1, or { sandy = [a, b, c], heavy = [a, b, c] } of such numbers"
)]
pub(super) enum Coefficient {
    One(RunoffCoefficient),
    BySoil(BySoil),
}

/// For ground that falls less than 2 %, 2 to 7 %, and more.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BySoil {
    pub(super) sandy: [RunoffCoefficient; 3],
    pub(super) heavy: [RunoffCoefficient; 3],
}

/// One cover.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoverClass {
    pub(super) description: String,
    #[serde(default)]
    pub(super) fast: bool,
    #[serde(default)]
    pub(super) built_up: bool,
    pub(super) coefficient: Option<Coefficient>,
    pub(super) curve_number: Option<[CurveNumber; 4]>,
    pub(super) sheet_n: Option<SheetRoughness>,
    pub(super) shallow: Option<ShallowFlow>,
    pub(super) retardance: Option<Retardance>,
    #[serde(default)]
    pub(super) from: Origin,
}

/// Keys of the sources.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(
    untagged,
    expecting = "from is a list of keys of [sources], or { coefficient = \"key\", curve_number = \"key\", times = \"key\" }"
)]
pub(super) enum Origin {
    /// Of all figures.
    All(Vec<String>),
    /// Of each kind of figures.
    Each(BTreeMap<CoverFigure, String>),
}

impl Default for Origin {
    fn default() -> Self {
        Self::All(Vec::new())
    }
}

impl Origin {
    /// All keys, each once.
    pub(super) fn keys(&self) -> Vec<&str> {
        let all: Vec<&str> = match self {
            Self::All(keys) => keys.iter().map(String::as_str).collect(),
            Self::Each(keys) => keys.values().map(String::as_str).collect(),
        };
        let mut once = Vec::new();
        for key in all {
            if !once.contains(&key) {
                once.push(key);
            }
        }
        once
    }

    /// Those of one kind of figures.
    pub(super) fn of(&self, figure: CoverFigure) -> Vec<&str> {
        match self {
            Self::All(_) => self.keys(),
            Self::Each(keys) => keys.get(&figure).map(String::as_str).into_iter().collect(),
        }
    }
}

/// Kinds of figures that have sources.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoverFigure {
    /// The runoff coefficient.
    Coefficient,
    /// The curve numbers.
    CurveNumber,
    /// What times rest on.
    Times,
}

impl CoverClass {
    /// Whether its water is off it at once.
    #[must_use]
    pub const fn is_fast(&self) -> bool {
        self.fast
    }

    /// Whether its figures have roofs and paving in them.
    #[must_use]
    pub const fn is_built_up(&self) -> bool {
        self.built_up
    }

    /// Whether it has curve numbers.
    #[must_use]
    pub const fn has_curve_number(&self) -> bool {
        self.curve_number.is_some()
    }

    /// What it is.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Whether it has all figures for the time of sheet and shallow flow.
    #[must_use]
    pub const fn has_surface(&self) -> bool {
        self.sheet_n.is_some() && self.shallow.is_some()
    }

    /// Runoff coefficient of ground of a slope; nothing when the table has none, or none without a soil group.
    #[must_use]
    pub fn coefficient(&self, slope: SlopeClass, soil: Option<SoilGroup>) -> Option<RunoffCoefficient> {
        let by_soil = match self.coefficient? {
            Coefficient::One(coefficient) => return Some(coefficient),
            Coefficient::BySoil(by_soil) => by_soil,
        };
        match soil? {
            SoilGroup::A | SoilGroup::B => Some(by_soil.sandy[slope.place()]),
            SoilGroup::C | SoilGroup::D => Some(by_soil.heavy[slope.place()]),
        }
    }

    /// Whether its coefficient hangs on the slope.
    #[must_use]
    pub fn depends_on_slope(&self, soil: SoilGroup) -> bool {
        let of = |slope| self.coefficient(slope, Some(soil));
        SlopeClass::ALL.into_iter().any(|slope| of(slope) != of(SlopeClass::Middle))
    }

    /// Whether a soil group is all that is missing for a coefficient.
    #[must_use]
    pub const fn needs_soil(&self) -> bool {
        matches!(self.coefficient, Some(Coefficient::BySoil(_)))
    }

    /// Whether any of its figures hangs on the soil.
    #[must_use]
    pub fn depends_on_soil(&self) -> bool {
        self.needs_soil()
            || self.curve_number.is_some_and(|all| all.windows(2).any(|pair| pair[0] != pair[1]))
    }

    /// Curve number; nothing when the table has none, or none without a soil group.
    #[must_use]
    pub fn curve_number(&self, soil: Option<SoilGroup>) -> Option<CurveNumber> {
        let numbers = self.curve_number?;
        if numbers.windows(2).all(|pair| pair[0] == pair[1]) {
            return Some(numbers[0]);
        }
        Some(
            numbers[match soil? {
                SoilGroup::A => 0,
                SoilGroup::B => 1,
                SoilGroup::C => 2,
                SoilGroup::D => 3,
            }],
        )
    }

    /// What water runs over; what the table leaves out is taken from `rest`.
    #[must_use]
    pub fn surface(&self, rest: Surface) -> Surface {
        Surface {
            sheet: self.sheet_n.unwrap_or(rest.sheet),
            shallow: self.shallow.unwrap_or(rest.shallow),
            retardance: self.retardance.unwrap_or(rest.retardance),
        }
    }
}
