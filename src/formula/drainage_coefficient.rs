//! Water that wet ground gives off after rain, by a depth a day.

use crate::units::{Area, Flow, Length, Time};

/// Flow of a drain whose ground gives off so much in a day.
///
/// # Units
/// `per_day` is the depth of water that the drain takes off its ground in 24 hours.
///
/// # Method
/// Q = D A / day; 1 in/day is 0.04201 ft³/s an acre.
///
/// # Source
/// Definition.
///
/// # Valid range
/// After the storm, when the ground is wet: not the peak of surface water.
///
/// # Example
/// ```
/// use lotshed::formula::drainage_coefficient::drainage_flow;
/// use lotshed::units::{Area, Length};
/// let flow = drainage_flow(Length::from_in(1.0), Area::from_acres(1.0));
/// assert!((flow.as_ft3_per_s() - 0.04201).abs() < 5e-6);
/// ```
#[must_use]
pub fn drainage_flow(per_day: Length, area: Area) -> Flow {
    per_day / Time::from_h(24.0) * area
}
