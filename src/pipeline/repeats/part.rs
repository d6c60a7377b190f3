//! The part of a window that a realisation needs as a rule: around the ground that drains to the lot on the
//! surface as given.

use super::super::beyond::{Bracket, all_that_reach, sides_reached};
use super::super::catchment::Routed;
use super::super::ground::Ground;
use super::super::settings::Settings;
use super::straight_ways::StraightWays;
use crate::error::Error;
use crate::flow::Reach;
use crate::grid::{Cell, Grid, GridShape};
use crate::input::{Site, Window};
use crate::terrain::{Outlet, fill};

/// Cells around that ground. Ours: wide enough that few realisations need more.
const MARGIN: usize = 32;
/// A part larger than this share of the window saves less than looking whether it is enough costs. Ours.
const LARGEST: f64 = 0.8;

/// A part of a window, on which a realisation gives what it gives on the window if it
/// [`settles`](Self::settles).
pub(super) struct Part {
    ground: Ground,
    /// Its first cell in the window.
    first: Cell,
    window: GridShape,
}

impl Part {
    /// The part around all ground that drains to the lot as `given`; nothing if that is most of the window,
    /// or holes don't look the same in it.
    pub(super) fn of(
        window: &Ground,
        site: &Site,
        settings: &Settings,
        given: &Routed,
    ) -> Result<Option<Self>, Error> {
        let Some(part) = around(given, window.window) else { return Ok(None) };
        #[expect(clippy::cast_precision_loss, reason = "cells stay far below 2^52")]
        let share = part.shape.len() as f64 / window.raw.shape().len() as f64;
        if share > LARGEST {
            return Ok(None);
        }
        let ground = Ground::read(site, settings, part)?;
        let first = Cell { row: part.row - window.window.row, col: part.col - window.window.col };
        let part = Self { ground, first, window: window.raw.shape() };
        let same = |(a, b): (&f32, &f32)| a.to_bits() == b.to_bits() || (a.is_nan() && b.is_nan());
        let is_same = part.of_surface(&window.raw).values().iter().zip(part.ground.raw.values()).all(same);
        Ok((is_same && part.ground.unsettled.is_empty()).then_some(part))
    }

    pub(super) const fn ground(&self) -> &Ground {
        &self.ground
    }

    /// Whether parcels that are moved by so much, m, still lie well inside.
    pub(super) fn holds(&self, (east_m, north_m): (f64, f64)) -> bool {
        let steps = (east_m / self.ground.cell.dx_m).abs().max((north_m / self.ground.cell.dy_m).abs());
        #[expect(clippy::cast_precision_loss, reason = "a few cells")]
        let most = MARGIN as f64 / 2.0;
        steps < most
    }

    /// Its cells of a surface of the window.
    pub(super) fn of_surface(&self, surface: &Grid<f32>) -> Grid<f32> {
        let shape = self.ground.raw.shape();
        let rows = surface.values().chunks(self.window.cols).skip(self.first.row).take(shape.rows);
        let values = rows.flat_map(|row| &row[self.first.col..][..shape.cols]).copied().collect();
        Grid::new(shape, values)
    }

    /// Place in the window of one of its cells.
    pub(super) fn in_window(&self, cell: usize) -> usize {
        self.window.index(self.cell_in_window(self.ground.raw.shape().cell(cell)))
    }

    const fn cell_in_window(&self, Cell { row, col }: Cell) -> Cell {
        Cell { row: row + self.first.row, col: col + self.first.col }
    }

    /// Whether what can send water to the lot does so as on the whole window.
    ///
    /// # Method
    /// That of the window that grows (`beyond.rs`): a filling whose cut sides are outlets can only be too low.
    /// One whose cut sides let water out no lower than the highest ground straight on to the window's own rim
    /// can only be too high, since that is one way out of many. Where the two agree the level is that of the
    /// window.
    ///
    /// # Errors
    /// Those of filling.
    pub(super) fn settles(
        &self,
        surface: &Grid<f32>,
        raw: &Grid<f32>,
        low: &Grid<f32>,
        reach: &Reach,
    ) -> Result<bool, Error> {
        let ground = &self.ground;
        let is_cut = |sides: [bool; 4]| sides.contains(&true);
        if is_cut(sides_reached(ground, reach))
            || is_cut(ground.roofs.sides_beyond(|cell| reach.place(cell).is_some()))
        {
            return Ok(false);
        }
        let ways_out = [self.straight_out(surface), ground.inlets.outlets(raw)].concat();
        let high = fill(raw, &ground.data_edges, &ways_out)?;
        let cells = reach.cells().iter().map(|&cell| cell as usize);
        Ok(Bracket { low, high: &high }.settles(ground, cells))
    }

    /// The ways straight out of the cells on cut sides, each with the highest ground up to the window's rim or
    /// to a hole.
    fn straight_out(&self, surface: &Grid<f32>) -> Vec<Outlet> {
        let shape = self.ground.raw.shape();
        let ways = StraightWays::over(surface, self.first, shape);
        let is_ground = |cell: &usize| !self.ground.raw.values()[*cell].is_nan();
        let out = |index: usize| {
            let cell = shape.cell(index);
            Outlet { cell, level_m: ways.lowest_from(cell) }
        };
        self.ground.cells_on_cut_sides().filter(is_ground).map(out).collect()
    }
}

/// The box around all that reaches the lot, with a margin, inside a window.
fn around(given: &Routed, window: Window) -> Option<Window> {
    let (ground, shape) = (&given.ground, given.ground.raw.shape());
    let cells = || all_that_reach(given).map(|cell| shape.cell(cell));
    let rows = (cells().map(|cell| cell.row).min()?, cells().map(|cell| cell.row).max()?);
    let cols = (cells().map(|cell| cell.col).min()?, cells().map(|cell| cell.col).max()?);
    let within = |(first, last): (usize, usize), given: usize, start: usize, count: usize| {
        let from = (given + first).saturating_sub(MARGIN).max(start);
        (from, (given + last + 1 + MARGIN).min(start + count))
    };
    let (north, south) = within(rows, ground.window.row, window.row, window.shape.rows);
    let (west, east) = within(cols, ground.window.col, window.col, window.shape.cols);
    let shape = GridShape { rows: south - north, cols: east - west };
    Some(Window { row: north, col: west, shape })
}

#[cfg(test)]
#[path = "part_tests.rs"]
mod tests;
