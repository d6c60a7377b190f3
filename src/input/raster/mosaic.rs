//! One or several raster files seen as one grid.

use super::clean::{Cleaner, Reading, Tally};
use super::describe::{MaskKind, Tile, apply, invert, missing_codec, open};
use super::window::Window;
use crate::crs::{CrsDefinition, CrsError, CrsKind};
use crate::grid::{Cell, Grid, GridShape};
use crate::input::error::InputError;
use crate::input::numbers::{count, real, signed, single};
use crate::input::setup::{Gravity, take_messages};
use gdal::raster::RasterBand;
use std::path::Path;

/// Cells read at a time; bounds the memory beside the result to some 10 MB.
const CHUNK: usize = 1 << 20;
/// Largest misfit between grids, in cells.
const FIT: f64 = 0.01;

/// A file's place in the common grid.
#[derive(Debug, Clone)]
struct Placed {
    tile: Tile,
    cleaner: Cleaner,
    row: usize,
    col: usize,
    turned: Turned,
}

/// Which way stored rows and columns run against the common grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Turned {
    rows: Run,
    cols: Run,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Run {
    Same,
    Reversed,
}

/// The files of one survey as one grid, in metres with NaN for holes; no cell is ever resampled here.
#[derive(Debug, Clone)]
pub(crate) struct SourceGrid {
    /// From columns and rows to map coordinates; rows run south unless the grid is rotated.
    pub(crate) affine: [f64; 6],
    /// Rows and columns over all files.
    pub(crate) shape: GridShape,
    /// The common coordinate system.
    pub(crate) crs: CrsDefinition,
    tiles: Vec<Placed>,
}

impl SourceGrid {
    /// Fits the files together; `crs` and the unit are common to all.
    pub(crate) fn new(
        tiles: Vec<Tile>,
        crs: CrsDefinition,
        metres_per_unit: f64,
    ) -> Result<Self, InputError> {
        let upright: Vec<([f64; 6], Turned)> = tiles.iter().map(upright).collect();
        let Some(&(first, _)) = upright.first() else {
            return Err(InputError::NotElevation { path: "".into(), reason: "no file was given".to_owned() });
        };
        let mut corners = Vec::new();
        for (tile, (affine, _)) in tiles.iter().zip(&upright) {
            corners.push(offset(&tiles[0], first, tile, *affine)?);
        }
        let least = |pick: fn(&(i64, i64)) -> i64| corners.iter().map(pick).min().unwrap_or(0);
        let (row0, col0) = (least(|c| c.0), least(|c| c.1));
        let placed: Vec<Placed> = tiles
            .into_iter()
            .zip(upright)
            .zip(corners)
            .map(|((tile, (_, turned)), (row, col))| Placed {
                cleaner: Cleaner::new(&tile, metres_per_unit),
                tile,
                row: usize::try_from(row - row0).unwrap_or(0),
                col: usize::try_from(col - col0).unwrap_or(0),
                turned,
            })
            .collect();
        let all_rows = placed.iter().map(|p| p.row + p.tile.shape.rows).max().unwrap_or(0);
        let all_cols = placed.iter().map(|p| p.col + p.tile.shape.cols).max().unwrap_or(0);
        let mut affine = first;
        #[expect(clippy::cast_precision_loss, reason = "offsets between tiles stay far below 2^52 cells")]
        let origin = apply(first, col0 as f64, row0 as f64);
        (affine[0], affine[3]) = origin;
        Ok(Self { affine, shape: GridShape { rows: all_rows, cols: all_cols }, crs, tiles: placed })
    }

    /// Elevations of a part of the grid.
    pub(crate) fn read(&self, window: Window) -> Result<Grid<f32>, InputError> {
        self.read_counting(window, &mut Tally::default())
    }

    /// Elevations of a part of the grid, and what else its cells hold.
    pub(crate) fn read_counting(&self, window: Window, tally: &mut Tally) -> Result<Grid<f32>, InputError> {
        let mut grid = Grid::filled(window.shape, f32::NAN);
        for placed in &self.tiles {
            if let Some(part) = window.overlap(placed.row, placed.col, placed.tile.shape) {
                placed.read_into(&mut grid, window, part, tally)?;
            }
        }
        Ok(grid)
    }

    /// Elevations of one file alone in a part of the grid that it covers.
    pub(super) fn read_tile(&self, place: usize, window: Window) -> Result<Grid<f32>, InputError> {
        let mut grid = Grid::filled(window.shape, f32::NAN);
        self.tiles[place].read_into(&mut grid, window, window, &mut Tally::default())?;
        Ok(grid)
    }

    /// The part of the grid that each file covers.
    pub(super) fn tile_windows(&self) -> Vec<Window> {
        self.tiles.iter().map(|t| Window { row: t.row, col: t.col, shape: t.tile.shape }).collect()
    }

