//! The block's own coordinates, along the street and up the hill.

use geo::Coord;

/// Bearing of the street: turned from the grid's east, so that neither lots nor slope follow rows or columns.
const TURN_DEGREES: f64 = 17.0;

/// How strongly the street bends round the hill, per metre: its ends lie lower than its middle.
const BEND_PER_M: f64 = 0.0010;

/// Middle of the block along the street, where the bend is flat.
const MIDDLE_ALONG_M: f64 = 56.0;

/// Middle of the block up the hill.
const MIDDLE_UP_M: f64 = 38.0;

/// A place in the block: metres along the street (towards the east) and up the hill, straightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    /// Along the street, towards the east.
    pub(super) along: f64,
    /// Up the hill, square to the street.
    pub(super) up: f64,
}

/// Shorthand for a place.
pub(super) const fn place(along: f64, up: f64) -> Place {
    Place { along, up }
}

/// The block laid out on the ground around a centre.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    centre: Coord<f64>,
    sin: f64,
    cos: f64,
}

impl Frame {
    /// A frame whose block lies around `centre` (metres, east and north).
    pub(super) fn around(centre: Coord<f64>) -> Self {
        let (sin, cos) = TURN_DEGREES.to_radians().sin_cos();
        Self { centre, sin, cos }
    }

    /// Coordinates on the ground.
    pub(super) fn coord(self, at: Place) -> Coord<f64> {
        let along = at.along - MIDDLE_ALONG_M;
        let up = at.up - MIDDLE_UP_M - BEND_PER_M * along * along;
        Coord {
            x: self.centre.x + along * self.cos - up * self.sin,
            y: self.centre.y + along * self.sin + up * self.cos,
        }
    }

    /// The place at coordinates on the ground.
    pub(super) fn place(self, at: Coord<f64>) -> Place {
        let (east, north) = (at.x - self.centre.x, at.y - self.centre.y);
        let along = east * self.cos + north * self.sin;
        let up = north * self.cos - east * self.sin + BEND_PER_M * along * along;
        Place { along: along + MIDDLE_ALONG_M, up: up + MIDDLE_UP_M }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_place_comes_back_from_its_coordinates() {
        let frame = Frame::around(Coord { x: 80.0, y: 70.0 });
        for at in [place(0.0, 0.0), place(112.0, 66.0), place(56.0, 38.0), place(-20.0, 90.0)] {
            let back = frame.place(frame.coord(at));
            assert_relative_eq!(back.along, at.along, epsilon = 1e-10);
            assert_relative_eq!(back.up, at.up, epsilon = 1e-10);
        }
    }
}
