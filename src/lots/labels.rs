//! Which lot each cell belongs to.
//!
//! For routing a cell carries the label of the lot that covers its centre; for areas it is shared out by the exact
//! fraction that each outline covers.

use super::coverage::{Coverage, coverage};
use super::numbers::{MOST_LOTS, Numbers};
use crate::grid::{Cell, Georef, GridShape};
use geo::{Contains, Coord, MultiPolygon};

/// Number of a lot within one window; 0 is land without a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Label(u32);

/// Shares of a cell closer to nothing or to all of it than this are taken as such: lot corners that come in degrees are
/// a hair off the lines that they were drawn on.
const HAIR: f64 = 1e-6;
/// A cell is judged by a point this part of a cell south-east of its centre, so that a lot line through a column of
/// centres gives the whole column to one lot whatever the rounding of its corners.
const OFF_CENTRE: f64 = 1e-5;

impl Label {
    /// Land without a lot.
    pub const UNPARCELLED: Self = Self(0);

    /// Label of the lot at a place of the list of outlines.
    #[must_use]
    pub fn of_place(place: usize) -> Option<Self> {
        u32::try_from(place + 1).ok().filter(|_| place < MOST_LOTS).map(Self)
    }

    /// Place of the lot in the list of outlines; nothing for land without a lot.
    #[must_use]
    pub fn place(self) -> Option<usize> {
        self.number().checked_sub(1)
    }

    /// The label that counts as `number`.
    pub(super) fn of_number(number: usize) -> Self {
        number.checked_sub(1).and_then(Self::of_place).unwrap_or(Self::UNPARCELLED)
    }

    /// A number from 0 (land without a lot) upwards, to count by.
    #[must_use]
    pub const fn number(self) -> usize {
        self.0 as usize
    }
}

/// More lots in one window than can be told apart.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{found} lots lie in the window around the lot, more than the {MOST_LOTS} that can be told apart")]
pub struct TooManyLots {
    /// Number of lots in the window.
    pub found: usize,
}

/// Labels of all cells of a window and the shares of cells that several lots share.
///
/// # Invariants
/// The parts of a cell add up to one, to a millionth. Two bytes a cell (four from 32,767 lots on), and a few more for
/// cells on lot lines.
#[derive(Debug, Clone)]
pub struct CellLots {
    numbers: Numbers,
    /// Sorted by cell, then label: covered share of each lot in cells that aren't wholly one lot's.
    parts: Vec<Part>,
}

#[derive(Debug, Clone, Copy)]
struct Part {
    cell: u32,
    label: Label,
    share: f64,
}

impl CellLots {
    /// Labels every cell of a window. Outlines must not overlap; if the centre of a cell lies in two, the first counts.
    ///
    /// # Errors
    /// [`TooManyLots`] from 2^31 - 1 outlines on.
    pub fn new(
        shape: GridShape,
        georef: Georef,
        outlines: &[&MultiPolygon<f64>],
    ) -> Result<Self, TooManyLots> {
        let too_many = TooManyLots { found: outlines.len() };
        let numbers = Numbers::zero(shape, outlines.len()).ok_or(too_many)?;
        let mut lots = Self { numbers, parts: Vec::new() };
        for (place, outline) in outlines.iter().enumerate() {
            let label = Label::of_number(place + 1);
            let to_grid = |c: Coord<f64>| georef.to_grid(c.x, c.y);
            if let Some(covered) = coverage(outline, shape.rows, shape.cols, to_grid) {
                lots.paint(label, &covered, outline, georef);
            }
        }
        lots.parts.sort_by_key(|part| (part.cell, part.label));
        lots.mark_shared();
        Ok(lots)
    }

    #[expect(clippy::cast_possible_truncation, reason = "grids have fewer than 2^32 cells")]
    fn paint(&mut self, label: Label, covered: &Coverage, outline: &MultiPolygon<f64>, georef: Georef) {
        let shape = self.numbers.shape();
        for (row, shares) in covered.shares.chunks(covered.cols).enumerate() {
            let centres = CentreRow::new(outline, georef, covered.row + row);
            for (col, &share) in shares.iter().enumerate() {
                if share < HAIR {
                    continue;
                }
                let cell = Cell { row: covered.row + row, col: covered.col + col };
                let index = shape.index(cell);
                let whole = share > 1.0 - HAIR;
                if (whole || centres.covers(georef.centre(cell).0 + OFF_CENTRE * georef.step_x))
                    && self.numbers.number(index) == 0
                {
                    self.numbers.set(index, label.0);
                }
                if !whole {
                    self.parts.push(Part { cell: index as u32, label, share });
                }
            }
        }
    }

    fn mark_shared(&mut self) {
        for part in &self.parts {
            self.numbers.mark_shared(part.cell as usize);
        }
    }

    /// Rows and columns.
    #[must_use]
    pub fn shape(&self) -> GridShape {
        self.numbers.shape()
    }

    /// Label of a cell: the lot that covers its centre.
    #[must_use]
    pub fn label(&self, cell: usize) -> Label {
        Label(self.numbers.number(cell))
    }

