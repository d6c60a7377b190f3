//! What each arrangement is made of.

use super::super::catalogue::PipeSize;
use super::super::materials::Wrap;
use super::super::trench::{PipeCount, StoneTrench, TrenchError, TrenchRules};
use super::super::ways::BED;
use super::arrangement::Arrangement;
use super::basins::{grates_for, place_basins, usual_grate};
use super::build::NotBuilt;
use super::error::DrainError;
use super::intake::{Intake, Surface, intake};
use super::option::{ALL, Course, DrainOption};
use super::part::{DrainBasis, DrainPart};
use super::reach::{Reach, ReachPlace, reaches};
use super::sizes::{LinePipe, SizedReach, VelocityLimits, size};
use super::swale::swale_way;
use crate::formula::drain_grade::{SoilEntry, least_velocity};
use crate::units::{Flow, Length, Velocity};

/// Fastest water in plastic pipe, ft/s.
///
/// # Source
/// Code of Winchester, Indiana, table 4, after FHWA (second hand).
const FASTEST_FT_S: f64 = 15.0;

/// Velocities of pipes into which soil can or can't get.
pub(super) fn limits(entry: SoilEntry, basis: &DrainBasis<'_>) -> VelocityLimits {
    let fastest = Velocity::from_ft_per_s(FASTEST_FT_S);
    // What a soil bears counts where nothing keeps it from the pipe.
    let in_soil = basis.soil.drain_velocity().filter(|v| entry == SoilEntry::Possible && *v < fastest);
    VelocityLimits { least: least_velocity(entry), most_line: in_soil.unwrap_or(fastest), most_lead: fastest }
}

fn stone_limits(basis: &DrainBasis<'_>) -> VelocityLimits {
    let entry = match basis.finish.wrap() {
        Wrap::Full => SoilEntry::Kept,
        Wrap::Open => SoilEntry::Possible,
    };
    limits(entry, basis)
}

/// Reaches with the part's own water, of which a share comes into the pipe along the part; stone ends at a station.
fn own_reaches(part: &DrainPart<'_>, stone_ends_m: f64, share: f64) -> Result<Vec<Reach>, DrainError> {
    let all = reaches(part.profile, stone_ends_m, &|m| part.growth.share_at(m), part.flow)?;
    let into = |reach: Reach| match reach.place {
        ReachPlace::Line => Reach { flow: reach.flow * share, ..reach },
        ReachPlace::Lead => reach,
    };
    Ok(all.into_iter().map(into).collect())
}

/// With what other parts' pipes bring, too; a reach is sized for what it carries at its lower end.
fn with_joined(part: &DrainPart<'_>, mut reaches: Vec<Reach>) -> Vec<Reach> {
    for reach in &mut reaches {
        let brought = part.joined_flow(reach.to_m);
        reach.flow = reach.flow + brought;
        if part.way.is_enlarged && brought > Flow::ZERO {
            reach.least_inside = part.way.bore.inside;
        }
    }
    reaches
}

/// Pipes of a stone trench, and where its stone ends: with the part, or where it isn't covered any more before a mouth in the
/// open. That goes with the pipe, so that it is looked for again where a larger one was chosen than it was looked for with.
pub(super) fn stone_pipes(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
    limits: &VelocityLimits,
    (pipes, share): (PipeCount, f64),
) -> Result<Option<(Vec<SizedReach>, f64)>, DrainError> {
    let over = rules(pipes).stone_above + basis.finish.thickness();
    let mut above_invert = part.way.bore.above_invert();
    loop {
        let ends_m = part.stone_ends_m(above_invert + over);
        let all = with_joined(part, own_reaches(part, ends_m, share)?);
        let Some(sized) = size(&all, basis.catalogue, limits, LinePipe::Perforated(pipes)) else {
            return Ok(None);
        };
        let last = sized.iter().rfind(|sized| sized.reach.place == ReachPlace::Line);
        let last = last.map(|sized| (sized.pipe.inside() + sized.pipe.outside()) * 0.5);
        match last.filter(|last| *last > above_invert) {
            Some(higher) => above_invert = higher,
            None => return Ok(Some((sized, ends_m))),
        }
    }
}

/// Shares that get in, without what comes beyond the end of the stone: by the lower end none of that counts, by the upper
/// one it is what doesn't get in anyway.
pub(super) fn above_the_end([least, most]: [f64; 2], part: &DrainPart<'_>, ends_m: f64) -> [f64; 2] {
    if ends_m >= part.line_m() {
        return [least, most];
    }
    let above = part.growth.share_at(ends_m);
    [(least - (1.0 - above)).max(0.0), most.min(above)]
}

/// The trench of a pipe: its bed is as thick as the profile reckons with.
pub(super) fn stone_trench(
    pipe: &PipeSize,
    pipes: PipeCount,
    basis: &DrainBasis<'_>,
) -> Result<StoneTrench, TrenchError> {
    StoneTrench::new(pipe, &rules(pipes), basis.finish, basis.fabric)
}

/// Measures of all trenches.
pub(super) const fn rules(pipes: PipeCount) -> TrenchRules {
    let usual = TrenchRules::usual(pipes);
    TrenchRules { stone_below: BED, ..usual }
}

