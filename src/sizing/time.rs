//! Time of concentration of a lawn, and the rain that lasts as long.

use super::{Figure, RainQuestion, Sheet, Value, Way, Worked};
use crate::formula::intensity_curve::IntensityCurve;
use crate::runoff::methods::{SHALLOW, SHEET_BY_INTENSITY};
use crate::runoff::{
    Concentration, GroundBasis, Rain, Segment, SegmentKind, TimeMethod, TravelBasis, WayPoint, concentrate,
};
use crate::units::{RainIntensity, RunoffCoefficient, Time};
use crate::warning::Warning;

/// The rain's intensity, with all that it rests on put on the sheet.
pub(super) fn intensity(sheet: &mut Sheet, rain: &RainQuestion, least: Time) -> RainIntensity {
    match *rain {
        RainQuestion::Steady(intensity, way) => {
            if let Some(way) = way {
                concentration(sheet, way, &Rain::steady(intensity, None), least);
            }
            sheet.figures.push(Figure::plain("rainfall intensity", Value::Intensity(intensity)));
            intensity
        }
        RainQuestion::Lasting(curve, duration) => by_curve(sheet, &curve, duration),
        RainQuestion::Down(curve, way) => {
            let time = concentration(sheet, way, &Rain::curve(curve, None), least);
            by_curve(sheet, &curve, time)
        }
    }
}

fn by_curve(sheet: &mut Sheet, curve: &IntensityCurve, duration: Time) -> RainIntensity {
    let intensity = curve.intensity(duration);
    sheet.figures.push(Figure::worked(
        "rainfall intensity",
        Value::Intensity(intensity),
        Worked::same(format!("i = {}", curve.worked(duration))),
        "the curve given",
    ));
    intensity
}

/// Time of concentration by the chain of reaches over a lawn.
fn concentration(sheet: &mut Sheet, way: Way, rain: &Rain, least: Time) -> Time {
    let found = concentrate(&even(way), &basis(least), rain).unload(&mut sheet.warnings);
    for segment in &found.segments {
        sheet.figures.push(reach(segment, found.rain.intensity));
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

/// A way of even fall over a lawn.
fn even(way: Way) -> [WayPoint; 2] {
    let surface = GroundBasis::default().bare_kind().surface;
    let length_m = way.length.as_m();
    let top_m = length_m * way.grade.get();
    [(0.0, top_m), (length_m, 0.0)].map(|(at_m, level_m)| WayPoint {
        at_m,
        level_m,
        upstream_m2: 0.0,
        surface,
    })
}

fn basis(least: Time) -> TravelBasis {
    TravelBasis {
        method: TimeMethod::Chain,
        least,
        two_year_day: None,
        channel: None,
        // Only the airports' formula asks for it, which doesn't count here.
        coefficient: RunoffCoefficient::new(1.0).expect("1 is a coefficient"),
        curve_number: None,
    }
}

fn reach(segment: &Segment, intensity: RainIntensity) -> Figure {
    let (length, s, min) = (segment.length, segment.grade.get(), segment.time.as_min());
    match segment.kind {
        SegmentKind::Sheet { n, .. } => Figure::worked(
            format!("time of sheet flow, {:.1} ft ({:.1} m) of lawn", length.as_ft(), length.as_m()),
            Value::Time(segment.time),
            Worked::same(format!(
                "t = 6.9 / i^0.4 x (n L / s^0.5)^0.6 = 6.9 / {:.2}^0.4 x ({:.3} x {:.2} / {s:.4}^0.5)^0.6 = {min:.2} min, in mm/h and m",
                intensity.as_mm_per_h(),
                n.get(),
                length.as_m()
            )),
            SHEET_BY_INTENSITY.source,
        ),
        SegmentKind::Shallow(over) => Figure::worked(
            format!(
                "time of shallow flow {}, {:.1} ft ({:.1} m)",
                over.words(),
                length.as_ft(),
                length.as_m()
            ),
            Value::Time(segment.time),
            Worked::same(format!(
                "t = L / (k s^0.5) = {:.1} / ({} x {s:.4}^0.5) / 60 = {min:.2} min, in ft and ft/s",
                length.as_ft(),
                over.constant_ft_s()
            )),
            SHALLOW.source,
        ),
        SegmentKind::Channel => Figure::plain("time of channel flow", Value::Time(segment.time)),
    }
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
        crate::runoff::methods::SHEET_LENGTH.source,
    )
}
