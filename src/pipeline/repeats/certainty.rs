//! What all realisations say together.

use super::super::settings::CertaintySettings;
use super::reaching::LikelihoodMap;
use super::realisation::{Asked, Outcome};
use super::settling::Settling;
use super::shifts::OffData;
use crate::certainty::{GroundToError, Likelihood, Spread, Verdict};
use std::collections::BTreeSet;

/// How sure the answer is under elevation error.
#[derive(Debug, Clone)]
pub struct Certainty {
    /// What was asked.
    pub settings: CertaintySettings,
    /// Realisations made.
    pub realisations: usize,
    /// Of these, whose catchment comes near a side cut out of the data: their areas are at least what is
    /// counted.
    pub cut: usize,
    /// Moves of the lots that would have taken the lot off the data.
    pub off_data: OffData,
    /// A parcel or crossing counts with more than this, m².
    pub floor_m2: f64,
    /// Run-on area, m².
    pub run_on: Spread,
    /// Parcels that give anything on the surface as given, or more than the floor on one of these, the likeliest first.
    pub parcels: Vec<ParcelCertainty>,
    /// By crossing of the surface as given.
    pub crossings: Vec<CrossingCertainty>,
    /// How the ground that the water may come from stands to its error; nothing where it has too little of it.
    pub ground: Option<GroundToError>,
    /// Where the water may come from.
    pub map: LikelihoodMap,
    /// What would settle what is open; nothing where nothing is.
    pub settling: Option<Settling>,
}

/// How sure one contributor is.
#[derive(Debug, Clone, PartialEq)]
pub struct ParcelCertainty {
    /// Place in the set of parcels; nothing for land without one.
    pub place: Option<usize>,
    /// That it gives more than the floor.
    pub likelihood: Likelihood,
    /// The same by range of the error.
    pub by_range: Vec<Likelihood>,
    /// What is to be said of it.
    pub verdict: Verdict,
    /// Area of it whose rain reaches the lot, m².
    pub area: Spread,
    /// That area as a share of the run-on of the same surface; 0 where there is none.
    pub share: Spread,
}

/// How sure one crossing is.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossingCertainty {
    /// Where its water enters on average on the surface as given, clockwise from the ring's start, m.
    pub middle_m: f64,
    /// That more than the floor enters there.
    pub likelihood: Likelihood,
    /// What enters there, m².
    pub area: Spread,
    /// How far the middle of its water lies from there, clockwise, m, where more than the floor enters; nothing if it
    /// never does.
    pub wander: Option<Spread>,
}

impl Certainty {
    pub(super) fn of(
        asked: &Asked<'_>,
        settings: &CertaintySettings,
        outcomes: &[Outcome],
        map: LikelihoodMap,
    ) -> Self {
        let mut parcels: Vec<ParcelCertainty> = judged(asked, outcomes)
            .into_iter()
            .map(|place| parcel(asked, settings, outcomes, place))
            .collect();
        parcels.sort_by(|a, b| {
            (b.likelihood.hits().cmp(&a.likelihood.hits()))
                .then(b.area.middle.total_cmp(&a.area.middle))
                .then(a.place.cmp(&b.place))
        });
        Self {
            settings: settings.clone(),
            realisations: outcomes.len(),
            cut: outcomes.iter().filter(|outcome| outcome.is_cut).count(),
            off_data: OffData::default(),
            floor_m2: asked.floor_m2,
            run_on: spread(outcomes, |outcome| outcome.run_on_m2),
            parcels,
            crossings: (0..asked.crossings.len()).map(|i| crossing(asked, outcomes, i)).collect(),
            ground: None,
            map,
            settling: None,
        }
    }

    /// The row of a parcel by its place in the set of parcels, or of land without one.
    #[must_use]
    pub fn parcel(&self, place: Option<usize>) -> Option<&ParcelCertainty> {
        self.parcels.iter().find(|row| row.place == place)
    }
}

/// The likelihoods whose intervals say whether more realisations are needed.
pub(super) fn likelihoods(asked: &Asked<'_>, outcomes: &[Outcome]) -> Vec<Likelihood> {
    let parcels = judged(asked, outcomes).into_iter().map(|place| of_parcel(asked, outcomes.iter(), place));
    let crossings = (0..asked.crossings.len()).map(|place| of_crossing(asked, outcomes, place));
    parcels.chain(crossings).collect()
}

