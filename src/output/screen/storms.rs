//! The storms that a drain carries, on the screen.

use super::Units;
use crate::interceptor::drain::{Arrangement, Limit};
use crate::output::proof::WayEnd;
use crate::output::rows::whose;
use crate::output::storms::{InStorm, Largest, OverflowRow, StormLine, Storms};
use crate::wording::{called, percent};

/// Lots and buildings that are named; all stand in the file.
const NAMED: usize = 4;

/// Table and sentences on a part's drain in all storms.
pub(crate) fn words(storms: &Storms, chosen: Arrangement, units: Units) -> Vec<String> {
    let mut words = if storms.rows.len() > 1 { table(storms, chosen, units) } else { Vec::new() };
    let Some((row, cell)) = storms.first_not_carried(chosen) else { return words };
    if let Some((limit, way)) = cell.limit.and_then(|limit| Some((limit, storms.overflow.by(limit)?))) {
        words.push(overflow_words(row, cell, (limit, way), units));
    }
    words
}

fn years(row: &StormLine) -> String {
    row.return_period_years.map_or_else(|| "design".to_owned(), |years| format!("{years}"))
}

/// Storms across, arrangements down: what each leaves, by the lower end of what gets in.
fn table(storms: &Storms, chosen: Arrangement, units: Units) -> Vec<String> {
    let line = |label: &str, cells: Vec<String>, end: &str| {
        let cells = cells.iter().fold(String::new(), |text, cell| format!("{text}{cell:>10}"));
        format!("  {label:<18}{cells}{end}").trim_end().to_owned()
    };
    let heads = storms
        .rows
        .iter()
        .map(|row| format!("{}{}", years(row), if row.is_design { "*" } else { "" }))
        .collect();
    let fixed = if storms.fixed_coefficients {
        "; coefficients that were given are the same in all of them"
    } else {
        ""
    };
    let mut words = vec![
        format!(
            "storms it carries, as sized for the design storm (*): what runs over, in {}, by the lower end of what gets in{fixed}",
            units.flow_unit()
        ),
        line("return period", heads, "  years"),
        line("flow", storms.rows.iter().map(|row| units.one_flow(row.flow_m3_s)).collect(), ""),
    ];
    for largest in &storms.largest_carried {
        let mark = if largest.arrangement == chosen { "> " } else { "  " };
        let label = format!("{mark}{}", largest.arrangement.name());
        if !largest.can_be_built {
            words.push(line(&label, Vec::new(), "  can't be built"));
            continue;
        }
        let cells = storms.rows.iter().map(|row| {
            let cell = row.arrangements.iter().find(|cell| cell.arrangement == largest.arrangement);
            cell.map_or_else(String::new, |cell| leaves(cell, units))
        });
        words.push(line(&label, cells.collect(), &format!("  {}", largest_words(largest))));
    }
    words
}

fn leaves(cell: &InStorm, units: Units) -> String {
    if cell.carries { "carries".to_owned() } else { units.one_flow(cell.overflow_m3_s[0]) }
}

fn largest_words(largest: &Largest) -> String {
    match (largest.carries_any, largest.return_period_years) {
        (false, _) => "none".to_owned(),
        (true, None) => "the design storm".to_owned(),
        (true, Some(years)) if largest.is_last => format!("up to {years} years, the last looked at"),
        (true, Some(years)) => format!("up to {years} years"),
    }
}

fn overflow_words(
    row: &StormLine,
    cell: &InStorm,
    (limit, way): (Limit, &OverflowRow),
    units: Units,
) -> String {
    let comes = match limit {
        Limit::Intake => "all along the part",
        Limit::Pipe => "at the part's lowest ground, out of the full pipe",
    };
    let storm = row
        .return_period_years
        .map_or_else(|| "in the design storm".to_owned(), |years| format!("in the {years}-year storm"));
    let passes: Vec<String> = way.passes.iter().take(NAMED).map(|lot| whose(lot.id.as_deref())).collect();
    let meets = match &way.buildings {
        None => "no buildings are given (--buildings), so none is looked for".to_owned(),
        Some(met) if met.is_empty() => "it meets none of the buildings given".to_owned(),
        Some(met) => {
            let named: Vec<String> = met
                .iter()
                .take(NAMED)
                .map(|met| format!("{} ({} of it)", called("building", &met.id), percent(met.share)))
                .collect();
            format!("it meets {}", named.join(", "))
        }
    };
    let end = match (&way.first_inlet, way.ends) {
        (Some(inlet), _) => format!("first inlet on the way: {inlet}"),
        (None, WayEnd::EdgeOfData) => "to the edge of the data without an inlet".to_owned(),
        (None, _) => "no inlet on the ground that was read".to_owned(),
    };
    format!(
        "what it leaves {storm}, {}, comes over {comes} and runs over {}; {meets}; {end}",
        units.flow(cell.overflow_m3_s[0]),
        passes.join(", ")
    )
}
