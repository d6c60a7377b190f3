//! The measures of the block: lot corners, houses, streets, and what people built in their yards.
//!
//! All lengths in metres; places are along the street and up the hill.

use super::frame::{Place, place};

/// Up-hill position of the front line of the lower lots, along the lower street's right of way.
pub(super) const LOWER_FRONT: f64 = 0.0;
/// Up-hill position of the rear line that both rows share.
pub(super) const REAR: f64 = 32.0;
/// Up-hill position of the front line of the upper lots, along the upper street's right of way.
pub(super) const UPPER_FRONT: f64 = 66.0;

/// Side lines of the lower lots along the street, from west to east.
pub(super) const LOWER_SIDES: [f64; 7] = [0.0, 18.0, 36.0, 52.0, 74.0, 93.0, 112.0];
/// Side lines of the upper lots along the street. They don't meet those of the lower lots.
pub(super) const UPPER_SIDES: [f64; 7] = [0.0, 19.0, 37.0, 56.0, 70.0, 91.0, 112.0];

/// Street name of the lower row.
pub(super) const LOWER_STREET: &str = "Alder";
/// Street name of the upper row.
pub(super) const UPPER_STREET: &str = "Linden";
/// The lot with the wet back yard.
pub(super) const SUBJECT: &str = "Alder 4";

/// A flat piece of made ground, a rectangle along the street's axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pad {
    /// Middle.
    pub(super) middle: Place,
    /// Half the length along the street.
    pub(super) half_along: f64,
    /// Half the depth up the hill.
    pub(super) half_up: f64,
    /// Height above the natural ground in the middle.
    pub(super) raised: f64,
    /// Width of the bank around it.
    pub(super) bank: f64,
}

const fn house(along: f64, up: f64, half_along: f64, half_up: f64) -> Pad {
    Pad { middle: place(along, up), half_along, half_up, raised: 0.42, bank: 2.0 }
}

/// One house per lot: the lower row from west to east, then the upper row.
pub(super) const HOUSES: [Pad; 12] = [
    house(9.2, 11.0, 5.0, 4.2),
    house(26.8, 10.2, 5.2, 4.0),
    house(44.0, 11.6, 4.3, 4.6),
    house(62.6, 10.4, 5.6, 4.2),
    house(83.4, 11.2, 5.0, 4.6),
    house(102.8, 10.6, 5.2, 4.0),
    house(9.8, 55.0, 5.2, 4.2),
    house(28.2, 54.2, 4.8, 4.6),
    house(48.5, 55.2, 4.8, 4.0),
    house(61.6, 54.6, 4.0, 4.4),
    house(80.8, 55.2, 5.6, 4.2),
    house(101.4, 54.4, 5.2, 4.4),
];

/// A paved terrace behind the house to the east of the subject: laid over the swale, it blocks it.
pub(super) const TERRACE: Pad =
    Pad { middle: place(78.6, 28.6), half_along: 3.8, half_up: 3.2, raised: 0.34, bank: 0.8 };

/// Along-street positions between which the swale silts up.
pub(super) const SILTED: (f64, f64) = (52.0, 62.0);

/// A garden wall, from one end to the other: it keeps one lawn's water from crossing to the next.
pub(super) const WALL: [Place; 3] = [place(91.3, 35.2), place(90.7, 41.0), place(90.9, 47.5)];
/// Height of the wall.
pub(super) const WALL_HEIGHT: f64 = 0.4;

/// Middle of the low spot in the subject's back yard.
pub(super) const LOW_SPOT: Place = place(63.6, 22.8);

/// West and east side of the sunken driveway, whose kerb is dropped: street water runs down it.
pub(super) const DRIVEWAY: (f64, f64) = (38.6, 41.6);
