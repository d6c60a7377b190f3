//! The water that comes to each part of the line: what enters over its stretch, what else reaches it over the lot, and the
//! lot's own ground.

mod own;

use super::catchment::Routed;
use super::caught::steps_within;
use super::cover::Covers;
use super::settings::Settings;
use super::storm::Stormed;
use super::ways::{OtherRain, Ways};
use crate::error::Error;
use crate::flow::{Course, FlowError};
use crate::interceptor::proof::{Came, Coming};
use crate::interceptor::{CaughtStretch, InterceptionLine, LineStorm, PartWater};
use crate::lots::{Entry, Inflow, LotDrainage, LotLine, Scene, Step, Stretch, amount_within};
use crate::runoff::Stream;
use crate::units::{Area, RunoffCoefficient};
use own::OwnGround;
use std::collections::BTreeMap;

/// Where a part's water comes from.
pub(super) struct Feeding {
    /// Steps onto the lot, with the part of each that comes to the part of the line; sorted.
    steps: Vec<(Step, f64)>,
    own: OwnGround,
    /// Where along the part water comes that enters elsewhere than over its stretch, or falls on the lot outside the strip.
    pub(super) came: Vec<Came>,
    /// Area outside the lot of it.
    other_run_on: Area,
}

/// Cells that the lot's water can come to.
pub(super) fn course_from_lot(routed: &Routed) -> Result<Course, FlowError> {
    let scene = routed.scene();
    let seeds = scene.lots.cells_of(scene.subject).chain(scene.lots.fringe_of(scene.subject));
    Course::downstream_of(scene.field, seeds)
}

/// Finds it for each part, on the course of the lot's water.
///
/// # Method
/// `docs/methods.md`, "Water of a part".
pub(super) fn feeding(
    routed: &Routed,
    course: &Course,
    (line, drainage): (&LotLine, &LotDrainage),
    (interception, caught): (&InterceptionLine, &[CaughtStretch]),
    stormed: &mut Stormed,
    settings: &Settings,
) -> Result<Vec<Feeding>, Error> {
    let on_lot = Scene { reach: course.as_ordered(), ..routed.scene() };
    let paths: Vec<_> = interception.parts.iter().map(|part| &part.path).collect();
    let coming = Coming::new(&on_lot, routed.ground.georef, line, &paths);
    let passing_m2 = coming.passing_m2(&drainage.descent.entries);
    let outside = own::OutsideStrips::of(&on_lot, routed.ground.georef, interception)?;
    let lengths_m = line.ring_lengths_m();
    let one = |(part, caught): (usize, &CaughtStretch)| {
        let stretch = &caught.stretch;
        let length_m = lengths_m[stretch.ring];
        let entering = entering_elsewhere(drainage, stretch, length_m);
        let other_m2 = entering.iter().map(|(entry, m2)| m2 * coming.of_entry(part, entry)).sum();
        Ok(Feeding {
            steps: steps(drainage, steps_within(stretch, drainage, length_m), |e| coming.of_entry(part, e)),
            own: OwnGround::of(
                routed,
                (&coming, part),
                (&outside, &passing_m2),
                &mut stormed.covers,
                settings,
            )?,
            came: coming.came(part, &entering, |cell| outside.area_m2(cell)),
            other_run_on: Area::from_m2(other_m2),
        })
    };
    caught.iter().enumerate().map(one).collect()
}

/// What enters elsewhere than over a stretch, m².
fn entering_elsewhere(drainage: &LotDrainage, stretch: &Stretch, length_m: f64) -> Vec<(Entry, f64)> {
    let within = |inflow: &Inflow| (amount_within(stretch, &[*inflow], length_m) / inflow.amount).min(1.0);
    let entries = drainage.descent.entries.iter().zip(&drainage.inflows);
    let wet = entries.filter(|(_, inflow)| inflow.amount > 0.0);
    wet.map(|(entry, inflow)| (*entry, entry.area_m2 * (1.0 - within(inflow)))).collect()
}

/// All steps that count: as much as enters over the stretch, and of the rest what comes to the part.
fn steps(
    drainage: &LotDrainage,
    within: Vec<(Step, f64)>,
    comes: impl Fn(&Entry) -> f64,
) -> Vec<(Step, f64)> {
    let within: BTreeMap<Step, f64> = within.into_iter().collect();
    let mut found: BTreeMap<Step, f64> = within.clone();
    for entry in &drainage.descent.entries {
        let step = (entry.from, entry.into);
        let inside = within.get(&step).copied().unwrap_or(0.0);
        let all = inside + (1.0 - inside) * comes(entry);
        if all > 0.0 {
            let most = found.entry(step).or_default();
            *most = most.max(all);
        }
    }
    found.into_iter().collect()
}

impl Feeding {
    /// The part's water in the design storm.
    pub(super) fn water(
        &self,
        routed: &Routed,
        (ways, covers): (&Ways, &Covers),
        storm: Option<LineStorm<'_>>,
    ) -> PartWater {
        let streams = storm.map(|storm| {
            let run_on = ways.streams(routed, covers, &self.steps);
            [run_on, self.own.streams(covers.kinds(), None, storm.strip_coefficient)].concat()
        });
        PartWater {
            other_run_on: self.other_run_on,
            own_ground: self.own.area(),
            streams: streams.unwrap_or_default(),
        }
    }

    /// The same water in other storms, in their order, each with the coefficient of ground of which none is known.
    pub(super) fn streams_in(
        &self,
        routed: &Routed,
        (ways, covers): (&Ways, &Covers),
        storms: &[(&OtherRain, &crate::runoff::DesignBasis, RunoffCoefficient)],
    ) -> Vec<Vec<Stream>> {
        let rains: Vec<&OtherRain> = storms.iter().map(|storm| storm.0).collect();
        let run_on = ways.streams_in(routed, covers, &self.steps, &rains);
        let each = run_on.into_iter().zip(storms).map(|(run_on, (rain, storm, unknown))| {
            [run_on, self.own.streams(&rain.kinds, Some(storm), *unknown)].concat()
        });
        each.collect()
    }
}
