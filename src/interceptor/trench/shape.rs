//! The dug section.

use crate::units::{Area, Length};

/// A trapezoid that stands on its bottom: upright or battered walls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shape {
    pub(super) bottom: Length,
    pub(super) batter: f64,
}

impl Shape {
    /// Width at a height above the bottom.
    pub(super) fn width(self, height: Length) -> Length {
        Length::from_m(self.bottom.as_m() + 2.0 * self.batter * height.as_m())
    }

    /// Area up to a height above the bottom: (w + z h) h.
    pub(super) fn area(self, height: Length) -> Area {
        let (bottom_m, height_m) = (self.bottom.as_m(), height.as_m());
        Area::from_m2((bottom_m + self.batter * height_m) * height_m)
    }

    /// Area of a layer.
    pub(super) fn layer(self, from: Length, to: Length) -> Area {
        self.area(to) - self.area(from)
    }

    /// Bottom and both walls up to a height: w + 2 h (1 + z^2)^(1/2).
    pub(super) fn lining(self, height: Length) -> Length {
        Length::from_m(self.bottom.as_m() + 2.0 * height.as_m() * 1.0_f64.hypot(self.batter))
    }
}
