//! Whether what lies beyond a window's cut sides could change the answer.
//!
//! The filled surface of the whole raster lies between two fillings of the window: cut sides as outlets at their own
//! level can only be too low, cut sides as walls but for one way out can only be too high. Where both give the same
//! level, that is the true one. Directions follow from levels: a cell's from its neighbours', a flat's from those around
//! the flat. So the answer stands when no cell whose direction is left open lies beside one that can send water to the
//! lot.

use super::catchment::Routed;
use super::ground::{Ground, neighbours};
use super::way_out::level_of_way_out;
use crate::error::Error;
use crate::flow::{Reach, Routing};
use crate::grid::{CellSet, Grid, GridShape};
use crate::input::Site;
use crate::terrain::{Outlet, Rim, TerrainError, fill, slope_reach};
use crate::units::Area;

/// Steps from the cut sides within which a cell's direction, or that of a cell beside it, is not that of the whole
/// raster: the cells on the side lack neighbours, and those beside them border on such cells.
const OPEN_STEPS: usize = 3;

/// Stands in for ground of unknown height that must not be too low, m: higher than any ground.
const WALL_M: f32 = 1e9;

/// The way out for the filling with walls: the lowest cell on the cut sides, away from holes.
///
/// `None` if there is none, or if it isn't known at which level water gets away from it.
pub(super) fn way_out(
    ground: &Ground,
    site: &Site,
    bridged: Area,
    bank_m: f32,
) -> Result<Option<Outlet>, Error> {
    let shape = ground.raw.shape();
    let lowest = ground
        .cells_on_cut_sides()
        .filter(|&i| !ground.raw.values()[i].is_nan() && !ground.touches_hole(shape.cell(i)))
        .min_by(|&a, &b| ground.raw.values()[a].total_cmp(&ground.raw.values()[b]).then(a.cmp(&b)));
    let Some(index) = lowest else { return Ok(None) };
    let cell = shape.cell(index);
    let mut in_survey = cell;
    in_survey.row += ground.window.row;
    in_survey.col += ground.window.col;
    let level = level_of_way_out(site, in_survey, bridged, bank_m)?;
    Ok(level.map(|level_m| Outlet { cell, level_m }))
}

/// The window filled with its cut sides as walls, and holes of unknown fate and the cells beside them as well; `None` if
/// water then has no way out.
pub(super) fn fill_walled(ground: &mut Ground, outlet: Outlet) -> Result<Option<Grid<f32>>, Error> {
    let shape = ground.raw.shape();
    let mut walls: Vec<usize> = ground.unsettled.iter().flat_map(|&i| neighbours(shape, i)).collect();
    walls.extend(&ground.unsettled);
    walls.sort_unstable();
    walls.dedup();
    let raw = ground.raw.values_mut();
    let heights: Vec<f32> = walls.iter().map(|&index| std::mem::replace(&mut raw[index], WALL_M)).collect();
    let ways_out = [vec![outlet], ground.inlets.outlets(&ground.raw)].concat();
    let filled = fill(&ground.raw, &ground.data_edges, &ways_out);
    for (&index, height) in walls.iter().zip(heights) {
        ground.raw.values_mut()[index] = height;
    }
    match filled {
        Ok(filled) => Ok(Some(filled)),
        Err(TerrainError::NoOutlet { .. }) => Ok(None),
        Err(other) => Err(other.into()),
    }
}

/// The window filled with water leaving over every edge and at inlets.
pub(super) fn fill_open(ground: &Ground) -> Result<Grid<f32>, Error> {
    Ok(fill(&ground.raw, &Rim::OPEN, &ground.inlets.outlets(&ground.raw))?)
}

/// Cut sides that lie too near to a cell which can send water to the lot.
pub(super) fn sides_reached(ground: &Ground, reach: &Reach) -> [bool; 4] {
    let mut reached = [false; 4];
    // What runs off hangs on the slope of the ground around as well.
    let steps = OPEN_STEPS.max(slope_reach(ground.cell) + 1);
    if ground.cut_sides().contains(&true) {
        for &cell in reach.cells() {
            let here = ground.near_cut_sides(cell as usize, steps);
            reached = std::array::from_fn(|side| reached[side] || here[side]);
        }
    }
    reached
}

