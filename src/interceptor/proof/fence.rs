//! The line as a fence between cells: which steps of the water cross it.
//!
//! Water goes from the middle of a cell to the middle of another. A step crosses the line where the straight between the
//! two middles does. That asks nothing of the width of a cell: no step slips through between two cells, and it makes no
//! difference in which cell the line itself lies.

use crate::flow::FlowField;
use crate::grid::{Cell, Direction, Georef, GridShape};
use crate::lots::{LotLine, Scene};
use geo::{Coord, LineString};

/// A cell's middle is moved by this part of a cell to the south-east, as for lot lines, so that a line through middles has
/// each of them on one side.
const OFF_CENTRE: f64 = 1e-5;
/// Room at the joints of a line's pieces, as a part of a piece.
const JOINT: f64 = 1e-9;

/// Where a way crosses the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crossed {
    /// Place of the part in the list.
    pub(super) part: usize,
    /// Metres along the part.
    pub(super) station_m: f64,
}

/// A piece of a part that is no longer than a cell, in columns and rows.
#[derive(Debug, Clone, Copy)]
struct Piece {
    part: usize,
    from: Coord,
    to: Coord,
    from_m: f64,
    length_m: f64,
}

/// The steps between touching cells that cross the line.
///
/// # Invariants
/// Sorted by step; each step once, with the part that it comes to first.
#[derive(Debug, Clone)]
pub(super) struct Fence {
    shape: GridShape,
    georef: Georef,
    pieces: Vec<Piece>,
    steps: Vec<(usize, usize, Crossed)>,
}

impl Fence {
    /// Of the parts of a line, in the coordinates of `georef`.
    pub(super) fn new(paths: &[&LineString], metres_per_unit: f64, shape: GridShape, georef: Georef) -> Self {
        let pieces = paths
            .iter()
            .enumerate()
            .flat_map(|(part, path)| pieces(part, path, metres_per_unit, georef))
            .collect();
        let mut fence = Self { shape, georef, pieces, steps: Vec::new() };
        fence.steps = fence.crossed_steps();
        fence
    }

    /// Where a step of the water crosses the line. Water in a gutter doesn't.
    fn step(&self, field: &FlowField, from: usize, to: usize) -> Option<Crossed> {
        let place = self.steps.binary_search_by_key(&(from, to), |&(from, to, _)| (from, to)).ok()?;
        field.facet(from).is_some().then_some(self.steps[place].2)
    }

    /// Where a step of the water onto the lot, on it, or off it crosses the line.
    pub(super) fn step_at_lot(&self, scene: &Scene<'_>, from: usize, to: usize) -> Option<Crossed> {
        (scene.is_subject(from) || scene.is_subject(to)).then(|| self.step(scene.field, from, to)).flatten()
    }

    /// Where a sliver's water crosses the line: it comes from the next place of the lot line to the middle of its cell.
    pub(super) fn sliver(&self, line: &LotLine, cell: usize) -> Option<Crossed> {
        let middle = self.middle(cell);
        let nearest = line.nearest(middle);
        let foot = line.ring(nearest.ring)?.point_at(nearest.chainage_m);
        self.straight(foot, middle)
    }

