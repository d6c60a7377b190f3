//! Filling the sinks of a surface.

use super::band::{Band, scan};
use super::graph::{OUTSIDE, Pass, levels};
use super::link::GROUPS;
use super::{Outlet, Rim, TerrainError};
use crate::grid::{Cell, Direction, Grid, GridShape};
use rayon::prelude::*;

/// Rows in a band. Results don't depend on it.
const BAND_ROWS: usize = 256;

/// Raises every cell to the level at which its water finds a way out.
///
/// The result is unique: the lowest, over all ways from the cell to an outlet over the eight neighbours, of the
/// highest ground on the way.
///
/// # Units
/// Metres in, metres out; the outlets' levels too.
///
/// # Method
/// Every cell drains, without climbing, to the lowest cell of its basin, so the level of a cell is the higher of its
/// ground and its basin's level. Basins touch in many places, yet only at cells whose lower neighbours fall into
/// two or more groups that don't touch one another can a pass be needed (see `link.rs`): one scan finds these. The
/// passes then give the level of each basin (see `graph.rs`).
///
/// NaN cells are holes: they stay NaN, and ground that touches one of them (eight neighbours) drains into it. The
/// cells of an open side are outlets at their own elevation.
///
/// # Source
/// The surface is the morphological reconstruction by erosion of the ground from its outlets (Vincent 1993,
/// "Morphological grayscale reconstruction in image analysis", from memory).
///
/// # Cost
/// Beyond the result, 1 to 8 bytes a cell; time in proportion to the cells and, sorted, the saddles. Bands of rows
/// run on all threads of the current pool; the result doesn't depend on their number.
///
/// # Errors
/// [`TerrainError`] where ground has no way out, elevations or levels aren't finite, an outlet isn't on the ground,
/// or the grid has more than 2^32 - 2 cells.
pub fn fill(raw: &Grid<f32>, rim: &Rim, extra: &[Outlet]) -> Result<Grid<f32>, TerrainError> {
    let shape = raw.shape();
    check(raw, extra)?;
    if shape.is_empty() {
        return Ok(raw.clone());
    }
    let mut labels = vec![0_u32; shape.len()];
    let bands: Vec<Band> = labels
        .par_chunks_mut(BAND_ROWS * shape.cols)
        .enumerate()
        .map(|(number, labels)| scan(raw.values(), shape.cols, number * BAND_ROWS, labels))
        .collect();
    let basins = Basins::new(raw, &labels, &bands);
    let passes = basins.passes(rim, extra);
    let level = levels(basins.count, &passes);
    drop(passes);
    let first = basins.first;
    labels.par_chunks_mut(BAND_ROWS * shape.cols).zip(bands).zip(&first).enumerate().try_for_each(
        |(number, ((labels, band), &first))| raise(raw, number, labels, &band, &level[first as usize..]),
    )?;
    Ok(Grid::new(shape, labels.into_iter().map(f32::from_bits).collect()))
}

fn check(raw: &Grid<f32>, extra: &[Outlet]) -> Result<(), TerrainError> {
    let shape = raw.shape();
    if u32::try_from(shape.len()).map_or(true, |cells| cells == u32::MAX) {
        return Err(TerrainError::TooLarge { rows: shape.rows, cols: shape.cols });
    }
    if let Some(index) = raw.values().par_iter().position_first(|z| z.is_infinite()) {
        return Err(TerrainError::Infinite { cell: shape.cell(index) });
    }
    for &Outlet { cell, level_m } in extra {
        if cell.row >= shape.rows || cell.col >= shape.cols {
            return Err(TerrainError::OutletOffGrid { cell, shape });
        }
        if !level_m.is_finite() {
            return Err(TerrainError::OutletLevel { cell, level_m });
        }
        if raw.at(cell).is_nan() {
            return Err(TerrainError::OutletInHole { cell });
        }
    }
    Ok(())
}

