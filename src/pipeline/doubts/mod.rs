//! Reasons to doubt the answer, each with how much of the run-on hangs on it.
//!
//! Nothing is routed again: what hangs on a place is the water whose way passes it, which one pass over the
//! cells above the lot tells.

mod age;
mod dates;
mod level;
mod quality;
mod seam;
mod treads;

pub use age::{Age, DatedBy};
pub use quality::{Grade, Quality};

use super::catchment::Routed;
use super::completeness::Completeness;
use super::repeats::Certainty;
use super::settings::Settings;
use crate::certainty::{Spread, Verdict};
use crate::input::Site;
use crate::lots::{Label, LotDrainage, origins};
use crate::warning::Warned;
use age::age_of;
use level::LevelGround;

/// Why the answer may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// What the repeats under elevation error leave open.
    ElevationError(Unsure),
    /// The other routing books the water to other ground.
    RoutingsDiffer,
    /// The catchment meets the edge of the data.
    BeyondTheEdge,
    /// Ways over elevations that were bridged.
    Bridged,
    /// Ways through hollows that pass water on once they are full.
    Hollows {
        /// Depth of the deepest, m.
        deepest_m: f64,
    },
    /// Ways through hollows behind a bank with lower ground close behind it: a pipe through it isn't known.
    Banks {
        /// Depth of the deepest, m.
        deepest_m: f64,
        /// From its lowest place to lower ground, m.
        away_m: f64,
    },
    /// Ways over level ground.
    Flats,
    /// Ways over level ground between steps of the elevations.
    Treads {
        /// Height of a step, m.
        step_m: f64,
    },
    /// Ways over a step along a straight line of the raster.
    Seams {
        /// Height of the highest, m.
        step_m: f64,
    },
    /// Ground in cells that are routed as another parcel's.
    CoarseCells {
        /// Longer side of a cell, m.
        cell_m: f64,
    },
    /// Ground that was surveyed before it changed.
    Older(Age),
}

/// What the repeats are certain of, and what they leave open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unsure {
    /// Parcels of which it is certain that they contribute.
    pub certain: usize,
    /// Parcels of which the repeats can't tell.
    pub open: usize,
    /// Run-on of these on the surface as given, m².
    pub open_m2: f64,
    /// That as a share of the run-on; nothing where there is no run-on.
    pub open_share: Option<f64>,
    /// Run-on of the surfaces, m².
    pub run_on: Spread,
}

/// One reason with its effect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    /// Why.
    pub reason: Reason,
    /// Run-on that hangs on it, m². Of several reasons the same ground may count for each.
    pub area_m2: f64,
    /// That as a share of the run-on; nothing where there is no run-on.
    pub share: Option<f64>,
}

impl Doubt {
    /// Elevations older than the ground may hide run-on where none is found.
    fn is_worth_a_word(&self) -> bool {
        match self.share {
            Some(share) => share >= LEAST_SHARE,
            None => self.area_m2 > 0.0 || matches!(self.reason, Reason::Older(_)),
        }
    }
}

/// What the reasons are looked for in.
struct Looked<'a> {
    routed: &'a Routed,
    drainage: &'a LotDrainage,
    other_routing: &'a [(Label, f64)],
    completeness: &'a Completeness,
    certainty: Option<&'a Certainty>,
    age: Option<Age>,
}

/// A smaller share of the run-on isn't worth a word: the floor of the likelihoods. Ours.
const LEAST_SHARE: f64 = 0.01;

/// All reasons on which at least 1 % of the run-on hangs, the largest effect first, and what they say of the data.
pub(super) fn doubts(
    routed: &Routed,
    drainage: &LotDrainage,
    other_routing: &[(Label, f64)],
    completeness: &Completeness,
    certainty: Option<&Certainty>,
    (site, settings): (&Site, &Settings),
) -> Warned<(Vec<Doubt>, Quality)> {
    let mut warnings = Vec::new();
    let age = age_of(site.survey.facts(), settings).unload(&mut warnings);
    let doubts = reasons(&Looked { routed, drainage, other_routing, completeness, certainty, age });
    let quality = Quality::of(&doubts, drainage.run_on_m2, completeness, certainty.is_some());
    Warned::new((doubts, quality), warnings)
}

fn reasons(looked: &Looked<'_>) -> Vec<Doubt> {
    let run_on_m2 = looked.drainage.run_on_m2;
    let passing = Passing::of(looked.routed);
    let level = LevelGround::of(looked.routed);
    let share = |area_m2: f64| (run_on_m2 > 0.0).then(|| (area_m2 / run_on_m2).min(1.0));
    let found = [
        looked.certainty.map(|found| {
            let unsure = unsure(looked, found, share);
            (Reason::ElevationError(unsure), error_m2(run_on_m2, &unsure))
        }),
        Some((Reason::RoutingsDiffer, routings_m2(looked))),
        Some((
            Reason::BeyondTheEdge,
            looked.completeness.edge_limited_m2.max(looked.completeness.bank_change_m2),
        )),
        Some((Reason::Bridged, bridged_m2(looked.routed, &passing))),
        level.hollows(&passing),
        level.banks(looked.routed, &passing),
        level.flats(looked.routed, &passing),
        treads::treads(looked.routed, &level, &passing),
        seam::seams(looked.routed, &passing),
        Some(coarse_cells(looked.routed)),
        // What changed, and where, isn't known: all of it hangs on that.
        looked.age.map(|age| (Reason::Older(age), run_on_m2)),
    ];
    let mut doubts: Vec<Doubt> = found
        .into_iter()
        .flatten()
        .map(|(reason, area_m2)| Doubt { reason, area_m2, share: share(area_m2) })
        .filter(Doubt::is_worth_a_word)
        .collect();
    // A stable sort: equal effects keep the order above.
    doubts.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
    doubts
}

