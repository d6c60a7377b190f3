//! Why an outlet is proposed before another that serves too.

use super::{PartOutlets, Rank, WayOut, cost};
use crate::interceptor::OutletKind;

/// Shares of the flow that are told as one: a percent. Ours.
const MORE: f64 = 0.01;

/// What speaks against an outlet that serves and isn't proposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassedOver {
    /// Nothing but more digging.
    Digging,
    /// Its trench, with those of the other parts: for itself it would take less digging.
    Together,
    /// The drain on it would keep less of the part's water.
    KeepsLess,
    /// It ends in the open.
    InTheOpen,
    /// The lead runs over other parcels.
    LeadOverOthers,
    /// Standing full it drives water out of the line.
    Overflows,
    /// What is let out runs over other parcels.
    AboveOthers,
    /// It lies on other parcels.
    OnOthers,
    /// Some of the water comes back to the lot.
    ComesBack,
    /// It is a chamber.
    Chamber,
    /// For itself it would come first, but parts of the line are led together.
    LedTogether,
}

impl PartOutlets {
    /// The best other outlet that serves, and what speaks against it; nothing where none does, or no reason is
    /// known.
    #[must_use]
    pub fn passed_over(&self) -> Option<(&WayOut, PassedOver)> {
        let first = self.proposed()?;
        let is_other = |way: &&WayOut| way.way.outlet != first.way.outlet && way.serves();
        let other = self.ways.iter().skip(1).find(is_other)?;
        Some((other, self.reason_against(first, other)?))
    }

    /// The shortest way that serves to another outlet than a chamber, where it is shorter than the proposed one,
    /// and what speaks against it; nothing where no such way is, or no reason is known.
    #[must_use]
    pub fn passed_over_nearer(&self) -> Option<(&WayOut, PassedOver)> {
        let first = self.proposed()?;
        let is_nearer = |way: &&WayOut| {
            let is_other = way.way.outlet != first.way.outlet && way.way.kind != OutletKind::Chamber;
            is_other && way.serves() && way.way.length < first.way.length
        };
        let length_m = |way: &&WayOut| way.way.length.as_m();
        let nearer = self.ways.iter().filter(is_nearer);
        let nearest = nearer.min_by(|a, b| length_m(a).total_cmp(&length_m(b)))?;
        Some((nearest, self.reason_against(first, nearest)?))
    }

    /// The best way to each place that the user names and that isn't proposed, with what speaks against it where
    /// it serves and a reason is known.
    #[must_use]
    pub fn named_not_taken(&self) -> Vec<(&WayOut, Option<PassedOver>)> {
        let first = self.proposed();
        let mut found: Vec<(&WayOut, Option<PassedOver>)> = Vec::new();
        for way in &self.ways {
            let outlet = way.way.outlet;
            let is_taken = first.is_some_and(|first| first.way.outlet == outlet);
            let is_told = found.iter().any(|(told, _)| told.way.outlet == outlet);
            if way.way.kind == OutletKind::NamedPlace && !is_taken && !is_told {
                let serving = first.filter(|_| way.serves());
                found.push((way, serving.and_then(|first| self.reason_against(first, way))));
            }
        }
        found
    }

    fn reason_against(&self, first: &WayOut, other: &WayOut) -> Option<PassedOver> {
        let keeps_less = first.drain.zip(other.drain).is_some_and(|(own, others)| others.share < own.share);
        let (mine, rank) = (first.rank(), other.rank());
        if keeps_less && rank <= mine.max(Rank::OpenGround) {
            return Some(PassedOver::KeepsLess);
        }
        if rank < mine {
            let led_together = self.joins.is_some() || !self.joined.is_empty();
            return led_together.then_some(PassedOver::LedTogether);
        }
        against(first, other)
    }

    /// The way that isn't taken on which a drain would keep most, where that is more than is kept on the one
    /// that is, and what speaks against it; nothing where none was looked at.
    #[must_use]
    pub fn keeps_more(&self) -> Option<(&WayOut, PassedOver)> {
        let first = self.proposed()?;
        let own = first.drain?;
        let share = |way: &WayOut| way.drain.map_or(0.0, |drain| drain.share);
        let more = self.ways.iter().skip(1).filter(|way| way.serves() && share(way) > own.share + MORE);
        let most = more.reduce(|a, b| if share(b) > share(a) { b } else { a })?;
        Some((most, against(first, most).unwrap_or(PassedOver::Digging)))
    }
}

/// What speaks against a way that serves and isn't proposed; nothing where it is better.
fn against(first: &WayOut, other: &WayOut) -> Option<PassedOver> {
    let (mine, rank) = (first.rank(), other.rank());
    if rank == mine {
        let alone = cost(first) <= cost(other);
        return Some(if alone { PassedOver::Digging } else { PassedOver::Together });
    }
    Some(match rank {
        Rank::Structure => return None,
        Rank::OpenGround => PassedOver::InTheOpen,
        Rank::OverOthers => PassedOver::LeadOverOthers,
        Rank::Drowned => PassedOver::Overflows,
        Rank::AboveOthers => PassedOver::AboveOthers,
        Rank::OnOthers => PassedOver::OnOthers,
        Rank::SomeComesBack | Rank::MostComesBack => PassedOver::ComesBack,
        Rank::Chamber => PassedOver::Chamber,
    })
}
