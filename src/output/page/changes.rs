//! What changes with the line: on the lot, for other parcels, at inlets.

use super::first::both;
use super::{Page, section, table};
use crate::language::Blank;
use crate::output::proof::{ProofRow, ReceivedRow};
use crate::output::rows::whose;
use crate::output::summary::Receiver;
use crate::wording::{called, percent};
use maud::{Markup, html};

/// Contributors of what is left that are named.
const NAMED: usize = 4;

pub(super) fn changes(page: &Page<'_>) -> Markup {
    let line = &page.summary.interception_line;
    let (Some(balance), Some(proof)) = (line.balance_m2, &line.proof) else { return html! {} };
    let (words, units) = (page.words, page.units);
    let rows = [
        (words.say("changes-caught"), balance.caught_m2),
        (words.say("changes-left"), balance.left_m2),
        (words.say("changes-elsewhere"), balance.elsewhere_m2),
    ];
    let inside = html! {
        p { (words.say("changes-note")) }
        (table("balance", &html! { tbody { @for (what, m2) in rows { tr {
            td { (what) }
            td class="figure" { (percent(m2 / balance.before_m2.max(f64::MIN_POSITIVE))) }
            td class="figure" { (both(&units.area(m2))) }
        } } } }))
        @if let Some(left) = left(page, proof, balance.left_m2) { p { (left) } }
        (received(page, proof))
    };
    section(&words.say("changes-heading"), &inside)
}

/// Whose water is left on the lot.
fn left(page: &Page<'_>, proof: &ProofRow, left_m2: f64) -> Option<String> {
    let named = proof.left.iter().filter(|row| row.area_m2 > 0.0).take(NAMED);
    let named: Vec<String> =
        named.map(|row| format!("{} {}", whose(row.id.as_deref()), percent(row.area_m2 / left_m2))).collect();
    let list = named.join(", ");
    (!list.is_empty()).then(|| page.words.fill("changes-left-from", &[("list", Blank::Text(&list))]))
}

/// Who receives more or less; nothing where nobody does.
fn received(page: &Page<'_>, proof: &ProofRow) -> Markup {
    let (words, units) = (page.words, page.units);
    let told = |row: &&ReceivedRow| row.change_m2.abs() > proof.least_change_m2;
    let rows: Vec<&ReceivedRow> = proof.received.iter().chain(&proof.inlets).filter(told).collect();
    if rows.is_empty() {
        return html! { p { (words.say("changes-nobody")) } };
    }
    html! {
        h3 { (words.say("changes-others")) }
        (table("received", &html! {
            thead { tr {
                th { (words.say("column-receiver")) }
                th class="figure" { (words.say("column-without")) }
                th class="figure" { (words.say("column-with")) }
                th class="figure" { (words.say("column-change")) }
            } }
            tbody { @for row in rows { tr {
                td { (receiver(row)) }
                td class="figure" { (both(&units.area(row.without_m2))) }
                td class="figure" { (both(&units.area(row.with_m2))) }
                td class="figure" { @if row.change_m2 > 0.0 { "+" } (both(&units.area(row.change_m2))) }
            } } }
        }))
    }
}

fn receiver(row: &ReceivedRow) -> String {
    match row.kind {
        Receiver::Inlet => called("storm inlet", row.id.as_deref().unwrap_or_default()),
        _ => whose(row.id.as_deref()),
    }
}
