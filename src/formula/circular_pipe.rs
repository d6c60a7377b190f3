//! Circular pipe, full and partly full.

use super::manning::WettedSection;
use crate::units::{Area, Flow, Grade, Length, ManningN, OutOfRange, Share, Velocity};
use std::f64::consts::PI;

/// Water in a circular pipe.
///
/// # Method
/// With filling f = depth / diameter and the angle t = 2 acos(1 - 2 f) that the water's surface spans at the centre:
/// area = D^2 (t - sin t) / 8, wetted perimeter = D t / 2, surface = D sin(t / 2).
///
/// # Source
/// Plane geometry of the circular segment.
#[must_use]
pub fn section(diameter: Length, filling: Share) -> WettedSection {
    let d_m = diameter.as_m();
    let angle = 2.0 * (1.0 - 2.0 * filling.get()).acos();
    WettedSection {
        area: Area::from_m2(d_m * d_m * (angle - angle.sin()) / 8.0),
        perimeter: Length::from_m(d_m * angle / 2.0),
        top_width: Length::from_m(d_m * (angle / 2.0).sin().max(0.0)),
    }
}

fn full_section(diameter: Length) -> WettedSection {
    let d_m = diameter.as_m();
    WettedSection {
        area: Area::from_m2(PI * d_m * d_m / 4.0),
        perimeter: Length::from_m(PI * d_m),
        top_width: Length::ZERO,
    }
}

/// Flow of a pipe that is just full and not under pressure.
///
/// # Method
/// Manning's equation with A = pi D^2 / 4 and R = D / 4.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), example 2.3 (pipe of 1.05 m).
///
/// # Example
/// ```
/// use lotshed::formula::circular_pipe::full_flow;
/// use lotshed::units::{Grade, Length, ManningN};
/// // D = 4 m (R = 1 m), S = 0.01, n = 0.05: 2 m/s through 4 pi m2.
/// let q = full_flow(Length::from_m(4.0), ManningN::new(0.05).unwrap(), Grade::new(0.01).unwrap());
/// assert!((q.as_m3_per_s() - 8.0 * std::f64::consts::PI).abs() < 1e-12);
/// ```
#[must_use]
pub fn full_flow(diameter: Length, n: ManningN, grade: Grade) -> Flow {
    full_section(diameter).flow(n, grade)
}

/// Mean velocity of a pipe that is just full; see [`full_flow`].
#[must_use]
pub fn full_velocity(diameter: Length, n: ManningN, grade: Grade) -> Velocity {
    super::manning::velocity(n, full_section(diameter).hydraulic_radius(), grade)
}

/// Inside diameter of the pipe that carries a flow when just full.
///
/// # Method
/// [`full_flow`] solved for D = (4^(5/3) n Q / (pi S^(1/2)))^(3/8).
///
/// # Errors
/// [`OutOfRange`] when the flow is negative or not finite.
pub fn diameter_for(flow: Flow, n: ManningN, grade: Grade) -> Result<Length, OutOfRange> {
    let flow_m3_s = flow.as_m3_per_s();
    if !(flow_m3_s.is_finite() && flow_m3_s >= 0.0) {
        return Err(OutOfRange { what: "flow in m3/s", found: flow_m3_s, range: "0 and above" });
    }
    let term = 4.0_f64.powf(5.0 / 3.0) * n.get() * flow_m3_s / (PI * grade.get().sqrt());
    Ok(Length::from_m(term.powf(3.0 / 8.0)))
}

/// A filling at which a pipe carries most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Maximum {
    /// Depth by diameter.
    pub filling: f64,
    /// The value there by the value of the full pipe.
    pub ratio_to_full: f64,
}

/// Filling of greatest flow: a pipe almost full carries more than a full one, since its roof doesn't hold water back.
///
/// Sizes are chosen by [`full_flow`], not by this: the gain is lost as soon as the pipe closes.
///
/// # Method
/// Flow goes with (t - sin t)^(5/3) / t^(2/3); its derivative is zero where 5 t (1 - cos t) = 2 (t - sin t).
///
/// # Source
/// Calculus; V. T. Chow, Open-Channel Hydraulics (1959), section 6-4, prints 0.938 D and 1.08 (from memory).
#[must_use]
pub fn greatest_flow() -> Maximum {
    maximum(5.0 / 3.0)
}

