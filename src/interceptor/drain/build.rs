//! An arrangement as it is built: trenches with their depths, bends, and what lies beside them.

use super::super::materials::Surface;
use super::super::profile::END_PIECE_M;
use super::super::quantities::{
    Beside, Cuts, DrainLine, End, Leg, Level, PipeBeyond, QuantityError, Section,
};
use super::super::trench::{PipeCount, SolidTrench, TrenchError};
use super::arrangement::Arrangement;
use super::bed::BedPlace;
use super::bedding::nowhere_rising;
use super::kinds::{rules, stone_trench};
use super::option::{Course, DrainOption};
use super::part::{DrainBasis, DrainPart, last_spare};
use super::reach::ReachPlace;
use super::sizes::SizedReach;
use super::swale::ground_at;
use crate::units::{Area, Length, Volume};
use geo::{Coord, LineString};

/// A way that turns by less than this has no bend: joints and pipe give so much. Common practice, no source; radians (10
/// degrees).
const STRAIGHT: f64 = std::f64::consts::PI / 18.0;
/// Places nearer than this are one, m.
const SAME_M: f64 = 1e-6;

/// Trenches and what lies beside them.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    /// The drain; none for a swale that needs no lead.
    pub line: Option<DrainLine>,
    /// Swale and basins.
    pub beside: Beside,
}

