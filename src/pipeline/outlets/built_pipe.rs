//! Where the pipe of a way lies: as it is built, or as the way was looked for with.

use super::LaidLine;
use crate::interceptor::drain::DrainOption;
use crate::interceptor::{Bore, OutletWay};

/// A pipe at a place of its way.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_field_names, reason = "each has its unit")]
pub(super) struct Lies {
    pub(super) invert_m: f64,
    /// From its invert up to its top, m.
    pub(super) top_m: f64,
    /// From its bottom up to its invert, m.
    pub(super) wall_m: f64,
}

impl Lies {
    fn of(bore: Bore, invert_m: f64) -> Self {
        Self { invert_m, top_m: bore.above_invert().as_m(), wall_m: bore.wall.as_m() }
    }
}

/// The pipe of a drain at the stations of its way.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltPipe {
    /// Nothing where a swale alone lies.
    pub(super) lies: Vec<Option<Lies>>,
}

impl BuiltPipe {
    /// Nothing where no pipe fits the way.
    fn of(way: &OutletWay, option: &DrainOption) -> Option<Self> {
        let laid = option.profile(way.profile()?).stations();
        let lies = laid.iter().map(|at| {
            let sized = option.reach_at(at.station_m)?;
            Some(Lies::of(Bore::of_size(&sized.pipe), at.invert_m))
        });
        Some(Self { lies: lies.collect() })
    }
}

/// The pipe that a way was looked for with, at its stations; nothing where none fits.
pub(super) fn looked_for(way: &OutletWay) -> Option<Vec<Lies>> {
    let laid = way.profile()?.stations();
    Some(laid.iter().map(|at| Lies::of(way.bore, at.invert_m)).collect())
}

impl LaidLine {
    /// Has a part's way tell where the pipe of its drain lies.
    pub(in crate::pipeline) fn tell_pipe(&mut self, part: usize, option: Option<&DrainOption>) {
        if let Some(way) = self.found[part].ways.first_mut() {
            way.pipe = option.and_then(|option| BuiltPipe::of(&way.way, option));
        }
    }
}
