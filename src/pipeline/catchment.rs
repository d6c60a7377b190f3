//! Ground around the lot, read and routed in a window that grows until what lies beyond its edge can't matter.

use super::bank::{BankFound, change_by_bank};
use super::beyond::{Bracket, all_that_reach, fill_open, fill_walled, sides_reached, way_out, widest_reach};
use super::completeness::BANK_M;
use super::ground::Ground;
use super::progress::{Phase, Progress};
use super::settings::Settings;
use super::why::asked_for;
use super::window::{first_window, grown};
use crate::error::Error;
use crate::flow::{FlowField, Reach, Routing, directions_from, single_within};
use crate::grid::{Cell, Grid};
use crate::input::Site;
use crate::lots::Arrival;
use crate::terrain::Outlet;
use geo::Coord;

/// Routed ground and what reaches the lot.
#[derive(Debug)]
pub struct Routed {
    /// The window.
    pub ground: Ground,
    /// The filled surface, m.
    pub filled: Grid<f32>,
    /// The routing asked for.
    pub routing: Routing,
    /// Where water goes under it.
    pub field: FlowField,
    /// Cells that can send water to the lot.
    pub reach: Reach,
    /// Share of each that does.
    pub arrival: Arrival,
    /// The same under the other routing (single for proportional, proportional for single).
    pub other: Option<(FlowField, Reach, Arrival)>,
}

impl Routed {
    /// The scene of the routing asked for.
    #[must_use]
    pub fn scene(&self) -> crate::lots::Scene<'_> {
        self.ground.scene(&self.field, &self.reach)
    }

    /// The cell of known ground below a place in the working coordinate system.
    #[must_use]
    pub fn cell_at(&self, at: Coord) -> Option<usize> {
        let shape = self.ground.raw.shape();
        let (x, y) = self.ground.georef.to_grid(at.x, at.y);
        if x < 0.0 || y < 0.0 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not below 0")]
        let (row, col) = (y as usize, x as usize);
        (row < shape.rows && col < shape.cols)
            .then(|| shape.index(Cell { row, col }))
            .filter(|&cell| self.field.is_valid(cell))
    }

    /// Whether the lot covers the cell's centre.
    #[must_use]
    pub fn is_subject(&self, cell: usize) -> bool {
        self.ground.lots.label(cell) == self.ground.subject
    }
}

/// A window that is large enough.
pub(super) struct Catchment {
    /// The routed window.
    pub(super) routed: Routed,
    /// Change of the run-on by a bank just beyond the edge of the data, m².
    pub(super) bank_change_m2: f64,
}

/// Reads and routes a window that is large enough.
pub(super) fn find_catchment(
    site: &Site,
    settings: &Settings,
    progress: &dyn Progress,
) -> Result<Catchment, Error> {
    // An id that no parcel has is told before the work.
    asked_for(site, settings)?;
    let mut window = first_window(site, settings);
    loop {
        progress.phase(Phase::Read, window.shape.len());
        let ground = Ground::read(site, settings, window)?;
        progress.phase(Phase::Fill, window.shape.len());
        let filled = fill_open(&ground)?;
        let routed = route(ground, filled, settings.routing, progress)?;
        let sides = match look_beyond(routed, site, settings, progress)? {
            Outlook::Settled(found) => return Ok(*found),
            Outlook::Open(sides) => sides,
        };
        window = grown(window, sides, site.survey.shape());
    }
}

/// What a look at the edge of a window tells.
enum Outlook {
    /// The window is large enough.
    Settled(Box<Catchment>),
    /// It must grow on these sides.
    Open([bool; 4]),
}

fn look_beyond(
    mut routed: Routed,
    site: &Site,
    settings: &Settings,
    progress: &dyn Progress,
) -> Result<Outlook, Error> {
    let cut = routed.ground.cut_sides();
    let widest = widest_reach(&routed);
    let roofs = routed.ground.roofs.sides_beyond(|drip| widest.place(drip).is_some());
    let beyond = sides_reached(&routed.ground, widest);
    let reached = std::array::from_fn(|side| beyond[side] || (roofs[side] && cut[side]));
    if reached.contains(&true) {
        return Ok(Outlook::Open(reached));
    }
    let mut outlet: Option<Outlet> = None;
    // Where the cut sides run through a hole that is an edge of the data, nothing lies beyond them.
    let raw = routed.ground.raw.values();
    if routed.ground.cells_on_cut_sides().any(|index| !raw[index].is_nan()) {
        outlet = way_out(&routed.ground, site, settings.bridge_holes, BANK_M)?;
        let high = match outlet {
            Some(outlet) => fill_walled(&mut routed.ground, outlet)?,
            None => None,
        };
        let settles =
            |high: &_| Bracket { low: &routed.filled, high }.settles(&routed.ground, all_that_reach(&routed));
        if !high.is_some_and(|high| settles(&high)) {
            return Ok(Outlook::Open(cut));
        }
    }
    match change_by_bank(routed, outlet, settings.routing, progress)? {
        (routed, BankFound::Change(bank_change_m2)) => {
            Ok(Outlook::Settled(Box::new(Catchment { routed, bank_change_m2 })))
        }
        (_, BankFound::Open(sides)) => Ok(Outlook::Open(sides)),
    }
}

/// Where water goes on a surface of the window and its filling.
pub(super) fn facets(
    ground: &Ground,
    raw: &Grid<f32>,
    filled: &Grid<f32>,
    routing: Routing,
) -> Result<FlowField, Error> {
    facets_from(f32::NEG_INFINITY, ground, raw, filled, routing)
}

/// The same of the ground that lies no lower than a level; roofs hand on all that they do, which falls too.
pub(super) fn facets_from(
    lowest_m: f32,
    ground: &Ground,
    raw: &Grid<f32>,
    filled: &Grid<f32>,
    routing: Routing,
) -> Result<FlowField, Error> {
    let field = directions_from(lowest_m, filled, ground.cell, routing, |index| ground.lets_out(index))?;
    Ok(field.with_links(ground.roof_links(raw, filled)))
}

/// Routes a filled window.
pub(super) fn route(
    ground: Ground,
    filled: Grid<f32>,
    routing: Routing,
    progress: &dyn Progress,
) -> Result<Routed, Error> {
    let shape = ground.raw.shape();
    progress.phase(Phase::Route, shape.len());
    let facets = facets(&ground, &ground.raw, &filled, routing)?;
    progress.phase(Phase::Trace, shape.len());
    let reach = Reach::upstream_of(&facets, ground.lots.cells_of(ground.subject))?;
    let own = |field: FlowField, reach: Reach| {
        let arrival = Arrival::of(&ground.scene(&field, &reach));
        (field, reach, arrival)
    };
    let ((field, reach, arrival), other) = match routing {
        Routing::Steepest => (own(facets, reach), None),
        Routing::Proportional | Routing::Single => {
            let single = single_within(&facets, &reach, ground.cell);
            let single_reach = Reach::upstream_of(&single, ground.lots.cells_of(ground.subject))?;
            let (proportional, single) = (own(facets, reach), own(single, single_reach));
            if routing == Routing::Proportional {
                (proportional, Some(single))
            } else {
                (single, Some(proportional))
            }
        }
    };
    Ok(Routed { ground, filled, routing, field, reach, arrival, other })
}
