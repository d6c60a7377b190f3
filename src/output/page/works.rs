//! What is bought and dug, and what to hold a crew to.

use super::{Page, section, table};
use crate::language::Blank;
use maud::{Markup, html};

/// Quantities and price.
pub(super) fn bill(page: &Page<'_>) -> Markup {
    let (summary, words, units) = (page.summary, page.words, page.units);
    let Some(bill) = &summary.bill else { return html! {} };
    let is_priced = summary.quantities.iter().any(|row| row.amount.is_some());
    let inside = html! {
        (table("bill", &html! {
            thead { tr {
                th { (words.say("column-item")) }
                th class="figure" { (words.say("column-quantity")) }
                th { (words.say("column-unit")) }
                th class="figure" { (words.say("column-waste")) }
                @if is_priced { th class="figure" { (words.say("column-amount")) } }
                th { (words.say("column-note")) }
            } }
            tbody { @for row in &summary.quantities {
                @let (quantity, unit) = if row.unit_price.is_some() { (row.quantity, row.unit) } else { units.bought(row.quantity, row.unit) };
                tr {
                    td { (row.item) }
                    td class="figure" { @if unit == "each" { (format!("{quantity:.0}")) } @else { (format!("{quantity:.1}")) } }
                    td { (unit) }
                    td class="figure" { (format!("{:.0} %", row.waste_percent)) }
                    @if is_priced { td class="figure" { @if let Some(amount) = row.amount { (format!("{amount:.2}")) } } }
                    td { (row.note) }
                }
            } }
        }))
        @if let Some(total) = bill.total {
            p { strong { (words.fill("bill-total", &[("amount", Blank::Text(&format!("{total:.2} {}", bill.currency.as_deref().unwrap_or_default())))])) }
                @if !bill.unpriced.is_empty() { " " (words.fill("bill-unpriced", &[("items", Blank::Text(&bill.unpriced.join(", ")))])) } }
        }
        p { (words.say("bill-not-in-it")) }
        ul { @for line in bill.exclusions { li { (line) } } }
    };
    section(&words.say("bill-heading"), &inside)
}

/// The checklist.
pub(super) fn checklist(page: &Page<'_>) -> Markup {
    let (checks, words) = (&page.summary.specification, page.words);
    if checks.is_empty() {
        return html! {};
    }
    let inside = html! {
        @for group in checks.chunk_by(|a, b| a.part == b.part) {
            h3 { @match group[0].part {
                Some(id) => (words.fill("part-heading", &[("part", Blank::Text(&id.to_string()))])),
                None => (words.say("checks-all-parts")),
            } }
            ul class="checks" { @for check in group { li { strong { (check.topic) ": " } (check.text.first(page.units)) } } }
        }
    };
    html! { div class="page-break" { (section(&words.say("checks-heading"), &inside)) } }
}
