//! Storm inlets near the lot: whether surface water gets to them.

use super::{Page, section};
use crate::output::screen::inlets::inlet_words;
use maud::{Markup, html};

/// What drains to each, what ponds before it, and what a bank holds back; nothing without inlets.
pub(super) fn inlets(page: &Page<'_>) -> Markup {
    let rows = &page.summary.inlets;
    if rows.is_empty() {
        return html! {};
    }
    let inside = html! {
        ul { @for row in rows { li { (inlet_words(row, page.units).join("; ")) } } }
    };
    section(&page.words.say("inlets-heading"), &inside)
}
