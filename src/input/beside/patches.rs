//! Polygons that say something of the ground below them.

use super::SideFile;
use crate::crs::{CrsDefinition, Transform};
use crate::input::error::{InputError, InputKind};
use crate::input::extents::Extents;
use crate::input::parcels::geometry::{Sound, check, difference, moved};
use crate::input::parcels::open::{Layer, Shapes, Wish, find_layer};
use crate::input::parcels::overlaps::share_out;
use crate::input::parcels::read::{RawLot, read_plain};
use crate::input::place::{Bounds, raster_boxes};
use crate::input::site::parcel_crs;
use crate::input::{AxisOrder, Parcel, ParcelOptions, Site};
use crate::warning::{Warned, Warning, named};
use geo::{BoundingRect, Coord, MultiPolygon, Rect};
use std::path::{Path, PathBuf};

/// Share of the raster's extent by which patches around it are still read.
const MARGIN: f64 = 0.1;

/// One polygon with what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch<T> {
    /// Its outline in the working system, valid.
    pub outline: MultiPolygon<f64>,
    /// What is said of it.
    pub says: T,
    /// Its place in the file, in words.
    pub feature: String,
}

/// Polygons of one file.
///
/// # Invariants
/// Outlines don't overlap.
#[derive(Debug, Clone)]
pub struct PatchSet<T> {
    path: PathBuf,
    patches: Vec<Patch<T>>,
    extents: Extents,
}

impl<T> PatchSet<T> {
    /// The file as typed.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// All patches, in the file's order.
    #[must_use]
    pub fn patches(&self) -> &[Patch<T>] {
        &self.patches
    }

    /// Places, in rising order, of the patches whose extents, with all that belongs to them, meet a rectangle of the
    /// working system.
    #[must_use]
    pub fn within(&self, west: f64, south: f64, east: f64, north: f64) -> Vec<usize> {
        self.extents.meeting(west, south, east, north)
    }

    /// These patches without the ground of others.
    #[must_use]
    pub fn without<U>(mut self, others: &PatchSet<U>) -> Self {
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

    /// Each part of an outline as a patch of its own: parts of a layer that was dissolved are no one building.
    pub(super) fn split(self) -> Self
    where
        T: Clone,
    {
        let part = |patch: &Patch<T>, polygon| Patch {
            outline: MultiPolygon::new(vec![polygon]),
            says: patch.says.clone(),
            feature: patch.feature.clone(),
        };
        let parts = self.patches.into_iter().flat_map(|patch| {
            let polygons = patch.outline.0.clone();
            polygons.into_iter().map(move |polygon| part(&patch, polygon)).collect::<Vec<_>>()
        });
        Self::of(self.path, parts.collect())
    }

    fn of(path: PathBuf, patches: Vec<Patch<T>>) -> Self {
        Self::reaching(path, patches, |_| &[])
    }

    /// The same patches with more said of each; `places` belong to a patch wherever they lie.
    pub(super) fn saying<U>(
        self,
        more: impl Fn(usize, T) -> U,
        places: impl Fn(&U) -> &[Coord],
    ) -> PatchSet<U> {
        let say = |(place, patch): (usize, Patch<T>)| Patch {
            outline: patch.outline,
            says: more(place, patch.says),
            feature: patch.feature,
        };
        let patches = self.patches.into_iter().enumerate().map(say).collect();
        PatchSet::reaching(self.path, patches, places)
    }

    fn reaching(path: PathBuf, patches: Vec<Patch<T>>, places: impl Fn(&T) -> &[Coord]) -> Self {
        let reach = |patch: &Patch<T>| {
            let around = |all: Rect, at: &Coord| {
                Rect::new(
                    Coord { x: all.min().x.min(at.x), y: all.min().y.min(at.y) },
                    Coord { x: all.max().x.max(at.x), y: all.max().y.max(at.y) },
                )
            };
            Some(places(&patch.says).iter().fold(patch.outline.bounding_rect()?, around))
        };
        Self { extents: Extents::new(patches.iter().map(reach)), path, patches }
    }
}

/// Fields of a file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns<'a> {
    /// Each must be there.
    pub(super) all_of: &'a [&'a str],
    /// At least one must be there, if any is listed.
    pub(super) any_of: &'a [&'a str],
    /// May be there.
    pub(super) optional: &'a [&'a str],
}

impl<'a> Columns<'a> {
    fn all(self) -> impl Iterator<Item = &'a str> {
        [self.all_of, self.any_of, self.optional].into_iter().flatten().copied()
    }

    /// The fields to read of those that a layer has.
    fn of(self, layer: &Layer) -> Result<Vec<String>, InputError> {
        let has = |name: &&str| layer.fields.iter().any(|field| field.eq_ignore_ascii_case(name));
        let lacks = |field: String| InputError::KeepField {
            path: layer.path.clone(),
            field,
            fields: layer.fields.clone(),
        };
        if !self.any_of.is_empty() && !self.any_of.iter().any(has) {
            return Err(lacks(self.any_of.join("\" or \"")));
        }
        if let Some(field) = self.all_of.iter().find(|name| !has(name)) {
            return Err(lacks((*field).to_owned()));
        }
        Ok(self.all().filter(has).map(str::to_owned).collect())
    }
}

