//! The pipes of a stone trench, and where its stone ends.

use super::super::catalogue::PipeSize;
use super::super::trench::PipeCount;
use super::choice::{LetIn, Lets, Sizes, size};
use super::error::DrainError;
use super::inlets::{Inlet, Inlets, Piece, above_invert};
use super::intake::Intake;
use super::kinds::{own_reaches, rules, with_joined};
use super::part::{DrainBasis, DrainPart};
use super::reach::ReachPlace;
use super::sizes::{LinePipe, VelocityLimits};
use crate::units::Flow;

/// Shares nearer than this are one.
const SAME: f64 = 1e-9;

/// What is asked of the pipes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    pub(super) pipes: PipeCount,
    pub(super) limits: &'a VelocityLimits,
    /// Flow that a swale over them carries; nothing without one.
    pub(super) swale: Option<Flow>,
}

/// Pipes that were found.
pub(super) struct StonePipes {
    pub(super) sizes: Sizes,
    /// Where the stone ends, m.
    pub(super) ends_m: f64,
    pub(super) intake: Option<Intake>,
    /// Share of the water along the part that the pipe was sized for.
    pub(super) piped_share: f64,
}

/// Sizes the pipes of a stone trench; `None` where the catalogue has none with holes.
///
/// # Method
/// [`size`], with what each pipe lets in: of what the top of the narrowest trench takes, by the lower end,
/// as much as its holes do. Before a mouth in the open the stone ends where it isn't covered any more, the
/// earlier the taller the pipe: that is looked for again where a taller one was chosen than it was looked
/// for with.
pub(super) fn stone_pipes(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
    asked: &Asked<'_>,
) -> Result<Option<StonePipes>, DrainError> {
    let inlets = Inlets::of(part, basis, asked.pipes)?;
    let over = rules(asked.pipes).stone_above + basis.finish.thickness();
    let mut tallest = part.way.bore.above_invert();
    loop {
        let ends_m = part.stone_ends_m(tallest + over);
        let Some(found) = with_stone_to(ends_m, &inlets, part, basis, asked)? else { return Ok(None) };
        let last = found.sizes.reaches.iter().rfind(|sized| sized.reach.place == ReachPlace::Line);
        let last = last.map(|sized| above_invert(&sized.pipe)).filter(|last| *last > tallest);
        match last.filter(|last| part.stone_ends_m(*last + over) < ends_m) {
            Some(taller) => tallest = taller,
            None => return Ok(Some(found)),
        }
    }
}

/// The best pipes where the stone ends at a station.
///
/// # Method
/// Under a swale what that carries counts with what gets in, and the pipes are sized for what gets in at
/// the most, by the upper end: each such share is tried, with the pipes that let in no more. Without a
/// swale the pipes are held against all water.
fn with_stone_to(
    ends_m: f64,
    inlets: &Inlets<'_>,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
    asked: &Asked<'_>,
) -> Result<Option<StonePipes>, DrainError> {
    let all = own_reaches(part, ends_m, 1.0)?;
    let pieces = inlets.pieces(&all, ends_m);
    let mut best: Option<StonePipes> = None;
    for most in shares_in_the_pipe(inlets, &pieces, asked) {
        let reaches = with_joined(part, own_reaches(part, ends_m, most)?);
        let keeps_to = |inlet: &Inlet| asked.swale.is_none() || inlets.most(inlet, &pieces) <= most + SAME;
        // Reaches along the part come first, without pieces from the lead on. What has no trench lets nothing in.
        let lets = |at: usize, inlet| {
            let piece = pieces.get(at);
            piece.map_or(Lets::share(0.0), |piece| inlets.lets(inlet, *piece))
        };
        let along = |at: usize, pipe: &PipeSize| match inlets.get(pipe) {
            Some(inlet) => keeps_to(inlet).then(|| lets(at, inlet)),
            None => (pipe.inlet_cm2_per_m > 0.0).then_some(Lets::share(0.0)),
        };
        let beside = by_swale(part, asked);
        let let_in = LetIn { flow: part.flow, joined: part.joined, along: &along, beside };
        let line = LinePipe::Perforated(asked.pipes);
        let Some(sizes) = size(&reaches, basis.catalogue, asked.limits, line, &let_in) else { continue };
        if best.as_ref().is_none_or(|best| sizes.is_smaller_or_better_than(&best.sizes)) {
            let intake = inlets.gets_in(&sizes.reaches, &pieces);
            best = Some(StonePipes { sizes, ends_m, intake, piped_share: most });
        }
    }
    Ok(best)
}

/// Shares of the part's water that its pipes are sized for, the greatest first.
fn shares_in_the_pipe(inlets: &Inlets<'_>, pieces: &[Piece], asked: &Asked<'_>) -> Vec<f64> {
    if asked.swale.is_none() {
        return vec![1.0];
    }
    let mut found: Vec<f64> = inlets.all().iter().map(|inlet| inlets.most(inlet, pieces)).collect();
    found.sort_by(|a, b| b.total_cmp(a));
    found.dedup_by(|a, b| (*a - *b).abs() <= SAME);
    found
}

/// Share of the part's water that a swale over the pipes carries.
fn by_swale(part: &DrainPart<'_>, asked: &Asked<'_>) -> f64 {
    asked.swale.map_or(0.0, |carries| if part.flow > Flow::ZERO { carries / part.flow } else { 1.0 })
}
