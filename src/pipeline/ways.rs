//! The ways of the water, how long it takes down them, and where it comes from.

use super::catchment::Routed;
use super::cover::Covers;
use super::settings::Settings;
use crate::error::Error;
use crate::lots::{
    Arrival, LongestWay, LotDrainage, OntoLot, Origin, Step, WayField, WayTree, origins_by_ground,
};
use crate::runoff::{
    AHEAD_M, DesignBasis, Durations, GroundKind, Piece, Rain, Stream, TimeMethod, WaterSurface, Way,
    WayGround,
};
use crate::units::{Area, Time};
use std::collections::BTreeMap;

/// Water that stands deeper than this is a pond, m: shallower hollows are as good as noise of the elevation. Ours.
const POND_M: f32 = 0.05;

/// The ways of all water that reaches the lot, with their times.
pub(super) struct Ways {
    ground: WayGround,
    times: OwnTimes,
}

/// How long the water of each place takes in a rain.
#[derive(Debug)]
pub(super) struct OwnTimes {
    durations: Durations,
    /// For each place of the tree the first duration by which its water has arrived; nothing where all rain is the same.
    first: Option<Vec<u32>>,
}

/// A storm other than the design's.
pub(super) struct OtherRain {
    /// What the ground sheds in it, by kind, in the places of the design storm's kinds.
    pub(super) kinds: Vec<GroundKind>,
    /// How long water takes in it; nothing where that is as in the design storm.
    pub(super) times: Option<OwnTimes>,
}

/// What the ground sheds in a storm, by kind, and how long water takes.
#[derive(Clone, Copy)]
struct InStorm<'a> {
    kinds: &'a [GroundKind],
    times: &'a OwnTimes,
}

impl OwnTimes {
    pub(super) fn of(ground: &WayGround, kinds: &[GroundKind], storm: &DesignBasis) -> Self {
        let rain = storm.rain.as_ref().filter(|rain| rain.falls_with_duration());
        rain.map_or_else(
            || Self { durations: Durations::only(storm.least_time), first: None },
            |rain: &Rain| {
                let (durations, first) = ground.own_durations(kinds, &storm.travel_basis(None, None), rain);
                Self { durations, first: Some(first) }
            },
        )
    }

    pub(super) fn time(&self, step: u32) -> Time {
        self.durations.time(step as usize)
    }

    /// The first duration by which the water of a place of the tree has arrived.
    pub(super) fn first_step(&self, top: usize) -> u32 {
        self.first.as_ref().map_or(0, |first| first[top])
    }
}

/// What a tree of ways runs over. Kinds of ground that haven't come up are added to those of `covers`.
pub(super) fn way_ground(
    routed: &Routed,
    tree: WayTree,
    upstream_m2: impl Fn(usize) -> f64,
    covers: &mut Covers,
    settings: &Settings,
) -> Result<WayGround, Error> {
    let (filled, raw) = (routed.filled.values(), routed.ground.raw.values());
    let surface = WaterSurface {
        // Below a roof, the ground there.
        level_m: &|cell| routed.ground.roofs.ground_at(cell, filled[cell]),
        is_ponded: &|cell| filled[cell] - raw[cell] > POND_M,
    };
    let kind = |cell: usize| covers.place(covers.cells.middle(cell), settings);
    WayGround::new(tree, &surface, upstream_m2, kind)
}

/// Of the ground of one crossing the tops of the ways that take longest, each by its place in the tree, with the duration
/// by which its water has arrived; rising.
#[derive(Debug, Clone, Default)]
pub(super) struct Heads(Vec<(u32, usize)>);

impl Ways {
    /// Follows the water, and in rain that falls with its duration works out its times.
    pub(super) fn of(
        routed: &Routed,
        drainage: &LotDrainage,
        covers: &mut Covers,
        settings: &Settings,
    ) -> Result<Self, Error> {
        let upstream_m2 =
            |cell: usize| routed.reach.place(cell).map_or(0.0, |place| drainage.descent.area_m2[place]);
        let (scene, arrival) = (routed.scene(), &routed.arrival);
        let tree = WayTree::of(&WayField { scene, goal: &OntoLot { scene, arrival } }, AHEAD_M);
        let ground = way_ground(routed, tree, upstream_m2, covers, settings)?;
        let times = OwnTimes::of(&ground, covers.kinds(), &settings.storm);
        Ok(Self { ground, times })
    }

    /// How long water takes in another storm; nothing where that doesn't hang on the storm: where sheets are timed by the 2-year,
    /// 24-hour rain and no coefficient is in the formula.
    pub(super) fn times_in(&self, kinds: &[GroundKind], storm: &DesignBasis) -> Option<OwnTimes> {
        let steady = storm.travel_basis(None, None).two_year_day.is_some();
        let is_same = steady && storm.time_method != TimeMethod::Airport;
        (!is_same).then(|| OwnTimes::of(&self.ground, kinds, storm))
    }

