//! Side inputs: what ground is covered with and where storm inlets are, as far as files say it.

mod code_raster;
mod ditches;
mod downspouts;
pub(super) mod inlets;
mod keep_out;
mod patches;
pub(super) mod points;
mod shapes;

pub use code_raster::CodeRaster;
pub use ditches::{Ditch, DitchKind};
pub use inlets::{Inlet, Invert};
pub use keep_out::KeepOut;
pub use patches::{Patch, PatchSet};

use super::Site;
use super::error::InputError;
use super::files::ending;
use crate::units::{CurveNumber, RunoffCoefficient, SoilGroup};
use crate::warning::{Warned, Warning};
use geo::Coord;
use patches::{Columns, open_patches};
use std::path::PathBuf;
use std::str::FromStr;

/// A file and, where it has several, the layer that is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideFile {
    /// The path as typed.
    pub path: PathBuf,
    /// The layer.
    pub layer: Option<String>,
}

/// Files beside elevations and parcels, each only if there is one.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SideOptions {
    /// Footprints of buildings, with a field `id` where downspouts refer to it.
    pub buildings: Option<SideFile>,
    /// Places where roofs' water comes down, with a field `building`; without it, the layer `downspouts` of the buildings'
    /// file, if there is one.
    pub downspouts: Option<SideFile>,
    /// Covers: polygons with fields `class`, `coefficient`, `curve_number`, or a raster of codes.
    pub cover: Option<SideFile>,
    /// Soils, with a field `group`.
    pub soils: Option<SideFile>,
    /// Storm inlets: points with fields `id`, `rim`, `invert` or `depth`, `tailwater`, `public`.
    pub inlets: Option<SideFile>,
    /// Ditches and kerbs: lines with fields `id`, `kind`, `invert` or `depth`, `tailwater`.
    pub ditches: Option<SideFile>,
    /// What the line is kept clear of: polygons, lines or points with fields `kind`, `distance`, `base`, `id`.
    pub keep_out: Option<SideFile>,
    /// Levels taken on site: points with fields `id`, `elevation`, `accuracy`, `unit` ([`super::take_shots`]).
    pub shots: Option<SideFile>,
}

impl SideOptions {
    /// The files given.
    pub fn files(&self) -> impl Iterator<Item = &PathBuf> {
        let ground = [&self.buildings, &self.downspouts, &self.cover, &self.soils];
        let all = [&ground[..], &[&self.inlets, &self.ditches, &self.keep_out, &self.shots]].concat();
        all.into_iter().flatten().map(|file| &file.path)
    }
}

/// What side files say.
#[derive(Debug, Clone, Default)]
pub struct SideInputs {
    /// Footprints of buildings.
    pub buildings: Option<PatchSet<Building>>,
    /// Covers.
    pub cover: Option<CoverSource>,
    /// Soils.
    pub soils: Option<PatchSet<SoilGroup>>,
    /// Storm inlets on the ground that is read; none where no file was given.
    pub inlets: Vec<Inlet>,
    /// Ditches and kerbs near that ground.
    pub ditches: Vec<Ditch>,
    /// What the line is kept clear of, near that ground.
    pub keep_outs: Vec<KeepOut>,
}

/// Kinds of keep-outs of which more is known than their name.
pub(super) const KINDS: [&str; 7] = ["easement", "septic", "well", "tree", "wall", "footing", "utility"];

/// A building.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Building {
    /// Its id, where the file has one.
    pub id: Option<String>,
    /// Places where its roof's water comes down, in the working system; none where they aren't known.
    pub downspouts: Vec<Coord>,
}

/// Where covers come from.
#[derive(Debug, Clone)]
pub enum CoverSource {
    /// Polygons, without the ground of buildings.
    Patches(PatchSet<StatedCover>),
    /// A raster of codes.
    Codes(Box<CodeRaster>),
}

/// What a polygon says of its cover: a class, or figures, or both.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedCover {
    /// Class of the cover table.
    pub class: Option<String>,
    /// Runoff coefficient.
    pub coefficient: Option<RunoffCoefficient>,
    /// Curve number.
    pub curve_number: Option<CurveNumber>,
}

impl StatedCover {
    /// A class without figures of its own.
    #[must_use]
    pub fn of_class(class: &str) -> Self {
        Self { class: Some(class.to_owned()), coefficient: None, curve_number: None }
    }

