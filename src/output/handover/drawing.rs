//! `drawing.dxf`: lot lines, line, leads, crossings and stakes on layers of their own, in the working coordinate system and
//! its unit.

use super::super::error::OutputError;
use super::stakes::Stake;
use crate::crs::WorkingCrs;
use crate::pipeline::Assessment;
use dxf::entities::{Entity, EntityType, LwPolyline, ModelPoint, Text};
use dxf::enums::{AcadVersion, Units};
use dxf::tables::Layer;
use dxf::{Color, Drawing, DxfError, LwPolylineVertex, Point};
use geo::{Coord, LineString};

/// A drawing made from nothing carries the hour and a random name; one that is read has what stands in it (the noon of a Julian day).
const NO_DATE: &str = "0\nSECTION\n2\nHEADER\n9\n$TDCREATE\n40\n2451545.0\n9\n$TDUCREATE\n40\n2451545.0\n9\n$TDUPDATE\n40\n2451545.0\n9\n$TDUUPDATE\n40\n2451545.0\n9\n$FINGERPRINTGUID\n2\n00000000-0000-0000-0000-000000000000\n9\n$VERSIONGUID\n2\n00000000-0000-0000-0000-000000000000\n0\nENDSEC\n0\nEOF\n";

/// Height of the words at a stake, m.
const WORDS_M: f64 = 0.4;

/// A layer: its name, and the number of its colour.
struct Sheet(&'static str, u8);

const LOT: Sheet = Sheet("SUBJECT-LOT", 6);
const LOT_LINES: Sheet = Sheet("LOT-LINES", 8);
const LINE: Sheet = Sheet("INTERCEPTION-LINE", 5);
const LEAD: Sheet = Sheet("WAY-TO-OUTLET", 4);
const CROSSINGS: Sheet = Sheet("RUN-ON-CROSSINGS", 1);
const STAKES: Sheet = Sheet("STAKES", 3);
const STAKE_WORDS: Sheet = Sheet("STAKE-LEVELS", 7);

/// The file's text.
pub(super) fn dxf(assessment: &Assessment<'_>, stakes: &[Stake]) -> Result<String, OutputError> {
    let fault = |cause: String| OutputError::Exchange { what: "drawing.dxf", cause };
    let mut drawing = empty(&assessment.site.crs).map_err(|cause| fault(cause.to_string()))?;
    lots(&mut drawing, assessment);
    works(&mut drawing, assessment);
    for stake in stakes {
        put_stake(&mut drawing, stake, assessment.site.crs.map_unit_m());
    }
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).map_err(|cause| fault(cause.to_string()))?;
    String::from_utf8(bytes).map_err(|cause| fault(cause.to_string()))
}

fn empty(crs: &WorkingCrs) -> Result<Drawing, DxfError> {
    let mut drawing = Drawing::load(&mut NO_DATE.as_bytes())?;
    drawing.normalize();
    drawing.header.version = AcadVersion::R2000;
    drawing.header.default_drawing_units = unit(crs.map_unit_m());
    for Sheet(name, colour) in [LOT, LOT_LINES, LINE, LEAD, CROSSINGS, STAKES, STAKE_WORDS] {
        let layer = Layer { name: name.to_owned(), color: Color::from_index(colour), ..Layer::default() };
        drawing.add_layer(layer);
    }
    Ok(drawing)
}

/// The unit that the drawing says; none where it has no name for it.
fn unit(map_unit_m: f64) -> Units {
    let named = [(1.0, Units::Meters), (0.304_8, Units::Feet), (1200.0 / 3937.0, Units::USSurveyFeet)];
    // The two feet differ by 2 in a million.
    let found = named.into_iter().find(|(m, _)| (map_unit_m / m - 1.0).abs() < 1e-8);
    found.map_or(Units::Unitless, |(_, unit)| unit)
}

fn lots(drawing: &mut Drawing, assessment: &Assessment<'_>) {
    let parcels = &assessment.site.parcels;
    for &place in &assessment.routed.ground.parcels {
        let Some(parcel) = parcels.parcels().get(place) else { continue };
        let sheet = if place == parcels.subject() { LOT } else { LOT_LINES };
        for polygon in &parcel.outline {
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                put_line(drawing, &sheet, ring);
            }
        }
    }
}

fn works(drawing: &mut Drawing, assessment: &Assessment<'_>) {
    for (part, outlets) in assessment.interception.parts.iter().zip(&assessment.outlets) {
        put_line(drawing, &LINE, &part.path);
        if let Some(found) = outlets.proposed() {
            put_line(drawing, &LEAD, &found.way.lead);
        }
    }
    for crossing in &assessment.drainage.crossings {
        let ring = &assessment.line.rings()[crossing.ring];
        put_line(drawing, &CROSSINGS, &ring.substring(crossing.from_m, crossing.to_m));
    }
}

fn put_stake(drawing: &mut Drawing, stake: &Stake, unit_m: f64) {
    let location = point(stake.at, stake.levels.ground_m.map_or(0.0, |m| m / unit_m));
    put(drawing, &STAKES, EntityType::ModelPoint(ModelPoint::new(location.clone())));
    let value = format!("{}: {}", stake.name(), stake.words());
    let text = Text { location, text_height: WORDS_M / unit_m, value, ..Text::default() };
    put(drawing, &STAKE_WORDS, EntityType::Text(text));
}

/// A line; closed where it ends where it began.
fn put_line(drawing: &mut Drawing, sheet: &Sheet, line: &LineString) {
    if line.0.len() < 2 {
        return;
    }
    let open = if line.is_closed() { &line.0[..line.0.len() - 1] } else { &line.0[..] };
    let vertices = open.iter().map(|at| LwPolylineVertex { x: at.x, y: at.y, ..LwPolylineVertex::default() });
    let mut drawn = LwPolyline { vertices: vertices.collect(), ..LwPolyline::default() };
    drawn.set_is_closed(line.is_closed());
    put(drawing, sheet, EntityType::LwPolyline(drawn));
}

fn put(drawing: &mut Drawing, Sheet(layer, _): &Sheet, what: EntityType) {
    let mut entity = Entity::new(what);
    (*layer).clone_into(&mut entity.common.layer);
    drawing.add_entity(entity);
}

const fn point(at: Coord, z: f64) -> Point {
    Point { x: at.x, y: at.y, z }
}
