//! Works that are wider than the lot has room for beside the line.

use super::super::nearness::{Nearness, Room, TooWide};
use super::super::undercut::DugBy;
use super::kinds::rules;
use super::option::DrainOption;
use super::reach::ReachPlace;
use super::sizes::SizedReach;
use crate::units::Length;

/// What of a drain is wider than there is room for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// Trench or swale.
    pub by: DugBy,
    /// Where it is so by most.
    pub worst: TooWide,
}

impl DrainOption {
    /// Where trench or swale along the part lie farthest beyond the room beside it; nothing where they fit.
    pub(super) fn beyond(&self, nearness: &Nearness) -> Option<Beyond> {
        let trench = nearness.too_wide(&|piece| self.trench_within(piece));
        let swale = nearness.too_wide(&|piece| {
            let place = self.swale.as_ref()?.bed.widest_within([piece.from_m, piece.to_m])?;
            Some((place.station, place.width))
        });
        let all = [(DugBy::Swale, swale), (DugBy::Trench, trench)];
        let all = all.into_iter().filter_map(|(by, worst)| Some(Beyond { by, worst: worst? }));
        all.reduce(|a, b| if b.worst.over() > a.worst.over() { b } else { a })
    }

    /// Width of the widest of trench and swale along the part, or of its lead's trench.
    #[must_use]
    pub fn widest(&self, along_part: bool) -> Length {
        let is_there = |sized: &&SizedReach| (sized.reach.place == ReachPlace::Line) == along_part;
        let trenches = self.reaches.iter().filter(is_there).map(trench_width);
        let swale = self.swale.as_ref().filter(|_| along_part).map(|swale| swale.bed.deepest().width);
        trenches.chain(swale).fold(Length::ZERO, |a, b| if b > a { b } else { a })
    }

    /// Width of what is dug at a station of the part: the wider of trench and swale.
    #[must_use]
    pub fn dug_width_at(&self, station_m: f64) -> Length {
        let around = |sized: &&SizedReach| (sized.reach.from_m..=sized.reach.to_m).contains(&station_m);
        let trenches = self.line().filter(around).map(trench_width);
        let place = self.swale.as_ref().and_then(|swale| swale.bed.widest_within([station_m, station_m]));
        trenches.chain(place.map(|place| place.width)).fold(Length::ZERO, |a, b| if b > a { b } else { a })
    }

    /// The widest trench within a piece, and where it begins.
    fn trench_within(&self, piece: &Room) -> Option<(Length, Length)> {
        let around = |sized: &&SizedReach| sized.reach.from_m < piece.to_m && sized.reach.to_m > piece.from_m;
        let found = self.line().filter(around).map(|sized| {
            let station = Length::from_m(sized.reach.from_m.max(piece.from_m));
            (station, trench_width(sized))
        });
        found.reduce(|a, b| if b.1 > a.1 { b } else { a })
    }
}

/// Width of the trench of a pipe, or of two.
fn trench_width(sized: &SizedReach) -> Length {
    rules(sized.pipes).width(sized.pipe.outside(), sized.pipes)
}
