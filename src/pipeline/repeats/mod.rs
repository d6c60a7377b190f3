//! The chain from sinks to ledger repeated under elevation error.

mod candidates;
mod certainty;
mod drawing;
mod met;
mod part;
mod passes;
mod reaching;
mod realisation;
mod settling;
mod shifts;
mod straight_ways;

pub use certainty::{Certainty, CrossingCertainty, ParcelCertainty};
pub use reaching::LikelihoodMap;
pub use settling::{Compared, Settling, WantedShot};
pub use shifts::OffData;

use super::catchment::Routed;
use super::ground::Ground;
use super::progress::{Phase, Progress};
use super::settings::{CertaintySettings, Settings};
use super::window::grown;
use crate::certainty::{FieldSource, GroundToError, Plan, STEP};
use crate::error::Error;
use crate::grid::Grid;
use crate::input::Site;
use crate::lots::{LotDrainage, LotLine};
use crate::warning::{Warned, Warning};
use drawing::{Drawing, Plain};
use met::CrossingPlace;
use part::Part;
use rayon::prelude::*;
use reaching::Reaching;
use realisation::{Asked, Outcome};
use shifts::Shifts;

/// A parcel counts when it gives more than this share of the run-on and more than this area, m². As the issue
/// asks: the larger of 1 % and 20 m². Ours.
const FLOOR: (f64, f64) = (0.01, 20.0);
/// Ground that counts among that which water may come from: likelihood that its water reaches the lot. Ours.
const LEAST_LIKELY: f32 = 0.05;
/// The window grows to so many times the one that the answer needed, at the most: on flat ground some
/// surfaces would take in the whole county.
const LARGEST: usize = 16;
/// Memory for realisations at a time, bytes. Ours: half of a small machine's.
const MEMORY: usize = 2 << 30;
/// Bytes a cell of a realisation beside its error: surface, filling, directions, order, labels, shares.
const BYTES_A_CELL: usize = 48;

/// Repeats the assessment under elevation error, if that is asked.
pub(super) fn repeats(
    site: &Site,
    routed: &Routed,
    line: &LotLine,
    drainage: &LotDrainage,
    settings: &Settings,
    progress: &dyn Progress,
) -> Result<Warned<Option<Certainty>>, Error> {
    let Some(wanted) = &settings.certainty else { return Ok(Warned::clean(None)) };
    let crossings = CrossingPlace::all(line, drainage);
    let asked = Asked {
        site,
        line,
        crossings: &crossings,
        routing: settings.routing,
        given: drainage
            .contributions
            .iter()
            .map(|row| row.label.place().map(|place| routed.ground.parcels[place]))
            .collect(),
        floor_m2: FLOOR.1.max(FLOOR.0 * drainage.run_on_m2),
    };
    let largest = LARGEST * routed.ground.raw.shape().len();
    let mut wider: Option<Ground> = None;
    loop {
        let ground = wider.as_ref().unwrap_or(&routed.ground);
        let next = grown(ground.window, ground.cut_sides(), site.survey.shape());
        let may_grow = next != ground.window && next.shape.len() <= largest;
        let most = Plan::new(wanted.realisations).most();
        let Some(shifts) = Shifts::of(ground, &wanted.model, wanted.seed, most, may_grow) else {
            progress.phase(Phase::Read, next.shape.len());
            wider = Some(Ground::read(site, settings, next)?);
            continue;
        };
        let part = Part::of(ground, site, settings, routed)?;
        let plain = Plain::of(ground, &site.survey, &wanted.model);
        let (part, plain, shifts) = (part.as_ref(), &plain, &shifts);
        let sample = Sample { asked: &asked, ground, part, plain, shifts, wanted, progress };
        if let Some((outcomes, reaching)) = sample.outcomes(!may_grow)? {
            let map = reaching.likelihood(ground, outcomes.len());
            let mut found = Certainty::of(&asked, wanted, &outcomes, map);
            found.ground = ground_to_error(ground, &found);
            progress.phase(Phase::Settle, ground.raw.shape().len());
            found.settling = sample.settling(&found, &outcomes)?;
            found.off_data = shifts.off_data(outcomes.len());
            let warnings = window_too_small(&found).into_iter().chain(moved_off(&found)).collect();
            return Ok(Warned::new(Some(found), warnings));
        }
        progress.phase(Phase::Read, next.shape.len());
        wider = Some(Ground::read(site, settings, next)?);
    }
}

/// Fall and roughness of the ground as given, where water may come from; roofs aren't looked at.
fn ground_to_error(ground: &Ground, found: &Certainty) -> Option<GroundToError> {
    let likelihoods = found.map.values.values().iter().enumerate();
    let open = likelihoods.filter(|&(cell, &p)| p >= LEAST_LIKELY && !ground.roofs.covers(cell));
    let cells: Vec<usize> = open.map(|(cell, _)| cell).collect();
    let bare = ground.raw.values().iter().enumerate().map(|(cell, &z)| ground.roofs.ground_at(cell, z));
    let bare = Grid::new(ground.raw.shape(), bare.collect());
    GroundToError::of(&bare, &cells, ground.cell, found.settings.model.rmse)
}

/// Some surfaces take in more ground than the largest window.
fn window_too_small(found: &Certainty) -> Option<Warning> {
    (found.cut > 0).then(|| {
        Warning::new(
            "repeats-cut-by-window",
            format!(
                "on {} of {} equally plausible surfaces the catchment goes on beyond the ground that was looked at; their areas are at least what is counted",
                found.cut, found.realisations
            ),
            "take the upper ends of the intervals as \"at least\"",
        )
    })
}