    /// Path of one file, as typed.
    pub(super) fn tile_path(&self, place: usize) -> &Path {
        &self.tiles[place].tile.path
    }

    /// From here on 0 is no elevation in any file.
    pub(crate) fn take_zeros_for_gaps(&mut self) {
        self.tiles.iter_mut().for_each(|placed| placed.cleaner.take_zero_for_gap());
    }

    /// Path of the first file, as typed, for messages.
    pub(crate) fn first_path(&self) -> &Path {
        self.tiles.first().map_or_else(|| Path::new(""), |placed| &placed.tile.path)
    }

    /// Corners of the whole grid in map coordinates.
    pub(crate) fn corners(&self) -> [(f64, f64); 4] {
        let (cols, rows) = (real(self.shape.cols), real(self.shape.rows));
        [(0.0, 0.0), (cols, 0.0), (cols, rows), (0.0, rows)].map(|(col, row)| apply(self.affine, col, row))
    }

    /// Points along the rim of the whole grid in map coordinates, `per_side` to a side.
    pub(crate) fn rim(&self, per_side: usize) -> Vec<(f64, f64)> {
        let corners = self.corners();
        let mut rim = Vec::with_capacity(4 * per_side);
        for side in 0..4 {
            let (a, b) = (corners[side], corners[(side + 1) % 4]);
            for step in 0..per_side {
                let t = real(step) / real(per_side);
                rim.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
            }
        }
        rim
    }

    /// Map units of a full turn, if the map counts angles.
    pub(crate) fn full_turn(&self) -> Result<Option<f64>, CrsError> {
        Ok(match self.crs.kind() {
            CrsKind::Geographic => Some(std::f64::consts::TAU / self.crs.reference()?.angular_units()),
            _ => None,
        })
    }

    /// A longitude moved by full turns to where the raster lies; other coordinates stay.
    pub(crate) fn turned_near(&self, x: f64) -> Result<f64, CrsError> {
        let corners = self.corners();
        let middle = f64::midpoint(corners[0].0, corners[2].0);
        Ok(self.full_turn()?.map_or(x, |turn| x + turn * ((middle - x) / turn).round()))
    }

    /// Columns and rows of a place in map coordinates.
    pub(crate) fn to_grid(&self, x: f64, y: f64) -> (f64, f64) {
        invert(self.affine, x, y)
    }
}

/// The affine with rows running south and columns east, unless the grid is rotated.
fn upright(tile: &Tile) -> ([f64; 6], Turned) {
    let mut a = tile.affine;
    let mut turned = Turned { rows: Run::Same, cols: Run::Same };
    let lean = (a[2].abs() + a[4].abs()) / (a[1].abs() + a[5].abs());
    if lean < 1e-9 {
        (a[2], a[4]) = (0.0, 0.0);
        if a[1] < 0.0 {
            a[0] += a[1] * real(tile.shape.cols);
            a[1] = -a[1];
            turned.cols = Run::Reversed;
        }
        if a[5] > 0.0 {
            a[3] += a[5] * real(tile.shape.rows);
            a[5] = -a[5];
            turned.rows = Run::Reversed;
        }
    }
    (a, turned)
}

/// Row and column of a tile's first cell, counted from the first tile's.
fn offset(first: &Tile, grid: [f64; 6], tile: &Tile, affine: [f64; 6]) -> Result<(i64, i64), InputError> {
    let differ = |reason: String| InputError::TilesDiffer {
        odd: tile.path.clone(),
        first: first.path.clone(),
        reason,
    };
    for i in [1, 2, 4, 5] {
        // Over the width of a tile the steps must not drift apart by more than the allowed misfit.
        let drift = (affine[i] - grid[i]).abs() * real(tile.shape.rows.max(tile.shape.cols));
        if drift > FIT * (grid[1].abs() + grid[2].abs()) {
            return Err(differ(format!(
                "cells of {} x {} against {} x {} map units",
                affine[1].hypot(affine[4]),
                affine[2].hypot(affine[5]),
                grid[1].hypot(grid[4]),
                grid[2].hypot(grid[5])
            )));
        }
    }
    let (col, row) = invert(grid, affine[0], affine[3]);
    let (whole_col, whole_row) = (col.round(), row.round());
    if (col - whole_col).abs() > FIT || (row - whole_row).abs() > FIT {
        return Err(differ(format!(
            "its grid is shifted by {:.3} columns and {:.3} rows",
            col - whole_col,
            row - whole_row
        )));
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "grids lie within some millions of cells of each other"
    )]
    Ok((whole_row as i64, whole_col as i64))
}

