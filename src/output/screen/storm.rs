//! The design storm on the screen.

use super::{FOLD_BELOW, Units, name};
use crate::output::contributors::Contributor;
use crate::output::design::{CoverFlow, CrossingStorm, Design, Graphical, OtherTime, Storm, TimeRow};
use crate::output::slow_ground;
use crate::output::summary::{CrossingRow, Status, Summary};
use crate::runoff::TimeMethod;
use crate::wording::percent;
use std::fmt::Write;

/// Crossings whose ways are shown.
const WAYS_SHOWN: usize = 3;
/// Ponds that hold back less than this share of the runoff are not worth a line.
const LEAST_HELD: f64 = 0.001;

/// Letters shown of what a table says of itself.
const SAID: usize = 150;

fn cut(text: &str) -> String {
    let shown: String = text.chars().take(SAID).collect();
    if shown.len() < text.len() { format!("{shown} ...") } else { shown }
}

/// Storm, peak, volume, and who gives how much of them.
pub(super) fn storm(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let Some(design) = &summary.design else { return Ok(()) };
    writeln!(text, "\nIn the design storm: {}", storm_words(&design.storm, units))?;
    if design.storm.is_by_table {
        writeln!(text, "  by the {}", cut(&design.storm.rain))?;
    }
    let least = if summary.status == Status::Complete { "" } else { "at least " };
    writeln!(
        text,
        "  peak of the whole run-on: {least}{} ({}, C = {:.3})",
        units.flow(design.flow_m3_s),
        design.method,
        design.runoff_coefficient
    )?;
    if design.partial {
        writeln!(text, "    before all of the ground has joined in: a longer, weaker rain gives less")?;
    }
    if summary.crossings.len() > 1 && summary.status == Status::Complete {
        let bound = units.flow(design.upper_bound_m3_s);
        writeln!(text, "    at most {bound}: the sum of the crossings' own peaks")?;
    }
    if let Some(found) = &design.graphical {
        writeln!(text, "  {}", graphical_words(found, units))?;
    }
    if let Some((volume, depth)) = design.volume_m3.zip(design.rain_depth_mm) {
        let rain = units.rain(depth);
        writeln!(
            text,
            "  runoff of the whole storm: {least}{} of {rain} of rain (curve number)",
            units.volume(volume)
        )?;
    }
    let half_given =
        design.rain_depth_mm.is_some() || design.by_cover.iter().any(|cover| cover.curve_number.is_some());
    if design.volume_m3.is_none() && half_given {
        writeln!(
            text,
            "  runoff of the whole storm: not worked out without {}",
            design.volume_needs.join(", ")
        )?;
    }
    if let Some(ponds) = design
        .ponds
        .as_ref()
        .filter(|ponds| ponds.held_back_m3 > LEAST_HELD * (ponds.arriving_m3 + ponds.held_back_m3))
    {
        writeln!(
            text,
            "    of which {} reach the lot: ponds on the way fill first and hold back {}",
            units.volume(ponds.arriving_m3),
            units.volume(ponds.held_back_m3)
        )?;
    }
    givers(text, summary, units)?;
    covers(text, design, units)?;
    times(text, summary, units)
}

/// Ways to the largest crossings; all of them stand in the file.
fn times(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let mut rows: Vec<&CrossingRow> =
        summary.crossings.iter().filter(|row| row.share_of_run_on >= FOLD_BELOW).collect();
    rows.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
    for row in rows.iter().take(WAYS_SHOWN) {
        if let Some(found) = &row.storm {
            crossing(text, row.id, found, units)?;
        }
    }
    let more = rows.len().saturating_sub(WAYS_SHOWN);
    if more > 0 {
        let crossings = if more == 1 { "crossing" } else { "crossings" };
        writeln!(text, "  times to {more} more {crossings}: in summary.json")?;
    }
    Ok(())
}

fn storm_words(storm: &Storm, units: Units) -> String {
    let years = storm.return_period_years.map_or(String::new(), |years| format!("{years}-year rain, "));
    let lasts = storm.duration_min.map_or(String::new(), |min| format!("{min:.1} min of "));
    format!("{years}{lasts}{}, {}", units.intensity(storm.intensity_mm_h), storm.source)
}

fn graphical_words(found: &Graphical, units: Units) -> String {
    let least = if found.least_governs { " (its least time)" } else { "" };
    let ponds = if found.pond_share > 0.0 {
        format!(", {:.1} % ponds", 100.0 * found.pond_share)
    } else {
        String::new()
    };
    format!(
        "for comparison, peak by the graphical method (the line is sized by the rational method): {}: a day's rain of type {}, {} of runoff, {:.1} min{least}{ponds}",
        units.flow(found.flow_m3_s),
        found.rainfall_type.name(),
        units.rain(found.runoff_depth_mm),
        found.concentration_min
    )
}

