//! Why an outlet is proposed before another that serves too.

use super::{PartOutlets, Rank, WayOut, cost};

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
}

impl PartOutlets {
    /// The best other outlet that serves, and what speaks against it; nothing where none does, or where another
    /// reason decides, as a part that joins others.
    #[must_use]
    pub fn passed_over(&self) -> Option<(&WayOut, PassedOver)> {
        let first = self.proposed()?;
        let is_other = |way: &&WayOut| way.way.outlet != first.way.outlet && way.serves();
        let other = self.ways.iter().skip(1).find(is_other)?;
        let (mine, rank) = (first.rank(), other.rank());
        if let Some((own, others)) = first.drain.zip(other.drain)
            && rank <= mine.max(Rank::OpenGround)
            && others.share < own.share
        {
            return Some((other, PassedOver::KeepsLess));
        }
        if rank < mine {
            return None;
        }
        Some((other, against(first, other)?))
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
