//! A street: crowned, with kerbs, verges and banks, along a grade of its own.

use super::frame::{Place, place};
use super::ground::hillside;
use super::shape::{blend, bump, ramp, step};

/// Half the width between the kerbs.
const HALF_CARRIAGEWAY: f64 = 3.4;
/// Fall from the crown to the gutters, rise over run.
const CROSS_FALL: f64 = 0.022;
/// Height of the kerb above the gutter.
const KERB: f64 = 0.13;
/// Outer edge of the verge, measured from the crown: the right of way ends here.
const VERGE: f64 = 5.0;
/// Where the bank meets the natural ground, measured from the crown.
const BANK: f64 = 8.0;

/// A street through the block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Street {
    /// Up-hill position of the crown.
    up: f64,
    /// Along-street position of a low point, and how far it is let down.
    sag: Option<(f64, f64)>,
    /// Along-street position of a high point, west of which the street falls the other way.
    summit: Option<f64>,
}

/// The lower street, with a low point below the subject's lot.
pub(super) const LOWER: Street = Street { up: -5.0, sag: Some((70.0, 0.55)), summit: None };
/// The upper street, with a high point: what falls east of it runs east.
pub(super) const UPPER: Street = Street { up: 71.0, sag: None, summit: Some(14.0) };

impl Street {
    /// Elevation of the crown.
    fn crown(self, along: f64) -> f64 {
        let natural = hillside(place(along, self.up));
        let sag = self.sag.map_or(0.0, |(at, depth)| depth * bump(along - at, 32.0));
        let summit = self.summit.map_or(0.0, |at| 0.016 * ramp(at - along, 6.0));
        natural - sag - summit
    }

    /// Up-hill position of the gutter on the low side.
    pub(super) fn gutter_on_the_low_side(self) -> f64 {
        self.up - HALF_CARRIAGEWAY
    }

    /// Elevation of the gutters.
    pub(super) fn gutter_level(self, along: f64) -> f64 {
        self.crown(along) - CROSS_FALL * HALF_CARRIAGEWAY
    }

    /// Lays the street into the ground.
    pub(super) fn lay(self, level: f64, at: Place) -> f64 {
        let off = (at.up - self.up).abs();
        if off >= BANK {
            return level;
        }
        let carriageway = self.crown(at.along) - CROSS_FALL * off.min(HALF_CARRIAGEWAY);
        let kerb = KERB * step(HALF_CARRIAGEWAY, HALF_CARRIAGEWAY + 0.3, off);
        let verge = 0.02 * (off - HALF_CARRIAGEWAY).max(0.0);
        blend(carriageway + kerb + verge, level, step(VERGE, BANK, off))
    }

    /// Places of the storm inlets: the low point of either gutter, found by stepping along the street.
    pub(super) fn inlets(self) -> [Place; 2] {
        let lowest = (0..1200)
            .map(|tenth| f64::from(tenth) / 10.0)
            .min_by(|a, b| self.gutter_level(*a).total_cmp(&self.gutter_level(*b)))
            .unwrap_or_default();
        [place(lowest, self.up + HALF_CARRIAGEWAY - 0.25), place(lowest, self.up - HALF_CARRIAGEWAY + 0.25)]
    }
}
