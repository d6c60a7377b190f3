//! Peak by the rational method, runoff of a storm by the curve number.

use super::covers::short;
use super::{Covered, Figure, Sheet, StormGround, StormQuestion, Value, Worked};
use crate::formula::curve_number::{retention, runoff_depth};
use crate::formula::rational::{CUSTOMARY_FACTOR, peak_flow};
use crate::runoff::limits::{area_beyond, little_runoff, number_below};
use crate::runoff::methods::{CURVE_NUMBER as BY_COVER, RATIONAL};
use crate::units::{Area, CurveNumber, Flow, Length, RainIntensity, RunoffCoefficient, Volume};

/// Where the curve number's equations are from.
const CURVE_NUMBER: &str = "USDA SCS, TR-55 (1986), equations 2-1 to 2-4";

/// The peak flow.
pub(super) fn peak(
    sheet: &mut Sheet,
    coefficient: RunoffCoefficient,
    intensity: RainIntensity,
    area: Area,
) -> Flow {
    let flow = peak_flow(coefficient, intensity, area);
    let c = short(coefficient.get());
    sheet.figures.push(Figure::worked(
        "peak flow",
        Value::Flow(flow),
        Worked {
            us: format!(
                "Q = C i A = {c} x {:.2} in/h x {:.4} ac x {CUSTOMARY_FACTOR:.5} = {:.4} cfs",
                intensity.as_in_per_h(),
                area.as_acres(),
                flow.as_ft3_per_s()
            ),
            si: format!(
                "Q = C i A / 360 = {c} x {:.1} mm/h x {:.4} ha / 360 = {:.5} m3/s",
                intensity.as_mm_per_h(),
                area.as_ha(),
                flow.as_m3_per_s()
            ),
        },
        RATIONAL.source,
    ));
    sheet.warn(area_beyond(area));
    flow
}

/// Ground with its runoff in the storm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shed {
    pub(super) area: Area,
    pub(super) volume: Volume,
}

/// Runoff depth, and volume where there is an area; of covers each by its own curve number, then the sum.
pub(super) fn storm(sheet: &mut Sheet, storm: &StormQuestion) -> Option<Shed> {
    let rain = storm.rain.depth();
    sheet.figures.push(storm.rain.figure());
    match &storm.ground {
        StormGround::Number(number, area) => {
            let named = Named::ground();
            let depth = runoff(sheet, rain, *number, &named);
            area.map(|area| Shed { area, volume: volume(sheet, depth, area, &named) })
        }
        StormGround::Covers(covers) => Some(of_covers(sheet, rain, covers)),
    }
}

fn of_covers(sheet: &mut Sheet, rain: Length, covers: &[Covered<CurveNumber>]) -> Shed {
    let mut volumes = Vec::new();
    for cover in covers {
        let named = Named::cover(cover, covers.len() == 1);
        let depth = runoff(sheet, rain, cover.figure, &named);
        volumes.push(volume(sheet, depth, cover.area, &named));
    }
    if volumes.len() > 1 {
        sheet.figures.push(sum(&volumes));
    }
    Shed { area: covers.iter().map(|cover| cover.area).sum(), volume: volumes.into_iter().sum() }
}

/// How figures of one ground are named.
struct Named {
    /// The ground itself.
    ground: String,
    /// What follows on the name of a figure.
    of: String,
    /// Where its curve number's equations, and of a cover the number too, are from.
    source: String,
}

impl Named {
    fn ground() -> Self {
        Self { ground: "the ground".to_owned(), of: String::new(), source: CURVE_NUMBER.to_owned() }
    }

    fn cover(cover: &Covered<CurveNumber>, is_all: bool) -> Self {
        Self {
            ground: cover.name.clone(),
            of: if is_all { String::new() } else { format!(" of {}", cover.name) },
            source: format!("{CURVE_NUMBER}; curve number: {}", cover.source),
        }
    }
}

/// Runoff depth of one curve number.
fn runoff(sheet: &mut Sheet, rain: Length, number: CurveNumber, named: &Named) -> Length {
    let (s, q) = (retention(number), runoff_depth(rain, number));
    let cn = number.get();
    sheet.figures.push(Figure::worked(
        format!("most that {} holds back", named.ground),
        Value::Depth(s),
        Worked {
            us: format!("S = 1000 / CN - 10 = 1000 / {cn} - 10 = {:.3} in", s.as_in()),
            si: format!("S = 25400 / CN - 254 = 25400 / {cn} - 254 = {:.2} mm", s.as_mm()),
        },
        named.source.clone(),
    ));
    sheet.figures.push(Figure::worked(
        format!("runoff depth{}", named.of),
        Value::Depth(q),
        depth_worked(rain, s, q),
        CURVE_NUMBER,
    ));
    sheet.warn([little_runoff(q, &named.of), number_below(number, &named.of)].into_iter().flatten());
    q
}

fn volume(sheet: &mut Sheet, depth: Length, area: Area, named: &Named) -> Volume {
    let volume = depth * area;
    sheet.figures.push(Figure::worked(
        format!("runoff volume{}", named.of),
        Value::Volume(volume),
        Worked {
            us: format!(
                "V = Q A = {:.3} in / 12 x {:.0} sq ft = {:.0} cu ft",
                depth.as_in(),
                area.as_ft2(),
                volume.as_ft3()
            ),
            si: format!(
                "V = Q A = {:.2} mm / 1000 x {:.1} m2 = {:.1} m3",
                depth.as_mm(),
                area.as_m2(),
                volume.as_m3()
            ),
        },
        "definition",
    ));
    volume
}

/// The runoff of all covers.
fn sum(volumes: &[Volume]) -> Figure {
    let total: Volume = volumes.iter().copied().sum();
    let worked = |of: fn(Volume) -> String, unit: &str| {
        let each: Vec<String> = volumes.iter().map(|&volume| of(volume)).collect();
        format!("V = {} = {} {unit}", each.join(" + "), of(total))
    };
    Figure::worked(
        BY_COVER.gives,
        Value::Volume(total),
        Worked {
            us: worked(|volume| format!("{:.1}", volume.as_ft3()), "cu ft"),
            si: worked(|volume| format!("{:.2}", volume.as_m3()), "m3"),
        },
        BY_COVER.source,
    )
}

fn depth_worked(rain: Length, s: Length, q: Length) -> Worked {
    if q.as_m() <= 0.0 {
        return Worked {
            us: format!(
                "Q = 0, as P = {:.2} in is not above 0.2 S = {:.3} in",
                rain.as_in(),
                0.2 * s.as_in()
            ),
            si: format!(
                "Q = 0, as P = {:.1} mm is not above 0.2 S = {:.2} mm",
                rain.as_mm(),
                0.2 * s.as_mm()
            ),
        };
    }
    let text = |p: String, s: String, q: String| {
        format!("Q = (P - 0.2 S)^2 / (P + 0.8 S) = ({p} - 0.2 x {s})^2 / ({p} + 0.8 x {s}) = {q}")
    };
    Worked {
        us: text(format!("{:.2}", rain.as_in()), format!("{:.3}", s.as_in()), format!("{:.3} in", q.as_in())),
        si: text(format!("{:.1}", rain.as_mm()), format!("{:.2}", s.as_mm()), format!("{:.2} mm", q.as_mm())),
    }
}
