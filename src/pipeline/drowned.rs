//! Drains out of which standing water at the outlet drives the water: looked at again with larger pipes, then
//! with another outlet.

use super::drain::{Drains, PartDrain};
use super::outlets::{BuiltWater, LaidLine, NoLarger};
use super::shares::onward;
use crate::interceptor::catalogue::Catalogue;
use crate::interceptor::drain::{DrainOption, Larger, SizedReach};

/// Shares nearer than this are one.
const SAME: f64 = 1e-9;
/// Pipes that lower the water above the ground by no more than this are no larger for it, m. Ours: levels that
/// differ by less are one (`interceptor/tailwater.rs`).
const NO_LOWER_M: f64 = 0.005;
/// Sizes nearer than this are one, mm.
const SAME_MM: f64 = 1e-6;
/// Multiples of a flow nearer than this, relatively, are one.
const SAME_TIMES: f64 = 1e-9;

/// How far a part's drain has been looked at for standing water at its outlet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Standing {
    /// How much larger its pipes are than their flow asks for.
    pub(super) larger: Larger,
    /// Some of them must be called smaller than these, by reach, mm: with these less was kept, cover was missing or
    /// it couldn't be built. Where there are none, no pipes are made larger.
    below: Option<Vec<f64>>,
    /// Share of its flow that it kept with its first pipes.
    kept: Option<f64>,
    /// Why its pipes are no larger though water is driven out of them, where nothing more is done about it.
    left: Option<NoLarger>,
}

impl Standing {
    /// Nothing asks for it.
    pub(super) const SIZED: Self = Self { larger: Larger::NONE, below: None, kept: None, left: None };

    /// Why its pipes are no larger though water is driven out of them.
    pub(super) const fn no_larger(&self) -> Option<NoLarger> {
        self.left
    }

    /// Whether some of its pipes are smaller than those that are barred.
    fn may_have(&self, reaches: &[SizedReach]) -> bool {
        self.below.as_ref().is_none_or(|below| {
            reaches.iter().zip(below).any(|(sized, below_mm)| sized.pipe.nominal_mm < below_mm - SAME_MM)
        })
    }

    /// Bars pipes and all that are as large; all where these were barred.
    fn bar(&mut self, reaches: &[SizedReach]) {
        let called = || reaches.iter().map(|sized| sized.pipe.nominal_mm).collect();
        self.below = Some(if self.may_have(reaches) { called() } else { Vec::new() });
        self.larger = Larger::NONE;
    }
}

/// What is done about a part's drain.
#[derive(Debug, Clone, PartialEq)]
enum Next {
    /// Nothing is to be done.
    Stays,
    /// Drains are designed anew, with larger pipes: of the part, and of those whose pipes its water goes through.
    Grows(Vec<(usize, Larger)>),
    /// The drain is designed anew without the pipes that it has.
    Bars,
    /// No larger pipes are laid.
    Drowned(NoLarger),
}

/// Looks at all drains; says of which parts another outlet was taken, and whether any drain is to be designed anew.
///
/// # Method
/// Of a drain that is drowned the grade line is worked out with larger pipes where the smaller ones lie: those
/// that would be sized for more flow, up to twice the size, along the part and all whose pipes its water goes
/// through. Of these steps the smallest counts that leaves the water above the
/// ground no more than [`NO_LOWER_M`] higher than the one that leaves it lowest. So designed they are looked at
/// in the same way. Pipes with which less is kept or cover is missing are barred, and those that are as large or
/// larger. Where none is to be made larger the outlet counts as one that drives water out of the line: a part that shares
/// no pipe with others takes a better one, if it has one. All steps are worked out from what the flow asks for,
/// whatever others ask of the same pipes, so that more flow never gives a smaller one: `docs/methods.md`,
/// "Water at the outlet". Each round takes a larger pipe, bars some, or leaves an outlet, so that it ends.
pub(super) fn looked_at(
    laid: &mut LaidLine,
    drains: &Drains,
    standing: &mut [Standing],
    catalogue: &Catalogue,
) -> Looked {
    let mut looked = Looked::default();
    let line = Line { laid, drains, standing, catalogue };
    let all: Vec<Next> = (0..drains.parts.len()).map(|part| line.next(part)).collect();
    let kept: Vec<f64> = (0..all.len()).map(|part| line.kept(part)).collect();
    let reaches: Vec<Vec<SizedReach>> =
        (0..all.len()).map(|part| line.option(part).map_or_else(Vec::new, |o| o.reaches.clone())).collect();
    let is_barred = |part: usize| all[part] == Next::Bars;
    for (part, next) in all.iter().enumerate() {
        match next {
            Next::Stays => {}
            Next::Grows(of) => {
                // What is barred is designed first; who asked for it is looked at then.
                for &(part, larger) in of.iter().filter(|(part, _)| !is_barred(*part)) {
                    standing[part].kept.get_or_insert(kept[part]);
                    standing[part].larger = standing[part].larger.or(larger);
                }
                looked.again = true;
            }
            Next::Bars => {
                standing[part].bar(&reaches[part]);
                looked.again = true;
            }
            Next::Drowned(_) => {}
        }
    }
    if looked.again {
        return looked;
    }
    for (part, next) in all.iter().enumerate() {
        let Next::Drowned(why) = next else { continue };
        if let Some(water) = BuiltWater::of(&laid.found, drains, part) {
            laid.tell(part, water, Some(*why));
        }
        standing[part].left = Some(*why);
        if laid.takes_another(part) {
            standing[part] = Standing::SIZED;
            looked.elsewhere.push(part);
        }
    }
    looked
}

