//! The water at the outlets in the pipes that are built.

use super::{LaidLine, PartOutlets, Tailwater, WayOut, is_drowned, order};
use crate::interceptor::drain::{DrainOption, SizedReach};
use crate::interceptor::{FullPipes, tailwaters};
use crate::units::Flow;
use geo::Coord;

/// The grade lines of a drain's pipes on the way that is taken.
#[derive(Debug, Clone)]
pub(in crate::pipeline) struct BuiltWater {
    tailwaters: Vec<Tailwater>,
    tightest: Option<[Flow; 2]>,
}

impl BuiltWater {
    /// Of a part; nothing where none is built, or it has no pipe.
    pub(in crate::pipeline) fn of(
        found: &[PartOutlets],
        part: usize,
        option: Option<&DrainOption>,
    ) -> Option<Self> {
        let option = option.filter(|option| option.built.is_ok())?;
        let WayOut { way, .. } = found[part].proposed()?;
        let pipes = FullPipes::of_drain(option)?;
        let joining = found.iter().filter(|other| other.joins == Some(part));
        let joins: Vec<Coord> = joining.filter_map(|other| Some(other.place()?.at)).collect();
        let course = way.profile().map(|lawn| option.profile(lawn));
        let flows = |sized: &SizedReach| [sized.capacity, sized.reach.flow];
        let tighter = |a: [Flow; 2], b: [Flow; 2]| {
            let spare = |of: [Flow; 2]| of[0].as_m3_per_s() - of[1].as_m3_per_s();
            if spare(b) < spare(a) { b } else { a }
        };
        Some(Self {
            tailwaters: tailwaters((way, course), &pipes, &found[part].places[way.outlet], &joins),
            tightest: option.reaches.iter().map(flows).reduce(tighter),
        })
    }

    /// Whether standing water at the outlet drives water out of the line.
    pub(in crate::pipeline) fn is_drowned(&self) -> bool {
        is_drowned(&self.tailwaters)
    }
}

impl LaidLine {
    /// Has a part's way tell of the pipes that are built.
    pub(in crate::pipeline) fn tell(&mut self, part: usize, water: BuiltWater) {
        if let Some(way) = self.found[part].ways.first_mut() {
            way.tailwaters = water.tailwaters;
            way.tightest = water.tightest;
        }
    }

    /// Whether a part shares no pipe with others.
    fn is_alone(&self, part: usize) -> bool {
        let joins = |other: &PartOutlets| other.joins == Some(part);
        self.found[part].joins.is_none() && !self.found.iter().any(joins)
    }

    /// Takes another way of a part, which shares no pipe with others, where that has a better outlet now;
    /// whether it does.
    pub(in crate::pipeline) fn takes_another(&mut self, part: usize) -> bool {
        let alone = self.is_alone(part);
        let ways = &mut self.found[part].ways;
        if !alone {
            return false;
        }
        let better = |way: &WayOut| way.serves() && way.rank() < ways[0].rank();
        let is_better = ways.iter().skip(1).any(better);
        if is_better {
            ways.sort_by(order);
        }
        is_better
    }
}
