//! Ground water that a drain across a slope meets, by what lines in such soil have met.

use crate::units::{Flow, Grade, Length};

/// What is added to the inflow for the ground's fall, as a share of it.
///
/// # Method
/// 10 % where the ground falls 2 to 5 %, 20 % from 5 to 12 %, 30 % over 12 %.
///
/// # Source
/// NRCS, National Engineering Handbook, section 16 and part 650, chapter 14 (handbook form, from memory, to
/// be confirmed). A fall of exactly 5 or 12 % belongs to the flatter class: ours.
#[must_use]
pub fn added_for_fall(fall: Grade) -> f64 {
    match fall.get() {
        fall if fall > 0.12 => 0.3,
        fall if fall > 0.05 => 0.2,
        fall if fall >= 0.02 => 0.1,
        _ => 0.0,
    }
}

/// Ground water that comes into a line of drain across a slope.
///
/// # Units
/// `per_1000_ft` is the inflow into 1000 ft of line in such soil, on ground that falls less than 2 %.
///
/// # Method
/// The inflow by length, with [`added_for_fall`]. Springs and surface water are counted apart.
///
/// # Source
/// NRCS, National Engineering Handbook, section 16 and part 650, chapter 14 (handbook form, from memory, to
/// be confirmed).
///
/// # Valid range
/// A design allowance of farm drainage, as wide as it is; a line of some hundred feet at the least, in ground
/// that is wet.
///
/// # Example
/// ```
/// use lotshed::formula::interceptor_inflow::interceptor_inflow;
/// use lotshed::units::{Flow, Grade, Length};
/// // 0.10 ft3/s in 1000 ft, 200 ft of line, 3 % of fall: 0.10 x 0.2 x 1.1.
/// let per_1000_ft = Flow::from_ft3_per_s(0.10);
/// let flow = interceptor_inflow(per_1000_ft, Length::from_ft(200.0), Grade::new(0.03).unwrap());
/// assert!((flow.as_ft3_per_s() - 0.022).abs() < 1e-12);
/// ```
#[must_use]
pub fn interceptor_inflow(per_1000_ft: Flow, length: Length, fall: Grade) -> Flow {
    per_1000_ft * (length / Length::from_ft(1000.0)) * (1.0 + added_for_fall(fall))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn steeper_ground_never_brings_less() {
        let flow = |fall: f64| {
            interceptor_inflow(Flow::from_l_per_s(1.0), Length::from_ft(1000.0), Grade::new(fall).unwrap())
                .as_l_per_s()
        };
        for (fall, expected) in [
            (0.001, 1.0),
            (0.0199, 1.0),
            (0.02, 1.1),
            (0.05, 1.1),
            (0.051, 1.2),
            (0.12, 1.2),
            (0.121, 1.3),
            (0.9, 1.3),
        ] {
            assert_relative_eq!(flow(fall), expected, max_relative = 1e-12);
        }
    }
}
