//! What kinds of ground water runs off from, and how much of it.

use super::travel::Surface;
use crate::formula::shallow_flow::ShallowFlow;
use crate::units::{CurveNumber, RunoffCoefficient, SheetRoughness};
use serde::Serialize;

/// One kind of ground: a cover on a soil.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundKind {
    /// Its name: the class of the cover table, or words for ground of which nothing is known.
    pub name: String,
    /// Share of the rain that runs off at the peak; nothing when it wasn't given.
    pub coefficient: Option<RunoffCoefficient>,
    /// Where the coefficient comes from, in words.
    pub coefficient_from: String,
    /// Curve number; nothing when it wasn't given.
    pub curve_number: Option<CurveNumber>,
    /// What water runs over.
    pub surface: Surface,
    /// Whether its water is at the lot line at once: roofs, paving.
    pub fast: bool,
}

impl GroundKind {
    /// Its coefficient as a number; 0 where none was given, which [`super::DesignBasis::missing`] rules out.
    pub(super) fn shed_share(&self) -> f64 {
        self.coefficient.map_or(0.0, RunoffCoefficient::get)
    }
}

/// What ground sheds, as far as the user gave it.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct GroundBasis {
    /// Coefficient of all ground of which no cover is known; there is no default.
    pub coefficient: Option<RunoffCoefficient>,
    /// Curve number of the same.
    pub curve_number: Option<CurveNumber>,
}

impl GroundBasis {
    /// Ground of which no cover is known: times are those of a lawn.
    #[must_use]
    pub fn bare_kind(&self) -> GroundKind {
        GroundKind {
            name: "ground of unknown cover".to_owned(),
            coefficient: self.coefficient,
            coefficient_from: "given by the user".to_owned(),
            curve_number: self.curve_number,
            surface: lawn(),
            fast: false,
        }
    }
}

/// What times over ground of unknown cover are those of: dense grass (n 0.24, TR-55 table 3-1), short-grass pasture (NEH
/// Part 630, table 15-3), average grass (Kerby's N 0.40).
fn lawn() -> Surface {
    Surface {
        sheet: SheetRoughness::new(0.24).expect("0.24 is a roughness"),
        shallow: ShallowFlow::ShortGrassPasture,
        retardance: 0.4,
    }
}
