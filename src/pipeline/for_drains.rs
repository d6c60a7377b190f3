//! Ways to outlets that are laid for the pipes of the drains that are designed on them.
//!
//! A way is looked for with the smallest pipe that carries the part's flow at the least grade. A drain may have a larger one,
//! for its velocity or for pipes with holes, and its top lies higher over the same invert.

use super::drain::{Drains, Entering, drains};
use super::outlets::{PartOutlets, Search, WayOut};
use super::proof::onward;
use super::settings::Settings;
use crate::error::Error;
use crate::interceptor::catalogue::PipeSize;
use crate::interceptor::profile::Infeasible;
use crate::interceptor::{Bore, InterceptionLine, LaidWay};
use crate::units::Length;
use crate::warning::Warned;

/// Ways of the parts, and the drains that lie on them.
#[derive(Debug)]
pub(super) struct DrainedWays {
    pub(super) outlets: Vec<PartOutlets>,
    pub(super) drains: Drains,
}

/// A pipe that a part's way can't be laid for without a worse outlet.
#[derive(Debug, Clone)]
pub(super) struct TooHigh {
    /// Height of its top over its invert.
    pub(super) above_invert: Length,
    /// Why it can't be laid to the outlet as it is; nothing where it can, but another part is worse off then.
    pub(super) refused: Option<Infeasible>,
}

/// Looks for the ways of all parts and designs their drains.
///
/// # Method
/// Where the drain that is chosen has a pipe over which ground is missing, all ways are looked for anew with that pipe for its
/// part, and all drains are designed again, until none is missing. Where a part's water would then end at a worse outlet, or at
/// none, its way stays as it is, and of its arrangements one that keeps its cover there is chosen before one with so high a
/// pipe. What a way is laid for never becomes less again and each round takes on, or gives up, one more pipe of the catalogue, so
/// that it ends.
pub(super) fn drained_ways(
    search: &Search<'_>,
    entering: &Entering<'_>,
    line: &mut InterceptionLine,
    settings: &Settings,
) -> Result<Warned<DrainedWays>, Error> {
    let mut too_high: Vec<Option<TooHigh>> = vec![None; line.parts.len()];
    let mut ways = search.outlets(line)?;
    loop {
        let designed = drains(entering, line, (&ways.value, &too_high), settings)?;
        let higher = higher_pipes(&designed.value, &too_high);
        if higher.is_empty() {
            let mut warnings = ways.warnings;
            let drains = designed.unload(&mut warnings);
            return Ok(Warned::new(DrainedWays { outlets: ways.value, drains }, warnings));
        }
        let mut trial = line.clone();
        for (place, pipe) in &higher {
            trial.parts[*place].drain_pipe = Some(pipe.clone());
        }
        let next = search.outlets(&trial)?;
        let worse = worse_off(&ways.value, &next.value);
        if worse.is_empty() {
            (*line, ways) = (trial, next);
            continue;
        }
        // Where another part is worse off any of them may be why.
        let is_own = higher.iter().any(|(place, _)| worse.contains(place));
        for (place, pipe) in higher.iter().filter(|(place, _)| !is_own || worse.contains(place)) {
            let refused = refused(&ways.value[*place], &next.value[*place]);
            too_high[*place] = Some(TooHigh { above_invert: Bore::of_size(pipe).above_invert(), refused });
        }
    }
}

/// Pipes that lack cover, by the place of their part, but those that can't be laid deeper.
fn higher_pipes(drains: &Drains, too_high: &[Option<TooHigh>]) -> Vec<(usize, PipeSize)> {
    let higher = |place: usize| {
        let option = drains.parts[place].as_ref()?.chosen().filter(|option| option.thin.is_some())?;
        let pipe = option.highest_pipe()?;
        let least = too_high[place].as_ref().map(|pipe| pipe.above_invert);
        let may_be = least.is_none_or(|least| Bore::of_size(pipe).above_invert() < least);
        may_be.then(|| (place, pipe.clone()))
    };
    (0..drains.parts.len()).filter_map(higher).collect()
}

/// Parts whose water ends at a worse outlet than before.
fn worse_off(before: &[PartOutlets], after: &[PartOutlets]) -> Vec<usize> {
    let rank = |outlets: &[PartOutlets], part: usize| {
        let ways = std::iter::once(part).chain(onward(outlets, part)).map(|at| outlets[at].proposed());
        let ranks: Option<Vec<_>> = ways.map(|way| way.map(WayOut::rank)).collect();
        ranks.and_then(|ranks| ranks.into_iter().max())
    };
    let is_worse = |part: &usize| match (rank(before, *part), rank(after, *part)) {
        (Some(before), Some(after)) => after > before,
        (before, _) => before.is_some(),
    };
    (0..before.len()).filter(is_worse).collect()
}

/// Why a part's way of now can't be laid for its larger pipe.
fn refused(now: &PartOutlets, anew: &PartOutlets) -> Option<Infeasible> {
    let way = &now.proposed()?.way;
    let id = &now.places[way.outlet].id;
    let same = anew.ways.iter().find(|other| {
        let place = &anew.places[other.way.outlet];
        (place.kind, &place.id, other.way.end) == (way.kind, id, way.end)
    })?;
    match &same.way.laid {
        LaidWay::DoesNotFit(refused) => Some(refused.clone()),
        LaidWay::Fits(_) | LaidWay::GroundUnknown => None,
    }
}
