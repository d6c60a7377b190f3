//! Ground water that seeps down a slope towards a drain across it.

use crate::units::{Flow, Grade, Length, Velocity};

/// Ground water that a length of drain across an even slope takes.
///
/// # Units
/// `conductivity` of the soil at a grade of one; `saturated` the depth of water over the tight layer above
/// the drain, `left` that which goes on below it; both measured upright.
///
/// # Method
/// Q = K S (H - h) L: the water table is as steep as the tight layer.
///
/// # Source
/// Dupuit and Forchheimer's flow on a slope, on which the interceptors of NRCS, National Engineering
/// Handbook, section 16, and of the US Bureau of Reclamation's Drainage Manual rest (handbook form, from
/// memory, to be confirmed).
///
/// # Valid range
/// A gentle, even slope, wet for so long that the flow is steady.
///
/// # Example
/// ```
/// use lotshed::formula::interceptor_seepage::interceptor_seepage;
/// use lotshed::units::{Grade, Length, Velocity};
/// // 2 m/day x 5 % x (1.0 - 0.4) m x 50 m = 3 m3/day.
/// let m = Length::from_m;
/// let fall = Grade::new(0.05).unwrap();
/// let flow = interceptor_seepage(Velocity::from_m_per_day(2.0), fall, [m(1.0), m(0.4)], m(50.0));
/// assert!((flow.as_m3_per_s() * 86_400.0 - 3.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn interceptor_seepage(
    conductivity: Velocity,
    fall: Grade,
    [saturated, left]: [Length; 2],
    length: Length,
) -> Flow {
    let taken_m = (saturated - left).as_m().max(0.0);
    Flow::from_m3_per_s(conductivity.as_m_per_s() * fall.get() * taken_m * length.as_m())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drain_above_the_water_takes_none() {
        let m = Length::from_m;
        let fall = Grade::new(0.05).unwrap();
        let k = Velocity::from_m_per_day(2.0);
        assert_eq!(interceptor_seepage(k, fall, [m(0.4), m(0.6)], m(50.0)), Flow::ZERO);
    }
}
