//! Whether the water gets into the trench.

use super::super::materials::Top;
use super::super::trench::StoneTrench;
use super::growth::Growth;
use crate::units::{Area, Flow, Length, Share};

/// Share of the holes that is taken as open.
///
/// # Source
/// Texas DOT, Hydraulic Design Manual, chapter 10, for grates (second hand); for pipes common practice, no source.
const OPEN: f64 = 0.5;

/// What comes to a metre of line, and what a metre of trench takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Intake {
    /// Width of the trench at the ground.
    pub width: Length,
    /// Greatest flow that comes to a metre of line.
    pub arrives_most: Flow,
    /// Flow that comes to a metre on average.
    pub arrives_mean: Flow,
    /// What a metre of its surface takes: lower and upper end of what is published.
    pub takes: [Flow; 2],
    /// What the holes of the pipes let in along a metre.
    pub holes: Flow,
    /// Share of the water that gets in: by the lower and the upper end.
    pub shares: [f64; 2],
    /// Share that gets in when silt and leaves have clogged the top; nothing where that isn't known of it.
    pub clogged_share: Option<f64>,
    /// Share that would get in with stone up to the surface of the same trench, by the lower end of what that takes.
    pub bare_share: f64,
    /// Width of bare stone up to the surface that would take the greatest flow, by the lower end of what bare stone takes.
    pub stone_width: Length,
}

/// What water meets on its way into a trench.
pub(super) struct Surface<'a> {
    pub(super) trench: &'a StoneTrench,
    /// Its surface.
    pub(super) top: &'a Top,
    /// The surface that takes most.
    pub(super) bare_stone: &'a Top,
    /// Depth of the trench where it is shallowest.
    pub(super) depth: Length,
}

/// Holds what arrives against what is taken, metre by metre.
///
/// # Method
/// Between neighbouring places the flow arrives evenly; of it as much gets in as the trench's surface takes (its width by
/// the intake of its top) and as the holes let in, whichever is less. Water comes across the line: what isn't taken where it
/// comes runs on over the trench, down the ground, and not along it to the next metre. Only a swale would hold it there. Holes: half of them open, the water around the pipe
/// up to the top of the stone over it where that is least, the pipe just full.
///
/// # Errors
/// None in practice: the share of open holes is fixed.
pub(super) fn intake(
    surface: &Surface<'_>,
    growth: &Growth,
    flow: Flow,
    head: Length,
) -> Result<Intake, crate::units::OutOfRange> {
    let metre = Length::from_m(1.0);
    let width = surface.trench.surface_width(surface.depth);
    let range = surface.top.takes(width * metre);
    let takes = [range.least, range.most];
    let holes = surface.trench.inlet_capacity(metre, Share::new(OPEN)?, head);
    let arrives_most = flow * growth.greatest_per_m();
    let share = |takes: Flow| share_of(growth, flow, takes, holes);
    let bare_m_s = surface.bare_stone.takes(Area::from_m2(1.0)).least.as_m3_per_s();
    Ok(Intake {
        width,
        arrives_most,
        arrives_mean: flow * (1.0 / growth.length_m()),
        takes,
        holes,
        shares: takes.map(share),
        clogged_share: surface.top.clogged().map(|clogged| share(clogged * (width * metre))),
        bare_share: share(surface.bare_stone.takes(width * metre).least),
        stone_width: Length::from_m(arrives_most.as_m3_per_s() / bare_m_s),
    })
}

impl Intake {
    /// Share of another flow, grown alike, that gets in: by the lower and the upper end.
    #[must_use]
    pub fn shares_of(&self, growth: &Growth, flow: Flow) -> [f64; 2] {
        self.takes.map(|takes| share_of(growth, flow, takes, self.holes))
    }
}

/// Share of a flow that gets in, by what a metre of surface and the holes along a metre take.
fn share_of(growth: &Growth, flow: Flow, takes: Flow, holes: Flow) -> f64 {
    let most_per_m = takes.as_m3_per_s().min(holes.as_m3_per_s());
    let all_m3_s = flow.as_m3_per_s();
    if all_m3_s <= 0.0 {
        return 1.0;
    }
    let taken =
        growth.entering().map(|piece| (piece.share * all_m3_s).min(most_per_m * (piece.to_m - piece.from_m)));
    let share = taken.sum::<f64>() / all_m3_s;
    if share > 1.0 - 1e-9 { 1.0 } else { share }
}
