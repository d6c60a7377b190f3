//! Bridging small gaps in the elevations from their rims, and listing the rest.

use super::numbers::{real, single};
use crate::grid::{Cell, CellSize, Direction, Grid, GridShape};
use crate::units::Area;
use serde::Serialize;

/// Change, in metres, below which the surface over a hole counts as settled.
const SETTLED_M: f64 = 1e-7;
/// Rounds after which the solver gives up; it needs about as many as the hole is cells wide.
const MOST_ROUNDS: usize = 20_000;

/// What lies beyond a side of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Nothing: the data end here.
    DataEdge,
    /// More cells, which weren't read.
    Cut,
}

/// What lies beyond the four sides of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Frame {
    /// Beyond the first row.
    pub north: Side,
    /// Beyond the last row.
    pub south: Side,
    /// Beyond the first column.
    pub west: Side,
    /// Beyond the last column.
    pub east: Side,
}

impl Frame {
    /// The same on all sides.
    #[must_use]
    pub const fn all(side: Side) -> Self {
        Self { north: side, south: side, west: side, east: side }
    }
}

/// What became of a hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoleFate {
    /// A gap one cell wide, bridged between its two sides.
    GapBridged,
    /// An inner hole up to the limit, bridged from its rim.
    HoleBridged,
    /// An inner hole above the limit: an edge of the data.
    TooLarge,
    /// Part of the outside: it touches the end of the data.
    Outside,
    /// It touches a side where the window was cut, so that its whole size isn't known.
    CutByWindow,
}

/// One connected hole.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Hole {
    /// What became of it.
    pub fate: HoleFate,
    /// Number of cells.
    pub cells: usize,
    /// Area on the ground in square metres.
    pub area_m2: f64,
    /// Row of its first cell in the window.
    pub row: usize,
    /// Column of its first cell in the window.
    pub col: usize,
}

/// All holes of a window, from north to south.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct HoleReport {
    /// Those that now have elevations.
    pub bridged: Vec<Hole>,
    /// Those that were kept.
    pub kept: Vec<Hole>,
}

/// Bridges gaps under two cells wide and inner holes up to `limit`; all else stays NaN.
///
/// # Method
/// A cell between two valid cells that face each other gets the mean of what its facing pairs give. Inner holes get the
/// surface without curvature of its own (Laplace's equation on the cells) that joins their rim. Both are exact on planes.
/// A hole that touches a side of the window isn't inner.
///
/// # Cost
/// One pass over the window, and the solver over the holes that are bridged.
pub fn bridge_holes(window: &mut Grid<f32>, cell: CellSize, limit: Area, sides: Frame) -> HoleReport {
    let mut report = HoleReport::default();
    let gaps = bridge_gaps(window, cell);
    for member in components(window.shape(), |index| gaps[index].is_some()) {
        report.bridged.push(hole(window.shape(), &member, cell, HoleFate::GapBridged));
    }
    for (index, height) in gaps.into_iter().enumerate() {
        if let Some(height) = height {
            window.values_mut()[index] = height;
        }
    }
    let open = window.values().iter().map(|v| v.is_nan()).collect::<Vec<_>>();
    for member in components(window.shape(), |index| open[index]) {
        let area_m2 = real(member.len()) * cell.area_m2();
        let fate = match touched(window.shape(), &member, sides) {
            Some(Side::DataEdge) => HoleFate::Outside,
            Some(Side::Cut) => HoleFate::CutByWindow,
            None if area_m2 > limit.as_m2() => HoleFate::TooLarge,
            None => HoleFate::HoleBridged,
        };
        let listed = hole(window.shape(), &member, cell, fate);
        if fate == HoleFate::HoleBridged {
            bridge_hole(window, &member, cell);
            report.bridged.push(listed);
        } else {
            report.kept.push(listed);
        }
    }
    report.bridged.sort_by_key(|h| (h.row, h.col));
    report
}

fn hole(shape: GridShape, member: &[usize], cell: CellSize, fate: HoleFate) -> Hole {
    let Cell { row, col } = shape.cell(member[0]);
    Hole { fate, cells: member.len(), area_m2: real(member.len()) * cell.area_m2(), row, col }
}

/// Heights for the cells of gaps, from the cells as they are before any is filled.
fn bridge_gaps(window: &Grid<f32>, cell: CellSize) -> Vec<Option<f32>> {
    let shape = window.shape();
    (0..shape.len())
        .map(|index| {
            if !window.values()[index].is_nan() {
                return None;
            }
            let here = shape.cell(index);
            let valid = |d: Direction| {
                let value = *window.at(shape.neighbour(here, d)?);
                (!value.is_nan()).then(|| f64::from(value))
            };
            let across = |codes: &[u8]| {
                let mut heights = Vec::with_capacity(2);
                for &code in codes {
                    let toward = Direction::from_code(code);
                    if let (Some(a), Some(b)) = (valid(toward), valid(toward.reverse())) {
                        let length = if code == 0 { cell.dy_m } else { cell.dx_m };
                        heights.push((f64::midpoint(a, b), length));
                    }
                }
                heights
            };
            let mut heights = across(&[0, 2]);
            // Corner to corner only in a gap that runs diagonally: it goes on at both other corners. In the corner of a
            // wider hole, it goes on at one.
            for (code, along) in [(1, 3), (3, 1)] {
                let along = Direction::from_code(along);
                if heights.is_empty() && valid(along).is_none() && valid(along.reverse()).is_none() {
                    heights = across(&[code]);
                }
            }
            let weight: f64 = heights.iter().map(|(_, length)| 1.0 / length).sum();
            (!heights.is_empty())
                .then(|| single(heights.iter().map(|(height, length)| height / length).sum::<f64>() / weight))
        })
        .collect()
}

