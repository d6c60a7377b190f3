//! Whether the ground lets surface water get to the storm inlets near the lot.

mod around;
mod look;

use super::catchment::Routed;
use crate::error::Error;
use crate::input::Site;
use crate::terrain::Standing;
use around::{Around, Passing};
use geo::{Distance, Euclidean, Point};
use look::Look;

/// Inlets farther from the lot aren't looked at, m: so far around it ground is always read. Ours.
const NEAR_M: f64 = 60.0;
/// Inlets looked at, the nearest. Ours.
const MOST_INLETS: usize = 8;
/// Shallower ponds and banks are within the noise of elevation data, m.
const NOISE_M: f64 = 0.05;

/// How surface water gets to an inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct InletAccess {
    /// Place of the inlet in the site's list.
    pub inlet: usize,
    /// Its distance from the lot, m.
    pub away_m: f64,
    /// Its cell.
    pub cell: usize,
    /// Ground there, m.
    pub ground_m: f64,
    /// Whether water that comes to it leaves there; else the ground falls on past it.
    pub takes_water: bool,
    /// Ground whose rain drains to it over the surface, m².
    pub area_m2: f64,
    /// Whether none of that comes from the edge of the data or of the ground that was read.
    pub complete: bool,
    /// What ponds beside it before it spills into it.
    pub ponds_first: Option<PondsFirst>,
    /// The most water that passes beside it without getting into any inlet.
    pub beside: Option<Beside>,
}

/// A pond that fills before it spills into an inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct PondsFirst {
    /// The pond.
    pub pond: Standing,
    /// Ground whose rain comes to it, m².
    pub inflow_m2: f64,
    /// What stands between it and the inlet.
    pub bank: Bank,
}

/// Water beside an inlet that doesn't get in.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// Ground whose rain passes there, m².
    pub area_m2: f64,
    /// Water that stands there when the ground is full.
    pub pond: Option<Standing>,
    /// What stands between it and the inlet.
    pub bank: Bank,
}

impl Beside {
    /// Whether a bank holds it back; else it runs past.
    #[must_use]
    pub fn is_held_back(&self) -> bool {
        self.bank.cut_m >= NOISE_M
    }
}

/// The lowest bank on the best way to an inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct Bank {
    /// Its top, m.
    pub top_m: f64,
    /// Where that is.
    pub top: usize,
    /// Level down to which the way must be opened, m: that of the water's ground, or of the inlet where it lies higher.
    pub opens_at_m: f64,
    /// Depth of the cut at the top, m; 0 where nothing is in the way.
    pub cut_m: f64,
    /// Length of the way that lies higher than that level, m.
    pub cut_length_m: f64,
    /// How much the inlet lies above the water's ground, m: so deep water still stands there after the cut.
    pub sill_m: f64,
    /// The best way, from the water to the inlet.
    pub way: Vec<usize>,
}

/// Looks at the inlets near the lot, the nearest first.
pub(super) fn inlet_access(site: &Site, routed: &Routed) -> Result<Vec<InletAccess>, Error> {
    let near = near_inlets(site, routed);
    if near.is_empty() {
        return Ok(Vec::new());
    }
    let around: Vec<Around> = near.iter().map(|&(away_m, place)| Around::of(routed, away_m, place)).collect();
    let passing = Passing::over(routed, around.iter().flat_map(Around::cells))?;
    around.iter().map(|around| Look { routed, passing: &passing, around }.at()).collect()
}

/// Inlets by distance from the lot: that and the place among those with a cell.
fn near_inlets(site: &Site, routed: &Routed) -> Vec<(f64, usize)> {
    let outline = &site.parcels.subject_lot().outline;
    let inlets = &routed.ground.inlets;
    let away = |place: usize| {
        let at = Point::from(site.beside.inlets[inlets.inlet(place)].at);
        Euclidean.distance(&at, outline) * site.crs.metres_per_unit()
    };
    let mut near: Vec<(f64, usize)> = (0..inlets.cells().len()).map(|place| (away(place), place)).collect();
    near.retain(|&(away_m, _)| away_m <= NEAR_M);
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    near.truncate(MOST_INLETS);
    near
}
