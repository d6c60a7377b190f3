//! `profile.csv`: ground and pipe along the line, station by station.
//!
//! A part with a proposed outlet is written down its water's way and on to the outlet, with the trench, the flow and the
//! pipe of its drain at every station; without an outlet only its ground is known, and the columns of the pipe stay empty.

use crate::interceptor::drain::{CoursePlace, DrainOption, Growth, course};
use crate::interceptor::trench::PipeCount;
use crate::interceptor::{LinePart, OutletWay, Station};
use crate::pipeline::Assessment;
use std::fmt::Write;

/// The file's text.
pub(super) fn profile_csv(assessment: &Assessment<'_>) -> String {
    let mut text =
        "line,station_m,east_m,north_m,ground_m,invert_m,cut_m,cover_m,flow_m3_s,size,bottom_m,swale_bed_m\n"
            .to_owned();
    let parts = assessment.interception.parts.iter().zip(&assessment.outlets).zip(&assessment.drains.parts);
    for ((part, outlets), drain) in parts {
        let way = outlets.proposed().map(|found| &found.way);
        let drain = drain.as_ref().and_then(|drain| Some((drain.chosen()?, &drain.growth)));
        let stations = way.map_or(&part.stations, |way| &way.stations);
        let course = way.zip(drain).map_or_else(Vec::new, |(way, drain)| course(drain.0, way));
        for (place, station) in stations.iter().enumerate() {
            let levels = course.get(place).map(Levels::of).unwrap_or_default();
            let (pipe, water) = match (way, drain) {
                (Some(_), Some(drain)) => (levels.pipe, water(drain, station.station_m)),
                (Some(way), None) => (pipe(way, place), plain_water(part)),
                (None, _) => (",,".to_owned(), plain_water(part)),
            };
            row(&mut text, assessment, (part.id, station), &pipe, &format!("{water},{}", levels.ends));
        }
    }
    text
}

/// Levels of what is built; nothing where nothing is.
struct Levels {
    /// Invert, cut and cover.
    pipe: String,
    /// Bottom of the trench, and bed of the swale.
    ends: String,
}

impl Default for Levels {
    fn default() -> Self {
        Self { pipe: ",,".to_owned(), ends: ",".to_owned() }
    }
}

impl Levels {
    fn of(place: &CoursePlace) -> Self {
        let cell = |m: Option<f64>| m.map_or_else(String::new, |m| format!("{m:.3}"));
        let [cut, cover] = [0, 1].map(|i| cell(place.trench.map(|trench| trench[i].as_m())));
        Self {
            pipe: format!("{},{cut},{cover}", cell(place.invert_m)),
            ends: format!("{},{}", cell(place.bottom_m), cell(place.swale_bed_m)),
        }
    }
}

/// Flow and size there.
fn water((option, growth): (&DrainOption, &Growth), station_m: f64) -> String {
    let size = option.reach_at(station_m).map_or_else(
        || "swale".to_owned(),
        |sized| {
            let many = if sized.pipes == PipeCount::Two { "2 x " } else { "" };
            format!("{many}{} mm", sized.pipe.nominal_mm)
        },
    );
    format!("{:.6},{size}", option.flow_at(growth, station_m).as_m3_per_s())
}

/// Invert, cut and cover of the pipe that the way was looked for with.
fn pipe(way: &OutletWay, place: usize) -> String {
    let at = way.profile().and_then(|profile| profile.stations().get(place));
    at.map_or_else(
        || ",,".to_owned(),
        |at| {
            let cover_m = at.ground_m - at.invert_m - way.bore.above_invert().as_m();
            format!("{:.3},{:.3},{cover_m:.3}", at.invert_m, at.cut_m)
        },
    )
}

/// Flow and size of a part without a drain.
fn plain_water(part: &LinePart) -> String {
    let flow = part.flow().map_or(String::new(), |flow| format!("{:.6}", flow.as_m3_per_s()));
    let size = part.sizing.as_ref().and_then(|sizing| sizing.pipe.fit());
    let size = size.map_or(String::new(), |pipe| format!("{} mm", pipe.size.nominal_mm));
    format!("{flow},{size}")
}

fn row(
    text: &mut String,
    assessment: &Assessment<'_>,
    (id, station): (usize, &Station),
    pipe: &str,
    water: &str,
) {
    // Coordinates are those of the map, not of the ground: only the map's unit is taken out.
    let unit = assessment.site.crs.map_unit_m();
    let ground = station.ground_m.map_or(String::new(), |ground| format!("{ground:.3}"));
    // Writing to a string can't fail.
    let _ = writeln!(
        text,
        "{id},{:.3},{:.3},{:.3},{ground},{pipe},{water}",
        station.station_m,
        station.point.x * unit,
        station.point.y * unit
    );
}
