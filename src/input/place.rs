//! Do the parcels lie on the raster? If not, why: swapped axes, metres for degrees, feet for metres, or just elsewhere.

use super::error::{InputError, InputKind};
use super::numbers::real;
use super::raster::{SourceGrid, extent_lonlat};
use crate::crs::{CrsDefinition, CrsKind, Transform};
use crate::warning::Warning;
use geo::{Distance, Geodesic, Point};
use std::path::Path;

/// Degrees by which numbers may lie outside the area a system is meant for; a wrong unit leads farther away.
const OUTSIDE_DEG: f64 = 3.0;
/// Factors between the units in use, with what they mean.
const FACTORS: [(f64, &str); 4] = [
    (1200.0 / 3937.0, "US survey feet taken for metres"),
    (0.3048, "feet taken for metres"),
    (3937.0 / 1200.0, "metres taken for US survey feet"),
    (1.0 / 0.3048, "metres taken for feet"),
];

/// A rectangle along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    pub(crate) west: f64,
    pub(crate) south: f64,
    pub(crate) east: f64,
    pub(crate) north: f64,
}

impl Bounds {
    /// Whether both share a point.
    pub(crate) fn meets(self, other: Self) -> bool {
        self.west <= other.east
            && other.west <= self.east
            && self.south <= other.north
            && other.south <= self.north
    }

    const fn corners(self) -> [(f64, f64); 4] {
        let Self { west, south, east, north } = self;
        [(west, south), (east, south), (east, north), (west, north)]
    }

    /// The middle.
    pub(crate) fn centre(self) -> (f64, f64) {
        (f64::midpoint(self.west, self.east), f64::midpoint(self.south, self.north))
    }

    /// x and y exchanged.
    const fn swapped(self) -> Self {
        Self { west: self.south, south: self.west, east: self.north, north: self.east }
    }

    /// All numbers multiplied.
    fn scaled(self, factor: f64) -> Self {
        let Self { west, south, east, north } = self;
        Self { west: west * factor, south: south * factor, east: east * factor, north: north * factor }
    }

    /// Grown to all sides by a share of the longer side.
    pub(crate) fn grown(self, share: f64) -> Self {
        let by = share * (self.east - self.west).max(self.north - self.south);
        Self { west: self.west - by, south: self.south - by, east: self.east + by, north: self.north + by }
    }

    /// The least box around places.
    pub(crate) fn around(points: &[(f64, f64)]) -> Option<Self> {
        let (x, y) = points.first()?;
        let start = Self { west: *x, south: *y, east: *x, north: *y };
        Some(points.iter().fold(start, |b, &(x, y)| Self {
            west: b.west.min(x),
            south: b.south.min(y),
            east: b.east.max(x),
            north: b.north.max(y),
        }))
    }
}

/// West, south, east and north end of places in degrees; west > east if they lie across 180.
pub(crate) fn lonlat_box(points: &[(f64, f64)]) -> Option<[f64; 4]> {
    let plain = Bounds::around(points)?;
    if plain.east - plain.west <= 180.0 {
        return Some([plain.west, plain.south, plain.east, plain.north]);
    }
    let turned: Vec<(f64, f64)> =
        points.iter().map(|&(x, y)| (if x < 0.0 { x + 360.0 } else { x }, y)).collect();
    let b = Bounds::around(&turned)?;
    // Places all round the earth stay all round the earth.
    if b.east - b.west > 180.0 {
        return Some([plain.west, plain.south, plain.east, plain.north]);
    }
    let back = |lon: f64| if lon > 180.0 { lon - 360.0 } else { lon };
    Some([back(b.west), b.south, back(b.east), b.north])
}

/// The raster's extent in the parcels' system: one box, or two where degrees lie across 180.
pub(crate) fn raster_boxes(grid: &SourceGrid, parcels: &CrsDefinition) -> Vec<Bounds> {
    boxes(&grid.rim(32), &grid.crs, parcels)
}

