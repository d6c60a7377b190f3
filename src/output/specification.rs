//! What to hold a crew to: a checklist made from the design.
//!
//! Figures are those of the design and of the tables that it is made from; tolerances and what to photograph are common
//! practice without a source.

use super::drain_words::tie_in_words;
use super::screen::{Units, percent};
use super::words::pipe_name;
use crate::interceptor::catalogue::PipeJoint;
use crate::interceptor::drain::{DrainOption, ReachPlace, SizedReach, StoneEnd};
use crate::interceptor::materials::{Surface, Wrap};
use crate::interceptor::quantities::{CAUTIONS, DrainLine, EXCLUSIONS, End, Section, WorkSettings};
use crate::interceptor::trench::{StoneTrench, TrenchRules};
use crate::pipeline::{Assessment, PartDrain};
use crate::units::Length;
use serde::Serialize;
use std::fmt::Write;

/// Stakes are no farther apart, m (25 ft). Common practice, no source.
const STAKES_M: f64 = 7.62;
/// Invert at a stake may be off by so much, mm (3/8 in). Common practice, no source.
const TOLERANCE_MM: f64 = 10.0;

/// One line of the checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Check {
    /// Part of the line; nothing where it holds of all.
    pub part: Option<usize>,
    /// What it is about.
    pub topic: &'static str,
    /// What to hold the crew to.
    pub text: String,
}

/// The checklist; empty where no drain is designed.
pub(super) fn specification(assessment: &Assessment<'_>) -> Vec<Check> {
    let parts = assessment.interception.parts.iter().zip(&assessment.drains.parts);
    let mut found: Vec<Check> = Vec::new();
    for (part, drain) in parts {
        let Some(drain) = drain else { continue };
        let Some(option) = drain.chosen() else {
            let text = "none is chosen: what was named has no pipe in the catalogue, or nothing can be built on the lot, so that nothing of it is in the quantities".to_owned();
            found.push(Check { part: Some(part.id), topic: "not built", text });
            continue;
        };
        for (topic, text) in of_part(option, drain, assessment) {
            found.push(Check { part: Some(part.id), topic, text });
        }
    }
    if found.is_empty() {
        return found;
    }
    found.extend(of_all(assessment).into_iter().map(|(topic, text)| Check { part: None, topic, text }));
    found
}

