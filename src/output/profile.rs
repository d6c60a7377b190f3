//! `profile.csv`: the ground along the line, station by station.
//!
//! Columns that only a designed profile can fill (invert, cut, cover, size) stay empty until there is one.

use crate::pipeline::Assessment;
use std::fmt::Write;

/// The file's text.
pub(super) fn profile_csv(assessment: &Assessment<'_>) -> String {
    let mut text =
        "line,station_m,east_m,north_m,ground_m,invert_m,cut_m,cover_m,flow_m3_s,size\n".to_owned();
    // Coordinates are those of the map, not of the ground: only the map's unit is taken out.
    let unit = assessment.site.crs.map_unit_m();
    for part in &assessment.interception.parts {
        let flow = part.flow().map_or(String::new(), |flow| format!("{:.6}", flow.as_m3_per_s()));
        for station in &part.stations {
            let ground = station.ground_m.map_or(String::new(), |ground| format!("{ground:.3}"));
            // Writing to a string can't fail.
            let _ = writeln!(
                text,
                "{},{:.3},{:.3},{:.3},{ground},,,,{flow},",
                part.id,
                station.station_m,
                station.point.x * unit,
                station.point.y * unit
            );
        }
    }
    text
}
