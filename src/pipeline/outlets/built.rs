//! The water at the outlets in the pipes that are built.

use super::{LaidLine, PartOutlets, Tailwater, WayOut, is_drowned, order};
use crate::interceptor::catalogue::PipeSize;
use crate::interceptor::drain::{DrainOption, SizedReach};
use crate::interceptor::{FullPipes, OutletPlace, PipedWay, grade_line_at, tailwaters};
use crate::pipeline::drain::{Drains, PartDrain};
use crate::units::Flow;
use geo::Coord;

/// The grade lines of a drain's pipes on the way that is taken.
#[derive(Debug, Clone)]
pub(in crate::pipeline) struct BuiltWater {
    tailwaters: Vec<Tailwater>,
    tightest: Option<[Flow; 2]>,
}

/// Why no larger pipes are laid though standing water drives water out of those that are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoLarger {
    /// It is driven out of every pipe of the catalogue up to twice the size, too.
    NoneHelps,
    /// With those out of which it isn't the drain keeps less of its water, lacks cover or can't be built.
    WorseOtherwise,
}

/// A part's drain as it is built, on the way that is taken.
struct BuiltWay<'a> {
    option: &'a DrainOption,
    found: &'a WayOut,
    pipes: FullPipes,
    /// Its end, with the water in the pipe that it comes into, where it comes into one.
    place: OutletPlace,
    joins: Vec<Coord>,
}

/// Pipes in the place of smaller ones, by part; those as built where there is none.
pub(in crate::pipeline) type Instead<'a> = dyn Fn(usize) -> Option<&'a PipeSize> + 'a;

impl<'a> BuiltWay<'a> {
    /// Of a part; nothing where none is built, or it has no pipe.
    fn of(found: &'a [PartOutlets], drains: &'a Drains, part: usize, instead: &Instead<'_>) -> Option<Self> {
        let option = drains.parts[part].as_ref().and_then(PartDrain::to_build)?;
        let pipes = FullPipes::of_drain_with(option, instead(part))?;
        let proposed = found[part].proposed()?;
        let mut place = found[part].places[proposed.way.outlet].clone();
        if let Some(into) = found[part].joins {
            let below = Self::of(found, drains, into, instead)?;
            place.tailwater_m = grade_line_at(below.piped(), place.at);
        }
        let joining = found.iter().filter(|other| other.joins == Some(part));
        let joins = joining.filter_map(|other| Some(other.place()?.at)).collect();
        Some(Self { option, found: proposed, pipes, place, joins })
    }

    fn piped(&self) -> PipedWay<'_> {
        let way = &self.found.way;
        let course = way.profile().map(|lawn| self.option.profile(lawn));
        PipedWay { way, course, pipes: &self.pipes, place: &self.place, joins: &self.joins }
    }
}

impl BuiltWater {
    /// Of a part; nothing where none is built, or it has no pipe.
    pub(in crate::pipeline) fn of(found: &[PartOutlets], drains: &Drains, part: usize) -> Option<Self> {
        Self::with(found, drains, part, &|_| None)
    }

    /// The same with other pipes, each where the smaller one lies.
    pub(in crate::pipeline) fn with(
        found: &[PartOutlets],
        drains: &Drains,
        part: usize,
        instead: &Instead<'_>,
    ) -> Option<Self> {
        let built = BuiltWay::of(found, drains, part, instead)?;
        let flows = |sized: &SizedReach| [sized.capacity, sized.reach.flow];
        let tighter = |a: [Flow; 2], b: [Flow; 2]| {
            let spare = |of: [Flow; 2]| of[0].as_m3_per_s() - of[1].as_m3_per_s();
            if spare(b) < spare(a) { b } else { a }
        };
        Some(Self {
            tailwaters: tailwaters(built.piped()),
            tightest: built.option.reaches.iter().map(flows).reduce(tighter),
        })
    }

    /// Whether standing water at the outlet drives water out of the line.
    pub(in crate::pipeline) fn is_drowned(&self) -> bool {
        is_drowned(&self.tailwaters)
    }
}

impl LaidLine {
    /// Has a part's way tell of the pipes that are built, and why these are no larger.
    pub(in crate::pipeline) fn tell(&mut self, part: usize, water: BuiltWater, no_larger: Option<NoLarger>) {
        if let Some(way) = self.found[part].ways.first_mut() {
            way.no_larger = no_larger.filter(|_| water.is_drowned());
            way.tailwaters = water.tailwaters;
            way.tightest = water.tightest;
        }
    }

    /// Whether a part shares no pipe with others.
    pub(in crate::pipeline) fn is_alone(&self, part: usize) -> bool {
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
