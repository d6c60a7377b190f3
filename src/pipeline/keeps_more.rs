//! Parts whose drain keeps less of their water than is wanted: whether one on another way would keep more.

use super::drain::{Drains, Entering, PartDrain, drain_on_way};
use super::outlets::{LaidLine, PartOutlets, Rank, WayDrain, WayOut};
use super::settings::Settings;
use crate::error::Error;
use crate::interceptor::drain::Costed;
use crate::interceptor::{InterceptionLine, OutletVerdict};
use crate::units::Volume;
use std::cmp::Ordering;

/// Shares no farther apart than this are as good as one: the published ranges of what gets into a trench are
/// wider. Ours.
const TIE: f64 = 0.05;
/// Other ways that a drain is designed on, the best first. Ours: each takes as long as the part's own drain.
const MOST_WAYS: usize = 6;

/// What has been looked at: each part once, so that it ends.
pub(super) struct KeptMore(Vec<bool>);

impl KeptMore {
    pub(super) fn none_looked_at(parts: usize) -> Self {
        Self(vec![false; parts])
    }

    /// Designs drains on other ways of parts whose own keeps less than wanted, notes on these what they would
    /// keep, and takes them where they keep more; says of which parts another is taken.
    ///
    /// # Method
    /// Of a part that shares no pipe with others the next best six ways by gravity are looked at. A way is
    /// taken where its outlet is as good as that of the part's own, by what is kept first, see [`better`]; open
    /// ground that sends nothing onto other parcels goes before a structure only where more is kept.
    pub(super) fn taken(
        &mut self,
        laid: &mut LaidLine,
        drains: &Drains,
        entering: &Entering<'_>,
        (line, settings): (&InterceptionLine, &Settings),
    ) -> Result<Vec<usize>, Error> {
        let wanted = settings.catch.get();
        let mut taken = Vec::new();
        for (place, part) in line.parts.iter().enumerate() {
            let Some(drain) = &drains.parts[place] else { continue };
            let own = of_drain(drain);
            if self.0[place] || own.share >= wanted || !laid.is_alone(place) {
                continue;
            }
            self.0[place] = true;
            let outlets = &mut laid.found[place];
            let Some(rank) = outlets.by_gravity().map(WayOut::rank) else { continue };
            let mut best = (0, own);
            for way in others(outlets) {
                let first = with_first(outlets, way);
                let Some(found) = drain_on_way(entering, (place, part), &first, settings)? else { continue };
                let found = of_drain(&found);
                outlets.ways[way].drain = Some(found);
                let its = outlets.ways[way].rank();
                let as_good = its <= rank || (is_as_good(its, rank) && more(found, own, wanted).is_lt());
                if as_good && better(found, best.1, wanted).is_lt() {
                    best = (way, found);
                }
            }
            outlets.ways[0].drain = Some(own);
            if best.0 > 0 {
                outlets.ways[..=best.0].rotate_right(1);
                taken.push(place);
            }
        }
        Ok(taken)
    }
}

/// Has the ways of parts that were looked at tell of the drains that are built.
pub(super) fn tell_kept(laid: &mut LaidLine, drains: &Drains) {
    for (outlets, drain) in laid.found.iter_mut().zip(&drains.parts) {
        if let Some(drain) = drain
            && outlets.ways.iter().skip(1).any(|way| way.drain.is_some())
        {
            outlets.ways[0].drain = Some(of_drain(drain));
        }
    }
}

/// What a part's drain keeps, and what it takes; nothing is kept where none can be built.
fn of_drain(drain: &PartDrain) -> WayDrain {
    let built = drain.costed().filter(|costed| costed.option.built.is_ok());
    WayDrain { share: built.map_or(0.0, |costed| costed.option.share()), dug: built.and_then(Costed::dug) }
}

/// Places of the other ways that are looked at.
fn others(outlets: &PartOutlets) -> Vec<usize> {
    let by_gravity = |way: &WayOut| way.serves() && way.way.verdict() == Some(OutletVerdict::Gravity);
    (1..outlets.ways.len()).filter(|&way| by_gravity(&outlets.ways[way])).take(MOST_WAYS).collect()
}

/// Whether an outlet may be taken in the place of another.
fn is_as_good(rank: Rank, own: Rank) -> bool {
    rank <= own.max(Rank::OpenGround)
}

/// Which of two drains is better, the better first: the one that keeps more, else the one that takes less digging.
fn better(a: WayDrain, b: WayDrain, wanted: f64) -> Ordering {
    let dug_m3 = |of: WayDrain| of.dug.map_or(f64::INFINITY, Volume::as_m3);
    more(a, b, wanted).then(dug_m3(a).total_cmp(&dug_m3(b)))
}

/// Which of two drains keeps more, that one first: one that keeps the wanted share before one that doesn't; of
/// two that don't the one that keeps more by more than [`TIE`].
fn more(a: WayDrain, b: WayDrain, wanted: f64) -> Ordering {
    let keeps = |of: WayDrain| of.share >= wanted;
    match (keeps(a), keeps(b)) {
        (false, false) if (a.share - b.share).abs() > TIE => b.share.total_cmp(&a.share),
        (a, b) => b.cmp(&a),
    }
}

/// The outlets with a way put first.
fn with_first(outlets: &PartOutlets, way: usize) -> PartOutlets {
    let mut first = outlets.clone();
    first.ways[..=way].rotate_right(1);
    first
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drain(share: f64, dug_m3: f64) -> WayDrain {
        WayDrain { share, dug: Some(Volume::from_m3(dug_m3)) }
    }

    // 0.95 is wanted: what keeps it comes first, of two that do the less digging; of others what keeps more,
    // but 3 hundredths are no more.
    #[test]
    fn what_is_kept_comes_before_digging() {
        for (first, second) in [
            ((0.96, 15.3), (0.80, 1.8)),
            ((0.95, 10.0), (1.0, 11.0)),
            ((0.60, 20.0), (0.50, 1.0)),
            ((0.57, 1.0), (0.60, 2.0)),
            ((0.95, 90.0), (0.94, 1.0)),
        ] {
            let [a, b] = [first, second].map(|(share, dug_m3)| drain(share, dug_m3));
            assert_eq!(better(a, b, 0.95), Ordering::Less, "{first:?} {second:?}");
            assert_eq!(better(b, a, 0.95), Ordering::Greater, "{first:?} {second:?}");
        }
    }

    #[test]
    fn no_outlet_is_taken_that_sends_water_where_the_own_doesn_t() {
        assert!(is_as_good(Rank::OpenGround, Rank::Structure));
        assert!(!is_as_good(Rank::OverOthers, Rank::OpenGround));
        assert!(
            is_as_good(Rank::AboveOthers, Rank::OnOthers) && !is_as_good(Rank::OnOthers, Rank::AboveOthers)
        );
    }
}
