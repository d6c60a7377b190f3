//! The top of the list, and complaints that hang together.

use super::Page;
use crate::language::Blank;
use crate::output::page::{section, table};
use crate::output::rows::whose;
use crate::output::town::fields::{complaints, reason};
use crate::output::town::groups::GroupRow;
use crate::output::town::map::NUMBERED;
use crate::output::town::summary::TOP;
use crate::pipeline::{LotScreen, Measure};
use maud::{Markup, html};

/// The first lots, with what their class rests on.
pub(super) fn list(page: &Page<'_>) -> Markup {
    let (words, screening) = (page.words, page.screening);
    let rows = screening.listed.iter().take(TOP).map(|&place| &screening.lots[place]).enumerate();
    let inside = html! {
        p class="quiet" { (words.say("town-list-note")) }
        (table("list", &html! {
            thead { tr {
                th class="number-column" { (words.say("column-number")) } th { (words.say("town-column-lot")) } th class="figure" { (words.say("town-column-run-on")) }
                th { (words.say("town-column-how")) } th { (words.say("town-column-from")) } th { (words.say("town-column-why")) }
            } }
            tbody { @for (number, lot) in rows { (row(page, number, lot)) } }
        }))
    };
    section(&words.say("town-list-heading"), &inside)
}

fn row(page: &Page<'_>, number: usize, lot: &LotScreen) -> Markup {
    let (words, units) = (page.words, page.units);
    let parcel = &page.screening.site.parcels.parcels()[lot.parcel];
    let numbers = complaints(page.screening, lot);
    let times = Measure::RunOnPerLotArea.of(lot).unwrap_or(0.0);
    html! { tr {
        td class="number-column" { @if number < NUMBERED { span class="key circle" { (number + 1) } } @else { (number + 1) } }
        td { strong { (parcel.id) } span class="second" { (lot.classed.class) @if !numbers.is_empty() { ", " (numbers) } } }
        td class="figure" {
            @if !lot.is_complete() { (words.say("town-at-least")) " " }
            (units.area(lot.run_on_m2))
            span class="second" { (words.fill("town-times-lot", &[("times", Blank::Text(&format!("{times:.1}")))])) }
            @if let Some(flow) = lot.flow { span class="second" { (words.fill("town-flow", &[("flow", Blank::Text(&units.flow(flow.as_m3_per_s())))])) } }
        }
        td { @for line in entering(page, lot) { div { (line) } } }
        td { (from(page, lot)) }
        td { @for found in lot.classed.reasons.iter().filter(|found| found.class == lot.classed.class) { div class="quiet" { (reason(found)) } } }
    } }
}

/// How the run-on enters, and what stands on the lot.
fn entering(page: &Page<'_>, lot: &LotScreen) -> Vec<String> {
    let (words, units) = (page.words, page.units);
    let mut found = Vec::new();
    let mut add = |message: String, m2: f64| {
        // Less than a hundredth of the run-on is left to the tables.
        if m2 > 0.01 * lot.run_on_m2 {
            found.push(message);
        }
    };
    let area = |m2: f64| units.area(m2);
    let crossed = &lot.crossed;
    let place = area(crossed.concentrated_m2);
    add(words.fill("town-enters-place", &[("area", Blank::Text(&place))]), crossed.concentrated_m2);
    let along = area(crossed.along_m2);
    add(words.fill("town-enters-along", &[("area", Blank::Text(&along))]), crossed.along_m2);
    let sheet = area(crossed.sheet_m2);
    add(words.fill("town-enters-sheet", &[("area", Blank::Text(&sheet))]), crossed.sheet_m2);
    if lot.ponding.count > 0 {
        let depth = units.depth(lot.ponding.depth_m);
        found.push(words.fill("town-ponds", &[("depth", Blank::Text(&depth))]));
    }
    found
}

/// The parcels that it comes from.
fn from(page: &Page<'_>, lot: &LotScreen) -> String {
    let Some((label, share)) = lot.largest else { return page.words.say("town-from-land") };
    let name = whose(page.screening.id(label));
    let share = format!("{:.0} %", 100.0 * share);
    let blanks = [
        ("count", Blank::Count(lot.contributors)),
        ("name", Blank::Text(&name)),
        ("share", Blank::Text(&share)),
    ];
    page.words.fill("town-from-most", &blanks)
}

/// Complaints with the same ground upstream; nothing where none were given.
pub(super) fn groups(page: &Page<'_>) -> Markup {
    let Some(all) = &page.summary.complaint_groups else { return html! {} };
    let words = page.words;
    let (several, alone): (Vec<&GroupRow>, Vec<&GroupRow>) =
        all.iter().partition(|group| group.lots.len() > 1);
    let inside = html! {
        p class="quiet" { (words.say("town-groups-note")) }
        @for group in several {
            h3 { (words.fill("town-group", &[("count", Blank::Count(group.lots.len())), ("names", Blank::Text(&names(group)))])) }
            ul { @for source in group.sources.iter().filter(|source| source.lots > 1 || group.sources.len() == 1) {
                li { (words.fill("town-group-common", &[
                    ("lots", Blank::Text(&source.lots.to_string())),
                    ("name", Blank::Text(&source.name())),
                    ("area", Blank::Text(&page.units.area(source.area_m2))),
                ])) }
            } }
        }
        @if !alone.is_empty() { p { (words.fill("town-groups-alone", &[("count", Blank::Count(alone.len()))])) } }
    };
    section(&words.say("town-groups-heading"), &inside)
}

fn names(group: &GroupRow) -> String {
    let names: Vec<String> =
        group.lots.iter().map(|lot| format!("{} ({})", lot.id, lot.complaints)).collect();
    names.join(", ")
}
