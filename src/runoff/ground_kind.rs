//! What kinds of ground water runs off from, and how much of it.

use super::cover_table::{CoverFigure, CoverTable, CoverTableError, SlopeClass};
use super::travel::Surface;
use crate::formula::frequency_factor::{Raised, raised};
use crate::formula::shallow_flow::ShallowFlow;
use crate::input::StatedCover;
use crate::units::{CurveNumber, Retardance, ReturnPeriod, RunoffCoefficient, SheetRoughness, SoilGroup};
use serde::Serialize;

/// Why a coefficient isn't known that hangs on the soil.
pub(super) const NEEDS_SOIL: &str = "it needs a soil group";

/// One kind of ground: a cover on a soil.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundKind {
    /// Its name: the class of the cover table, or words for ground of which nothing is known.
    pub name: String,
    /// Share of the rain that runs off at the peak; nothing when it wasn't given.
    pub coefficient: Option<RunoffCoefficient>,
    /// Where the coefficient comes from, or why there is none, in words.
    pub coefficient_from: String,
    /// Whether it is the one that was typed for ground without another.
    pub typed: bool,
    /// Whether its figures have roofs and paving in them.
    pub built_up: bool,
    /// What a coefficient of the cover table was multiplied by for the storm's return period; nothing for one that was typed,
    /// and where the return period isn't known.
    pub factor: Option<f64>,
    /// Curve number; nothing when it wasn't given.
    pub curve_number: Option<CurveNumber>,
    /// Where that comes from, or why there is none, in words.
    pub curve_number_from: String,
    /// What water runs over.
    pub surface: Surface,
    /// Where the figures of its times come from, in words.
    pub times_from: String,
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
    /// How much it falls.
    pub slope: SlopeClass,
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
        cover: Option<&StatedCover>,
        soil: Option<SoilGroup>,
        lie: Lie,
    ) -> Result<GroundKind, CoverTableError> {
        let soil = soil.or(self.soil_group);
        let class = cover.map_or(self.default_cover.as_ref(), |cover| cover.class.as_ref());
        let mut kind = match class {
            Some(class) => self.of_class(class, soil, lie)?,
            None => self.bare_kind(),
        };
        let Some(cover) = cover else { return Ok(kind) };
        if cover.class.is_none() {
            "ground with figures of its own".clone_into(&mut kind.name);
        }
        if let Some(coefficient) = cover.coefficient {
            kind.coefficient = Some(coefficient);
            "given with the cover".clone_into(&mut kind.coefficient_from);
            (kind.factor, kind.typed) = (None, false);
        }
        if let Some(number) = cover.curve_number {
            kind.curve_number = Some(number);
            "given with the cover".clone_into(&mut kind.curve_number_from);
        }
        Ok(kind)
    }

    /// Whether the coefficient of ground with this cover on this soil hangs on its slope.
    #[must_use]
    pub fn hangs_on_slope(&self, cover: Option<&StatedCover>, soil: Option<SoilGroup>) -> bool {
        let class = cover.map_or(self.default_cover.as_ref(), |cover| cover.class.as_ref());
        let given = cover.is_some_and(|cover| cover.coefficient.is_some());
        let class = class.filter(|_| !given).and_then(|class| self.table.class(class).ok());
        class.zip(soil.or(self.soil_group)).is_some_and(|(class, soil)| class.depends_on_slope(soil))
    }

    /// Ground with the figures of the cover table.
    fn of_class(&self, name: &str, soil: Option<SoilGroup>, lie: Lie) -> Result<GroundKind, CoverTableError> {
        let class = self.table.class(name)?;
        let of_table = class.coefficient(lie.slope, soil);
        // What was typed stands in where the table has nothing, and not where only the soil is missing.
        let typed = self.coefficient.filter(|_| !class.needs_soil());
        let for_storm = of_table.zip(lie.years).map(|(c, years)| raised(c, years));
        let source = self.table.source_of(class, CoverFigure::Coefficient);
        let on = soil.filter(|_| class.depends_on_soil());
        let on = on.map_or(String::new(), |soil| format!(" on soil {soil:?}"));
        Ok(GroundKind {
            name: format!("{}{on}", name.trim()),
            coefficient: for_storm.map(|raised| raised.coefficient).or(of_table).or(typed),
            typed: typed.is_some() && of_table.is_none(),
            built_up: class.is_built_up(),
            coefficient_from: match (of_table, for_storm) {
                (Some(c), Some(Raised { factor, capped, .. })) if factor > 1.0 => {
                    let cap = if capped { ", capped at 1" } else { "" };
                    format!("{} raised by {factor:.2} for the rare storm{cap}; {source}", c.get())
                }
                (Some(_), _) => source,
                (None, _) if class.needs_soil() => NEEDS_SOIL.to_owned(),
                (None, _) if self.coefficient.is_some() => {
                    "given by the user, as the cover table has none".to_owned()
                }
                (None, _) => "the cover table has none".to_owned(),
            },
            factor: for_storm.map(|raised| raised.factor),
            curve_number: class
                .curve_number(soil)
                .or_else(|| self.curve_number.filter(|_| !class.has_curve_number())),
            curve_number_from: match (class.curve_number(soil), self.curve_number) {
                (Some(_), _) => self.table.source_of(class, CoverFigure::CurveNumber),
                (None, _) if class.has_curve_number() => NEEDS_SOIL.to_owned(),
                (None, Some(_)) => "given by the user, as the cover table has none".to_owned(),
                (None, None) => "the cover table has none".to_owned(),
            },
            surface: class.surface(lawn()),
            times_from: if class.has_surface() {
                self.table.source_of(class, CoverFigure::Times)
            } else {
                LAWN.to_owned()
            },
            fast: class.is_fast(),
        })
    }

    /// Ground of which no cover is known: times are those of a lawn.
    #[must_use]
    pub fn bare_kind(&self) -> GroundKind {
        GroundKind {
            name: "ground of unknown cover".to_owned(),
            coefficient: self.coefficient,
            coefficient_from: match self.coefficient {
                Some(_) => "given by the user".to_owned(),
                None => "its cover isn't known either".to_owned(),
            },
            typed: self.coefficient.is_some(),
            built_up: false,
            factor: None,
            curve_number: self.curve_number,
            curve_number_from: "given by the user".to_owned(),
            surface: lawn(),
            times_from: LAWN.to_owned(),
            fast: false,
        }
    }
}

/// What is said of these figures.
const LAWN: &str = "taken as a lawn: dense grass, TR-55 (1986), table 3-1; short-grass pasture, NEH Part 630, chapter 15 (2010), table 15-3; average grass, TxDOT report 0-4696-2 (2005)";

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
        let cover = StatedCover::of_class(class);
        let lie = Lie { slope: SlopeClass::of(0.03), years: years.map(|t| ReturnPeriod::new(t).unwrap()) };
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