    /// Whether a lot line runs through the cell.
    #[must_use]
    pub fn is_shared(&self, cell: usize) -> bool {
        self.numbers.is_shared(cell)
    }

    /// The lots in a cell and the share of the cell that each covers; land without a lot comes last.
    pub fn parts(&self, cell: usize) -> impl Iterator<Item = (Label, f64)> + '_ {
        let shared = self.is_shared(cell);
        let run = if shared { self.run(cell) } else { &[] };
        let rest = if shared { 1.0 - run.iter().map(|p| p.share).sum::<f64>() } else { 1.0 };
        let last = if shared { Label::UNPARCELLED } else { self.label(cell) };
        let rest = (rest > HAIR).then_some((last, rest));
        run.iter().map(|part| (part.label, part.share)).chain(rest)
    }

    /// Share of a cell that one lot covers.
    #[must_use]
    pub fn share(&self, cell: usize, label: Label) -> f64 {
        self.parts(cell).find(|&(l, _)| l == label).map_or(0.0, |(_, share)| share)
    }

    /// Cells that lot lines run through, rising.
    pub(super) fn shared_cells(&self) -> impl Iterator<Item = usize> + '_ {
        self.parts.chunk_by(|a, b| a.cell == b.cell).map(|run| run[0].cell as usize)
    }

    fn run(&self, cell: usize) -> &[Part] {
        let from = self.parts.partition_point(|p| (p.cell as usize) < cell);
        let count = self.parts[from..].iter().take_while(|p| p.cell as usize == cell).count();
        &self.parts[from..from + count]
    }

    /// All cells whose centre the lot covers, row by row.
    pub fn cells_of(&self, label: Label) -> impl Iterator<Item = usize> + '_ {
        (0..self.shape().len()).filter(move |&cell| self.label(cell) == label)
    }

    /// All cells that the lot touches but whose centre it doesn't cover.
    pub fn fringe_of(&self, label: Label) -> impl Iterator<Item = usize> + '_ {
        self.parts
            .iter()
            .filter(move |part| part.label == label)
            .map(|part| part.cell as usize)
            .filter(move |&cell| self.label(cell) != label)
    }
}

/// Where the line through the centres of one row crosses an outline, from west to east.
///
/// Edges count with their upper end and without their lower one, so that of two lots with a common line exactly one
/// covers a centre on it.
struct CentreRow {
    crossings: Vec<f64>,
}

impl CentreRow {
    fn new(outline: &MultiPolygon<f64>, georef: Georef, row: usize) -> Self {
        let y = georef.centre(Cell { row, col: 0 }).1 - OFF_CENTRE * georef.step_y;
        let mut crossings: Vec<f64> = outline
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
            .flat_map(geo::LineString::lines)
            .filter(|line| (line.start.y > y) != (line.end.y > y))
            .map(|line| {
                // From the same end whichever way the neighbour's copy of the edge runs, so that both get the same x.
                let (a, b) =
                    if line.start.y < line.end.y { (line.start, line.end) } else { (line.end, line.start) };
                a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        Self { crossings }
    }

    fn covers(&self, x: f64) -> bool {
        self.crossings.partition_point(|&c| c <= x) % 2 == 1
    }
}

/// The outline that covers a point, by place.
#[must_use]
pub fn owner(outlines: &[&MultiPolygon<f64>], point: Coord<f64>) -> Option<usize> {
    outlines.iter().position(|outline| outline.contains(&point))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use geo::polygon;

    const GEOREF: Georef = Georef { west: 0.0, north: 6.0, step_x: 1.0, step_y: 1.0 };
    const SHAPE: GridShape = GridShape { rows: 6, cols: 6 };

    fn block(west: f64, south: f64, east: f64, north: f64) -> MultiPolygon<f64> {
        MultiPolygon(vec![
            polygon![(x: west, y: south), (x: east, y: south), (x: east, y: north), (x: west, y: north), (x: west, y: south)],
        ])
    }

    #[test]
    fn a_common_line_through_cell_centres_gives_each_cell_one_owner() {
        let (left, right) = (block(0.0, 0.0, 2.5, 6.0), block(2.5, 0.0, 6.0, 6.0));
        let lots = CellLots::new(SHAPE, GEOREF, &[&left, &right]).unwrap();
        for cell in 0..SHAPE.len() {
            assert!(lots.label(cell).place().is_some(), "cell {cell} has an owner");
            let total: f64 = lots.parts(cell).map(|(_, share)| share).sum();
            assert_relative_eq!(total, 1.0, epsilon = 1e-12);
        }
        assert_eq!(lots.cells_of(Label(1)).count() + lots.cells_of(Label(2)).count(), 36);
    }

    #[test]
    fn strips_thinner_than_a_cell_have_a_share_and_no_label() {
        let strip = block(0.0, 3.6, 6.0, 3.9);
        let lots = CellLots::new(SHAPE, GEOREF, &[&strip]).unwrap();
        assert_eq!(lots.cells_of(Label(1)).count(), 0);
        assert_relative_eq!((0..36).map(|c| lots.share(c, Label(1))).sum::<f64>(), 1.8, epsilon = 1e-9);
        assert_eq!(lots.fringe_of(Label(1)).count(), 6);
    }
}
