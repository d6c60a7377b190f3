//! How a drain draws down the ground water beside it.

use crate::units::{Flow, Length, Velocity};

/// Length of the drawdown by its height.
const REACH: f64 = 3.8;

/// How far from a drain ground water is drawn down.
///
/// # Units
/// `drawdown` from the water table before to the water in the drain.
///
/// # Method
/// L = 3.8 (H - h).
///
/// # Source
/// L. K. Moulton, Highway Subdrainage Design, FHWA-TS-80-224 (1980) (handbook form, from memory, to be
/// confirmed).
///
/// # Valid range
/// Level ground or a gentle slope, steady flow. The ground is drawn down ever less towards that distance.
///
/// # Example
/// ```
/// use lotshed::formula::side_drawdown::drawdown_reach;
/// use lotshed::units::Length;
/// assert!((drawdown_reach(Length::from_ft(20.0)).as_ft() - 76.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn drawdown_reach(drawdown: Length) -> Length {
    drawdown * REACH
}

/// Ground water that comes into a length of drain from the side on which it draws the water down.
///
/// # Units
/// `conductivity` of the soil at a grade of one; `drawdown` as of [`drawdown_reach`].
///
/// # Method
/// Q = K (H - h)² / (2 L) by length of drain.
///
/// # Source
/// As of [`drawdown_reach`].
///
/// # Valid range
/// As of [`drawdown_reach`].
#[must_use]
pub fn side_inflow(conductivity: Velocity, drawdown: Length, length: Length) -> Flow {
    let (drawdown_m, reach_m) = (drawdown.as_m(), drawdown_reach(drawdown).as_m());
    if drawdown_m <= 0.0 {
        return Flow::ZERO;
    }
    Flow::from_m3_per_s(conductivity.as_m_per_s() * drawdown_m * drawdown_m / (2.0 * reach_m) * length.as_m())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_drawdown_nothing_comes() {
        let k = Velocity::from_m_per_day(1.0);
        for drawdown_m in [0.0, -0.5] {
            assert_eq!(side_inflow(k, Length::from_m(drawdown_m), Length::from_m(10.0)), Flow::ZERO);
        }
    }
}
