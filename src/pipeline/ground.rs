//! A window of ground with its lots.

use super::completeness::EdgeSide;
use super::inlets::InletCells;
use super::roofs::{Roofs, read_surface};
use super::settings::Settings;
use crate::error::Error;
use crate::flow::{FlowField, Links, Reach};
use crate::grid::{Cell, CellSet, CellSize, Direction, Georef, Grid, GridShape};
use crate::input::{HoleReport, Site, Survey, Window, bridge_holes};
use crate::lots::{CellLots, LEAST_SHARE, Label, Scene, TooManyLots};
use crate::terrain::{Rim, Side};
use crate::units::Area;
use geo::MultiPolygon;

/// A window of ground with its lots.
#[derive(Debug)]
pub struct Ground {
    /// The window, in cells of the survey.
    pub window: Window,
    /// Whether each side is the edge of the data (`Open`) or cut out of them (`Closed`).
    pub data_edges: Rim,
    /// Elevations, m, roofs raised; NaN in holes that weren't bridged.
    pub raw: Grid<f32>,
    /// Roofs, with the ground below them.
    pub roofs: Roofs,
    /// Place of the window.
    pub georef: Georef,
    /// Size of a cell.
    pub cell: CellSize,
    /// Holes that were bridged, and those that were left.
    pub holes: HoleReport,
    /// Cells whose elevation was bridged. Rising.
    pub bridged: Vec<usize>,
    /// Cells of holes that a cut side runs through, so that it isn't known whether they are to be bridged. Rising.
    pub unsettled: Vec<usize>,
    /// Storm inlets.
    pub inlets: InletCells,
    /// Whose cell is whose.
    pub lots: CellLots,
    /// Places in the set of parcels, by label.
    pub parcels: Vec<usize>,
    /// The subject lot.
    pub subject: Label,
}

impl Ground {
    /// Reads a window.
    pub(super) fn read(site: &Site, settings: &Settings, window: Window) -> Result<Self, Error> {
        let survey: &Survey = &site.survey;
        let data_edges = data_edges(window, survey.shape());
        // Roofs stand before holes are looked for: one below a building is an obstacle, not an edge of the data.
        let (mut raw, roofs) = read_surface(site, window)?;
        let cell = survey.cell_size();
        let (mut holes, mut unsettled) = (HoleReport::default(), Vec::new());
        let mut bridged: Vec<usize> = (0..window.shape.len()).filter(|&i| raw.values()[i].is_nan()).collect();
        if !bridged.is_empty() {
            let cut = holes_at_cut_sides(&raw, data_edges);
            holes = bridge_holes(&mut raw, cell, settings.bridge_holes, survey.frame(window));
            unsettled = open_questions(&raw, &cut, data_edges, cell, settings.bridge_holes);
            for &index in &unsettled {
                raw.values_mut()[index] = f32::NAN;
            }
            bridged.retain(|&index| !raw.values()[index].is_nan());
        }
        let georef = survey.georef().part(Cell { row: window.row, col: window.col });
        let inlets = InletCells::on(&raw, georef, &site.beside.inlets, |cell| roofs.covers(cell));
        let (parcels, lots, subject) = label_cells(site, georef, window.shape)?;
        Ok(Self {
            window,
            data_edges,
            raw,
            roofs,
            georef,
            cell,
            holes,
            bridged,
            unsettled,
            inlets,
            lots,
            parcels,
            subject,
        })
    }

    /// Steps from roofs to where their water comes down, on the filled surface: where water stands over that place as
    /// high as the roof it runs over the roof instead.
    pub(super) fn roof_links(&self, raw: &Grid<f32>, filled: &Grid<f32>) -> Links {
        let is_dry = |&&(roof, drip): &&(usize, usize)| filled.values()[drip] < raw.values()[roof];
        #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
        let steps = self.roofs.drips().iter().filter(is_dry).map(|&(roof, drip)| (roof as u32, drip as u32));
        Links::new(steps.collect())
    }

    /// Whether water leaves the window at a cell: over its edge, into a hole or into an inlet.
    pub(super) fn lets_out(&self, index: usize) -> bool {
        let cell = self.raw.shape().cell(index);
        Rim::OPEN.lets_out(self.raw.shape(), cell) || self.touches_hole(cell) || self.inlets.has(index)
    }

