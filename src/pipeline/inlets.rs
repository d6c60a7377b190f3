//! Storm inlets as ways out of the surface.

use super::catchment::Routed;
use crate::grid::{Cell, Georef, Grid};
use crate::input::{Inlet, Site};
use crate::terrain::Outlet;
use crate::warning::{Warning, named};
use crate::wording::metres;
use std::collections::BTreeMap;

/// The cells of a window that have an inlet.
///
/// # Invariants
/// Cells rise; each lies on known ground.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct InletCells {
    cells: Vec<usize>,
    /// For each the place of its inlet in the site's list.
    inlets: Vec<usize>,
    /// Places of those in the window that have no cell of their own: on unknown ground, below a building, in a cell with
    /// another, on the very edge.
    left_out: Vec<usize>,
}

impl InletCells {
    /// Inlets on the ground of a window; of several in one cell the first.
    pub(super) fn on(
        raw: &Grid<f32>,
        georef: Georef,
        inlets: &[Inlet],
        is_roof: impl Fn(usize) -> bool,
    ) -> Self {
        let shape = raw.shape();
        #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
        let (cols, rows) = (shape.cols as f64, shape.rows as f64);
        let known = |cell: usize| !raw.values()[cell].is_nan() && !is_roof(cell);
        let mut by_cell: BTreeMap<usize, usize> = BTreeMap::new();
        let mut left_out = Vec::new();
        for (place, inlet) in inlets.iter().enumerate() {
            let (x, y) = georef.to_grid(inlet.at.x, inlet.at.y);
            if !(0.0..=cols).contains(&x) || !(0.0..=rows).contains(&y) {
                continue;
            }
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the grid")]
            let cell = (x < cols && y < rows).then(|| shape.index(Cell { row: y as usize, col: x as usize }));
            match cell.filter(|&cell| known(cell) && !by_cell.contains_key(&cell)) {
                Some(cell) => drop(by_cell.insert(cell, place)),
                None => left_out.push(place),
            }
        }
        let (cells, inlets) = by_cell.into_iter().unzip();
        Self { cells, inlets, left_out }
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

/// Rim and ground that lie farther apart than this are in different units, or of different places, m. Ours.
const RIM_OFF_M: f64 = 2.0;

/// What is to be said of the inlets of a window.
pub(super) fn findings(site: &Site, routed: &Routed) -> Vec<Warning> {
    passed_by(site, routed).into_iter().chain(unused(site, routed)).chain(rims_off(site, routed)).collect()
}

/// Inlets in the window that take no water: on unknown ground, below a building, in a cell with another.
fn unused(site: &Site, routed: &Routed) -> Option<Warning> {
    let left_out = routed.ground.inlets.left_out.iter();
    let ids: Vec<&str> = left_out.map(|&place| site.beside.inlets[place].id.as_str()).collect();
    (!ids.is_empty()).then(|| {
        Warning::new(
            "inlets-left-out",
            format!(
                "these inlets take no surface water, as they lie on unknown ground, at the edge of the data, below a building, or in a cell with another: {}",
                named(&ids)
            ),
            "check their places",
        )
    })
}

/// Inlets whose rim is far from the ground: feet taken for metres, or another datum.
fn rims_off(site: &Site, routed: &Routed) -> Option<Warning> {
    let inlets = &routed.ground.inlets;
    let off = inlets.cells().iter().enumerate().filter_map(|(place, &cell)| {
        let inlet = &site.beside.inlets[inlets.inlet(place)];
        let ground_m = f64::from(routed.ground.raw.values()[cell]);
        let rim_m = inlet.rim_m.filter(|rim_m| (rim_m - ground_m).abs() > RIM_OFF_M)?;
        Some(format!("{} (rim {}, ground {})", inlet.id, metres(rim_m, 2), metres(ground_m, 2)))
    });
    let off: Vec<String> = off.collect();
    (!off.is_empty()).then(|| {
        Warning::new(
            "inlet-rim-doubtful",
            format!("rims that lie more than {} off the ground: {}", metres(RIM_OFF_M, 1), named(&off)),
            "check the unit and the datum of the file's heights: they are read as the raster's",
        )
    })
}

/// Inlets that water runs past: no low ground holds it there.
fn passed_by(site: &Site, routed: &Routed) -> Option<Warning> {
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
