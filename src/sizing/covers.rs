//! Runoff coefficient of several covers.

use super::{Covered, Figure, Sheet, Value, Worked};
use crate::formula::frequency_factor::frequency_factor;
use crate::formula::rational::{CoverPart, composite_coefficient};
use crate::runoff::methods::COMPOSITE;
use crate::units::{Area, OutOfRange, ReturnPeriod, RunoffCoefficient};

/// Where the factors of rare storms are from.
const FACTOR: &str =
    "factor: Dhakal and others (2013), table 3, after design manuals (Denver, 1969); between its rows ours";
/// Where the cap is from.
const CAP: &str = "no more than 1: common practice (from memory)";

/// A coefficient of the table as it counts in a storm.
struct Raised {
    coefficient: RunoffCoefficient,
    worked: String,
    source: String,
}

/// One coefficient for all covers, and their whole area, with the coefficient of each put on the sheet.
pub(super) fn composite(
    sheet: &mut Sheet,
    covers: &[Covered<RunoffCoefficient>],
    years: Option<ReturnPeriod>,
) -> Result<(RunoffCoefficient, Area), OutOfRange> {
    let mut parts = Vec::new();
    for cover in covers {
        let raised = raised(cover, years)?;
        parts.push(CoverPart { coefficient: raised.coefficient, area: cover.area });
        sheet.figures.push(of_cover(cover, raised));
    }
    let coefficient = composite_coefficient(&parts)?;
    if parts.len() > 1 {
        sheet.figures.push(of_all(coefficient, &parts));
    }
    Ok((coefficient, whole(&parts)))
}

/// The table's coefficient by the factor of the storm, never above 1.
fn raised(cover: &Covered<RunoffCoefficient>, years: Option<ReturnPeriod>) -> Result<Raised, OutOfRange> {
    let of_table = cover.figure.get();
    let Some((years, factor)) = years.map(|years| (years, frequency_factor(years))).filter(|&(_, f)| f > 1.0)
    else {
        let worked = format!("C = {}, for storms up to 10 years", short(of_table));
        return Ok(Raised { coefficient: cover.figure, worked, source: cover.source.clone() });
    };
    let product = of_table * factor;
    let capped = product > 1.0;
    let cap = if capped { ", of which no more than 1 counts," } else { "" };
    let worked = format!(
        "C = {} x {} = {}{cap} in the {}-year storm",
        short(of_table),
        short(factor),
        short(product),
        years.get()
    );
    let sources = [cover.source.as_str(), FACTOR, CAP];
    let counting = if capped { &sources[..] } else { &sources[..2] };
    Ok(Raised { coefficient: RunoffCoefficient::new(product.min(1.0))?, worked, source: counting.join("; ") })
}

fn of_cover(cover: &Covered<RunoffCoefficient>, raised: Raised) -> Figure {
    Figure::worked(
        format!("runoff coefficient of {}", cover.name),
        Value::Coefficient(raised.coefficient),
        Worked {
            us: format!("{}; A = {:.0} sq ft", raised.worked, cover.area.as_ft2()),
            si: format!("{}; A = {:.1} m2", raised.worked, cover.area.as_m2()),
        },
        raised.source,
    )
}

fn of_all(coefficient: RunoffCoefficient, parts: &[CoverPart]) -> Figure {
    let worked = |area: fn(Area) -> String, unit: &str| {
        let products: Vec<String> =
            parts.iter().map(|p| format!("{} x {}", short(p.coefficient.get()), area(p.area))).collect();
        format!(
            "{} = ({}) / {} = {}, A in {unit}",
            COMPOSITE.equation,
            products.join(" + "),
            area(whole(parts)),
            short(coefficient.get())
        )
    };
    Figure::worked(
        COMPOSITE.gives,
        Value::Coefficient(coefficient),
        Worked {
            us: worked(|area| format!("{:.0}", area.as_ft2()), "sq ft"),
            si: worked(|area| format!("{:.1}", area.as_m2()), "m2"),
        },
        COMPOSITE.source,
    )
}

fn whole(parts: &[CoverPart]) -> Area {
    parts.iter().map(|part| part.area).sum()
}

/// Up to four decimals.
pub(super) fn short(number: f64) -> String {
    let text = format!("{number:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
