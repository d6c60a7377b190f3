//! What the inputs are and what is wrong with them: all of it, not just the first.

mod effect;

use super::error::{ExitClass, InputError};
use super::lot_check;
use super::parcels::{Wanted, gather, in_working};
use super::place::check_area_of_use;
use super::raster::{ElevationFacts, Sources, assemble, describe, survey, tiles_disagree};
use super::setup::set_up;
use super::site::{Opened, look_at, middle, open_parcels};
use super::{ElevationOptions, ParcelOptions, UnitSource};
use crate::crs::{CrsKind, Transform, point_scale};
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
    /// The input files that it is about, as typed.
    pub files: Vec<String>,
    /// What was found, and where.
    pub message: String,
    /// What it does to the answer when nobody sees to it.
    pub effect: String,
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
    /// All findings, the worst first.
    pub findings: Vec<Finding>,
    /// Kind of the first refusal, by which the program chooses its exit status.
    #[serde(skip)]
    pub refusal: Option<ExitClass>,
}

struct Findings {
    list: Vec<Finding>,
    refusal: Option<ExitClass>,
    /// The input files, as typed.
    files: Vec<String>,
}

impl Findings {
    fn refuse(&mut self, error: &InputError) {
        self.refusal.get_or_insert(error.exit_class());
        let (code, message) = (error.code_text(), error.to_string());
        let finding = self.finding(Severity::Refusal, code, message, error.help_text());
        if !self.list.contains(&finding) {
            self.list.push(finding);
        }
    }

    fn warn(&mut self, warnings: impl IntoIterator<Item = Warning>) {
        for warning in warnings {
            let severity = if warning.is_note() { Severity::Note } else { Severity::Warning };
            let Warning { code, message, help } = warning;
            let finding = self.finding(severity, code.to_owned(), message, help);
            self.list.push(finding);
        }
    }

    fn finding(&self, severity: Severity, code: String, message: String, help: String) -> Finding {
        let files = self.files.iter().filter(|file| message.contains(*file)).cloned().collect();
        let effect = effect::effect(&code).to_owned();
        Finding { severity, code, files, message, effect, help }
    }

    /// Gives the effect of one finding in numbers.
    fn in_numbers(&mut self, code: &str, effect: &str) {
        for finding in self.list.iter_mut().filter(|finding| finding.code == code) {
            effect.clone_into(&mut finding.effect);
        }
    }

    /// The value, if there is one; the failure is booked.
    fn keep<T>(&mut self, result: Result<T, InputError>) -> Option<T> {
        result.map_err(|error| self.refuse(&error)).ok()
    }
}

impl Findings {
    /// By how much areas would be wrong if the cells were taken as they are.
    fn warped(&mut self, sources: &Sources) {
        let (x, y) = middle(sources);
        match sources.grid.crs.kind() {
            CrsKind::Projected(unit) => {
                let Ok(scale) = point_scale(&sources.grid.crs, unit.metres, x, y) else { return };
                let ratio = unit.metres * unit.metres / (scale.along_x * scale.along_y);
                if (ratio - 1.0).abs() > 0.001 {
                    let (times, way) =
                        if ratio > 1.0 { (ratio, "large") } else { (ratio.recip(), "small") };
                    let effect = format!("areas {times:.2} times too {way} if the cells were taken as they are");
                    self.in_numbers("elevation-warped", &effect);
                }
            }
            CrsKind::Geographic => self.in_numbers(
                "elevation-warped",
                "slopes about 100,000 times too steep, areas in square degrees, if the cells were taken as they are",
            ),
            CrsKind::Local | CrsKind::Other => {}
        }
    }
}

/// Looks at the inputs and lists everything that is found, without stopping at the first fault.
#[must_use]
pub fn inspect(elevation: &ElevationOptions, parcels: Option<&ParcelOptions>) -> Inspection {
    let typed = elevation.paths.iter().chain(parcels.map(|options| &options.path));
    let files = typed.map(|path| path.display().to_string()).collect();
    let mut findings = Findings { list: Vec::new(), refusal: None, files };
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
    let facts = sources.as_ref().and_then(|sources| both(sources, elevation, opened.as_ref(), &mut findings));
    if let Some(sources) = &sources {
        findings.warped(sources);
    }
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
    findings.list.sort_by_key(|f| (f.severity, effect::rank(&f.code)));
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
            let (InputError::VerticalUnit { .. } | InputError::VerticalUnitsDisagree { .. }) = error else {
                return None;
            };
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
fn both(
    sources: &Sources,
    options: &ElevationOptions,
    opened: Option<&Opened>,
    findings: &mut Findings,
) -> Option<ElevationFacts> {
    let (x, y) = middle(sources);
    let mut warnings = Vec::new();
    let mut survey = findings.keep(survey(sources.clone(), x, y))?.unload(&mut warnings);
    if let Some(seen) = findings.keep(look_at(&mut survey, options, sources.grid.to_grid(x, y))) {
        if seen.is_void() {
            let reason = "no cell has an elevation".to_owned();
            findings.refuse(&InputError::NotElevation { path: sources.path.clone(), reason });
        }
        warnings.extend(seen.warnings(&sources.path, survey.sources(), survey.cell_size(), sources.unit));
    }
    warnings.extend(findings.keep(tiles_disagree(survey.sources())).flatten());
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
