//! What stands beside the part and its lead: rights of others, and ground that carries something.

use super::super::screen::Units;
use super::super::words::pipe_name;
use super::{Built, Topic};
use crate::interceptor::quantities::{Cut, DrainLine, Section};
use crate::interceptor::{Approach, ObstacleKind, Undercut};
use crate::pipeline::Meeting;
use crate::units::Length;
use crate::warning::named;

/// Less stone than this under a pipe isn't told, m.
const LEAST_BED_M: f64 = 0.005;

/// Easements crossed, other things too near, trenches that cut what carries something, leads over neighbours.
pub(super) fn beside(built: &Built<'_>) -> Vec<Topic> {
    let outlets = built.outlets;
    let mut found: Vec<Topic> = outlets.approaches.iter().map(|near| approach(built, near)).collect();
    found.extend(outlets.undercuts.iter().map(|cut| undercut(built, cut)));
    found.extend(over_neighbours(built));
    found.extend(built.outlets.meetings.iter().map(|meeting| other_pipe(meeting, built.units)));
    found
}

fn approach(built: &Built<'_>, near: &Approach) -> Topic {
    let units = built.units;
    let thing = &built.assessment.obstacles.all()[near.obstacle];
    let place = format!("from {} of the way", units.span(near.from_m, near.to_m));
    match (thing.kind, near.nearest_m > 0.0) {
        (ObstacleKind::Easement, false) => (
            "easement",
            format!(
                "{place} the work crosses {}: not begun before its holder has agreed in writing",
                thing.name
            ),
        ),
        (_, false) => (
            "keep clear",
            format!(
                "{place} the work crosses {}: found and marked first, dug by hand there, and not begun before whoever has a right in it agrees",
                thing.name
            ),
        ),
        (_, true) => (
            "keep clear",
            format!(
                "{place} the work comes within {} of {}, which asks for {}: not begun there before that is agreed",
                units.level(near.nearest_m),
                thing.name,
                units.level(thing.distance.as_m())
            ),
        ),
    }
}

fn undercut(built: &Built<'_>, cut: &Undercut) -> Topic {
    let units = built.units;
    let thing = &built.assessment.obstacles.all()[cut.obstacle];
    (
        "undercut",
        format!(
            "at {} of the way the {}, {} deep and {} wide, cuts the ground that carries {}: its middle lies {} off and would have to lie {} off; no digging there before a licensed engineer, or of a tree an arborist, has said how",
            units.length(cut.station_m),
            cut.by.name(),
            units.level(cut.cut_m),
            units.level(cut.width_m),
            thing.name,
            units.level(cut.distance_m),
            units.level(cut.needed_m)
        ),
    )
}

/// Where another part's pipe is crossed, or lies in the same trench.
fn other_pipe(meeting: &Meeting, units: Units) -> Topic {
    let text = match *meeting {
        Meeting::Crosses { other, station_m, inverts_m: [own_m, others_m], between_m } => {
            let [place, own, others] = [units.length(station_m), units.level(own_m), units.level(others_m)];
            let passes = if own_m >= others_m { "above" } else { "below" };
            let ground = if meeting.is_too_near() && between_m > 0.0 {
                format!(
                    "{} of ground between the two, too little: not begun there before the design is changed",
                    units.level(between_m)
                )
            } else if between_m > 0.0 {
                format!(
                    "{} of ground between the two; the lower one is laid first, and the ground over it tamped",
                    units.level(between_m)
                )
            } else {
                "they would meet: not begun there before the design is changed".to_owned()
            };
            format!(
                "at {place} of the way it passes {passes} the pipe of part {other}, invert {own} against {others}: {ground}"
            )
        }
        Meeting::Beside { other, length_m } => format!(
            "over {} its pipe lies within a trench's width of that of part {other}: one trench, wide enough for both with room to tamp between and beside them, and neither dug up for the other; the quantities have a trench for each, so that the price of the one is asked for",
            units.length(length_m)
        ),
        Meeting::UnderSwale { other, station_m, cover_m } => {
            let left = if cover_m > 0.0 {
                format!("leaves {} of ground over this pipe", units.level(cover_m))
            } else {
                format!("comes {} below the top of this pipe", units.level(-cover_m))
            };
            return (
                "other swale",
                format!(
                    "at {} of the way the swale of part {other} {left}, less than is asked for: neither is begun there before the design is changed",
                    units.length(station_m)
                ),
            );
        }
    };
    ("other pipe", text)
}

fn over_neighbours(built: &Built<'_>) -> Option<Topic> {
    let proposed = built.outlets.proposed().filter(|found| !found.parcels.is_empty())?;
    let parcels = built.assessment.site.parcels.parcels();
    let ids: Vec<&str> = proposed.parcels.iter().map(|&place| parcels[place].id.as_str()).collect();
    Some((
        "permission",
        format!(
            "the way to the outlet runs over {}, which is not the lot: nobody digs there before the owner has agreed in writing",
            named(&ids)
        ),
    ))
}

/// Trench and bed of pipe without stone.
pub(super) fn solid_trench(built: &Built<'_>) -> Vec<Topic> {
    let Ok(found) = &built.option.built else { return Vec::new() };
    let legs = found.line.iter().flat_map(DrainLine::legs);
    let mut told = Vec::new();
    for leg in legs {
        let Section::Solid(trench) = &leg.section else { continue };
        let words = solid_words(&pipe_name(trench.pipe()), trench.width(), built.units);
        if !told.contains(&words) {
            told.push(words);
        }
    }
    let solid = told.into_iter().map(|words| ("solid pipe", words));
    solid.chain(found.line.as_ref().and_then(|line| bedding(line, built.units))).collect()
}

/// Where the bed of the stone goes on under the solid pipe.
fn bedding(line: &DrainLine, units: Units) -> Option<Topic> {
    let solid = line.legs().iter().filter(|leg| matches!(leg.section, Section::Solid(_)));
    let cuts: Vec<&Cut> = solid.flat_map(|leg| leg.cuts.all()).collect();
    let dug: Vec<usize> = (0..cuts.len()).filter(|&place| cuts[place].under.as_m() > LEAST_BED_M).collect();
    let (first, last) = (cuts[*dug.first()?], cuts[(*dug.last()? + 1).min(cuts.len() - 1)]);
    let most = dug.iter().map(|&place| cuts[place].under.as_m()).fold(0.0, f64::max);
    Some((
        "bed",
        format!(
            "from {} of the way, where the stone ends, its bed goes on level under the solid pipe, {} below it at first, filled with the same stone and trodden in, until the pipe lies on the bottom: a step up there would dam the water in the stone; what stands in it below the pipe has to soak away",
            units.span(first.station.as_m(), last.station.as_m()),
            units.width(most)
        ),
    ))
}

fn solid_words(pipe: &str, width: Length, units: Units) -> String {
    format!(
        "{pipe} in a trench {} wide at its bottom, without stone: the bottom cut even and firm and hollowed under the sockets, so that the pipe rests on it all along; ground dug too deep made up with sand or stone, not loose soil; the first soil on it free of stones, trodden in on both sides at once",
        units.width(width.as_m())
    )
}