fn boxes(rim: &[(f64, f64)], from: &CrsDefinition, to: &CrsDefinition) -> Vec<Bounds> {
    let Ok(transform) = Transform::new(from, to) else { return Vec::new() };
    let Ok(points) = transform.points(rim) else { return Vec::new() };
    let points: Vec<(f64, f64)> = points.into_iter().flatten().collect();
    if *to.kind() == CrsKind::Geographic {
        let Some([west, south, east, north]) = lonlat_box(&points) else { return Vec::new() };
        if west > east {
            return vec![
                Bounds { west, south, east: 180.0, north },
                Bounds { west: -180.0, south, east, north },
            ];
        }
        return vec![Bounds { west, south, east, north }];
    }
    Bounds::around(&points).into_iter().collect()
}

/// Both inputs, for the comparison.
pub(crate) struct Pair<'p> {
    pub(crate) grid: &'p SourceGrid,
    pub(crate) parcels_path: &'p Path,
    pub(crate) parcels_crs: &'p CrsDefinition,
    pub(crate) bounds: &'p [Bounds],
}

impl Pair<'_> {
    fn any_meets(&self, near: &[Bounds], change: impl Fn(Bounds) -> Bounds) -> bool {
        self.bounds.iter().any(|&b| near.iter().any(|n| n.meets(change(b))))
    }

    /// Fails, naming the likeliest cause, if no lot lies near the raster.
    pub(crate) fn check_overlap(&self, near: &[Bounds]) -> Result<(), InputError> {
        if self.any_meets(near, |b| b) {
            return Ok(());
        }
        self.check_degrees(near)?;
        if self.any_meets(near, Bounds::swapped) {
            return Err(InputError::AxesSwapped { path: self.parcels_path.to_owned() });
        }
        if matches!(self.parcels_crs.kind(), CrsKind::Projected(_)) {
            for (factor, meaning) in FACTORS {
                if self.any_meets(near, |b| b.scaled(factor)) {
                    return Err(InputError::UnitMismatch {
                        path: self.parcels_path.to_owned(),
                        kind: InputKind::Parcels,
                        crs: self.parcels_crs.label().to_owned(),
                        found: format!("multiplied by {factor:.6} ({meaning}) they lie on the raster"),
                    });
                }
            }
        }
        Err(self.apart("the lots"))
    }

    /// Fails if the one lot compared lies beyond the raster.
    pub(crate) fn check_lot(&self, asked: &str, near: &[Bounds]) -> Result<(), InputError> {
        if self.any_meets(near, |b| b) {
            return Ok(());
        }
        Err(self.apart(asked))
    }

    /// Degrees end at 180 and 90.
    fn check_degrees(&self, near: &[Bounds]) -> Result<(), InputError> {
        if *self.parcels_crs.kind() != CrsKind::Geographic {
            return Ok(());
        }
        let beyond = |b: &&Bounds| b.west < -360.0 || b.east > 360.0 || b.south < -90.0 || b.north > 90.0;
        let Some(odd) = self.bounds.iter().find(beyond) else { return Ok(()) };
        if self.any_meets(near, Bounds::swapped) {
            return Err(InputError::AxesSwapped { path: self.parcels_path.to_owned() });
        }
        let crs = self.grid.crs.label();
        let own = Bounds::around(&self.grid.corners());
        let help = if own.is_some_and(|own| self.any_meets(&[own], |b| b)) {
            format!(
                "read as {crs}, the raster's system, they would lie on the raster: pass --parcels-crs {crs} if that is right"
            )
        } else {
            format!(
                "pass --parcels-crs with the system they are in; read as {crs}, the raster's, they would not lie on the raster"
            )
        };
        let (x, y) = odd.centre();
        Err(InputError::NotDegrees {
            path: self.parcels_path.to_owned(),
            found: format!("a lot lies at {x:.1}, {y:.1}"),
            help,
        })
    }

    /// Both extents in degrees, and the distance.
    fn apart(&self, what: &str) -> InputError {
        let lonlat = CrsDefinition::lonlat().and_then(|lonlat| Transform::new(self.parcels_crs, &lonlat));
        let corners: Vec<(f64, f64)> = self.bounds.iter().flat_map(|b| b.corners()).collect();
        let places: Vec<(f64, f64)> = lonlat
            .and_then(|t| t.points(&corners))
            .map(|all| all.into_iter().flatten().collect())
            .unwrap_or_default();
        let raster = extent_lonlat(self.grid);
        InputError::NoOverlap {
            what: what.to_owned(),
            parcels: self.parcels_path.to_owned(),
            elevation: self.grid.first_path().to_owned(),
            parcels_extent: lonlat_box(&places).map_or_else(|| "nowhere on earth".to_owned(), extent_text),
            elevation_extent: raster.map_or_else(|| "nowhere on earth".to_owned(), extent_text),
            distance_km: raster.map_or(f64::NAN, |r| distance_km(&places, r)),
        }
    }
}

