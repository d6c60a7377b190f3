//! The lot's own ground whose water comes to a part, with its cover and its time.

use super::super::catchment::Routed;
use super::super::cover::Covers;
use super::super::settings::Settings;
use super::super::ways::{OwnTimes, way_ground};
use crate::error::Error;
use crate::grid::Georef;
use crate::interceptor::InterceptionLine;
use crate::interceptor::proof::Coming;
use crate::lots::{CellLots, Goal, Label, Scene, TooManyLots, WayField, WayTree};
use crate::runoff::{AHEAD_M, DesignBasis, GroundKind, Stream, WayGround};
use crate::units::{Area, RunoffCoefficient};
use geo::MultiPolygon;
use std::collections::BTreeMap;

/// The lot's ground outside the strips between lot line and line, which are counted by their outlines.
pub(super) struct OutsideStrips<'a> {
    scene: &'a Scene<'a>,
    strips: Option<CellLots>,
}

impl<'a> OutsideStrips<'a> {
    pub(super) fn of(
        scene: &'a Scene<'a>,
        georef: Georef,
        interception: &InterceptionLine,
    ) -> Result<Self, TooManyLots> {
        let outlines: Vec<MultiPolygon> =
            interception.parts.iter().map(|part| part.strip.clone().into()).collect();
        let outlines: Vec<&MultiPolygon> = outlines.iter().collect();
        let strips = (!outlines.is_empty())
            .then(|| CellLots::new(scene.field.shape(), georef, &outlines))
            .transpose()?;
        Ok(Self { scene, strips })
    }

    /// The lot's ground in a cell that isn't in a strip, m².
    ///
    /// Water goes from middle to middle: where the middle lies in a strip, or across the lot line from one, what of the cell
    /// lies behind the line doesn't come to it.
    pub(super) fn area_m2(&self, cell: usize) -> f64 {
        let own = self.scene.lots.share(cell, self.scene.subject);
        if own <= 0.0 {
            return 0.0;
        }
        let of_strips = |strips: &CellLots| -> f64 {
            let parts = strips.parts(cell).filter(|(label, _)| *label != Label::UNPARCELLED);
            parts.map(|(_, share)| share).sum()
        };
        let in_strip = self.strips.as_ref().map_or(0.0, of_strips);
        let middle_in = || self.strips.as_ref().is_some_and(|s| s.label(cell) != Label::UNPARCELLED);
        if in_strip > 0.0 && (middle_in() || !self.scene.is_subject(cell)) {
            return 0.0;
        }
        (own - in_strip).max(0.0) * self.scene.cell.area_m2()
    }
}

/// The ways of that ground's water, and what it is.
pub(super) struct OwnGround {
    ways: WayGround,
    times: OwnTimes,
    pieces: Vec<OwnPiece>,
}

/// Ground of one kind in one cell.
struct OwnPiece {
    /// Top of its way; nothing where it lies at the line.
    top: Option<usize>,
    /// Place in the list of kinds.
    kind: usize,
    area_m2: f64,
}

/// A part of the line, from the lot's ground.
struct ToPart<'a> {
    coming: &'a Coming<'a>,
    part: usize,
}

impl Goal for ToPart<'_> {
    fn starts(&self, _: usize, cell: usize) -> bool {
        self.coming.of_cell(self.part, cell) > 0.0
    }

    fn arriving(&self, from: usize, to: usize) -> f64 {
        self.coming.over_step(self.part, from, to)
    }

    fn is_reached(&self, from: usize, to: usize) -> bool {
        self.coming.crosses(self.part, from, to)
    }
}

impl OwnGround {
    /// Of one part. Kinds that haven't come up are added to those of `covers`.
    pub(super) fn of(
        routed: &Routed,
        (coming, part): (&Coming<'_>, usize),
        (outside, passing_m2): (&OutsideStrips<'_>, &[f64]),
        covers: &mut Covers,
        settings: &Settings,
    ) -> Result<Self, Error> {
        let scene = *outside.scene;
        let goal = ToPart { coming, part };
        let tree = WayTree::of(&WayField { scene, goal: &goal }, AHEAD_M);
        let upstream_m2 = |cell: usize| scene.reach.place(cell).map_or(0.0, |place| passing_m2[place]);
        let ways = way_ground(routed, tree, upstream_m2, covers, settings)?;
        let mut pieces = Vec::new();
        for (place, &cell) in scene.reach.cells().iter().enumerate() {
            let cell = cell as usize;
            let area_m2 = coming.of_cell(part, cell) * outside.area_m2(cell);
            if area_m2 <= 0.0 {
                continue;
            }
            let top = ways.tree().start(place);
            let parts: Vec<_> = covers.cells.parts(cell).collect();
            for (key, share) in parts {
                let kind = covers.place(key, settings)?;
                pieces.push(OwnPiece { top, kind, area_m2: area_m2 * share });
            }
        }
        let times = OwnTimes::of(&ways, covers.kinds(), &settings.storm);
        Ok(Self { ways, times, pieces })
    }

    /// All of it.
    pub(super) fn area(&self) -> Area {
        Area::from_m2(self.pieces.iter().map(|piece| piece.area_m2).sum::<f64>() + 0.0)
    }

    /// Its water in a storm, that of the design without one; ground of which no coefficient is known has that given.
    pub(super) fn streams(
        &self,
        kinds: &[GroundKind],
        storm: Option<&DesignBasis>,
        unknown: RunoffCoefficient,
    ) -> Vec<Stream> {
        let other = storm.map(|storm| OwnTimes::of(&self.ways, kinds, storm));
        let times = other.as_ref().unwrap_or(&self.times);
        let mut shedding_m2: BTreeMap<u32, f64> = BTreeMap::new();
        for piece in &self.pieces {
            let coefficient = kinds[piece.kind].coefficient.unwrap_or(unknown).get();
            let step = piece.top.map_or(0, |top| times.first_step(top));
            *shedding_m2.entry(step).or_default() += piece.area_m2 * coefficient;
        }
        let stream = |(step, m2)| Stream { shedding: Area::from_m2(m2), time: times.time(step) };
        shedding_m2.into_iter().map(stream).collect()
    }
}
