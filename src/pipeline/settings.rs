//! What an assessment is asked to do, every choice resolved.

use crate::flow::Routing;
use crate::runoff::{DesignBasis, GroundBasis};
use crate::units::{Area, Grade, Length, Share};
use serde::Serialize;

/// Settings of one assessment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Settings {
    /// How cells hand on water.
    pub routing: Routing,
    /// Share of the run-on that the line is to catch.
    pub catch: Share,
    /// Distance of the line inside the lot line.
    #[serde(rename = "setback_m")]
    pub setback: Length,
    /// Ground over a pipe, at the least.
    #[serde(rename = "min_cover_m")]
    pub min_cover: Length,
    /// Depth of a trench, at the most.
    #[serde(rename = "max_depth_m")]
    pub max_depth: Length,
    /// A place that the line may drain to.
    pub outlet: Option<NamedOutlet>,
    /// Grade that pipes and swales are sized at.
    pub min_grade: Grade,
    /// The design rain and how times are found; without rain nothing is sized.
    pub storm: DesignBasis,
    /// What the ground sheds.
    pub ground: GroundBasis,
    /// Inner holes up to this area are bridged.
    #[serde(rename = "bridge_holes_m2")]
    pub bridge_holes: Area,
    /// Ground around the lot that is read first; the window grows from there.
    #[serde(rename = "first_margin_m")]
    pub first_margin: Length,
}

/// A place that the user names as the outlet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NamedOutlet {
    /// Degrees east.
    pub lon: f64,
    /// Degrees north.
    pub lat: f64,
    /// The lowest level at which a pipe may come in.
    #[serde(rename = "invert_m")]
    pub invert: Length,
}

impl Settings {
    /// The defaults of the program: proportional routing, 95 % caught, 0.6 m inside the lot line, 1 % grade.
    ///
    /// # Panics
    /// Never: the numbers are in range.
    #[must_use]
    pub fn new() -> Self {
        Self {
            routing: Routing::Proportional,
            catch: Share::new(0.95).expect("0.95 is a share"),
            setback: Length::from_m(0.6),
            min_cover: Length::from_m(0.3),
            max_depth: Length::from_m(1.5),
            outlet: None,
            min_grade: Grade::new(0.01).expect("1 % is a grade"),
            storm: DesignBasis::default(),
            ground: GroundBasis::default(),
            bridge_holes: Area::from_m2(400.0),
            first_margin: Length::from_m(60.0),
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self::new()
    }
}
