//! The table on the screen: the summary in words and columns, nothing that isn't in it.

pub(super) mod certainty;
mod doubts;
pub(super) mod drain;
pub(super) mod inlets;
mod proof;
mod storm;
mod storms;
mod units;
mod why;

pub use units::Units;

use super::cautions::cautions_in;
use super::contributors::Contributor;
use super::line::Part;
use super::rows::whose;
use super::summary::{CrossingRow, PondRow, PondStorm, Receiver, Status, Summary};
use crate::interceptor::Coverage;
use crate::lots::Manner;
use crate::wording::{called, percent};
use std::fmt::Write;

/// Contributors below this share of the run-on stand in one line.
const FOLD_BELOW: f64 = 0.005;
/// Ponds listed; all of them stand in the file.
const PONDS_SHOWN: usize = 3;

/// The table.
#[must_use]
pub fn screen_table(summary: &Summary, units: Units) -> String {
    let mut text = String::new();
    // Writing to a string can't fail.
    let _ = head(&mut text, summary, units)
        .and_then(|()| contributors(&mut text, summary, units))
        .and_then(|()| crossings(&mut text, summary, units))
        .and_then(|()| certainty::certainty(&mut text, summary, units))
        .and_then(|()| doubts::data_quality(&mut text, summary, units))
        .and_then(|()| why::why(&mut text, summary, units))
        .and_then(|()| storm::storm(&mut text, summary, units))
        .and_then(|()| line(&mut text, summary, units))
        .and_then(|()| drain::quantities(&mut text, summary, units))
        .and_then(|()| proof::proof(&mut text, summary, units))
        .and_then(|()| sheds(&mut text, summary, units))
        .and_then(|()| ponds(&mut text, summary, units))
        .and_then(|()| inlets::inlets(&mut text, summary, units))
        .and_then(|()| cautions(&mut text, units));
    text
}

fn head(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let run_on = &summary.run_on;
    writeln!(text, "Lot {}, {}", summary.lot.id, units.area(summary.lot.area_m2))?;
    if summary.contributors.is_empty() && summary.status == Status::Incomplete {
        writeln!(text, "Run-on: none found within the data")?;
    } else if summary.contributors.is_empty() {
        writeln!(text, "Run-on: none; over the present surface no water reaches the lot from outside it")?;
    } else {
        let least = if summary.status == Status::Complete { "" } else { "at least " };
        writeln!(text, "Run-on: rain on {least}{} outside the lot reaches it", units.area(run_on.area_m2))?;
    }
    let status = match summary.status {
        Status::Complete => "complete, the whole catchment lies within the data",
        Status::Incomplete => "incomplete, see the warnings about the reach of the data",
    };
    writeln!(text, "Status: {status}")?;
    let routing = match run_on.routing {
        crate::flow::Routing::Proportional => "proportional",
        crate::flow::Routing::Single => "single",
        crate::flow::Routing::Steepest => "steepest (drifts: for comparison only)",
    };
    write!(text, "Routing: {routing}")?;
    if let (Some(single), Some(proportional)) =
        (run_on.single_routing_area_m2, run_on.proportional_routing_area_m2)
    {
        let single_is_own = run_on.routing == crate::flow::Routing::Single;
        let (name, area) = if single_is_own { ("proportional", proportional) } else { ("single", single) };
        write!(text, "; the {name} routing gives {}", units.area(area))?;
    }
    writeln!(text)
}

