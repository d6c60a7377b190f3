//! From the working grid to the drawing.

use crate::pipeline::{Assessment, Explanation};
use geo::{BoundingRect, Coord, CoordsIter, LineString, MultiPolygon, Rect};
use std::fmt::Write;

/// Width of the drawing in its own units; letters of 13 units read on paper and on a phone alike.
const WIDTH: f64 = 640.0;
/// Free ground around what is shown, in parts of its longer side.
const MARGIN: f64 = 0.06;
/// And at least so much, m.
const LEAST_MARGIN_M: f64 = 6.0;
/// Least and greatest height in parts of the width.
const HEIGHTS: [f64; 2] = [0.62, 1.25];

/// What part of the ground is drawn, and how large.
///
/// # Units
/// Places are in the working coordinate system, drawn ones in units of the drawing, y down.
#[derive(Debug, Clone, Copy)]
pub(in crate::output) struct View {
    /// Ground that is drawn.
    pub(in crate::output) ground: Rect,
    /// Units of the drawing a map unit.
    scale: f64,
    /// Length of a map unit on the ground, m.
    metres_per_unit: f64,
}

impl View {
    /// Around the lot, the ground that drains onto it, the line and its outlets.
    pub(in crate::output::page) fn of(assessment: &Assessment<'_>, catchment: &MultiPolygon) -> Self {
        let metres_per_unit = assessment.site.crs.metres_per_unit();
        let lot = assessment.line.lot().coords_iter();
        let leads = assessment.outlets.iter().filter_map(|part| part.proposed());
        let line = leads.flat_map(|found| found.way.path.coords().copied());
        let parts = assessment.interception.parts.iter().flat_map(|part| part.path.coords().copied());
        let asked = assessment.explanations.iter().flat_map(|found| {
            let parcel = &assessment.site.parcels.parcels()[found.parcel];
            parcel.outline.coords_iter().chain(deciding(assessment, found))
        });
        let shown: LineString =
            lot.chain(catchment.coords_iter()).chain(line).chain(parts).chain(asked).collect();
        let rect = shown.bounding_rect().unwrap_or_else(|| Rect::new((0.0, 0.0), (1.0, 1.0)));
        Self::around(rect, metres_per_unit)
    }

    /// Around a piece of ground.
    pub(in crate::output) fn around(rect: Rect, metres_per_unit: f64) -> Self {
        let longer = rect.width().max(rect.height());
        let margin = (MARGIN * longer).max(LEAST_MARGIN_M / metres_per_unit);
        let ground = shaped(grown(rect, margin, margin));
        Self { ground, scale: WIDTH / ground.width(), metres_per_unit }
    }

    /// Width of the drawing.
    pub(in crate::output) const fn width() -> f64 {
        WIDTH
    }

    /// Height of the drawing.
    pub(in crate::output) fn height(&self) -> f64 {
        self.ground.height() * self.scale
    }

    /// Length on the ground, drawn.
    pub(in crate::output) fn length(&self, m: f64) -> f64 {
        m / self.metres_per_unit * self.scale
    }

    /// A place, drawn.
    pub(in crate::output) fn at(&self, place: Coord) -> Coord {
        Coord {
            x: (place.x - self.ground.min().x) * self.scale,
            y: (self.ground.max().y - place.y) * self.scale,
        }
    }

    /// Whether a place is drawn at all.
    pub(in crate::output) fn shows(&self, place: Coord) -> bool {
        let (min, max) = (self.ground.min(), self.ground.max());
        (min.x..=max.x).contains(&place.x) && (min.y..=max.y).contains(&place.y)
    }

    /// Path data of a line.
    pub(in crate::output) fn line(&self, line: &LineString) -> String {
        let mut data = String::new();
        self.add(&mut data, line);
        data
    }

    /// Path data of an area: every ring closed.
    pub(in crate::output) fn area(&self, area: &MultiPolygon) -> String {
        let mut data = String::new();
        for polygon in area {
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                self.add(&mut data, ring);
                data.push('Z');
            }
        }
        data
    }

    fn add(&self, data: &mut String, line: &LineString) {
        for (place, &point) in line.coords().enumerate() {
            let Coord { x, y } = self.at(point);
            let letter = if place == 0 { 'M' } else { 'L' };
            // Writing to a string can't fail.
            let _ = write!(data, "{letter}{x:.1} {y:.1}");
        }
    }
}

/// Places that decide why a parcel's water comes, or doesn't.
fn deciding<'a>(assessment: &'a Assessment<'_>, found: &'a Explanation) -> impl Iterator<Item = Coord> + 'a {
    let comes = found.comes.as_ref().and_then(|it| it.decision.as_ref());
    let goes = found.goes.as_ref().and_then(|it| it.decision.as_ref());
    let ground = &assessment.routed.ground;
    comes.into_iter().chain(goes).map(|decision| {
        let (x, y) = ground.georef.centre(ground.raw.shape().cell(decision.turning.sill));
        Coord { x, y }
    })
}

fn grown(rect: Rect, x: f64, y: f64) -> Rect {
    let (min, max) = (rect.min(), rect.max());
    Rect::new((min.x - x, min.y - y), (max.x + x, max.y + y))
}

/// Neither too flat nor too tall for a page.
fn shaped(rect: Rect) -> Rect {
    let [least, most] = HEIGHTS.map(|part| part * rect.width());
    let taller = (least - rect.height()).max(0.0) / 2.0;
    let wider = (rect.height() / HEIGHTS[1] - rect.width()).max(0.0) / 2.0;
    if rect.height() > most { grown(rect, wider, 0.0) } else { grown(rect, 0.0, taller) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn north_is_up_and_the_west_side_is_left() {
        let ground = Rect::new((100.0, 200.0), (164.0, 264.0));
        let view = View { ground, scale: 10.0, metres_per_unit: 1.0 };
        assert_eq!(view.at(Coord { x: 100.0, y: 264.0 }), Coord { x: 0.0, y: 0.0 });
        assert_eq!(view.at(Coord { x: 164.0, y: 200.0 }), Coord { x: 640.0, y: 640.0 });
        assert_eq!(view.line(&LineString::from(vec![(100.0, 264.0), (101.0, 263.5)])), "M0.0 0.0L10.0 5.0");
    }

    // A ground scale of 0.3048 m a unit: 3.048 m are 10 units of the map, 20 of the drawing.
    #[test]
    fn lengths_are_those_on_the_ground() {
        let view =
            View { ground: Rect::new((0.0, 0.0), (320.0, 320.0)), scale: 2.0, metres_per_unit: 0.3048 };
        assert!((view.length(3.048) - 20.0).abs() < 1e-9);
    }

    #[test]
    fn a_strip_gets_ground_beside_it() {
        let wide = shaped(Rect::new((0.0, 0.0), (100.0, 10.0)));
        assert!((wide.height() / wide.width() - HEIGHTS[0]).abs() < 1e-9);
        let tall = shaped(Rect::new((0.0, 0.0), (10.0, 100.0)));
        assert!((tall.height() / tall.width() - HEIGHTS[1]).abs() < 1e-9);
        assert!((tall.height() - 100.0).abs() < 1e-9);
    }
}
