//! What to hold a crew to: a checklist made from the design.
//!
//! Figures are those of the design and of the tables that it is made from; tolerances and what to photograph are common
//! practice without a source.

mod beside;
mod stakes;
mod watch;
mod works;

use beside::{beside, solid_trench};
pub(super) use stakes::STAKES_M;
use stakes::stake_lines;
use watch::{ask_for, deep, of_all, photograph};
use works::{
    chamber_holds, cleanouts, cover, end_check, grade, joints, perforated, runs_over, stone, stone_end,
    stone_trenches, swale_and_basins, thin_cover, too_fast,
};

use super::drain_words::tie_in_words;
use super::said::Said;
use super::screen::Units;
use crate::interceptor::drain::DrainOption;
use crate::interceptor::quantities::{CAUTIONS, EXCLUSIONS};
use crate::interceptor::{LinePart, OutletWay};
use crate::pipeline::{Assessment, PartDrain, PartOutlets};
use serde::Serialize;
use std::fmt::Write;

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
            Some(option) => of_part(&Built { part, drain, option, outlets, way: &way.way, assessment, units }),
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
    drain: &'a PartDrain,
    option: &'a DrainOption,
    outlets: &'a PartOutlets,
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
    found.extend(beside(built));
    found.extend(option.reaches.iter().map(|sized| ("grade", grade(sized, units))));
    found.extend(too_fast(option, units));
    found.extend(runs_over(built));
    found.extend(stake_lines(built));
    found.extend(perforated(option, units));
    found.extend(stone(&stone_trenches(option), option, assessment, units));
    found.extend(solid_trench(built));
    found.extend(option.stone_ends.map(|end| ("stone", stone_end(end, units))));
    found.extend(joints(option));
    if let (Some(line), Some(text)) = (line, tie_in_words(option, units)) {
        found.push(end_check(line.end(), &text));
    }
    found.extend(chamber_holds(built));
    if let Some(line) = line {
        found.push(("cover", cover(line, built)));
        found.extend(thin_cover(built));
        found.extend(deep(line, units));
    }
    found.extend(cleanouts(option, units));
    found.extend(swale_and_basins(built));
    found.push(("ask for", ask_for(option)));
    found.push(("photograph", photograph(option)));
    found
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