impl Placed {
    /// Reads the part of `window` that this file covers; cells that already have an elevation stay.
    fn read_into(
        &self,
        grid: &mut Grid<f32>,
        window: Window,
        part: Window,
        tally: &mut Tally,
    ) -> Result<(), InputError> {
        let dataset = open(&self.tile.path, &self.tile.open)?;
        let band = dataset.rasterband(1).map_err(|e| self.damaged(&e.to_string()))?;
        let mask = match self.tile.mask {
            MaskKind::Band => Some(band.open_mask_band().map_err(|e| self.damaged(&e.to_string()))?),
            MaskKind::None => None,
        };
        let rows_at_once = (CHUNK / part.shape.cols.max(1)).max(1);
        let mut row = part.row;
        while row < part.row + part.shape.rows {
            let rows = rows_at_once.min(part.row + part.shape.rows - row);
            let strip = Window { row, col: part.col, shape: GridShape { rows, cols: part.shape.cols } };
            let stored = self.fetch(&band, strip)?;
            let masked = mask.as_ref().map(|m| self.fetch(m, strip)).transpose()?;
            for (down, stored) in stored.chunks(part.shape.cols).enumerate() {
                let masked = masked.as_ref().map(|m| &m[down * part.shape.cols..]);
                let first = Cell { row: row + down - window.row, col: part.col - window.col };
                let start = window.shape.index(first);
                let targets = &mut grid.values_mut()[start..start + part.shape.cols];
                for (right, (target, &stored)) in targets.iter_mut().zip(stored).enumerate() {
                    if target.is_nan() {
                        let opaque = masked.is_none_or(|m| m[right] > 0.0);
                        let reading = if opaque { self.cleaner.read(stored) } else { Reading::Missing };
                        let place = Cell { row: row + down, col: part.col + right };
                        *target = tally.count(reading, stored, place);
                    }
                }
            }
            row += rows;
        }
        Ok(())
    }

    /// Stored numbers of a part of the common grid that lies on this file, turned to its rows and columns.
    fn fetch(&self, band: &RasterBand<'_>, strip: Window) -> Result<Vec<f64>, InputError> {
        let GridShape { rows, cols } = strip.shape;
        let (mut row, mut col) = (strip.row - self.row, strip.col - self.col);
        if self.turned.rows == Run::Reversed {
            row = self.tile.shape.rows - row - rows;
        }
        if self.turned.cols == Run::Reversed {
            col = self.tile.shape.cols - col - cols;
        }
        let mut stored = band
            .read_as::<f64>((signed(col), signed(row)), (cols, rows), (cols, rows), None)
            .map_err(|e| self.damaged(&e.to_string()))?
            .into_shape_and_vec()
            .1;
        if self.turned.rows == Run::Reversed {
            stored = stored.chunks(cols).rev().flatten().copied().collect();
        }
        if self.turned.cols == Run::Reversed {
            stored.chunks_mut(cols).for_each(<[f64]>::reverse);
        }
        Ok(stored)
    }

    /// A read that failed: the compression is unknown, or the file is cut or damaged.
    fn damaged(&self, fallback: &str) -> InputError {
        let messages = take_messages();
        let failures: Vec<&str> =
            messages.iter().filter(|m| m.gravity == Gravity::Failure).map(|m| m.text.as_str()).collect();
        // The first is nearest to the cause.
        let reason = failures.first().copied().unwrap_or(fallback).to_owned();
        if let Some(codec) = missing_codec(&reason) {
            return InputError::Codec { path: self.tile.path.clone(), codec };
        }
        let number = |after: &str| -> Option<usize> {
            let rest = failures.iter().find_map(|text| text.split(after).nth(1))?;
            rest.chars().take_while(char::is_ascii_digit).collect::<String>().parse().ok()
        };
        let at = match (number("X offset "), number("Y offset ")) {
            (Some(x), Some(y)) => format!(" at block {x} (column of blocks), {y} (row of blocks)"),
            _ => String::new(),
        };
        InputError::Incomplete { path: self.tile.path.clone(), at, reason }
    }
}

impl Tally {
    /// Books one reading and gives what goes into the grid.
    fn count(&mut self, reading: Reading, stored: f64, place: Cell) -> f32 {
        match reading {
            Reading::Height(metres) => {
                self.valid += 1;
                self.fractional += usize::from(stored.fract() != 0.0);
                single(metres)
            }
            Reading::Missing => {
                self.missing += 1;
                f32::NAN
            }
            Reading::Suspect => {
                self.suspect += 1;
                self.first_suspect.get_or_insert((place, stored));
                f32::NAN
            }
        }
    }
}

/// The cell range `from..to`, both real, as whole cells within `0..limit`.
pub(crate) fn whole_range(from: f64, to: f64, limit: usize) -> (usize, usize) {
    let first = count(from.floor()).min(limit);
    (first, count(to.ceil()).clamp(first, limit))
}
