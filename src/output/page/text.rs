//! `report.txt`: the first page, where the water crosses, how sure that is, the line and what it takes, as plain text for e-mail.

use super::Page;
use super::crossings::manner;
use super::data::certainty_note;
use super::first::{answer, name, not_seen, proposed, shown, verdict_words};
use super::line::fault;
use super::part;
use super::works::{measured, total};
use crate::interceptor::quantities::Row;
use crate::language::Blank;
use crate::output::drain::ReachRow;
use crate::output::screen::certainty::sentences;
use crate::output::screen::inlets::inlet_words;
use crate::wording::percent;
use std::fmt::Write;

/// Width of the text, in letters: what mail programs leave as it is.
const WIDTH: usize = 72;

/// The text.
pub(super) fn report_txt(page: &Page<'_>, title: &str) -> String {
    let words = page.words;
    let mut text = format!("{title}\n{}\n\n", "=".repeat(title.chars().count()));
    paragraph(&mut text, &answer(page).join(" "));
    let contributors = shown(&page.summary.contributors);
    let rows = contributors.iter().zip(1..).map(|(row, number)| {
        let flow = row.flow_m3_s.map_or(String::new(), |flow| format!(", {}", page.units.flow(flow)));
        let sure = row.likelihood.zip(row.verdict);
        let sure = sure.map_or(String::new(), |(likelihood, verdict)| {
            format!(", {} ({:.0} %)", verdict_words(page, verdict), 100.0 * likelihood)
        });
        format!(
            "{number}. {}: {}, {}{flow}{sure}",
            name(page, row),
            percent(row.share_of_run_on),
            page.units.area(row.area_m2)
        )
    });
    list(&mut text, &words.say("whose-heading"), rows);
    let rows = page.summary.crossings.iter().map(|row| {
        let flow = row.flow_m3_s.map_or(String::new(), |flow| format!(", {}", page.units.flow(flow)));
        format!(
            "{}. {}: {}, {}{flow}",
            row.id,
            page.units.span(row.from_m, row.to_m),
            percent(row.share_of_run_on),
            manner(page, row.manner)
        )
    });
    list(&mut text, &words.say("crossings-heading"), rows);
    why(&mut text, page);
    sure(&mut text, page);
    let said = proposed(page);
    if !said.is_empty() {
        heading(&mut text, &words.say("proposed-heading"));
        for sentence in &said {
            paragraph(&mut text, sentence);
        }
    }
    parts(&mut text, page);
    bill(&mut text, page);
    let rows = page.summary.inlets.iter().map(|row| format!("- {}", inlet_words(row, page.units).join("; ")));
    list(&mut text, &words.say("inlets-heading"), rows);
    list(
        &mut text,
        &words.say("not-seen-heading"),
        not_seen(page).into_iter().map(|line| format!("- {line}")),
    );
    let cautions = super::super::cautions::cautions_in(page.units).into_iter().skip(2);
    list(&mut text, &words.say("cautions-heading"), cautions.map(|line| format!("- {line}")));
    text
}

/// The line, part by part: what is built, its pipes, and what it catches.
fn parts(text: &mut String, page: &Page<'_>) {
    let parts = &page.summary.interception_line.parts;
    if parts.is_empty() {
        return;
    }
    heading(text, &page.words.say("line-heading"));
    for part in parts {
        let id = part.id.to_string();
        let head = page.words.fill("part-heading", &[("part", Blank::Text(&id))]);
        paragraph(text, &format!("{head}: {}", part::place(page, part).join(" ")));
        let section = part.section.as_ref().map(|section| format!("{}.", capital(section.first(page.units))));
        let built = section.into_iter().chain(part::stone(page, part)).chain([part::outlet(page, part)]);
        paragraph(text, &built.collect::<Vec<_>>().join(" "));
        let chosen = part.drain.as_ref().and_then(|drain| drain.chosen());
        let pipes: Vec<String> =
            chosen.iter().flat_map(|choice| &choice.reaches).map(|reach| pipe(page, reach)).collect();
        if !pipes.is_empty() {
            bullets(text, &pipes);
        }
        let catches = part::catches(page, part);
        if !catches.is_empty() {
            paragraph(text, &catches.join(" "));
        }
    }
}

