//! Ways to outlets that are laid for the pipes of the drains that are designed on them.
//!
//! A way is looked for with the smallest pipe that carries the part's flow at the least grade. A drain may
//! have a larger one, for its velocity or for pipes with holes, and its top lies higher over the same invert.

use super::drain::{Drains, Entering, PartDrain, drains};
use super::drowned::{Standing, looked_at};
use super::keeps_more::{KeptMore, tell_kept};
use super::outlets::{BuiltWater, LaidLine, Meeting, NotAgain, PartOutlets, Search};
use super::settings::Settings;
use super::shares::onward;
use crate::error::Error;
use crate::interceptor::catalogue::PipeSize;
use crate::interceptor::{Bore, InterceptionLine};
use crate::units::Length;
use crate::warning::Warned;

/// Ways of the parts, and the drains that lie on them.
#[derive(Debug)]
pub(super) struct DrainedWays {
    pub(super) outlets: Vec<PartOutlets>,
    pub(super) drains: Drains,
}

/// A pipe for which a part's way can't be laid.
#[derive(Debug, Clone)]
pub(super) struct TooHigh {
    /// Height of its top over its invert.
    pub(super) above_invert: Length,
    /// Why.
    pub(super) why: NotAgain,
}

/// Looks for the ways of all parts and designs their drains.
///
/// # Method
/// Where the drain that is chosen has a pipe over which ground is missing, its way is laid again for that
/// pipe, to the same outlet, with all that hang together with it, and the drains are designed again; until
/// none is missing. Where it can't be laid so, or water would end at a worse outlet, it stays as it is, and
/// of its arrangements one that keeps its cover there, or with a lower pipe, is chosen before it. Then
/// standing water is looked at ([`looked_at`]), then ways on which more is kept ([`KeptMore`]), then where
/// pipes cross. What a way is laid for never becomes less again and each round takes on, or gives up, one
/// more pipe of the catalogue, so that it ends. Larger pipes that come too near to each other are led apart
/// in as many rounds as there are parts: a part that leaves a drowned outlet may meet another again, and that
/// mustn't go on for ever.
///
/// `laid` are the ways of all parts for the pipes that they are sized for.
pub(super) fn drained_ways(
    search: &Search<'_>,
    entering: &Entering<'_>,
    (line, mut laid): (&mut InterceptionLine, LaidLine),
    settings: &Settings,
) -> Result<Warned<DrainedWays>, Error> {
    let mut too_high: Vec<Option<TooHigh>> = vec![None; line.parts.len()];
    let mut standing = vec![Standing::Sized; line.parts.len()];
    let mut rounds = line.parts.len();
    let mut kept_more = KeptMore::none_looked_at(line.parts.len());
    loop {
        let designed = drains(entering, line, (&laid.found, &too_high, &standing), settings)?;
        let higher = higher_pipes(&designed.value, &laid.found, &too_high);
        if higher.is_empty() {
            let looked = looked_at(&mut laid, &designed.value, &mut standing, &settings.drain.catalogue);
            let mut elsewhere = looked.elsewhere;
            if !looked.again && elsewhere.is_empty() {
                let basis = (&*line, settings);
                elsewhere = kept_more.taken(&mut laid, &designed.value, entering, basis)?;
            }
            for &place in &elsewhere {
                line.parts[place].drain_pipe = None;
                (too_high[place], standing[place]) = (None, Standing::Sized);
            }
            if looked.again || !elsewhere.is_empty() {
                continue;
            }
            // Larger pipes may have come too near to each other again.
            for (place, drain) in designed.value.parts.iter().enumerate() {
                laid.tell_pipe(place, drain.as_ref().and_then(PartDrain::to_build));
            }
            if rounds > 0 {
                let before = laid.found.clone();
                let (again, is_changed) = search.apart(line, laid)?;
                laid = again;
                if is_changed {
                    look_anew(&mut standing, &before, &laid.found);
                    rounds -= 1;
                    continue;
                }
            }
            let waters =
                (0..line.parts.len()).map(|place| BuiltWater::of(&laid.found, &designed.value, place));
            for (place, water) in waters.collect::<Vec<_>>().into_iter().enumerate() {
                if let Some(water) = water {
                    laid.tell(place, water, standing[place].no_larger());
                }
            }
            tell_kept(&mut laid, &designed.value);
            let found = search.looked_beside(line, laid, &designed.value)?;
            let mut warnings = Vec::new();
            let outlets = found.unload(&mut warnings);
            let mut drains = designed.unload(&mut warnings);
            let shared = shared_trench(&outlets);
            if shared > Length::ZERO {
                drains.bill = drains.bill.map(|bill| bill.with_shared_trench(shared));
            }
            return Ok(Warned::new(DrainedWays { outlets, drains }, warnings));
        }
        for (place, pipe) in higher {
            let above_invert = Bore::of_size(&pipe).above_invert();
            let before = line.parts[place].drain_pipe.replace(pipe);
            match search.laid_again(line, &laid, place)? {
                Ok(again) => laid = again,
                Err(why) => {
                    line.parts[place].drain_pipe = before;
                    too_high[place] = Some(TooHigh { above_invert, why });
                }
            }
        }
    }
}

/// Nothing is known yet of drains on ways that run elsewhere now.
fn look_anew(standing: &mut [Standing], before: &[PartOutlets], after: &[PartOutlets]) {
    let path = |outlets: &PartOutlets| outlets.proposed().map(|found| found.way.path.clone());
    for (standing, (before, after)) in standing.iter_mut().zip(before.iter().zip(after)) {
        if path(before) != path(after) {
            *standing = Standing::Sized;
        }
    }
}

/// Length over which two parts' pipes lie in one trench.
fn shared_trench(outlets: &[PartOutlets]) -> Length {
    let meetings = outlets.iter().flat_map(|part| &part.meetings);
    let both_m = meetings.map(|meeting| match meeting {
        Meeting::Beside { length_m, .. } => *length_m,
        Meeting::Crosses { .. } | Meeting::UnderSwale { .. } => 0.0,
    });
    // Each of the two tells of it.
    Length::from_m(0.5 * both_m.sum::<f64>())
}

/// Pipes that lack cover, but those for which their way can't be laid, by the place of their part: each after
/// the part whose pipe it joins, which may lie lower then.
fn higher_pipes(
    drains: &Drains,
    outlets: &[PartOutlets],
    too_high: &[Option<TooHigh>],
) -> Vec<(usize, PipeSize)> {
    let higher = |place: usize| {
        let option = drains.parts[place].as_ref()?.chosen().filter(|option| option.thin.is_some())?;
        let pipe = option.highest_pipe()?;
        let least = too_high[place].as_ref().map(|pipe| pipe.above_invert);
        let may_be = least.is_none_or(|least| Bore::of_size(pipe).above_invert() < least);
        may_be.then(|| (place, pipe.clone()))
    };
    let mut found: Vec<(usize, PipeSize)> = (0..drains.parts.len()).filter_map(higher).collect();
    found.sort_by_key(|(place, _)| onward(outlets, *place).count());
    found
}
