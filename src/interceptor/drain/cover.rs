//! Whether pipes keep the cover that was asked for: a way is looked for with one pipe, and a drain may have
//! larger ones.

use super::super::bore::Bore;
use super::super::catalogue::PipeSize;
use super::super::outlet::OutletWay;
use super::option::DrainOption;
use super::part::SAME_M;
use crate::units::Length;

/// Less cover than asked for by no more than this is rounding. Ours: walls of one nominal size differ by
/// more.
const NOISE_M: f64 = 1e-3;

/// The place at which most is missing of the ground over a drain's pipes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinCover {
    /// Where, down the way.
    pub station: Length,
    /// Ground over the pipe; below 0 where it stands out.
    pub over: Length,
    /// What is missing.
    pub short: Length,
}

impl DrainOption {
    /// Where most ground is missing over its pipes; nothing where all keep their cover, as it may run out
    /// before a mouth in the open.
    pub(super) fn least_covered(&self, way: &OutletWay) -> Option<ThinCover> {
        let profile = self.profile(way.profile()?);
        let mut most: Option<ThinCover> = None;
        for sized in &self.reaches {
            let above_invert = Bore::of_size(&sized.pipe).above_invert();
            let higher_m = above_invert.as_m() - way.bore.above_invert().as_m();
            // The way is laid for its own pipe, so for every smaller one.
            if higher_m <= NOISE_M {
                continue;
            }
            let limits = way.limits.for_higher(Length::from_m(higher_m));
            let (from_m, to_m) = (sized.reach.from_m - SAME_M, sized.reach.to_m + SAME_M);
            let within = profile.stations().iter().filter(|at| (from_m..=to_m).contains(&at.station_m));
            for at in within {
                let depth_m = at.ground_m - at.invert_m;
                let short_m = limits.least_depth_at_m(way.length.as_m() - at.station_m) - depth_m;
                if short_m > most.map_or(NOISE_M, |most| most.short.as_m()) {
                    most = Some(ThinCover {
                        station: Length::from_m(at.station_m),
                        over: Length::from_m(depth_m) - above_invert,
                        short: Length::from_m(short_m),
                    });
                }
            }
        }
        most
    }

    /// The pipe whose top lies highest over its invert; nothing without a pipe.
    #[must_use]
    pub fn highest_pipe(&self) -> Option<&PipeSize> {
        let above_invert = |pipe: &PipeSize| Bore::of_size(pipe).above_invert();
        let pipes = self.reaches.iter().map(|sized| &sized.pipe);
        pipes.reduce(|a, b| if above_invert(b) > above_invert(a) { b } else { a })
    }
}
