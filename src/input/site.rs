//! The whole way from paths to a checked site.

use super::beside::SideInputs;
use super::error::{InputError, InputKind};
use super::parcels::areas;
use super::parcels::datum::Beside;
use super::parcels::open::{Layer, find};
use super::parcels::precision::coarse_numbers;
use super::parcels::read::{RawLot, RawLots, read};
use super::parcels::{ParcelSet, Wanted, gather, geojson, in_working, subject};
use super::place::{Bounds, Pair, check_area_of_use, raster_boxes};
use super::raster::look::{Look, look};
use super::raster::{Sources, Survey, assemble, describe, survey, tiles_disagree};
use super::registry::honest;
use super::setup::set_up;
use super::{ElevationOptions, ParcelOptions, Subject, lot_check};
use crate::crs::{CrsDefinition, CrsError, CrsKind, Transform, WorkingCrs};
use crate::warning::Warned;
use geo::CoordsIter;

/// Share of the raster's extent by which lots around it are still read: water may come from beyond the lots at its rim.
const MARGIN: f64 = 0.1;

/// Everything that a run starts from.
#[derive(Debug, Clone)]
pub struct Site {
    /// The elevations.
    pub survey: Survey,
    /// The lots near them.
    pub parcels: ParcelSet,
    /// The system that both are in.
    pub crs: WorkingCrs,
    /// What ground is covered with, as far as it was given.
    pub beside: SideInputs,
}

/// Opens elevations and parcels, settles systems and units, finds the subject lot, and checks that they fit together.
///
/// # Errors
/// [`InputError`] with the cause and the remedy; [`InputError::exit_class`] tells its kind.
pub fn open_site(
    elevation: &ElevationOptions,
    parcels: &ParcelOptions,
    subject: &Subject,
) -> Result<Warned<Site>, InputError> {
    set_up()?;
    let mut warnings = Vec::new();
    let sources = open_elevation(elevation)?.unload(&mut warnings);
    warnings.extend(check_area_of_use(&sources.path, &sources.grid, elevation.crs.as_deref())?);
    let opened = open_parcels(parcels, &sources)?.unload(&mut warnings);
    let (wanted, anchor) = choose_subject(&opened, &sources, subject)?;
    let (x, y) = anchor.in_raster;
    let mut survey = survey(sources.clone(), x, y)?.unload(&mut warnings);
    let wanted = fit_to_working(wanted, &survey, &sources)?;
    let set = gather(&opened.layer.path, &opened.lots.lots, &opened.crs, survey.crs(), &wanted)?
        .unload(&mut warnings);
    warnings.extend(opened.beside(&sources).warnings(anchor.in_parcels));
    let seen = look_at(&mut survey, elevation, sources.grid.to_grid(x, y))?;
    warnings.extend(tiles_disagree(survey.sources())?);
    if seen.is_void() {
        return Err(InputError::NotElevation {
            path: sources.path,
            reason: "no cell has an elevation".to_owned(),
        });
    }
    warnings.extend(seen.warnings(&sources.path, survey.sources(), survey.cell_size(), sources.unit));
    if *subject == Subject::Town {
        warnings.extend(lot_check::check_all(&survey, set.parcels()));
    } else {
        let lot = &set.parcels()[set.subject()];
        warnings.extend(lot_check::check(&survey, lot, elevation.bridge_holes)?);
    }
    let crs = survey.crs().clone();
    Ok(Warned::new(Site { survey, parcels: set, crs, beside: SideInputs::default() }, warnings))
}

/// Looks at the stored numbers; zeros that turn out to be gaps are gaps from then on, unless the user has said what marks
/// them.
pub(super) fn look_at(
    survey: &mut Survey,
    options: &ElevationOptions,
    place: (f64, f64),
) -> Result<Look, InputError> {
    let seen = look(survey.sources(), survey.cell_size(), place)?;
    if options.nodata.is_some() || !seen.zeros_are_gaps() {
        return Ok(seen);
    }
    survey.take_zeros_for_gaps();
    look(survey.sources(), survey.cell_size(), place)
}

/// Describes and fits together the elevation files.
pub(super) fn open_elevation(options: &ElevationOptions) -> Result<Warned<Sources>, InputError> {
    let mut warnings = Vec::new();
    let mut tiles = Vec::with_capacity(options.paths.len());
    for path in &options.paths {
        tiles.push(describe(path)?.unload(&mut warnings));
    }
    let sources = assemble(tiles, options)?.unload(&mut warnings);
    Ok(Warned::new(sources, warnings))
}

/// The parcel file, read and placed.
#[derive(Debug)]
pub(super) struct Opened {
    pub(super) layer: Layer,
    pub(super) crs: CrsDefinition,
    pub(super) lots: RawLots,
}

impl Opened {
    /// The parcels' system beside the raster's.
    pub(super) fn beside<'a>(&'a self, sources: &'a Sources) -> Beside<'a> {
        Beside {
            parcels: &self.crs,
            parcels_path: &self.layer.path,
            raster: &sources.grid.crs,
            raster_path: &sources.path,
        }
    }
}

/// Finds the layer, settles its system, reads it, and checks that it lies on the raster.
pub(super) fn open_parcels(options: &ParcelOptions, sources: &Sources) -> Result<Warned<Opened>, InputError> {
    let mut warnings = Vec::new();
    let layer = find(options)?.unload(&mut warnings);
    let crs = parcel_crs(&layer, options)?.unload(&mut warnings);
    if options.crs.is_none() {
        warnings.extend(geojson::old_member(&layer));
    }
    let near = raster_boxes(&sources.grid, &crs);
    let grown: Vec<Bounds> = near.iter().map(|b| b.grown(MARGIN)).collect();
    let lots = read(&layer, options, &grown)?.unload(&mut warnings);
    let bounds: Vec<Bounds> = lots.lots.iter().map(|l| l.bounds).collect();
    let pair = Pair { grid: &sources.grid, parcels_path: &layer.path, parcels_crs: &crs, bounds: &bounds };
    pair.check_overlap(&near)?;
    warnings.extend(coarse_numbers(&layer.path, &crs, &lots.lots));
    warnings.extend(areas::disagreement(&layer.path, &crs, &lots));
    Ok(Warned::new(Opened { layer, crs, lots }, warnings))
}

