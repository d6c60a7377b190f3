//! Time of concentration down a way, and the rain that lasts as long.

use super::{Figure, RainQuestion, Sheet, Value, Way, WayGround, Worked};
use crate::runoff::methods::{LOG_LOG, SHALLOW, SHEET, SHEET_BY_INTENSITY, SHEET_LENGTH};
use crate::runoff::{
    Concentration, Rain, RainAt, Segment, SegmentKind, SheetRule, Source, TimeMethod, TravelBasis, WayPoint,
    concentrate,
};
use crate::units::{Length, RainIntensity, SheetRoughness, Time};
use crate::warning::Warning;

/// The rain of the peak.
pub(super) struct PeakRain<'a> {
    pub(super) intensity: RainIntensity,
    /// How long it lasts, or water takes down the way; nothing where neither is known.
    pub(super) time: Option<Time>,
    /// Where it lasts as long as water takes down the way: the rain and that time.
    pub(super) down: Option<(&'a Rain, Time)>,
}

/// The rain of the peak, with all that it rests on put on the sheet.
pub(super) fn peak_rain<'a>(sheet: &mut Sheet, rain: &'a RainQuestion, least: Time) -> PeakRain<'a> {
    match rain {
        RainQuestion::Steady(intensity, way) => {
            let steady = Rain::steady(*intensity, None);
            let time = way.as_ref().map(|way| concentration(sheet, way, &steady, least));
            sheet.figures.push(Figure::plain("rainfall intensity", Value::Intensity(*intensity)));
            PeakRain { intensity: *intensity, time, down: None }
        }
        RainQuestion::Lasting(rain, duration) => {
            PeakRain { intensity: lasting(sheet, rain, *duration), time: Some(*duration), down: None }
        }
        RainQuestion::Down(rain, way) => {
            let time = concentration(sheet, way, rain, least);
            PeakRain { intensity: lasting(sheet, rain, time), time: Some(time), down: Some((rain, time)) }
        }
    }
}

/// Rain of one duration.
fn lasting(sheet: &mut Sheet, rain: &Rain, duration: Time) -> RainIntensity {
    let found = rain.at(duration);
    sheet.warn(found.warnings);
    let found = found.value;
    let (worked, source) = match rain.source() {
        Source::Steady(_) => (Worked::same(found.how), "the intensity given".to_owned()),
        Source::Curve(curve) => {
            (Worked::same(format!("i = {}", curve.worked(duration))), "the curve given".to_owned())
        }
        Source::Table(table) => {
            let longest = table.durations().last().copied().unwrap_or(duration);
            let lasts = if duration > longest { longest } else { duration };
            let source = format!("{}; {}: {}", rain.words(), LOG_LOG.gives, LOG_LOG.source);
            (of_table(rain, &found, lasts), source)
        }
    };
    sheet.figures.push(Figure::worked(
        "rainfall intensity",
        Value::Intensity(found.intensity),
        worked,
        source,
    ));
    found.intensity
}

/// Depth by duration, and how the depth was read from the table.
fn of_table(rain: &Rain, found: &RainAt, lasts: Time) -> Worked {
    let depth = found.intensity * lasts;
    let years = rain.years().map_or(String::new(), |years| format!("{}-year rain, ", years.get()));
    let worked = |depth: String, intensity: String| {
        let (min, how) = (lasts.as_min(), &found.how);
        format!("i = P / t = {depth} / {min:.2} min x 60 = {intensity}; {years}{how}")
    };
    Worked {
        us: worked(format!("{:.3} in", depth.as_in()), format!("{:.2} in/h", found.intensity.as_in_per_h())),
        si: worked(format!("{:.2} mm", depth.as_mm()), format!("{:.1} mm/h", found.intensity.as_mm_per_h())),
    }
}

/// Time of concentration by the chain of reaches.
fn concentration(sheet: &mut Sheet, way: &Way, rain: &Rain, least: Time) -> Time {
    let basis = basis(least, rain);
    let found = concentrate(&even(way), &basis, rain);
    sheet.warn(found.warnings);
    let found = found.value;
    for segment in &found.segments {
        sheet.figures.push(reach(segment, &way.over, basis.two_year_day, found.rain.intensity));
    }
    sheet.figures.push(total(&found));
    if found.least_governs {
        sheet.warnings.push(Warning::new(
            "least-time-governs",
            format!(
                "water takes {:.1} min down the way, so the least time of {:.1} min counts",
                found.chain.as_min(),
                least.as_min()
            ),
            "give another least time with --least-time where the local rule has one",
        ));
    }
    if found.segments.iter().any(|segment| segment.raised) {
        sheet.warnings.push(Warning::new(
            "ground-flatter-than-formula",
            "the ground falls less than 0.1 %, where the formulas give endless times: 0.1 % counts",
            "take the time as a guess: real water stands there",
        ));
    }
    found.time
}

