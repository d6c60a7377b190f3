//! What the inputs are and what is wrong with them: all of it, not just the first.

use super::error::{ExitClass, InputError};
use super::lot_check;
use super::parcels::{Wanted, gather, in_working};
use super::place::check_area_of_use;
use super::raster::look::look;
use super::raster::{ElevationFacts, Sources, assemble, describe, survey};
use super::setup::set_up;
use super::site::{Opened, middle, open_parcels};
use super::{ElevationOptions, ParcelOptions, UnitSource};
use crate::crs::Transform;
use crate::warning::Warning;
use serde::Serialize;
use std::collections::BTreeMap;

/// How grave a finding is; graver ones sort first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// A run would be refused.
    Refusal,
    /// A run would go through with a warning.
    Warning,
    /// Worth knowing.
    Note,
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// How grave it is.
    pub severity: Severity,
    /// Stable code, in words with hyphens.
    pub code: String,
    /// What was found.
    pub message: String,
    /// What to do.
    pub help: String,
}

/// What is known about the parcel file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ParcelFacts {
    /// The path as typed.
    pub path: String,
    /// Name of the format.
    pub driver: String,
    /// Name of the layer.
    pub layer: String,
    /// Label of the coordinate system.
    pub crs: String,
    /// The field that tells the lots apart.
    pub id_field: String,
    /// Names of all fields.
    pub fields: Vec<String>,
    /// Polygon features in the file.
    pub lots: usize,
    /// Those near the elevations.
    pub lots_near: usize,
    /// Features that are no polygons, by what they are.
    pub skipped: BTreeMap<String, usize>,
}

/// Everything found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Inspection {
    /// The elevations, as far as they can be used.
    pub elevation: Option<ElevationFacts>,
    /// The parcels, as far as they can be used.
    pub parcels: Option<ParcelFacts>,
    /// All findings, the gravest first.
    pub findings: Vec<Finding>,
    /// Kind of the first refusal, by which the program chooses its exit status.
    #[serde(skip)]
    pub refusal: Option<ExitClass>,
}

#[derive(Default)]
struct Findings {
    list: Vec<Finding>,
    refusal: Option<ExitClass>,
}

impl Findings {
    fn refuse(&mut self, error: &InputError) {
        self.refusal.get_or_insert(error.exit_class());
        let finding = Finding {
            severity: Severity::Refusal,
            code: error.code_text(),
            message: error.to_string(),
            help: error.help_text(),
        };
        if !self.list.contains(&finding) {
            self.list.push(finding);
        }
    }

    fn warn(&mut self, warnings: impl IntoIterator<Item = Warning>) {
        for warning in warnings {
            let severity = if warning.is_note() { Severity::Note } else { Severity::Warning };
            let Warning { code, message, help } = warning;
            self.list.push(Finding { severity, code: code.to_owned(), message, help });
        }
    }

    /// The value, if there is one; the failure is booked.
    fn keep<T>(&mut self, result: Result<T, InputError>) -> Option<T> {
        result.map_err(|error| self.refuse(&error)).ok()
    }
}

/// Looks at the inputs and lists everything that is found, without stopping at the first fault.
#[must_use]
pub fn inspect(elevation: &ElevationOptions, parcels: Option<&ParcelOptions>) -> Inspection {
    let mut findings = Findings::default();
    if findings.keep(set_up()).is_none() {
        return Inspection {
            elevation: None,
            parcels: None,
            findings: findings.list,
            refusal: findings.refusal,
        };
    }
    let sources = elevation_sources(elevation, &mut findings);
    let opened = parcels.and_then(|options| parcel_file(options, sources.as_ref(), &mut findings));
    let facts = sources.as_ref().and_then(|sources| both(sources, opened.as_ref(), &mut findings));
    let parcels = opened.map(|opened| ParcelFacts {
        path: opened.layer.path.display().to_string(),
        driver: opened.layer.driver.clone(),
        layer: opened.layer.name.clone(),
        crs: opened.crs.label().to_owned(),
        id_field: opened.lots.id_field.clone(),
        fields: opened.layer.fields.clone(),
        lots: opened.lots.lots.len(),
        lots_near: opened.lots.lots.iter().filter(|l| l.outline.is_some()).count(),
        skipped: opened.lots.skipped.iter().map(|(what, n)| (what.name().to_owned(), *n)).collect(),
    });
    findings.list.sort_by_key(|f| f.severity);
    Inspection { elevation: facts, parcels, findings: findings.list, refusal: findings.refusal }
}

