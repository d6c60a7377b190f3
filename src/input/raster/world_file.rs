//! The text file beside a picture that says where it lies.

use super::describe::apply;
use crate::grid::GridShape;
use crate::input::files::{ending, side_by_side};
use crate::input::numbers::real;
use crate::warning::Warning;
use std::path::Path;

/// Endings of the text file beside a TIFF.
const ENDINGS: [&str; 5] = ["tfw", "tifw", "tfwx", "wld", "tiffw"];
/// Largest misfit, in cells, that is rounding.
const FIT: f64 = 0.05;

/// Says so where the text file beside a TIFF places it elsewhere than the TIFF itself does, which is what counts.
pub(super) fn disagreement(path: &Path, own: [f64; 6], shape: GridShape) -> Option<Warning> {
    if !matches!(ending(path).as_str(), "tif" | "tiff") {
        return None;
    }
    let (file, theirs) = ENDINGS
        .iter()
        .filter_map(|ending| side_by_side(path, ending))
        .find_map(|file| Some((file.clone(), placement(&std::fs::read_to_string(&file).ok()?)?)))?;
    let cell = own[1].hypot(own[4]).min(own[2].hypot(own[5]));
    let corners = [(0.0, 0.0), (real(shape.cols), real(shape.rows))];
    let off = corners
        .map(|(col, row)| {
            let (own, their) = (apply(own, col, row), apply(theirs, col, row));
            (own.0 - their.0).hypot(own.1 - their.1)
        })
        .into_iter()
        .fold(0.0, f64::max);
    (off > FIT * cell).then(|| {
        Warning::new(
            "world-file-disagrees",
            format!(
                "{} places the raster {off:.2} map units ({:.1} cells) from where {} itself says it lies; the latter is \
                 used",
                file.display(),
                off / cell,
                path.display()
            ),
            "ask the maker which is right; to use the text file, take the placement out of the TIFF",
        )
    })
}

/// Six numbers, one a line: the cell's sides and turns, then the middle of the first cell.
fn placement(text: &str) -> Option<[f64; 6]> {
    let numbers: Vec<f64> = text.split_whitespace().map_while(|word| word.parse().ok()).collect();
    let [right_x, right_y, down_x, down_y, first_x, first_y] = numbers[..] else { return None };
    let corner = [first_x - f64::midpoint(right_x, down_x), first_y - f64::midpoint(right_y, down_y)];
    Some([corner[0], right_x, down_x, corner[1], right_y, down_y])
}