/// Reads the polygons of a file that lie near the raster. `name` is the option that names the file, without its dashes.
///
/// `meaning` is given the values of all columns in their order, empty where the file has none. Where polygons overlap, the
/// smaller one keeps the ground.
///
/// # Errors
/// [`InputError`] as for parcels.
pub(super) fn open_patches<T>(
    site: &Site,
    file: &SideFile,
    name: &str,
    columns: Columns<'_>,
    meaning: impl Fn(&[String]) -> Result<Option<T>, String>,
) -> Result<Warned<PatchSet<T>>, InputError> {
    let mut warnings = Vec::new();
    let wish = Wish { shapes: Shapes::Polygons, name: file.layer.as_deref(), usual: Some(name) };
    let parcels = read_sound(site, file, wish, columns)
        .map_err(|error| error.of_side_file(name))?
        .unload(&mut warnings);
    let value = |kept: &[(String, String)], name: &str| {
        kept.iter().find(|(field, _)| field == name).map_or_else(String::new, |(_, value)| value.clone())
    };
    let mut patches = Vec::with_capacity(parcels.len());
    let mut empty = Vec::new();
    for parcel in parcels.into_iter().filter(|parcel| !parcel.outline.0.is_empty()) {
        let values: Vec<String> = columns.all().map(|name| value(&parcel.kept, name)).collect();
        let says = meaning(&values).map_err(|reason| InputError::Unreadable {
            path: file.path.clone(),
            reason: format!("{}: {reason}", parcel.id),
            help: "correct the field".to_owned(),
        })?;
        match says {
            Some(says) => patches.push(Patch { says, outline: parcel.outline, feature: parcel.id }),
            None => empty.push(parcel.id),
        }
    }
    if !empty.is_empty() {
        warnings.push(Warning::new(
            "patches-empty",
            format!("{}: these say nothing of their ground: {}", file.path.display(), named(&empty)),
            "nothing, if it isn't known: it counts as not covered by this file",
        ));
    }
    Ok(Warned::new(PatchSet::of(file.path.clone(), patches), warnings))
}

/// Options of a file that has none but its layer.
pub(super) fn plain_options(file: &SideFile, keep_fields: Vec<String>) -> ParcelOptions {
    ParcelOptions {
        path: file.path.clone(),
        layer: None,
        id_field: None,
        crs: None,
        axes: AxisOrder::AsStored,
        keep_fields,
    }
}

/// Polygons near the raster in the working system, sound and without overlaps.
fn read_sound(
    site: &Site,
    file: &SideFile,
    wish: Wish<'_>,
    columns: Columns<'_>,
) -> Result<Warned<Vec<Parcel>>, InputError> {
    let mut warnings = Vec::new();
    let path = &file.path;
    let layer = find_layer(path, wish)?.unload(&mut warnings);
    let options = plain_options(file, columns.of(&layer)?);
    let crs = parcel_crs(&layer, &options)?.unload(&mut warnings);
    let lots = read_plain(&layer, &options, &near(site, &crs))?.unload(&mut warnings);
    let way = Transform::new(&crs, site.crs.definition())
        .map_err(|cause| InputError::crs(path, InputKind::Parcels, cause))?;
    let (mut sound, dropped) = in_working(lots, &way);
    warnings.extend(faults(path, &dropped, sound.is_empty()));
    for overlap in share_out(&mut sound, site.crs.metres_per_unit()) {
        warnings.push(Warning::new(
            "patches-overlap",
            format!("{}: {}", path.display(), overlap.message),
            "nothing, if the smaller polygon is meant to count where two overlap",
        ));
    }
    Ok(Warned::new(sound, warnings))
}

/// Where features matter, in their file's system.
pub(super) fn near(site: &Site, crs: &CrsDefinition) -> Vec<Bounds> {
    raster_boxes(site.survey.sources(), crs).iter().map(|b| b.grown(MARGIN)).collect()
}

/// Outlines moved to the working system; those that can't be used are named.
fn in_working(lots: Vec<RawLot>, way: &Transform) -> (Vec<Parcel>, Vec<String>) {
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
    (sound, dropped)
}

fn faults(path: &Path, dropped: &[String], none_left: bool) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if !dropped.is_empty() {
        warnings.push(Warning::new(
            "patches-dropped",
            format!("{}: outlines that can't be used were left out: {}", path.display(), named(dropped)),
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
