//! How good an outlet is.

use super::open::Back;
use super::{WayOut, is_drowned};
use crate::interceptor::{OutletKind, OutletVerdict};

/// How good outlets are that serve, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::pipeline) enum Rank {
    /// A structure, a ditch or another part's pipe.
    Structure,
    /// Open ground that sends nothing onto other parcels.
    OpenGround,
    /// One of the first, by a lead over other parcels.
    OverOthers,
    /// A structure that overflows when it stands full.
    Drowned,
    /// Open ground above other parcels.
    AboveOthers,
    /// Open ground on other parcels.
    OnOthers,
    /// In the open, and some of the water comes back.
    SomeComesBack,
    /// A chamber.
    Chamber,
    /// In the open, and most of the water comes back.
    MostComesBack,
}

impl WayOut {
    pub(in crate::pipeline) fn serves(&self) -> bool {
        let verdict = self.way.verdict();
        matches!(verdict, Some(OutletVerdict::Gravity | OutletVerdict::Pump)) && self.shut_by.is_none()
    }

    /// Whether standing water at the outlet drives water out of the line.
    pub(in crate::pipeline) fn is_drowned(&self) -> bool {
        is_drowned(&self.tailwaters)
    }

    pub(in crate::pipeline) fn rank(&self) -> Rank {
        let others = self.downstream.as_ref().is_some_and(|down| !down.parcels.is_empty());
        match (self.way.kind, self.back()) {
            (OutletKind::Chamber, _) => Rank::Chamber,
            (_, Back::Most) => Rank::MostComesBack,
            (_, Back::Some) => Rank::SomeComesBack,
            (OutletKind::Daylight, _) if !self.parcels.is_empty() => Rank::OnOthers,
            (OutletKind::Daylight, _) if others => Rank::AboveOthers,
            _ if self.is_drowned() => Rank::Drowned,
            // Whoever names a place knows the way there.
            (kind, _) if kind != OutletKind::NamedPlace && !self.parcels.is_empty() => Rank::OverOthers,
            (OutletKind::Daylight, _) => Rank::OpenGround,
            _ => Rank::Structure,
        }
    }
}
