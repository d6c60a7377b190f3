//! Ground that a way keeps out of, or that counts more than its length.

use geo::coordinate_position::{CoordPos, CoordinatePosition};
use geo::{BoundingRect, Coord, CoordsIter, LinesIter, MultiPolygon, Rect};

/// How a way is kept out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bar {
    /// No way leads through it.
    Solid,
    /// A way leads through it only where an end lies in it, or where there is no other.
    Clear,
    /// A metre in it counts as so many, 1 or more.
    Costly(f64),
}

/// A piece of ground with its bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    area: MultiPolygon,
    bar: Bar,
    rect: Rect,
}

impl Zone {
    /// A zone; nothing where the area is empty.
    #[must_use]
    pub fn new(area: MultiPolygon, bar: Bar) -> Option<Self> {
        let rect = area.bounding_rect()?;
        Some(Self { area, bar, rect })
    }

    /// How it keeps a way out.
    #[must_use]
    pub const fn bar(&self) -> Bar {
        self.bar
    }

    /// Its ground, in the units of the working system.
    #[must_use]
    pub const fn area(&self) -> &MultiPolygon {
        &self.area
    }

    /// Its corners.
    pub(super) fn corners(&self) -> impl Iterator<Item = Coord> + '_ {
        self.area.coords_iter()
    }

    /// Whether a place lies in it, its edge left out.
    pub(super) fn holds(&self, at: Coord) -> bool {
        inside(&self.area, self.rect, at)
    }

    /// Length of a straight way in it.
    #[must_use]
    pub fn length_within(&self, from: Coord, to: Coord) -> f64 {
        let [west, east] = if from.x < to.x { [from.x, to.x] } else { [to.x, from.x] };
        let [south, north] = if from.y < to.y { [from.y, to.y] } else { [to.y, from.y] };
        let (min, max) = (self.rect.min(), self.rect.max());
        if east < min.x || west > max.x || north < min.y || south > max.y {
            return 0.0;
        }
        length_within(&self.area, from, to)
    }
}

fn inside(area: &MultiPolygon, rect: Rect, at: Coord) -> bool {
    let (min, max) = (rect.min(), rect.max());
    let near = at.x >= min.x && at.x <= max.x && at.y >= min.y && at.y <= max.y;
    near && area.coordinate_position(&at) == CoordPos::Inside
}

/// Length of a straight way within an area, its edge left out.
#[must_use]
pub fn length_within(area: &MultiPolygon, from: Coord, to: Coord) -> f64 {
    pieces_within(area, from, to).iter().map(|[a, b]| b - a).sum::<f64>() * length(from, to)
}

/// Shares of a straight way between which it runs within an area.
pub(crate) fn pieces_within(area: &MultiPolygon, from: Coord, to: Coord) -> Vec<[f64; 2]> {
    let way = to - from;
    let mut cuts = vec![0.0, 1.0];
    for edge in area.lines_iter() {
        let (side, off) = (edge.end - edge.start, edge.start - from);
        let turn = way.x * side.y - way.y * side.x;
        // Edges along the way add no place where it comes in or out that their neighbours don't.
        if turn == 0.0 {
            continue;
        }
        let along = (off.x * side.y - off.y * side.x) / turn;
        let across = (off.x * way.y - off.y * way.x) / turn;
        // A way through a corner meets both edges there, in spite of rounding.
        if (-1e-9..=1.0 + 1e-9).contains(&across) && along > 0.0 && along < 1.0 {
            cuts.push(along);
        }
    }
    cuts.sort_by(f64::total_cmp);
    let mut found: Vec<[f64; 2]> = Vec::new();
    for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0]) {
        let middle = from + way * f64::midpoint(pair[0], pair[1]);
        if area.coordinate_position(&middle) != CoordPos::Inside {
            continue;
        }
        match found.last_mut() {
            Some(last) if last[1] >= pair[0] => last[1] = pair[1],
            _ => found.push([pair[0], pair[1]]),
        }
    }
    found
}

pub(super) fn length(from: Coord, to: Coord) -> f64 {
    (to.x - from.x).hypot(to.y - from.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    fn at(x: f64, y: f64) -> Coord {
        Coord { x, y }
    }

    // A square of 4 with a hole of 2 in its middle: a way through the middle is 2 in it, one beside the hole 4; along the edge 0.
    #[test]
    fn lengths_within_are_those_of_plane_geometry() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 4., y: 0.), (x: 4., y: 4.), (x: 0., y: 4.)],
            interiors: [[(x: 1., y: 1.), (x: 3., y: 1.), (x: 3., y: 3.), (x: 1., y: 3.)]],
        );
        let zone = Zone::new(ring.into(), Bar::Solid).unwrap();
        let within = |from, to| zone.length_within(from, to);
        assert!((within(at(-5.0, 2.0), at(9.0, 2.0)) - 2.0).abs() < 1e-12);
        assert!((within(at(-5.0, 0.5), at(9.0, 0.5)) - 4.0).abs() < 1e-12);
        assert!(within(at(-5.0, 0.0), at(9.0, 0.0)) < 1e-12 && within(at(-5.0, 5.0), at(9.0, 5.0)) < 1e-12);
        assert!((within(at(0.5, 0.5), at(0.5, 2.5)) - 2.0).abs() < 1e-12, "wholly within");
        // From corner to corner: 4 sqrt 2 less the hole's 2 sqrt 2.
        assert!((within(at(-1.0, -1.0), at(5.0, 5.0)) - 8.0_f64.sqrt()).abs() < 1e-9);
        assert!(zone.holds(at(0.5, 0.5)) && !zone.holds(at(2.0, 2.0)) && !zone.holds(at(0.0, 2.0)));
    }
}