    /// The first duration by which the water of a cell has arrived, by the cell's place in the reach: the least one for what
    /// falls on the lot line.
    fn step(&self, reach_place: usize) -> u32 {
        self.step_in(&self.times, reach_place)
    }

    fn step_in(&self, times: &OwnTimes, reach_place: usize) -> u32 {
        self.ground.tree().start(reach_place).map_or(0, |top| times.first_step(top))
    }

    fn time(&self, step: u32) -> Time {
        self.times.time(step)
    }

    /// Where the rain fell that enters by some steps, and the tops of its ways.
    pub(super) fn pieces(
        &self,
        routed: &Routed,
        covers: &mut Covers,
        settings: &Settings,
        steps: &[(Step, f64)],
    ) -> Result<(Vec<Piece>, Heads), Error> {
        let part = routed.arrival.restricted(&routed.scene(), steps);
        let mut areas_m2 = BTreeMap::new();
        origins_by_ground(&routed.scene(), &part, &covers.cells, |Origin { place, label, key, area_m2 }| {
            *areas_m2.entry((label, key, self.step(place))).or_default() += area_m2;
        });
        let mut pieces = Vec::with_capacity(areas_m2.len());
        for ((label, key, step), m2) in areas_m2 {
            let kind = covers.place(key, settings)?;
            pieces.push(Piece { label, kind, time: self.time(step), area: Area::from_m2(m2) });
        }
        Ok((pieces, self.heads(&part)))
    }

    /// The water that enters by parts of some steps, in the design storm.
    pub(super) fn streams(&self, routed: &Routed, covers: &Covers, steps: &[(Step, f64)]) -> Vec<Stream> {
        let design = InStorm { kinds: covers.kinds(), times: &self.times };
        self.streams_of(routed, covers, steps, &[design]).pop().unwrap_or_default()
    }

    /// The same water in other storms, in their order: followed once for all of them.
    pub(super) fn streams_in(
        &self,
        routed: &Routed,
        covers: &Covers,
        steps: &[(Step, f64)],
        storms: &[&OtherRain],
    ) -> Vec<Vec<Stream>> {
        let storms: Vec<InStorm<'_>> = storms
            .iter()
            .map(|other| InStorm { kinds: &other.kinds, times: other.times.as_ref().unwrap_or(&self.times) })
            .collect();
        self.streams_of(routed, covers, steps, &storms)
    }

    fn streams_of(
        &self,
        routed: &Routed,
        covers: &Covers,
        steps: &[(Step, f64)],
        storms: &[InStorm<'_>],
    ) -> Vec<Vec<Stream>> {
        let part = routed.arrival.restricted(&routed.scene(), steps);
        let mut shedding_m2: Vec<BTreeMap<u32, f64>> = vec![BTreeMap::new(); storms.len()];
        origins_by_ground(&routed.scene(), &part, &covers.cells, |Origin { place, key, area_m2, .. }| {
            let Some(kind) = covers.known_place(key) else { return };
            for (storm, sums) in storms.iter().zip(&mut shedding_m2) {
                let coefficient = storm.kinds[kind].coefficient.map_or(0.0, f64::from);
                *sums.entry(self.step_in(storm.times, place)).or_default() += area_m2 * coefficient;
            }
        });
        let streams = storms.iter().zip(shedding_m2).map(|(storm, sums)| {
            let stream = |(step, m2)| Stream { shedding: Area::from_m2(m2), time: storm.times.time(step) };
            sums.into_iter().map(stream).collect()
        });
        streams.collect()
    }

    /// Tops of ways that count for some ground: of cells most of whose water comes by here, or at least half as much of it as of any
    /// other. A way that only a trace takes tells nothing of the rest.
    fn heads(&self, part: &Arrival) -> Heads {
        let most = part.shares().iter().copied().fold(0.0, f64::max);
        let mut longest: BTreeMap<u32, usize> = BTreeMap::new();
        for (place, _) in
            part.shares().iter().enumerate().filter(|(_, share)| **share > 0.0 && **share >= 0.5 * most)
        {
            let Some(top) = self.ground.tree().start(place) else { continue };
            let length_m = |top: usize| self.ground.tree().to_end_m(top);
            let best = longest.entry(self.step(place)).or_insert(top);
            if length_m(top) > length_m(*best) {
                *best = top;
            }
        }
        Heads(longest.into_iter().collect())
    }

    /// Of some ground the way that takes longest among those that take no longer than a time.
    pub(super) fn longest(&self, kinds: &[GroundKind], heads: &Heads, within: Time) -> Option<Way> {
        let count = heads.0.partition_point(|&(step, _)| self.time(step) <= within);
        heads.0[..count].last().map(|&(_, top)| self.ground.way(kinds, top))
    }

    /// The way that takes longest of all.
    pub(super) fn drawn(&self, heads: &Heads) -> Option<LongestWay> {
        heads.0.last().map(|&(_, top)| self.ground.tree().way(top))
    }
}
