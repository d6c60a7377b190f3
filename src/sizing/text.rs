//! The sheet in words.

use super::{Drain, Sheet};
use crate::interceptor::swale::SwaleRules;
use crate::output::Units;
use crate::output::words::{pipe_name, pipe_words, swale_words};
use std::fmt::Write;

/// Where the numbers of the swale are from.
const SWALE_SOURCE: &str = "normal depth by Manning's equation, n 0.06 for long grass (second hand), 0.035 for mown (second hand); greatest velocity by SCS-TP-61 (1954; second hand)";

/// What the two roughnesses of a pipe are.
const N_OF: &str = "n of the catalogue, first perforated and in service, then solid, as `assess` sizes the lead to an outlet";

/// The sheet, one system of units first.
#[must_use]
pub fn sheet_text(sheet: &Sheet, units: Units) -> String {
    let mut text = String::new();
    // Writing to a string can't fail.
    let _ = figures(&mut text, sheet, units)
        .and_then(|()| sheet.drain.as_ref().map_or(Ok(()), |found| drain(&mut text, found, units)))
        .and_then(|()| cautions(&mut text, sheet));
    text
}

fn figures(text: &mut String, sheet: &Sheet, units: Units) -> std::fmt::Result {
    for figure in &sheet.figures {
        writeln!(text, "{}: {}", figure.name, figure.value.words(units))?;
        if let Some(worked) = &figure.worked {
            writeln!(text, "    {}", worked.words(units))?;
        }
        if let Some(source) = &figure.source {
            writeln!(text, "    source: {source}")?;
        }
    }
    Ok(())
}

fn drain(text: &mut String, drain: &Drain, units: Units) -> std::fmt::Result {
    for (kind, sizing) in [("smooth", &drain.smooth_pipe), ("corrugated", &drain.corrugated_pipe)] {
        if let Some(sizing) = sizing {
            writeln!(text, "smallest {kind} pipe: {}", pipe_words(sizing, units))?;
        }
    }
    if let (Some(swale), Ok(rules)) = (&drain.swale, SwaleRules::usual()) {
        // On the line's table it stands after the pipe.
        let words = swale_words(swale, &rules, units);
        writeln!(text, "swale: {}", words.strip_prefix("or ").unwrap_or(&words))?;
        writeln!(text, "    source: {SWALE_SOURCE}")?;
    }
    writeln!(text, "\nEvery pipe of the catalogue, just full at {:.2} %: {N_OF}", drain.grade.get() * 100.0)?;
    for row in &drain.pipes {
        let carries = match row.carries_the_flow {
            Some(true) => "  carries the flow",
            Some(false) => "  too small",
            None => "",
        };
        let line = format!(
            "  {:<26} n {:<6} {:<36} {:<22} solid n {:<6} {:<36}{carries}",
            pipe_name(&row.pipe.size),
            row.pipe.size.manning_n.get(),
            units.flow(row.pipe.capacity.as_m3_per_s()),
            units.velocity(row.pipe.full_velocity.as_m_per_s()),
            row.solid_n.get(),
            units.flow(row.solid_capacity.as_m3_per_s()),
        );
        writeln!(text, "{}", line.trim_end())?;
    }
    Ok(())
}

fn cautions(text: &mut String, sheet: &Sheet) -> std::fmt::Result {
    writeln!(text, "\nBear in mind")?;
    sheet.cautions.iter().try_for_each(|caution| writeln!(text, "  - {caution}"))
}