    /// Where a straight way crosses the line first.
    pub(super) fn straight(&self, from: Coord, to: Coord) -> Option<Crossed> {
        let [from, to] = [from, to].map(|at| self.in_cells(at));
        let crossed = self.pieces.iter().filter_map(|piece| piece.crossed(from, to));
        crossed.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, crossed)| crossed)
    }

    /// The middle of a cell as it is judged by, in the line's coordinates.
    pub(super) fn middle(&self, cell: usize) -> Coord {
        let (x, y) = self.georef.centre(self.shape.cell(cell));
        Coord { x: x + OFF_CENTRE * self.georef.step_x, y: y - OFF_CENTRE * self.georef.step_y }
    }

    /// The cells no farther from the line than so many cells. Rising.
    pub(super) fn cells_within(&self, cells: f64) -> Vec<usize> {
        let mut found: Vec<usize> = self
            .pieces
            .iter()
            .flat_map(|piece| self.around(*piece, cells))
            .map(|at| self.shape.index(at))
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    fn in_cells(&self, at: Coord) -> Coord {
        let (x, y) = self.georef.to_grid(at.x, at.y);
        Coord { x, y }
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "clamped to the grid"
    )]
    fn around(&self, piece: Piece, cells: f64) -> impl Iterator<Item = Cell> + use<> {
        let range = |a: f64, b: f64, count: usize| {
            let low = (a.min(b) - cells).floor().clamp(0.0, count as f64) as usize;
            let high = (a.max(b) + cells).ceil().clamp(0.0, count as f64) as usize;
            low..high
        };
        let cols = range(piece.from.x, piece.to.x, self.shape.cols);
        range(piece.from.y, piece.to.y, self.shape.rows)
            .flat_map(move |row| cols.clone().map(move |col| Cell { row, col }))
    }

    fn crossed_steps(&self) -> Vec<(usize, usize, Crossed)> {
        // One of each pair of opposite directions; both ways cross at the same place.
        let half = [2, 3, 4, 5].map(Direction::from_code);
        let mut found: Vec<(usize, usize, f64, Crossed)> = Vec::new();
        for piece in &self.pieces {
            for at in self.around(*piece, 1.0) {
                let from = self.shape.index(at);
                let here = self.in_cells(self.middle(from));
                for direction in half {
                    let Some(next) = self.shape.neighbour(at, direction) else { continue };
                    let to = self.shape.index(next);
                    if let Some((share, crossed)) = piece.crossed(here, self.in_cells(self.middle(to))) {
                        found.push((from, to, share, crossed));
                        found.push((to, from, 1.0 - share, crossed));
                    }
                }
            }
        }
        found.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
        found.dedup_by_key(|step| (step.0, step.1));
        found.into_iter().map(|(from, to, _, crossed)| (from, to, crossed)).collect()
    }
}

impl Piece {
    /// Where a straight way crosses the piece: as a share of the way, and along the part.
    ///
    /// The way counts with its start and without its end, so that of two steps that meet on the line one crosses it.
    fn crossed(&self, from: Coord, to: Coord) -> Option<(f64, Crossed)> {
        let (way, along, apart) = (to - from, self.to - self.from, self.from - from);
        let area = cross(way, along);
        if area == 0.0 {
            return None;
        }
        let (share, at) = (cross(apart, along) / area, cross(apart, way) / area);
        let on = (0.0..1.0).contains(&share) && (-JOINT..=1.0 + JOINT).contains(&at);
        on.then(|| {
            let station_m = self.from_m + at.clamp(0.0, 1.0) * self.length_m;
            (share, Crossed { part: self.part, station_m })
        })
    }
}

fn cross(a: Coord, b: Coord) -> f64 {
    a.x * b.y - a.y * b.x
}

fn pieces(part: usize, path: &LineString, metres_per_unit: f64, georef: Georef) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut behind_m = 0.0;
    for line in path.lines() {
        let length_m = (line.end.x - line.start.x).hypot(line.end.y - line.start.y) * metres_per_unit;
        let [start, end] = [line.start, line.end].map(|at| {
            let (x, y) = georef.to_grid(at.x, at.y);
            Coord { x, y }
        });
        let count = (end.x - start.x).abs().max((end.y - start.y).abs()).ceil().max(1.0);
        let at = |k: f64| start + (end - start) * (k / count);
        let mut k = 0.0;
        while k < count {
            found.push(Piece {
                part,
                from: at(k),
                to: at(k + 1.0),
                from_m: behind_m + length_m * (k / count),
                length_m: length_m / count,
            });
            k += 1.0;
        }
        behind_m += length_m;
    }
    found
}
