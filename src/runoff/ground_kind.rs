//! What kinds of ground water runs off from, and how much of it.

use super::cover_table::{CoverTable, CoverTableError};
use super::travel::Surface;
use crate::formula::frequency_factor::{Raised, raised};
use crate::formula::shallow_flow::ShallowFlow;
use crate::units::{CurveNumber, Retardance, ReturnPeriod, RunoffCoefficient, SheetRoughness, SoilGroup};
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

/// What a file says of a piece of ground.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownCover {
    /// Class of the cover table.
    pub class: String,
    /// Runoff coefficient in place of the table's.
    pub coefficient: Option<RunoffCoefficient>,
    /// Curve number in place of the table's.
    pub curve_number: Option<CurveNumber>,
}

/// What ground sheds, as far as the user gave it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroundBasis {
    /// Coefficient of all ground of which no cover is known; there is no default.
    pub coefficient: Option<RunoffCoefficient>,
    /// Curve number of the same.
    pub curve_number: Option<CurveNumber>,
    /// Cover of ground of which no file says anything.
    pub default_cover: Option<String>,
    /// Soil group of ground of which no file says anything.
    pub soil_group: Option<SoilGroup>,
    /// Figures by cover.
    #[serde(skip)]
    pub table: CoverTable,
}

impl Default for GroundBasis {
    /// Nothing but the built-in table.
    fn default() -> Self {
        Self {
            coefficient: None,
            curve_number: None,
            default_cover: None,
            soil_group: None,
            table: CoverTable::built_in(),
        }
    }
}

/// Where ground of one kind lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie {
    /// Its mean fall by length.
    pub grade: f64,
    /// Return period of the design storm, if known.
    pub years: Option<ReturnPeriod>,
}

impl GroundBasis {
    /// Ground with this cover on this soil; where a file says nothing, that of the defaults.
    ///
    /// # Method
    /// Coefficients of the table are for storms up to 10 years and are raised for rarer ones; those that the user typed
    /// stay as they are.
    ///
    /// # Errors
    /// [`CoverTableError`] for a class that the table doesn't have.
    pub fn kind(
        &self,
        cover: Option<&KnownCover>,
        soil: Option<SoilGroup>,
        lie: Lie,
    ) -> Result<GroundKind, CoverTableError> {
        let soil = soil.or(self.soil_group);
        let default = self.default_cover.as_ref().map(|class| KnownCover {
            class: class.clone(),
            coefficient: None,
            curve_number: None,
        });
        let Some(cover) = cover.or(default.as_ref()) else { return Ok(self.bare_kind()) };
        let class = self.table.class(&cover.class)?;
        let of_table = class.coefficient(lie.grade, soil);
        let for_storm = of_table.map(|c| {
            let plain = Raised { coefficient: c, factor: 1.0, capped: false };
            lie.years.map_or(plain, |years| raised(c, years))
        });
        let source = self.table.sources_of(class);
        let on = soil.filter(|_| class.depends_on_soil());
        let on = on.map_or(String::new(), |soil| format!(" on soil {soil:?}"));
        Ok(GroundKind {
            name: format!("{}{on}", cover.class.trim()),
            coefficient: cover.coefficient.or(for_storm.map(|raised| raised.coefficient)),
            coefficient_from: match (cover.coefficient, of_table.zip(for_storm)) {
                (Some(_), _) => "given with the cover".to_owned(),
                (None, Some((c, Raised { factor, capped, .. }))) if factor > 1.0 => {
                    let cap = if capped { ", capped at 1" } else { "" };
                    format!("{} raised by {factor:.2} for the rare storm{cap}; {source}", c.get())
                }
                (None, Some(_)) => source,
                (None, None) if class.needs_soil() => "needs a soil group".to_owned(),
                (None, None) => "the cover table has none".to_owned(),
            },
            curve_number: cover.curve_number.or_else(|| class.curve_number(soil)),
            surface: class.surface(lawn()),
            fast: class.is_fast(),
        })
    }

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
        retardance: Retardance::new(0.4).expect("0.4 is a retardance"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn kind(class: &str, years: Option<f64>) -> GroundKind {
        let cover = KnownCover { class: class.to_owned(), coefficient: None, curve_number: None };
        let lie = Lie { grade: 0.03, years: years.map(|t| ReturnPeriod::new(t).unwrap()) };
        GroundBasis::default().kind(Some(&cover), Some(SoilGroup::C), lie).unwrap()
    }

    // The table's 0.21 and 0.85 by 1.25 for 100 years: 0.2625 and 1.0625.
    #[test]
    fn a_rare_storm_raises_the_coefficient_and_says_so() {
        let lawn = kind("lawn-good", Some(100.0));
        assert_relative_eq!(lawn.coefficient.unwrap().get(), 0.2625, epsilon = 1e-12);
        assert!(lawn.coefficient_from.starts_with("0.21 raised by 1.25 for the rare storm; "), "{lawn:?}");
        let roof = kind("roof", Some(100.0));
        assert_relative_eq!(roof.coefficient.unwrap().get(), 1.0);
        let said = "0.85 raised by 1.25 for the rare storm, capped at 1; ";
        assert!(roof.coefficient_from.starts_with(said), "{roof:?}");
    }

    #[test]
    fn a_usual_storm_or_one_of_which_nothing_is_known_raises_nothing() {
        for years in [None, Some(10.0)] {
            let roof = kind("roof", years);
            assert_relative_eq!(roof.coefficient.unwrap().get(), 0.85);
            assert!(!roof.coefficient_from.contains("raised"), "{roof:?}");
        }
    }
}
