//! Runoff coefficient of several covers.

use super::{Covered, Figure, Sheet, Value, Worked};
use crate::formula::frequency_factor::frequency_factor;
use crate::formula::rational::{
    CUSTOMARY_FACTOR, CoverPart, composite_coefficient, peak_flow_of_shedding, shedding_by_the_fast_time,
};
use crate::runoff::Rain;
use crate::runoff::limits::years_beyond_factors;
use crate::runoff::methods::{COMPOSITE, PARTIAL};
use crate::units::{Area, Flow, OutOfRange, ReturnPeriod, RunoffCoefficient, Time};

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

/// Several covers as one ground.
pub(super) struct Composite {
    pub(super) coefficient: RunoffCoefficient,
    pub(super) area: Area,
    /// Sum of coefficient times area of the slow and of the fast ground.
    pub(super) shedding: [Area; 2],
    /// Whether the way, which runs over the largest cover, is that of slow ground.
    pub(super) way_is_slow: bool,
}

/// One coefficient for all covers, with the coefficient of each put on the sheet.
pub(super) fn composite(
    sheet: &mut Sheet,
    covers: &[Covered<RunoffCoefficient>],
    years: Option<ReturnPeriod>,
) -> Result<Composite, OutOfRange> {
    let mut parts = Vec::new();
    let mut shedding = [Area::ZERO; 2];
    for cover in covers {
        let raised = raised(cover, years)?;
        parts.push(CoverPart { coefficient: raised.coefficient, area: cover.area });
        let ground = &mut shedding[usize::from(cover.fast)];
        *ground = *ground + cover.area * raised.coefficient.get();
        sheet.figures.push(of_cover(cover, raised));
    }
    sheet.warn(years.and_then(years_beyond_factors));
    let coefficient = composite_coefficient(&parts)?;
    if parts.len() > 1 {
        sheet.figures.push(of_all(coefficient, &parts));
    }
    let largest = covers.iter().reduce(|a, b| if b.area > a.area { b } else { a });
    let way_is_slow = largest.is_some_and(|cover| !cover.fast);
    Ok(Composite { coefficient, area: whole(&parts), shedding, way_is_slow })
}

/// The peak before all of the ground has joined in, where that is the larger one: fast ground in a short, hard rain with
/// the part of the slow ground whose water is there by then. `time` is that of the slow ground.
pub(super) fn early_peak(
    sheet: &mut Sheet,
    rain: &Rain,
    [slow, fast]: [Area; 2],
    time: Time,
    least: Time,
) -> Option<Flow> {
    let all = peak_flow_of_shedding(rain.at(time).value.intensity, slow + fast);
    let found = rain.at(least);
    let flow =
        peak_flow_of_shedding(found.value.intensity, shedding_by_the_fast_time(slow, time, fast, least));
    if flow <= all {
        return None;
    }
    sheet.warn(found.warnings);
    let intensity = found.value.intensity;
    let worked = |of: fn(Area) -> String, intensity: String, flow: String| {
        format!(
            "{} = ({} x {:.2} / {:.2} + {}) x {intensity} = {flow}",
            PARTIAL.equation,
            of(slow),
            least.as_min(),
            time.as_min(),
            of(fast)
        )
    };
    sheet.figures.push(Figure::worked(
        PARTIAL.gives,
        Value::Flow(flow),
        Worked {
            us: worked(
                |area| format!("{:.4} ac", area.as_acres()),
                format!("{:.2} in/h x {CUSTOMARY_FACTOR:.5}", intensity.as_in_per_h()),
                format!("{:.4} cfs", flow.as_ft3_per_s()),
            ),
            si: worked(
                |area| format!("{:.4} ha", area.as_ha()),
                format!("{:.1} mm/h / 360", intensity.as_mm_per_h()),
                format!("{:.5} m3/s", flow.as_m3_per_s()),
            ),
        },
        PARTIAL.source,
    ));
    Some(flow)
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
