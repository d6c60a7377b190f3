//! A swale over a trench of stone: the ground over the pipe is the swale's bed.

use super::super::profile::{GroundPoint, Profile, ProfileStation, lay};
use super::super::trench::PipeCount;
use super::arrangement::Arrangement;
use super::basins::{grates_for, usual_grate};
use super::bed::SwaleBed;
use super::error::DrainError;
use super::kept::Kept;
use super::kinds::{limits, stone_option};
use super::lacking::Lacking;
use super::option::{Course, DrainOption};
use super::part::{DrainBasis, DrainPart};
use super::stone_pipes::{Asked, stone_pipes};
use super::swale::{SwaleWay, swale_way};
use crate::formula::drain_grade::SoilEntry;
use crate::units::{Flow, Length};

/// Beds that are tried, each as deep as the last one's swale asks for. Ours: pipes change in a few sizes.
const ROUNDS: usize = 6;
/// Depths nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// The pipe along the part carries at the most what its own holes and trench let in, by the upper end; the swale what doesn't
/// get in, by the lower one; the lead all.
///
/// The swale takes away ground over the pipe, so that the pipe is laid anew below the swale's bed; what gets in then may be another share,
/// and the swale another. No bed is made shallower again: the deepest that was asked for is shaped.
pub(super) fn swale_over_drain(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Result<DrainOption, Lacking>, DrainError> {
    let Some(whole) = swale_way(part.way, part.flow, basis.min_grade, &basis.swale)? else {
        return Ok(Err(Lacking::GroundUnknown));
    };
    let mut found = match over(part, basis, whole.capacity)? {
        Ok(found) => found,
        Err(lacking) => return Ok(Err(lacking)),
    };
    let mut bed = Length::ZERO;
    for _ in 0..ROUNDS {
        let deeper = |swale: &&SwaleWay| swale.bed.shaped().as_m() > bed.as_m() + SAME_M;
        let Some(swale) = found.swale.as_ref().filter(deeper) else { break };
        bed = swale.bed.shaped();
        let Some(profile) = laid_under(part, &swale.bed) else {
            found.course = Course::NoneUnderSwale;
            return Ok(Ok(found));
        };
        let under = DrainPart { profile: &profile, ..*part };
        let mut next = match over(&under, basis, whole.capacity)? {
            Ok(next) => next,
            Err(lacking) => return Ok(Err(lacking)),
        };
        next.course = Course::UnderSwale(profile);
        found = next;
    }
    let own = found.swale.as_ref().map_or(Length::ZERO, |swale| swale.bed.shaped());
    if own.as_m() > bed.as_m() + SAME_M {
        found.course = Course::NoneUnderSwale;
    }
    found.swale = found.swale.map(|swale| SwaleWay::shaped_to(swale, bed));
    Ok(Ok(found))
}

/// Share of the part's water that the pipe along it takes by the lower end, as far as it has room: what it turns
/// away runs in the swale, too. Whatever the lead carries, both come to it.
fn in_the_pipe(option: &DrainOption, part: &DrainPart<'_>) -> f64 {
    let mut room = option.room(part.growth.length_m());
    room.end = f64::INFINITY;
    Kept::of(part.growth, &room, 0).share()
}

/// The pipe of a way below the bed of a swale along the part; nothing where none keeps its limits there.
fn laid_under(part: &DrainPart<'_>, bed: &SwaleBed) -> Option<Profile> {
    let point = |at: &ProfileStation| GroundPoint {
        station_m: at.station_m,
        ground_m: bed.level_at(at.station_m).unwrap_or(at.ground_m),
    };
    let ground: Vec<GroundPoint> = part.profile.stations().iter().map(point).collect();
    lay(&ground, &part.way.limits).ok()?.ok()
}

/// On the ground that the part's profile has, under a swale that carries so much.
fn over(
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
    carries: Flow,
) -> Result<Result<DrainOption, Lacking>, DrainError> {
    // A basin at the swale's end lets soil into the lead.
    let limits = limits(SoilEntry::Possible);
    let asked = Asked { pipes: PipeCount::One, limits: &limits, swale: Some(carries) };
    let Some(found) = stone_pipes(part, basis, &asked)? else { return Ok(Err(Lacking::NoHoledPipe)) };
    let mut option = stone_option(Arrangement::SwaleOverDrain, part, found, limits);
    let taken = option.taken_shares;
    let rest = part.flow * (1.0 - in_the_pipe(&option, part));
    let Some(swale) = swale_way(part.way, rest, basis.min_grade, &basis.swale)? else {
        return Ok(Err(Lacking::GroundUnknown));
    };
    let with_swale = |taken: f64| {
        let left = part.flow * (1.0 - taken);
        taken + (1.0 - taken) * swale.share_of(left)
    };
    option.taken_shares = taken.map(with_swale);
    option.swale = Some(swale);
    option.end_grates = grates_for(rest, usual_grate()?);
    Ok(Ok(option))
}