/// Replaces labels by the bits of the filled elevation.
fn raise(
    raw: &Grid<f32>,
    number: usize,
    labels: &mut [u32],
    band: &Band,
    level: &[f32],
) -> Result<(), TerrainError> {
    let start = number * BAND_ROWS * raw.shape().cols;
    let ground = &raw.values()[start..start + labels.len()];
    let of_label: Vec<f32> = band.basin_of.iter().map(|&basin| level[basin as usize]).collect();
    if of_label.iter().any(|level| level.is_nan()) {
        let lost = labels.iter().zip(ground).position(|(&l, z)| !z.is_nan() && of_label[l as usize].is_nan());
        if let Some(index) = lost {
            return Err(TerrainError::NoOutlet { cell: raw.shape().cell(start + index) });
        }
    }
    for (label, &z) in labels.iter_mut().zip(ground) {
        let level = of_label[*label as usize];
        *label = if level > z { level } else { z }.to_bits();
    }
    Ok(())
}

/// The basins of all bands under one numbering.
struct Basins<'a> {
    raw: &'a Grid<f32>,
    labels: &'a [u32],
    bands: &'a [Band],
    /// Number of each band's first basin.
    first: Vec<u32>,
    count: usize,
}

impl<'a> Basins<'a> {
    fn new(raw: &'a Grid<f32>, labels: &'a [u32], bands: &'a [Band]) -> Self {
        let mut count = 0;
        let first = bands
            .iter()
            .map(|band| {
                let first = count;
                count += band.basins;
                first
            })
            .collect();
        Self { raw, labels, bands, first, count: count as usize }
    }

    fn shape(&self) -> GridShape {
        self.raw.shape()
    }

    fn of(&self, cell: Cell) -> u32 {
        let band = cell.row / BAND_ROWS;
        let label = self.labels[self.shape().index(cell)];
        self.first[band] + self.bands[band].basin_of[label as usize]
    }

    /// All passes that can set a level.
    fn passes(&self, rim: &Rim, extra: &[Outlet]) -> Vec<Pass> {
        let mut parts: Vec<Vec<Pass>> =
            (0..self.bands.len()).into_par_iter().map(|number| self.passes_in(number, rim)).collect();
        parts.push(extra.iter().map(|outlet| self.way_out(outlet.cell, outlet.level_m)).collect());
        parts.concat()
    }

    fn passes_in(&self, number: usize, rim: &Rim) -> Vec<Pass> {
        let mut passes = Vec::new();
        for saddle in &self.bands[number].saddles {
            let cell = self.shape().cell(saddle.cell as usize);
            let level = *self.raw.at(cell);
            let from = self.of(cell);
            for direction in Direction::ALL {
                if GROUPS[usize::from(saddle.lower)] >> direction.code() & 1 == 1
                    && let Some(below) = self.shape().neighbour(cell, direction)
                {
                    let to = self.of(below);
                    if to != from {
                        passes.push(Pass { level, from, to });
                    }
                }
            }
        }
        self.ways_out(number, rim, &mut passes);
        passes
    }

    /// Passes over the rim and into holes.
    fn ways_out(&self, number: usize, rim: &Rim, passes: &mut Vec<Pass>) {
        let shape = self.shape();
        let rows = number * BAND_ROWS..shape.rows.min((number + 1) * BAND_ROWS);
        let near_holes = self.bands[number.saturating_sub(1)..self.bands.len().min(number + 2)]
            .iter()
            .any(|band| band.has_holes);
        for row in rows {
            let whole = near_holes || row == 0 || row + 1 == shape.rows;
            let step = if whole { 1 } else { (shape.cols - 1).max(1) };
            for col in (0..shape.cols).step_by(step) {
                let cell = Cell { row, col };
                let ground = *self.raw.at(cell);
                if !ground.is_nan()
                    && (rim.lets_out(shape, cell) || (near_holes && touches_hole(self.raw, cell)))
                {
                    passes.push(self.way_out(cell, ground));
                }
            }
        }
    }

    fn way_out(&self, cell: Cell, level_m: f32) -> Pass {
        Pass { level: self.raw.at(cell).max(level_m), from: self.of(cell), to: OUTSIDE }
    }
}

/// Whether any of the eight neighbours is a hole.
fn touches_hole(raw: &Grid<f32>, cell: Cell) -> bool {
    Direction::ALL
        .into_iter()
        .any(|direction| raw.shape().neighbour(cell, direction).is_some_and(|next| raw.at(next).is_nan()))
}
