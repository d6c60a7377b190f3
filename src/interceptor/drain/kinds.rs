//! What each arrangement is made of.

use super::super::catalogue::PipeSize;
use super::super::materials::Wrap;
use super::super::trench::{PipeCount, StoneTrench, TrenchError, TrenchRules};
use super::super::ways::BED;
use super::arrangement::Arrangement;
use super::basins::{grates_for, place_basins, usual_grate};
use super::build::NotBuilt;
use super::choice::{LetIn, size};
use super::error::DrainError;
use super::lacking::Lacking;
use super::option::{ALL, Course, DrainOption};
use super::part::{DrainBasis, DrainPart, largest_in};
use super::reach::{Reach, ReachPlace, reaches};
use super::sizes::{LinePipe, SizedReach, VelocityLimits};
use super::stone_pipes::{Asked, StonePipes, stone_pipes};
use super::swale::swale_way;
use crate::formula::drain_grade::{SoilEntry, least_velocity};
use crate::units::{Flow, Length, Velocity};

/// Fastest water in plastic pipe, ft/s.
///
/// # Source
/// Code of Winchester, Indiana, table 4, after FHWA (second hand).
const FASTEST_FT_S: f64 = 15.0;

/// Velocities of pipes into which soil can or can't get.
///
/// # Method
/// What a soil bears limits pipes with holes that lie in it bare. None of ours does: each lies in stone with
/// fabric between that and the soil, or has no holes, which protect the soil alike.
///
/// # Source
/// NRCS practice standard 606 (velocities without protection, and what protects), from memory.
pub(super) const fn limits(entry: SoilEntry) -> VelocityLimits {
    VelocityLimits { least: least_velocity(entry), most: Velocity::from_ft_per_s(FASTEST_FT_S) }
}

fn stone_limits(basis: &DrainBasis<'_>) -> VelocityLimits {
    let entry = match basis.finish.wrap() {
        Wrap::Full => SoilEntry::Kept,
        Wrap::Open => SoilEntry::Possible,
    };
    limits(entry)
}

/// Reaches with the part's own water, of which a share comes into the pipe along the part; stone ends at a station.
pub(super) fn own_reaches(
    part: &DrainPart<'_>,
    stone_ends_m: f64,
    share: f64,
) -> Result<Vec<Reach>, DrainError> {
    let all = reaches(part.profile, stone_ends_m, &|m| part.growth.share_at(m), part.flow)?;
    let into = |reach: Reach| match reach.place {
        ReachPlace::Line => Reach { flow: reach.flow * share, ..reach },
        ReachPlace::Lead => reach,
    };
    Ok(all.into_iter().map(into).collect())
}

/// With what other parts' pipes bring, too; a reach is sized for what it carries at its lower end, and no
/// smaller than what has come in.
pub(super) fn with_joined(part: &DrainPart<'_>, mut reaches: Vec<Reach>) -> Vec<Reach> {
    for reach in &mut reaches {
        let brought = part.joined_flow(reach.to_m);
        reach.flow = reach.flow + brought;
        reach.least_inside = part.least_inside;
        reach.least_size = largest_in(part.joined, reach.to_m);
        if part.way.is_enlarged && brought > Flow::ZERO {
            reach.least_inside = larger(reach.least_inside, part.way.bore.inside);
        }
    }
    reaches
}

fn larger(a: Length, b: Length) -> Length {
    if b > a { b } else { a }
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

pub(super) fn stone(
    arrangement: Arrangement,
    pipes: PipeCount,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Result<DrainOption, Lacking>, DrainError> {
    let limits = stone_limits(basis);
    let asked = Asked { pipes, limits: &limits, swale: None };
    let Some(found) = stone_pipes(part, basis, &asked)? else { return Ok(Err(Lacking::NoHoledPipe)) };
    Ok(Ok(stone_option(arrangement, part, found, limits)))
}

/// A trench of stone with its pipes, and nothing over it.
pub(super) fn stone_option(
    arrangement: Arrangement,
    part: &DrainPart<'_>,
    found: StonePipes,
    limits: VelocityLimits,
) -> DrainOption {
    let taken_shares = found.intake.as_ref().map_or([0.0; 2], |intake| intake.shares);
    DrainOption {
        arrangement,
        flow: part.flow,
        joined: part.joined.to_vec(),
        reaches: found.sizes.reaches,
        intake: found.intake,
        swale: None,
        basins: Vec::new(),
        end_grates: 0,
        stone_ends: part.stone_end(found.ends_m),
        course: Course::Way,
        taken_shares,
        piped_share: found.piped_share,
        kept_shares: [0.0; 2],
        limits,
        thin: None,
        built: Err(NotBuilt::NotYet),
    }
}

pub(super) fn swale(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Result<DrainOption, Lacking>, DrainError> {
    // A pipe doesn't come into a swale.
    if part.joined.iter().any(|joined| joined.station_m <= part.line_m()) {
        return Ok(Err(Lacking::PipeJoins));
    }
    let limits = limits(SoilEntry::Possible);
    let lead: Vec<Reach> = with_joined(part, own_reaches(part, part.line_m(), 1.0)?)
        .into_iter()
        .filter(|reach| reach.place == ReachPlace::Lead)
        .collect();
    let Some(sized) = solid(&lead, part, basis, &limits) else { return Ok(Err(Lacking::NoPipe)) };
    let Some(swale) = swale_way(part.way, part.flow, basis.min_grade, &basis.swale)? else {
        return Ok(Err(Lacking::GroundUnknown));
    };
    Ok(Ok(DrainOption {
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
        kept_shares: [0.0; 2],
        limits,
        thin: None,
        built: Err(NotBuilt::NotYet),
    }))
}

/// Basins take what comes to them; the pipe carries what they take.
pub(super) fn basins(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Result<DrainOption, Lacking>, DrainError> {
    let limits = limits(SoilEntry::Possible);
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
    let Some(sized) = solid(&all, part, basis, &limits) else { return Ok(Err(Lacking::NoPipe)) };
    let share = if part.flow > Flow::ZERO { taken / part.flow } else { 1.0 };
    Ok(Ok(DrainOption {
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
        kept_shares: [0.0; 2],
        limits,
        thin: None,
        built: Err(NotBuilt::NotYet),
    }))
}

/// Pipes without holes.
fn solid(
    reaches: &[Reach],
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
    limits: &VelocityLimits,
) -> Option<Vec<SizedReach>> {
    let let_in = LetIn::solid(part.flow, part.joined);
    size(reaches, basis.catalogue, limits, LinePipe::Solid, &let_in).map(|sizes| sizes.reaches)
}
