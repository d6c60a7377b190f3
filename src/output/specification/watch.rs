//! What to watch: safety of the trench, papers, pictures, and what holds of all parts.

use super::super::screen::Units;
use super::Topic;
use crate::interceptor::Digging;
use crate::interceptor::drain::DrainOption;
use crate::interceptor::quantities::{DrainLine, End};
use crate::pipeline::Assessment;
use crate::units::Length;

/// How deep the trench is, and what that asks for.
pub(super) fn deep(line: &DrainLine, units: Units) -> Vec<Topic> {
    let deepest = line.legs().iter().map(|leg| leg.cuts.deepest().depth);
    let Some(deepest) = deepest.reduce(|a, b| if b > a { b } else { a }) else { return Vec::new() };
    let mut found = vec![(
        "safety",
        format!(
            "the trench is {} deep at the most: a wall can fall at any depth, so nobody goes in where it isn't safe, and nobody alone; spoil and machines {} or more from the edge",
            units.level(deepest.as_m()),
            units.level(Length::from_ft(2.0).as_m())
        ),
    )];
    let asks = Digging::to(deepest);
    for from in [Digging::Deep, Digging::Protected].into_iter().filter(|&from| asks >= from) {
        let (Some(limit), Some([_, words, help])) = (from.from(), from.caution()) else { continue };
        let over: Length = line.legs().iter().map(|leg| leg.cuts.length_from(limit)).sum();
        found.push((
            "protection",
            format!(
                "{} of trench are {} deep or more: {words}; {help}",
                units.length(over.as_m()),
                units.level(limit.as_m())
            ),
        ));
    }
    found
}

/// Papers that a part's materials come with.
pub(super) fn ask_for(option: &DrainOption) -> String {
    let mut papers = Vec::new();
    if option.arrangement.has_stone() {
        papers.extend(["delivery tickets of the stone, with its size", "the fabric's data sheet and ticket"]);
    }
    if !option.reaches.is_empty() {
        papers.push("a piece of each pipe with its print");
    }
    if option.swale.is_some() {
        papers.push("the ticket of seed or sod");
    }
    papers.push("levels read at every stake after the work");
    papers.push("an account of every change");
    papers.join("; ")
}

/// What is covered and can't be looked at afterwards.
pub(super) fn photograph(option: &DrainOption) -> String {
    let mut sights = vec!["the ground before the work"];
    let line = option.built.as_ref().ok().and_then(|built| built.line.as_ref());
    if line.is_some() {
        sights.push("the open trench with its bed at every stake");
    }
    if option.arrangement.has_stone() {
        sights.push("the fabric before the stone");
    }
    if line.is_some() {
        sights.push("the pipe at every stake, with the level's rod on it");
        sights.push("every joint, bend and cleanout");
    }
    match line.map(DrainLine::end) {
        Some(End::Structure) => sights.push("the cored hole and its seal from both sides"),
        Some(End::Joins(_)) => sights.push("the wye where the lines join"),
        Some(End::Daylight) => sights.push("the mouth with its guard and the stone below it"),
        Some(End::Chamber) => sights.push("the seal where the pipe enters the chamber"),
        None => {}
    }
    if option.arrangement.has_stone() {
        sights.push("the stone before its top is closed");
    }
    if option.swale.is_some() {
        sights.push("the bed of the swale at every stake before it is seeded");
    }
    if !option.basins.is_empty() || option.end_grates > 0 {
        sights.push("every basin before it is filled around");
    }
    format!("before anything is covered, with a rule in the picture: {}", sights.join("; "))
}

pub(super) fn of_all(assessment: &Assessment<'_>) -> Vec<Topic> {
    let soil = &assessment.settings.drain.trench_soil;
    vec![
        ("before digging", "public utilities marked and private lines found; consent in writing of whoever owns what receives the water; the lot line staked by a surveyor where the line runs near it".to_owned()),
        ("levels", "all levels are those of the elevation data: before digging tie them to a mark on the site that stays; read the ground at every stake, and where it differs from the list by more than a hand's breadth, or the structure's invert does at all, stop and ask".to_owned()),
        ("soil", format!("reckoned as {soil}: stop and ask if it is another, or water stands in the trench")),
        ("test", "water from a hose at the head comes out at the outlet, before backfill and after".to_owned()),
        ("limits", "a preliminary design from a map of the surface: local codes and a licensed professional decide".to_owned()),
    ]
}
