//! What is bought and dug, and what to hold a crew to.

use super::{Page, section, table};
use crate::interceptor::quantities::Row;
use crate::language::Blank;
use crate::output::quantities::Bill;
use crate::output::screen::drain::money;
use maud::{Markup, html};

/// Quantities and price.
pub(super) fn bill(page: &Page<'_>) -> Markup {
    let (summary, words) = (page.summary, page.words);
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
                @let [quantity, unit] = measured(page, row);
                tr {
                    td { (row.item) }
                    td class="figure" { (quantity) }
                    td { (unit) }
                    td class="figure" { (format!("{:.0} %", row.waste_percent)) }
                    @if is_priced { td class="figure" { @if let Some(amount) = row.amount { (format!("{amount:.2}")) } } }
                    td { (row.note) }
                }
            } }
        }))
        @if let [total, unpriced @ ..] = &total(page, bill)[..] {
            p { strong { (total) } @for without in unpriced { " " (without) } }
        }
        p { (words.say("bill-not-in-it")) }
        ul { @for line in bill.exclusions { li { (line) } } }
    };
    section(&words.say("bill-heading"), &inside)
}

/// A row's quantity and its unit: what has a price stands in that price's unit.
pub(super) fn measured(page: &Page<'_>, row: &Row) -> [String; 2] {
    let is_priced = row.unit_price.is_some();
    let (quantity, unit) =
        if is_priced { (row.quantity, row.unit) } else { page.units.bought(row.quantity, row.unit) };
    let quantity = if unit == "each" { format!("{quantity:.0}") } else { format!("{quantity:.1}") };
    [quantity, unit.to_owned()]
}

/// The sum, and what has no price; nothing where nothing has one.
pub(super) fn total(page: &Page<'_>, bill: &Bill) -> Vec<String> {
    let Some(total) = bill.total else { return Vec::new() };
    let amount = money(&format!("{total:.2}"), bill.currency.as_deref());
    let said = page.words.fill("bill-total", &[("amount", Blank::Text(&amount))]);
    let items = bill.unpriced.join(", ");
    let without =
        (!items.is_empty()).then(|| page.words.fill("bill-unpriced", &[("items", Blank::Text(&items))]));
    std::iter::once(said).chain(without).collect()
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
