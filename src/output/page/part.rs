//! A part of the line in sentences, for the page and the text.

use super::Page;
use crate::language::Blank;
use crate::output::catches::CatchRow;
use crate::output::line::Part;
use crate::output::screen::drain::money;
use crate::wording::percent;

/// Where it lies, and its flow.
pub(super) fn place(page: &Page<'_>, part: &Part) -> Vec<String> {
    let (words, units) = (page.words, page.units);
    let (length, stretch) = (units.length(part.length_m), units.span(part.from_m, part.to_m));
    let lies =
        words.fill("part-where", &[("length", Blank::Text(&length)), ("stretch", Blank::Text(&stretch))]);
    let flow = part.flow_m3_s.map(|m3_s| units.flow(m3_s));
    let flow = flow.map(|flow| words.fill("part-flow", &[("flow", Blank::Text(&flow))]));
    std::iter::once(lies).chain(flow).collect()
}

/// What the stone of its drain holds, and what runs through it.
pub(super) fn stone(page: &Page<'_>, part: &Part) -> Option<String> {
    let (words, units) = (page.words, page.units);
    let chosen = part.drain.as_ref()?.chosen()?;
    let (voids, flow) = (units.volume(chosen.stone_voids_m3?), units.flows(chosen.stone_flow_m3_s?));
    Some(words.fill("part-stone", &[("voids", Blank::Text(&voids)), ("flow", Blank::Text(&flow))]))
}

/// Where it drains to.
pub(super) fn outlet(page: &Page<'_>, part: &Part) -> String {
    part.outlet.as_ref().map_or_else(
        || page.words.say("part-no-outlet"),
        |outlet| {
            let outlet = outlet.words(page.units);
            page.words.fill("part-outlet", &[("outlet", Blank::Text(&outlet))])
        },
    )
}

/// What it catches, and what it takes for that.
pub(super) fn catches(page: &Page<'_>, part: &Part) -> Vec<String> {
    let Some(row) = &part.catches else { return Vec::new() };
    let (words, units) = (page.words, page.units);
    let currency = part.drain.as_ref().and_then(|drain| drain.currency.as_deref());
    let (share, area) = (percent(row.share_of_run_on), units.area(row.run_on_m2));
    let catches = words.fill("part-catches", &[("share", Blank::Text(&share)), ("area", Blank::Text(&area))]);
    let keeps = row.kept_m3_s.map(|m3_s| units.flow(m3_s));
    let keeps = keeps.map(|flow| words.fill("part-keeps", &[("flow", Blank::Text(&flow))]));
    let price = row.price.map(|price| money(&format!("{price:.0}"), currency));
    let price = price.map(|price| words.fill("part-price", &[("price", Blank::Text(&price))]));
    let said = std::iter::once(catches).chain(keeps).chain([takes(page, row)]);
    said.chain(price).chain(of_all(page, row)).collect()
}

/// Its lengths, and what is dug.
fn takes(page: &Page<'_>, row: &CatchRow) -> String {
    let (words, units) = (page.words, page.units);
    let line = units.length(row.line_m);
    let line = ("line", Blank::Text(&line));
    let lead = row.lead_m.map(|m| units.length(m));
    let dug = row.dug_m3.map(|m3| units.earth(m3));
    match (&lead, &dug) {
        (Some(lead), Some(dug)) => {
            words.fill("part-takes", &[line, ("lead", Blank::Text(lead)), ("dug", Blank::Text(dug))])
        }
        (Some(lead), None) => words.fill("part-takes-undug", &[line, ("lead", Blank::Text(lead))]),
        (None, _) => words.fill("part-takes-line", &[line]),
    }
}

/// Its share of what all parts do and take.
fn of_all(page: &Page<'_>, row: &CatchRow) -> Option<String> {
    let of = row.of_all?;
    let (catch, length) = (percent(of.run_on_share), percent(of.length_share));
    let blanks = [("catch", Blank::Text(&catch)), ("length", Blank::Text(&length))];
    let price = of.price_share.map(percent);
    Some(match &price {
        Some(price) => {
            let [catch, length] = blanks;
            page.words.fill("part-of-all-priced", &[catch, length, ("price", Blank::Text(price))])
        }
        None => page.words.fill("part-of-all", &blanks),
    })
}
