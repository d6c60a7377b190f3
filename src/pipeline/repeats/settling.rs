//! Shots of the ground that would settle most of what the repeats leave open.

use super::super::ground::Ground;
use super::Sample;
use super::candidates::{Candidates, candidates};
use super::certainty::{Certainty, ParcelCertainty};
use super::drawing::Drawing;
use super::realisation::{Asked, Outcome};
use crate::certainty::{
    Comparison, Errors, Likelihood, Question, SHOT_ACCURACY, Telling, Verdict, telling_shots,
};
use crate::error::Error;
use geo::Coord;
use rayon::prelude::*;

/// Shots that are asked for at the most. Ours.
const MOST: usize = 5;
/// Realisations that are looked at, at the most.
const REALISATIONS: usize = 800;

/// What would settle what the repeats leave open.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// Parcels of which the repeats can't tell, by place in the set of parcels; nothing for land without one.
    pub open: Vec<Option<usize>>,
    /// Shots that would tell most of them, the most telling first; none where no single place tells more than
    /// chance would.
    pub shots: Vec<WantedShot>,
    /// Cells that were looked at; none where no ground's water goes either way often enough.
    pub looked_at: usize,
}

/// A shot that would tell much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WantedShot {
    /// Middle of a cell, in the working coordinate system.
    pub at: Coord,
    /// Elevation there as given, m.
    pub given_m: f64,
    /// Parcel that it tells most of.
    pub parcel: Option<usize>,
    /// Elevation that decides, as far as one by itself does, m.
    pub decides_m: f64,
    /// How often that parcel contributes where the ground lies above that.
    pub above: Likelihood,
    /// How often where it lies below.
    pub below: Likelihood,
    /// Share of the doubt about that parcel that this shot and those before it take away: of the variance of
    /// whether it contributes.
    pub settles: f64,
    /// What the difference to an earlier shot decides, where it is that which tells most.
    pub compared: Option<Compared>,
}

/// Two shots whose difference tells more than each by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// Place of the other in the list of shots.
    pub with: usize,
    /// How much higher the ground is here than there as given, m.
    pub given_m: f64,
    /// The difference that decides, m.
    pub decides_m: f64,
    /// How often the parcel contributes where the ground here lies higher against that there.
    pub above: Likelihood,
    /// How often where it lies lower.
    pub below: Likelihood,
}

impl Sample<'_> {
    /// Draws the errors of the surfaces again and looks where they go with what the surfaces gave; nothing where
    /// the repeats can tell of every parcel.
    ///
    /// # Errors
    /// Those of filling and routing the given surface.
    pub(super) fn settling(
        &self,
        found: &Certainty,
        outcomes: &[Outcome],
    ) -> Result<Option<Settling>, Error> {
        let open = found.parcels.iter().filter(|row| row.verdict == Verdict::CannotTell);
        let open: Vec<_> = open.collect();
        if open.is_empty() {
            return Ok(None);
        }
        let outcomes = &outcomes[..outcomes.len().min(REALISATIONS)];
        let ask = |row: &&ParcelCertainty| question(self.asked, row, outcomes);
        let questions: Vec<Question> = open.iter().map(ask).collect();
        let Candidates { places, pairs } = candidates(self.ground, found, self.asked.routing)?;
        let told = if places.is_empty() {
            Vec::new()
        } else {
            let errors = self.errors_at(&places, outcomes.len());
            telling_shots(&errors, &questions, &pairs, SHOT_ACCURACY.as_m(), MOST)
        };
        let open: Vec<Option<usize>> = open.iter().map(|row| row.place).collect();
        let shots = told.iter().map(|shot| wanted(self.ground, &places, &open, &told, shot)).collect();
        Ok(Some(Settling { open, shots, looked_at: places.len() }))
    }

    /// Errors of the first realisations at some cells.
    fn errors_at(&self, places: &[usize], realisations: usize) -> Errors {
        let sources = self.sources();
        let (ground, plain, seed) = (self.ground, self.plain, self.wanted.seed);
        let given = ground.raw.values();
        let pair = |pair: usize| -> [Vec<f32>; 2] {
            let range = pair % sources.len();
            let drawing = Drawing { source: &sources[range], plain, range, seed };
            if plain.is_as_given() {
                return drawing.source.pair_at(pair as u64, places);
            }
            let fields = drawing.source.pair(pair as u64);
            [false, true].map(|second| {
                let realisation = 2 * pair as u64 + u64::from(second);
                let surface = drawing.surface(ground, &fields, second, realisation);
                places.iter().map(|&cell| surface.values()[cell] - given[cell]).collect()
            })
        };
        let (pairs, lanes) = (realisations / 2, self.lanes(&sources));
        let lane = |first: usize| (first..pairs).step_by(lanes).map(pair).collect::<Vec<_>>();
        let by_lane: Vec<Vec<[Vec<f32>; 2]>> = (0..lanes).into_par_iter().with_max_len(1).map(lane).collect();
        let in_order = (0..pairs).flat_map(|pair| &by_lane[pair % lanes][pair / lanes]);
        Errors::of(&in_order.collect::<Vec<_>>())
    }
}

/// Whether a parcel contributes; as much hangs on it as it may give.
fn question(asked: &Asked<'_>, row: &ParcelCertainty, outcomes: &[Outcome]) -> Question {
    let happens = outcomes.iter().map(|outcome| outcome.area_of(row.place) > asked.floor_m2);
    Question { happens: happens.collect(), weight: row.area.high }
}

fn wanted(
    ground: &Ground,
    places: &[usize],
    open: &[Option<usize>],
    all: &[Telling],
    shot: &Telling,
) -> WantedShot {
    let given_m = |place: usize| f64::from(ground.raw.values()[places[place]]);
    let (x, y) = ground.georef.centre(ground.raw.shape().cell(places[shot.place]));
    let compared = |comparison: &Comparison| {
        let higher_m = given_m(shot.place) - given_m(comparison.with);
        all.iter().position(|other| other.place == comparison.with).map(|with| Compared {
            with,
            given_m: higher_m,
            decides_m: higher_m + comparison.reading.error_m,
            above: comparison.reading.above,
            below: comparison.reading.below,
        })
    };
    WantedShot {
        at: Coord { x, y },
        given_m: given_m(shot.place),
        parcel: open[shot.question],
        decides_m: given_m(shot.place) + shot.reading.error_m,
        above: shot.reading.above,
        below: shot.reading.below,
        settles: shot.settles,
        compared: shot.compared.as_ref().and_then(compared),
    }
}
