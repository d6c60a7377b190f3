//! How long water takes from each place of a tree of ways: the time of [`concentrate`](super::concentrate) for every
//! one of them, without walking each to its end.

use super::super::durations::Durations;
use super::super::ground_kind::GroundKind;
use super::super::rain::Rain;
use super::chain::{self, SegmentKind, SheetRule};
use super::way_ground::{WayGround, coefficient, coefficient_of, number, number_of};
use super::whole_way::{self, TimeMethod};
use super::{TravelBasis, WayPoint};
use crate::formula::{kerby, sheet_flow};
use crate::units::{Length, Time};
use rayon::prelude::*;

/// The time from one place: a part that doesn't hang on the rain, and that of a sheet in the rain of
/// [`Durations::reference`]. Seven digits are more than enough to tell durations apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in super::super) struct OwnTime {
    fixed_s: f32,
    sheet_s: f32,
}

impl OwnTime {
    #[expect(clippy::cast_possible_truncation, reason = "seven digits are enough")]
    fn new(fixed: Time, sheet: Time) -> Self {
        Self { fixed_s: fixed.as_s() as f32, sheet_s: sheet.as_s() as f32 }
    }

    /// In rain in which sheets take so much longer than in the reference rain.
    pub(in super::super) fn in_rain(self, slowness: f64) -> Time {
        Time::from_s(f64::from(self.fixed_s) + f64::from(self.sheet_s) * slowness)
    }

    /// No less than either, in any rain.
    pub(in super::super) const fn bound(self, other: Self) -> Self {
        Self { fixed_s: self.fixed_s.max(other.fixed_s), sheet_s: self.sheet_s.max(other.sheet_s) }
    }
}

impl WayGround {
    /// For each place the first of the durations that its water takes no longer than, with all of these durations.
    ///
    /// `basis` is that of all ways but for the composites, which are those along each.
    #[must_use]
    pub fn own_durations(
        &self,
        kinds: &[GroundKind],
        basis: &TravelBasis,
        rain: &Rain,
    ) -> (Durations, Vec<u32>) {
        let times = Times { ground: self, kinds, basis, beyond: Beyond::of(self, kinds, basis) };
        let own: Vec<OwnTime> = (0..self.tree().len())
            .into_par_iter()
            .map_init(Start::default, |start, place| times.of(place, start))
            .collect();
        let durations = Durations::reaching(&own, rain, basis.least);
        let first = own.into_par_iter().map(|own| durations.first_for(own)).collect();
        (durations, first)
    }
}

/// What follows after a place, from the end up.
struct Beyond {
    /// Time of gathered water from a place to the end, s.
    after_s: Vec<f64>,
    /// Sums of coefficient or curve number times length from a place to the end, where the formula takes it.
    sums: Vec<f64>,
}

impl Beyond {
    fn of(ground: &WayGround, kinds: &[GroundKind], basis: &TravelBasis) -> Self {
        // Formulas for the whole way may not hold somewhere, and then the chain counts.
        let after_s = match basis.method {
            TimeMethod::KerbyKirpich => Vec::new(),
            _ => Self::gathered(ground, kinds, basis),
        };
        let sums = match basis.method {
            TimeMethod::Airport => Self::sums(ground, kinds, &coefficient_of),
            TimeMethod::Lag => Self::sums(ground, kinds, &number_of),
            TimeMethod::Chain | TimeMethod::KerbyKirpich => Vec::new(),
        };
        Self { after_s, sums }
    }

    fn gathered(ground: &WayGround, kinds: &[GroundKind], basis: &TravelBasis) -> Vec<f64> {
        let tree = ground.tree();
        let mut after_s: Vec<f64> = Vec::with_capacity(tree.len());
        for place in 0..tree.len() {
            after_s.push(tree.next(place).map_or(0.0, |next| {
                let step_m = tree.to_end_m(place) - tree.to_end_m(next);
                let from = ground.point(kinds, place, place);
                after_s[next] + step_m / chain::pace(&from, basis).velocity.as_m_per_s()
            }));
        }
        after_s
    }