fn givers(text: &mut String, summary: &Summary, units: Units) -> std::fmt::Result {
    let total: f64 = summary.contributors.iter().filter_map(|row| row.flow_m3_s).sum();
    let large = |row: &&Contributor| {
        row.flow_m3_s.is_some_and(|flow| flow >= FOLD_BELOW * total) || row.share_of_run_on >= FOLD_BELOW
    };
    writeln!(text, "  {:<33} {:<38} runoff of the storm", "where the rain falls", "part of the peak")?;
    let (large, small): (Vec<&Contributor>, Vec<&Contributor>) = summary.contributors.iter().partition(large);
    for row in large {
        giver(text, &name(row), row.flow_m3_s, row.volume_m3, units)?;
        for cover in
            row.by_cover.iter().filter(|cover| cover.is_fast && cover.flow_m3_s >= FOLD_BELOW * total)
        {
            let name = format!("  of it {}", cover.cover);
            giver(text, &name, Some(cover.flow_m3_s), cover.volume_m3, units)?;
        }
    }
    if !small.is_empty() {
        let flow = small.iter().map(|row| row.flow_m3_s).sum();
        let volume = small.iter().map(|row| row.volume_m3).sum();
        let label = format!("{} more, each below {}", small.len(), percent(FOLD_BELOW));
        giver(text, &label, flow, volume, units)?;
    }
    Ok(())
}

fn giver(
    text: &mut String,
    name: &str,
    flow_m3_s: Option<f64>,
    volume_m3: Option<f64>,
    units: Units,
) -> std::fmt::Result {
    let flow = flow_m3_s.map_or(String::new(), |flow| units.flow(flow));
    let volume = volume_m3.map_or_else(|| "-".to_owned(), |m3| units.volume(m3));
    writeln!(text, "  {name:<33} {flow:<38} {volume}")
}

fn covers(text: &mut String, design: &Design, units: Units) -> std::fmt::Result {
    if design.by_cover.len() < 2 {
        return Ok(());
    }
    writeln!(text, "  {:<33} {:<38} area and coefficient", "by cover", "part of the peak")?;
    let mut rows: Vec<&CoverFlow> = design.by_cover.iter().collect();
    rows.sort_by(|a, b| b.flow_m3_s.total_cmp(&a.flow_m3_s));
    for CoverFlow { cover, flow_m3_s, area_m2, runoff_coefficient, .. } in rows {
        let coefficient = runoff_coefficient.map_or(String::new(), |c| format!(", C = {c:.2}"));
        writeln!(text, "  {cover:<33} {:<38} {}{coefficient}", units.flow(*flow_m3_s), units.area(*area_m2))?;
    }
    Ok(())
}

fn crossing(text: &mut String, id: usize, found: &CrossingStorm, units: Units) -> std::fmt::Result {
    let Some(time) = &found.time else { return Ok(()) };
    let least = if time.least_governs { ", the least that is used" } else { "" };
    let lasts = found
        .duration_min
        .filter(|_| found.partial)
        .map_or(String::new(), |min| format!(" in {min:.1} min, before all of its ground has joined in"));
    writeln!(
        text,
        "  time to crossing {id}: {:.1} min{least}, down {} by {}; rain of the peak {}{lasts}",
        time.concentration_min,
        units.length(time.length_m),
        time.method.words(),
        units.intensity(found.intensity_mm_h)
    )?;
    if !time.least_governs {
        writeln!(text, "    {}", reaches(time, units))?;
    }
    if let Some(words) = slow_words(time, units) {
        writeln!(text, "    {words}")?;
    }
    let Some(joined) = &found.joined_time else { return Ok(()) };
    let (areas, all): (f64, f64) =
        found.by_cover.iter().fold((0.0, 0.0), |sum, row| (sum.0 + row.joined_area_m2, sum.1 + row.area_m2));
    writeln!(
        text,
        "    the {:.1} % of its ground that has: {:.1} min from where it takes longest, down {}",
        100.0 * areas / all,
        joined.concentration_min,
        units.length(joined.length_m)
    )
}

/// Reaches that are too flat, or slower than the storm.
fn slow_words(time: &TimeRow, units: Units) -> Option<String> {
    let slow = time.segments.iter().filter_map(|reach| Some((reach, reach.slow_ground?)));
    let named: Vec<String> = slow
        .map(|(reach, why)| {
            let to_m = reach.from_m + reach.length_m;
            format!(
                "{} {} of its way, which {} ({:.1} min)",
                reach.kind,
                units.span(reach.from_m, to_m),
                slow_ground::words(why),
                reach.time_min
            )
        })
        .collect();
    (!named.is_empty()).then(|| format!("slow ground: {}", named.join("; ")))
}

fn reaches(time: &TimeRow, units: Units) -> String {
    let mut parts: Vec<String> = time
        .segments
        .iter()
        .map(|s| {
            let (length, percent) = (units.length(s.length_m), s.grade * 100.0);
            let raised = if s.grade_raised { " (the least that counts)" } else { "" };
            format!(
                "{} {length} at {percent:.1} %{raised}: {:.1} min ({})",
                s.kind,
                s.time_min,
                s.note.first(units)
            )
        })
        .collect();
    let chain = OtherTime { method: TimeMethod::Chain, time_min: time.chain_min };
    let others: Vec<String> = [chain]
        .iter()
        .chain(&time.others)
        .filter(|other| other.method != time.method)
        .map(|other| format!("{:.1} min by {}", other.time_min, other.method.words()))
        .collect();
    if !others.is_empty() {
        parts.push(format!("for comparison {}", others.join(", ")));
    }
    parts.join("; ")
}