/// Filling of greatest velocity.
///
/// # Method
/// Velocity goes with ((t - sin t) / t)^(2/3); its derivative is zero where t (1 - cos t) = t - sin t.
///
/// # Source
/// Calculus; V. T. Chow, Open-Channel Hydraulics (1959), section 6-4, prints 0.81 D and 1.14 (from memory).
#[must_use]
pub fn greatest_velocity() -> Maximum {
    maximum(2.0 / 3.0)
}

/// Greatest value of area^power / perimeter^(2/3).
fn maximum(power: f64) -> Maximum {
    // Sign of the derivative by the angle: positive below the maximum, negative between it and the full pipe.
    let rising = |t: f64| 3.0 * power * t * (1.0 - t.cos()) > 2.0 * (t - t.sin());
    let (mut low, mut high) = (PI, 2.0 * PI);
    loop {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if rising(middle) { low = middle } else { high = middle }
    }
    let by_angle = |t: f64| (t - t.sin()).powf(power) / t.powf(2.0 / 3.0);
    Maximum { filling: (1.0 - (low / 2.0).cos()) / 2.0, ratio_to_full: by_angle(low) / by_angle(2.0 * PI) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn half_full_is_half_the_flow_at_the_same_velocity() {
        let (d, n, s) = (Length::from_m(0.3), ManningN::new(0.013).unwrap(), Grade::new(0.01).unwrap());
        let half = section(d, Share::new(0.5).unwrap());
        assert_relative_eq!(half.flow(n, s) / full_flow(d, n, s), 0.5, max_relative = 1e-12);
        assert_relative_eq!(half.top_width.as_m(), 0.3, max_relative = 1e-12);
        let brim = section(d, Share::new(1.0).unwrap());
        assert_relative_eq!(brim.flow(n, s) / full_flow(d, n, s), 1.0, max_relative = 1e-12);
    }

    #[test]
    fn refuses_a_flow_that_is_none() {
        let (n, s) = (ManningN::new(0.013).unwrap(), Grade::new(0.01).unwrap());
        assert!(diameter_for(Flow::from_m3_per_s(-1.0), n, s).is_err());
        assert!(diameter_for(Flow::from_m3_per_s(f64::NAN), n, s).is_err());
        assert_relative_eq!(diameter_for(Flow::ZERO, n, s).unwrap().as_m(), 0.0);
    }

    proptest! {
        #[test]
        fn diameter_undoes_the_flow(d in 0.02..3.0f64, n in 0.008..0.03f64, s in 1e-4..0.5f64) {
            let (n, s) = (ManningN::new(n).unwrap(), Grade::new(s).unwrap());
            let back = diameter_for(full_flow(Length::from_m(d), n, s), n, s).unwrap();
            prop_assert!((back.as_m() / d - 1.0).abs() < 1e-12);
        }

        #[test]
        fn nothing_flows_more_than_the_greatest_flow(f in 0.001..1.0f64) {
            let (d, n, s) = (Length::from_m(1.0), ManningN::new(0.01).unwrap(), Grade::new(0.01).unwrap());
            let ratio = section(d, Share::new(f).unwrap()).flow(n, s) / full_flow(d, n, s);
            prop_assert!(ratio <= greatest_flow().ratio_to_full + 1e-12);
        }

        #[test]
        fn a_wider_steeper_or_smoother_pipe_never_carries_less(
            d in 0.05..2.0f64, n in 0.008..0.03f64, s in 1e-4..0.3f64, more in 1.0..3.0f64,
        ) {
            let flow = |d: f64, n: f64, s: f64| full_flow(
                Length::from_m(d), ManningN::new(n).unwrap(), Grade::new(s).unwrap()).as_m3_per_s();
            let base = flow(d, n, s);
            prop_assert!(flow(d * more, n, s) >= base);
            prop_assert!(flow(d, n, s * more) >= base);
            prop_assert!(flow(d, n * more, s) <= base);
        }
    }
}
