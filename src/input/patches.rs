//! Polygons that say what ground is covered with: buildings, covers, soils.

use super::error::{InputError, InputKind};
use super::parcels::geometry::{Sound, check, difference, moved};
use super::parcels::open::find;
use super::parcels::overlaps::{Entry, share_out};
use super::parcels::read::read_plain;
use super::place::{Bounds, raster_boxes};
use super::site::{SidePatches, parcel_crs};
use super::{AxisOrder, Parcel, ParcelOptions, Site};
use crate::crs::Transform;
use crate::units::{CurveNumber, RunoffCoefficient, SoilGroup};
use crate::warning::{Warned, Warning};
use geo::{BoundingRect, MultiPolygon};
use rstar::{AABB, RTree};
use std::path::{Path, PathBuf};
use std::str::FromStr;

/// Share of the raster's extent by which patches around it are still read.
const MARGIN: f64 = 0.1;
/// Patches named in one message.
const NAMED: usize = 5;

/// One polygon with what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its outline in the working system, valid.
    pub outline: MultiPolygon<f64>,
    /// Values of the fields asked for, in their order; empty where the file has none.
    pub values: Vec<String>,
    /// Its place in the file, in words.
    pub feature: String,
}

/// Polygons of one file.
///
/// # Invariants
/// Outlines don't overlap.
#[derive(Debug, Clone)]
pub struct PatchSet {
    path: PathBuf,
    patches: Vec<Patch>,
    tree: RTree<Entry>,
}

/// Cover of a patch: class, and coefficient and curve number where the file gives them.
pub type CoverValues = (String, Option<RunoffCoefficient>, Option<CurveNumber>);

impl Patch {
    /// The patch as a cover.
    ///
    /// # Errors
    /// What is wrong with its values.
    pub fn cover(&self) -> Result<CoverValues, String> {
        let [class, coefficient, number] = &self.values[..] else {
            return Err("it isn't a cover".to_owned());
        };
        if class.trim().is_empty() {
            return Err("it has no class".to_owned());
        }
        Ok((class.trim().to_owned(), value("coefficient", coefficient)?, value("curve_number", number)?))
    }

    /// The patch as a soil.
    ///
    /// # Errors
    /// What is wrong with its value.
    pub fn soil(&self) -> Result<SoilGroup, String> {
        let [group] = &self.values[..] else { return Err("it isn't a soil".to_owned()) };
        group.parse()
    }
}

/// A number that may be left out.
fn value<T: FromStr<Err = String>>(field: &str, text: &str) -> Result<Option<T>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(|reason| format!("its {field}: {reason}"))
}

impl PatchSet {
    fn refuse(&self, patch: &Patch, reason: &str) -> InputError {
        InputError::Unreadable {
            path: self.path.clone(),
            reason: format!("{}: {reason}", patch.feature),
            help: "correct the field".to_owned(),
        }
    }

    /// The file as typed.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// All patches, in the file's order.
    #[must_use]
    pub fn patches(&self) -> &[Patch] {
        &self.patches
    }

    /// Places, in rising order, of the patches whose extents meet a rectangle of the working system.
    #[must_use]
    pub fn within(&self, west: f64, south: f64, east: f64, north: f64) -> Vec<usize> {
        let envelope = AABB::from_corners([west, south], [east, north]);
        let mut found: Vec<usize> =
            self.tree.locate_in_envelope_intersecting(&envelope).map(|e| e.data).collect();
        found.sort_unstable();
        found
    }

    /// These patches without the ground of others.
    #[must_use]
    pub fn without(mut self, others: &Self) -> Self {
        for patch in &mut self.patches {
            let Some(rect) = patch.outline.bounding_rect() else { continue };
            for other in others.within(rect.min().x, rect.min().y, rect.max().x, rect.max().y) {
                if let Some(rest) = difference(&patch.outline, &others.patches[other].outline) {
                    patch.outline = rest;
                }
            }
        }
        self.patches.retain(|patch| !patch.outline.0.is_empty());
        Self::of(self.path, self.patches)
    }

    fn of(path: PathBuf, patches: Vec<Patch>) -> Self {
        let entries = patches.iter().enumerate().filter_map(|(place, patch)| {
            let rect = patch.outline.bounding_rect()?;
            let corners = rstar::primitives::Rectangle::from_corners(rect.min().into(), rect.max().into());
            Some(Entry::new(corners, place))
        });
        Self { tree: RTree::bulk_load(entries.collect()), path, patches }
    }
}

/// Files that say what ground is covered with, each only if there is one.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SideOptions {
    /// Footprints of buildings.
    pub buildings: Option<PathBuf>,
    /// Covers, with a field `class`, and where wanted `coefficient` and `curve_number`.
    pub covers: Option<PathBuf>,
    /// Soils, with a field `group`.
    pub soils: Option<PathBuf>,
}

impl SideOptions {
    /// The files given.
    pub fn files(&self) -> impl Iterator<Item = &PathBuf> {
        [&self.buildings, &self.covers, &self.soils].into_iter().flatten()
    }
}

