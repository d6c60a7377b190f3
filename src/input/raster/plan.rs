//! Choosing the working grid: the raster's own wherever lengths on it are true, else a local metric one.

use super::mosaic::SourceGrid;
use super::warp::Warp;
use crate::crs::{
    CrsError, CrsKind, PointScale, Transform, WorkingCrs, local_transverse_mercator, point_scale,
};
use crate::grid::{CellSize, Georef, GridShape};
use crate::input::numbers::count;

/// Most that lengths may be off before the grid is replaced. UTM stays within 0.1 % in its zone.
const LENGTHS_OFF: f64 = 0.002;
/// Most that the two directions may differ, or the axes lean: shapes stay true to a tenth of a per cent.
const SHAPES_OFF: f64 = 0.001;
/// How far from the lot a replaced grid reaches, in metres. No lot's catchment is that large, and a raster of half the
/// globe has no place on a local grid.
const REACH_M: f64 = 60_000.0;
/// Points to a side of the raster's rim by which its extent on the new grid is found.
const RIM_POINTS: usize = 64;

/// The working grid and how to read it.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    pub(crate) crs: WorkingCrs,
    pub(crate) georef: Georef,
    pub(crate) shape: GridShape,
    pub(crate) cell: CellSize,
    pub(crate) warp: Option<Reason>,
}

/// Why, and how, cells are interpolated.
#[derive(Debug, Clone)]
pub(crate) struct Reason {
    pub(crate) why: String,
    pub(crate) warp: Warp,
}

/// Chooses the working grid for a lot at `x`, `y` in the raster's system.
pub(crate) fn choose(source: &SourceGrid, x: f64, y: f64) -> Result<Plan, CrsError> {
    let turn = turn_degrees(source.affine);
    let why = match source.crs.kind() {
        CrsKind::Projected(unit) => {
            let scale = point_scale(&source.crs, unit.metres, x, y)?;
            match distortion(scale, unit.metres) {
                None if turn.is_none() => return native(source, scale),
                None => return straightened(source, scale, turn.unwrap_or_default()),
                Some(why) => why,
            }
        }
        CrsKind::Geographic => "its cells are counted in degrees".to_owned(),
        CrsKind::Local | CrsKind::Other => {
            return Err(CrsError::NotUnderstood {
                text: source.crs.label().to_owned(),
                reason: "it is not tied to the earth's surface".to_owned(),
            });
        }
    };
    local(source, x, y, why)
}

/// What is wrong with lengths at the lot, if anything.
fn distortion(scale: PointScale, unit_m: f64) -> Option<String> {
    let stretch = unit_m / scale.mean() - 1.0;
    let uneven = (scale.along_x / scale.along_y - 1.0).abs();
    if stretch.abs() > LENGTHS_OFF {
        let (off, verb) = (stretch.abs() * 100.0, if stretch > 0.0 { "stretches" } else { "shrinks" });
        Some(format!("its projection {verb} lengths by {off:.1} % here"))
    } else if uneven > SHAPES_OFF || scale.skew > SHAPES_OFF {
        Some(format!("its projection distorts shapes by {:.1} % here", uneven.max(scale.skew) * 100.0))
    } else {
        None
    }
}

/// Degrees by which rows lean against the map's x axis, or `None` for a grid that runs along the axes.
fn turn_degrees(a: [f64; 6]) -> Option<f64> {
    let leans = a[2].abs() + a[4].abs() > 0.0;
    leans.then(|| a[4].atan2(a[1]).to_degrees())
}

fn native(source: &SourceGrid, scale: PointScale) -> Result<Plan, CrsError> {
    let a = source.affine;
    let georef = Georef { west: a[0], north: a[3], step_x: a[1], step_y: -a[5] };
    Ok(Plan {
        crs: WorkingCrs::new(source.crs.clone(), scale.mean())?,
        georef,
        shape: source.shape,
        cell: CellSize { dx_m: georef.step_x * scale.along_x, dy_m: georef.step_y * scale.along_y },
        warp: None,
    })
}

/// North-up cells in the same system for a rotated grid.
fn straightened(source: &SourceGrid, scale: PointScale, turn: f64) -> Result<Plan, CrsError> {
    let a = source.affine;
    let step = two_digits(a[1].hypot(a[4]).min(a[2].hypot(a[5])));
    let (georef, shape) = frame(&source.rim(1), step);
    Ok(Plan {
        crs: WorkingCrs::new(source.crs.clone(), scale.mean())?,
        georef,
        shape,
        cell: CellSize { dx_m: step * scale.along_x, dy_m: step * scale.along_y },
        warp: Some(Reason {
            why: format!("its rows are turned by {turn:.1} degrees"),
            warp: Warp { georef, to_source: None, full_turn: None },
        }),
    })
}