/// Why nothing can be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotBuilt {
    /// Not looked at.
    #[error("not worked out")]
    NotYet,
    /// A trench of stone whose stone has no ground over it anywhere along the part.
    #[error("its stone isn't covered by ground anywhere along the part, so that there is none")]
    NoStone,
    /// Below a swale's bed.
    #[error("no pipe keeps cover, trench depth and grade below the bed of the swale")]
    UnderSwale,
    /// A swale that is cut deeper through the ground than a trench may go.
    #[error(
        "its swale would be {depth_m:.2} m deep at {station_m:.1} m of its way, {:.2} m deeper than a trench may be ({most_m:.2} m)",
        depth_m - most_m
    )]
    SwaleTooDeep {
        /// Where it is deepest.
        station_m: f64,
        /// Its depth there.
        depth_m: f64,
        /// Depth that a trench may have.
        most_m: f64,
    },
    /// A pipe that would stand out of the ground before its mouth for far longer than it was laid for.
    #[error(
        "its pipe would stand out of the ground over the last {bare_m:.1} m before its mouth, more than {most_m:.1} m"
    )]
    Bare {
        /// Length that stands out.
        bare_m: f64,
        /// That may.
        most_m: f64,
    },
    /// A section that doesn't go together.
    #[error("{0}")]
    Section(#[from] TrenchError),
    /// A trench that doesn't hold what goes into it.
    #[error("{0}")]
    Depth(#[from] QuantityError),
}

/// Builds an arrangement. What can't be built is an answer.
pub(super) fn build(
    option: &DrainOption,
    part: &DrainPart<'_>,
    basis: &DrainBasis<'_>,
) -> Result<Built, NotBuilt> {
    if option.course == Course::NoneUnderSwale {
        return Err(NotBuilt::UnderSwale);
    }
    dug_no_deeper_than_a_trench(option, part)?;
    if option.arrangement.has_stone() && option.line().next().is_none() {
        return Err(NotBuilt::NoStone);
    }
    let part = &DrainPart { profile: option.profile(part.profile), ..*part };
    let mut found = sections(option, basis)?;
    let mouth_m = found.last().map_or(0.0, |(_, _, to_m)| *to_m);
    if *part.end == End::Daylight {
        end_where_covered(part, &mut found)?;
    }
    let mut legs: Vec<Leg> = Vec::new();
    let mut bed_so_far_m = f64::INFINITY;
    for (section, from_m, to_m) in found {
        let (levels, below) = levels(part, &section, from_m, to_m);
        let (levels, ends_m) = nowhere_rising(levels, below, bed_so_far_m);
        bed_so_far_m = ends_m;
        let cuts = Cuts::from_levels(&levels, below)?;
        legs.push(Leg { section, cuts });
    }
    let width = widest(&legs);
    let line = match (legs.first(), legs.last()) {
        (Some(first), Some(last)) => {
            let bends = bends(part, first.cuts.from().as_m(), last.cuts.to().as_m());
            let ends_m = last.cuts.to().as_m();
            end_piece(ends_m, mouth_m, part.way.limits.bare_m())?;
            let beyond = beyond(option, ends_m);
            let bends_beyond = u32::try_from(self::bends(part, ends_m, mouth_m).len()).unwrap_or(u32::MAX);
            Some(DrainLine::new(legs, bends, part.end.clone())?.with_pipe_beyond(beyond, bends_beyond))
        }
        _ => None,
    };
    Ok(Built { line, beside: beside(option, basis, width) })
}

/// Whether the swale keeps the depth that a trench may have where it is deepest.
fn dug_no_deeper_than_a_trench(option: &DrainOption, part: &DrainPart<'_>) -> Result<(), NotBuilt> {
    let most_m = part.way.limits.greatest_cut_m();
    let deepest = option.swale.as_ref().map(|swale| swale.bed.deepest());
    match deepest.filter(|deepest| deepest.depth.as_m() > most_m + SAME_M) {
        Some(BedPlace { station, depth, .. }) => {
            Err(NotBuilt::SwaleTooDeep { station_m: station.as_m(), depth_m: depth.as_m(), most_m })
        }
        None => Ok(()),
    }
}

/// Whether the pipe from the end of the trench to a mouth in the open is short enough. The way was laid for so much
/// that stands out of the ground, an end piece or a longer one in a bank of earth, with one pipe and by the ground at its
/// stations; as it is built it may be longer, but not twice as long.
fn end_piece(ends_m: f64, mouth_m: f64, laid_for_m: f64) -> Result<(), NotBuilt> {
    let (bare_m, most_m) = (mouth_m - ends_m, 2.0 * END_PIECE_M.max(laid_for_m));
    if bare_m > most_m + SAME_M { Err(NotBuilt::Bare { bare_m, most_m }) } else { Ok(()) }
}

/// The pipes of the reaches from the end of the trench on.
fn beyond(option: &DrainOption, ends_m: f64) -> Vec<PipeBeyond> {
    let after = |sized: &SizedReach| {
        let length_m = sized.reach.to_m - sized.reach.from_m.max(ends_m);
        (length_m > SAME_M).then(|| PipeBeyond { pipe: sized.pipe.clone(), length: Length::from_m(length_m) })
    };
    option.reaches.iter().filter_map(after).collect()
}

/// Sections from the head, with their ends; reaches of one section are one.
fn sections(option: &DrainOption, basis: &DrainBasis<'_>) -> Result<Vec<(Section, f64, f64)>, TrenchError> {
    let mut found: Vec<(Section, f64, f64)> = Vec::new();
    for sized in &option.reaches {
        let section = section(option.arrangement, sized, basis)?;
        match found.last_mut() {
            Some((above, _, to_m)) if *above == section => *to_m = sized.reach.to_m,
            _ => found.push((section, sized.reach.from_m, sized.reach.to_m)),
        }
    }
    Ok(found)
}

/// Ends the solid trench before a mouth in the open where it no longer holds pipe and sod.
fn end_where_covered(
    part: &DrainPart<'_>,
    sections: &mut Vec<(Section, f64, f64)>,
) -> Result<(), QuantityError> {
    while let Some((section @ Section::Solid(trench), from_m, to_m)) = sections.last() {
        let (levels, below) = levels(part, section, *from_m, *to_m);
        let least_m = trench.least_depth().as_m();
        let depth_m = |at: &Level| at.ground_m - at.invert_m + below.as_m();
        let spare: Vec<(f64, f64)> =
            levels.iter().map(|at| (at.station.as_m(), depth_m(at) - least_m)).collect();
        match last_spare(&spare).filter(|ends_m| *ends_m > *from_m + SAME_M) {
            Some(ends_m) => {
                if let Some(last) = sections.last_mut() {
                    last.2 = ends_m;
                }
                return Ok(());
            }
            None if sections.len() == 1 => {
                let cause = TrenchError::Shallow { depth_m: levels.first().map_or(0.0, depth_m), least_m };
                return Err(QuantityError::Shallow { station_m: *from_m, cause });
            }
            None => sections.pop(),
        };
    }
    Ok(())
}

fn section(
    arrangement: Arrangement,
    sized: &SizedReach,
    basis: &DrainBasis<'_>,
) -> Result<Section, TrenchError> {
    if arrangement.has_stone() && sized.reach.place == ReachPlace::Line {
        return stone_trench(&sized.pipe, sized.pipes, basis).map(Section::Stone);
    }
    SolidTrench::new(&sized.pipe, &rules(PipeCount::One), basis.lead_finish).map(Section::Solid)
}

/// Ground and invert at the stations of the profile between two and at both, and how far the section's
/// bottom lies below the invert.
fn levels(part: &DrainPart<'_>, section: &Section, from_m: f64, to_m: f64) -> (Vec<Level>, Length) {
    let ground: Vec<(f64, f64)> =
        part.profile.stations().iter().map(|at| (at.station_m, at.ground_m)).collect();
    let inside = ground.iter().map(|at| at.0).filter(|m| *m > from_m + SAME_M && *m < to_m - SAME_M);
    let stations = std::iter::once(from_m).chain(inside).chain([to_m]);
    let levels: Vec<Level> = stations
        .filter_map(|station_m| {
            Some(Level {
                station: Length::from_m(station_m),
                ground_m: ground_at(&ground, station_m)?,
                invert_m: part.profile.invert_at(station_m),
                under: Length::ZERO,
            })
        })
        .collect();
    let below = match section {
        Section::Stone(trench) => trench.bottom_below_invert(),
        Section::Solid(trench) => trench.bottom_below_invert(),
    };
    (levels, below)
}

/// Stations at which the way turns.
fn bends(part: &DrainPart<'_>, from_m: f64, to_m: f64) -> Vec<Length> {
    let path: &LineString = &part.way.path;
    let drawn: f64 = path.0.windows(2).map(|pair| distance(pair[0], pair[1])).sum();
    if drawn <= 0.0 {
        return Vec::new();
    }
    let metres_per_unit = part.way.length.as_m() / drawn;
    let mut station_m = 0.0;
    let mut found: Vec<Length> = Vec::new();
    for triple in path.0.windows(3) {
        station_m += distance(triple[0], triple[1]) * metres_per_unit;
        let (before, after) = (triple[1] - triple[0], triple[2] - triple[1]);
        let cross = before.x * after.y - before.y * after.x;
        let turn = cross.atan2(before.x * after.x + before.y * after.y).abs();
        let within = station_m > from_m + SAME_M && station_m < to_m - SAME_M;
        let after_last = found.last().is_none_or(|last| station_m > last.as_m() + SAME_M);
        if turn > STRAIGHT && within && after_last {
            found.push(Length::from_m(station_m));
        }
    }
    found
}

fn distance(a: Coord, b: Coord) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

/// Width of the widest trench of stone.
fn widest(legs: &[Leg]) -> Length {
    let width = |leg: &Leg| match &leg.section {
        Section::Stone(trench) => trench.width(),
        Section::Solid(_) => Length::ZERO,
    };
    legs.iter().map(width).fold(Length::ZERO, |a, b| if b > a { b } else { a })
}

fn beside(option: &DrainOption, basis: &DrainBasis<'_>, trench: Length) -> Beside {
    let basins = u32::try_from(option.basins.len()).unwrap_or(u32::MAX).saturating_add(option.end_grates);
    let cover = match basis.finish.surface() {
        // Grass is what makes it a swale.
        Surface::Stone => Surface::Seed,
        other => other,
    };
    let bed = option.swale.as_ref().map(|swale| &swale.bed);
    Beside {
        dug: bed.map_or(Volume::ZERO, |bed| bed.dug(trench)),
        surface: bed.map_or(Area::ZERO, |bed| bed.surface(trench)),
        cover,
        basins,
    }
}
