//! What to hold a crew to: a checklist made from the design.
//!
//! Figures are those of the design and of the tables that it is made from; tolerances and what to photograph are common
//! practice without a source.

use super::besides::ChamberRow;
use super::drain_words::tie_in_words;
use super::said::Said;
use super::screen::Units;
use super::words::pipe_name;
use crate::interceptor::catalogue::PipeJoint;
use crate::interceptor::drain::{CoursePlace, DrainOption, ReachPlace, SizedReach, StoneEnd, course, stakes};
use crate::interceptor::materials::{Surface, Wrap};
use crate::interceptor::quantities::{CAUTIONS, DrainLine, EXCLUSIONS, End, Section, WorkSettings};
use crate::interceptor::trench::{StoneTrench, TrenchRules};
use crate::interceptor::{Digging, LinePart, OutletWay};
use crate::pipeline::Assessment;
use crate::units::Length;
use crate::wording::percent;
use serde::Serialize;
use std::fmt::Write;

/// Stakes are no farther apart, m (25 ft). Common practice, no source.
const STAKES_M: f64 = 7.62;
/// Invert at a stake may be off by so much, mm (3/8 in). Common practice, no source.
const TOLERANCE_MM: f64 = 10.0;

/// Side of a grate, in, and how wide the lawn is dished to it, m (10 ft): as the basins are reckoned with.
const GRATE_IN: f64 = 12.0;
const DISH_M: f64 = 3.048;

/// One line of the checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Check {
    /// Part of the line; nothing where it holds of all.
    pub part: Option<usize>,
    /// What it is about.
    pub topic: &'static str,
    /// What to hold the crew to.
    pub text: Said,
}

/// The checklist; empty where no drain is designed.
pub(super) fn specification(assessment: &Assessment<'_>) -> Vec<Check> {
    let [si, us] = [Units::Si, Units::Us].map(|units| lines(assessment, units));
    si.into_iter()
        .zip(us)
        .map(|(si, us)| {
            let text = Said::of(|units| match units {
                Units::Si => si.text.clone(),
                Units::Us => us.text.clone(),
            });
            Check { part: si.part, topic: si.topic, text }
        })
        .collect()
}

/// A line before it is said in both systems.
struct Line {
    part: Option<usize>,
    topic: &'static str,
    text: String,
}

type Topic = (&'static str, String);

fn lines(assessment: &Assessment<'_>, units: Units) -> Vec<Line> {
    let parts = assessment.interception.parts.iter().zip(&assessment.outlets).zip(&assessment.drains.parts);
    let mut found = Vec::new();
    for ((part, outlets), drain) in parts {
        let (Some(drain), Some(way)) = (drain, outlets.proposed()) else { continue };
        let topics = match drain.chosen() {
            None => vec![("not built", "none is chosen: what was named has no pipe in the catalogue, or nothing can be built on the lot, so that nothing of it is in the quantities".to_owned())],
            Some(option) => of_part(&Built { part, option, way: &way.way, assessment, units }),
        };
        found.extend(topics.into_iter().map(|(topic, text)| Line { part: Some(part.id), topic, text }));
    }
    if found.is_empty() {
        return found;
    }
    found.extend(of_all(assessment).into_iter().map(|(topic, text)| Line { part: None, topic, text }));
    found
}

/// A part with the drain that is chosen for it.
struct Built<'a> {
    part: &'a LinePart,
    option: &'a DrainOption,
    way: &'a OutletWay,
    assessment: &'a Assessment<'a>,
    units: Units,
}

