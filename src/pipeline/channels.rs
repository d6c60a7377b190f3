//! Cells in which let-out water runs in a ditch or gutter that was given, and not over the lot.

use super::catchment::Routed;
use crate::grid::Cell;
use crate::input::Site;
use geo::{BoundingRect, Distance, Euclidean, Point};

/// The cells whose middle lies no farther from a ditch or kerb than one cell is long, rising.
pub(super) fn channels(site: &Site, routed: &Routed) -> Vec<usize> {
    let ground = &routed.ground;
    let (shape, georef) = (ground.raw.shape(), ground.georef);
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (rows, cols) = (shape.rows as f64, shape.cols as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
    let range = |a: f64, b: f64, most: f64| {
        let [low, high] = [a.min(b) - 1.0, a.max(b) + 1.0].map(|m| m.clamp(0.0, most));
        (low.floor() as usize)..(high.ceil() as usize)
    };
    let near = georef.step_x.abs().max(georef.step_y.abs());
    let mut found = Vec::new();
    for leg in site.beside.ditches.iter().flat_map(|ditch| &ditch.lines).flat_map(geo::LineString::lines) {
        let rect = leg.bounding_rect();
        let (west, north) = georef.to_grid(rect.min().x, rect.max().y);
        let (east, south) = georef.to_grid(rect.max().x, rect.min().y);
        for row in range(north, south, rows) {
            for col in range(west, east, cols) {
                let at = Cell { row, col };
                if Euclidean.distance(&Point::from(georef.centre(at)), &leg) <= near {
                    found.push(shape.index(at));
                }
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}
