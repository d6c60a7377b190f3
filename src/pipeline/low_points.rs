//! Stretches whose line sags: left whole, or divided at the low point, whichever drains better.

use super::outlets::PartOutlets;
use crate::error::Error;
use crate::lots::Stretch;

/// A divided line must dig this much less than the whole one, by share: its second pipe asks for a wye and a
/// cleanout. Ours.
const LESS: f64 = 0.05;

/// Where the line beside some stretches drains, looked at by itself.
pub(super) type Drained<'a> = dyn FnMut(Vec<Stretch>) -> Result<Vec<PartOutlets>, Error> + 'a;

/// Divides a stretch at its low point where that drains better.
///
/// # Method
/// The line beside the whole stretch and the two lines beside its halves are laid, each for itself, the
/// halves with the choice to join each other's pipe or to end at two outlets. Divided is better where its
/// worst part ends at a better outlet than the whole, or at one as good with at least 5 % less digging, leads
/// and joined pipes included. Two chambers are never better than one.
pub(super) fn divided_at(
    low_m: Option<f64>,
    stretch: Stretch,
    halve: impl Fn(Stretch, f64) -> Vec<Stretch>,
    drained: &mut Drained<'_>,
) -> Result<Vec<Stretch>, Error> {
    let Some(low_m) = low_m else { return Ok(vec![stretch]) };
    let halves = halve(stretch.clone(), low_m);
    let whole = drained(vec![stretch.clone()])?;
    let divided = drained(halves.clone())?;
    Ok(if is_better(&divided, &whole) { halves } else { vec![stretch] })
}

fn is_better(divided: &[PartOutlets], whole: &[PartOutlets]) -> bool {
    let (Some(divided), Some(whole)) = (Worth::of(divided), Worth::of(whole)) else {
        return Worth::of(divided).is_some_and(|worth| worth.by_gravity);
    };
    divided.by_gravity
        && (divided.rank < whole.rank
            || (divided.rank == whole.rank && divided.dug_m2 <= (1.0 - LESS) * whole.dug_m2))
}

/// How well some parts drain.
struct Worth {
    /// Of the worst outlet.
    rank: super::outlets::Rank,
    /// Whether all of them drain by gravity.
    by_gravity: bool,
    /// Digging for all pipes, m².
    dug_m2: f64,
}

impl Worth {
    /// Nothing where a part has no outlet at all.
    fn of(parts: &[PartOutlets]) -> Option<Self> {
        let ways: Option<Vec<_>> = parts.iter().map(PartOutlets::proposed).collect();
        let ways = ways?;
        Some(Self {
            rank: ways.iter().map(|way| way.rank()).max()?,
            by_gravity: parts.iter().all(|part| part.by_gravity().is_some()),
            dug_m2: ways.iter().filter_map(|way| Some(way.way.profile()?.dug_m2())).sum(),
        })
    }
}