fn contributors(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    if summary.contributors.is_empty() {
        return Ok(());
    }
    writeln!(text, "\nWhose water")?;
    writeln!(
        text,
        "  {:<28} {:>8}  {:<30} {:>9} {:>11} {:>10} {:>12}",
        "where the rain falls", "share", "area", "straight", "hands over", "of parcel", "other routing"
    )?;
    let (large, small): (Vec<&Contributor>, Vec<&Contributor>) = summary.contributors.iter().partition(|c| {
        c.share_of_run_on >= FOLD_BELOW || c.handed_over_area_m2 >= FOLD_BELOW * summary.run_on.area_m2
    });
    let total = summary.run_on.area_m2;
    let share_of = |part: f64| percent(part / total);
    for row in large {
        writeln!(
            text,
            "  {:<28} {:>8}  {:<30} {:>9} {:>11} {:>10} {:>12}",
            name(row),
            percent(row.share_of_run_on),
            units.area(row.area_m2),
            share_of(row.straight_area_m2),
            share_of(row.handed_over_area_m2),
            row.share_of_parcel.map_or_else(|| "-".to_owned(), percent),
            row.other_routing_area_m2.map_or_else(|| "-".to_owned(), share_of),
        )?;
    }
    if !small.is_empty() {
        let area: f64 = small.iter().map(|row| row.area_m2).sum();
        let label = format!("{} more, each below {}", small.len(), percent(FOLD_BELOW));
        writeln!(text, "  {label:<28} {:>8}  {:<30}", share_of(area), units.area(area))?;
    }
    writeln!(
        text,
        "  Shares are of the run-on. Straight: crosses no other lot line before. Hands over: crosses from it onto"
    )?;
    writeln!(
        text,
        "  the lot, wherever it fell. Of parcel: share of the whole parcel. Other routing: what that gives, of this run-on."
    )
}

fn name(row: &Contributor) -> String {
    let own = whose(row.id.as_deref());
    if row.also.is_empty() { own } else { format!("{own} (+{} stacked)", row.also.len()) }
}

fn crossings(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    if summary.crossings.is_empty() {
        return Ok(());
    }
    let around = summary
        .lot
        .line_lengths_m
        .first()
        .map_or(String::new(), |&m| format!(", {} around", units.length(m)));
    writeln!(text, "\nWhere it crosses the lot line (clockwise from its northernmost corner{around})")?;
    let shown = summary.crossings.iter().filter(|c| c.share_of_run_on >= FOLD_BELOW);
    for row in shown {
        let around_m = summary.lot.line_lengths_m.get(row.ring).copied().unwrap_or(f64::INFINITY);
        crossing(text, row, around_m, units)?;
    }
    let small: Vec<&CrossingRow> =
        summary.crossings.iter().filter(|c| c.share_of_run_on < FOLD_BELOW).collect();
    if !small.is_empty() {
        let share: f64 = small.iter().map(|row| row.share_of_run_on).sum();
        writeln!(text, "  and {} more with {} together", small.len(), percent(share))?;
    }
    Ok(())
}

fn crossing(text: &mut String, row: &CrossingRow, around_m: f64, units: Units) -> std::fmt::Result {
    let manner = match row.manner {
        Manner::Sheet => "sheet",
        Manner::Concentrated => "concentrated",
        Manner::Along => "along the line",
    };
    let ring = if row.ring > 0 { format!(" of ring {}", row.ring) } else { String::new() };
    let place = format!("{}{ring}", units.span(row.from_m, row.to_m));
    write!(
        text,
        "  {:>2}  {place:<36}  {:>8}  {:<14} 80 % within {}",
        row.id,
        percent(row.share_of_run_on),
        manner,
        units.length(row.width_80_m)
    )?;
    if let Some(flow) = row.flow_m3_s {
        write!(text, "  {}", units.flow(flow))?;
    }
    let over_start = if row.to_m > around_m { "  (over the northernmost corner)" } else { "" };
    writeln!(text, "{over_start}{}", if row.complete { "" } else { "  at least" })
}