/// Those by range, on which the verdicts on parcels rest.
pub(super) fn by_range(asked: &Asked<'_>, ranges: usize, outcomes: &[Outcome]) -> Vec<Vec<Likelihood>> {
    judged(asked, outcomes).into_iter().map(|place| of_ranges(asked, ranges, outcomes, place)).collect()
}

/// Parcels that get a verdict: contributors of the surface as given, and those of any other.
fn judged(asked: &Asked<'_>, outcomes: &[Outcome]) -> BTreeSet<Option<usize>> {
    asked.given.iter().copied().chain(contributing(asked, outcomes)).collect()
}

/// Parcels that give more than the floor on some surface; each as often as it does.
fn contributing<'a>(
    asked: &'a Asked<'_>,
    outcomes: &'a [Outcome],
) -> impl Iterator<Item = Option<usize>> + 'a {
    let areas = outcomes.iter().flat_map(|outcome| &outcome.areas);
    areas.filter(|&&(_, area)| area > asked.floor_m2).map(|&(place, _)| place)
}

impl Outcome {
    pub(super) fn area_of(&self, place: Option<usize>) -> f64 {
        self.areas.binary_search_by_key(&place, |&(place, _)| place).map_or(0.0, |at| self.areas[at].1)
    }
}

fn of_parcel<'a>(
    asked: &Asked<'_>,
    outcomes: impl Iterator<Item = &'a Outcome>,
    place: Option<usize>,
) -> Likelihood {
    let (mut hits, mut of) = (0, 0);
    for outcome in outcomes {
        of += 1;
        hits += usize::from(outcome.area_of(place) > asked.floor_m2);
    }
    Likelihood::new(hits, of)
}

/// A step of realisations has a pair of each range.
fn of_ranges(
    asked: &Asked<'_>,
    ranges: usize,
    outcomes: &[Outcome],
    place: Option<usize>,
) -> Vec<Likelihood> {
    let of_range = |range: usize| outcomes.iter().filter(move |outcome| outcome.range == range);
    (0..ranges).map(|range| of_parcel(asked, of_range(range), place)).collect()
}

fn of_crossing(asked: &Asked<'_>, outcomes: &[Outcome], place: usize) -> Likelihood {
    let hits = outcomes.iter().filter(|outcome| outcome.crossings[place].area_m2 > asked.floor_m2).count();
    Likelihood::new(hits, outcomes.len())
}

fn parcel(
    asked: &Asked<'_>,
    settings: &CertaintySettings,
    outcomes: &[Outcome],
    place: Option<usize>,
) -> ParcelCertainty {
    let by_range = of_ranges(asked, settings.model.ranges.len(), outcomes, place);
    let share = |outcome: &Outcome| {
        if outcome.run_on_m2 > 0.0 { outcome.area_of(place) / outcome.run_on_m2 } else { 0.0 }
    };
    ParcelCertainty {
        place,
        likelihood: of_parcel(asked, outcomes.iter(), place),
        verdict: Verdict::of(&by_range),
        by_range,
        area: spread(outcomes, |outcome| outcome.area_of(place)),
        share: spread(outcomes, share),
    }
}

fn crossing(asked: &Asked<'_>, outcomes: &[Outcome], place: usize) -> CrossingCertainty {
    let met = || outcomes.iter().map(|outcome| outcome.crossings[place]);
    let found = met().filter(|met| met.area_m2 > asked.floor_m2);
    CrossingCertainty {
        middle_m: asked.crossings[place].middle_m,
        likelihood: of_crossing(asked, outcomes, place),
        area: spread(outcomes, |outcome| outcome.crossings[place].area_m2),
        wander: Spread::of(found.map(|met| met.off_m).collect()),
    }
}

fn spread(outcomes: &[Outcome], amount: impl Fn(&Outcome) -> f64) -> Spread {
    Spread::of(outcomes.iter().map(amount).collect()).expect("a plan has at least one step of realisations")
}
