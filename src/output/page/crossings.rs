//! Where water crosses the lot line, one crossing a row.

use super::first::both;
use super::{Page, section, table};
use crate::language::Blank;
use crate::lots::Manner;
use crate::output::rows::whose;
use crate::output::summary::CrossingRow;
use crate::wording::percent;
use maud::{Markup, html};

/// Contributors that a row names.
const NAMED: usize = 4;

pub(super) fn crossings(page: &Page<'_>) -> Markup {
    let (rows, words, units) = (&page.summary.crossings, page.words, page.units);
    if rows.is_empty() {
        return html! {};
    }
    let has_flow = rows.iter().any(|row| row.flow_m3_s.is_some());
    let around: f64 = page.summary.lot.line_lengths_m.iter().sum();
    let around = units.length(around);
    let inside = html! {
        p class="quiet" { (words.fill("crossings-note", &[("around", Blank::Text(&around))])) }
        (table("crossings", &html! {
            thead { tr {
                th { (words.say("column-number")) }
                th { (words.say("column-stretch")) }
                th class="figure" { (words.say("column-share")) }
                th { (words.say("column-manner")) }
                th class="figure" { (words.say("column-width")) }
                @if has_flow { th class="figure" { (words.say("column-flow")) } }
                th { (words.say("column-from")) }
            } }
            tbody { @for row in rows { tr {
                td { span class="key" { (row.id) } }
                td { (both(&units.span(row.from_m, row.to_m))) }
                td class="figure" { (least(page, row)) (percent(row.share_of_run_on)) }
                td { (manner(page, row.manner)) }
                td class="figure" { (both(&units.length(row.width_80_m))) }
                @if has_flow { td class="figure" { @if let Some(flow) = row.flow_m3_s { (both(&units.flow(flow))) } } }
                td { (from(page, row)) }
            } } }
        }))
    };
    section(&words.say("crossings-heading"), &inside)
}

fn least(page: &Page<'_>, row: &CrossingRow) -> String {
    if row.complete { String::new() } else { page.words.say("at-least") + " " }
}

pub(super) fn manner(page: &Page<'_>, manner: Manner) -> String {
    match manner {
        Manner::Sheet => page.words.say("manner-sheet"),
        Manner::Concentrated => page.words.say("manner-concentrated"),
        Manner::Along => page.words.say("manner-along"),
    }
}

/// Whose water it is, the largest first.
fn from(page: &Page<'_>, row: &CrossingRow) -> String {
    let total: f64 = row.contributors.iter().map(|it| it.area_m2).sum();
    let name = |it: &crate::output::summary::CrossingContributor| {
        format!("{} {}", whose(it.id.as_deref()), percent(it.area_m2 / total))
    };
    let named: Vec<String> = row.contributors.iter().take(NAMED).map(name).collect();
    let more = row.contributors.len().saturating_sub(NAMED);
    let named = named.join(", ");
    if more == 0 {
        return named;
    }
    page.words.fill("and-more", &[("list", Blank::Text(&named)), ("count", Blank::Count(more))])
}
