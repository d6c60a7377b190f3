//! Elevations of one survey, seen as one north-up grid in metres.

mod clean;
mod contents;
mod describe;
mod facts;
mod levels;
pub(super) mod look;
mod mosaic;
mod overlaps;
mod plan;
mod warp;
mod window;
mod world_file;

pub use describe::MaskKind;
pub(super) use describe::{Tile, affine_of, apply, crs_of, describe, invert, mask_of, open};
pub use facts::{ElevationFacts, GridUse, TileFacts};
pub(super) use mosaic::SourceGrid;
pub(super) use overlaps::disagreement as tiles_disagree;
pub use window::Window;

use super::ElevationOptions;
use super::error::{InputError, InputKind};
use super::holes::{Frame, Side};
use super::registry::honest;
use super::shots::Shots;
use super::units::{StatedUnit, UnitSource, settle};
use crate::crs::{CrsDefinition, CrsError, CrsKind, Transform, WorkingCrs};
use crate::grid::{Cell, CellSize, Georef, Grid, GridShape};
use crate::input::numbers::real;
use crate::warning::{Warned, Warning};
use levels::{heights_grow_upwards, one_vertical_system};
use plan::{Plan, Reason};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The files of a survey, fitted together, before a working grid is chosen.
#[derive(Debug, Clone)]
pub(super) struct Sources {
    /// The common grid.
    pub(super) grid: SourceGrid,
    /// Unit of the elevations.
    pub(super) unit: StatedUnit,
    /// The files.
    pub(super) tiles: Vec<TileFacts>,
    /// The first file, for messages.
    pub(super) path: PathBuf,
}

/// The elevations of one survey, as one north-up working grid; cells are read when they are asked for.
///
/// Plain data: it may be shared between threads; each read opens its own handle on the files.
///
/// # Invariants
/// The working grid is projected, with true lengths at the lot; two windows that share a cell read the same value in it.
#[derive(Debug, Clone)]
pub struct Survey {
    sources: SourceGrid,
    plan: Plan,
    facts: ElevationFacts,
    /// Levels taken on site that correct them.
    shots: Option<Arc<Shots>>,
}

impl Survey {
    /// Rows and columns of the whole working grid.
    #[must_use]
    pub const fn shape(&self) -> GridShape {
        self.plan.shape
    }

    /// The whole working grid as one window.
    #[must_use]
    pub const fn whole(&self) -> Window {
        Window::whole(self.plan.shape)
    }

    /// Place of the whole working grid, in units of the working system.
    #[must_use]
    pub const fn georef(&self) -> Georef {
        self.plan.georef
    }

    /// Size of a cell on the ground, the scale of the projection taken out.
    #[must_use]
    pub const fn cell_size(&self) -> CellSize {
        self.plan.cell
    }

    /// The working system.
    #[must_use]
    pub const fn crs(&self) -> &WorkingCrs {
        &self.plan.crs
    }

    /// What is known about the elevations.
    #[must_use]
    pub const fn facts(&self) -> &ElevationFacts {
        &self.facts
    }

    /// Elevations of a part of the working grid, in metres, corrected by shots if there are any; NaN where there
    /// is none. Holes are not bridged here.
    ///
    /// # Errors
    /// [`InputError::Window`] if the part isn't inside the grid, [`InputError::Incomplete`] or [`InputError::Codec`] if
    /// a file can't be read there.
    pub fn read(&self, window: Window) -> Result<Grid<f32>, InputError> {
        if !window.is_inside(self.plan.shape) {
            let Window { row, col, shape } = window;
            return Err(InputError::Window { row, col, rows: shape.rows, cols: shape.cols });
        }
        let mut heights = match &self.plan.warp {
            Some(Reason { warp, .. }) => warp.read(&self.sources, window)?,
            None => self.sources.read(window)?,
        };
        if let Some(shots) = &self.shots {
            shots.conditioning.correct(Cell { row: window.row, col: window.col }, &mut heights);
        }
        Ok(heights)
    }

    /// The shots that correct the elevations.
    #[must_use]
    pub fn shots(&self) -> Option<&Shots> {
        self.shots.as_deref()
    }

    /// Has all that is read from here on corrected by shots.
    pub(super) fn correct_by(&mut self, shots: Arc<Shots>) {
        self.shots = Some(shots);
    }

    /// Which sides of a window are also sides of the whole grid.
    #[must_use]
    pub const fn frame(&self, window: Window) -> Frame {
        const fn side(is_end: bool) -> Side {
            if is_end { Side::DataEdge } else { Side::Cut }
        }
        Frame {
            north: side(window.row == 0),
            south: side(window.row + window.shape.rows >= self.plan.shape.rows),
            west: side(window.col == 0),
            east: side(window.col + window.shape.cols >= self.plan.shape.cols),
        }
    }

    /// From here on 0 is no elevation.
    pub(super) fn take_zeros_for_gaps(&mut self) {
        self.sources.take_zeros_for_gaps();
    }

    /// The files as they are stored, for looks that must see stored numbers.
    pub(super) const fn sources(&self) -> &SourceGrid {
        &self.sources
    }
}

