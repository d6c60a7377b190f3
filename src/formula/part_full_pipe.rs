//! How fast water runs in a pipe that is not full.

use super::circular_pipe::{greatest_velocity, section};
use super::manning::velocity;
use crate::units::{Flow, Grade, Length, ManningN, Share, Velocity};

/// Greatest mean velocity in a pipe at any flow up to the one given.
///
/// # Method
/// Manning's equation in the circular segment. Flow and velocity rise with the filling up to the filling of greatest
/// velocity, 0.81 of the diameter; the filling of a flow is found by halving, down to neighbouring floating-point
/// numbers. Beyond that filling the greatest velocity counts, since smaller flows of the same storm run through it: so
/// more flow never gives less.
///
/// # Source
/// Plane geometry of the circular segment; V. T. Chow, Open-Channel Hydraulics (1959), sections 2-1 and 6-4 (from memory).
///
/// # Example
/// ```
/// use lotshed::formula::circular_pipe::{full_flow, full_velocity};
/// use lotshed::formula::part_full_pipe::greatest_velocity_up_to;
/// use lotshed::units::{Grade, Length, ManningN};
/// let (d, n, s) = (Length::from_m(0.2), ManningN::new(0.011).unwrap(), Grade::new(0.02).unwrap());
/// // Half full, a pipe runs half as much as full, and as fast.
/// let half = greatest_velocity_up_to(full_flow(d, n, s) * 0.5, d, n, s);
/// assert!((half / full_velocity(d, n, s) - 1.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn greatest_velocity_up_to(flow: Flow, diameter: Length, n: ManningN, grade: Grade) -> Velocity {
    let water = |filling: f64| Share::new(filling).ok().map(|filling| section(diameter, filling));
    let runs = |filling: f64| {
        water(filling).map_or(Velocity::ZERO, |water| velocity(n, water.hydraulic_radius(), grade))
    };
    let carries = |filling: f64| water(filling).is_some_and(|water| water.flow(n, grade) >= flow);
    if flow.as_m3_per_s() <= 0.0 {
        return Velocity::ZERO;
    }
    let fastest = greatest_velocity().filling;
    if !carries(fastest) {
        return runs(fastest);
    }
    let (mut low, mut high) = (0.0, fastest);
    loop {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            return runs(high);
        }
        if carries(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::circular_pipe::{full_flow, full_velocity};
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn pipe() -> (Length, ManningN, Grade) {
        (Length::from_m(0.2), ManningN::new(0.011).unwrap(), Grade::new(0.02).unwrap())
    }

    // Table of the circular segment, `../shared/checks/hydrology.md` 5.4 (its A/D^2 and R/D agree with Chow 1959, table
    // 2-2, second hand): Q/Qf and V/Vf at y/D 0.1 to 0.8, printed to four digits.
    #[test]
    fn velocities_are_those_of_the_table() {
        let (d, n, s) = pipe();
        for (flow, velocity) in [
            (0.0209, 0.4012),
            (0.0876, 0.6151),
            (0.1958, 0.7761),
            (0.3370, 0.9022),
            (0.5, 1.0),
            (0.6718, 1.0724),
            (0.8372, 1.1198),
            (0.9775, 1.1397),
        ] {
            let found = greatest_velocity_up_to(full_flow(d, n, s) * flow, d, n, s);
            assert_relative_eq!(found / full_velocity(d, n, s), velocity, epsilon = 1e-3);
        }
        // Beyond 0.81 D the greatest, 1.14 (Chow, from memory).
        let full = greatest_velocity_up_to(full_flow(d, n, s), d, n, s);
        assert_relative_eq!(full / full_velocity(d, n, s), 1.14, epsilon = 1e-3);
        assert_relative_eq!(greatest_velocity_up_to(Flow::ZERO, d, n, s).as_m_per_s(), 0.0);
    }

    proptest! {
        #[test]
        fn more_flow_never_runs_slower(l_per_s in 0.01..200.0f64, more in 1.0..3.0f64) {
            let (d, n, s) = pipe();
            let runs = |l_per_s| greatest_velocity_up_to(Flow::from_l_per_s(l_per_s), d, n, s);
            prop_assert!(runs(l_per_s * more).as_m_per_s() >= runs(l_per_s).as_m_per_s() * (1.0 - 1e-12));
        }
    }
}
