//! Covers that were typed, with their figures looked up in the table.

use super::{needs_unit, refuse, usage};
use crate::args::SizeArgs;
use crate::failure::Failure;
use crate::resolve::{cover_table, maybe, wrong};
use lotshed::input::StatedCover;
use lotshed::runoff::{CoverClass, CoverFigure, GroundBasis, GroundKind, Lie, SlopeClass};
use lotshed::sizing::{Covered, WayGround};
use lotshed::units::{Area, CurveNumber, Grade, RunoffCoefficient, SoilGroup};

/// Covers of the ground, at least one, each class once.
pub(super) struct Covers {
    basis: GroundBasis,
    slope: Option<Grade>,
    patches: Vec<Patch>,
}

/// Ground of one class.
struct Patch {
    class: CoverClass,
    class_name: String,
    /// With the coefficient of storms up to 10 years.
    kind: GroundKind,
    area: Area,
}

/// What was typed, if anything.
pub(super) fn covers(args: &SizeArgs, slope: Option<Grade>) -> Result<Option<Covers>, Failure> {
    if args.cover.is_empty() {
        return needless(args);
    }
    for (typed, option) in
        [(&args.area, "--area"), (&args.coefficient, "--coefficient"), (&args.curve_number, "--curve-number")]
    {
        if typed.is_some() {
            return refuse(format!(
                "--cover and {option} say the ground in two ways: give all of it by --cover, or none"
            ));
        }
    }
    let basis = GroundBasis {
        table: cover_table(args.cover_table.as_ref())?,
        soil_group: maybe("soil-group", args.soil_group.as_ref())?,
        ..GroundBasis::default()
    };
    let mut patches: Vec<Patch> = Vec::new();
    for text in &args.cover {
        let patch = patch(&basis, slope, text)?;
        if patches.iter().any(|other| other.class_name == patch.class_name) {
            return refuse(format!("--cover: {} is given twice; give its whole area once", patch.class_name));
        }
        patches.push(patch);
    }
    Ok(Some(Covers { basis, slope, patches }))
}

/// Without covers, what is for covers has no use.
fn needless(args: &SizeArgs) -> Result<Option<Covers>, Failure> {
    if args.soil_group.is_some() {
        return refuse("--soil-group has no use without --cover, whose figures hang on the soil");
    }
    if args.cover_table.is_some() {
        return refuse("--cover-table has no use without --cover, or --tables to see it");
    }
    Ok(None)
}

/// One CLASS=AREA.
fn patch(basis: &GroundBasis, slope: Option<Grade>, text: &str) -> Result<Patch, Failure> {
    let Some((class, area)) = text.split_once('=') else {
        return refuse(format!("--cover: \"{text}\" is not a class and its area, as roof=1800ft2"));
    };
    needs_unit("cover", Some(&area.to_owned()), "roof=1800ft2 or roof=170m2")?;
    let area: Area = area.parse().map_err(|cause| wrong("cover", &cause))?;
    if area <= Area::ZERO {
        return refuse(format!("--cover: give more than 0 for the area of {class}"));
    }
    let class_name = class.trim().to_owned();
    let class = basis.table.class(&class_name).map_err(|cause| wrong("cover", &cause))?;
    let cover = StatedCover::of_class(&class_name);
    // The sheet raises the coefficient for a rare storm, where it can be seen.
    let lie = Lie { slope: SlopeClass::of(slope.map_or(0.0, Grade::get)), years: None };
    let kind = basis.kind(Some(&cover), None, lie).map_err(|cause| wrong("cover", &cause))?;
    Ok(Patch { class: class.clone(), class_name, kind, area })
}

impl Covers {
    /// The coefficient of each.
    pub(super) fn coefficients(&self) -> Result<Vec<Covered<RunoffCoefficient>>, Failure> {
        self.patches.iter().map(|patch| self.coefficient(patch)).collect()
    }

    fn coefficient(&self, patch: &Patch) -> Result<Covered<RunoffCoefficient>, Failure> {
        if let Some(missing) = self.missing_for_coefficient(&patch.class) {
            return refuse(format!("{missing}: the runoff coefficient of {} hangs on it", patch.class_name));
        }
        let figure = patch.kind.coefficient.ok_or_else(|| {
            usage(format!(
                "--cover: the cover table has no runoff coefficient for {}; give one in a file with --cover-table",
                patch.class_name
            ))
        })?;
        let name = match self.slope.filter(|_| patch.class.needs_soil()) {
            Some(slope) => format!("{} that falls {:.2} %", patch.kind.name, slope.get() * 100.0),
            None => patch.kind.name.clone(),
        };
        Ok(self.covered(patch, name, figure, CoverFigure::Coefficient))
    }

    fn missing_for_coefficient(&self, class: &CoverClass) -> Option<&'static str> {
        match (self.basis.soil_group, self.slope) {
            _ if !class.needs_soil() => None,
            (Some(_), Some(_)) => None,
            (None, Some(_)) => Some("--soil-group is missing"),
            (Some(_), None) => Some("--slope is missing, or --length with --fall"),
            (None, None) => Some("--soil-group is missing, and --slope, or --length with --fall"),
        }
    }

    /// The curve number of each.
    pub(super) fn curve_numbers(&self) -> Result<Vec<Covered<CurveNumber>>, Failure> {
        self.patches.iter().map(|patch| self.curve_number(patch)).collect()
    }

    fn curve_number(&self, patch: &Patch) -> Result<Covered<CurveNumber>, Failure> {
        let Some(figure) = patch.kind.curve_number else {
            return refuse(if patch.class.curve_number(Some(SoilGroup::A)).is_some() {
                format!("--soil-group is missing: the curve number of {} hangs on it", patch.class_name)
            } else {
                format!(
                    "--cover: the cover table has no curve number for {}; give one in a file with --cover-table",
                    patch.class_name
                )
            });
        };
        Ok(self.covered(patch, patch.kind.name.clone(), figure, CoverFigure::CurveNumber))
    }

    fn covered<T>(&self, patch: &Patch, name: String, figure: T, kind: CoverFigure) -> Covered<T> {
        let source = self.basis.table.source_of(&patch.class, kind);
        Covered { name, area: patch.area, figure, source, fast: patch.kind.fast }
    }

    /// Refuses a soil group that no figure of the answer hangs on.
    pub(super) fn check_soil(&self, flow: bool, volume: bool) -> Result<(), Failure> {
        let counts = |patch: &Patch| {
            (flow && patch.class.needs_soil()) || (volume && patch.class.curve_number(None).is_none())
        };
        if self.basis.soil_group.is_some() && !self.patches.iter().any(counts) {
            return refuse(
                "--soil-group has no use: no figure that is asked of these covers hangs on the soil",
            );
        }
        Ok(())
    }

    /// What the water's way runs over: the largest cover.
    pub(super) fn way_ground(&self) -> WayGround {
        let first = &self.patches[0];
        let largest = self.patches.iter().fold(first, |a, b| if b.area > a.area { b } else { a });
        let rank = if self.patches.len() > 1 { ", the largest cover" } else { "" };
        let stand_in =
            if largest.class.has_surface() { "" } else { ", taken as a lawn where the table has no times" };
        let name = format!("{}{rank}{stand_in}", largest.class_name);
        WayGround { name, surface: largest.kind.surface }
    }
}
