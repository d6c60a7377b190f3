//! Proof: the water followed once more, with the line taking what it can carry.
//!
//! Takes the routed ground, what enters the lot, the line's parts with the share each takes of what crosses it, and where
//! each lets it out. Gives the balance of the run-on, what is left of it by contributor, and what changes for every other
//! parcel and way out. Each term is measured by a pass of its own; none is the remainder of others.

mod back;
mod coming;
mod fence;
mod front;
mod inner_lot;
mod origins;
mod overflow;
mod received;
mod rerun;
#[cfg(test)]
mod tests;
mod way;

pub use back::{APRON_M, OutFate};
pub use coming::{Came, Coming};
pub use inner_lot::InnerLot;
pub use overflow::{OverflowWay, overflow_way};
pub use received::{Received, SinkReceived};
pub use rerun::{Missed, Taken};
pub use way::{DischargeWay, PassedLot};

use crate::flow::{Course, FlowError};
use crate::grid::Georef;
use crate::lots::{Arrival, Entry, Label, LotLine, Scene};
use fence::Fence;
use front::Front;
use geo::LineString;
use origins::Fates;
use received::Spread;
use rerun::rerun;
use serde::Serialize;

/// Where a part lets its water out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Discharge {
    /// No way out is proposed: the water is taken away, nobody knows where.
    Nowhere,
    /// Below ground, or where nothing is known of the ground: it leaves the surface that was read.
    OffTheSurface,
    /// Onto the ground at a cell: it runs on from there.
    Onto(usize),
}

/// A part of the line as the proof needs it.
#[derive(Debug, Clone, Copy)]
pub struct ProvedPart<'a> {
    /// Its path, in the working coordinate system.
    pub path: &'a LineString,
    /// Where it lets its water out.
    pub discharge: Discharge,
}

/// What the proof rests on.
#[derive(Clone, Copy)]
pub struct ProofBasis<'a> {
    /// The routed ground.
    pub scene: &'a Scene<'a>,
    /// Place of its grid.
    pub georef: Georef,
    /// Shares that reach the lot.
    pub arrival: &'a Arrival,
    /// Where the run-on enters.
    pub entries: &'a [Entry],
    /// The lot line.
    pub line: &'a LotLine,
    /// The lot's ground behind the setback; without it all of the lot is taken for that.
    pub inner: Option<&'a InnerLot>,
    /// Parts of the line.
    pub parts: &'a [ProvedPart<'a>],
    /// Cells of ditches and gutters that were given: let-out water in them hasn't come back to the lot. Rising.
    pub channels: &'a [usize],
    /// Share, from 0 to 1, that a part (by place) takes of the water that crosses it at a station (metres along its path).
    pub takes: &'a dyn Fn(usize, f64) -> f64,
}

/// Run-on before and after, by what becomes of it.
///
/// # Units
/// Square metres of ground outside the lot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Balance {
    /// Run-on without the line.
    #[serde(rename = "before")]
    pub before_m2: f64,
    /// Of it, what the line takes and doesn't bring back to the lot.
    #[serde(rename = "caught")]
    pub caught_m2: f64,
    /// What comes onto the lot's ground behind the line or beside it, or back to the lot from an outlet.
    #[serde(rename = "left")]
    pub left_m2: f64,
    /// What touches only the strip in front of the line and runs off the lot again, past its ends.
    #[serde(rename = "elsewhere")]
    pub elsewhere_m2: f64,
}

impl Balance {
    /// By how much the terms miss what there was before, as a share of it: rounding, or a fault of ours.
    #[must_use]
    pub fn gap(&self) -> f64 {
        let after = self.caught_m2 + self.left_m2 + self.elsewhere_m2;
        (after - self.before_m2).abs() / self.before_m2.max(f64::MIN_POSITIVE)
    }
}

/// What the line does.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// Run-on before and after.
    pub balance: Balance,
    /// Run-on left on the lot by where its rain fell, m², the largest first.
    pub left_by_lot: Vec<(Label, f64)>,
    /// The same by entry, in their order, m².
    pub left_by_entry_m2: Vec<f64>,
    /// What each part takes.
    pub taken: Vec<Taken>,
    /// By part, all water that crosses it, whether taken or not.
    pub crossing: Vec<Vec<CrossedPart>>,
    /// Run-on that isn't kept off the lot, by why.
    pub missed: Missed,
    /// Of the water that each part lets out, the share that comes back to the lot.
    pub comes_back: Vec<f64>,
    /// The taken water at every other parcel that it came to without the line or comes to with it; by label.
    pub received: Vec<Received>,
    /// The same where it leaves the ground: at inlets and over the edge of what was read.
    pub sinks: Vec<SinkReceived>,
    /// The way of each part's water downstream; nothing where it isn't let out onto the ground.
    pub ways: Vec<Option<DischargeWay>>,
}