fn line(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let line = &summary.interception_line;
    if line.parts.is_empty() {
        return Ok(());
    }
    writeln!(
        text,
        "\nProposed interception line, along stretches that {} of the run-on crosses",
        percent(line.caught_share)
    )?;
    for part in &line.parts {
        let most = if part.coverage == Coverage::AtMost { "at most " } else { "" };
        writeln!(
            text,
            "  part {}: {} long; rain of {most}{} reaches it over {} of the lot line, and of the strip of {} between the two{}",
            part.id,
            units.length(part.length_m),
            units.area(part.contributing_area_m2),
            units.span(part.from_m, part.to_m),
            units.area(part.strip_area_m2),
            beside_its_stretch(part, units)
        )?;
        for words in part.words(units) {
            writeln!(text, "    {words}")?;
        }
    }
    if summary.design.is_none() {
        writeln!(
            text,
            "  To size it, give the rain (--intensity, --rain-curve or --rainfall) and what runs off (--coefficient or cover)."
        )?;
    }
    Ok(())
}

fn sheds(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    writeln!(text, "\nWhere the lot's own rain leaves it")?;
    let total: f64 = summary.lot.sheds_to.iter().map(|row| row.area_m2).sum();
    for row in summary.lot.sheds_to.iter().filter(|row| row.area_m2 >= FOLD_BELOW * total) {
        let to = whither(row.kind, row.id.as_deref());
        writeln!(text, "  {:>8}  {to}, {}", percent(row.area_m2 / total), units.area(row.area_m2))?;
    }
    Ok(())
}

fn ponds(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    if summary.ponds.is_empty() {
        return Ok(());
    }
    let count = summary.ponds.len();
    let only = if count > PONDS_SHOWN { format!(", the first {PONDS_SHOWN} of them") } else { String::new() };
    writeln!(text, "\nPonds on the lot or on its catchment: {count}{only}")?;
    summary.ponds.iter().take(PONDS_SHOWN).try_for_each(|pond| {
        writeln!(
            text,
            "  {} deep when full, {}, {}; spills {}{}",
            units.depth(pond.depth_m),
            units.area(pond.area_m2),
            units.volume(pond.volume_m3),
            whither(pond.spills_to_kind, pond.spills_to.as_deref()),
            filling(pond, units)
        )
    })
}

/// When a pond starts to pass water on, and what it does in the design storm.
fn filling(pond: &PondRow, units: Units) -> String {
    let starts = pond.starts_at_mm.filter(|&mm| mm > 0.0);
    let starts = starts.map_or(String::new(), |mm| format!(", from {} of runoff on", units.rain(mm)));
    let holds = |storm: &PondStorm| storm.passed_m3 < storm.inflow_m3;
    let storm = pond.storm.filter(holds).map_or(String::new(), |storm| {
        let (passed, inflow) = (units.volume(storm.passed_m3), units.volume(storm.inflow_m3));
        format!("; in the design storm {passed} of {inflow}")
    });
    format!("{starts}{storm}")
}

/// Where water goes, after a verb.
fn whither(kind: Receiver, id: Option<&str>) -> String {
    match kind {
        Receiver::OffTheData => "over the edge of the data".to_owned(),
        Receiver::Inlet => format!("into {}", called("storm inlet", id.unwrap_or_default())),
        Receiver::Parcel | Receiver::Unparcelled => format!("to {}", whose(id)),
    }
}

fn cautions(text: &mut String, units: Units) -> std::fmt::Result {
    writeln!(text, "\nBear in mind")?;
    cautions_in(units).iter().try_for_each(|caution| writeln!(text, "  - {caution}"))
}

/// What else comes to a part, after what enters over its stretch and the strip.
fn beside_its_stretch(part: &Part, units: Units) -> String {
    let all_m2 = part.contributing_area_m2 + part.strip_area_m2;
    let told = |m2: f64, what: &str| {
        let is_told = m2 >= FOLD_BELOW * all_m2;
        is_told.then(|| format!("{} {what}", units.area(m2)))
    };
    let more = [
        told(part.own_ground_m2, "of the lot's other ground"),
        told(part.other_run_on_m2, "of run-on that enters elsewhere"),
    ];
    let more: Vec<String> = more.into_iter().flatten().collect();
    if more.is_empty() {
        String::new()
    } else {
        format!("; over the lot come that of {}", more.join(" and "))
    }
}