/// A local metric grid.
fn local(source: &SourceGrid, x: f64, y: f64, why: String) -> Result<Plan, CrsError> {
    let crs = local_transverse_mercator(&source.crs, x, y)?;
    let there = Transform::new(&source.crs, &crs)?;
    let lot = there.point(x, y)?;
    let a = source.affine;
    let length = |dx: f64, dy: f64| -> Result<f64, CrsError> {
        let end = there.point(x + dx, y + dy)?;
        Ok((end.0 - lot.0).hypot(end.1 - lot.1))
    };
    let step = two_digits(length(a[1], a[4])?.min(length(a[2], a[5])?));
    let rim: Vec<(f64, f64)> =
        there.points(&near_rim(source, &there, (x, y), lot))?.into_iter().flatten().collect();
    let (georef, shape) = frame(&rim, step);
    let full_turn = source.full_turn()?;
    let to_source = Some(Transform::new(&crs, &source.crs)?);
    Ok(Plan {
        crs: WorkingCrs::new(crs, 1.0)?,
        georef,
        shape,
        cell: CellSize { dx_m: step, dy_m: step },
        warp: Some(Reason { why, warp: Warp { georef, to_source, full_turn } }),
    })
}

/// The raster's rim, drawn in to the grid's reach around the lot.
fn near_rim(source: &SourceGrid, there: &Transform, (x, y): (f64, f64), lot: (f64, f64)) -> Vec<(f64, f64)> {
    let corners = source.corners();
    let bound = |pick: fn(&(f64, f64)) -> f64, best: fn(f64, f64) -> f64| {
        corners.iter().map(pick).fold(f64::NAN, best)
    };
    let (west, east) = (bound(|c| c.0, f64::min), bound(|c| c.0, f64::max));
    let (south, north) = (bound(|c| c.1, f64::min), bound(|c| c.1, f64::max));
    // Map units to a metre, measured over a thousandth of the raster.
    let per_metre = |dx: f64, dy: f64| {
        there.point(x + dx, y + dy).ok().map(|p| dx.hypot(dy) / (p.0 - lot.0).hypot(p.1 - lot.1))
    };
    let reach_x = per_metre((east - west) * 1e-3, 0.0).map_or(f64::INFINITY, |u| u * REACH_M);
    let reach_y = per_metre(0.0, (north - south) * 1e-3).map_or(f64::INFINITY, |u| u * REACH_M);
    let (left, right) = (west.max(x - reach_x), east.min(x + reach_x));
    let (low, high) = (south.max(y - reach_y), north.min(y + reach_y));
    let mut rim = Vec::with_capacity(4 * RIM_POINTS);
    for i in 0..=RIM_POINTS {
        let t = crate::input::numbers::real(i) / crate::input::numbers::real(RIM_POINTS);
        let (along, up) = (left + t * (right - left), low + t * (high - low));
        rim.extend([(along, low), (along, high), (left, up), (right, up)]);
    }
    rim
}

/// A grid of whole steps that holds all points.
fn frame(points: &[(f64, f64)], step: f64) -> (Georef, GridShape) {
    let bound = |pick: fn(&(f64, f64)) -> f64, best: fn(f64, f64) -> f64| {
        points.iter().map(pick).fold(f64::NAN, best)
    };
    let west = (bound(|p| p.0, f64::min) / step).floor() * step;
    let north = (bound(|p| p.1, f64::max) / step).ceil() * step;
    let cols = count(((bound(|p| p.0, f64::max) - west) / step).ceil());
    let rows = count(((north - bound(|p| p.1, f64::min)) / step).ceil());
    (Georef { west, north, step_x: step, step_y: step }, GridShape { rows, cols })
}

/// Rounds to two significant digits, so that cells get sizes that people can say.
fn two_digits(value: f64) -> f64 {
    let digits = value.log10().floor() - 1.0;
    // Powers of ten below 1 aren't exact; dividing by their inverse is.
    if digits < 0.0 {
        let unit = 10f64.powf(-digits);
        (value * unit).round() / unit
    } else {
        let unit = 10f64.powf(digits);
        (value / unit).round() * unit
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_rounded_to_two_digits() {
        for (value, rounded) in [(7.476, 7.5), (10.29, 10.0), (0.3048, 0.3), (0.999_6, 1.0), (92.4, 92.0)] {
            assert!((two_digits(value) - rounded).abs() < 1e-12, "{value}");
        }
    }
}