/// The system assigned, else the one declared.
pub(super) fn parcel_crs(
    layer: &Layer,
    options: &ParcelOptions,
) -> Result<Warned<CrsDefinition>, InputError> {
    let path = &layer.path;
    let crs = match &options.crs {
        Some(text) => CrsDefinition::parse(text).map_err(|e| InputError::crs(path, InputKind::Parcels, e))?,
        None => layer.crs.clone().ok_or_else(|| InputError::NoCrs {
            path: path.clone(),
            kind: InputKind::Parcels,
            found: if super::files::ending(path) == "shp" {
                "its .prj file is missing or empty".to_owned()
            } else {
                "it declares none".to_owned()
            },
        })?,
    };
    let found = match crs.kind() {
        CrsKind::Geographic | CrsKind::Projected(_) => {
            return match options.crs {
                Some(_) => Ok(Warned::clean(crs)),
                None => honest(path, InputKind::Parcels, crs),
            };
        }
        CrsKind::Local => format!("\"{}\" is a local grid, tied to no place on earth", crs.label()),
        CrsKind::Other => format!("\"{}\" has no horizontal axes in length or angle", crs.label()),
    };
    Err(InputError::NoCrs { path: path.clone(), kind: InputKind::Parcels, found })
}

/// A place of the subject lot.
#[derive(Debug, Clone, Copy)]
struct Anchor {
    /// One of its corners, in the parcels' system.
    in_parcels: (f64, f64),
    /// Its middle, in the raster's system.
    in_raster: (f64, f64),
}

/// The lots that may be meant, and where they are.
fn choose_subject(
    opened: &Opened,
    sources: &Sources,
    subject: &Subject,
) -> Result<(Wanted, Anchor), InputError> {
    let lots: &[RawLot] = &opened.lots.lots;
    let trouble = |e| InputError::crs(&opened.layer.path, InputKind::Parcels, e);
    let (found, id, asked) = match subject {
        Subject::Id(id) => {
            (subject::by_id(&opened.layer.path, &opened.lots, id)?, Some(id.clone()), format!("lot {id}"))
        }
        Subject::At { lon, lat } => {
            let place = (*lon, *lat);
            (
                subject::at(lots, &opened.crs, &opened.layer.path, place)?,
                None,
                format!("--lot-at {lon},{lat}"),
            )
        }
        Subject::Town => {
            let (x, y) = middle(sources);
            let way = Transform::new(&sources.grid.crs, &opened.crs).map_err(trouble)?;
            let in_parcels = way.point(x, y).map_err(trouble)?;
            return Ok((Wanted::Nearest(x, y), Anchor { in_parcels, in_raster: (x, y) }));
        }
    };
    let near: Vec<usize> = found.iter().copied().filter(|&i| lots[i].outline.is_some()).collect();
    // Lots of this id elsewhere in the county can't be the ones meant if one lies on the raster.
    let found = if near.is_empty() { found } else { near };
    let own = [lots[found[0]].bounds];
    let pair = Pair {
        grid: &sources.grid,
        parcels_path: &opened.layer.path,
        parcels_crs: &opened.crs,
        bounds: &own,
    };
    pair.check_lot(&asked, &raster_boxes(&sources.grid, &opened.crs))?;
    let anchor = anchor(opened, sources, &lots[found[0]]).map_err(trouble)?;
    Ok((Wanted::OneOf { lots: found, id, asked }, anchor))
}

/// Where a lot is. Its corners are moved one by one, because the box around a lot across 180 degrees goes round the earth.
fn anchor(opened: &Opened, sources: &Sources, lot: &RawLot) -> Result<Anchor, CrsError> {
    let way = Transform::new(&opened.crs, &sources.grid.crs)?;
    let corners: Vec<(f64, f64)> = match &lot.outline {
        Some(outline) => outline.exterior_coords_iter().map(|c| (c.x, c.y)).collect(),
        None => vec![lot.bounds.centre()],
    };
    let mut moved = Vec::with_capacity(corners.len());
    for &(x, y) in &corners {
        let (x, y) = way.point(x, y)?;
        moved.push((sources.grid.turned_near(x)?, y));
    }
    let in_raster = Bounds::around(&moved).map_or(moved[0], Bounds::centre);
    Ok(Anchor { in_parcels: corners[0], in_raster })
}

/// Map coordinates of the raster's middle.
pub(super) fn middle(sources: &Sources) -> (f64, f64) {
    let c = sources.grid.corners();
    (f64::midpoint(c[0].0, c[2].0), f64::midpoint(c[0].1, c[2].1))
}

/// The place that stands for a town, moved to the working system.
fn fit_to_working(wanted: Wanted, survey: &Survey, sources: &Sources) -> Result<Wanted, InputError> {
    match wanted {
        Wanted::Nearest(x, y) => {
            let place = in_working(survey.crs(), &sources.grid.crs, x, y).ok_or_else(|| {
                InputError::NoGeoreference {
                    path: sources.path.clone(),
                    reason: "its middle has no place in the working system".to_owned(),
                }
            })?;
            Ok(Wanted::Nearest(place.0, place.1))
        }
        one @ Wanted::OneOf { .. } => Ok(one),
    }
}