/// Settles coordinate system and unit of the described files and fits them together.
pub(super) fn assemble(tiles: Vec<Tile>, options: &ElevationOptions) -> Result<Warned<Sources>, InputError> {
    let mut warnings = Vec::new();
    let Some(first) = tiles.first() else {
        return Err(InputError::NotElevation { path: "".into(), reason: "no file was given".to_owned() });
    };
    let path = first.path.clone();
    let crs = common_crs(&tiles, options.crs.as_deref())?.unload(&mut warnings);
    // A system assigned by hand is about east and north; what the file says about heights stays.
    let own = first.crs.as_ref().filter(|own| own.vertical().is_some() && crs.vertical().is_none());
    let unit = settle(&path, options.unit, own.unwrap_or(&crs), &first.unit)?.unload(&mut warnings);
    for tile in &tiles {
        heights_grow_upwards(tile)?;
    }
    warnings.extend(one_vertical_system(&tiles)?);
    for tile in &tiles[1..] {
        let own = tile.crs.as_ref().filter(|_| options.crs.is_none()).unwrap_or(&crs);
        let other = settle(&tile.path, options.unit, own, &tile.unit)?.value;
        if other.unit != unit.unit {
            return Err(InputError::TilesDiffer {
                odd: tile.path.clone(),
                first: path,
                reason: format!("elevations in {} against {}", other.unit.name(), unit.unit.name()),
            });
        }
    }
    let facts = tiles.iter().map(TileFacts::of).collect();
    let tiles = tiles.into_iter().map(|t| Tile { nodata: options.nodata.or(t.nodata), ..t }).collect();
    let grid = SourceGrid::new(tiles, crs, unit.unit.metres())?;
    Ok(Warned::new(Sources { grid, unit, tiles: facts, path }, warnings))
}

/// The system that all files share, or the one assigned.
fn common_crs(tiles: &[Tile], assigned: Option<&str>) -> Result<Warned<CrsDefinition>, InputError> {
    let first = &tiles[0];
    if let Some(text) = assigned {
        let crs =
            CrsDefinition::parse(text).map_err(|e| InputError::crs(&first.path, InputKind::Elevation, e))?;
        return usable(&first.path, crs).map(Warned::clean);
    }
    let missing = |tile: &Tile| InputError::NoCrs {
        path: tile.path.clone(),
        kind: InputKind::Elevation,
        found: "it declares none".to_owned(),
    };
    let crs = first.crs.clone().ok_or_else(|| missing(first))?;
    for tile in &tiles[1..] {
        let own = tile.crs.as_ref().ok_or_else(|| missing(tile))?;
        if !own.same_horizontal(&crs) {
            return Err(InputError::TilesDiffer {
                odd: tile.path.clone(),
                first: first.path.clone(),
                reason: format!("coordinate system {} against {}", own.label(), crs.label()),
            });
        }
    }
    honest(&first.path, InputKind::Elevation, usable(&first.path, crs)?)
}

fn usable(path: &Path, crs: CrsDefinition) -> Result<CrsDefinition, InputError> {
    let found = match crs.kind() {
        CrsKind::Geographic | CrsKind::Projected(_) => return Ok(crs),
        CrsKind::Local => format!("\"{}\" is a local grid, tied to no place on earth", crs.label()),
        CrsKind::Other => format!("\"{}\" has no horizontal axes in length or angle", crs.label()),
    };
    Err(InputError::NoCrs { path: path.to_owned(), kind: InputKind::Elevation, found })
}

/// Chooses the working grid for a lot at `x`, `y` in the files' system.
pub(super) fn survey(sources: Sources, x: f64, y: f64) -> Result<Warned<Survey>, InputError> {
    let trouble = |e: CrsError| InputError::crs(&sources.path, InputKind::Elevation, e);
    let plan = plan::choose(&sources.grid, x, y).map_err(trouble)?;
    let mut warnings = Vec::new();
    let grid = match &plan.warp {
        None => GridUse::Native,
        Some(reason) => {
            warnings.push(Warning::new(
                "elevation-warped",
                format!(
                    "elevations were interpolated to {} with cells of {} map units, because {}",
                    plan.crs.label(),
                    plan.georef.step_x,
                    reason.why
                ),
                "give elevations on a north-up grid in a projection made for the region to have every cell read as it is",
            ));
            GridUse::Warped { why: reason.why.clone(), target: plan.crs.label().to_owned() }
        }
    };
    let georef = plan.georef;
    let facts = ElevationFacts {
        crs: sources.grid.crs.label().to_owned(),
        crs_unit: unit_text(&sources.grid.crs),
        vertical_datum: sources.grid.crs.vertical().map(|v| v.name.clone()),
        vertical_unit: if sources.unit.from == UnitSource::Unknown {
            "unknown"
        } else {
            sources.unit.unit.name()
        },
        vertical_unit_from: sources.unit.from,
        grid,
        working_crs: plan.crs.label().to_owned(),
        cell_m: plan.cell.dx_m,
        cell_height_m: plan.cell.dy_m,
        rows: plan.shape.rows,
        cols: plan.shape.cols,
        extent: [
            georef.west,
            georef.north - georef.step_y * real(plan.shape.rows),
            georef.west + georef.step_x * real(plan.shape.cols),
            georef.north,
        ],
        extent_lonlat: extent_lonlat(&sources.grid),
        tiles: sources.tiles.clone(),
    };
    Ok(Warned::new(Survey { sources: sources.grid, plan, facts, shots: None }, warnings))
}

fn unit_text(crs: &CrsDefinition) -> String {
    match crs.kind() {
        CrsKind::Projected(unit) => format!("{} ({} m)", unit.name, unit.metres),
        CrsKind::Geographic => "degree".to_owned(),
        CrsKind::Local | CrsKind::Other => "unknown".to_owned(),
    }
}

/// West, south, east and north end of the raster in degrees; west > east where it lies across 180.
pub(super) fn extent_lonlat(grid: &SourceGrid) -> Option<[f64; 4]> {
    let to_lonlat = Transform::new(&grid.crs, &CrsDefinition::lonlat().ok()?).ok()?;
    let rim: Vec<(f64, f64)> = to_lonlat.points(&grid.rim(8)).ok()?.into_iter().flatten().collect();
    super::place::lonlat_box(&rim)
}
