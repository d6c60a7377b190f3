//! Drains and their quantities on the screen.

use super::Units;
use super::storms::words as storms_words;
use crate::interceptor::drain::{Against, ReachVerdict};
use crate::output::drain::{Choice, Drain, IntakeRow, ReachRow};
use crate::output::summary::Summary;
use crate::wording::percent;
use std::fmt::Write;

/// Things that the quantities leave out that are shown; all of them stand in the files.
const SHOWN: usize = 3;

/// Sentences on a part's drain.
pub(crate) fn words(drain: &Drain, units: Units) -> Vec<String> {
    let Some(chosen) = drain.chosen() else {
        return vec![
            "drain: none of the arrangements that were asked for can be built on the lot and keeps any of the water".to_owned(),
        ];
    };
    let why = if drain.arrangement == drain.recommended { "recommended" } else { "as named" };
    let mut words = vec![format!(
        "drain ({why}): {}, {}: {}",
        chosen.arrangement.name(),
        chosen.section.first(units),
        keeps(chosen, drain, units)
    )];
    if let Some(cause) = &chosen.not_built {
        words.push(format!("  can't be built: {cause}"));
    }
    words.extend(chosen.reaches.iter().map(|reach| format!("  {}", reach_words(reach, units))));
    words.extend(chosen.intake.as_ref().map(|intake| format!("  {}", intake_words(chosen, intake, units))));
    words.extend(chosen.tie_in.as_ref().map(|text| format!("  outlet: {}", text.first(units))));
    if !chosen.needs.is_empty() {
        let needs: Vec<&str> = chosen.needs.iter().map(|need| need.first(units)).collect();
        words.push(format!("  needs {}", needs.join("; ")));
    }
    let others: Vec<String> = drain
        .options
        .iter()
        .filter(|choice| Some(choice.arrangement) != drain.arrangement)
        .map(|choice| beside_words(choice, drain, units))
        .chain(
            drain
                .not_possible
                .iter()
                .map(|row| format!("{} can't be built: {}", row.arrangement.name(), row.why)),
        )
        .collect();
    if !others.is_empty() {
        words.push(format!("  others: {}", others.join("; ")));
    }
    if let Some(storms) = &drain.storms {
        words.extend(storms_words(storms, chosen.arrangement, units).iter().map(|text| format!("  {text}")));
    }
    words
}

/// An arrangement that isn't built: what it does, and why it isn't recommended where its figures don't say that.
pub(in crate::output) fn beside_words(choice: &Choice, drain: &Drain, units: Units) -> String {
    let named = as_named(choice, drain, units).map_or(String::new(), |named| format!(" ({named})"));
    let does = format!("{} {}{named}", choice.arrangement.name(), keeps(choice, drain, units));
    let is_plain =
        matches!(choice.against, Some(Against::KeepsNothing | Against::KeepsLess | Against::Dearer));
    match choice.not_recommended.as_ref().filter(|_| !is_plain) {
        Some(why) => format!("{does}, but isn't recommended, since {}", why.first(units)),
        None => does,
    }
}

/// What it would do and take on ways of its own, where that is something else.
pub(in crate::output) fn as_named(choice: &Choice, drain: &Drain, units: Units) -> Option<String> {
    let named = choice.as_named?;
    let way = "named for all parts, on ways laid for it, it";
    if !named.can_be_built {
        return Some(format!("{way} can't be built"));
    }
    let share = named.differs.share.then(|| format!("keeps {}", percent(named.share)));
    let dug = named.dug_m3.filter(|_| named.differs.dug).map(|m3| format!("takes {} dug", units.earth(m3)));
    let price = named.price.filter(|_| named.differs.price).map(|price| {
        format!("costs {} built alone", money(&format!("{price:.0}"), drain.currency.as_deref()))
    });
    let does: Vec<String> = share.into_iter().chain(dug).chain(price).collect();
    // A price that it has in its row alone is no statement on what it costs when named.
    (!does.is_empty()).then(|| format!("{way} {}", does.join(", ")))
}

