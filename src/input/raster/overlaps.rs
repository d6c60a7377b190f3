//! Tiles that cover the same ground and say different things of it.

use super::mosaic::SourceGrid;
use super::window::Window;
use crate::grid::GridShape;
use crate::input::error::InputError;
use crate::input::numbers::real;
use crate::warning::Warning;

/// Mean difference (metres) from which on two tiles are not the same survey: its rounding is far below.
const APART_M: f64 = 0.01;
/// Most cells to a side that are compared.
const SIDE: usize = 512;
/// Most pairs of tiles that are compared: each costs two reads.
const PAIRS: usize = 64;

/// Says so where tiles that overlap disagree.
pub(crate) fn disagreement(grid: &SourceGrid) -> Result<Option<Warning>, InputError> {
    let mut worst: Option<(usize, usize, f64, f64)> = None;
    for (one, two, window) in pairs(grid).into_iter().take(PAIRS) {
        let (first, second) = (grid.read_tile(one, window)?, grid.read_tile(two, window)?);
        let steps: Vec<f64> = first
            .values()
            .iter()
            .zip(second.values())
            .map(|(a, b)| f64::from(a - b))
            .filter(|step| step.is_finite())
            .collect();
        if steps.is_empty() {
            continue;
        }
        let mean = steps.iter().map(|step| step.abs()).sum::<f64>() / real(steps.len());
        let bias = steps.iter().sum::<f64>() / real(steps.len());
        if mean > APART_M && worst.is_none_or(|(_, _, most, _)| mean > most) {
            worst = Some((one, two, mean, bias));
        }
    }
    Ok(worst.map(|(one, two, mean, bias)| {
        let (one, two) = (grid.tile_path(one).display(), grid.tile_path(two).display());
        Warning::new(
            "tiles-disagree",
            format!(
                "where {one} and {two} overlap their elevations differ by {mean:.2} m in the mean (the former {:.2} m \
                 {}); the former is used there",
                bias.abs(),
                if bias > 0.0 { "higher" } else { "lower" }
            ),
            "give tiles of one survey, on one datum and in one unit; the order of the files decides until then",
        )
    }))
}

/// The places of two tiles that overlap, and the middle of what they share.
fn pairs(grid: &SourceGrid) -> Vec<(usize, usize, Window)> {
    let windows = grid.tile_windows();
    let mut found = Vec::new();
    for (one, first) in windows.iter().enumerate() {
        for (two, second) in windows.iter().enumerate().skip(one + 1) {
            if let Some(shared) = first.overlap(second.row, second.col, second.shape) {
                found.push((one, two, middle(shared)));
            }
        }
    }
    found
}

fn middle(shared: Window) -> Window {
    let (rows, cols) = (shared.shape.rows.min(SIDE), shared.shape.cols.min(SIDE));
    Window {
        row: shared.row + (shared.shape.rows - rows) / 2,
        col: shared.col + (shared.shape.cols - cols) / 2,
        shape: GridShape { rows, cols },
    }
}
