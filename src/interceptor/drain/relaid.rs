//! A drain laid anew for the pipe that was chosen: a larger one than its way was looked for with has its top higher over
//! the same invert, and more below it.

use super::super::outlet::LaidWay;
use super::super::profile::{GroundPoint, Infeasible, Profile, ProfileLimits, lay};
use super::arrangement::Arrangement;
use super::error::DrainError;
use super::option::{Course, DrainOption, arranged};
use super::part::{DrainBasis, DrainPart};
use crate::units::Length;

/// Heights nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// An arrangement, laid for the largest of its own pipes.
///
/// # Method
/// Worked out on the way's profile; where a pipe is chosen whose top lies higher over its invert, or whose wall is thicker,
/// than the profile was laid for, the whole way is laid anew for that and worked out again. What is laid for never becomes
/// less again, and each round takes on measures of one more pipe of the catalogue, so that it ends. Where the larger pipe
/// can't be laid the option stays as it was and says what is missing.
pub(super) fn laid_for_its_pipes(
    arrangement: Arrangement,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Option<DrainOption>, DrainError> {
    let Some(mut found) = arranged(arrangement, part, basis)? else { return Ok(None) };
    let mut way = part.way.clone();
    let mut laid_for = [way.bore.above_invert(), way.bore.wall];
    loop {
        let asked = most(laid_for, &found);
        if (0..2).all(|i| asked[i].as_m() <= laid_for[i].as_m() + SAME_M) {
            return Ok(Some(found));
        }
        match laid_anew(part, asked)? {
            Ok((limits, profile)) => {
                way.limits = limits;
                way.laid = LaidWay::Fits(profile.clone());
                let anew = DrainPart { way: &way, profile: &profile, ..*part };
                let Some(mut next) = arranged(arrangement, &anew, basis)? else { return Ok(None) };
                if next.course == Course::Way {
                    next.course = Course::ForPipe(profile);
                }
                (found, laid_for) = (next, asked);
            }
            Err(refused) => {
                found.thin = Some(refused);
                return Ok(Some(found));
            }
        }
    }
}

/// Height of the top over the invert and thickness of the wall, the greatest of what was laid for and of the pipes.
fn most(laid_for: [Length; 2], option: &DrainOption) -> [Length; 2] {
    let larger = |a: Length, b: Length| if b > a { b } else { a };
    option.reaches.iter().fold(laid_for, |[above, wall], sized| {
        let (inside, outside) = (sized.pipe.inside(), sized.pipe.outside());
        [larger(above, (inside + outside) * 0.5), larger(wall, (outside - inside) * 0.5)]
    })
}

/// Limits and profile of the way for a pipe with such measures.
type Anew = Result<(ProfileLimits, Profile), Infeasible>;

fn laid_anew(part: &DrainPart<'_>, [above, wall]: [Length; 2]) -> Result<Anew, DrainError> {
    let way = part.way;
    let limits = way.limits.for_larger(above - way.bore.above_invert(), wall - way.bore.wall);
    let points = part.profile.stations().iter();
    let ground: Vec<GroundPoint> =
        points.map(|at| GroundPoint { station_m: at.station_m, ground_m: at.ground_m }).collect();
    Ok(lay(&ground, &limits)?.map(|profile| (limits, profile)))
}
