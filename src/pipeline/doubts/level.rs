//! Level ground on the filled surface: hollows, hollows behind banks, and flats.

use super::{Passing, Reason};
use crate::grid::{Cell, Direction};
use crate::pipeline::catchment::Routed;
use crate::pipeline::completeness::BANK_M;
use crate::pipeline::ground::Ground;

/// Level ground smaller than this is a few cells, m². Ours.
const LEAST_FLAT_M2: f64 = 50.0;
/// A hollow behind a bank is at least so deep, m. Ours.
const LEAST_BANK_M: f32 = 0.3;
/// Lower ground lies at most so far from the lowest place of a hollow behind a bank, m: the foot of a small
/// embankment. Ours.
const FARTHEST_BEHIND_BANK_M: f64 = 20.0;

/// A connected piece of ground above the lot that is level once filled.
#[derive(Debug, Clone, Copy)]
struct Piece {
    cells: usize,
    lowest: usize,
    depth_m: f32,
}

/// All such pieces.
pub(super) struct LevelGround {
    /// Number of its piece by place in the reach.
    piece_at: Vec<Option<usize>>,
    pieces: Vec<Piece>,
}

impl LevelGround {
    /// Cells above the lot under water, or from which most of the water goes on without falling.
    pub(super) fn of(routed: &Routed) -> Self {
        let cells = routed.reach.cells();
        let mut level = Self { piece_at: vec![None; cells.len()], pieces: Vec::new() };
        for (place, &cell) in cells.iter().enumerate() {
            if level.piece_at[place].is_none() && is_level(routed, cell as usize) {
                level.gather(routed, place);
            }
        }
        level
    }

    /// The piece that a place belongs to.
    fn gather(&mut self, routed: &Routed, first: usize) {
        let (raw, filled) = (&routed.ground.raw, routed.filled.values());
        let (shape, cells) = (raw.shape(), routed.reach.cells());
        let number = self.pieces.len();
        let start = cells[first] as usize;
        let mut piece = Piece { cells: 0, lowest: start, depth_m: 0.0 };
        self.piece_at[first] = Some(number);
        let mut open = vec![start];
        while let Some(cell) = open.pop() {
            piece.cells += 1;
            let depth_m = filled[cell] - raw.values()[cell];
            // The first in row order of equally deep cells, whatever the order of the walk.
            if depth_m > piece.depth_m || (depth_m >= piece.depth_m && cell < piece.lowest) {
                (piece.depth_m, piece.lowest) = (depth_m, cell);
            }
            let here = shape.cell(cell);
            for next in Direction::ALL.into_iter().filter_map(|direction| shape.neighbour(here, direction)) {
                let next = shape.index(next);
                let Some(place) = routed.reach.place(next) else { continue };
                let same = filled[next].total_cmp(&filled[cell]).is_eq();
                if same && self.piece_at[place].is_none() && is_level(routed, next) {
                    self.piece_at[place] = Some(number);
                    open.push(next);
                }
            }
        }
        self.pieces.push(piece);
    }

    /// Whether a cell is level ground of any size.
    pub(super) fn has(&self, routed: &Routed, cell: usize) -> bool {
        routed.reach.place(cell).is_some_and(|place| self.piece_at[place].is_some())
    }

    /// Ways through hollows deeper than the usual error of elevation data.
    pub(super) fn hollows(&self, passing: &Passing<'_>) -> Option<(Reason, f64)> {
        let counts: Vec<bool> = self.pieces.iter().map(Piece::is_hollow).collect();
        let hollows = self.pieces.iter().filter(|piece| piece.is_hollow());
        let deepest_m = hollows.map(|piece| piece.depth_m).reduce(f32::max)?;
        Some((Reason::Hollows { deepest_m: deepest_m.into() }, self.passing_m2(passing, &counts)))
    }

