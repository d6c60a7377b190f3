//! The drain of a part on a way that isn't taken.

use super::designed::{FromOthers, Water, part_drain};
use super::growth::growth;
use super::joints::end_of;
use super::{Entering, PartDrain, Yard};
use crate::error::Error;
use crate::interceptor::LinePart;
use crate::pipeline::outlets::PartOutlets;
use crate::pipeline::settings::Settings;
use crate::units::Length;

/// Designs the drain of a part, given with its place in the line, that shares no pipe with others, on the
/// first of its ways.
pub(in crate::pipeline) fn drain_on_way(
    entering: &Entering<'_>,
    (place, part): (usize, &LinePart),
    outlets: &PartOutlets,
    settings: &Settings,
) -> Result<Option<PartDrain>, Error> {
    // What is said of materials is said with the line's drains.
    let yard = Yard::of(settings, &mut Vec::new())?;
    let basis = yard.basis(settings)?;
    let Some(end) = end_of(0, std::slice::from_ref(outlets), &[]) else { return Ok(None) };
    let growth = growth(entering, place, part)?;
    let from_others = FromOthers { joined: Vec::new(), end };
    let water = Water { growth, from_others: &from_others, least_inside: Length::ZERO };
    Ok(part_drain(part, water, (outlets, None), (&yard, &basis), settings)?)
}
