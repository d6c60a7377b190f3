//! What an assessment is asked to do, every choice resolved.

use crate::certainty::{ErrorModel, REALISATIONS};
use crate::flow::Routing;
use crate::interceptor::catalogue::Catalogue;
use crate::interceptor::drain::Arrangement;
use crate::interceptor::materials::Materials;
use crate::interceptor::quantities::PriceList;
use crate::runoff::{DesignBasis, GroundBasis};
use crate::units::{Area, Date, Grade, Length, Share};
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
    /// Least grade of pipes; where no outlet is known, pipes and swales are sized at it.
    pub min_grade: Grade,
    /// How drains are built.
    pub drain: DrainSettings,
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
    /// Repeats under elevation error; none without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub certainty: Option<CertaintySettings>,
    /// When the elevations were surveyed, if the user says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surveyed: Option<Date>,
    /// The ground is known to have changed then, or may have: older elevations don't show it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ground_changed: Option<Date>,
    /// The latest day that it may be anywhere: no survey is of a later one. The library has no clock; without this no date
    /// is held against it. In no file.
    #[serde(skip)]
    pub today: Option<Date>,
    /// Ids of parcels of which it is to be said why their water comes to the lot, or doesn't.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub why: Vec<String>,
}

/// Repeats under elevation error.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CertaintySettings {
    /// What the error is taken to be.
    #[serde(flatten)]
    pub model: ErrorModel,
    /// Realisations at the most.
    pub realisations: usize,
    /// Which of the many possible samples is drawn.
    pub seed: u64,
}

impl CertaintySettings {
    /// The usual number of realisations, seed 1.
    #[must_use]
    pub const fn of(model: ErrorModel) -> Self {
        Self { model, realisations: REALISATIONS, seed: 1 }
    }
}

/// How drains are built.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrainSettings {
    /// The arrangement; the recommended one without it.
    pub arrangement: Option<Arrangement>,
    /// Finish over the stone, by its name in the table of materials.
    pub finish: String,
    /// Soil that is dug.
    pub trench_soil: String,
    /// Size of the stone.
    pub stone: String,
    /// Share of the soil that is finer than 0.075 mm; without it fabric is taken for the finest soils.
    pub fines: Option<Share>,
    /// Pipes to choose from.
    #[serde(skip)]
    pub catalogue: Catalogue,
    /// Stone, soils, fabrics, grasses, surfaces and finishes.
    #[serde(skip)]
    pub materials: Materials,
    /// Prices.
    #[serde(skip)]
    pub prices: Option<PriceList>,
}

impl Default for DrainSettings {
    /// Stone 57 up to the surface in loam, the ordinary pipes, no prices.
    fn default() -> Self {
        Self {
            arrangement: None,
            finish: "bare-stone".to_owned(),
            trench_soil: "loam".to_owned(),
            stone: "57".to_owned(),
            fines: None,
            catalogue: Catalogue::ordinary().expect("the embedded catalogue is sound"),
            materials: Materials::built_in(),
            prices: None,
        }
    }
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
            drain: DrainSettings::default(),
            storm: DesignBasis::default(),
            ground: GroundBasis::default(),
            bridge_holes: Area::from_m2(400.0),
            first_margin: Length::from_m(60.0),
            certainty: None,
            surveyed: None,
            ground_changed: None,
            today: None,
            why: Vec::new(),
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self::new()
    }
}
