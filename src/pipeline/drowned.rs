//! Drains out of which standing water at the outlet drives the water: looked at again with larger pipes, then
//! with another outlet.

use super::drain::{Drains, PartDrain};
use super::outlets::{BuiltWater, LaidLine, NoLarger};
use super::shares::onward;
use crate::interceptor::catalogue::{Catalogue, PipeSize};
use crate::interceptor::drain::DrainOption;
use crate::units::Length;

/// Diameters nearer than this are one, mm.
const SAME_MM: f64 = 1e-6;
/// Shares nearer than this are one.
const SAME: f64 = 1e-9;
/// Pipes are made no larger than so many times their size. Ours: by Manning's equation one of twice the size
/// uses up a fortieth of the level (2^(16/3)), so that what still drives water out is the standing water
/// itself.
const TIMES: f64 = 2.0;

/// How far a part's drain has been looked at for standing water at its outlet.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) enum Standing {
    /// Nothing asks for it.
    #[default]
    Sized,
    /// Its pipes are larger than they need be.
    Larger {
        /// None is smaller inside.
        least_inside: Length,
        /// None is called larger for it.
        most_nominal: Length,
        /// Share of its flow that it kept with smaller ones.
        kept: f64,
    },
    /// Larger ones aren't laid.
    InVain(NoLarger),
    /// Nor is there a better outlet.
    Left(NoLarger),
}

impl Standing {
    /// Inside diameter of which no pipe has less.
    pub(super) const fn least_inside(self) -> Length {
        match self {
            Self::Larger { least_inside, .. } => least_inside,
            Self::Sized | Self::InVain(_) | Self::Left(_) => Length::ZERO,
        }
    }

    /// Why its pipes are no larger though water is driven out of them.
    pub(super) const fn no_larger(self) -> Option<NoLarger> {
        match self {
            Self::InVain(why) | Self::Left(why) => Some(why),
            Self::Sized | Self::Larger { .. } => None,
        }
    }
}

/// What is done about a part's drain.
#[derive(Debug, Clone, PartialEq)]
enum Next {
    /// Nothing is to be done.
    Stays,
    /// Drains are designed anew: of the part, or of those whose pipes its water goes through.
    Again(Vec<(usize, Standing)>),
    /// No larger pipes are laid.
    Drowned(NoLarger),
}

/// Looks at all drains; says of which parts another outlet was taken, and whether any drain is to be designed anew.
///
/// # Method
/// Of a drain that is drowned the grade line is worked out with each larger pipe of the catalogue, up to
/// twice the size, where the smaller ones lie: along the part, else along those whose pipes it comes into,
/// else along all of these. With the smallest with which it isn't drowned they are designed anew, and what is
/// designed is looked at in the same way. Where there is none, or with it less is kept or cover is missing,
/// the drain is designed as it was, and its outlet counts as one that drives water out of the line: a part
/// that shares no pipe with others takes a better one, if it has one. A part that comes into another's pipe
/// is looked at when nothing is done about that one any more. Each step takes a larger pipe, gives up, or
/// leaves an outlet, so that it ends.
pub(super) fn looked_at(
    laid: &mut LaidLine,
    drains: &Drains,
    standing: &mut [Standing],
    catalogue: &Catalogue,
) -> Looked {
    let mut looked = Looked::default();
    let line = Line { laid, drains, standing, catalogue };
    let all: Vec<Next> = (0..drains.parts.len()).map(|part| line.next(part)).collect();
    for (part, next) in all.iter().enumerate() {
        let waits = onward(&laid.found, part).any(|below| matches!(all[below], Next::Again(_)));
        match next {
            _ if waits => {}
            Next::Stays => {}
            Next::Again(of) => {
                for &(part, as_it_is) in of {
                    standing[part] = as_it_is;
                }
                looked.again = true;
            }
            Next::Drowned(why) => {
                if let Some(water) = BuiltWater::of(&laid.found, drains, part) {
                    laid.tell(part, water, Some(*why));
                }
                standing[part] = Standing::Left(*why);
                if laid.takes_another(part) {
                    standing[part] = Standing::Sized;
                    looked.elsewhere.push(part);
                }
            }
        }
    }
    looked
}

/// What came of it.
#[derive(Debug, Default)]
pub(super) struct Looked {
    /// Whether a drain is to be designed anew.
    pub(super) again: bool,
    /// Parts that drain to another outlet now.
    pub(super) elsewhere: Vec<usize>,
}