/// What an arrangement does to the flow.
fn keeps(choice: &Choice, drain: &Drain, units: Units) -> String {
    if choice.not_built.is_some() {
        return "can't be built".to_owned();
    }
    let price = choice.price.map_or(String::new(), |price| {
        format!(
            ", {} by the price list if built alone",
            money(&format!("{price:.0}"), drain.currency.as_deref())
        )
    });
    let dug = choice.dug_m3.map_or(String::new(), |m3| format!(", {} dug", units.earth(m3)));
    if choice.carries {
        return format!("carries all{dug}{price}");
    }
    let most = choice.share_most;
    let share = if most > choice.share {
        format!("{} to {} (by what its top takes)", percent(choice.share), percent(most))
    } else {
        percent(choice.share)
    };
    let limits = if choice.share >= 1.0 { " but not within its velocities" } else { "" };
    format!("carries {share}{limits}{dug}{price}")
}

fn reach_words(reach: &ReachRow, units: Units) -> String {
    let count = if reach.pipes == 2 { "2 x " } else { "" };
    let verdict = match reach.verdict {
        ReachVerdict::Carries => "",
        ReachVerdict::TooSmall => ": too small",
        ReachVerdict::TooSlow => ": too slow to keep clean",
        ReachVerdict::TooFast => ": too fast",
    };
    format!(
        "{} {} at {:.2} %: {count}{}, n {}, {} of {}, {}{verdict}",
        reach.place,
        units.span(reach.from_m, reach.to_m),
        100.0 * reach.grade,
        reach.pipe,
        reach.manning_n,
        units.flow(reach.flow_m3_s),
        units.flow(reach.capacity_m3_s),
        units.velocity(reach.velocity_m_s)
    )
}

fn intake_words(choice: &Choice, intake: &IntakeRow, units: Units) -> String {
    let [low, high] = choice.taken_share.map(percent);
    let shares = if low == high { low } else { format!("{low} to {high}") };
    let clogged = intake.clogged_share.map_or(String::new(), |share| {
        format!("; its stone must be kept clean: clogged by silt and leaves it takes {}", percent(share))
    });
    format!(
        "will the water get in: up to {} arrive, its top takes {}, its holes let in {}: {shares} of the water{clogged}",
        units.flow_along(intake.arrives_most_m3_s),
        units.flows_along(intake.takes_m3_s),
        units.flow_along(intake.holes_m3_s)
    )
}

/// An amount with its currency, where the price list names one.
pub(in crate::output) fn money(amount: &str, currency: Option<&str>) -> String {
    currency.map_or_else(|| amount.to_owned(), |currency| format!("{amount} {currency}"))
}

/// What all drains take.
pub(super) fn quantities(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let Some(bill) = &summary.bill else { return Ok(()) };
    let currency = bill.currency.as_deref();
    writeln!(text, "\nQuantities of all parts (measured; waste, notes and prices in quantities.csv)")?;
    for row in &summary.quantities {
        // What has a price stands in that price's unit.
        let is_priced = row.unit_price.is_some();
        let (quantity, unit) =
            if is_priced { (row.quantity, row.unit) } else { units.bought(row.quantity, row.unit) };
        let quantity = if unit == "each" { format!("{quantity:.0}") } else { format!("{quantity:.1}") };
        let amount = row.amount.map_or(String::new(), |amount| money(&format!("{amount:>12.2}"), currency));
        let line = format!("  {:<34} {quantity:>9} {unit:<9}{amount}", row.item);
        writeln!(text, "{}", line.trim_end())?;
    }
    if let Some(total) = bill.total {
        let without = match bill.unpriced.len() {
            0 => String::new(),
            1 => ", without 1 item that has no price".to_owned(),
            more => format!(", without {more} items that have no price"),
        };
        writeln!(text, "  Total: {}{without}", money(&format!("{total:.2}"), currency))?;
    }
    let shown = bill.exclusions.len().min(SHOWN);
    writeln!(
        text,
        "  Not in it, among {} things that specification.txt lists: {}",
        bill.exclusions.len(),
        bill.exclusions[..shown].join("; ")
    )?;
    bill.cautions.iter().try_for_each(|line| writeln!(text, "  Mind: {line}"))?;
    writeln!(text, "  What to hold a crew to: specification.txt")
}
