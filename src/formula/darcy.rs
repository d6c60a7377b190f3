//! Water that seeps through stone.

use crate::units::{Area, Flow, Grade, OutOfRange, Velocity};

/// What a stone conducts, as a range: published figures for one size of stone differ by a factor of ten and more.
///
/// # Invariants
/// 0 < least <= most, both finite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductivity {
    least: Velocity,
    most: Velocity,
}

impl Conductivity {
    /// Checks the range.
    ///
    /// # Units
    /// Velocity of seepage (flow by whole area) at a grade of one.
    ///
    /// # Errors
    /// [`OutOfRange`] unless 0 < least <= most, and most is finite.
    pub fn new(least: Velocity, most: Velocity) -> Result<Self, OutOfRange> {
        let (least_m_s, most_m_s) = (least.as_m_per_s(), most.as_m_per_s());
        if !(least_m_s.is_finite() && least_m_s > 0.0) {
            let found = least.as_m_per_day();
            return Err(OutOfRange { what: "least conductivity in m/day", found, range: "above 0" });
        }
        if !(most_m_s.is_finite() && most_m_s >= least_m_s) {
            let found = most.as_m_per_day();
            let range = "the least conductivity and above";
            return Err(OutOfRange { what: "greatest conductivity in m/day", found, range });
        }
        Ok(Self { least, most })
    }

    /// The lower end.
    #[must_use]
    pub const fn least(self) -> Velocity {
        self.least
    }

    /// The upper end.
    #[must_use]
    pub const fn most(self) -> Velocity {
        self.most
    }
}

/// A flow between two bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowRange {
    /// The lower bound.
    pub least: Flow,
    /// The upper bound.
    pub most: Flow,
}

/// Flow along a trench through its stone, full of water, beside what its pipe carries.
///
/// # Method
/// Darcy's law: Q = K i A, with the water's surface as steep as the trench, for both ends of the range of K.
///
/// # Source
/// Darcy (1856), in any text of hydrogeology.
///
/// # Valid range
/// Slow seepage. In coarse stone at a drain's grade water already flows too fast for the law, and less comes through than
/// it says: both figures are upper figures.
///
/// # Example
/// ```
/// use lotshed::formula::darcy::{Conductivity, stone_flow};
/// use lotshed::units::{Area, Grade, Velocity};
/// let k = Conductivity::new(Velocity::from_m_per_s(0.1), Velocity::from_m_per_s(1.0)).unwrap();
/// // 0.1 and 1 m/s x 1 % x 0.25 m2.
/// let flow = stone_flow(k, Grade::new(0.01).unwrap(), Area::from_m2(0.25));
/// assert!((flow.least.as_l_per_s() - 0.25).abs() < 1e-12);
/// assert!((flow.most.as_l_per_s() - 2.5).abs() < 1e-12);
/// ```
#[must_use]
pub fn stone_flow(conductivity: Conductivity, grade: Grade, area: Area) -> FlowRange {
    let flow = |k: Velocity| Flow::from_m3_per_s(k.as_m_per_s() * grade.get() * area.as_m2());
    FlowRange { least: flow(conductivity.least), most: flow(conductivity.most) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_that_is_none_is_refused() {
        let of = |least, most| Conductivity::new(Velocity::from_m_per_s(least), Velocity::from_m_per_s(most));
        assert!(of(0.1, 0.1).is_ok());
        for (least, most) in [(0.0, 1.0), (-1.0, 1.0), (0.2, 0.1), (f64::NAN, 1.0), (0.1, f64::INFINITY)] {
            assert!(of(least, most).is_err(), "{least} to {most}");
        }
    }
}