/// Follows the water with the line in place.
///
/// # Units
/// Square metres of ground whose rain it is; metres along the parts.
///
/// # Method
/// `docs/methods.md`, "Proof".
///
/// # Errors
/// [`FlowError::Cycle`] if the field has a cycle.
pub fn prove(basis: &ProofBasis<'_>) -> Result<Proof, FlowError> {
    let scene = basis.scene;
    let paths: Vec<&LineString> = basis.parts.iter().map(|part| part.path).collect();
    let shape = scene.field.shape();
    let fence = Fence::new(&paths, basis.line.metres_per_unit(), shape, basis.georef);
    let front = Front::new(scene, basis.line, &fence, &paths);
    let course = Course::downstream_of(scene.field, seeds(basis))?;
    let ground = LinedGround { basis, fence: &fence, front: &front, course: &course };
    let run = rerun(&ground);
    let spread = Spread::new(scene, &course);
    let outs: Vec<Option<usize>> = basis.parts.iter().map(|part| part.outlet_cell(scene)).collect();
    let back: Vec<_> = outs.iter().map(|out| out.map(|cell| spread.fate_of(basis.channels, cell))).collect();
    let comes_back: Vec<f64> = back.iter().map(|fate| fate.map_or(0.0, |fate| fate.comes_back)).collect();
    let fates = Fates::new(&ground, &comes_back);
    let left = fates.left_by_lot(&ground);
    let brought_back = run.taken.iter().zip(&comes_back).map(|(taken, back)| taken.run_on_m2 * back);
    let missed = Missed {
        past_m2: run.past_m2,
        beside_m2: run.beside_m2,
        edge_m2: run.edge_m2,
        back_m2: brought_back.sum::<f64>() + 0.0,
    };
    let kept =
        run.taken.iter().zip(&back).map(|(taken, fate)| taken.run_on_m2 * fate.map_or(1.0, |f| f.stays_away));
    let let_out: Vec<(usize, f64)> =
        outs.iter().zip(&run.taken).filter_map(|(out, taken)| Some(((*out)?, taken.total_m2()))).collect();
    let (received, sinks) = spread.received(&run.removed_m2, &let_out);
    Ok(Proof {
        balance: Balance {
            before_m2: basis.entries.iter().map(|entry| entry.area_m2).sum::<f64>() + 0.0,
            caught_m2: kept.sum::<f64>() + 0.0,
            left_m2: left.iter().map(|&(_, m2)| m2).sum::<f64>() + 0.0,
            elsewhere_m2: run.elsewhere_m2,
        },
        left_by_lot: left,
        left_by_entry_m2: fates.left_by_entry(&ground),
        taken: run.taken,
        crossing: run.crossing,
        missed,
        comes_back,
        received,
        sinks,
        ways: outs.iter().map(|out| out.map(|cell| spread.way_from(cell))).collect(),
    })
}

/// Where the water that matters starts: on the lot, at the parts of it in other lots' cells, and at the outlets.
fn seeds<'a>(basis: &'a ProofBasis<'a>) -> impl Iterator<Item = usize> + 'a {
    let (lots, subject) = (basis.scene.lots, basis.scene.subject);
    let outs = basis.parts.iter().filter_map(|part| part.outlet_cell(basis.scene));
    lots.cells_of(subject).chain(lots.fringe_of(subject)).chain(outs)
}

impl ProvedPart<'_> {
    /// The cell that its water runs on from.
    fn outlet_cell(&self, scene: &Scene<'_>) -> Option<usize> {
        match self.discharge {
            Discharge::Onto(cell) if scene.field.is_valid(cell) => Some(cell),
            Discharge::Onto(_) | Discharge::Nowhere | Discharge::OffTheSurface => None,
        }
    }
}

/// The ground with the line in it.
#[derive(Clone, Copy)]
struct LinedGround<'a> {
    basis: &'a ProofBasis<'a>,
    fence: &'a Fence,
    front: &'a Front,
    course: &'a Course,
}

/// Water that crosses a part at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossedPart {
    /// The cell behind the part.
    pub cell: usize,
    /// Metres along the part.
    pub station_m: f64,
    /// Ground whose rain it is, m².
    pub area_m2: f64,
    /// Share of it that the part takes.
    pub takes: f64,
}

/// What becomes of water over one step.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Stepped {
    /// It crosses a part, which takes this share.
    Crosses {
        /// Place of the part.
        part: usize,
        /// Metres along the part.
        station_m: f64,
        /// Share that it takes.
        takes: f64,
    },
    /// It comes onto the lot's ground beside or behind the line.
    Inside {
        /// Whether it comes behind the setback: a line there could take it.
        behind_setback: bool,
    },
    /// It stays where it was: outside the lot, or in front of the line.
    Goes,
}

impl LinedGround<'_> {
    /// What becomes of water that goes from a cell to the next.
    fn step(&self, from: usize, to: usize) -> Stepped {
        let scene = self.basis.scene;
        if let Some(crossed) = self.fence.step_at_lot(scene, from, to) {
            return self.crosses(crossed);
        }
        if scene.is_subject(to) && !self.front.has(to) { self.inside(from, to) } else { Stepped::Goes }
    }

    /// What becomes of run-on at its entry.
    fn entry(&self, from: usize, into: usize) -> Stepped {
        if from != into {
            return self.step(from, into);
        }
        match self.fence.sliver(self.basis.line, into) {
            Some(crossed) => self.crosses(crossed),
            None if self.front.has(into) => Stepped::Goes,
            None => self.inside(from, into),
        }
    }

    fn inside(&self, from: usize, to: usize) -> Stepped {
        let (scene, line) = (self.basis.scene, self.basis.line);
        let is_reached = |inner: &InnerLot| inner.is_reached(scene, line, (from, to));
        Stepped::Inside { behind_setback: self.basis.inner.is_none_or(is_reached) }
    }

    fn crosses(&self, crossed: fence::Crossed) -> Stepped {
        let takes = (self.basis.takes)(crossed.part, crossed.station_m).clamp(0.0, 1.0);
        Stepped::Crosses { part: crossed.part, station_m: crossed.station_m, takes }
    }
}