/// What came of it.
#[derive(Debug, Default)]
pub(super) struct Looked {
    /// Whether a drain is to be designed anew.
    pub(super) again: bool,
    /// Parts that drain to another outlet now.
    pub(super) elsewhere: Vec<usize>,
}

/// The line as it is.
struct Line<'a> {
    laid: &'a LaidLine,
    drains: &'a Drains,
    standing: &'a [Standing],
    catalogue: &'a Catalogue,
}

/// Pipes that a part may have, step by step with those of the others along its water's way, the smallest first.
struct Steps<'a> {
    part: usize,
    option: &'a DrainOption,
    larger: Vec<Larger>,
}

impl Line<'_> {
    fn option(&self, part: usize) -> Option<&DrainOption> {
        self.drains.parts[part].as_ref().and_then(PartDrain::chosen)
    }

    fn kept(&self, part: usize) -> f64 {
        self.option(part).map_or(0.0, DrainOption::share)
    }

    /// Whether larger pipes have made a part's drain worse otherwise.
    fn is_worse(&self, part: usize) -> bool {
        let Standing { larger, kept, .. } = &self.standing[part];
        let helps = |option: &DrainOption| option.built.is_ok() && option.thin.is_none();
        let keeps_less = kept.is_some_and(|before| self.kept(part) < before - SAME);
        !larger.is_none() && (keeps_less || !self.option(part).is_some_and(helps))
    }

    fn next(&self, part: usize) -> Next {
        if self.is_worse(part) {
            return Next::Bars;
        }
        let water = BuiltWater::of(&self.laid.found, self.drains, part);
        if !water.is_some_and(|water| water.is_drowned()) || self.standing[part].left.is_some() {
            return Next::Stays;
        }
        let parts: Vec<usize> = std::iter::once(part).chain(onward(&self.laid.found, part)).collect();
        let grows = self.larger(part, &parts);
        if !grows.is_empty() {
            return Next::Grows(grows);
        }
        let is_barred = parts.iter().any(|&part| self.standing[part].below.is_some());
        Next::Drowned(if is_barred { NoLarger::WorseOtherwise } else { NoLarger::NoneHelps })
    }

    /// Larger pipes along some parts, one of which the water comes from, that lower it above the ground; only
    /// those that are larger than they are.
    fn larger(&self, part: usize, parts: &[usize]) -> Vec<(usize, Larger)> {
        let Some(of) = self.steps(parts) else { return Vec::new() };
        let above_m: Vec<f64> =
            (0..of[0].larger.len()).map(|step| self.above_ground_m(part, &of, step)).collect();
        let least_m = above_m.iter().copied().fold(f64::INFINITY, f64::min);
        let Some(step) = above_m.iter().position(|above_m| *above_m <= least_m + NO_LOWER_M) else {
            return Vec::new();
        };
        let asked = of.iter().map(|of| (of.part, of.larger[step]));
        let is_larger = |&(part, larger): &(usize, Larger)| {
            let now = self.standing[part].larger;
            now.or(larger) != now
        };
        asked.filter(is_larger).collect()
    }

    /// How far the water of a part stands above the ground with pipes of a step, m; 0 where it doesn't.
    fn above_ground_m(&self, part: usize, of: &[Steps<'_>], step: usize) -> f64 {
        let instead = |at: usize| {
            let of = of.iter().find(|of| of.part == at)?;
            let larger = of.larger[step];
            // What it is sized for is known only as long as it isn't larger.
            let is_as_built = larger.is_none() && self.standing[at].larger.is_none();
            (!is_as_built).then(|| (of.option, of.option.sized_for(larger, self.catalogue)))
        };
        let above_m = BuiltWater::above_ground_m(&self.laid.found, self.drains, part, &instead);
        above_m.unwrap_or(0.0).max(0.0)
    }

    /// The steps of some parts; nothing where one of them has no pipe.
    ///
    /// # Method
    /// From the sizes for the flow to those for each multiple of it at which the sizes in one of the parts
    /// change; at each the pipes of the leads grow before those along the parts. A part whose pipes may be no
    /// larger keeps those of the step before.
    fn steps(&self, parts: &[usize]) -> Option<Vec<Steps<'_>>> {
        let options: Vec<&DrainOption> =
            parts.iter().map(|&part| self.option(part)).collect::<Option<_>>()?;
        let mut all: Vec<f64> = options.iter().flat_map(|option| option.multiples(self.catalogue)).collect();
        all.sort_by(f64::total_cmp);
        all.dedup_by(|b, a| *b <= *a * (1.0 + SAME_TIMES));
        let of = |(&part, option): (&usize, &'_ DrainOption)| {
            let mut larger = vec![Larger::NONE];
            let mut before = 1.0;
            for &times in &all {
                let lead_inside = option.lead_inside_for(times, self.catalogue);
                for times in [before, times] {
                    let next = Larger { times, lead_inside };
                    let may_be = self.standing[part].may_have(&option.sized_for(next, self.catalogue));
                    larger.push(if may_be { next } else { larger[larger.len() - 1] });
                }
                before = times;
            }
            larger
        };
        let steps = parts.iter().zip(options).map(|(part, option)| Steps {
            part: *part,
            option,
            larger: of((part, option)),
        });
        Some(steps.collect())
    }
}
