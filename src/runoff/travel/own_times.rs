//! How long water takes from each place of a tree of ways: the time of [`concentrate`](super::concentrate) for every
//! one of them, without walking each to its end.

use super::super::durations::Durations;
use super::super::ground_kind::GroundKind;
use super::super::rain::Rain;
use super::chain::{self, ChannelFlow, SegmentKind, SheetRule};
use super::way_ground::{WayGround, coefficient, coefficient_of, number, number_of};
use super::whole_way::{self, TimeMethod};
use super::{TravelBasis, WayPoint};
use crate::formula::manning::velocity as channel_velocity;
use crate::formula::{kerby, shallow_flow, sheet_flow};
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

/// What follows after a place, from the end up: one reach of shallow flow for each kind of ground, then the channel.
struct Beyond {
    /// The next place down the way where another reach begins; the root at the end.
    change: Vec<u32>,
    /// Time from a place to the end, with a reach that begins there, s.
    after_s: Vec<f64>,
    /// Sums of coefficient or curve number times length from a place to the end, where the formula takes it.
    sums: Vec<f64>,
}

impl Beyond {
    fn of(ground: &WayGround, kinds: &[GroundKind], basis: &TravelBasis) -> Self {
        let mut found = Self { change: Vec::new(), after_s: Vec::new(), sums: Vec::new() };
        match basis.method {
            TimeMethod::Airport => found.add_sums(ground, kinds, &coefficient_of),
            TimeMethod::Lag => found.add_sums(ground, kinds, &number_of),
            TimeMethod::Chain | TimeMethod::KerbyKirpich => {}
        }
        // Formulas for the whole way may not hold somewhere, and then the chain counts.
        if basis.method != TimeMethod::KerbyKirpich {
            found.add_reaches(ground, kinds, basis);
        }
        found
    }

    #[expect(clippy::cast_possible_truncation, reason = "a tree has fewer than 2^32 places")]
    fn add_reaches(&mut self, ground: &WayGround, kinds: &[GroundKind], basis: &TravelBasis) {
        let tree = ground.tree();
        let shallow = |place: usize| ground.kind(kinds, place).surface.shallow;
        for place in 0..tree.len() {
            let Some(next) = tree.next(place) else {
                self.change.push(place as u32);
                self.after_s.push(0.0);
                continue;
            };
            let goes_on = tree.next(next).is_some()
                && channel_from(ground, basis, next).is_none()
                && shallow(next) == shallow(place);
            self.change.push(if goes_on { self.change[next] } else { next as u32 });
            let here = Spot { place, to_end_m: tree.to_end_m(place), level_m: ground.level_m(place) };
            self.after_s.push(match channel_from(ground, basis, place) {
                Some(channel) => channel_s(ground, here, channel),
                None => self.shallow_s(ground, kinds, here),
            });
        }
    }

    fn add_sums(
        &mut self,
        ground: &WayGround,
        kinds: &[GroundKind],
        of: &dyn Fn(&GroundKind) -> Option<f64>,
    ) {
        for place in 0..ground.tree().len() {
            let sum = ground.tree().next(place).map_or(0.0, |next| {
                ground.weighted(kinds, (place, next), of).map_or(f64::NAN, |part| self.sums[next] + part)
            });
            self.sums.push(sum);
        }
    }

    /// Shallow flow from somewhere on the ground of a place, and what follows.
    fn shallow_s(&self, ground: &WayGround, kinds: &[GroundKind], from: Spot) -> f64 {
        let to = self.change[from.place] as usize;
        let length_m = from.to_end_m - ground.tree().to_end_m(to);
        if length_m <= 0.0 {
            return self.after_s.get(to).copied().unwrap_or(0.0);
        }
        let (grade, _) = chain::grade_of(from.level_m - ground.level_m(to), length_m);
        let over = ground.kind(kinds, from.place).surface.shallow;
        length_m / shallow_flow::velocity(over, grade).as_m_per_s() + self.after_s[to]
    }
}

/// Somewhere on a way: at or after a place and before the next.
#[derive(Clone, Copy)]
struct Spot {
    place: usize,
    to_end_m: f64,
    level_m: f64,
}

/// The channel, where it has begun at a place.
fn channel_from(ground: &WayGround, basis: &TravelBasis, place: usize) -> Option<ChannelFlow> {
    basis.channel.filter(|channel| ground.upstream_m2(place) >= channel.from.as_m2())
}

/// Channel flow down to the end.
fn channel_s(ground: &WayGround, from: Spot, channel: ChannelFlow) -> f64 {
    if from.to_end_m <= 0.0 {
        return 0.0;
    }
    let end_m = ground.level_m(ground.tree().end(from.place));
    let (grade, _) = chain::grade_of(from.level_m - end_m, from.to_end_m);
    from.to_end_m / channel_velocity(channel.n, channel.radius, grade).as_m_per_s()
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
        let spot = Spot {
            place,
            to_end_m: self.ground.tree().to_end_m(top) - end_m,
            level_m: chain::level_at(&start.points, end_m),
        };
        let channel = start.places[..=last].iter().find_map(|&at| channel_from(self.ground, self.basis, at));
        let rest_s = match channel {
            Some(channel) => channel_s(self.ground, spot, channel),
            None => self.beyond.shallow_s(self.ground, self.kinds, spot),
        };
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
