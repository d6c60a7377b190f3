//! What is drawn on the map, in the working coordinate system: the files for viewers and for drawing tools are made of the
//! same marks.

use super::error::OutputError;
use super::geometry::Writer;
use super::style;
use geo::{Coord, LineString, MultiLineString, MultiPolygon};
use geojson::{Feature, Geometry};
use serde_json::{Map, Value, json};

/// Where a mark lies.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    Point(Coord),
    Lines(MultiLineString),
    Area(MultiPolygon),
}

impl Shape {
    pub(super) fn line(line: &LineString) -> Self {
        Self::Lines(MultiLineString(vec![line.clone()]))
    }

    pub(super) fn area(area: &MultiPolygon) -> Self {
        Self::Area(area.clone())
    }

    /// On the globe; nothing of which nothing is left after rounding.
    fn on_globe(&self, writer: Writer<'_>) -> Result<Option<Geometry>, OutputError> {
        match self {
            Self::Point(at) => writer.point(*at).map(Some),
            Self::Lines(lines) => writer.lines(lines),
            Self::Area(area) => writer.area(area),
        }
    }
}

/// What becomes of a mark of which nothing is left to draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Empty {
    LeftOut,
    Listed,
}

/// One thing on the map.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mark {
    /// Tells what it is in files that hold several kinds.
    pub(super) kind: &'static str,
    pub(super) shape: Shape,
    /// What is known of it, and its looks.
    pub(super) properties: Map<String, Value>,
    empty: Empty,
}

impl Mark {
    pub(super) const fn new(kind: &'static str, shape: Shape, properties: Map<String, Value>) -> Self {
        Self { kind, shape, properties, empty: Empty::LeftOut }
    }

    /// One that stays in the list when there is nothing to draw.
    pub(super) const fn listed(kind: &'static str, shape: Shape, properties: Map<String, Value>) -> Self {
        Self { kind, shape, properties, empty: Empty::Listed }
    }

    /// A point with a marker.
    pub(super) fn point(kind: &'static str, at: Coord, colour: &'static str, value: Value) -> Self {
        let mut map = properties(value);
        style::marker(&mut map, colour);
        Self::new(kind, Shape::Point(at), map)
    }

    /// As viewers of `GeoJSON` want it; nothing where nothing is left to draw, and it needn't be listed.
    ///
    /// # Errors
    /// [`OutputError::Place`].
    pub(super) fn feature(&self, writer: Writer<'_>) -> Result<Option<Feature>, OutputError> {
        let geometry = self.shape.on_globe(writer)?;
        if geometry.is_none() && self.empty == Empty::LeftOut {
            return Ok(None);
        }
        let mut properties = self.properties.clone();
        properties.insert("kind".into(), json!(self.kind));
        let properties = Some(properties);
        Ok(Some(Feature { bbox: None, geometry, id: None, properties, foreign_members: None }))
    }
}

/// The fields of an object.
pub(super) fn properties(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
