//! `screening.html`: the town on a page that needs nothing else.

mod list;
mod spread;

use super::TownSummary;
use super::map::{colour, map};
use crate::language::{Blank, Words};
use crate::output::cautions::cautions_in;
use crate::output::error::OutputError;
use crate::output::page::{POLICY, STYLES, section, table};
use crate::output::screen::Units;
use crate::pipeline::Screening;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What a page is made from.
pub(super) struct Page<'a> {
    pub(super) screening: &'a Screening<'a>,
    pub(super) summary: &'a TownSummary,
    pub(super) words: &'a Words,
    pub(super) units: Units,
    /// Assesses a single lot with the same inputs.
    pub(super) command: &'a str,
}

impl Page<'_> {
    /// The text of the file.
    ///
    /// # Errors
    /// A picture that can't be made.
    pub(super) fn html(&self) -> Result<String, OutputError> {
        let words = self.words;
        let title = words.fill("town-title", &[("count", Blank::Count(self.summary.lots.listed))]);
        let map = map(self.screening, self.units, &words.say("town-map-label"))?;
        let whole = html! {
            (DOCTYPE)
            html lang=(words.language().tag()) {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    // Nothing is fetched, whatever a text from an input file may hold.
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    title { (title) }
                    style { @for sheet in STYLES { (PreEscaped(sheet)) } (PreEscaped(include_str!("town.css"))) }
                }
                body {
                    main {
                        h1 { (title) }
                        (self.answer())
                        figure { (map) figcaption { (words.say("town-map-caption")) } }
                        (self.classes())
                        (spread::spread(self))
                        (list::list(self))
                        (list::groups(self))
                        (self.shed())
                        (self.data())
                        (self.open())
                        (section(&words.say("cautions-heading"), &html! { ul { @for caution in cautions_in(self.units) { li { (caution) } } } }))
                        (self.provenance())
                    }
                }
            }
        };
        Ok(whole.into_string() + "\n")
    }

    fn answer(&self) -> Markup {
        let (words, summary) = (self.words, self.summary);
        let first = summary.classes.first();
        let mut run_on: Vec<f64> =
            self.screening.listed.iter().map(|&place| self.screening.lots[place].run_on_m2).collect();
        run_on.sort_by(f64::total_cmp);
        let median = self.units.area(run_on.get(run_on.len() / 2).copied().unwrap_or(0.0));
        html! {
            @if let Some(first) = first {
                p class="answer" { (words.fill("town-answer", &[
                    ("first", Blank::Text(&first.lots.to_string())),
                    ("count", Blank::Count(first.lots)),
                    ("class", Blank::Text(&first.class)),
                    ("median", Blank::Text(&median)),
                ])) }
            }
            @if !self.screening.is_of_all() { p { (words.say("town-of-complaints")) } }
            @if summary.lots.incomplete > 0 {
                p { (words.fill("town-incomplete", &[("count", Blank::Count(summary.lots.incomplete))])) }
            }
        }
    }

    fn classes(&self) -> Markup {
        let (words, rules) = (self.words, &self.screening.settings.rules);
        let rows = self.summary.classes.iter().enumerate();
        let inside = html! {
            p class="quiet" { (words.say("town-classes-note")) }
            (table("classes", &html! {
                thead { tr {
                    th { (words.say("town-column-class")) } th class="figure" { (words.say("town-column-lots")) }
                    th class="figure" { (words.say("town-column-median")) } th { (words.say("town-column-rules")) }
                } }
                tbody { @for (rank, row) in rows { tr {
                    td { span class="swatch-box" style=(format!("background:{}", colour(rules, rank))) {} (row.class) }
                    td class="figure" { (row.lots) }
                    td class="figure" { (row.median_run_on_m2.map_or_else(String::new, |m2| self.units.area(m2))) }
                    td {
                        @for name in rules.names_of(&row.class) { div { (name) } }
                        @if rules.names_of(&row.class).next().is_none() { (words.say("town-rule-otherwise")) }
                    }
                } } }
            }))
        };
        section(&words.say("town-classes-heading"), &inside)
    }

    fn shed(&self) -> Markup {
        let (words, shed) = (self.words, &self.summary.shed);
        let rows = [
            (words.say("town-shed-parcels"), shed.parcels_m2),
            (words.say("town-shed-unparcelled"), shed.unparcelled_m2),
            (words.say("town-shed-inlets"), shed.inlets_m2),
            (words.say("town-shed-edge"), shed.off_data_m2),
        ];
        let total: f64 = rows.iter().map(|row| row.1).sum();
        let share =
            |m2: f64| if total > 0.0 { format!("{:.1} %", 100.0 * m2 / total) } else { String::new() };
        let inside = html! {
            p class="quiet" { (words.say("town-shed-note")) }
            (table("shed", &html! {
                thead { tr { th { (words.say("town-column-where")) } th class="figure" { (words.say("town-column-area")) } th class="figure" { (words.say("column-share")) } } }
                tbody { @for (name, m2) in &rows { tr { td { (name) } td class="figure" { (self.units.area(*m2)) } td class="figure" { (share(*m2)) } } } }
            }))
        };
        section(&words.say("town-shed-heading"), &inside)
    }

    fn data(&self) -> Markup {
        let (words, facts) = (self.words, &self.summary.elevation);
        let cell = self.units.length(facts.cell_m);
        let inside = html! {
            p { (words.fill("data-elevation", &[("cell", Blank::Text(&cell)), ("crs", Blank::Text(&facts.crs)), ("unit", Blank::Text(facts.vertical_unit))])) }
            p { (words.say("town-data-routing")) }
            @if !self.summary.warnings.is_empty() {
                h3 { (words.say("warnings-heading")) }
                ul { @for warning in &self.summary.warnings { li { (warning.message) @if !warning.help.is_empty() { " " span class="second" { (warning.help) } } } } }
            }
        };
        section(&words.say("town-data-heading"), &inside)
    }

    fn open(&self) -> Markup {
        let inside =
            html! { p { (self.words.say("town-open-note")) } p class="command mono" { (self.command) } };
        section(&self.words.say("town-open-heading"), &inside)
    }

    fn provenance(&self) -> Markup {
        let (provenance, words) = (&self.summary.provenance, self.words);
        let program = &self.summary.program;
        let inside = html! {
            p { (words.fill("made-with", &[("program", Blank::Text(program.name)), ("version", Blank::Text(program.version))])) }
            (table("files", &html! {
                thead { tr { th { (words.say("column-file")) } th { "SHA-256" } } }
                tbody { @for input in &provenance.inputs { tr { td { (input.path) } td class="mono" { (input.sha256) } } } }
            }))
        };
        section(&words.say("provenance-heading"), &inside)
    }
}
