//! The pipe of a way as it runs full, stretch by stretch.

use super::bore::Bore;
use super::catalogue::PipeSize;
use super::drain::{Arrangement, DrainOption, ReachPlace, SizedReach};
use super::outlet::OutletWay;
use crate::formula::GRAVITY_M_S2;
use crate::units::Flow;

/// Places nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// A stretch of pipe with what its flow uses up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FullPipe {
    /// From here, m down the way.
    pub(super) from_m: f64,
    /// To here.
    pub(super) to_m: f64,
    /// Inside diameter, m.
    pub(super) inside_m: f64,
    /// Fall by length; nothing without a flow.
    pub(super) friction: Option<f64>,
    /// V² / 2g, m; nothing without a flow.
    pub(super) head_m: Option<f64>,
}

/// All pipe of a way.
///
/// # Invariants
/// One stretch or more, down the way, without gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct FullPipes {
    pipes: Vec<FullPipe>,
    /// Stretches along which water can come out of it, down the way, m; a place where both ends are one.
    open: Vec<[f64; 2]>,
}

impl FullPipes {
    /// The one that a way is looked for with, all of a flow in it: with holes along the part, tight on the lead.
    #[must_use]
    pub fn of_way(way: &OutletWay, flow: Option<Flow>) -> Self {
        let part_m = (way.length - way.lead_length).as_m();
        Self {
            pipes: vec![FullPipe::of(way.bore, (0.0, way.length.as_m()), flow)],
            open: vec![[0.0, part_m]],
        }
    }

    /// Those of a drain, each with the flow at its lower end, of two in a trench half of it; nothing for one
    /// without pipe.
    #[must_use]
    pub fn of_drain(option: &DrainOption) -> Option<Self> {
        Self::of_drain_with(option, None)
    }

    /// The same with a pipe in the place of each that is smaller inside.
    #[must_use]
    pub fn of_drain_with(option: &DrainOption, least: Option<&PipeSize>) -> Option<Self> {
        let has_holes = option.arrangement != Arrangement::Basins;
        let of = |sized: &SizedReach| {
            let is_larger = |least: &&PipeSize| least.inside_mm > sized.pipe.inside_mm;
            let (pipe, n) = match least.filter(is_larger) {
                Some(pipe) if has_holes && sized.reach.place == ReachPlace::Line => (pipe, pipe.manning_n),
                Some(pipe) => (pipe, pipe.solid_n),
                None => (&sized.pipe, sized.n),
            };
            let bore = Bore { roughness: Some(n), ..Bore::of_size(pipe) };
            let each = sized.reach.flow * (1.0 / f64::from(sized.pipes.count()));
            FullPipe::of(bore, (sized.reach.from_m, sized.reach.to_m), Some(each))
        };
        let pipes: Vec<FullPipe> = option.reaches.iter().map(of).collect();
        let begins_m = pipes.first()?.from_m;
        Some(Self { pipes, open: open(option, begins_m) })
    }

    #[cfg(test)]
    pub(super) fn new(pipes: Vec<FullPipe>) -> Self {
        let ends = [pipes[0].from_m, pipes[pipes.len() - 1].to_m];
        Self { pipes, open: vec![ends] }
    }

    #[cfg(test)]
    pub(super) fn open_along(self, open: Vec<[f64; 2]>) -> Self {
        Self { open, ..self }
    }

    /// Whether water can come out at a station of those given: where it lies on an open stretch, or is the one next to
    /// an open place.
    pub(super) fn is_open(&self, stations_m: &[f64], place: usize) -> bool {
        let at_m = stations_m[place];
        let is_nearest = |open_m: f64| {
            let away_m = (at_m - open_m).abs();
            stations_m.iter().all(|m| (m - open_m).abs() >= away_m - SAME_M)
        };
        self.open.iter().any(|&[from_m, to_m]| {
            let is_place = to_m - from_m <= SAME_M;
            if is_place { is_nearest(from_m) } else { at_m >= from_m - SAME_M && at_m <= to_m + SAME_M }
        })
    }

    /// Where the first begins, m.
    pub(super) fn begins_m(&self) -> f64 {
        self.pipes[0].from_m
    }

    /// The last.
    pub(super) fn last(&self) -> &FullPipe {
        &self.pipes[self.pipes.len() - 1]
    }

    /// That at a station; where two meet the lower one.
    pub(super) fn at(&self, station_m: f64) -> &FullPipe {
        self.pipes.iter().find(|pipe| pipe.to_m > station_m + SAME_M).unwrap_or_else(|| self.last())
    }

    /// Level that the flow uses up between two stations, m.
    pub(super) fn friction_m(&self, from_m: f64, to_m: f64) -> f64 {
        let over = |pipe: &FullPipe| (pipe.to_m.min(to_m) - pipe.from_m.max(from_m)).max(0.0);
        self.pipes.iter().map(|pipe| pipe.friction.unwrap_or(0.0) * over(pipe)).sum()
    }
}

/// Where water can come out of a drain's pipe: all along its stone, at its basins, and at those of a swale's end. What is
/// laid without holes and with tight joints lets none out, however high it would stand.
fn open(option: &DrainOption, begins_m: f64) -> Vec<[f64; 2]> {
    match option.arrangement {
        Arrangement::Basins => option.basins.iter().map(|basin| [basin.station_m; 2]).collect(),
        Arrangement::Swale => vec![[begins_m; 2]],
        Arrangement::OnePipe | Arrangement::TwoPipes | Arrangement::SwaleOverDrain => {
            option.line().map(|sized| [sized.reach.from_m, sized.reach.to_m]).collect()
        }
    }
}

impl FullPipe {
    pub(super) fn of(bore: Bore, (from_m, to_m): (f64, f64), flow: Option<Flow>) -> Self {
        let inside_m = bore.inside.as_m();
        let head = |flow: Flow| {
            let velocity_m_s = flow.as_m3_per_s() / (std::f64::consts::FRAC_PI_4 * inside_m * inside_m);
            velocity_m_s * velocity_m_s / (2.0 * GRAVITY_M_S2)
        };
        Self {
            from_m,
            to_m,
            inside_m,
            friction: flow.and_then(|flow| bore.friction(flow)),
            head_m: flow.map(head),
        }
    }
}
