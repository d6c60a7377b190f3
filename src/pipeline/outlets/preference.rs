//! Why an outlet is proposed before another that serves too.

use super::{PartOutlets, Rank, WayOut, cost};

/// What speaks against an outlet that serves and isn't proposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassedOver {
    /// Nothing but more digging.
    Digging,
    /// Its trench, with those of the other parts: for itself it would take less digging.
    Together,
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
        if rank < mine {
            return None;
        }
        if rank == mine {
            let alone = cost(first) <= cost(other);
            return Some((other, if alone { PassedOver::Digging } else { PassedOver::Together }));
        }
        let against = match rank {
            Rank::Structure => return None,
            Rank::OpenGround => PassedOver::InTheOpen,
            Rank::OverOthers => PassedOver::LeadOverOthers,
            Rank::Drowned => PassedOver::Overflows,
            Rank::AboveOthers => PassedOver::AboveOthers,
            Rank::OnOthers => PassedOver::OnOthers,
            Rank::SomeComesBack | Rank::MostComesBack => PassedOver::ComesBack,
            Rank::Chamber => PassedOver::Chamber,
        };
        Some((other, against))
    }
}
