//! Open channel of trapezoidal, rectangular or V section, and its normal depth.

use super::manning::WettedSection;
use crate::units::{Area, Flow, Grade, Length, ManningN, OutOfRange};

/// A symmetric trapezoidal section; a V when the bottom has no width, a rectangle when the sides are upright.
///
/// # Invariants
/// Bottom width and side slope are finite, not negative, and not both 0, so that every flow has one normal depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapezoid {
    bottom_m: f64,
    side: f64,
}

impl Trapezoid {
    /// Checks the shape.
    ///
    /// # Units
    /// `side` is horizontal per vertical: 3 for a 3:1 bank.
    ///
    /// # Errors
    /// [`OutOfRange`] when one is negative or not finite, or both are 0.
    pub fn new(bottom: Length, side: f64) -> Result<Self, OutOfRange> {
        let bottom_m = bottom.as_m();
        if !(bottom_m.is_finite() && bottom_m >= 0.0) {
            return Err(OutOfRange { what: "bottom width in m", found: bottom_m, range: "0 and above" });
        }
        if !(side.is_finite() && side >= 0.0) || (side == 0.0 && bottom_m == 0.0) {
            let range = "0 and above, and above 0 for a V";
            return Err(OutOfRange { what: "side slope (horizontal per vertical)", found: side, range });
        }
        Ok(Self { bottom_m, side })
    }

    /// A V with the given side slope (horizontal per vertical).
    ///
    /// # Errors
    /// [`OutOfRange`] unless the side slope is above 0 and finite.
    pub fn v(side: f64) -> Result<Self, OutOfRange> {
        Self::new(Length::ZERO, side)
    }

    /// Horizontal per vertical of the banks.
    #[must_use]
    pub const fn side(self) -> f64 {
        self.side
    }

    /// The water at a depth.
    ///
    /// # Method
    /// Depth y, bottom b, side z: area = (b + z y) y, perimeter = b + 2 y (1 + z^2)^(1/2), surface = b + 2 z y.
    #[must_use]
    pub fn section(self, depth: Length) -> WettedSection {
        let (b_m, z, y_m) = (self.bottom_m, self.side, depth.as_m());
        WettedSection {
            area: Area::from_m2((b_m + z * y_m) * y_m),
            perimeter: Length::from_m(b_m + 2.0 * y_m * 1.0_f64.hypot(z)),
            top_width: Length::from_m(b_m + 2.0 * z * y_m),
        }
    }

    /// Depth at which the channel carries a flow when neither speeding up nor slowing down.
    ///
    /// # Method
    /// Manning's equation. Flow rises with depth for every section of this type, so that the one depth is found by
    /// halving, down to neighbouring floating-point numbers: no first guess, no failure to converge.
    ///
    /// # Source
    /// V. T. Chow, Open-Channel Hydraulics (1959), section 6-6 (from memory).
    ///
    /// # Errors
    /// [`OutOfRange`] when the flow is negative, not finite, or above 1e9 m3/s.
    ///
    /// # Example
    /// ```
    /// use lotshed::formula::channel::Trapezoid;
    /// use lotshed::units::{Flow, Grade, Length, ManningN};
    /// let (n, grade) = (ManningN::new(0.05).unwrap(), Grade::new(0.02).unwrap());
    /// let swale = Trapezoid::v(3.0).unwrap();
    /// let flow = swale.section(Length::from_m(0.2)).flow(n, grade);
    /// assert!((swale.normal_depth(flow, n, grade).unwrap().as_m() - 0.2).abs() < 1e-12);
    /// ```
    pub fn normal_depth(self, flow: Flow, n: ManningN, grade: Grade) -> Result<Length, OutOfRange> {
        let wanted_m3_s = flow.as_m3_per_s();
        if !(0.0..=1e9).contains(&wanted_m3_s) {
            return Err(OutOfRange { what: "flow in m3/s", found: wanted_m3_s, range: "0 to 1e9" });
        }
        if wanted_m3_s == 0.0 {
            return Ok(Length::ZERO);
        }
        let short = |y_m: f64| self.section(Length::from_m(y_m)).flow(n, grade).as_m3_per_s() < wanted_m3_s;
        let mut high_m = 1.0;
        while short(high_m) {
            high_m *= 2.0;
        }
        let mut low_m = high_m / 2.0;
        while !short(low_m) {
            (low_m, high_m) = (low_m / 2.0, low_m);
        }
        loop {
            let middle_m = f64::midpoint(low_m, high_m);
            if middle_m <= low_m || middle_m >= high_m {
                return Ok(Length::from_m(high_m));
            }
            if short(middle_m) { low_m = middle_m } else { high_m = middle_m }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn refuses_shapes_that_hold_no_water() {
        assert!(Trapezoid::v(0.0).is_err());
        assert!(Trapezoid::v(f64::INFINITY).is_err());
        assert!(Trapezoid::new(Length::from_m(-1.0), 2.0).is_err());
        assert!(Trapezoid::new(Length::from_m(1.0), 0.0).is_ok());
    }

    #[test]
    fn refuses_flows_that_are_none() {
        let (v, n, s) = (Trapezoid::v(3.0).unwrap(), ManningN::new(0.05).unwrap(), Grade::new(0.01).unwrap());
        assert!(v.normal_depth(Flow::from_m3_per_s(-0.1), n, s).is_err());
        assert!(v.normal_depth(Flow::from_m3_per_s(f64::NAN), n, s).is_err());
        assert_relative_eq!(v.normal_depth(Flow::ZERO, n, s).unwrap().as_m(), 0.0);
    }

    proptest! {
        // Closed form for a V: Q n / S^(1/2) = z (z / (2 (1 + z^2)^(1/2)))^(2/3) y^(8/3).
        #[test]
        fn normal_depth_of_a_v_equals_its_closed_form(
            q in 1e-6..50.0f64, z in 0.2..20.0f64, n in 0.01..0.2f64, s in 1e-4..0.5f64,
        ) {
            let k = z * (z / (2.0 * (1.0 + z * z).sqrt())).powf(2.0 / 3.0);
            let expected_m = (q * n / (k * s.sqrt())).powf(3.0 / 8.0);
            let (n, s) = (ManningN::new(n).unwrap(), Grade::new(s).unwrap());
            let found = Trapezoid::v(z).unwrap().normal_depth(Flow::from_m3_per_s(q), n, s).unwrap();
            prop_assert!((found.as_m() / expected_m - 1.0).abs() < 1e-12);
        }

        #[test]
        fn normal_depth_undoes_the_flow_of_any_trapezoid(
            b in 0.0..5.0f64, z in 0.0..6.0f64, y in 1e-4..5.0f64,
        ) {
            prop_assume!(b > 1e-3 || z > 1e-3);
            let (n, s) = (ManningN::new(0.03).unwrap(), Grade::new(0.01).unwrap());
            let channel = Trapezoid::new(Length::from_m(b), z).unwrap();
            let flow = channel.section(Length::from_m(y)).flow(n, s);
            let found = channel.normal_depth(flow, n, s).unwrap();
            prop_assert!((found.as_m() / y - 1.0).abs() < 1e-9);
        }

        #[test]
        fn more_flow_is_never_shallower(q in 1e-6..10.0f64, more in 1.0..4.0f64) {
            let (n, s) = (ManningN::new(0.05).unwrap(), Grade::new(0.01).unwrap());
            let v = Trapezoid::v(3.0).unwrap();
            let depth = |q| v.normal_depth(Flow::from_m3_per_s(q), n, s).unwrap();
            prop_assert!(depth(q * more) >= depth(q));
        }
    }
}
