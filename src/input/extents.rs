//! Which outlines' extents meet a rectangle.

use geo::{BoundingRect, MultiPolygon, Rect};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// Extents of outlines, found by place.
#[derive(Debug, Clone)]
pub(super) struct Extents(RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>);

impl Extents {
    /// Of outlines in the order of their list; those without ground meet nothing.
    pub(super) fn of<'a>(outlines: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Self {
        Self::new(outlines.map(MultiPolygon::bounding_rect))
    }

    /// Of a list, where each has one.
    pub(super) fn new(extents: impl Iterator<Item = Option<Rect>>) -> Self {
        let entry = |(place, extent): (usize, Option<Rect>)| {
            let extent = extent?;
            Some(GeomWithData::new(Rectangle::from_corners(extent.min().into(), extent.max().into()), place))
        };
        Self(RTree::bulk_load(extents.enumerate().filter_map(entry).collect()))
    }

    /// Places, in rising order, of those that meet a rectangle.
    pub(super) fn meeting(&self, west: f64, south: f64, east: f64, north: f64) -> Vec<usize> {
        let envelope = AABB::from_corners([west, south], [east, north]);
        let mut found: Vec<usize> =
            self.0.locate_in_envelope_intersecting(&envelope).map(|entry| entry.data).collect();
        found.sort_unstable();
        found
    }
}
