//! Shots of the ground that would settle most of what the repeats leave open.

use super::super::ground::Ground;
use super::Sample;
use super::certainty::{Certainty, ParcelCertainty};
use super::drawing::Drawing;
use super::realisation::{Asked, Outcome};
use crate::certainty::{Errors, Likelihood, Question, Telling, Verdict, telling_shots};
use crate::grid::{Cell, CellSet};
use geo::Coord;
use rayon::prelude::*;

/// Shots that are asked for at the most. Ours.
const MOST: usize = 5;
/// Standard error that a wanted shot is taken to have, m: of a builder's level or a corrected satellite position.
/// Ours, of common practice.
const ACCURACY_M: f64 = 0.03;
/// Ground whose water goes either way: likelihoods between. Ours.
const OPEN: [f32; 2] = [0.1, 0.9];
/// Steps around that ground in which banks and ways that decide are looked for. Ours.
const AROUND: usize = 3;
/// Places that are looked at, at the most.
const PLACES: usize = 20_000;
/// Realisations that are looked at, at the most: with the most places 64 MB.
const REALISATIONS: usize = 800;

/// What would settle what the repeats leave open.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// Parcels of which the repeats can't tell, by place in the set of parcels; nothing for land without one.
    pub open: Vec<Option<usize>>,
    /// Shots that would tell most of them, the most telling first; none where no single place tells more than
    /// chance would.
    pub shots: Vec<WantedShot>,
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
    /// Elevation that decides, as far as one does, m.
    pub decides_m: f64,
    /// How often that parcel contributes where the ground lies above that.
    pub above: Likelihood,
    /// How often where it lies below.
    pub below: Likelihood,
    /// Share of the doubt about that parcel that this shot and those before it take away: of the variance of
    /// whether it contributes.
    pub settles: f64,
}

impl Sample<'_> {
    /// Draws the errors of the surfaces again and looks where they go with what the surfaces gave; nothing where
    /// the repeats can tell of every parcel.
    pub(super) fn settling(&self, found: &Certainty, outcomes: &[Outcome]) -> Option<Settling> {
        let open = found.parcels.iter().filter(|row| row.verdict == Verdict::CannotTell);
        let open: Vec<_> = open.collect();
        if open.is_empty() {
            return None;
        }
        let outcomes = &outcomes[..outcomes.len().min(REALISATIONS)];
        let ask = |row: &&ParcelCertainty| question(self.asked, row, outcomes);
        let questions: Vec<Question> = open.iter().map(ask).collect();
        let places = places(self.ground, found);
        let shots = if places.is_empty() {
            Vec::new()
        } else {
            let errors = self.errors_at(&places, outcomes.len());
            telling_shots(&errors, &questions, ACCURACY_M, MOST)
        };
        let open: Vec<Option<usize>> = open.iter().map(|row| row.place).collect();
        let shots = shots.iter().map(|shot| wanted(self.ground, &places, &open, shot)).collect();
        Some(Settling { open, shots })
    }

    /// Errors of the first realisations at some cells.
    fn errors_at(&self, places: &[usize], realisations: usize) -> Errors {
        let sources = self.sources();
        let (ground, plain, seed) = (self.ground, self.plain, self.wanted.seed);
        let given = ground.raw.values();
        let pair = |pair: usize| -> [Vec<f32>; 2] {
            let range = pair % sources.len();
            let drawing = Drawing { source: &sources[range], plain, range, seed };
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

/// Cells of open ground in and around that whose water goes either way; every so manieth of too many.
fn places(ground: &Ground, found: &Certainty) -> Vec<usize> {
    let shape = ground.raw.shape();
    let [low, high] = OPEN;
    let mut near = CellSet::none_of(shape.len());
    for (cell, likelihood) in found.map.values.values().iter().enumerate() {
        if !(low..=high).contains(likelihood) {
            continue;
        }
        let Cell { row, col } = shape.cell(cell);
        for row in row.saturating_sub(AROUND)..(row + AROUND + 1).min(shape.rows) {
            for col in col.saturating_sub(AROUND)..(col + AROUND + 1).min(shape.cols) {
                near.insert(shape.index(Cell { row, col }));
            }
        }
    }
    let can_be_shot = |&cell: &usize| {
        !ground.raw.values()[cell].is_nan()
            && !ground.roofs.covers(cell)
            && ground.bridged.binary_search(&cell).is_err()
    };
    let all: Vec<usize> = (0..shape.len()).filter(|&cell| near.contains(cell)).filter(can_be_shot).collect();
    all.iter().copied().step_by(all.len().div_ceil(PLACES).max(1)).collect()
}

fn wanted(ground: &Ground, places: &[usize], open: &[Option<usize>], shot: &Telling) -> WantedShot {
    let cell = places[shot.place];
    let (x, y) = ground.georef.centre(ground.raw.shape().cell(cell));
    let given_m = f64::from(ground.raw.values()[cell]);
    WantedShot {
        at: Coord { x, y },
        given_m,
        parcel: open[shot.question],
        decides_m: given_m + shot.reading.error_m,
        above: shot.reading.above,
        below: shot.reading.below,
        settles: shot.settles,
    }
}
