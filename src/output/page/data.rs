//! What the result rests on: elevations, methods, limits, files.

use super::{Page, section, table};
use crate::language::Blank;
use crate::output::cautions::cautions_in;
use crate::output::certainty::CertaintyRow;
use crate::output::screen::certainty::{lots_off, sentences};
use maud::{Markup, html};

/// How sure the answer is; nothing where it wasn't asked.
pub(super) fn certainty(page: &Page<'_>) -> Markup {
    let Some(found) = &page.summary.certainty else { return html! {} };
    let inside = html! {
        p { (certainty_note(page, found)) }
        ul { @for sentence in sentences(found, page.units) { li { (sentence) } } }
    };
    section(&page.words.say("certainty-heading"), &inside)
}

/// What was repeated.
pub(super) fn certainty_note(page: &Page<'_>, found: &CertaintyRow) -> String {
    let rmse = page.units.depth(found.elevation_rmse_m);
    let lots = lots_off(found, page.units);
    page.words.fill("certainty-note", &[("rmse", Blank::Text(&rmse)), ("lots", Blank::Text(&lots))])
}

/// What the elevations are, and all that was noted.
pub(super) fn ground(page: &Page<'_>) -> Markup {
    let (elevation, words) = (&page.summary.elevation, page.words);
    let facts = &elevation.facts;
    let cell = page.units.length(facts.cell_m);
    let inside = html! {
        p { (page.summary.data_quality.message.first(page.units)) }
        @if !page.summary.doubts.is_empty() {
            h3 { (words.say("doubts-heading")) }
            ul { @for doubt in &page.summary.doubts { li { (doubt.message.first(page.units)) } } }
            p class="second" { (words.say("doubts-note")) }
        }
        p { (words.fill("data-elevation", &[("cell", Blank::Text(&cell)), ("crs", Blank::Text(&facts.crs)), ("unit", Blank::Text(facts.vertical_unit))])) }
        @if !elevation.holes.is_empty() { p { (words.fill("data-holes", &[("count", Blank::Count(elevation.holes.len()))])) } }
        @if !page.summary.warnings.is_empty() {
            h3 { (words.say("warnings-heading")) }
            ul { @for warning in &page.summary.warnings { li { (warning.message) @if !warning.help.is_empty() { " " span class="second" { (warning.help) } } } } }
        }
    };
    section(&words.say("data-heading"), &inside)
}

/// Methods with their sources.
pub(super) fn methods(page: &Page<'_>) -> Markup {
    let Some(design) = &page.summary.design else { return html! {} };
    let words = page.words;
    let inside = table(
        "methods",
        &html! {
            thead { tr { th { (words.say("column-gives")) } th { (words.say("column-equation")) } th { (words.say("column-source")) } } }
            tbody { @for method in &design.methods { tr { td { (method.gives) } td { (method.equation) } td { (method.source) } } } }
        },
    );
    section(&words.say("methods-heading"), &inside)
}

/// Limits of every result.
pub(super) fn cautions(page: &Page<'_>) -> Markup {
    let inside = html! { ul { @for caution in cautions_in(page.units) { li { (caution) } } } };
    section(&page.words.say("cautions-heading"), &inside)
}

/// Files by their digests, and versions.
pub(super) fn provenance(page: &Page<'_>) -> Markup {
    let (provenance, words) = (&page.summary.provenance, page.words);
    let program = &page.summary.program;
    let inside = html! {
        p { (words.fill("made-with", &[("program", Blank::Text(program.name)), ("version", Blank::Text(program.version))])) }
        (table("files", &html! {
            thead { tr { th { (words.say("column-file")) } th { "SHA-256" } } }
            tbody { @for input in &provenance.inputs { tr { td { (input.path) } td class="mono" { (input.sha256) } } } }
        }))
    };
    section(&words.say("provenance-heading"), &inside)
}