    /// Ways through hollows with lower ground close behind their bank.
    pub(super) fn banks(&self, routed: &Routed, passing: &Passing<'_>) -> Option<(Reason, f64)> {
        let behind: Vec<Option<f64>> =
            self.pieces.iter().map(|piece| piece.lower_ground_m(&routed.ground)).collect();
        let banks =
            self.pieces.iter().zip(&behind).filter_map(|(piece, away)| Some((piece.depth_m, (*away)?)));
        let (deepest_m, away_m) = banks.reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        let counts: Vec<bool> = behind.iter().map(Option::is_some).collect();
        Some((Reason::Banks { deepest_m: deepest_m.into(), away_m }, self.passing_m2(passing, &counts)))
    }

    /// Ways over level ground that is no hollow.
    pub(super) fn flats(&self, routed: &Routed, passing: &Passing<'_>) -> Option<(Reason, f64)> {
        let cell_m2 = routed.ground.cell.area_m2();
        #[expect(clippy::cast_precision_loss, reason = "a number of cells")]
        let is_flat = |piece: &Piece| !piece.is_hollow() && piece.cells as f64 * cell_m2 >= LEAST_FLAT_M2;
        let counts: Vec<bool> = self.pieces.iter().map(is_flat).collect();
        counts.contains(&true).then(|| (Reason::Flats, self.passing_m2(passing, &counts)))
    }

    fn passing_m2(&self, passing: &Passing<'_>, counts: &[bool]) -> f64 {
        let reach = &passing.routed.reach;
        let is_in = |cell: usize| reach.place(cell).and_then(|place| self.piece_at[place]);
        passing.steps_m2(|from, _| is_in(from).is_some_and(|piece| counts[piece]))
    }
}

impl Piece {
    fn is_hollow(&self) -> bool {
        self.depth_m >= BANK_M
    }

    /// From the lowest place of a deep hollow to the nearest lower ground, if that is near and no building
    /// stands in between, m.
    fn lower_ground_m(&self, ground: &Ground) -> Option<f64> {
        if self.depth_m < LEAST_BANK_M {
            return None;
        }
        let (raw, shape) = (&ground.raw, ground.raw.shape());
        let here = shape.cell(self.lowest);
        let bottom = raw.values()[self.lowest];
        let within = |at: usize, size_m: f64, end: usize| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few cells")]
            let reach = (FARTHEST_BEHIND_BANK_M / size_m) as usize;
            at.saturating_sub(reach)..(at + reach + 1).min(end)
        };
        let rows = within(here.row, ground.cell.dy_m, shape.rows);
        let cols = within(here.col, ground.cell.dx_m, shape.cols);
        let cells = rows.flat_map(|row| cols.clone().map(move |col| Cell { row, col }));
        let lower = cells.filter(|&cell| *raw.at(cell) < bottom);
        let near = lower.map(|cell| (distance_m(ground, here, cell), cell));
        let (away_m, _) = near
            .filter(|&(away_m, cell)| away_m <= FARTHEST_BEHIND_BANK_M && is_bare(ground, here, cell))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(away_m)
    }
}

/// Whether a cell is under water, or most of its water goes on without falling.
fn is_level(routed: &Routed, cell: usize) -> bool {
    let filled = routed.filled.values();
    filled[cell] > routed.ground.raw.values()[cell]
        || routed.field.receivers(cell).main().is_some_and(|next| filled[next] >= filled[cell])
}

fn distance_m(ground: &Ground, one: Cell, other: Cell) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few cells")]
    let (rows, cols) = (one.row.abs_diff(other.row) as f64, one.col.abs_diff(other.col) as f64);
    (rows * ground.cell.dy_m).hypot(cols * ground.cell.dx_m)
}

/// Whether there is open ground all along the straight way between two cells.
fn is_bare(ground: &Ground, one: Cell, other: Cell) -> bool {
    let shape = ground.raw.shape();
    let steps = one.row.abs_diff(other.row).max(one.col.abs_diff(other.col));
    let between = |a: usize, b: usize, step: usize| (a * (steps - step) + b * step + steps / 2) / steps;
    (1..steps).all(|step| {
        let (row, col) = (between(one.row, other.row, step), between(one.col, other.col, step));
        let cell = shape.index(Cell { row, col });
        !ground.raw.values()[cell].is_nan() && !ground.roofs.covers(cell)
    })
}