    /// The edge of the data at which a cell lies, if it does.
    #[must_use]
    pub fn edge_side(&self, index: usize) -> Option<EdgeSide> {
        let shape = self.raw.shape();
        let cell = shape.cell(index);
        let sides = [
            (cell.row == 0, self.data_edges.north, EdgeSide::North),
            (cell.col + 1 == shape.cols, self.data_edges.east, EdgeSide::East),
            (cell.row + 1 == shape.rows, self.data_edges.south, EdgeSide::South),
            (cell.col == 0, self.data_edges.west, EdgeSide::West),
        ];
        let side = sides.into_iter().find(|&(on, side, _)| on && side == Side::Open).map(|(_, _, side)| side);
        side.or_else(|| self.touches_hole(cell).then_some(EdgeSide::Hole))
    }

    /// All cells at the edge of the data whatever the holes of unknown fate turn out to be. Rising.
    pub(super) fn edge_cells(&self) -> Vec<usize> {
        let shape = self.raw.shape();
        let is_hole = |index: usize| self.raw.values()[index].is_nan();
        let mut found: Vec<usize> = (0..shape.len())
            .filter(|&i| is_hole(i) && self.unsettled.binary_search(&i).is_err())
            .flat_map(|i| neighbours(shape, i))
            .collect();
        let open = sides(self.data_edges).map(|side| side == Side::Open);
        found.extend(cells_on_sides(shape, open));
        found.retain(|&index| !is_hole(index));
        found.sort_unstable();
        found.dedup();
        found
    }

    pub(super) fn touches_hole(&self, cell: Cell) -> bool {
        let shape = self.raw.shape();
        Direction::ALL
            .into_iter()
            .filter_map(|direction| shape.neighbour(cell, direction))
            .any(|neighbour| self.raw.at(neighbour).is_nan())
    }

    /// Whether each side was cut out of the data: north, east, south, west.
    pub(super) fn cut_sides(&self) -> [bool; 4] {
        cut_sides(self.data_edges)
    }

    /// Cut sides that a cell lies less than `within` cells from.
    pub(super) fn near_cut_sides(&self, index: usize, within: usize) -> [bool; 4] {
        let shape = self.raw.shape();
        near_cut_sides(shape, self.data_edges, shape.cell(index), within)
    }

    /// All cells on cut sides.
    pub(super) fn cells_on_cut_sides(&self) -> impl Iterator<Item = usize> + use<> {
        cells_on_sides(self.raw.shape(), self.cut_sides())
    }

    /// The scene on a field and a reach.
    #[must_use]
    pub fn scene<'a>(&'a self, field: &'a FlowField, reach: &'a Reach) -> Scene<'a> {
        Scene {
            field,
            reach,
            lots: &self.lots,
            inlets: self.inlets.cells(),
            cell: self.cell,
            origin: Cell { row: self.window.row, col: self.window.col },
            subject: self.subject,
            least_share: LEAST_SHARE,
        }
    }

    /// Outlines by label.
    #[must_use]
    pub fn outlines<'a>(&self, site: &'a Site) -> Vec<&'a MultiPolygon<f64>> {
        self.parcels.iter().map(|&place| &site.parcels.parcels()[place].outline).collect()
    }
}

fn data_edges(window: Window, whole: GridShape) -> Rim {
    let side = |at_edge: bool| if at_edge { Side::Open } else { Side::Closed };
    Rim {
        north: side(window.row == 0),
        east: side(window.col + window.shape.cols == whole.cols),
        south: side(window.row + window.shape.rows == whole.rows),
        west: side(window.col == 0),
    }
}

fn sides(rim: Rim) -> [Side; 4] {
    [rim.north, rim.east, rim.south, rim.west]
}

fn cut_sides(rim: Rim) -> [bool; 4] {
    sides(rim).map(|side| side == Side::Closed)
}

fn near_cut_sides(shape: GridShape, data_edges: Rim, cell: Cell, within: usize) -> [bool; 4] {
    let near = [
        cell.row < within,
        cell.col + within >= shape.cols,
        cell.row + within >= shape.rows,
        cell.col < within,
    ];
    let cut = cut_sides(data_edges);
    std::array::from_fn(|i| near[i] && cut[i])
}

