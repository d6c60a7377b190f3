//! Shots of the ground that would settle most of what the repeats leave open.

use super::super::catchment::facets;
use super::super::ground::Ground;
use super::Sample;
use super::certainty::{Certainty, ParcelCertainty};
use super::drawing::Drawing;
use super::realisation::{Asked, Outcome};
use crate::certainty::{Errors, Likelihood, Question, SHOT_ACCURACY, Telling, Verdict, telling_shots};
use crate::error::Error;
use crate::flow::{Routing, upstream_area};
use crate::grid::{Cell, CellSet, GridShape};
use crate::terrain::{Rim, fill};
use geo::Coord;
use rayon::prelude::*;

/// Shots that are asked for at the most. Ours.
const MOST: usize = 5;
/// Ground whose water goes either way: likelihoods between. Ours.
const OPEN: [f32; 2] = [0.1, 0.9];
/// Forks of the water that are looked at, at the most. Ours: the fewer places, the fewer agree by chance.
const FORKS: usize = 16;
/// Steps around a fork in which the bank or the way that decides is looked for. Ours.
const AROUND: usize = 3;
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
        let places = places(self.ground, found, self.asked.routing)?;
        let shots = if places.is_empty() {
            Vec::new()
        } else {
            let errors = self.errors_at(&places, outcomes.len());
            telling_shots(&errors, &questions, SHOT_ACCURACY.as_m(), MOST)
        };
        let open: Vec<Option<usize>> = open.iter().map(|row| row.place).collect();
        let shots = shots.iter().map(|shot| wanted(self.ground, &places, &open, shot)).collect();
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

/// Cells of open ground at and around forks: where much water goes either way, which is most where the ways part.
fn places(ground: &Ground, found: &Certainty, routing: Routing) -> Result<Vec<usize>, Error> {
    let shape = ground.raw.shape();
    let mut near = CellSet::none_of(shape.len());
    for fork in forks(ground, found, routing)? {
        for cell in around(shape, fork, AROUND) {
            near.insert(cell);
        }
    }
    let can_be_shot = |&cell: &usize| {
        !ground.raw.values()[cell].is_nan()
            && !ground.roofs.covers(cell)
            && ground.bridged.binary_search(&cell).is_err()
    };
    Ok((0..shape.len()).filter(|&cell| near.contains(cell)).filter(can_be_shot).collect())
}

/// The forks on which most hangs, none near another: upstream area on the given surface times p (1 - p), with p the
/// likelihood that its water reaches the lot.
fn forks(ground: &Ground, found: &Certainty, routing: Routing) -> Result<Vec<usize>, Error> {
    let (raw, shape) = (&ground.raw, ground.raw.shape());
    let filled = fill(raw, &Rim::OPEN, &ground.inlets.outlets(raw))?;
    let area = upstream_area(&facets(ground, raw, &filled, routing)?, ground.cell)?;
    let [low, high] = OPEN;
    let open = found.map.values.values().iter().enumerate().filter(|(_, p)| (low..=high).contains(*p));
    let weighed = open.map(|(cell, &p)| (cell, area.values()[cell] * f64::from(p * (1.0 - p))));
    let mut weighed: Vec<(usize, f64)> = weighed.collect();
    weighed.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut taken = CellSet::none_of(shape.len());
    let mut forks = Vec::new();
    for (cell, _) in weighed {
        if forks.len() == FORKS {
            break;
        }
        if !taken.contains(cell) {
            forks.push(cell);
            for near in around(shape, cell, 2 * AROUND) {
                taken.insert(near);
            }
        }
    }
    Ok(forks)
}

/// A cell and all within so many steps of it.
fn around(shape: GridShape, cell: usize, steps: usize) -> impl Iterator<Item = usize> {
    let Cell { row, col } = shape.cell(cell);
    let rows = row.saturating_sub(steps)..(row + steps + 1).min(shape.rows);
    let cols = col.saturating_sub(steps)..(col + steps + 1).min(shape.cols);
    rows.flat_map(move |row| cols.clone().map(move |col| shape.index(Cell { row, col })))
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
