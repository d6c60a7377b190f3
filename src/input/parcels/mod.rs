//! Parcels: from a file of polygons to sound outlines in the working system.

pub(super) mod areas;
pub(super) mod datum;
mod fields;
pub(super) mod geojson;
pub(super) mod geometry;
pub(super) mod open;
pub(super) mod overlaps;
pub(super) mod precision;
pub(super) mod read;
mod shapefile;
pub(super) mod subject;
pub(super) mod wkb;

use super::error::{InputError, InputKind};
use super::extents::Extents;
use super::setup::take_messages;
use crate::crs::{CrsDefinition, Transform, WorkingCrs};
use crate::warning::{Warned, Warning, named};
use geo::{BoundingRect, MultiPolygon};
use geometry::{Sound, check, fingerprint, moved};
use overlaps::share_out;
use read::RawLot;
use std::collections::BTreeMap;
use std::path::Path;

/// One lot.
#[derive(Debug, Clone, PartialEq)]
pub struct Parcel {
    /// Its id, as text.
    pub id: String,
    /// Ids of other lots with the very same outline (stacked lots).
    pub also: Vec<String>,
    /// Its outline in the working system: valid, outer rings counter-clockwise, ground that a smaller lot also claims
    /// taken off.
    pub outline: MultiPolygon<f64>,
    /// True ground area of the whole polygon as delivered, in square metres.
    pub area_m2: f64,
    /// Names and values of the fields to keep.
    pub kept: Vec<(String, String)>,
}

/// The lots near the raster.
///
/// # Invariants
/// Outlines are valid and share no more than a hundredth of a square metre; the subject is one of them.
#[derive(Debug, Clone)]
pub struct ParcelSet {
    parcels: Vec<Parcel>,
    subject: usize,
    extents: Extents,
}

impl ParcelSet {
    /// A set of lots whose outlines are valid and don't overlap.
    ///
    /// # Panics
    /// If `subject` isn't the place of a lot: a fault of the caller.
    #[must_use]
    pub fn new(parcels: Vec<Parcel>, subject: usize) -> Self {
        assert!(subject < parcels.len(), "the subject is one of the lots");
        let extents = Extents::of(parcels.iter().map(|parcel| &parcel.outline));
        Self { parcels, subject, extents }
    }

    /// All lots, in the file's order.
    #[must_use]
    pub fn parcels(&self) -> &[Parcel] {
        &self.parcels
    }

    /// Place of the subject lot in the list. For a whole town, the lot nearest to the middle of the raster, where the
    /// working system was fitted.
    #[must_use]
    pub const fn subject(&self) -> usize {
        self.subject
    }

    /// Place of the lot with an id, or with one that is stacked on it; not the subject, and no farther from it than
    /// `within`, in map units.
    ///
    /// # Errors
    /// [`InputError::LotNotFound`] with ids that are nearly the same; for the subject's own id; for a lot too far away.
    pub fn other_than_subject(&self, id: &str, within: f64) -> Result<usize, InputError> {
        let refused = |reason: String, help: &str| InputError::LotNotFound {
            subject: format!("parcel {id}"),
            reason,
            help: help.to_owned(),
        };
        let is_it = |lot: &Parcel| lot.id == id || lot.also.iter().any(|also| also == id);
        let Some(place) = self.parcels.iter().position(is_it) else {
            let ids: Vec<&str> = self.parcels.iter().map(|lot| lot.id.as_str()).collect();
            let found = format!("none of the {} lots near the elevations has this id", ids.len());
            let help = "ids are compared as text; choose the field with --id-field";
            return Err(refused(format!("{found}; {}", subject::hint(&ids, id)), help));
        };
        if place == self.subject {
            let reason = "it is the lot itself, whose own rain isn't run-on".to_owned();
            return Err(refused(
                reason,
                "name a parcel beside it; where the lot's own rain goes is always told",
            ));
        }
        let rects = [place, self.subject].map(|place| self.parcels[place].outline.bounding_rect());
        let [Some(it), Some(lot)] = rects else { return Ok(place) };
        let gap = |low: [f64; 2], high: [f64; 2]| (low[0] - high[1]).max(low[1] - high[0]).max(0.0);
        let apart = gap([it.min().x, lot.min().x], [it.max().x, lot.max().x])
            .hypot(gap([it.min().y, lot.min().y], [it.max().y, lot.max().y]));
        if apart > within {
            let reason = "it lies too far from the lot to be looked at".to_owned();
            return Err(refused(reason, "name a parcel nearer to the lot"));
        }
        Ok(place)
    }

