//! The first page, which stands alone: answer, map, whose water, what is proposed, what can't be seen.

use super::super::contributors::Contributor;
use super::super::rows::whose;
use super::super::summary::Status;
use super::map::legend;
use super::{Page, table};
use crate::certainty::Verdict;
use crate::language::Blank;
use crate::wording::percent;
use maud::{Markup, html};

/// Rows of the table; the last of more stands for all others.
const ROWS: usize = 10;
/// Warnings that the first page has room for.
const WARNINGS: usize = 3;
/// Contributors that the sentence names, until they give so much.
const NAMED: usize = 3;
const ENOUGH: f64 = 2.0 / 3.0;

pub(super) fn first_page(page: &Page<'_>, title: &str, map: &Markup) -> Markup {
    html! {
        div class="first" {
        header {
            h1 { (title) }
            @for sentence in answer(page) { p class="answer" { (sentence) } }
        }
        figure {
            (map)
            figcaption { (page.words.say("map-caption")) }
            (legend(page))
        }
        (contributors(page))
        @let proposed = proposed(page);
        @if !proposed.is_empty() {
            h3 { (page.words.say("proposed-heading")) }
            @for sentence in proposed { p { (sentence) } }
        }
        div class="must-know" {
            strong { (page.words.say("not-seen-heading")) }
            ul { @for line in not_seen(page) { li { (line) } } }
        }
        }
    }
}

/// The answer in a few sentences.
pub(super) fn answer(page: &Page<'_>) -> Vec<String> {
    let (summary, words, units) = (page.summary, page.words, page.units);
    let lot = Blank::Text(&summary.lot.id);
    if summary.contributors.is_empty() {
        let message = match summary.status {
            Status::Complete => words.fill("answer-none", &[("lot", lot)]),
            Status::Incomplete => words.fill("answer-none-incomplete", &[("lot", lot)]),
        };
        return vec![message];
    }
    let area = units.area(summary.run_on.area_m2);
    let blanks = [("lot", lot), ("area", Blank::Text(&area))];
    let mut said = vec![match summary.status {
        Status::Complete => words.fill("answer-area", &blanks),
        Status::Incomplete => words.fill("answer-area-incomplete", &blanks),
    }];
    said.extend(range_of_run_on(page));
    let named = named(&summary.contributors);
    let share: f64 = named.iter().map(|row| row.share_of_run_on).sum();
    let names: Vec<String> = named.iter().map(|row| whose(row.id.as_deref())).collect();
    let (share, names) = (percent(share), listed(page, &names));
    said.push(words.fill("answer-from", &[("share", Blank::Text(&share)), ("names", Blank::Text(&names))]));
    if let Some(design) = &summary.design {
        let flow = units.flow(design.flow_m3_s);
        let period = design.storm.return_period_years.map(|years| format!("{years:.0}"));
        let flow = ("flow", Blank::Text(&flow));
        said.push(match &period {
            Some(years) => words.fill("answer-flow", &[flow, ("years", Blank::Text(years))]),
            None => words.fill("answer-flow-typed", &[flow]),
        });
    }
    said
}

/// Between which areas the run-on lies under elevation error.
fn range_of_run_on(page: &Page<'_>) -> Option<String> {
    let found = page.summary.certainty.as_ref()?;
    let run_on = &found.run_on_area_m2;
    let [low, high] = [run_on.low, run_on.high].map(|area| page.units.area(area));
    let surfaces = found.realisations.to_string();
    let blanks =
        [("surfaces", Blank::Text(&surfaces)), ("low", Blank::Text(&low)), ("high", Blank::Text(&high))];
    Some(page.words.fill("answer-sure", &blanks))
}

/// Those that give most, as many as say enough.
fn named(all: &[Contributor]) -> Vec<&Contributor> {
    let mut named = Vec::new();
    let mut share = 0.0;
    for row in all.iter().take(NAMED) {
        if share >= ENOUGH {
            break;
        }
        share += row.share_of_run_on;
        named.push(row);
    }
    named
}

/// "a, b and c".
fn listed(page: &Page<'_>, names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => {
            let rest = rest.join(", ");
            page.words.fill("list-last", &[("rest", Blank::Text(&rest)), ("last", Blank::Text(last))])
        }
    }
}

