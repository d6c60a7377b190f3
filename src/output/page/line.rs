//! The line: part by part its profile, its section, its pipes, its way out, and the storms that it carries.

use super::arrangements::arrangements;
use super::drawing::{Lies, Picture, Which};
use super::first::both;
use super::{Page, drawing, part, section, table};
use crate::interceptor::drain::{Arrangement, ReachVerdict};
use crate::interceptor::quantities::{DrainLine, Leg, Section};
use crate::language::Blank;
use crate::output::drain::Choice;
use crate::output::line::Part;
use crate::output::storms::{InStorm, Largest, Storms};
use crate::wording::percent;
use maud::{Markup, html};

pub(super) fn line(page: &Page<'_>) -> Markup {
    let parts = &page.summary.interception_line.parts;
    if parts.is_empty() {
        return html! {};
    }
    let inside = html! { @for (place, part) in parts.iter().enumerate() { (one(page, place, part)) } };
    section(&page.words.say("line-heading"), &inside)
}

fn one(page: &Page<'_>, place: usize, part: &Part) -> Markup {
    let (words, units) = (page.words, page.units);
    let id = part.id.to_string();
    let chosen = part.drain.as_ref().and_then(|drain| drain.chosen());
    html! {
        h3 { span class="key" { (id) } " " (words.fill("part-heading", &[("part", Blank::Text(&id))])) }
        @for sentence in part::place(page, part) { p { (sentence) } }
        @if let Some(text) = &part.section { p { strong { (text.first(units)) } } }
        @if let Some(sentence) = part::stone(page, part) { p { (sentence) } }
        p { (part::outlet(page, part)) }
        @let catches = part::catches(page, part);
        @if !catches.is_empty() { p class="catches" { (catches.join(" ")) } }
        @for picture in drawings(page, place, part.id) { (picture.figure()) }
        @if let Some(chosen) = chosen { (reaches(page, chosen)) (needs(page, chosen)) }
        @if let Some(drain) = &part.drain { (arrangements(page, drain)) }
        (storms(page, part))
    }
}

/// Profile and sections of the drain that is chosen.
pub(super) fn drawings(page: &Page<'_>, place: usize, id: usize) -> Vec<Picture> {
    let assessment = page.assessment;
    let way = assessment.outlets.get(place).and_then(|outlets| outlets.proposed());
    let option = assessment.drains.parts.get(place).and_then(|drain| drain.as_ref()?.chosen());
    let (Some(found), Some(option)) = (way, option) else { return Vec::new() };
    let line = option.built.as_ref().ok().and_then(|built| built.line.as_ref());
    let lies = match option.arrangement {
        Arrangement::Swale => Lies::OnLead,
        Arrangement::SwaleOverDrain => Lies::UnderSwale,
        _ => Lies::UnderLawn,
    };
    let profile = drawing::profile(page, id, option, &found.way);
    let swale = option.swale.as_ref().map(|swale| drawing::swale(page, id, swale));
    let sections = drawn_legs(line)
        .into_iter()
        .zip(1..)
        .map(|(leg, number)| drawing::section(page, Which { part: id, number }, leg, lies));
    profile.into_iter().chain(swale).chain(sections).collect()
}

/// Legs whose sections are drawn: the first, and each that lies in stone where its pipe is another than before.
fn drawn_legs(line: Option<&DrainLine>) -> Vec<&Leg> {
    let mut drawn: Vec<&Leg> = Vec::new();
    for leg in line.map_or(&[][..], DrainLine::legs) {
        let is_new = |last: &&Leg| {
            matches!(leg.section, Section::Stone(_)) && last.section.pipe() != leg.section.pipe()
        };
        if drawn.last().is_none_or(is_new) {
            drawn.push(leg);
        }
    }
    drawn
}

/// Pipes from the head to the outlet.
fn reaches(page: &Page<'_>, chosen: &Choice) -> Markup {
    let (words, units) = (page.words, page.units);
    if chosen.reaches.is_empty() {
        return html! {};
    }
    table(
        "reaches",
        &html! {
            thead { tr {
                th { (words.say("column-way")) }
                th { (words.say("column-pipe")) }
                th class="figure" { (words.say("column-grade")) }
                th class="figure" { (words.say("column-flow")) }
                th class="figure" { (words.say("column-capacity")) }
                th class="figure" { (words.say("column-velocity")) }
            } }
            tbody { @for reach in &chosen.reaches { tr {
                td { (both(&units.span(reach.from_m, reach.to_m))) }
                td { @if reach.pipes > 1 { (reach.pipes) " × " } (reach.pipe) }
                td class="figure" { (format!("{:.2} %", 100.0 * reach.grade)) }
                td class="figure" { (both(&units.flow(reach.flow_m3_s))) }
                td class="figure" { (both(&units.flow(reach.capacity_m3_s))) }
                td class="figure" { (both(&units.velocity(reach.velocity_m_s))) @if let Some(fault) = fault(page, reach.verdict) { " " strong { (fault) } } }
            } } }
        },
    )
}

/// What must be added, or heeded.
fn needs(page: &Page<'_>, chosen: &Choice) -> Markup {
    html! {
        @if !chosen.needs.is_empty() {
            h4 { (page.words.say("needs-heading")) }
            ul { @for need in &chosen.needs { li { (need.first(page.units)) } } }
        }
    }
}

/// Why a pipe doesn't serve; nothing where it does.
pub(super) fn fault(page: &Page<'_>, verdict: ReachVerdict) -> Option<String> {
    match verdict {
        ReachVerdict::Carries => None,
        ReachVerdict::TooSmall => Some(page.words.say("reach-too-small")),
        ReachVerdict::TooSlow => Some(page.words.say("reach-too-slow")),
        ReachVerdict::TooFast => Some(page.words.say("reach-too-fast")),
    }
}

/// What an arrangement does to a storm.
fn in_storm(page: &Page<'_>, storms: &Storms, found: &InStorm) -> String {
    let of_it = |largest: &&Largest| largest.arrangement == found.arrangement;
    if storms.largest_carried.iter().find(of_it).is_some_and(|largest| !largest.can_be_built) {
        page.words.say("storm-not-built")
    } else if found.carries {
        page.words.say("storm-carries")
    } else {
        let share = percent(1.0 - found.share[0]);
        page.words.fill("storm-over", &[("share", Blank::Text(&share))])
    }
}

/// What each arrangement does to each storm.
fn storms(page: &Page<'_>, part: &Part) -> Markup {
    let (words, units) = (page.words, page.units);
    let Some(drain) = &part.drain else { return html! {} };
    let Some(storms) = &drain.storms else { return html! {} };
    let arrangements: Vec<_> = drain.options.iter().map(|option| option.arrangement).collect();
    html! {
        h4 { (words.say("storms-heading")) }
        (table("storms", &html! {
            thead { tr {
                th { (words.say("column-storm")) }
                th class="figure" { (words.say("column-flow")) }
                @for arrangement in &arrangements { th { (arrangement.name()) @if Some(*arrangement) == drain.arrangement { " *" } } }
            } }
            tbody { @for row in &storms.rows { tr {
                td { @match row.return_period_years {
                    Some(years) => (words.fill("storm-years", &[("years", Blank::Text(&format!("{years:.0}")))])),
                    None => (words.say("storm-typed")),
                } @if row.is_design { " " (words.say("storm-design")) } }
                td class="figure" { (both(&units.flow(row.flow_m3_s))) }
                @for found in &row.arrangements { td { (in_storm(page, storms, found)) } }
            } } }
        }))
        p class="quiet" { (words.say("storms-note")) }
    }
}