    /// The subject lot.
    #[must_use]
    pub fn subject_lot(&self) -> &Parcel {
        &self.parcels[self.subject]
    }

    /// Places, in rising order, of the lots whose extents meet a rectangle of the working system.
    #[must_use]
    pub fn within(&self, west: f64, south: f64, east: f64, north: f64) -> Vec<usize> {
        self.extents.meeting(west, south, east, north)
    }
}

/// Which lot the run is about.
#[derive(Debug, Clone)]
pub(super) enum Wanted {
    /// One of these lots of the file; several only if they turn out to have the same outline.
    OneOf {
        /// Places in the file's order.
        lots: Vec<usize>,
        /// The id asked for, if it was an id.
        id: Option<String>,
        /// The lot as asked for, for messages.
        asked: String,
    },
    /// None in particular; the one nearest to this place stands for all.
    Nearest(f64, f64),
}

/// Lots of the file on their way into the set.
struct Sorting {
    parcels: Vec<Parcel>,
    /// Place in `parcels` of each lot of the file that is in it.
    places: BTreeMap<usize, usize>,
    dropped: Vec<String>,
    repaired: Vec<String>,
}

/// Moves the lots to the working system, drops what can't be used, joins equal outlines, shares out overlaps.
pub(super) fn gather(
    path: &Path,
    lots: &[RawLot],
    from: &CrsDefinition,
    crs: &WorkingCrs,
    wanted: &Wanted,
) -> Result<Warned<ParcelSet>, InputError> {
    let way =
        Transform::new(from, crs.definition()).map_err(|e| InputError::crs(path, InputKind::Parcels, e))?;
    let wanted_lots: &[usize] = if let Wanted::OneOf { lots, .. } = wanted { lots } else { &[] };
    let mut sorted = sort(lots, &way, crs.metres_per_unit(), wanted_lots)?;
    let mut warnings = sorted.warnings();
    let subject = find_subject(path, &mut sorted, crs, wanted)?;
    warnings.extend(share_out(&mut sorted.parcels, crs.metres_per_unit()));
    if sorted.parcels[subject].outline.0.is_empty() {
        return Err(InputError::LotInvalid {
            id: sorted.parcels[subject].id.clone(),
            reason: "smaller lots cover all of it".to_owned(),
        });
    }
    take_messages();
    let before = sorted.parcels[..subject].iter().filter(|p| p.outline.0.is_empty()).count();
    sorted.parcels.retain(|p| !p.outline.0.is_empty());
    Ok(Warned::new(ParcelSet::new(sorted.parcels, subject - before), warnings))
}

fn sort(
    lots: &[RawLot],
    way: &Transform,
    metres_per_unit: f64,
    wanted: &[usize],
) -> Result<Sorting, InputError> {
    let mut sorting =
        Sorting { parcels: Vec::new(), places: BTreeMap::new(), dropped: Vec::new(), repaired: Vec::new() };
    let mut outlines: BTreeMap<Vec<(i64, i64)>, usize> = BTreeMap::new();
    for (i, lot) in lots.iter().enumerate() {
        let Some(outline) = &lot.outline else { continue };
        let checked = moved(outline, |x, y| way.point(x, y))
            .ok_or_else(|| "it lies beyond what the working system can express".to_owned())
            .and_then(|moved| check(&moved));
        let Sound { outline, area, repaired } = match checked {
            Ok(sound) => sound,
            Err(reason) if wanted.contains(&i) => {
                return Err(InputError::LotInvalid { id: lot.id.clone(), reason });
            }
            Err(reason) => {
                sorting.dropped.push(format!("{} ({reason})", lot.id));
                continue;
            }
        };
        if let Some(fault) = repaired {
            sorting.repaired.push(format!("{} ({fault})", lot.id));
        }
        let area_m2 = area * metres_per_unit * metres_per_unit;
        let place = *outlines.entry(fingerprint(&outline, metres_per_unit)).or_insert(sorting.parcels.len());
        match sorting.parcels.get_mut(place) {
            Some(same) if (same.area_m2 - area_m2).abs() <= 0.01 => {
                if same.id != lot.id {
                    same.also.push(lot.id.clone());
                }
                sorting.places.insert(i, place);
            }
            _ => {
                sorting.places.insert(i, sorting.parcels.len());
                let (id, kept) = (lot.id.clone(), lot.kept.clone());
                sorting.parcels.push(Parcel { id, also: Vec::new(), outline, area_m2, kept });
            }
        }
    }
    Ok(sorting)
}