/// Whose water: one row a contributor, by the numbers of the map.
fn contributors(page: &Page<'_>) -> Markup {
    let (summary, words, units) = (page.summary, page.words, page.units);
    if summary.contributors.is_empty() {
        return html! {};
    }
    let has_flow = summary.contributors.iter().any(|row| row.flow_m3_s.is_some());
    let has_likelihood = summary.contributors.iter().any(|row| row.likelihood.is_some());
    let shown = shown(&summary.contributors);
    let rows = shown.iter().zip(1..);
    let others = &summary.contributors[shown.len()..];
    html! {
        h3 { (words.say("whose-heading")) }
        (table("whose", &html! {
            thead { tr {
                th { (words.say("column-number")) }
                th { (words.say("column-parcel")) }
                th class="figure" { (words.say("column-share")) }
                th class="figure" { (words.say("column-area")) }
                @if has_flow { th class="figure" { (words.say("column-flow")) } }
                th class="figure" { (words.say("column-handed")) }
                @if has_likelihood { th { (words.say("column-likelihood")) } }
            } }
            tbody { @for (row, number) in rows { tr {
                td { span class="key circle" { (number) } }
                td { (name(page, row)) }
                td class="figure" { (percent(row.share_of_run_on)) }
                td class="figure" { (both(&units.area(row.area_m2))) }
                @if has_flow { td class="figure" { @if let Some(flow) = row.flow_m3_s { (both(&units.flow(flow))) } } }
                td class="figure" { (both(&units.area(row.handed_over_area_m2))) }
                @if has_likelihood { td { @if let Some(likelihood) = row.likelihood { (sure(page, likelihood, row.verdict)) } } }
            } }
            @if !others.is_empty() { (together(page, others)) } }
        }))
        p class="quiet" { (words.say("whose-note")) }
    }
}

/// All where there is room for them.
pub(super) fn shown(all: &[Contributor]) -> &[Contributor] {
    if all.len() > ROWS { &all[..ROWS - 1] } else { all }
}

/// One row for the contributors that have none.
fn together(page: &Page<'_>, others: &[Contributor]) -> Markup {
    let area = page.units.area(others.iter().map(|row| row.area_m2).sum());
    html! { tr {
        td {}
        td { (page.words.fill("others", &[("count", Blank::Count(others.len()))])) }
        td class="figure" { (percent(others.iter().map(|row| row.share_of_run_on).sum())) }
        td class="figure" { (both(&area)) }
    } }
}

pub(super) fn name(page: &Page<'_>, row: &Contributor) -> String {
    let own = whose(row.id.as_deref());
    if row.also.is_empty() {
        return own;
    }
    page.words.fill("stacked", &[("name", Blank::Text(&own)), ("count", Blank::Count(row.also.len()))])
}

pub(super) fn verdict_words(page: &Page<'_>, verdict: Verdict) -> String {
    match verdict {
        Verdict::Contributes => page.words.say("verdict-contributes"),
        Verdict::DoesNot => page.words.say("verdict-does-not"),
        Verdict::CannotTell => page.words.say("verdict-cannot-tell"),
    }
}

fn sure(page: &Page<'_>, likelihood: f64, verdict: Option<Verdict>) -> Markup {
    let words = verdict.map_or(String::new(), |verdict| verdict_words(page, verdict));
    html! { (words) span class="second" { (format!("{:.0} %", 100.0 * likelihood)) } }
}

/// A measure whose second system stands in brackets: below the first.
pub(super) fn both(measure: &str) -> Markup {
    let (first, second) = measure.split_once(" (").map_or((measure, None), |(a, b)| (a, Some(b)));
    html! { (first) @if let Some(second) = second { " " span class="second" { "(" (second) } } }
}

/// What is proposed, in a few sentences; none without a line.
pub(super) fn proposed(page: &Page<'_>) -> Vec<String> {
    let (line, words, units) = (&page.summary.interception_line, page.words, page.units);
    if line.parts.is_empty() {
        return Vec::new();
    }
    let length = units.length(line.parts.iter().map(|part| part.length_m).sum());
    let mut said = vec![words.fill(
        "proposed-line",
        &[("length", Blank::Text(&length)), ("count", Blank::Count(line.parts.len()))],
    )];
    said.extend(line.balance_m2.map(|balance| {
        let share = |m2: f64| percent(m2 / balance.before_m2.max(f64::MIN_POSITIVE));
        let (caught, left) = (share(balance.caught_m2), share(balance.left_m2));
        words.fill("proposed-caught", &[("caught", Blank::Text(&caught)), ("left", Blank::Text(&left))])
    }));
    said.push(line.outlet.as_ref().map_or_else(
        || words.say("proposed-no-outlet"),
        |outlet| words.fill("proposed-outlet", &[("outlet", Blank::Text(&outlet.words(units)))]),
    ));
    said
}

/// What the data can't show, and what must be known.
pub(super) fn not_seen(page: &Page<'_>) -> Vec<String> {
    let cautions = page.summary.cautions.iter().take(2).map(|&caution| caution.to_owned());
    let warnings: Vec<_> = page.summary.warnings.iter().filter(|warning| !warning.is_note()).collect();
    let more = warnings.len().saturating_sub(WARNINGS);
    let more = (more > 0).then(|| page.words.fill("more-warnings", &[("count", Blank::Count(more))]));
    cautions
        .chain(warnings.iter().take(WARNINGS).map(|warning| warning.message.clone()))
        .chain(more)
        .collect()
}