type Line = (&'static str, String);

fn of_part(option: &DrainOption, drain: &PartDrain, assessment: &Assessment<'_>) -> Vec<Line> {
    let units = Units::Si;
    let built = match &option.built {
        Ok(built) => built,
        Err(cause) => {
            let what = option.arrangement.words();
            return vec![(
                "not built",
                format!("{what} can't be built: {cause}; nothing of it is in the quantities"),
            )];
        }
    };
    let mut found = vec![("section", super::drain_words::section_words(option, units))];
    found.extend(option.reaches.iter().map(|sized| ("grade", grade(sized, units))));
    if !option.reaches.is_empty() {
        found.push(("grade", format!(
            "a stake at least every {}, with the invert on it; at each the pipe lies within {TOLERANCE_MM:.0} mm (3/8 in) of it, and nowhere lower than the next stake down the way",
            units.length(STAKES_M)
        )));
    }
    found.extend(perforated(option, units));
    let trench = stone_trench(option);
    if let Some(trench) = trench {
        found.extend(stone(trench, option, assessment, units));
    }
    found.extend(option.stone_ends.map(|end| ("stone", stone_end(end, units))));
    found.extend(joints(option));
    let line = built.line.as_ref();
    if let (Some(line), Some(text)) = (line, tie_in_words(option, units)) {
        found.push(end_check(line.end(), &text));
    }
    if let Some(line) = line {
        found.push(("cover", cover(line, assessment, units)));
    }
    found.extend(cleanouts(option));
    found.extend(swale_and_basins(option, drain, units));
    found
}

fn grade(sized: &SizedReach, units: Units) -> String {
    let reach = &sized.reach;
    let lead = if reach.place == ReachPlace::Lead { " (on the way to the outlet)" } else { "" };
    format!(
        "from {:.1} to {:.1} m of the way{lead}: {:.2} %, invert from {} at a steady fall",
        reach.from_m,
        reach.to_m,
        100.0 * reach.grade.get(),
        units.levels(reach.from_invert_m, "to", reach.to_invert_m)
    )
}

fn perforated(option: &DrainOption, units: Units) -> Option<Line> {
    let sized = option.line().find(|_| option.arrangement.has_stone())?;
    let area = sized.pipe.inlet_cm2_per_m;
    let in2_per_ft = crate::units::Area::from_cm2(area).as_in2() * Length::from_ft(1.0).as_m();
    Some((
        "pipe",
        format!(
            "{}, perforated, with holes of {area:.0} cm² a metre ({in2_per_ft:.2} in² a foot) or more, rows of holes down; wall, size and holes read off the print on the pipe before it is laid; outside {}",
            pipe_name(&sized.pipe),
            units.width(sized.pipe.outside().as_m())
        ),
    ))
}

fn stone_trench(option: &DrainOption) -> Option<&StoneTrench> {
    let line = option.built.as_ref().ok()?.line.as_ref()?;
    line.legs().iter().find_map(|leg| match &leg.section {
        Section::Stone(trench) => Some(trench),
        Section::Solid(_) => None,
    })
}

fn stone(trench: &StoneTrench, option: &DrainOption, assessment: &Assessment<'_>, units: Units) -> Vec<Line> {
    let name = &assessment.settings.drain.stone;
    let fabric = trench.fabric();
    let wrap = match trench.finish().wrap() {
        Wrap::Full => format!(
            "all round the stone, lapped on top by {} or the trench's width",
            units.width(fabric.overlap().as_m())
        ),
        Wrap::Open => "on bottom and both sides; none over the stone, where it would clog".to_owned(),
    };
    let fines = if assessment.settings.drain.fines.is_none() {
        " (the soil's fines are unknown: fabric for the finest soils; have the soil looked at)"
    } else {
        ""
    };
    vec![
        (
            "trench",
            format!(
                "{} wide at its bottom, {} of stone under the pipe and {} or more over it",
                units.width(trench.width().as_m()),
                units.width(
                    trench.bottom_below_invert().as_m()
                        - 0.5 * (trench.pipe().outside().as_m() - trench.pipe().inside().as_m())
                ),
                units.width(TrenchRules::usual(trench.pipes()).stone_above.as_m())
            ),
        ),
        (
            "stone",
            format!(
                "size {name} (AASHTO M 43 / ASTM D448), washed: a handful in a jar of water leaves it clear; the delivery ticket names the size"
            ),
        ),
        (
            "fabric",
            format!(
                "nonwoven, for soil with {}{fines}: opening up to {:.2} mm, permittivity {}/s or more (AASHTO M 288), {wrap}; no sock on the pipe besides",
                fabric.name(),
                fabric.opening().as_mm(),
                fabric.permittivity_per_s()
            ),
        ),
        ("finish", trench.finish().description().to_owned()),
    ]
    .into_iter()
    .chain(upkeep(trench, option))
    .collect()
}

/// Stone at the surface works as long as it is clean.
fn upkeep(trench: &StoneTrench, option: &DrainOption) -> Option<Line> {
    let intake = option.intake.as_ref().filter(|_| trench.finish().surface() == Surface::Stone)?;
    let clogged = intake.clogged_share.map_or(String::new(), |share| {
        format!(": clogged, it takes {} of the design storm's water", percent(share))
    });
    Some((
        "upkeep",
        format!(
            "leaves raked off and no bare soil left above it; where water stands on the stone its top is taken up and renewed{clogged}"
        ),
    ))
}

/// Stone that ends before the part does.
fn stone_end(end: StoneEnd, units: Units) -> String {
    format!(
        "it ends at {} of the way, before the part does at {}: the ground doesn't cover it beyond; from there the pipe is solid, and {} of the water that comes beyond isn't counted as taken",
        units.length(end.at.as_m()),
        units.length(end.part.as_m()),
        percent(end.beyond_share)
    )
}

fn joints(option: &DrainOption) -> Option<Line> {
    let first = option.reaches.first()?;
    let how = match first.pipe.joint {
        PipeJoint::Bell => "sockets pushed home, pointing up the way",
        PipeJoint::Coupling => "couplings over the outside, snapped home",
    };
    Some((
        "joints",
        format!("{how}: nothing of a joint, a fitting or a screw stands in the bore; solid pipe is tight"),
    ))
}

fn cover(line: &DrainLine, assessment: &Assessment<'_>, units: Units) -> String {
    let cuts = line.legs().iter().flat_map(|leg| leg.cuts.all());
    let deepest_m = cuts.map(|cut| cut.depth.as_m()).fold(0.0, f64::max);
    let mouth = if line.beyond() > Length::ZERO {
        format!(
            ", less towards the mouth; the last {} are an end piece without a trench: solid, rigid pipe in one length, laid on stone, ground made up around it, a guard on its mouth",
            units.length(line.beyond().as_m())
        )
    } else {
        String::new()
    };
    format!(
        "{} of ground or more over the pipe{mouth}; the trench is {} deep at the most: nobody goes in where the walls aren't safe",
        units.level(assessment.settings.min_cover.as_m()),
        units.level(deepest_m)
    )
}

fn cleanouts(option: &DrainOption) -> Option<Line> {
    let line = option.built.as_ref().ok()?.line.as_ref()?;
    let stations = line.cleanouts(WorkSettings::usual().cleanout_spacing).ok()?;
    let places: Vec<String> = stations.iter().map(|station| format!("{:.1} m", station.as_m())).collect();
    Some(("cleanouts", format!("at {} of the way, each with a cap at the ground", places.join(", "))))
}

fn swale_and_basins(option: &DrainOption, drain: &PartDrain, units: Units) -> Vec<Line> {
    let mut found = Vec::new();
    if let Some(swale) = option.swale {
        found.push(("swale", format!("a V with sides of {}:1, {} deep, even along its bed: no place holds water a day after rain; grass before water is let in{}", swale.rules.shape.side(), units.depth(swale.depth.as_m()), if option.arrangement.has_stone() { "; depth and cover of the trench under it are counted from its bed" } else { "" })));
    }
    let places: Vec<String> = option.basins.iter().map(|basin| format!("{:.1} m", basin.station_m)).collect();
    if !places.is_empty() {
        found.push((
            "basins",
            format!(
                "at {} of the way, each grate 12 in (30 cm) square, the lawn dished to it over 3 m (10 ft)",
                places.join(", ")
            ),
        ));
    }
    if option.end_grates > 0 {
        let line_m = drain.growth.length_m();
        found.push((
            "basins",
            format!(
                "where the part ends, at {line_m:.1} m of the way: grates of 12 in (30 cm) square: {}",
                option.end_grates
            ),
        ));
    }
    found
}

fn of_all(assessment: &Assessment<'_>) -> Vec<Line> {
    let soil = &assessment.settings.drain.trench_soil;
    vec![
        ("before digging", "public utilities marked and private lines found; consent in writing of whoever owns what receives the water; the lot line staked by a surveyor where the line runs near it".to_owned()),
        ("soil", format!("reckoned as {soil}: stop and ask if it is another, or water stands in the trench")),
        ("ask for", "delivery tickets of stone and fabric, the print on the pipe, the fabric's data sheet, an account of every change".to_owned()),
        ("photograph", "before anything is covered, with a rule in the picture: the open trench with its bed, fabric before the stone, the pipe at every stake, every joint, bend and cleanout, the hole and its seal, stone before the top is closed".to_owned()),
        ("test", "water from a hose at the head comes out at the outlet, before backfill and after".to_owned()),
        ("limits", "a preliminary design from a map of the surface: local codes and a licensed professional decide".to_owned()),
    ]
}

/// `specification.txt`.
pub(super) fn specification_txt(lot: &str, checks: &[Check]) -> String {
    let mut text = format!("What to hold a crew to: interception line of lot {lot}\n");
    let mut before: Option<Option<usize>> = None;
    for check in checks {
        if before != Some(check.part) {
            let head = check.part.map_or_else(|| "All parts".to_owned(), |id| format!("Part {id}"));
            // Writing to a string can't fail.
            let _ = writeln!(text, "\n{head}");
            before = Some(check.part);
        }
        let _ = writeln!(text, "[ ] {}: {}", check.topic, check.text);
    }
    let _ = writeln!(text, "\nNot in the quantities");
    for line in EXCLUSIONS {
        let _ = writeln!(text, "  - {line}");
    }
    let _ = writeln!(text, "\nBear in mind");
    for line in CAUTIONS {
        let _ = writeln!(text, "  - {line}");
    }
    text
}

/// How the lower end is made.
fn end_check(end: &End, text: &str) -> (&'static str, String) {
    match end {
        End::Daylight => {
            ("outlet", format!("{text}; the end cut flush with the slope, nothing washed out below it"))
        }
        End::Chamber => (
            "chamber",
            format!(
                "{text}; storage, pump, power, alarm and the way of the pumped water are another design, and none of them is in the quantities: without them the chamber fills and the line stands full"
            ),
        ),
        End::Joins(_) => (
            "junction",
            format!("{text}; the wye points down the water's way, no saddle on a perforated pipe"),
        ),
        End::Structure => (
            "structure",
            format!(
                "{text}; cored by a round bit, not broken in; the pipe flush with the inside, the seal seen from both sides"
            ),
        ),
    }
}