fn elevation_sources(options: &ElevationOptions, findings: &mut Findings) -> Option<Sources> {
    let mut tiles = Vec::new();
    for path in &options.paths {
        if let Some(tile) = findings.keep(describe(path)) {
            let mut warnings = Vec::new();
            tiles.push(tile.unload(&mut warnings));
            findings.warn(warnings);
        }
    }
    if tiles.is_empty() {
        return None;
    }
    let sources = match assemble(tiles.clone(), options) {
        Ok(sources) => sources,
        Err(error) => {
            findings.refuse(&error);
            // An unknown unit hides nothing else: go on as if it were metres.
            let assumed = ElevationOptions { unit: Some(super::VerticalUnit::Metre), ..options.clone() };
            let InputError::VerticalUnit { .. } = error else { return None };
            let mut sources = findings.keep(assemble(tiles, &assumed))?;
            sources.value.unit.from = UnitSource::Unknown;
            sources
        }
    };
    let mut warnings = Vec::new();
    let sources = sources.unload(&mut warnings);
    findings.warn(warnings);
    if let Some(Some(warning)) =
        findings.keep(check_area_of_use(&sources.path, &sources.grid, options.crs.as_deref()))
    {
        findings.warn([warning]);
    }
    Some(sources)
}

fn parcel_file(
    options: &ParcelOptions,
    sources: Option<&Sources>,
    findings: &mut Findings,
) -> Option<Opened> {
    let Some(sources) = sources else {
        // Without elevations there is nothing to compare with, but the layer itself can be looked for.
        findings.keep(super::parcels::open::find(options));
        return None;
    };
    let mut warnings = Vec::new();
    let opened = findings.keep(open_parcels(options, sources))?.unload(&mut warnings);
    findings.warn(warnings);
    Some(opened)
}

/// What only shows once both are there; the place is the middle of the raster.
fn both(sources: &Sources, opened: Option<&Opened>, findings: &mut Findings) -> Option<ElevationFacts> {
    let (x, y) = middle(sources);
    let mut warnings = Vec::new();
    let survey = findings.keep(survey(sources.clone(), x, y))?.unload(&mut warnings);
    if let Some(seen) = findings.keep(look(survey.sources(), survey.cell_size(), sources.grid.to_grid(x, y)))
    {
        if seen.is_void() {
            let reason = "no cell has an elevation".to_owned();
            findings.refuse(&InputError::NotElevation { path: sources.path.clone(), reason });
        }
        warnings.extend(seen.warnings(&sources.path, survey.sources(), survey.cell_size(), sources.unit));
    }
    if let Some(opened) = opened {
        let place = in_working(survey.crs(), &sources.grid.crs, x, y).unwrap_or_default();
        let wanted = Wanted::Nearest(place.0, place.1);
        if let Some(set) =
            findings.keep(gather(&opened.layer.path, &opened.lots.lots, &opened.crs, survey.crs(), &wanted))
        {
            let set = set.unload(&mut warnings);
            warnings.extend(lot_check::check_all(&survey, set.parcels()));
        }
        let own = Transform::new(&sources.grid.crs, &opened.crs).and_then(|t| t.point(x, y));
        if let Ok(place) = own {
            let beside = opened.beside(sources);
            warnings.extend(beside.warnings(place));
            warnings.extend(beside.same_datum(place));
        }
    }
    findings.warn(warnings);
    Some(survey.facts().clone())
}
