//! Flow through an opening under water.

use super::GRAVITY_M_S2;
use crate::units::{Area, Flow, Length};

/// Flow through openings under a head of water.
///
/// # Units
/// `coefficient` is the share of the ideal flow that comes through.
///
/// # Method
/// Q = C A (2 g h)^(1/2); nothing without a head.
///
/// # Source
/// Torricelli's law with a coefficient of discharge, in any text of hydraulics.
pub(super) fn orifice_flow(coefficient: f64, area: Area, head: Length) -> Flow {
    let (area_m2, head_m) = (area.as_m2(), head.as_m().max(0.0));
    Flow::from_m3_per_s(coefficient * area_m2 * (2.0 * GRAVITY_M_S2 * head_m).sqrt())
}