    /// From the values of `class`, `coefficient` and `curve_number`, each of which may be empty.
    fn of(values: &[String]) -> Result<Self, String> {
        let [class, coefficient, number] = values else { return Err("it isn't a cover".to_owned()) };
        let class = Some(class.trim().to_owned()).filter(|class| !class.is_empty());
        let found = Self {
            class,
            coefficient: number_in("coefficient", coefficient)?,
            curve_number: number_in("curve_number", number)?,
        };
        let says_nothing =
            found.class.is_none() && found.coefficient.is_none() && found.curve_number.is_none();
        if says_nothing {
            Err("it has no class, no coefficient and no curve_number".to_owned())
        } else {
            Ok(found)
        }
    }
}

/// A number that may be left out.
fn number_in<T: FromStr<Err = String>>(field: &str, text: &str) -> Result<Option<T>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(|reason| format!("its {field}: {reason}"))
}

/// Formats whose files hold rasters only, by ending.
pub(super) const RASTERS: [&str; 7] = ["tif", "tiff", "vrt", "img", "asc", "bil", "png"];

/// Reads what stands on the ground near a site and covers it. Buildings win over covers.
///
/// # Errors
/// [`InputError`] as for parcels.
pub fn open_beside(site: &Site, options: &SideOptions) -> Result<Warned<SideInputs>, InputError> {
    let mut warnings = Vec::new();
    let buildings = buildings(site, options, &mut warnings)?;
    let cover = cover(site, options, &mut warnings)?;
    let soils = options.soils.as_ref().map(|file| {
        let columns = Columns { all_of: &["group"], any_of: &[], optional: &[] };
        open_patches(site, file, "soils", columns, |values| match values[0].trim() {
            "" => Ok(None),
            group => group.parse().map(Some),
        })
    });
    let soils = soils.transpose()?.map(|found| found.unload(&mut warnings));
    let cover = match (cover, &buildings) {
        (Some(CoverSource::Patches(covers)), Some(buildings)) => {
            Some(CoverSource::Patches(covers.without(buildings)))
        }
        (cover, _) => cover,
    };
    let inlets =
        inlets::open_inlets(site, options)?.map_or_else(Vec::new, |found| found.unload(&mut warnings));
    let ditches =
        ditches::open_ditches(site, options)?.map_or_else(Vec::new, |found| found.unload(&mut warnings));
    let keep_outs =
        keep_out::open_keep_outs(site, options)?.map_or_else(Vec::new, |found| found.unload(&mut warnings));
    Ok(Warned::new(SideInputs { buildings, cover, soils, inlets, ditches, keep_outs }, warnings))
}

fn buildings(
    site: &Site,
    options: &SideOptions,
    warnings: &mut Vec<Warning>,
) -> Result<Option<PatchSet<Building>>, InputError> {
    let Some(file) = &options.buildings else { return Ok(None) };
    let columns = Columns { all_of: &[], any_of: &[], optional: &["id"] };
    let named = |values: &[String]| {
        let id = Some(values[0].trim().to_owned()).filter(|id| !id.is_empty());
        Ok(Some(Building { id, downspouts: Vec::new() }))
    };
    let found = open_patches(site, file, "buildings", columns, named)?.unload(warnings).split();
    downspouts::place(site, options, found).map(|found| Some(found.unload(warnings)))
}

fn cover(
    site: &Site,
    options: &SideOptions,
    warnings: &mut Vec<Warning>,
) -> Result<Option<CoverSource>, InputError> {
    let Some(file) = &options.cover else { return Ok(None) };
    if RASTERS.contains(&ending(&file.path).as_str()) {
        if file.layer.is_some() {
            return Err(InputError::Unreadable {
                path: file.path.clone(),
                reason: "a raster has no layers".to_owned(),
                help: "leave out --cover-layer".to_owned(),
            });
        }
        let raster = CodeRaster::open(&file.path).map_err(|e| e.of_side_file("cover"))?;
        warnings.extend(raster.lies_elsewhere(site));
        return Ok(Some(CoverSource::Codes(Box::new(raster))));
    }
    let columns = Columns { all_of: &[], any_of: &["class", "coefficient", "curve_number"], optional: &[] };
    let found = open_patches(site, file, "cover", columns, |values| StatedCover::of(values).map(Some))?
        .unload(warnings);
    Ok(Some(CoverSource::Patches(found)))
}
