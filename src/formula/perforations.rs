//! What the holes of a perforated pipe let in.

use super::orifice::orifice_flow;
use crate::units::{Area, Flow, Length, Share};

/// Share of the ideal flow that comes through a drilled hole or a cut slot: the lower of the 0.60 and 0.61 that books give
/// for sharp edges (from memory).
const COEFFICIENT: f64 = 0.60;

/// Flow that the holes of a pipe let in from water that stands around it.
///
/// # Units
/// `inlet_area` is that of the holes of the length looked at; `open` the share of it that is not clogged; `head` the
/// height of the water outside above that inside, or above the holes of an empty pipe.
///
/// # Method
/// Orifice: Q = 0.60 A open (2 g h)^(1/2). No head, no flow.
///
/// # Source
/// Torricelli's law. Half of an inlet taken as clogged: Texas DOT, Hydraulic Design Manual, chapter 10, for grates (second
/// hand); for pipes common practice, no source.
///
/// # Valid range
/// Water outside that isn't held back by the stone or the soil: an upper bound, to be held against what reaches the pipe.
///
/// # Example
/// ```
/// use lotshed::formula::perforations::perforation_inflow;
/// use lotshed::units::{Area, Length, Share};
/// // 20 cm2 in a metre of pipe, half of them clogged, 0.1 m of water: 0.60 x 0.001 m2 x 1.4005 m/s.
/// let open = Share::new(0.5).unwrap();
/// let q = perforation_inflow(Area::from_cm2(20.0), open, Length::from_m(0.1));
/// assert!((q.as_l_per_s() - 0.8403).abs() < 1e-4);
/// ```
#[must_use]
pub fn perforation_inflow(inlet_area: Area, open: Share, head: Length) -> Flow {
    orifice_flow(COEFFICIENT, inlet_area * open.get(), head)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn without_a_head_nothing_comes_in() {
        let q = |head_m| {
            perforation_inflow(Area::from_cm2(20.0), Share::new(1.0).unwrap(), Length::from_m(head_m))
        };
        assert_relative_eq!(q(0.0).as_l_per_s(), 0.0);
        assert_relative_eq!(q(-0.2).as_l_per_s(), 0.0);
        // Four times the head is twice the flow.
        assert_relative_eq!(q(0.4) / q(0.1), 2.0, max_relative = 1e-12);
    }
}