/// Connected sets of cells (corners connect), each in row order, in the order of their first cells.
fn components(shape: GridShape, belongs: impl Fn(usize) -> bool) -> Vec<Vec<usize>> {
    let mut seen = vec![false; shape.len()];
    let mut all = Vec::new();
    for start in 0..shape.len() {
        if seen[start] || !belongs(start) {
            continue;
        }
        seen[start] = true;
        let mut member = vec![start];
        let mut next = 0;
        while next < member.len() {
            let here = shape.cell(member[next]);
            next += 1;
            for direction in Direction::ALL {
                let Some(neighbour) = shape.neighbour(here, direction) else { continue };
                let index = shape.index(neighbour);
                if !seen[index] && belongs(index) {
                    seen[index] = true;
                    member.push(index);
                }
            }
        }
        member.sort_unstable();
        all.push(member);
    }
    all
}

/// What a set of cells touches, if anything; the end of the data first, because outside is outside whatever its size.
fn touched(shape: GridShape, member: &[usize], sides: Frame) -> Option<Side> {
    let mut found = None;
    for &index in member {
        let Cell { row, col } = shape.cell(index);
        let here = [
            (row == 0).then_some(sides.north),
            (row + 1 == shape.rows).then_some(sides.south),
            (col == 0).then_some(sides.west),
            (col + 1 == shape.cols).then_some(sides.east),
        ];
        for side in here.into_iter().flatten() {
            if side == Side::DataEdge {
                return Some(side);
            }
            found = Some(side);
        }
    }
    found
}

/// Solves Laplace's equation over an inner hole by conjugate gradients, starting from the mean of the rim.
fn bridge_hole(window: &mut Grid<f32>, member: &[usize], cell: CellSize) {
    let shape = window.shape();
    let place = |index: usize| member.binary_search(&index).ok();
    let (across, down) = (cell.dy_m / cell.dx_m, cell.dx_m / cell.dy_m);
    let mut links: Vec<[Option<usize>; 4]> = Vec::with_capacity(member.len());
    let mut known = vec![0.0; member.len()];
    let (mut rim_sum, mut rim_count) = (0.0, 0.0);
    for (i, &index) in member.iter().enumerate() {
        let here = shape.cell(index);
        let mut link = [None; 4];
        for (side, code) in [0_u8, 2, 4, 6].into_iter().enumerate() {
            // An inner hole never touches the rim of the window, so every side has a neighbour.
            let Some(neighbour) = shape.neighbour(here, Direction::from_code(code)) else { continue };
            let target = shape.index(neighbour);
            link[side] = place(target);
            if link[side].is_none() {
                let height = f64::from(window.values()[target]);
                known[i] += height * if side % 2 == 0 { down } else { across };
                rim_sum += height;
                rim_count += 1.0;
            }
        }
        links.push(link);
    }
    let start = rim_sum / rim_count;
    let diagonal = 2.0 * (across + down);
    let apply = |heights: &[f64]| -> Vec<f64> {
        links
            .iter()
            .enumerate()
            .map(|(i, link)| {
                let pull: f64 = link
                    .iter()
                    .enumerate()
                    .filter_map(|(side, target)| {
                        target.map(|t| heights[t] * if side % 2 == 0 { down } else { across })
                    })
                    .sum();
                diagonal * heights[i] - pull
            })
            .collect()
    };
    let solved = conjugate_gradients(apply, &known, start, diagonal);
    for (&index, height) in member.iter().zip(solved) {
        window.values_mut()[index] = single(height);
    }
}

/// Solves `apply(x) = wanted` for a symmetric positive definite `apply`, from a constant start.
fn conjugate_gradients(
    apply: impl Fn(&[f64]) -> Vec<f64>,
    wanted: &[f64],
    start: f64,
    diagonal: f64,
) -> Vec<f64> {
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let mut solution = vec![start; wanted.len()];
    let mut rest: Vec<f64> = wanted.iter().zip(apply(&solution)).map(|(w, a)| w - a).collect();
    let mut step = rest.clone();
    let mut size = dot(&rest, &rest);
    for _ in 0..MOST_ROUNDS {
        let worst = rest.iter().fold(0.0_f64, |worst, r| worst.max(r.abs()));
        if worst <= SETTLED_M * diagonal {
            break;
        }
        let moved = apply(&step);
        let length = size / dot(&step, &moved);
        for i in 0..solution.len() {
            solution[i] += length * step[i];
            rest[i] -= length * moved[i];
        }
        let next = dot(&rest, &rest);
        let keep = next / size;
        size = next;
        for i in 0..step.len() {
            step[i] = rest[i] + keep * step[i];
        }
    }
    solution
}

#[cfg(test)]
mod tests;