fn extent_text([west, south, east, north]: [f64; 4]) -> String {
    format!("at {west:.4} to {east:.4}, {south:.4} to {north:.4}")
}

/// Least distance from places to a box, all in degrees.
fn distance_km(places: &[(f64, f64)], [west, south, east, north]: [f64; 4]) -> f64 {
    let wrapped = if west > east { east + 360.0 } else { east };
    places
        .iter()
        .map(|&(lon, lat)| {
            let near = |lon: f64| Point::new(lon.clamp(west, wrapped), lat.clamp(south, north));
            [lon, lon + 360.0, lon - 360.0]
                .into_iter()
                .map(|l| Geodesic.distance(Point::new(l, lat), near(l)) / 1000.0)
                .fold(f64::INFINITY, f64::min)
        })
        .fold(f64::INFINITY, f64::min)
}

/// Checks that the raster lies where its coordinate system is meant to be used; a system that was assigned by hand is
/// believed with a warning.
pub(crate) fn check_area_of_use(
    path: &Path,
    grid: &SourceGrid,
    assigned: Option<&str>,
) -> Result<Option<Warning>, InputError> {
    let Some([west, south, east, north]) = grid.crs.area_of_use() else { return Ok(None) };
    let inside = |(x, y): (f64, f64)| -> bool {
        let Ok((lon, lat)) =
            CrsDefinition::lonlat().and_then(|to| Transform::new(&grid.crs, &to)).and_then(|t| t.point(x, y))
        else {
            return false;
        };
        let span = if west > east { east + 360.0 - west } else { east - west };
        let from_west = (lon - west + OUTSIDE_DEG).rem_euclid(360.0);
        from_west <= span + 2.0 * OUTSIDE_DEG && lat >= south - OUTSIDE_DEG && lat <= north + OUTSIDE_DEG
    };
    let corners = grid.corners();
    let middle = corners.iter().fold((0.0, 0.0), |m, c| (m.0 + c.0 / real(4), m.1 + c.1 / real(4)));
    if inside(middle) {
        return Ok(None);
    }
    let fits = FACTORS.into_iter().find(|(factor, _)| inside((middle.0 * factor, middle.1 * factor)));
    let projected = matches!(grid.crs.kind(), CrsKind::Projected(_));
    match fits.filter(|_| projected && assigned.is_none()) {
        Some((factor, meaning)) => Err(InputError::UnitMismatch {
            path: path.to_owned(),
            kind: InputKind::Elevation,
            crs: grid.crs.label().to_owned(),
            found: format!("multiplied by {factor:.6} ({meaning}) they lie inside it"),
        }),
        None => Ok(Some(Warning::new(
            "outside-area-of-use",
            format!("{} lies outside the area that {} is meant for", path.display(), grid.crs.label()),
            "check --elevation-crs",
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_on_both_sides_of_180_get_a_small_box() {
        let b = lonlat_box(&[(179.9, 51.0), (-179.9, 52.0)]).unwrap();
        assert!((b[0] - 179.9).abs() < 1e-9 && (b[2] + 179.9).abs() < 1e-9, "{b:?}");
        assert_eq!(lonlat_box(&[(-81.0, 43.0), (-80.0, 44.0)]), Some([-81.0, 43.0, -80.0, 44.0]));
    }

    // One degree of latitude at 45 degrees is 111.1 km (Bowditch, American Practical Navigator, table 7, from memory).
    #[test]
    fn distances_are_geodesic_and_cross_180() {
        let d = distance_km(&[(10.0, 46.0)], [9.0, 44.0, 11.0, 45.0]);
        assert!((d - 111.1).abs() < 0.2, "{d}");
        let across = distance_km(&[(-179.5, 0.0)], [178.0, -1.0, 179.5, 1.0]);
        assert!((across - 111.3).abs() < 0.2, "{across}");
    }
}
