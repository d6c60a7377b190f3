//! Receivers and donors of every cell.

use super::links::Links;
use crate::grid::{Direction, GridShape, OFFSETS};

/// Water leaves the data here.
pub(super) const LEAVES: u8 = 8;
/// No elevation here.
pub(super) const VOID: u8 = 9;
/// Not yet decided (only while a field is being made).
pub(super) const FLAT: u8 = 10;
/// Water goes to a cell elsewhere: see the links.
const LINKED: u8 = 11;

/// Where each cell's water goes.
///
/// A cell hands its water to the neighbour in one direction and, with the rest, to the next one clockwise. Five bytes
/// a cell with shares, one without.
///
/// # Invariants
/// Receivers are valid cells of the grid. Following receivers never comes back to the same cell.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowField {
    shape: GridShape,
    towards: Vec<u8>,
    /// Share that goes to the receiver that shares only a corner, so that a mirrored field holds the same numbers;
    /// empty when every cell has one receiver.
    corner_share: Vec<f32>,
    steps: [isize; 8],
    links: Links,
}

/// Up to two receivers: place of the cell, share of the water.
#[derive(Debug, Clone, Copy)]
pub struct Receivers {
    items: [(usize, f64); 2],
    len: usize,
}

impl Receivers {
    const NONE: Self = Self { items: [(0, 0.0); 2], len: 0 };

    fn push(&mut self, cell: usize, share: f64) {
        self.items[self.len] = (cell, share);
        self.len += 1;
    }

    /// The receiver of the larger share, of equal ones the first; nothing where water leaves the data.
    #[must_use]
    pub fn main(self) -> Option<usize> {
        self.into_iter().reduce(|a, b| if b.1 > a.1 { b } else { a }).map(|(cell, _)| cell)
    }
}

impl IntoIterator for Receivers {
    type Item = (usize, f64);
    type IntoIter = std::iter::Take<std::array::IntoIter<(usize, f64), 2>>;
    fn into_iter(self) -> Self::IntoIter {
        self.items.into_iter().take(self.len)
    }
}

/// Steps in the row-by-row order to the eight neighbours.
pub(super) fn steps_of(shape: GridShape) -> [isize; 8] {
    let cols = shape.cols.cast_signed();
    OFFSETS.map(|(down, right)| down * cols + right)
}

impl FlowField {
    pub(super) fn new(shape: GridShape, towards: Vec<u8>, corner_share: Vec<f32>) -> Self {
        assert_eq!(towards.len(), shape.len(), "one direction per cell");
        assert!(corner_share.is_empty() || corner_share.len() == shape.len(), "one share per cell, or none");
        Self { shape, towards, corner_share, steps: steps_of(shape), links: Links::default() }
    }

    /// Lets the water of some cells go to a cell elsewhere instead.
    ///
    /// The caller sees to it that no water comes back: the target lies lower than the cell, water stands included.
    #[must_use]
    pub fn with_links(mut self, links: Links) -> Self {
        for &(from, _) in links.steps() {
            self.towards[from as usize] = LINKED;
        }
        self.links = links;
        self
    }

    /// Steps to cells elsewhere.
    pub(super) const fn links(&self) -> &Links {
        &self.links
    }

    /// Rows and columns.
    #[must_use]
    pub const fn shape(&self) -> GridShape {
        self.shape
    }

    /// Whether the cell has an elevation.
    #[must_use]
    pub fn is_valid(&self, cell: usize) -> bool {
        self.towards[cell] != VOID
    }

    /// Whether water leaves the data at this cell.
    #[must_use]
    pub fn leaves(&self, cell: usize) -> bool {
        self.towards[cell] == LEAVES
    }

    /// First direction and the share that goes to the next one clockwise; nothing where water leaves or nothing is known.
    #[must_use]
    pub fn facet(&self, cell: usize) -> Option<(Direction, f64)> {
        let code = self.towards[cell];
        if code >= LEAVES {
            return None;
        }
        let first = Direction::from_code(code);
        let second_share = match self.corner_share.get(cell).map(|&share| f64::from(share)) {
            None => 0.0,
            Some(share) if first.is_diagonal() => 1.0 - share,
            Some(share) => share,
        };
        Some((first, second_share))
    }

    fn step(&self, cell: usize, direction: Direction) -> usize {
        cell.wrapping_add_signed(self.steps[direction.code() as usize])
    }

    /// Cells that get this cell's water, with their shares (which add up to one), or none where water leaves.
    #[must_use]
    pub fn receivers(&self, cell: usize) -> Receivers {
        let mut found = Receivers::NONE;
        if let Some((first, second_share)) = self.facet(cell) {
            if second_share < 1.0 {
                found.push(self.step(cell, first), 1.0 - second_share);
            }
            if second_share > 0.0 {
                found.push(self.step(cell, first.clockwise()), second_share);
            }
        } else if self.towards[cell] == LINKED
            && let Some(target) = self.links.target(cell)
        {
            found.push(target, 1.0);
        }
        found
    }

    /// Calls `visit` with each cell that hands water to this one, clockwise from north, then those from elsewhere.
    pub fn for_each_donor(&self, cell: usize, mut visit: impl FnMut(usize)) {
        let at = self.shape.cell(cell);
        let inside = !self.shape.is_rim(at);
        for direction in Direction::ALL {
            if inside || self.shape.neighbour(at, direction).is_some() {
                let donor = self.step(cell, direction);
                if self.hands_to(donor, direction.reverse()) {
                    visit(donor);
                }
            }
        }
        self.links.sources(cell).for_each(visit);
    }

    /// Whether a cell hands any water in one direction.
    fn hands_to(&self, cell: usize, wanted: Direction) -> bool {
        let code = self.towards[cell];
        // Most neighbours look elsewhere, which the direction alone tells.
        let ahead = wanted.code().wrapping_sub(code) & 7;
        if code >= LEAVES || ahead > 1 {
            return false;
        }
        self.facet(cell).is_some_and(
            |(_, second_share)| {
                if ahead == 0 { second_share < 1.0 } else { second_share > 0.0 }
            },
        )
    }

    pub(super) fn towards(&self) -> &[u8] {
        &self.towards
    }
}