/// Some moves of the lots take the lot off the data, where no run-on is known.
fn moved_off(found: &Certainty) -> Option<Warning> {
    let off = found.off_data;
    (off.all() > 0).then(|| {
        let stays = if off.stays > 0 {
            format!("; on {} of them no move that was drawn leaves it there, so that the lots stay in their place", off.stays)
        } else {
            String::new()
        };
        Warning::new(
            "lots-moved-off-data",
            format!(
                "on {} of {} surfaces the error of the lots' place takes the lot off the elevations, where its run-on isn't known: another move was drawn, so that likelihoods are of moves that leave it on them{stays}",
                off.all(),
                found.realisations
            ),
            "give elevations that reach farther around the lot, or a smaller --parcel-error if the lots are mapped so well",
        )
    })
}

/// Realisations on one window.
struct Sample<'a> {
    asked: &'a Asked<'a>,
    ground: &'a Ground,
    /// What most realisations need of it, if that is less.
    part: Option<&'a Part>,
    /// What errors are added to.
    plain: &'a Plain,
    /// By how much the lots are moved.
    shifts: &'a Shifts,
    wanted: &'a CertaintySettings,
    progress: &'a dyn Progress,
}

impl Sample<'_> {
    /// All outcomes, by number; nothing if one needs a larger window, unless they are taken `as_they_are`.
    fn outcomes(&self, as_they_are: bool) -> Result<Option<(Vec<Outcome>, Reaching)>, Error> {
        let plan = Plan::new(self.wanted.realisations);
        let sources = self.sources();
        let mut made: Vec<Outcome> = Vec::new();
        let mut reaching = Reaching::none(self.ground.raw.shape().len());
        // A few first: a window that is too small mostly shows at once.
        let mut count = STEP.min(plan.most());
        loop {
            self.progress.phase(Phase::Repeat, made.len());
            let first = made.len() / 2;
            let pairs = first..first + count / 2;
            let more = self.block(&sources, pairs, &mut reaching)?;
            made.extend(more);
            if !as_they_are && made.iter().any(|outcome| outcome.is_cut) {
                return Ok(None);
            }
            count =
                if made.len() == STEP { plan.next(0).saturating_sub(STEP) } else { plan.next(made.len()) };
            let is_sampled = made.len() > STEP || plan.most() == STEP;
            if is_sampled && self.is_done(plan, &made) {
                return Ok(Some((made, reaching)));
            }
        }
    }

    fn is_done(&self, plan: Plan, made: &[Outcome]) -> bool {
        let by_range = certainty::by_range(self.asked, self.wanted.model.ranges.len(), made);
        plan.is_done(made.len(), certainty::likelihoods(self.asked, made), by_range)
    }

    /// One source of errors for each range.
    fn sources(&self) -> Vec<FieldSource> {
        let (model, shape, cell) = (&self.wanted.model, self.ground.raw.shape(), self.ground.cell);
        let ranges = model.ranges.iter();
        ranges.map(|range| FieldSource::new(model, range.as_m(), shape, cell, self.wanted.seed)).collect()
    }

    /// How many realisations are made side by side: as many as memory holds.
    fn lanes(&self, sources: &[FieldSource]) -> usize {
        let field_bytes = sources.iter().map(FieldSource::bytes).max().unwrap_or(0);
        let bytes = field_bytes + BYTES_A_CELL * self.ground.raw.shape().len();
        (MEMORY / bytes).clamp(1, rayon::current_num_threads())
    }

    /// The outcomes of some pairs, in their order, so many at a time as memory holds.
    fn block(
        &self,
        sources: &[FieldSource],
        pairs: std::ops::Range<usize>,
        reaching: &mut Reaching,
    ) -> Result<Vec<Outcome>, Error> {
        let lanes = self.lanes(sources);
        // What the lanes need; the progress isn't for them.
        let (asked, ground, part, seed) = (self.asked, self.ground, self.part, self.wanted.seed);
        let (plain, shifts) = (self.plain, self.shifts);
        let lane = |first: usize| -> Result<Lane, Error> {
            let mut lane = Lane { pairs: Vec::new(), reaching: Reaching::none(ground.raw.shape().len()) };
            for pair in (pairs.start + first..pairs.end).step_by(lanes) {
                let range = pair % sources.len();
                let drawing = Drawing { source: &sources[range], plain, range, seed };
                let both = asked.pair((ground, part), shifts, &drawing, pair, &mut lane.reaching)?;
                lane.pairs.push((pair, both));
            }
            Ok(lane)
        };
        let done: Vec<Lane> =
            (0..lanes).into_par_iter().with_max_len(1).map(lane).collect::<Result<_, _>>()?;
        for lane in &done {
            reaching.merge(&lane.reaching);
        }
        let mut found: Vec<(usize, [Outcome; 2])> = done.into_iter().flat_map(|lane| lane.pairs).collect();
        found.sort_unstable_by_key(|&(pair, _)| pair);
        Ok(found.into_iter().flat_map(|(_, both)| both).collect())
    }
}

/// What was made one after the other.
struct Lane {
    /// By number of the pair.
    pairs: Vec<(usize, [Outcome; 2])>,
    reaching: Reaching,
}
