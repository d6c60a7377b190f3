//! Stakes and lines for a phone: GPX 1.1 and KML 2.2, on WGS 84.

use super::super::error::OutputError;
use super::super::geometry::Writer;
use super::stakes::Stake;
use crate::pipeline::Assessment;
use geo::{Coord, LineString};
use gpx::{Gpx, GpxVersion, Track, TrackSegment, Waypoint};
use kml::types::{Coord as KmlCoord, Geometry, LineString as KmlLine, Placemark, Point as KmlPoint};
use kml::{Kml, KmlDocument, KmlVersion, KmlWriter};
use std::collections::HashMap;

/// Name space of KML 2.2.
const KML_22: &str = "http://www.opengis.net/kml/2.2";

/// A named line on the globe.
struct Way {
    name: String,
    line: LineString,
}

/// `stakes.gpx`: a waypoint for each stake, a track for each part of the line and for its lead.
pub(super) fn gpx(assessment: &Assessment<'_>, stakes: &[Stake]) -> Result<String, OutputError> {
    let fault = |cause: String| OutputError::Exchange { what: "stakes.gpx", cause };
    let waypoint = |stake: &Stake| {
        let mut point = Waypoint::new(stake.lonlat.into());
        point.name = Some(stake.name());
        point.description = Some(stake.words());
        point.elevation = stake.levels.ground_m.map(millimetres);
        point
    };
    let track = |way: Way| {
        let points = way.line.0.into_iter().map(|at| Waypoint::new(at.into())).collect();
        Track { name: Some(way.name), segments: vec![TrackSegment { points }], ..Track::default() }
    };
    let whole = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some(env!("CARGO_PKG_NAME").to_owned()),
        waypoints: stakes.iter().map(waypoint).collect(),
        tracks: ways(assessment)?.into_iter().map(track).collect(),
        ..Gpx::default()
    };
    let mut bytes = Vec::new();
    gpx::write(&whole, &mut bytes).map_err(|cause| fault(cause.to_string()))?;
    bytes.push(b'\n');
    String::from_utf8(bytes).map_err(|cause| fault(cause.to_string()))
}

/// `stakes.kml`: the same.
pub(super) fn kml(assessment: &Assessment<'_>, stakes: &[Stake]) -> Result<String, OutputError> {
    let fault = |cause: String| OutputError::Exchange { what: "stakes.kml", cause };
    let stake = |stake: &Stake| {
        Kml::Placemark(Placemark {
            name: Some(stake.name()),
            description: Some(stake.words()),
            geometry: Some(Geometry::Point(KmlPoint::new(stake.lonlat.x, stake.lonlat.y, None))),
            ..Placemark::default()
        })
    };
    let line = |way: Way| {
        let coords = way.line.0.iter().map(|at| KmlCoord::new(at.x, at.y, None)).collect();
        Kml::Placemark(Placemark {
            name: Some(way.name),
            geometry: Some(Geometry::LineString(KmlLine { coords, ..KmlLine::default() })),
            ..Placemark::default()
        })
    };
    let marks = ways(assessment)?.into_iter().map(line).chain(stakes.iter().map(stake)).collect();
    let whole = Kml::KmlDocument(KmlDocument {
        version: KmlVersion::V22,
        attrs: HashMap::from([("xmlns".to_owned(), KML_22.to_owned())]),
        elements: vec![Kml::Document { attrs: HashMap::new(), elements: marks }],
    });
    let mut bytes = b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_vec();
    KmlWriter::from_writer(&mut bytes).write(&whole).map_err(|cause| fault(cause.to_string()))?;
    bytes.push(b'\n');
    String::from_utf8(bytes).map_err(|cause| fault(cause.to_string()))
}

/// The parts of the line and their leads.
fn ways(assessment: &Assessment<'_>) -> Result<Vec<Way>, OutputError> {
    let writer = Writer::new(&assessment.site.crs);
    let on_globe = |line: &LineString| -> Result<LineString, OutputError> {
        line.0.iter().map(|at| writer.place(*at)).collect::<Result<Vec<Coord>, _>>().map(LineString)
    };
    let mut all = Vec::new();
    for (part, outlets) in assessment.interception.parts.iter().zip(&assessment.outlets) {
        all.push(Way { name: format!("Line, part {}", part.id), line: on_globe(&part.path)? });
        if let Some(found) = outlets.proposed().filter(|found| found.way.lead.0.len() > 1) {
            let name = format!("Way of part {} to its outlet", part.id);
            all.push(Way { name, line: on_globe(&found.way.lead)? });
        }
    }
    Ok(all)
}

fn millimetres(m: f64) -> f64 {
    (m * 1e3).round() / 1e3
}
