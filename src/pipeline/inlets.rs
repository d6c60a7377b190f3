//! Storm inlets as ways out of the surface.

use super::catchment::Routed;
use crate::grid::{Cell, Georef, Grid};
use crate::input::{Inlet, Site};
use crate::terrain::Outlet;
use crate::warning::{Warning, named};

/// The cells of a window that have an inlet.
///
/// # Invariants
/// Cells rise; each lies on known ground.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct InletCells {
    cells: Vec<usize>,
    /// For each the place of its inlet in the site's list.
    inlets: Vec<usize>,
}

impl InletCells {
    /// Inlets on the ground of a window; of several in one cell the first.
    pub(super) fn on(raw: &Grid<f32>, georef: Georef, inlets: &[Inlet]) -> Self {
        let shape = raw.shape();
        let cell_of = |inlet: &Inlet| -> Option<usize> {
            let (x, y) = georef.to_grid(inlet.at.x, inlet.at.y);
            #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
            let is_inside = x >= 0.0 && y >= 0.0 && x < shape.cols as f64 && y < shape.rows as f64;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the grid")]
            is_inside.then(|| shape.index(Cell { row: y as usize, col: x as usize }))
        };
        let known = |&(cell, _): &(usize, usize)| !raw.values()[cell].is_nan();
        let mut found: Vec<(usize, usize)> = inlets
            .iter()
            .enumerate()
            .filter_map(|(place, inlet)| Some((cell_of(inlet)?, place)))
            .filter(known)
            .collect();
        found.sort_unstable();
        found.dedup_by_key(|&mut (cell, _)| cell);
        let (cells, inlets) = found.into_iter().unzip();
        Self { cells, inlets }
    }

    /// The cells, rising.
    #[must_use]
    pub fn cells(&self) -> &[usize] {
        &self.cells
    }

    /// Place in the site's list of the inlet of a cell at a place of [`Self::cells`].
    #[must_use]
    pub fn inlet(&self, place: usize) -> usize {
        self.inlets[place]
    }

    /// Whether a cell has an inlet.
    pub(super) fn has(&self, cell: usize) -> bool {
        self.cells.binary_search(&cell).is_ok()
    }

    /// The ways out that they are, each at its own ground.
    pub(super) fn outlets(&self, raw: &Grid<f32>) -> Vec<Outlet> {
        let shape = raw.shape();
        self.cells
            .iter()
            .map(|&cell| Outlet { cell: shape.cell(cell), level_m: raw.values()[cell] })
            .collect()
    }
}

/// Inlets that water runs past: no low ground holds it there.
pub(super) fn passed_by(site: &Site, routed: &Routed) -> Option<Warning> {
    let inlets = &routed.ground.inlets;
    let passed: Vec<&str> = inlets
        .cells()
        .iter()
        .enumerate()
        .filter(|&(_, &cell)| !routed.field.leaves(cell))
        .map(|(place, _)| site.beside.inlets[inlets.inlet(place)].id.as_str())
        .collect();
    (!passed.is_empty()).then(|| {
        Warning::new(
            "inlets-passed-by",
            format!("the ground falls on past these inlets, so all water is taken to run past: {}", named(&passed)),
            "nothing, if they are kerb inlets on a grade: what they take is not known here; else check their places against the raster",
        )
    })
}
