//! Places as GeoJSON wants them (RFC 7946): longitude and latitude on WGS 84, seven decimals, outer rings
//! counter-clockwise, cut at the antimeridian.

use super::error::OutputError;
use crate::crs::WorkingCrs;
use geo::orient::{Direction, Orient};
use geo::{
    Area, BooleanOps, BoundingRect, Coord, LineString, MapCoords, MapCoordsInPlace, MultiLineString,
    MultiPolygon, Point, Polygon, Rect, RemoveRepeatedPoints, Validation,
};
use geojson::Geometry;

/// Decimals of a degree that are written: about a centimetre.
const DECIMALS: f64 = 1e7;

/// Turns places of the working grid into GeoJSON.
#[derive(Debug, Clone, Copy)]
pub(super) struct Writer<'a> {
    crs: &'a WorkingCrs,
}

impl<'a> Writer<'a> {
    pub(super) const fn new(crs: &'a WorkingCrs) -> Self {
        Self { crs }
    }

    /// Longitude and latitude, rounded.
    pub(super) fn place(self, at: Coord<f64>) -> Result<Coord<f64>, OutputError> {
        self.lonlat(at).map(rounded_coord)
    }

    /// A point.
    pub(super) fn point(self, at: Coord<f64>) -> Result<Geometry, OutputError> {
        Ok(Geometry::from(&Point::from(rounded_coord(self.lonlat(at)?))))
    }

    /// Lines; nothing when no length is left after rounding.
    pub(super) fn lines(self, lines: &MultiLineString<f64>) -> Result<Option<Geometry>, OutputError> {
        let mut parts = Vec::new();
        for line in lines {
            parts.extend(self.parts(line)?);
        }
        Ok(match parts.len() {
            0 => None,
            1 => Some(Geometry::from(&parts[0])),
            _ => Some(Geometry::from(&MultiLineString(parts))),
        })
    }

    /// A line, cut at the antimeridian; without parts of which no length is left after rounding.
    fn parts(self, line: &LineString<f64>) -> Result<Vec<LineString<f64>>, OutputError> {
        let on_globe = unrolled(line.try_map_coords(|c| self.lonlat(c))?);
        let parts: Vec<LineString<f64>> = if crosses_antimeridian(&on_globe) {
            let whole = MultiLineString(vec![on_globe]);
            halves()
                .into_iter()
                .flat_map(|(half, shift)| {
                    half.clip(&whole, false).map_coords(|c| Coord { x: c.x + shift, y: c.y })
                })
                .collect()
        } else {
            vec![on_globe]
        };
        let rounded = |part: LineString<f64>| part.map_coords(rounded_coord).remove_repeated_points();
        Ok(parts.into_iter().map(rounded).filter(|part| part.0.len() > 1).collect())
    }

    /// Polygons; nothing when no area is left after rounding.
    pub(super) fn area(self, area: &MultiPolygon<f64>) -> Result<Option<Geometry>, OutputError> {
        let mut on_globe = area.try_map_coords(|c| self.lonlat(c))?;
        if spans_the_globe(&on_globe) {
            on_globe.map_coords_in_place(|c| Coord { x: c.x.rem_euclid(360.0), y: c.y });
            on_globe = MultiPolygon(
                halves()
                    .into_iter()
                    .flat_map(|(half, shift)| {
                        let half = MultiPolygon(vec![half]);
                        half.intersection(&on_globe).map_coords(|c| Coord { x: c.x + shift, y: c.y })
                    })
                    .collect(),
            );
        }
        let polygons: Vec<Polygon<f64>> = on_globe.iter().filter_map(whole_after_rounding).collect();
        Ok(match polygons.len() {
            0 => None,
            1 => Some(Geometry::from(&polygons[0])),
            _ => Some(Geometry::from(&MultiPolygon(polygons))),
        })
    }

    fn lonlat(self, at: Coord<f64>) -> Result<Coord<f64>, OutputError> {
        let (x, y) = self
            .crs
            .to_lonlat(at.x, at.y)
            .map_err(|cause| OutputError::Place { reason: cause.to_string() })?;
        if x.is_finite() && y.is_finite() {
            Ok(Coord { x, y })
        } else {
            Err(OutputError::Place { reason: format!("({}, {}) lies outside the projection", at.x, at.y) })
        }
    }
}

fn rounded(degrees: f64) -> f64 {
    // Adding zero turns minus zero, which JSON would show, into zero.
    (degrees * DECIMALS).round() / DECIMALS + 0.0
}

fn rounded_coord(c: Coord<f64>) -> Coord<f64> {
    Coord { x: rounded(c.x), y: rounded(c.y) }
}

/// The two sides of the antimeridian on a globe counted from 0 to 360, with the shift to -180 to 180.
fn halves() -> [(Polygon<f64>, f64); 2] {
    let half = |west: f64, east: f64| {
        Rect::new(Coord { x: west, y: -90.0 }, Coord { x: east, y: 90.0 }).to_polygon()
    };
    [(half(0.0, 180.0), 0.0), (half(180.0, 360.0), -360.0)]
}

/// Longitudes counted from 0 to 360 when the line jumps from one end of the map to the other.
fn unrolled(line: LineString<f64>) -> LineString<f64> {
    if line.lines().any(|l| (l.start.x - l.end.x).abs() > 180.0) {
        line.map_coords(|c| Coord { x: c.x.rem_euclid(360.0), y: c.y })
    } else {
        line
    }
}

fn crosses_antimeridian(line: &LineString<f64>) -> bool {
    line.0.iter().any(|c| c.x > 180.0)
}

fn spans_the_globe(area: &MultiPolygon<f64>) -> bool {
    area.bounding_rect().is_some_and(|rect| rect.width() > 180.0)
}

/// Rounds a polygon, drops vertices and rings that fall together, mends what rounding broke, and winds its rings.
fn whole_after_rounding(polygon: &Polygon<f64>) -> Option<Polygon<f64>> {
    let round = |ring: &LineString<f64>| ring.map_coords(rounded_coord).remove_repeated_points();
    let keeps = |ring: &LineString<f64>| ring.0.len() > 3;
    let outer = round(polygon.exterior());
    if !keeps(&outer) {
        return None;
    }
    let holes = polygon.interiors().iter().map(round).filter(|hole| keeps(hole)).collect();
    let mut whole = Polygon::new(outer, holes);
    if !whole.is_valid() {
        // The union with nothing rebuilds the rings; of what touches in a point only the main part is worth drawing.
        let parts = MultiPolygon(vec![whole]).union(&MultiPolygon::<f64>(Vec::new()));
        whole = parts
            .into_iter()
            .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?
            .map_coords(rounded_coord);
    }
    (whole.unsigned_area() > 0.0).then(|| whole.orient(Direction::Default))
}