/// The two fillings of a window.
#[derive(Clone, Copy)]
pub(super) struct Bracket<'a> {
    /// Never too high: the one that was routed.
    pub(super) low: &'a Grid<f32>,
    /// Never too low.
    pub(super) high: &'a Grid<f32>,
}

impl Bracket<'_> {
    /// Whether the directions of the cells that matter, and of those beside them, are those of the whole raster.
    pub(super) fn settles(self, ground: &Ground, mut cells: impl Iterator<Item = usize>) -> bool {
        let shape = self.low.shape();
        let mut unknown = Marks::none(shape);
        for cell in ground.cells_on_cut_sides() {
            unknown.add(cell);
        }
        for &cell in &ground.unsettled {
            unknown.add(cell);
        }
        let (low, high) = (self.low.values(), self.high.values());
        for cell in (0..shape.len()).filter(|&i| low[i].to_bits() != high[i].to_bits()) {
            unknown.add(cell);
        }
        // A cell of unknown level leaves open its neighbours' directions, and whether they are flat.
        unknown.widen();
        let directions = unknown.cells.len();
        unknown.widen();
        // A flat's directions hang together: one such cell on it or beside it leaves them all open.
        let mut open = Marks::none(shape);
        for &cell in &unknown.cells {
            open.add_flat(self.low, cell);
        }
        for &cell in &unknown.cells[..directions] {
            open.add(cell);
        }
        open.widen();
        !cells.any(|cell| open.set.contains(cell))
    }
}

/// Marked cells.
struct Marks {
    shape: GridShape,
    set: CellSet,
    cells: Vec<usize>,
}

impl Marks {
    fn none(shape: GridShape) -> Self {
        Self { shape, set: CellSet::none_of(shape.len()), cells: Vec::new() }
    }

    fn add(&mut self, cell: usize) -> bool {
        let is_new = self.set.insert(cell);
        if is_new {
            self.cells.push(cell);
        }
        is_new
    }

    /// Adds the neighbours of all cells.
    fn widen(&mut self) {
        for place in 0..self.cells.len() {
            for beside in neighbours(self.shape, self.cells[place]) {
                self.add(beside);
            }
        }
    }

    /// Adds the flat that a cell lies in, if it does: cells of one level without a lower neighbour.
    fn add_flat(&mut self, filled: &Grid<f32>, cell: usize) {
        let level = filled.values()[cell];
        if !is_flat(filled, cell) || !self.add(cell) {
            return;
        }
        let mut next = self.cells.len() - 1;
        while let Some(&at) = self.cells.get(next) {
            next += 1;
            for beside in neighbours(self.shape, at) {
                if filled.values()[beside].to_bits() == level.to_bits() && is_flat(filled, beside) {
                    self.add(beside);
                }
            }
        }
    }
}

/// Whether no neighbour is lower; holes are not flat.
fn is_flat(filled: &Grid<f32>, cell: usize) -> bool {
    let here = filled.values()[cell];
    !here.is_nan() && !neighbours(filled.shape(), cell).any(|beside| filled.values()[beside] < here)
}

/// All cells that can send water to the lot, by either routing.
pub(super) fn all_that_reach(routed: &Routed) -> impl Iterator<Item = usize> + '_ {
    widest_reach(routed).cells().iter().map(|&cell| cell as usize)
}

/// The cells that decide the run-on under the routing asked for: those whose water arrives, and the lot's own. A single
/// path is chosen by all that comes down from above, traces included.
pub(super) fn those_that_count(routed: &Routed, routing: Routing) -> impl Iterator<Item = usize> + '_ {
    let all = all_that_reach(routed).filter(move |_| routing == Routing::Single);
    let own = routed.reach.cells().iter().enumerate();
    let arriving = own
        .map(|(place, &cell)| (place, cell as usize))
        .filter(|&(place, cell)| routed.arrival.at_place(place) > 0.0 || routed.is_subject(cell));
    all.chain(arriving.map(|(_, cell)| cell))
}

/// The reach under the facets, of which all others are parts.
pub(super) fn widest_reach(routed: &Routed) -> &Reach {
    match &routed.other {
        Some((_, other, _)) if other.cells().len() > routed.reach.cells().len() => other,
        _ => &routed.reach,
    }
}
