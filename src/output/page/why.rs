//! Why water of some parcels comes to the lot, or doesn't; nothing where none was asked for.

use super::{Page, section};
use maud::{Markup, html};

pub(super) fn why(page: &Page<'_>) -> Markup {
    let rows = &page.summary.explanations;
    if rows.is_empty() {
        return html! {};
    }
    let inside = html! {
        @for row in rows {
            h3 { (row.id) }
            ul { @for sentence in &row.message { li { (sentence.first(page.units)) } } }
        }
        p class="second" { (page.words.say("why-note")) }
    };
    section(&page.words.say("why-heading"), &inside)
}
