//! Manning's equation: mean velocity of steady, uniform flow.

use crate::units::{Area, Flow, Grade, Length, ManningN, OutOfRange, Velocity};

/// A cross-section of flowing water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WettedSection {
    /// Area of the water.
    pub area: Area,
    /// Length of bed and banks (or wall) that the water touches.
    pub perimeter: Length,
    /// Width of the water's surface.
    pub top_width: Length,
}

impl WettedSection {
    /// Area by wetted perimeter; 0 when dry.
    #[must_use]
    pub fn hydraulic_radius(self) -> Length {
        let perimeter_m = self.perimeter.as_m();
        if perimeter_m > 0.0 { Length::from_m(self.area.as_m2() / perimeter_m) } else { Length::ZERO }
    }

    /// Flow by Manning's equation, the section running at its normal depth.
    #[must_use]
    pub fn flow(self, n: ManningN, grade: Grade) -> Flow {
        Flow::from_m3_per_s(self.area.as_m2() * velocity(n, self.hydraulic_radius(), grade).as_m_per_s())
    }
}

/// Mean velocity.
///
/// # Units
/// SI, where the equation's constant is 1 m^(1/3)/s. In feet the constant is 3.280 84^(1/3) = 1.4859, printed as
/// 1.486 or 1.49; answers printed with 1.49 lie 0.3 % above ours.
///
/// # Method
/// V = R^(2/3) S^(1/2) / n, with hydraulic radius R, grade S, roughness n.
///
/// # Source
/// FHWA, Highway Hydrology, Hydraulic Design Series 2, 2nd edition (2002), example 2.3; V. T. Chow, Open-Channel
/// Hydraulics (1959), chapter 5 (from memory).
///
/// # Valid range
/// Fully rough turbulent flow, as in drains and swales; not for flow a few millimetres deep.
///
/// # Example
/// ```
/// use lotshed::formula::manning::velocity;
/// use lotshed::units::{Grade, Length, ManningN};
/// // R = 1 m, S = 0.01, n = 0.05: 1 x 0.1 / 0.05 = 2 m/s.
/// let v = velocity(ManningN::new(0.05).unwrap(), Length::from_m(1.0), Grade::new(0.01).unwrap());
/// assert!((v.as_m_per_s() - 2.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn velocity(n: ManningN, hydraulic_radius: Length, grade: Grade) -> Velocity {
    let radius_m = hydraulic_radius.as_m();
    Velocity::from_m_per_s(radius_m.powf(2.0 / 3.0) * grade.get().sqrt() / n.get())
}

/// Grade at which a section of the given hydraulic radius flows at the given velocity.
///
/// # Method
/// The equation of [`velocity`] solved for S = (V n / R^(2/3))^2.
///
/// # Errors
/// [`OutOfRange`] when no grade above 0 and up to 1 gives this velocity (a dry section, no velocity).
pub fn grade_for_velocity(
    velocity: Velocity,
    hydraulic_radius: Length,
    n: ManningN,
) -> Result<Grade, OutOfRange> {
    let root = velocity.as_m_per_s() * n.get() / hydraulic_radius.as_m().powf(2.0 / 3.0);
    Grade::new(root * root)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_dry_section_carries_nothing() {
        let dry = WettedSection { area: Area::ZERO, perimeter: Length::ZERO, top_width: Length::ZERO };
        let (n, s) = (ManningN::new(0.013).unwrap(), Grade::new(0.01).unwrap());
        assert_relative_eq!(dry.flow(n, s).as_m3_per_s(), 0.0);
        assert!(grade_for_velocity(Velocity::from_m_per_s(1.0), Length::ZERO, n).is_err());
    }

    #[test]
    fn grade_and_velocity_undo_each_other() {
        let (n, r) = (ManningN::new(0.02).unwrap(), Length::from_m(0.04));
        let grade = Grade::new(0.007).unwrap();
        let back = grade_for_velocity(velocity(n, r, grade), r, n).unwrap();
        assert_relative_eq!(back.get(), 0.007, max_relative = 1e-12);
    }
}