/// Tells how much of the run-on passes places.
struct Passing<'a> {
    routed: &'a Routed,
    all_m2: f64,
}

impl<'a> Passing<'a> {
    fn of(routed: &'a Routed) -> Self {
        Self { routed, all_m2: total(&origins(&routed.scene(), &routed.arrival)) }
    }

    /// Area whose rain takes a step that `counts`, from a cell outside the lot to the next, on its way to
    /// the lot, m².
    fn steps_m2(&self, counts: impl Fn(usize, usize) -> bool) -> f64 {
        let scene = self.routed.scene();
        let past = self.routed.arrival.in_storm(&scene, |from, to| if counts(from, to) { 0.0 } else { 1.0 });
        (self.all_m2 - total(&origins(&scene, &past))).max(0.0)
    }
}

fn total(areas: &[(Label, f64)]) -> f64 {
    areas.iter().map(|&(_, m2)| m2).sum()
}

/// What hangs on the elevations' error: run-on from contributors of which the repeats can't tell, or as much
/// as the run-on of nine in ten surfaces lies off what is found, whichever is more.
fn error_m2(run_on_m2: f64, unsure: &Unsure) -> f64 {
    let off_m2 = (unsure.run_on.high - run_on_m2).max(run_on_m2 - unsure.run_on.low);
    unsure.open_m2.max(off_m2)
}

fn unsure(looked: &Looked<'_>, found: &Certainty, share: impl Fn(f64) -> Option<f64>) -> Unsure {
    let count = |verdict: Verdict| found.parcels.iter().filter(|row| row.verdict == verdict).count();
    let open_m2 = cannot_tell_m2(looked, found);
    Unsure {
        certain: count(Verdict::Contributes),
        open: count(Verdict::CannotTell),
        open_m2,
        open_share: share(open_m2),
        run_on: found.run_on,
    }
}

/// Run-on from contributors of which the repeats can't tell.
fn cannot_tell_m2(looked: &Looked<'_>, certainty: &Certainty) -> f64 {
    let cannot_tell = |label: Label| {
        let place = label.place().map(|place| looked.routed.ground.parcels[place]);
        certainty.parcel(place).is_some_and(|row| row.verdict == Verdict::CannotTell)
    };
    let rows = looked.drainage.contributions.iter().filter(|row| cannot_tell(row.label));
    rows.map(|row| row.area_m2).sum()
}

fn routings_m2(looked: &Looked<'_>) -> f64 {
    if looked.routed.other.is_none() {
        return 0.0;
    }
    let own: Vec<(Label, f64)> =
        looked.drainage.contributions.iter().map(|row| (row.label, row.area_m2)).collect();
    booked_elsewhere_m2(&own, looked.other_routing)
}

/// The larger of what one routing gives to contributors beyond what the other does, and the other way round.
fn booked_elsewhere_m2(own: &[(Label, f64)], other: &[(Label, f64)]) -> f64 {
    let beyond = |these: &[(Label, f64)], those: &[(Label, f64)]| -> f64 {
        let of = |label| those.iter().find(|row| row.0 == label).map_or(0.0, |row| row.1);
        these.iter().map(|&(label, m2)| (m2 - of(label)).max(0.0)).sum()
    };
    beyond(own, other).max(beyond(other, own))
}

fn bridged_m2(routed: &Routed, passing: &Passing<'_>) -> f64 {
    let bridged = &routed.ground.bridged;
    if bridged.is_empty() { 0.0 } else { passing.steps_m2(|from, _| bridged.binary_search(&from).is_ok()) }
}

/// Ground that lies in one parcel and is routed with the cell's centre, which lies in another.
fn coarse_cells(routed: &Routed) -> (Reason, f64) {
    let ground = &routed.ground;
    let lots = &ground.lots;
    let elsewhere = |cell: usize| -> f64 {
        let own = lots.label(cell);
        let parts = lots.parts(cell).filter(|&(label, _)| label != own && label != ground.subject);
        parts.map(|(_, share)| share).sum()
    };
    let cells = routed.reach.cells().iter().enumerate().map(|(place, &cell)| (place, cell as usize));
    let shared = cells.filter(|&(_, cell)| lots.is_shared(cell));
    let area_m2: f64 =
        shared.map(|(place, cell)| routed.arrival.at_place(place) * elsewhere(cell)).sum::<f64>()
            * ground.cell.area_m2();
    (Reason::CoarseCells { cell_m: ground.cell.longer_m() }, area_m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: the one gives 30 more from A and the other 10 more from B and 5 from C.
    #[test]
    fn the_larger_difference_of_two_routings_counts() {
        let [a, b, c] = [0, 1, 2].map(|place| Label::of_place(place).expect("few lots"));
        let (one, other) = ([(a, 100.0), (b, 50.0)], [(a, 70.0), (b, 60.0), (c, 5.0)]);
        assert!((booked_elsewhere_m2(&one, &other) - 30.0).abs() < 1e-12);
        assert!((booked_elsewhere_m2(&other, &one) - 30.0).abs() < 1e-12);
        assert!(booked_elsewhere_m2(&one, &one) <= 0.0);
    }
}
