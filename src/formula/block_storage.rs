//! Room that water needs which comes faster than it leaves.

use crate::units::{Area, Flow, Length, Time, Volume};

/// Volume that is still there when a rain ends.
///
/// # Units
/// `shedding` is the sum of coefficient times area, `depth` the rain of such a duration, `leaves` a steady
/// flow out.
///
/// # Method
/// A block of rain: V = C A P - q t, never below 0. The room needed is the largest over all durations of the
/// storm.
///
/// # Source
/// Balance of volumes; trying durations so is the usual way to size storage by the rational method (HDS-2 and
/// airport manuals, from memory).
///
/// # Valid range
/// Inflow starts and ends with the rain. In truth it comes later, and what leaves meanwhile is left out: on
/// the safe side.
///
/// # Example
/// ```
/// use lotshed::formula::block_storage::block_storage;
/// use lotshed::units::{Area, Flow, Length, Time};
/// // 400 m2 x 30 mm - 1 L/s x 1 h = 12 - 3.6 m3.
/// let (rain, lasts) = (Length::from_mm(30.0), Time::from_h(1.0));
/// let volume = block_storage(Area::from_m2(400.0), rain, lasts, Flow::from_l_per_s(1.0));
/// assert!((volume.as_m3() - 8.4).abs() < 1e-9);
/// ```
#[must_use]
pub fn block_storage(shedding: Area, depth: Length, lasts: Time, leaves: Flow) -> Volume {
    let left = depth * shedding - leaves * lasts;
    if left > Volume::ZERO { left } else { Volume::ZERO }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_leaves_faster_needs_no_room() {
        let none = block_storage(
            Area::from_m2(400.0),
            Length::from_mm(30.0),
            Time::from_h(1.0),
            Flow::from_l_per_s(4.0),
        );
        assert_eq!(none, Volume::ZERO);
    }
}