/// The line as it is.
struct Line<'a> {
    laid: &'a LaidLine,
    drains: &'a Drains,
    standing: &'a [Standing],
    catalogue: &'a Catalogue,
}

impl Line<'_> {
    fn option(&self, part: usize) -> Option<&DrainOption> {
        self.drains.parts[part].as_ref().and_then(PartDrain::chosen)
    }

    fn next(&self, part: usize) -> Next {
        let option = self.option(part);
        let helps = |option: &DrainOption| option.built.is_ok() && option.thin.is_none();
        let kept = option.map_or(0.0, DrainOption::share);
        if let Standing::Larger { kept: before, .. } = self.standing[part]
            && (kept < before - SAME || !option.is_some_and(helps))
        {
            return Next::Again(vec![(part, Standing::InVain(NoLarger::WorseOtherwise))]);
        }
        let water = BuiltWater::of(&self.laid.found, self.drains, part);
        if !water.is_some_and(|water| water.is_drowned()) {
            return Next::Stays;
        }
        let below: Vec<usize> = onward(&self.laid.found, part).collect();
        let all: Vec<usize> = std::iter::once(part).chain(below.iter().copied()).collect();
        let found = [vec![part], below, all].into_iter().find_map(|parts| self.larger(part, &parts));
        match (found, self.standing[part]) {
            (_, Standing::Left(_)) => Next::Stays,
            (_, Standing::InVain(why)) => Next::Drowned(why),
            (Some(larger), _) => Next::Again(larger),
            // It is designed with the pipes that it would have.
            (None, Standing::Sized) => Next::Drowned(NoLarger::NoneHelps),
            (None, Standing::Larger { .. }) => {
                Next::Again(vec![(part, Standing::InVain(NoLarger::NoneHelps))])
            }
        }
    }

    /// The smallest pipe in some parts with which a part isn't drowned, larger than the smallest in one of
    /// them; nothing where none is, or one of them can't have it.
    fn larger(&self, part: usize, parts: &[usize]) -> Option<Vec<(usize, Standing)>> {
        let rooms: Vec<Room> = parts.iter().map(|&part| self.room(part)).collect::<Option<_>>()?;
        let is_larger = |pipe: &PipeSize| rooms.iter().any(|room| pipe.inside_mm > room.least_mm + SAME_MM);
        let may_lie =
            |pipe: &PipeSize| rooms.iter().all(|room| pipe.nominal_mm <= room.most_nominal_mm + SAME_MM);
        let serves = |pipe: &&PipeSize| {
            let instead = |at: usize| parts.contains(&at).then_some(*pipe);
            let water = || BuiltWater::with(&self.laid.found, self.drains, part, &instead);
            is_larger(pipe) && may_lie(pipe) && water().is_some_and(|water| !water.is_drowned())
        };
        let all = self.catalogue.pipes().iter().filter(serves);
        let pipe = all.min_by(|a, b| a.inside_mm.total_cmp(&b.inside_mm))?;
        let larger = parts.iter().zip(rooms).filter(|(_, room)| pipe.inside_mm > room.least_mm + SAME_MM);
        Some(larger.map(|(&part, room)| (part, room.with(pipe))).collect())
    }

    /// What pipes a part may have; nothing where larger ones were given up, or it has none.
    fn room(&self, part: usize) -> Option<Room> {
        let option = self.option(part)?;
        let pipes = || option.reaches.iter().map(|sized| &sized.pipe);
        let smallest_mm = pipes().map(|pipe| pipe.inside_mm).reduce(f64::min)?;
        let called_mm = pipes().map(|pipe| pipe.nominal_mm).reduce(f64::min)?;
        let (kept, most_nominal_mm) = match self.standing[part] {
            Standing::Sized => (option.share(), TIMES * called_mm),
            Standing::Larger { kept, most_nominal, .. } => (kept, most_nominal.as_mm()),
            Standing::InVain(_) | Standing::Left(_) => return None,
        };
        let least_mm = smallest_mm.max(self.standing[part].least_inside().as_mm());
        Some(Room { least_mm, most_nominal_mm, kept })
    }
}

/// What pipes a part may have.
#[derive(Debug, Clone, Copy)]
struct Room {
    /// The smallest that it has inside, mm.
    least_mm: f64,
    most_nominal_mm: f64,
    /// Share of its flow that it kept with its first.
    kept: f64,
}

impl Room {
    fn with(self, pipe: &PipeSize) -> Standing {
        Standing::Larger {
            least_inside: pipe.inside(),
            most_nominal: Length::from_mm(self.most_nominal_mm),
            kept: self.kept,
        }
    }
}
