//! `report.txt`: the first page, where the water crosses, and how sure that is, as plain text for e-mail.

use super::Page;
use super::crossings::manner;
use super::data::certainty_note;
use super::first::{answer, name, not_seen, proposed, shown, verdict_words};
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
