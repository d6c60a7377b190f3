//! The arrangements of a part side by side: what each keeps off the lot, what it takes, and why it isn't the one.

use super::{Page, table};
use crate::language::Blank;
use crate::output::drain::{Choice, Drain};
use crate::output::screen::drain::{as_named, money};
use crate::wording::percent;
use maud::{Markup, html};

/// A row for each, also for those that can't be worked out; nothing where there is only one.
pub(super) fn arrangements(page: &Page<'_>, drain: &Drain) -> Markup {
    if drain.options.len() + drain.not_possible.len() < 2 {
        return html! {};
    }
    let (words, units) = (page.words, page.units);
    let priced = drain.options.iter().any(|choice| choice.price.is_some());
    html! {
        h4 { (words.say("arrangements-heading")) }
        (table("arrangements", &html! {
            thead { tr {
                th { (words.say("column-arrangement")) }
                th class="figure" { (words.say("column-keeps")) }
                th class="figure" { (words.say("column-dug")) }
                th class="figure" { (words.say("column-stone")) }
                @if priced { th class="figure" { (words.say("column-price")) } }
                th { (words.say("column-why-not")) }
            } }
            tbody { @for choice in &drain.options { tr {
                td { (choice.arrangement.name()) @if Some(choice.arrangement) == drain.arrangement { " *" } }
                td class="figure" { @if choice.not_built.is_none() { (keeps(page, choice)) } }
                td class="figure" { @if let Some(m3) = choice.dug_m3 { (units.earth(m3)) } }
                td class="figure" { @if let Some(m3) = choice.stone_m3 { (units.earth(m3)) } }
                @if priced { td class="figure" { @if let Some(price) = choice.price { (money(&format!("{price:.0}"), drain.currency.as_deref())) } } }
                td { (why_not(page, drain, choice)) }
            } }
            @for row in &drain.not_possible { tr {
                td { (row.arrangement.name()) }
                td class="figure" {}
                td class="figure" {}
                td class="figure" {}
                @if priced { td class="figure" {} }
                td { (words.fill("arrangement-not-built", &[("why", Blank::Text(&row.why))])) }
            } } }
        }))
        p class="quiet" { (words.say("arrangements-note")) }
    }
}

/// Share of the flow that it keeps off the lot; a range where the ground decides.
fn keeps(page: &Page<'_>, choice: &Choice) -> String {
    let least = percent(choice.share);
    if choice.share_most <= choice.share {
        return least;
    }
    let most = percent(choice.share_most);
    page.words.fill("keeps-range", &[("least", Blank::Text(&least)), ("most", Blank::Text(&most))])
}

/// Why it can't be built, or isn't recommended; and what it does and takes where it is named, if that is something else.
fn why_not(page: &Page<'_>, drain: &Drain, choice: &Choice) -> String {
    let why = match (&choice.not_built, &choice.not_recommended) {
        (Some(why), _) => Some(page.words.fill("arrangement-not-built", &[("why", Blank::Text(why))])),
        (None, Some(why)) => Some(why.first(page.units).to_owned()),
        (None, None) => None,
    };
    why.into_iter().chain(as_named(choice, drain, page.units)).collect::<Vec<_>>().join("; ")
}