/// Reads what the ground near a site is covered with. Buildings win over covers.
///
/// # Errors
/// [`InputError`] as for parcels.
pub fn open_beside(site: &Site, options: &SideOptions) -> Result<Warned<SidePatches>, InputError> {
    let mut warnings = Vec::new();
    let mut read = |path: &Option<PathBuf>, required: &[&str], wanted: &[&str]| {
        let Some(path) = path else { return Ok(None) };
        open_patches(site, path, required, wanted)
            .map(|found| Some(found.unload(&mut warnings)))
            .map_err(InputError::of_side_file)
    };
    let buildings = read(&options.buildings, &[], &[])?;
    let covers = read(&options.covers, &["class"], &["coefficient", "curve_number"])?;
    let soils = read(&options.soils, &["group"], &[])?;
    let check = |set: &Option<PatchSet>, read: fn(&Patch) -> Result<(), String>| {
        let Some(set) = set else { return Ok(()) };
        set.patches.iter().try_for_each(|patch| read(patch).map_err(|reason| set.refuse(patch, &reason)))
    };
    check(&covers, |patch| patch.cover().map(drop))?;
    check(&soils, |patch| patch.soil().map(drop))?;
    let covers = covers.map(|covers| match &buildings {
        Some(buildings) => covers.without(buildings),
        None => covers,
    });
    Ok(Warned::new(SidePatches { buildings, covers, soils }, warnings))
}

/// Reads the polygons of a file that lie near the raster.
///
/// Every field of `required` must be there, of `wanted` may be. Where polygons overlap, the smaller one keeps the ground.
///
/// # Errors
/// [`InputError`] as for parcels.
pub(super) fn open_patches(
    site: &Site,
    path: &Path,
    required: &[&str],
    wanted: &[&str],
) -> Result<Warned<PatchSet>, InputError> {
    let mut warnings = Vec::new();
    let mut options = ParcelOptions {
        path: path.to_owned(),
        layer: None,
        id_field: None,
        crs: None,
        axes: AxisOrder::AsStored,
        keep_fields: Vec::new(),
    };
    let layer = find(&options)?.unload(&mut warnings);
    let crs = parcel_crs(&layer, &options)?.unload(&mut warnings);
    let has = |name: &&str| layer.fields.iter().any(|field| field.eq_ignore_ascii_case(name));
    let fields: Vec<&str> = required.iter().chain(wanted).copied().collect();
    let read: Vec<&str> = required.iter().copied().chain(wanted.iter().copied().filter(has)).collect();
    options.keep_fields = read.iter().map(|&name| name.to_owned()).collect();
    let near: Vec<Bounds> =
        raster_boxes(site.survey.sources(), &crs).iter().map(|b| b.grown(MARGIN)).collect();
    let lots = read_plain(&layer, &options, &near)?.unload(&mut warnings);
    let way = Transform::new(&crs, site.crs.definition())
        .map_err(|cause| InputError::crs(path, InputKind::Parcels, cause))?;
    let (mut sound, mut dropped) = (Vec::new(), Vec::new());
    for lot in lots {
        let Some(outline) = &lot.outline else { continue };
        let checked = moved(outline, |x, y| way.point(x, y))
            .ok_or_else(|| "beyond what the working system can express".to_owned())
            .and_then(|moved| check(&moved));
        match checked {
            Ok(Sound { outline, area, .. }) => {
                sound.push(Parcel { id: lot.id, also: Vec::new(), outline, area_m2: area, kept: lot.kept });
            }
            Err(reason) => dropped.push(format!("{} ({reason})", lot.id)),
        }
    }
    warnings.extend(faults(path, &dropped, sound.is_empty()));
    for overlap in share_out(&mut sound, site.crs.metres_per_unit()) {
        warnings.push(Warning::new(
            "patches-overlap",
            format!("{}: {}", path.display(), overlap.message),
            "nothing, if the smaller polygon is meant to count where two overlap",
        ));
    }
    let value = |kept: &[(String, String)], name: &str| {
        kept.iter().find(|(field, _)| field == name).map_or_else(String::new, |(_, value)| value.clone())
    };
    let patches = sound
        .into_iter()
        .filter(|parcel| !parcel.outline.0.is_empty())
        .map(|parcel| Patch {
            values: fields.iter().map(|name| value(&parcel.kept, name)).collect(),
            outline: parcel.outline,
            feature: parcel.id,
        })
        .collect();
    Ok(Warned::new(PatchSet::of(path.to_owned(), patches), warnings))
}

fn faults(path: &Path, dropped: &[String], none_left: bool) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if !dropped.is_empty() {
        let mut named: Vec<String> = dropped.iter().take(NAMED).cloned().collect();
        if dropped.len() > NAMED {
            named.push(format!("and {} more", dropped.len() - NAMED));
        }
        warnings.push(Warning::new(
            "patches-dropped",
            format!("{}: outlines that can't be used were left out: {}", path.display(), named.join(", ")),
            "correct them; their ground counts as not covered by this file",
        ));
    }
    if none_left {
        warnings.push(Warning::new(
            "patches-elsewhere",
            format!("{}: no usable polygon lies near the raster", path.display()),
            "check its coordinate system; the result is as if the file were not given",
        ));
    }
    warnings
}