/// Whether the water gets into the trench of the part's first pipe, the narrowest.
pub(super) fn gets_in(
    sized: &[SizedReach],
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<Intake>, DrainError> {
    let first = sized.iter().find(|sized| sized.reach.place == ReachPlace::Line);
    first.map_or(Ok(None), |first| gets_in_by(&first.pipe, first.pipes, part, basis))
}

/// Whether it gets into the trench of a pipe.
fn gets_in_by(
    pipe: &PipeSize,
    pipes: PipeCount,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<Intake>, DrainError> {
    let Ok(trench) = stone_trench(pipe, pipes, basis) else { return Ok(None) };
    let surface = Surface {
        trench: &trench,
        top: basis.top,
        bare_stone: basis.bare_stone,
        depth: trench.least_depth(),
    };
    let head = stone_over(part, (pipe, pipes), basis);
    Ok(Some(intake(&surface, part.growth, part.flow, head)?))
}

/// Share that gets in at the most, by the upper end, whatever pipe of the catalogue is laid: so more water never asks for a
/// smaller pipe because another one lets less in.
pub(super) fn gets_in_at_most(part: &DrainPart<'_>, basis: &DrainBasis<'_>) -> Result<f64, DrainError> {
    let mut most = 0.0_f64;
    for pipe in basis.catalogue.pipes().iter().filter(|pipe| pipe.inlet_cm2_per_m > 0.0) {
        let found = gets_in_by(pipe, PipeCount::One, part, basis)?;
        most = most.max(found.map_or(0.0, |intake| intake.shares[1]));
    }
    Ok(most)
}

/// Stone over a pipe along the part where it is least: when it stands full, so much water drives the holes.
fn stone_over(part: &DrainPart<'_>, (pipe, pipes): (&PipeSize, PipeCount), basis: &DrainBasis<'_>) -> Length {
    let stations = part.profile.stations().iter().filter(|at| at.station_m <= part.line_m());
    let over_invert_m = stations.map(|at| at.ground_m - at.invert_m).fold(f64::INFINITY, f64::min);
    let above_invert = (pipe.inside() + pipe.outside()) * 0.5;
    let over_m = over_invert_m - above_invert.as_m() - basis.finish.thickness().as_m();
    let least = rules(pipes).stone_above;
    if over_m.is_finite() && over_m > least.as_m() { Length::from_m(over_m) } else { least }
}

pub(super) fn stone(
    arrangement: Arrangement,
    pipes: PipeCount,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<DrainOption>, DrainError> {
    let limits = stone_limits(basis);
    let Some((sized, ends_m)) = stone_pipes(part, basis, &limits, (pipes, 1.0))? else { return Ok(None) };
    let intake = gets_in(&sized, part, basis)?;
    let taken_shares = intake.as_ref().map_or([0.0; 2], |intake| above_the_end(intake.shares, part, ends_m));
    Ok(Some(DrainOption {
        arrangement,
        flow: part.flow,
        joined: part.joined.to_vec(),
        reaches: sized,
        intake,
        swale: None,
        basins: Vec::new(),
        end_grates: 0,
        stone_ends: part.stone_end(ends_m),
        course: Course::Way,
        taken_shares,
        piped_share: 1.0,
        limits,
        built: Err(NotBuilt::NotYet),
    }))
}

pub(super) fn swale(part: &DrainPart<'_>, basis: &DrainBasis<'_>) -> Result<Option<DrainOption>, DrainError> {
    // A pipe doesn't come into a swale.
    if part.joined_flow(part.line_m()) > Flow::ZERO {
        return Ok(None);
    }
    let limits = limits(SoilEntry::Possible, basis);
    let lead: Vec<Reach> = with_joined(part, own_reaches(part, part.line_m(), 1.0)?)
        .into_iter()
        .filter(|reach| reach.place == ReachPlace::Lead)
        .collect();
    let Some(sized) = size(&lead, basis.catalogue, &limits, LinePipe::Solid) else { return Ok(None) };
    let Some(swale) = swale_way(part.way, part.flow, basis.min_grade, &basis.swale)? else { return Ok(None) };
    Ok(Some(DrainOption {
        arrangement: Arrangement::Swale,
        flow: part.flow,
        joined: part.joined.to_vec(),
        end_grates: grates_for(part.flow, usual_grate()?),
        stone_ends: None,
        course: Course::Way,
        taken_shares: [swale.share_of(part.flow); 2],
        swale: Some(swale),
        reaches: sized,
        intake: None,
        basins: Vec::new(),
        piped_share: 1.0,
        limits,
        built: Err(NotBuilt::NotYet),
    }))
}

/// Basins take what comes to them; the pipe carries what they take.
pub(super) fn basins(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<DrainOption>, DrainError> {
    let limits = limits(SoilEntry::Possible, basis);
    let grate = usual_grate()?;
    let basins = place_basins(part.growth, part.flow, grate);
    let taken: Flow = basins.iter().map(|basin| basin.takes).sum();
    let up_to = |station_m: f64| -> f64 {
        let above = basins.iter().filter(|basin| basin.station_m <= station_m + 1e-9);
        above.map(|basin| basin.takes / part.flow).sum()
    };
    let all: Vec<Reach> = reaches(part.profile, part.line_m(), &up_to, part.flow)?
        .into_iter()
        .map(|reach| match reach.place {
            ReachPlace::Line => reach,
            ReachPlace::Lead => Reach { flow: taken, ..reach },
        })
        .collect();
    let all = with_joined(part, all);
    let Some(sized) = size(&all, basis.catalogue, &limits, LinePipe::Solid) else { return Ok(None) };
    let share = if part.flow > Flow::ZERO { taken / part.flow } else { 1.0 };
    Ok(Some(DrainOption {
        arrangement: Arrangement::Basins,
        flow: part.flow,
        joined: part.joined.to_vec(),
        reaches: sized,
        intake: None,
        swale: None,
        basins,
        end_grates: 0,
        stone_ends: None,
        course: Course::Way,
        taken_shares: [if share >= ALL { 1.0 } else { share }; 2],
        piped_share: 1.0,
        limits,
        built: Err(NotBuilt::NotYet),
    }))
}