fn of_part(built: &Built<'_>) -> Vec<Topic> {
    let Built { option, assessment, units, .. } = *built;
    let line = match &option.built {
        Ok(found) => found.line.as_ref(),
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
    found.extend(stake_lines(built));
    found.extend(perforated(option, units));
    if let Some(trench) = stone_trench(option) {
        found.extend(stone(trench, option, assessment, units));
    }
    found.extend(option.stone_ends.map(|end| ("stone", stone_end(end, units))));
    found.extend(joints(option));
    if let (Some(line), Some(text)) = (line, tie_in_words(option, units)) {
        found.push(end_check(line.end(), &text));
    }
    found.extend(chamber_holds(built));
    if let Some(line) = line {
        found.push(("cover", cover(line, assessment, units)));
        found.extend(deep(line, units));
    }
    found.extend(cleanouts(option, units));
    found.extend(swale_and_basins(built));
    found.push(("ask for", ask_for(option)));
    found.push(("photograph", photograph(option)));
    found
}

fn grade(sized: &SizedReach, units: Units) -> String {
    let reach = &sized.reach;
    let lead = if reach.place == ReachPlace::Lead { " (on the way to the outlet)" } else { "" };
    format!(
        "from {} of the way{lead}: {:.2} %, invert from {} at a steady fall",
        units.span(reach.from_m, reach.to_m),
        100.0 * reach.grade.get(),
        units.levels(reach.from_invert_m, "to", reach.to_invert_m)
    )
}

/// A line for each stake, and how exactly to keep to it.
fn stake_lines(built: &Built<'_>) -> Vec<Topic> {
    let units = built.units;
    let found = stakes(built.option, &course(built.option, built.way), Length::from_m(STAKES_M));
    if found.is_empty() {
        return Vec::new();
    }
    let mut lines: Vec<Topic> = found.iter().map(|stake| ("stake", stake_words(stake, units))).collect();
    let rises = if built.option.reaches.is_empty() {
        "nowhere does the bed rise down the way"
    } else {
        "nowhere does pipe or bed rise down the way"
    };
    lines.push((
        "tolerance",
        format!(
            "at each stake pipe and bed within {} of the level given, in between no farther off; {rises}; never flatter than the grade given",
            units.tolerance(TOLERANCE_MM)
        ),
    ));
    lines
}

fn stake_words(stake: &CoursePlace, units: Units) -> String {
    let mut words = vec![format!("ground {}", units.level(stake.ground_m))];
    if let Some(bed_m) = stake.swale_bed_m {
        words.push(format!(
            "bed of the swale {}, {} below the ground",
            units.level(bed_m),
            units.level(stake.ground_m - bed_m)
        ));
    }
    if let Some(invert_m) = stake.invert_m {
        words.push(format!("invert {}", units.level(invert_m)));
    }
    if let (Some(bottom_m), Some([cut, _])) = (stake.bottom_m, stake.trench) {
        words.push(format!("dig to {}, {} deep", units.level(bottom_m), units.level(cut.as_m())));
    }
    format!("at {} of the way: {}", units.length(stake.station_m), words.join("; "))
}

fn perforated(option: &DrainOption, units: Units) -> Option<Topic> {
    let sized = option.line().find(|_| option.arrangement.has_stone())?;
    Some((
        "pipe",
        format!(
            "{}, perforated, with holes of {} or more, rows of holes down; wall, size and holes read off the print on the pipe before it is laid; outside {}",
            pipe_name(&sized.pipe),
            units.open_area(sized.pipe.inlet_cm2_per_m),
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

fn stone(
    trench: &StoneTrench,
    option: &DrainOption,
    assessment: &Assessment<'_>,
    units: Units,
) -> Vec<Topic> {
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
fn upkeep(trench: &StoneTrench, option: &DrainOption) -> Option<Topic> {
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

fn joints(option: &DrainOption) -> Option<Topic> {
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
    let mouth = if line.beyond() > Length::ZERO {
        format!(
            ", less towards the mouth; the last {} are an end piece without a trench: solid, rigid pipe in one length, laid on stone, ground made up around it, a guard on its mouth",
            units.length(line.beyond().as_m())
        )
    } else {
        String::new()
    };
    format!("{} of ground or more over the pipe{mouth}", units.level(assessment.settings.min_cover.as_m()))
}

/// How deep the trench is, and what that asks for.
fn deep(line: &DrainLine, units: Units) -> Vec<Topic> {
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

fn cleanouts(option: &DrainOption, units: Units) -> Option<Topic> {
    let line = option.built.as_ref().ok()?.line.as_ref()?;
    let stations = line.cleanouts(WorkSettings::usual().cleanout_spacing).ok()?;
    let places: Vec<f64> = stations.iter().map(|station| station.as_m()).collect();
    Some(("cleanouts", format!("at {} of the way, each with a cap at the ground", units.stations(&places))))
}

fn chamber_holds(built: &Built<'_>) -> Option<Topic> {
    let found = built.assessment.chambers.get(built.part.id - 1)?.as_ref()?;
    Some(("room", ChamberRow::of(found).words(built.units)))
}

fn swale_and_basins(built: &Built<'_>) -> Vec<Topic> {
    let Built { option, units, .. } = *built;
    let mut found = Vec::new();
    if let Some(swale) = option.swale {
        found.push(("swale", format!("a V with sides of {}:1, {} deep and {} wide, its bed to the stakes, even between them: no place holds water a day after rain; grass stands before water is let in, or the bed is covered with matting until it does{}", swale.rules.shape.side(), units.depth(swale.depth.as_m()), units.length(swale.width.as_m()), if option.arrangement.has_stone() { "; depth and cover of the trench under it are counted from its bed" } else { "" })));
    }
    let places: Vec<f64> = option.basins.iter().map(|basin| basin.station_m).collect();
    let square = units.width(Length::from_in(GRATE_IN).as_m());
    if !places.is_empty() {
        found.push((
            "basins",
            format!(
                "at {} of the way, each with a grate {square} square, below the lawn around it, which is dished to it over {}",
                units.stations(&places),
                units.length(DISH_M)
            ),
        ));
    }
    if option.end_grates > 0 {
        let plural = if option.end_grates == 1 { "" } else { "s" };
        found.push((
            "basins",
            format!(
                "where the part ends, at {} of the way: {} grate{plural} {square} square at the level of the swale's bed",
                units.length(built.way.length.as_m() - built.way.lead_length.as_m()),
                option.end_grates
            ),
        ));
    }
    found
}

/// Papers that a part's materials come with.
fn ask_for(option: &DrainOption) -> String {
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
fn photograph(option: &DrainOption) -> String {
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

fn of_all(assessment: &Assessment<'_>) -> Vec<Topic> {
    let soil = &assessment.settings.drain.trench_soil;
    vec![
        ("before digging", "public utilities marked and private lines found; consent in writing of whoever owns what receives the water; the lot line staked by a surveyor where the line runs near it".to_owned()),
        ("levels", "all levels are those of the elevation data: before digging tie them to a mark on the site that stays; read the ground at every stake, and where it differs from the list by more than a hand's breadth, or the structure's invert does at all, stop and ask".to_owned()),
        ("soil", format!("reckoned as {soil}: stop and ask if it is another, or water stands in the trench")),
        ("test", "water from a hose at the head comes out at the outlet, before backfill and after".to_owned()),
        ("limits", "a preliminary design from a map of the surface: local codes and a licensed professional decide".to_owned()),
    ]
}

/// `specification.txt`.
pub(super) fn specification_txt(lot: &str, checks: &[Check], units: Units) -> String {
    let mut text = format!(
        "What to hold a crew to: interception line of lot {lot}\n\nPlaces are measured along the way of each part, from its upper end down to the outlet; profile.csv has every metre or so, with\ncoordinates. The way is the line itself first, then the lead to the outlet.\n"
    );
    let mut before: Option<Option<usize>> = None;
    for check in checks {
        if before != Some(check.part) {
            let head = check.part.map_or_else(|| "All parts".to_owned(), |id| format!("Part {id}"));
            // Writing to a string can't fail.
            let _ = writeln!(text, "\n{head}");
            before = Some(check.part);
        }
        let _ = writeln!(text, "[ ] {}: {}", check.topic, check.text.first(units));
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
