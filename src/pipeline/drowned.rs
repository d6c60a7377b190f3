//! Drains out of which standing water at the outlet drives the water, though it wouldn't out of the pipe that their way was
//! looked for with: looked at again.

use super::drain::{Drains, PartDrain};
use super::outlets::{BuiltWater, LaidLine};
use crate::interceptor::catalogue::Catalogue;
use crate::interceptor::drain::DrainOption;
use crate::units::Length;

/// Diameters nearer than this are one, mm.
const SAME_MM: f64 = 1e-6;
/// Shares nearer than this are one.
const SAME: f64 = 1e-9;

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
        /// Share of its flow that it kept with smaller ones.
        kept: f64,
    },
    /// Larger ones don't help.
    InVain,
}

impl Standing {
    /// Inside diameter of which no pipe has less.
    pub(super) const fn least_inside(self) -> Length {
        match self {
            Self::Larger { least_inside, .. } => least_inside,
            Self::Sized | Self::InVain => Length::ZERO,
        }
    }
}

/// What is done about a part's drain.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Next {
    /// Nothing is to be done.
    Stays,
    /// It is designed anew.
    Again(Standing),
    /// Its outlet is one that drives water out of the line.
    Drowned,
}

/// Looks at all drains; says of which parts another outlet was taken, and whether any drain is to be designed anew.
///
/// # Method
/// A drain that is drowned, on a way that wasn't, gets the smallest larger pipe throughout with which it isn't;
/// where none of the catalogue does, or with it less is kept or cover is missing, the drain is designed as it was, and
/// its outlet counts as one that drives water out of the line: a part that shares no pipe with others takes a better
/// one, if it has one. Each step takes the next larger pipe, gives up, or leaves an outlet, so that it ends.
pub(super) fn looked_at(
    laid: &mut LaidLine,
    drains: &Drains,
    standing: &mut [Standing],
    catalogue: &Catalogue,
) -> Looked {
    let mut looked = Looked::default();
    for (part, standing) in standing.iter_mut().enumerate() {
        let option = drains.parts[part].as_ref().and_then(PartDrain::chosen);
        match next(laid, part, option, *standing, catalogue) {
            Next::Stays => {}
            Next::Again(as_it_is) => {
                *standing = as_it_is;
                looked.again = true;
            }
            Next::Drowned => {
                if let Some(water) = BuiltWater::of(&laid.found, part, option) {
                    laid.tell(part, water);
                }
                if laid.takes_another(part) {
                    *standing = Standing::Sized;
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

fn next(
    laid: &LaidLine,
    part: usize,
    option: Option<&DrainOption>,
    standing: Standing,
    catalogue: &Catalogue,
) -> Next {
    let kept = option.map_or(0.0, DrainOption::share);
    let helps = |option: &DrainOption| option.built.is_ok() && option.thin.is_none();
    if let Standing::Larger { kept: before, .. } = standing
        && (kept < before - SAME || !option.is_some_and(helps))
    {
        return Next::Again(Standing::InVain);
    }
    let was_drowned = laid.found[part].proposed().is_none_or(super::outlets::WayOut::is_drowned);
    let Some(option) = option.filter(|_| !was_drowned) else { return Next::Stays };
    if !BuiltWater::of(&laid.found, part, Some(option)).is_some_and(|water| water.is_drowned()) {
        return Next::Stays;
    }
    if standing == Standing::InVain {
        return Next::Drowned;
    }
    let smallest_mm = option.reaches.iter().map(|sized| sized.pipe.inside_mm).fold(f64::INFINITY, f64::min);
    let least_mm = smallest_mm.max(standing.least_inside().as_mm());
    let larger = catalogue.pipes().iter().map(|pipe| pipe.inside_mm).filter(|mm| *mm > least_mm + SAME_MM);
    larger.reduce(f64::min).map_or(Next::Again(Standing::InVain), |mm| {
        let kept = if let Standing::Larger { kept, .. } = standing { kept } else { option.share() };
        Next::Again(Standing::Larger { least_inside: Length::from_mm(mm), kept })
    })
}
