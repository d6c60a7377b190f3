//! `profile.csv`: ground and pipe along the line, station by station.
//!
//! A part with a proposed outlet is written down its water's way and on to the outlet; without one only its ground is known, and
//! the columns of the pipe stay empty.

use crate::interceptor::{LinePart, OutletWay, Station};
use crate::pipeline::Assessment;
use std::fmt::Write;

/// The file's text.
pub(super) fn profile_csv(assessment: &Assessment<'_>) -> String {
    let mut text =
        "line,station_m,east_m,north_m,ground_m,invert_m,cut_m,cover_m,flow_m3_s,size\n".to_owned();
    for (part, outlets) in assessment.interception.parts.iter().zip(&assessment.outlets) {
        let way = outlets.proposed().map(|found| &found.way);
        let stations = way.map_or(&part.stations, |way| &way.stations);
        for (place, station) in stations.iter().enumerate() {
            let pipe = way.map_or_else(|| ",,".to_owned(), |way| pipe(way, place));
            row(&mut text, assessment, part, station, &pipe);
        }
    }
    text
}

/// Invert, cut and cover.
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

fn row(text: &mut String, assessment: &Assessment<'_>, part: &LinePart, station: &Station, pipe: &str) {
    // Coordinates are those of the map, not of the ground: only the map's unit is taken out.
    let unit = assessment.site.crs.map_unit_m();
    let flow = part.flow().map_or(String::new(), |flow| format!("{:.6}", flow.as_m3_per_s()));
    let ground = station.ground_m.map_or(String::new(), |ground| format!("{ground:.3}"));
    let size = part.sizing.as_ref().and_then(|sizing| sizing.pipe.fit());
    let size = size.map_or(String::new(), |pipe| format!("{} mm", pipe.size.nominal_mm));
    // Writing to a string can't fail.
    let _ = writeln!(
        text,
        "{},{:.3},{:.3},{:.3},{ground},{pipe},{flow},{size}",
        part.id,
        station.station_m,
        station.point.x * unit,
        station.point.y * unit
    );
}