impl Sorting {
    fn warnings(&self) -> Vec<Warning> {
        let mut warnings = Vec::new();
        if !self.dropped.is_empty() {
            warnings.push(Warning::new(
                "lot-dropped",
                format!(
                    "{} lots have outlines that can't be used and were left out: {}",
                    self.dropped.len(),
                    named(&self.dropped)
                ),
                "correct their outlines; their ground counts as belonging to no lot",
            ));
        }
        if !self.repaired.is_empty() {
            warnings.push(Warning::new(
                "lot-repaired",
                format!(
                    "{} outlines were repaired without a change of area: {}",
                    self.repaired.len(),
                    named(&self.repaired)
                ),
                "nothing, unless one of these lots matters to the result",
            ));
        }
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        for parcel in &self.parcels {
            *seen.entry(&parcel.id).or_default() += 1;
        }
        let repeated: Vec<&str> = seen.into_iter().filter(|(_, n)| *n > 1).map(|(id, _)| id).collect();
        if !repeated.is_empty() {
            warnings.push(Warning::new(
                "ids-repeated",
                format!("{} ids belong to more than one lot: {}", repeated.len(), named(&repeated)),
                "choose a field with --id-field whose values differ",
            ));
        }
        let stacked = self.parcels.iter().filter(|p| !p.also.is_empty()).count();
        if stacked > 0 {
            warnings.push(Warning::new(
                "lots-stacked",
                format!("{stacked} outlines belong to several lots each; each counts once and lists all ids"),
                "nothing, if these are stacked lots such as condominiums",
            ));
        }
        warnings
    }
}

/// Settles which parcel is the subject, and gives it the id that was asked for.
fn find_subject(
    path: &Path,
    sorted: &mut Sorting,
    crs: &WorkingCrs,
    wanted: &Wanted,
) -> Result<usize, InputError> {
    match wanted {
        Wanted::Nearest(x, y) => {
            let distance = |p: &Parcel| {
                let centre =
                    p.outline.bounding_rect().map_or((f64::INFINITY, 0.0), |r| (r.center().x, r.center().y));
                (centre.0 - x).hypot(centre.1 - y)
            };
            (0..sorted.parcels.len())
                .min_by(|&a, &b| distance(&sorted.parcels[a]).total_cmp(&distance(&sorted.parcels[b])))
                .ok_or_else(|| InputError::NoShapes {
                    path: path.to_owned(),
                    what: "polygons",
                    tally: "no lot near the raster has an outline that can be used".to_owned(),
                })
        }
        Wanted::OneOf { lots, id, asked } => {
            let mut places: Vec<usize> = lots.iter().filter_map(|i| sorted.places.get(i).copied()).collect();
            places.sort_unstable();
            places.dedup();
            match places[..] {
                [only] => {
                    let parcel = &mut sorted.parcels[only];
                    if let Some(id) = id.as_ref().filter(|id| **id != parcel.id) {
                        parcel.also.retain(|other| other != id);
                        parcel.also.insert(0, std::mem::replace(&mut parcel.id, id.clone()));
                    }
                    Ok(only)
                }
                [] => Err(InputError::LotNotFound {
                    subject: asked.clone(),
                    reason: format!("it lies in {}, but too far from the elevations", path.display()),
                    help: "fetch elevations for this place".to_owned(),
                }),
                _ => Err(InputError::LotAmbiguous {
                    subject: asked.clone(),
                    candidates: places.iter().map(|&p| candidate(&sorted.parcels[p], crs)).collect(),
                    help: match id {
                        Some(_) => "point at one of them with --lot-at LON,LAT, or choose another field with --id-field",
                        None => "name one of them with --lot",
                    }
                    .to_owned(),
                }),
            }
        }
    }
}

fn candidate(parcel: &Parcel, crs: &WorkingCrs) -> String {
    let place = parcel
        .outline
        .bounding_rect()
        .and_then(|r| crs.to_lonlat(r.center().x, r.center().y).ok())
        .map_or_else(String::new, |(lon, lat)| format!(" at {lon:.6},{lat:.6}"));
    format!("{} ({:.0} m²{place})", parcel.id, parcel.area_m2)
}

/// The raster's middle in the working system.
pub(super) fn in_working(crs: &WorkingCrs, from: &CrsDefinition, x: f64, y: f64) -> Option<(f64, f64)> {
    Transform::new(from, crs.definition()).ok()?.point(x, y).ok()
}