/// A way of even fall over one kind of ground.
fn even(way: &Way) -> [WayPoint; 2] {
    let length_m = way.length.as_m();
    let top_m = length_m * way.grade.get();
    [(0.0, top_m), (length_m, 0.0)].map(|(at_m, level_m)| WayPoint {
        at_m,
        level_m,
        fall: way.grade.get(),
        upstream_m2: 0.0,
        surface: way.over.surface,
    })
}

fn basis(least: Time, rain: &Rain) -> TravelBasis {
    TravelBasis {
        method: TimeMethod::Chain,
        least,
        two_year_day: rain.two_year_day(),
        channel: None,
        coefficient: None,
        curve_number: None,
    }
}

fn reach(segment: &Segment, over: &WayGround, day: Option<Length>, intensity: RainIntensity) -> Figure {
    let (length, s, min) = (segment.length, segment.grade.get(), segment.time.as_min());
    let of = format!("{:.1} ft ({:.1} m) of {}", length.as_ft(), length.as_m(), over.name);
    match segment.kind {
        SegmentKind::Sheet { n, rule, .. } => {
            let (worked, source) = match (rule, day) {
                (SheetRule::TwoYearDay, Some(day)) => (sheet_by_day(segment, n, day), SHEET.source),
                _ => (sheet_by_intensity(segment, n, intensity), SHEET_BY_INTENSITY.source),
            };
            Figure::worked(
                format!("time of sheet flow, {of}"),
                Value::Time(segment.time),
                Worked::same(worked),
                source,
            )
        }
        SegmentKind::Shallow(ground) => Figure::worked(
            format!("time of shallow flow {}, {of}", ground.words()),
            Value::Time(segment.time),
            Worked::same(format!(
                "t = L / (k s^0.5) = {:.1} / ({} x {s:.4}^0.5) / 60 = {min:.2} min, in ft and ft/s",
                length.as_ft(),
                ground.constant_ft_s()
            )),
            SHALLOW.source,
        ),
        SegmentKind::Channel(_) => Figure::plain("time of channel flow", Value::Time(segment.time)),
    }
}

/// Where a table has the 2-year, 24-hour rain.
fn sheet_by_day(segment: &Segment, n: SheetRoughness, day: Length) -> String {
    format!(
        "t = 60 x 0.007 (n L)^0.8 / (P2^0.5 s^0.4) = 60 x 0.007 x ({:.3} x {:.2})^0.8 / ({:.3}^0.5 x {:.4}^0.4) = {:.2} min, in ft and in of the 2-year, 24-hour rain",
        n.get(),
        segment.length.as_ft(),
        day.as_in(),
        segment.grade.get(),
        segment.time.as_min()
    )
}

fn sheet_by_intensity(segment: &Segment, n: SheetRoughness, intensity: RainIntensity) -> String {
    format!(
        "t = 6.9 / i^0.4 x (n L / s^0.5)^0.6 = 6.9 / {:.2}^0.4 x ({:.3} x {:.2} / {:.4}^0.5)^0.6 = {:.2} min, in mm/h and m",
        intensity.as_mm_per_h(),
        n.get(),
        segment.length.as_m(),
        segment.grade.get(),
        segment.time.as_min()
    )
}

fn total(found: &Concentration) -> Figure {
    let parts: Vec<String> =
        found.segments.iter().map(|segment| format!("{:.2}", segment.time.as_min())).collect();
    let least = if found.least_governs {
        format!(", less than the least time of {:.1} min", found.time.as_min())
    } else {
        String::new()
    };
    Figure::worked(
        "time of concentration",
        Value::Time(found.time),
        Worked::same(format!(
            "t = {} = {:.2} min{least}; sheet flow over the shorter of 100 ft and 100 s^0.5 / n ft",
            parts.join(" + "),
            found.chain.as_min()
        )),
        SHEET_LENGTH.source,
    )
}