/// Cells on some of the four sides: north, east, south, west.
fn cells_on_sides(shape: GridShape, [north, east, south, west]: [bool; 4]) -> impl Iterator<Item = usize> {
    let row = move |row: usize| (0..shape.cols).map(move |col| Cell { row, col });
    let col = move |col: usize| (0..shape.rows).map(move |row| Cell { row, col });
    let rows = north.then(|| row(0)).into_iter().chain(south.then(|| row(shape.rows - 1))).flatten();
    let cols = west.then(|| col(0)).into_iter().chain(east.then(|| col(shape.cols - 1))).flatten();
    rows.chain(cols).map(move |cell| shape.index(cell))
}

/// The cells that touch one, by their places.
pub(super) fn neighbours(shape: GridShape, cell: usize) -> impl Iterator<Item = usize> {
    let at = shape.cell(cell);
    Direction::ALL.into_iter().filter_map(move |d| shape.neighbour(at, d)).map(move |next| shape.index(next))
}

/// Cells of the holes, as read, that a cut side runs through. Rising.
fn holes_at_cut_sides(raw: &Grid<f32>, data_edges: Rim) -> Vec<usize> {
    let shape = raw.shape();
    let mut seen = CellSet::none_of(shape.len());
    let is_hole = |index: usize| raw.values()[index].is_nan();
    let mut found: Vec<usize> =
        cells_on_sides(shape, cut_sides(data_edges)).filter(|&i| is_hole(i) && seen.insert(i)).collect();
    spread(shape, &mut found, &mut seen, is_hole);
    found.sort_unstable();
    found
}

/// Adds all cells that belong and hang together with those found.
fn spread(shape: GridShape, found: &mut Vec<usize>, seen: &mut CellSet, belongs: impl Fn(usize) -> bool) {
    let mut next = 0;
    while let Some(&index) = found.get(next) {
        next += 1;
        for beside in neighbours(shape, index) {
            if belongs(beside) && seen.insert(beside) {
                found.push(beside);
            }
        }
    }
}

/// Of the holes at cut sides the cells whose bridging depends on what lies beyond the cut: all but those that stayed
/// holes and, without the cells on the cut itself, already are too large to be bridged or lie at the edge of the data.
fn open_questions(
    bridged: &Grid<f32>,
    cut: &[usize],
    data_edges: Rim,
    cell: CellSize,
    limit: Area,
) -> Vec<usize> {
    let shape = bridged.shape();
    let on_cut = |i: usize| near_cut_sides(shape, data_edges, shape.cell(i), 1).contains(&true);
    let is_hole = |i: usize| bridged.values()[i].is_nan() && !on_cut(i);
    let mut settled = CellSet::none_of(shape.len());
    let mut seen = CellSet::none_of(shape.len());
    for &start in cut {
        if !is_hole(start) || !seen.insert(start) {
            continue;
        }
        let mut members = vec![start];
        spread(shape, &mut members, &mut seen, is_hole);
        #[expect(clippy::cast_precision_loss, reason = "a number of cells")]
        let area_m2 = members.len() as f64 * cell.area_m2();
        if area_m2 > limit.as_m2() || members.iter().any(|&i| data_edges.lets_out(shape, shape.cell(i))) {
            for index in members {
                settled.insert(index);
            }
        }
    }
    cut.iter().copied().filter(|&index| !settled.contains(index)).collect()
}

fn label_cells(
    site: &Site,
    georef: Georef,
    shape: GridShape,
) -> Result<(Vec<usize>, CellLots, Label), Error> {
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (east, south) =
        (georef.west + shape.cols as f64 * georef.step_x, georef.north - shape.rows as f64 * georef.step_y);
    let parcels = site.parcels.within(georef.west, south, east, georef.north);
    let outlines: Vec<&MultiPolygon<f64>> =
        parcels.iter().map(|&place| &site.parcels.parcels()[place].outline).collect();
    let lots = CellLots::new(shape, georef, &outlines)?;
    let subject = parcels
        .iter()
        .position(|&place| place == site.parcels.subject())
        .and_then(Label::of_place)
        .ok_or(TooManyLots { found: parcels.len() })?;
    Ok((parcels, lots, subject))
}