    fn sums(ground: &WayGround, kinds: &[GroundKind], of: &dyn Fn(&GroundKind) -> Option<f64>) -> Vec<f64> {
        let mut sums: Vec<f64> = Vec::with_capacity(ground.tree().len());
        for place in 0..ground.tree().len() {
            sums.push(ground.tree().next(place).map_or(0.0, |next| {
                ground.weighted(kinds, (place, next), of).map_or(f64::NAN, |part| sums[next] + part)
            }));
        }
        sums
    }
}

/// The first metres of a way, and its end.
#[derive(Default)]
struct Start {
    places: Vec<usize>,
    points: Vec<WayPoint>,
}

struct Times<'a> {
    ground: &'a WayGround,
    kinds: &'a [GroundKind],
    basis: &'a TravelBasis,
    beyond: Beyond,
}

impl Times<'_> {
    fn of(&self, top: usize, start: &mut Start) -> OwnTime {
        if self.ground.tree().next(top).is_none() {
            return OwnTime::new(Time::ZERO, Time::ZERO);
        }
        self.by_formula(top, start)
            .map_or_else(|| self.by_chain(top, start), |fixed| OwnTime::new(fixed, Time::ZERO))
    }

    /// By the formula for the whole way that is asked for, where it holds.
    fn by_formula(&self, top: usize, start: &mut Start) -> Option<Time> {
        let mean = |beyond: &Beyond| {
            Some(beyond.sums[top] / self.ground.tree().to_end_m(top)).filter(|m| m.is_finite())
        };
        let mut basis = *self.basis;
        let first = match basis.method {
            TimeMethod::Chain => return None,
            TimeMethod::KerbyKirpich => kerby::longest(),
            TimeMethod::Airport => {
                basis.coefficient = coefficient(mean(&self.beyond));
                Length::ZERO
            }
            TimeMethod::Lag => {
                basis.curve_number = number(mean(&self.beyond));
                Length::ZERO
            }
        };
        self.read(top, first, start);
        whole_way::time_by(basis.method, &start.points, &basis)
    }

    fn by_chain(&self, top: usize, start: &mut Start) -> OwnTime {
        self.read(top, sheet_flow::longest_fixed(), start);
        let (sheet, end_m) = chain::sheet(&start.points, self.basis, Durations::reference());
        let last = start.points.partition_point(|point| point.at_m <= end_m).clamp(1, start.points.len()) - 1;
        let place = start.places[last];
        let rest_s = self.ground.tree().next(place).map_or(0.0, |next| {
            let left_m = self.ground.tree().to_end_m(top) - end_m - self.ground.tree().to_end_m(next);
            let velocity = chain::pace(&start.points[last], self.basis).velocity;
            self.beyond.after_s[next] + left_m.max(0.0) / velocity.as_m_per_s()
        });
        let rest = Time::from_s(rest_s);
        match sheet.kind {
            SegmentKind::Sheet { rule: SheetRule::Intensity, .. } => OwnTime::new(rest, sheet.time),
            _ => OwnTime::new(rest + sheet.time, Time::ZERO),
        }
    }

    /// The first metres of a way, and its end.
    fn read(&self, top: usize, first: Length, start: &mut Start) {
        start.places.clear();
        start.points.clear();
        let tree = self.ground.tree();
        for place in tree.down(top) {
            let point = self.ground.point(self.kinds, top, place);
            start.places.push(place);
            start.points.push(point);
            if point.at_m >= first.as_m() && place != top {
                break;
            }
        }
        // A way's level at its end counts wherever that is.
        let end = tree.end(top);
        if start.places.last() != Some(&end) {
            start.places.push(end);
            start.points.push(self.ground.point(self.kinds, top, end));
        }
    }
}