/// A pipe with its size.
fn pipe(page: &Page<'_>, reach: &ReachRow) -> String {
    let units = page.units;
    let count = if reach.pipes > 1 { format!("{} x ", reach.pipes) } else { String::new() };
    let (way, grade) = (units.span(reach.from_m, reach.to_m), format!("{:.2} %", 100.0 * reach.grade));
    let (flow, full) = (units.flow(reach.flow_m3_s), units.flow(reach.capacity_m3_s));
    let pipe = format!("{count}{}", reach.pipe);
    let said = page.words.fill(
        "pipe-line",
        &[
            ("way", Blank::Text(&way)),
            ("pipe", Blank::Text(&pipe)),
            ("grade", Blank::Text(&grade)),
            ("flow", Blank::Text(&flow)),
            ("full", Blank::Text(&full)),
        ],
    );
    fault(page, reach.verdict).map_or_else(|| said.clone(), |fault| format!("{said}: {fault}"))
}

/// What is bought and dug, its sum, and what that leaves out.
fn bill(text: &mut String, page: &Page<'_>) {
    let Some(bill) = &page.summary.bill else { return };
    heading(text, &page.words.say("bill-heading"));
    let rows: Vec<String> = page.summary.quantities.iter().map(|row| bought(page, row)).collect();
    bullets(text, &rows);
    let total = total(page, bill);
    if !total.is_empty() {
        paragraph(text, &total.join(" "));
    }
    let _ = writeln!(text, "{}", page.words.say("bill-not-in-it"));
    bullets(text, &bill.exclusions.iter().map(|line| (*line).to_owned()).collect::<Vec<_>>());
}

fn bought(page: &Page<'_>, row: &Row) -> String {
    let [quantity, unit] = measured(page, row);
    let amount = row.amount.map_or(String::new(), |amount| format!(", {amount:.2}"));
    format!("{}: {quantity} {unit}{amount}", row.item)
}

/// With a capital letter.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Why water of some parcels comes, or doesn't, if that was asked.
fn why(text: &mut String, page: &Page<'_>) {
    let rows = &page.summary.explanations;
    if rows.is_empty() {
        return;
    }
    heading(text, &page.words.say("why-heading"));
    for row in rows {
        let said: Vec<&str> = row.message.iter().map(|sentence| sentence.first(page.units)).collect();
        paragraph(text, &said.join(" "));
    }
    paragraph(text, &page.words.say("why-note"));
}

/// How sure the answer is, if that was asked, and how far the data carry it.
fn sure(text: &mut String, page: &Page<'_>) {
    let words = page.words;
    if let Some(found) = &page.summary.certainty {
        heading(text, &words.say("certainty-heading"));
        paragraph(text, &certainty_note(page, found));
        bullets(text, &sentences(found, page.units));
    }
    heading(text, &words.say("data-heading"));
    paragraph(text, page.summary.data_quality.message.first(page.units));
    let doubts: Vec<String> =
        page.summary.doubts.iter().map(|doubt| doubt.message.first(page.units).to_owned()).collect();
    if !doubts.is_empty() {
        heading(text, &words.say("doubts-heading"));
        bullets(text, &doubts);
        paragraph(text, &words.say("doubts-note"));
    }
}

fn heading(text: &mut String, words: &str) {
    // Writing to a string can't fail.
    let _ = writeln!(text, "{words}\n{}", "-".repeat(words.chars().count()));
}

fn paragraph(text: &mut String, words: &str) {
    let _ = writeln!(text, "{}\n", textwrap::fill(words, WIDTH));
}

/// Lines under a heading; nothing without lines.
fn list(text: &mut String, head: &str, lines: impl Iterator<Item = String>) {
    let lines: Vec<String> = lines.collect();
    if !lines.is_empty() {
        heading(text, head);
        set_in(text, &lines);
    }
}

fn bullets(text: &mut String, lines: &[String]) {
    set_in(text, &lines.iter().map(|line| format!("- {line}")).collect::<Vec<_>>());
}

/// Lines, what follows of each set in.
fn set_in(text: &mut String, lines: &[String]) {
    let options = textwrap::Options::new(WIDTH).subsequent_indent("   ");
    let lines: Vec<String> = lines.iter().map(|line| textwrap::fill(line, &options)).collect();
    let _ = writeln!(text, "{}\n", lines.join("\n"));
}
