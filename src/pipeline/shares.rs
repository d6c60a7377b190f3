//! Where along each part the routed water comes to it, and what share of it the part takes there: `docs/methods.md`, "Share by
//! place".

use super::catchment::Routed;
use super::outlets::PartOutlets;
use super::part_water::course_from_lot;
use crate::error::Error;
use crate::interceptor::drain::{Growth, Kept};
use crate::interceptor::proof::{Came, Coming};
use crate::interceptor::{DrainedEnd, InterceptionLine, InterceptorError, LinePart};
use crate::lots::{Entry, LotDrainage, LotLine, Scene};

/// Places nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// How the water that crosses a part by the routed ground comes to it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Comes {
    /// Down the way to its outlet.
    growth: Growth,
    /// Water of one step comes in over so much of the part.
    spread_m: f64,
    end: DrainedEnd,
}

/// Share of what crosses a part that it takes, place by place.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum TakenShare {
    /// The same everywhere.
    Even(f64),
    /// What its drain keeps where the water comes.
    Along(Comes, Kept),
}

/// Finds for each part with a way how its water comes; nothing for a part to which none does.
///
/// # Method
/// All that crosses it as in the proof, each step's water evenly over as much of the part as a cell is wide.
pub(super) fn comings(
    routed: &Routed,
    (line, drainage): (&LotLine, &LotDrainage),
    interception: &InterceptionLine,
    outlets: &[PartOutlets],
) -> Result<Vec<Option<Comes>>, Error> {
    let course = course_from_lot(routed)?;
    let on_lot = Scene { reach: course.as_ordered(), ..routed.scene() };
    let paths: Vec<_> = interception.parts.iter().map(|part| &part.path).collect();
    let coming = Coming::new(&on_lot, routed.ground.georef, line, &paths);
    let entries: Vec<(Entry, f64)> = drainage.descent.entries.iter().map(|e| (*e, e.area_m2)).collect();
    let cell_m2 = on_lot.cell.area_m2();
    let own_m2 = |cell: usize| on_lot.lots.share(cell, on_lot.subject) * cell_m2;
    let one = |((place, part), outlets): ((usize, &LinePart), &PartOutlets)| {
        let Some(proposed) = outlets.proposed() else { return Ok(None) };
        Ok(Comes::of(part, proposed.way.end, &coming.came(place, &entries, own_m2))?)
    };
    interception.parts.iter().enumerate().zip(outlets).map(one).collect()
}

impl Comes {
    fn of(part: &LinePart, end: DrainedEnd, came: &[Came]) -> Result<Option<Self>, InterceptorError> {
        let (length_m, spread_m) = (part.length.as_m(), part.station_step.as_m());
        let all_m2: f64 = came.iter().map(|came| came.area_m2).sum();
        if all_m2 <= 0.0 {
            return Ok(None);
        }
        let windows: Vec<([f64; 2], f64)> = came
            .iter()
            .map(|came| (comes_in_over(came.station_m, spread_m, length_m), came.area_m2 / all_m2))
            .collect();
        let mut stations: Vec<f64> = windows.iter().flat_map(|window| window.0).collect();
        stations.retain(|m| *m > SAME_M && *m < length_m - SAME_M);
        stations.sort_by(f64::total_cmp);
        stations.dedup_by(|b, a| *b - *a <= SAME_M);
        let come_in = |m: f64| -> f64 {
            let of = |([from_m, to_m], share): &([f64; 2], f64)| {
                share * ((m - from_m) / (to_m - from_m)).clamp(0.0, 1.0)
            };
            windows.iter().map(of).sum()
        };
        let mut so_far = 0.0_f64;
        let mut places = vec![(0.0, 0.0)];
        for station_m in stations {
            so_far = so_far.max(come_in(station_m).clamp(0.0, 1.0));
            places.push((station_m, so_far));
        }
        places.push((length_m, 1.0));
        let drawn = Growth::new(places)?;
        let growth = if end == DrainedEnd::Upper { drawn.reversed() } else { drawn };
        Ok(Some(Self { growth, spread_m, end }))
    }

    /// Down the way to its outlet.
    pub(super) const fn growth(&self) -> &Growth {
        &self.growth
    }

    /// Where the water of a step comes in that crosses the part at a station as it is drawn, down the way, m.
    fn comes_in(&self, station_m: f64) -> [f64; 2] {
        let length_m = self.growth.length_m();
        let [from_m, to_m] = comes_in_over(station_m, self.spread_m, length_m);
        if self.end == DrainedEnd::Upper { [length_m - to_m, length_m - from_m] } else { [from_m, to_m] }
    }
}

/// Both ends of as much of a part as the water of a step comes in over: as wide beside the part's ends as elsewhere.
pub(super) fn comes_in_over(station_m: f64, spread_m: f64, length_m: f64) -> [f64; 2] {
    let wide_m = spread_m.max(2.0 * SAME_M).min(length_m);
    let from_m = (station_m - 0.5 * wide_m).clamp(0.0, length_m - wide_m);
    [from_m, from_m + wide_m]
}

impl TakenShare {
    /// What a part keeps of all that comes to it, by what its drain keeps of it where it comes, held to the
    /// share that pipes farther on carry and made to add up to that of the design.
    pub(super) fn along(comes: &Comes, kept: Kept, further: f64, share: f64) -> Self {
        Self::Along(comes.clone(), kept.held_to(further).with_share(share))
    }

    /// At a station of the part as it is drawn, m.
    pub(super) fn at(&self, station_m: f64) -> f64 {
        match self {
            Self::Even(share) => *share,
            Self::Along(comes, kept) => {
                let [from_m, to_m] = comes.comes_in(station_m);
                kept.share_between(from_m, to_m)
            }
        }
    }

    /// Of all water of the part.
    pub(super) fn mean(&self) -> f64 {
        match self {
            Self::Even(share) => *share,
            Self::Along(_, kept) => kept.share(),
        }
    }
}

/// The parts whose pipes a part's water goes through after its own, in order.
pub(super) fn onward(outlets: &[PartOutlets], part: usize) -> impl Iterator<Item = usize> + '_ {
    std::iter::successors(outlets[part].joins, |&into| outlets[into].joins)
}

/// The same with the station of the way at which it comes into each, m.
pub(super) fn onward_joints(outlets: &[PartOutlets], part: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
    std::iter::once(part).chain(onward(outlets, part)).zip(onward(outlets, part)).map(|(from, into)| {
        let at = outlets[from].place().map(|place| place.at);
        let way = outlets[into].proposed().map(|found| &found.way);
        (into, at.zip(way).and_then(|(at, way)| way.station_nearest(at)).unwrap_or(0.0))
    })
}
