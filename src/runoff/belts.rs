//! Ground of one crossing by distance and speed, each with the time that its water takes.

use super::basis::DesignBasis;
use super::design::{Piece, Ways};
use super::ground_kind::GroundKind;
use super::rain::Rain;
use super::streams::Stream;
use super::travel::{Concentration, TravelBasis, concentrate};
use crate::formula::curve_number::weighted;
use crate::units::{Area, CurveNumber, RunoffCoefficient, Time};
use crate::warning::Warned;
use std::collections::BTreeMap;

/// What sets the time of ground apart: whether it is fast (roofs, paving), and its band of distance from the lot line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Sort {
    /// Roofs and paving.
    pub fast: bool,
    /// Band of distance.
    pub band: usize,
}

impl Sort {
    /// The sort of a piece.
    #[must_use]
    pub fn of(kinds: &[GroundKind], piece: &Piece) -> Self {
        Self { fast: kinds[piece.kind].fast, band: piece.band }
    }
}

/// Slow or fast ground in one band of distance.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Belt {
    /// Sum of coefficient times area.
    pub(super) shedding: Area,
    /// What its time rests on: composites are of all ground up to its band, so that ground farther off changes nothing.
    basis: TravelBasis,
    /// Its time of concentration; nothing where it lies at the lot line.
    pub(super) concentration: Option<Concentration>,
}

impl Belt {
    /// Time that its water takes.
    pub(super) fn time(&self) -> Time {
        self.concentration.as_ref().map_or(self.basis.least, |found| found.time)
    }
}

/// The belts of one crossing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Belts(BTreeMap<Sort, Belt>);

impl Belts {
    /// The belts of a crossing with the times of its ways.
    pub(super) fn of(
        basis: &DesignBasis,
        kinds: &[GroundKind],
        pieces: &[Piece],
        ways: &Ways,
        rain: &Rain,
    ) -> Warned<Self> {
        let mut belts: BTreeMap<Sort, Belt> = BTreeMap::new();
        let mut bands: Vec<usize> = pieces.iter().map(|piece| piece.band).collect();
        bands.sort_unstable();
        bands.dedup();
        let mut within: Vec<Piece> = Vec::new();
        for band in bands {
            within.extend(pieces.iter().filter(|piece| piece.band == band));
            let up_to_here = basis.travel_basis(composite(kinds, &within), mean_curve_number(kinds, &within));
            for piece in within.iter().filter(|piece| piece.band == band) {
                let belt = belts.entry(Sort::of(kinds, piece)).or_insert(Belt {
                    shedding: Area::ZERO,
                    basis: up_to_here,
                    concentration: None,
                });
                belt.shedding = belt.shedding + piece.area * kinds[piece.kind].shed_share();
            }
        }
        Self(belts).timed(ways, rain)
    }

    /// A part of this ground, the same of each belt, whose water takes other ways.
    pub(super) fn part(&self, part: f64, ways: &Ways, rain: &Rain) -> Self {
        let share =
            |(&sort, belt): (&Sort, &Belt)| (sort, Belt { shedding: belt.shedding * part, ..belt.clone() });
        // What is to be said of the method was said of the whole.
        Self(self.0.iter().map(share).collect()).timed(ways, rain).value
    }

    /// Gives each belt the time of the longest way from such ground up to its band.
    fn timed(mut self, ways: &Ways, rain: &Rain) -> Warned<Self> {
        let mut warnings = Vec::new();
        // What is to be said is said of the longest.
        let farthest: Vec<Sort> = self.farthest().map(|(sort, _)| sort).collect();
        for (sort, belt) in &mut self.0 {
            belt.concentration = ways.to(*sort).map(|way| {
                let found = concentrate(way, &belt.basis, rain);
                if farthest.contains(sort) { found.unload(&mut warnings) } else { found.value }
            });
        }
        Warned::new(self, warnings)
    }

    /// The farthest slow and the farthest fast ground.
    fn farthest(&self) -> impl Iterator<Item = (Sort, &Belt)> {
        let last = |fast: bool| self.0.iter().rfind(|(sort, _)| sort.fast == fast);
        [false, true].into_iter().filter_map(last).map(|(&sort, belt)| (sort, belt))
    }

    /// Time that a sort's water takes; nothing for a sort that isn't there.
    pub(super) fn time(&self, sort: Sort) -> Option<Time> {
        self.0.get(&sort).map(Belt::time)
    }

    /// The water of all belts.
    pub(super) fn streams(&self) -> impl Iterator<Item = Stream> + '_ {
        self.0.values().map(|belt| Stream { shedding: belt.shedding, time: belt.time() })
    }

    /// The farthest slow or the farthest fast ground, whichever takes longer; nothing where both lie at the lot line.
    pub(super) fn longest(&self) -> Option<(Sort, &Concentration)> {
        let timed = self.farthest().filter_map(|(sort, belt)| Some((sort, belt.concentration.as_ref()?)));
        timed.reduce(|a, b| if b.1.time > a.1.time { b } else { a })
    }

    /// Of the ground that has joined by a time that whose water takes longest, of equal ones the farthest.
    pub(super) fn last_joined(&self, time: Time) -> Option<&Concentration> {
        let own = self.0.values().filter_map(|belt| belt.concentration.as_ref());
        let joined = own.filter(|found| found.time.as_s() <= time.as_s());
        joined.reduce(|a, b| if b.time.as_s() >= a.time.as_s() { b } else { a })
    }
}

/// Sum of coefficient times area.
pub(super) fn shedding(kinds: &[GroundKind], pieces: &[Piece]) -> Area {
    pieces.iter().map(|piece| piece.area * kinds[piece.kind].shed_share()).sum()
}

/// Mean coefficient; the area is above 0.
fn composite(kinds: &[GroundKind], pieces: &[Piece]) -> RunoffCoefficient {
    mean_coefficient(shedding(kinds, pieces), pieces.iter().map(|piece| piece.area).sum())
}

/// Mean coefficient; both areas are above 0.
pub(super) fn mean_coefficient(shedding: Area, area: Area) -> RunoffCoefficient {
    // Rounding may take a mean of ones just above one.
    RunoffCoefficient::new((shedding / area).min(1.0)).expect("a mean of coefficients is one")
}

/// Mean curve number by area, for the lag method only; nothing when some ground has none.
pub(super) fn mean_curve_number(kinds: &[GroundKind], pieces: &[Piece]) -> Option<CurveNumber> {
    let parts: Option<Vec<(CurveNumber, Area)>> =
        pieces.iter().map(|p| Some((kinds[p.kind].curve_number?, p.area))).collect();
    weighted(&parts?)
}
