//! A bank just beyond the edge of the data: a sink that the edge cuts could then spill towards the lot.

use super::beyond::{Bracket, fill_open, fill_walled, sides_reached, those_that_count, widest_reach};
use super::catchment::{Routed, route};
use super::completeness::BANK_M;
use super::ground::Ground;
use super::progress::Progress;
use crate::error::Error;
use crate::flow::Routing;
use crate::lots::origins;
use crate::terrain::Outlet;

/// Water of more cells than this from the edge of the data makes the run-on incomplete whatever a bank does.
const EDGE_CELLS: f64 = 0.1;

/// What the bank does.
pub(super) enum BankFound {
    /// It changes the run-on by this area, m².
    Change(f64),
    /// That depends on ground beyond these cut sides.
    Open([bool; 4]),
}

/// How much the run-on changes if the ground at the edge of the data stands a decimetre higher; 0 if the run-on is cut
/// by that edge anyway. The routed window is handed back as it was.
///
/// `outlet` is the way out of the filling with walls, if the window has cut sides.
pub(super) fn change_by_bank(
    mut routed: Routed,
    outlet: Option<Outlet>,
    routing: Routing,
    progress: &dyn Progress,
) -> Result<(Routed, BankFound), Error> {
    if edge_cells(&routed) > EDGE_CELLS {
        return Ok((routed, BankFound::Change(0.0)));
    }
    let mut edge = routed.ground.edge_cells();
    edge.retain(|&index| !routed.is_subject(index));
    if edge.is_empty() {
        return Ok((routed, BankFound::Change(0.0)));
    }
    // In place, since a copy of the ground would be the largest piece of memory of the whole run.
    let heights: Vec<f32> = edge.iter().map(|&index| routed.ground.raw.values()[index]).collect();
    for &index in &edge {
        routed.ground.raw.values_mut()[index] += BANK_M;
    }
    let (mut routed, found) = with_bank(routed, outlet, routing, progress)?;
    for (&index, height) in edge.iter().zip(heights) {
        routed.ground.raw.values_mut()[index] = height;
    }
    Ok((routed, found))
}

fn with_bank(
    mut routed: Routed,
    outlet: Option<Outlet>,
    routing: Routing,
    progress: &dyn Progress,
) -> Result<(Routed, BankFound), Error> {
    let cut = routed.ground.cut_sides();
    let low = fill_open(&routed.ground)?;
    let high = match outlet {
        Some(outlet) => match fill_walled(&mut routed.ground, outlet)? {
            Some(high) => Some(high),
            None => return Ok((routed, BankFound::Open(cut))),
        },
        None => None,
    };
    let settles = |routed: &Routed, high: &_| {
        Bracket { low: &routed.filled, high }.settles(&routed.ground, those_that_count(routed, routing))
    };
    if settles(&routed, &low) {
        let is_settled = high.is_none_or(|high| settles(&routed, &high));
        let found = if is_settled { BankFound::Change(0.0) } else { BankFound::Open(cut) };
        return Ok((routed, found));
    }
    let before = run_on(&routed);
    let Routed { ground, filled, routing, field, reach, arrival, other } = routed;
    let after = route(ground, low, routing, progress)?;
    let reached = sides_reached(&after.ground, widest_reach(&after));
    let found = if reached.contains(&true) {
        BankFound::Open(reached)
    } else if high.is_none_or(|high| settles(&after, &high)) {
        BankFound::Change((run_on(&after) - before).abs())
    } else {
        BankFound::Open(cut)
    };
    Ok((Routed { ground: after.ground, filled, routing, field, reach, arrival, other }, found))
}

fn run_on(routed: &Routed) -> f64 {
    origins(&routed.scene(), &routed.arrival).iter().map(|&(_, m2)| m2).sum()
}

/// Cells' worth of water that comes from cells at the edge of the data, under the routing asked for.
fn edge_cells(routed: &Routed) -> f64 {
    let ground: &Ground = &routed.ground;
    let counts = |&(place, &cell): &(usize, &u32)| {
        routed.arrival.at_place(place) > 0.0
            && !routed.is_subject(cell as usize)
            && ground.edge_side(cell as usize).is_some()
    };
    let cells = routed.reach.cells().iter().enumerate();
    cells.filter(counts).map(|(place, _)| routed.arrival.at_place(place)).sum()
}
