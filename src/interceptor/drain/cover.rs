//! Whether pipes keep the cover that was asked for: a way is looked for with one pipe, and a drain may have
//! larger ones.

use super::super::bore::Bore;
use super::super::catalogue::PipeSize;
use super::super::outlet::OutletWay;
use super::super::profile::Profile;
use super::option::DrainOption;
use super::part::SAME_M;
use crate::units::Length;

/// Less cover than asked for by no more than this is rounding. Ours: walls of one nominal size differ by
/// more.
const NOISE_M: f64 = 1e-3;
/// What is missing of the cover as it is built counts from here on, m: levels are told to the hundredth. Ours.
const MISSING_M: f64 = 0.01;
/// The cover as it is built is looked at every so many metres, or more often: ground is read finer than a way has stations. Ours.
const LOOK_M: f64 = 0.25;

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

/// A stretch of pipe with less ground over it than asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinStretch {
    /// Upper end, down the way.
    pub from: Length,
    /// Lower end.
    pub to: Length,
    /// Where least ground is over it.
    pub station: Length,
    /// How much that is; below 0 where it stands out.
    pub over: Length,
    /// Whether that ground is the V of the part's own swale, below which its lead runs back.
    pub under_swale: bool,
}

impl DrainOption {
    /// Where its pipes, as they are built, have less ground over them than asked for, to the mouth in the open,
    /// at the stations and between them.
    ///
    /// `ground` is the level of the lawn at a station, m; below a swale its bed counts, straight between stations, and over a lead that
    /// runs back below the part's own swale `cut`, the level of that.
    #[must_use]
    pub fn thin_stretches(
        &self,
        way: &OutletWay,
        asked: Length,
        ground: &dyn Fn(f64) -> Option<f64>,
        cut: &dyn Fn(f64) -> Option<f64>,
    ) -> Vec<ThinStretch> {
        let (Ok(_), Some(of_way)) = (&self.built, way.profile()) else { return Vec::new() };
        let profile = self.profile(of_way);
        let mut found: Vec<ThinStretch> = Vec::new();
        let mut before: Option<(f64, f64)> = None;
        for station_m in looked_at(profile) {
            let Some(sized) = self.reach_at(station_m) else { continue };
            let is_bed = self.swale.as_ref().is_some_and(|swale| swale.bed.level_at(station_m).is_some());
            let lawn_m = ground(station_m).filter(|_| !is_bed);
            let uncut_m = lawn_m.unwrap_or_else(|| profile.ground_at(station_m));
            let cut_m = cut(station_m).filter(|cut_m| *cut_m < uncut_m - MISSING_M);
            let (under_swale, depth_m) =
                (cut_m.is_some(), cut_m.unwrap_or(uncut_m) - profile.invert_at(station_m));
            let over = Length::from_m(depth_m) - Bore::of_size(&sized.pipe).above_invert();
            let missing_m = asked.as_m() - over.as_m() - MISSING_M;
            let station = Length::from_m(station_m);
            // Straight from the place before to where it begins, or ends.
            let turn = before.filter(|(_, m)| (*m > 0.0) != (missing_m > 0.0));
            let turn = turn.map(|(at_m, m)| Length::from_m(at_m + (station_m - at_m) * m / (m - missing_m)));
            match (found.last_mut(), missing_m > 0.0, turn) {
                (Some(last), true, None) if before.is_some() => {
                    last.to = station;
                    if over < last.over {
                        (last.station, last.over, last.under_swale) = (station, over, under_swale);
                    }
                }
                (_, true, turn) => {
                    let from = turn.unwrap_or(station);
                    found.push(ThinStretch { from, to: station, station, over, under_swale });
                }
                (Some(last), false, Some(turn)) => last.to = turn,
                (_, false, _) => {}
            }
            before = Some((station_m, missing_m));
        }
        found
    }

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

/// Stations of a way, and places between them.
fn looked_at(profile: &Profile) -> impl Iterator<Item = f64> + '_ {
    let stations = profile.stations();
    let between = stations.windows(2).flat_map(|pair| {
        let (from_m, run_m) = (pair[0].station_m, pair[1].station_m - pair[0].station_m);
        let count = (run_m / LOOK_M).ceil().max(1.0);
        let steps = std::iter::successors(Some(0.0), |step: &f64| Some(step + 1.0));
        steps.take_while(move |step| *step < count).map(move |step| from_m + run_m * step / count)
    });
    between.chain(stations.last().map(|at| at.station_m))
}
