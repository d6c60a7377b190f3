//! What a yard inlet's grate takes in when water stands over it.

use super::orifice::orifice_flow;
use crate::units::{Area, Flow, Length, Share};

/// Weir coefficient in m^(1/2)/s; in feet 3.0, which is 0.2 % less.
const WEIR_M05_S: f64 = 1.66;
/// Coefficient of a grate's openings under water.
const ORIFICE: f64 = 0.67;

/// Flow that a grate takes in, by what holds it back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrateInflow {
    /// Over its edge.
    pub weir: Flow,
    /// Through its openings.
    pub orifice: Flow,
}

impl GrateInflow {
    /// The lesser of the two, which counts.
    #[must_use]
    pub fn flow(self) -> Flow {
        if self.weir < self.orifice { self.weir } else { self.orifice }
    }
}

/// Flow that a grate in a low place takes in.
///
/// # Units
/// `perimeter` is the length of the edge that water comes over (none along a wall or kerb), `clear_area` that of the
/// openings, `open` the share of both that is not clogged, `depth` that of the water over the grate.
///
/// # Method
/// Weir Q = 1.66 P d^1.5 (SI; 3.0 in feet) and orifice Q = 0.67 A (2 g d)^(1/2), with the open share of P and A. The
/// lesser counts.
///
/// # Source
/// FHWA, HEC-22, Urban Drainage Design Manual, section 4.4.5 (from memory); Texas DOT, Hydraulic Design Manual, chapter 10,
/// section 6, which takes half of P and A as clogged (second hand).
///
/// # Valid range
/// A grate in a low place, where water stands; not one on a slope that water runs across.
///
/// # Example
/// ```
/// use lotshed::formula::grate::grate_inflow;
/// use lotshed::units::{Area, Length, Share};
/// // 1 m of edge, 0.04 m of water: 1.66 x 0.008 = 0.01328 m3/s; the wide openings take more.
/// let all = Share::new(1.0).unwrap();
/// let taken = grate_inflow(Length::from_m(1.0), Area::from_m2(1.0), all, Length::from_m(0.04));
/// assert!((taken.flow().as_l_per_s() - 13.28).abs() < 1e-9);
/// ```
#[must_use]
pub fn grate_inflow(perimeter: Length, clear_area: Area, open: Share, depth: Length) -> GrateInflow {
    let (perimeter_m, depth_m) = (perimeter.as_m() * open.get(), depth.as_m().max(0.0));
    GrateInflow {
        weir: Flow::from_m3_per_s(WEIR_M05_S * perimeter_m * depth_m.powf(1.5)),
        orifice: orifice_flow(ORIFICE, clear_area * open.get(), depth),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn deeper_water_or_less_clogging_never_takes_less(
            p in 0.1..5.0f64, a in 0.001..0.5f64, open in 0.1..1.0f64, d in 0.0..0.5f64, more in 1.0..3.0f64,
        ) {
            let taken = |open: f64, d: f64| {
                let open = Share::new(open.min(1.0)).unwrap();
                grate_inflow(Length::from_m(p), Area::from_m2(a), open, Length::from_m(d)).flow()
            };
            prop_assert!(taken(open, d * more) >= taken(open, d));
            prop_assert!(taken(open * more, d) >= taken(open, d));
        }
    }
}
