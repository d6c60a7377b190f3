//! Steps along straight lines of the raster: where two surveys, or two flight lines, were put together.

use super::{Passing, Reason};
use crate::grid::{Cell, Grid};
use crate::pipeline::catchment::Routed;

/// The lowest step that counts, m: below it flight lines of good surveys agree. Ours.
const LEAST_STEP_M: f32 = 0.03;
/// So many times the usual step between two lines it must be at least. Ours.
const TIMES_USUAL: f32 = 3.0;
/// Share of the line's cells at which the ground steps the same way, by half the middle step at least. Ours.
const LEAST_ALIKE: f32 = 0.75;
/// Cells that a line must have.
const LEAST_CELLS: usize = 30;

/// Which way lines of the raster run.
#[derive(Debug, Clone, Copy)]
enum Along {
    Rows,
    Columns,
}

/// Ways over seams.
pub(super) fn seams(routed: &Routed, passing: &Passing<'_>) -> Option<(Reason, f64)> {
    let raw = &routed.ground.raw;
    let [rows, columns] = [Along::Rows, Along::Columns].map(|along| steps_along(raw, along));
    let step_m = rows.iter().chain(&columns).map(|&(_, step)| step).reduce(f32::max)?;
    let crosses = |lines: &[(usize, f32)], a: usize, b: usize| {
        lines.iter().any(|&(line, _)| (a <= line) != (b <= line))
    };
    let shape = raw.shape();
    let area_m2 = passing.steps_m2(|from, to| {
        let (a, b) = (shape.cell(from), shape.cell(to));
        crosses(&rows, a.row, b.row) || crosses(&columns, a.col, b.col)
    });
    Some((Reason::Seams { step_m: step_m.into() }, area_m2))
}

/// Lines after which the ground steps, each with the height.
fn steps_along(raw: &Grid<f32>, along: Along) -> Vec<(usize, f32)> {
    let lines = match along {
        Along::Rows => raw.shape().rows,
        Along::Columns => raw.shape().cols,
    };
    let mut middles = Vec::new();
    let mut found = Vec::new();
    for line in 1..lines.saturating_sub(2) {
        let mut steps = excesses(raw, along, line);
        if steps.len() < LEAST_CELLS {
            continue;
        }
        let middle = middle_of(&mut steps);
        middles.push(middle.abs());
        if middle.abs() >= LEAST_STEP_M && share_alike(&steps, middle) >= LEAST_ALIKE {
            found.push((line, middle.abs()));
        }
    }
    let usual = if middles.is_empty() { 0.0 } else { middle_of(&mut middles) };
    found.retain(|&(_, step)| step >= TIMES_USUAL * usual);
    found
}

/// By how much the ground falls more from a line to the next than before and after it, cell by cell: 0 where it
/// falls more than the one and less than the other, as on curved ground and at a crease.
fn excesses(raw: &Grid<f32>, along: Along, line: usize) -> Vec<f32> {
    let shape = raw.shape();
    let across = match along {
        Along::Rows => shape.cols,
        Along::Columns => shape.rows,
    };
    let at = |line: usize, place: usize| match along {
        Along::Rows => *raw.at(Cell { row: line, col: place }),
        Along::Columns => *raw.at(Cell { row: place, col: line }),
    };
    let excess = |place: usize| {
        let fall = |line: usize| at(line, place) - at(line + 1, place);
        let (before, after) = (fall(line) - fall(line - 1), fall(line) - fall(line + 1));
        let smaller = if before.abs() < after.abs() { before } else { after };
        if before.is_nan() || after.is_nan() {
            f32::NAN
        } else if before * after > 0.0 {
            smaller
        } else {
            0.0
        }
    };
    (0..across).map(excess).filter(|step| !step.is_nan()).collect()
}

fn middle_of(values: &mut [f32]) -> f32 {
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}

#[expect(clippy::cast_precision_loss, reason = "a number of cells")]
fn share_alike(steps: &[f32], middle: f32) -> f32 {
    let alike = steps.iter().filter(|&&step| step * middle.signum() >= middle.abs() / 2.0).count();
    alike as f32 / steps.len() as f32
}
