//! One function per kind of feature.

use super::design::portion_of;
use super::error::OutputError;
use super::geometry::Writer;
use super::line::Part;
use super::mask::outline;
use super::proof;
use super::rows::{id, inlet, parcel, whose};
use super::screen::Units;
use super::style;
use super::summary::{Receiver, receiver};
use crate::lots::{Label, Manner};
use crate::pipeline::Assessment;
use crate::units::{Area, Length};
use crate::wording::{called, percent};
use geo::{Coord, LineString};
use geojson::{Feature, Geometry};
use serde_json::{Map, Value, json};

pub(super) type Features = Result<Vec<Feature>, OutputError>;

pub(super) fn feature(kind: &str, geometry: Geometry, properties: Map<String, Value>) -> Feature {
    Feature { geometry: Some(geometry), ..bare_feature(kind, properties) }
}

fn bare_feature(kind: &str, mut properties: Map<String, Value>) -> Feature {
    properties.insert("kind".into(), json!(kind));
    Feature { bbox: None, geometry: None, id: None, properties: Some(properties), foreign_members: None }
}

pub(super) fn properties(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

pub(super) fn area_words(area_m2: f64) -> String {
    format!("{:.0} m² ({:.0} sq ft)", area_m2, Area::from_m2(area_m2).as_ft2())
}

pub(super) fn length_words(length_m: f64) -> String {
    format!("{:.1} m ({:.0} ft)", length_m, Length::from_m(length_m).as_ft())
}

fn flow_words(flow_m3_s: f64) -> String {
    Units::Si.flow(flow_m3_s)
}

/// The subject lot.
pub(super) fn lot(assessment: &Assessment<'_>) -> Features {
    let subject = &assessment.site.parcels.parcels()[assessment.site.parcels.subject()];
    let writer = Writer::new(&assessment.site.crs);
    let Some(geometry) = writer.area(&subject.outline)? else { return Ok(Vec::new()) };
    let run_on = area_words(assessment.drainage.run_on_m2);
    let mut map = properties(json!({
        "id": subject.id,
        "area_m2": subject.area_m2,
        "run_on_area_m2": assessment.drainage.run_on_m2,
        "title": format!("Lot {}", subject.id),
        "description": format!("Rain from {run_on} outside this lot reaches it over the present surface."),
    }));
    style::line(&mut map, style::LOT.0, style::LOT.1);
    style::fill(&mut map, style::LOT.0, 0.05);
    Ok(vec![feature("subject-lot", geometry, map)])
}

/// Parcels that contribute, with their outlines; land without a parcel with the ground that contributes.
pub(super) fn contributors(assessment: &Assessment<'_>) -> Features {
    let writer = Writer::new(&assessment.site.crs);
    let by_lot = assessment.design.flows().map(|flows| &flows.by_lot);
    let mut found = Vec::new();
    for row in &assessment.drainage.contributions {
        let water = portion_of(by_lot, row.label);
        let owner = parcel(assessment, row.label);
        let geometry = match owner {
            Some(parcel) => writer.area(&parcel.outline)?,
            None => writer.area(&unparcelled_ground(assessment))?,
        };
        let share = row.area_m2 / assessment.drainage.run_on_m2;
        let name = whose(owner.map(|p| p.id.as_str()));
        let mut map = properties(json!({
            "id": owner.map(|p| p.id.clone()),
            "also": owner.map_or_else(Vec::new, |p| p.also.clone()),
            "contributor": if owner.is_some() { Receiver::Parcel } else { Receiver::Unparcelled },
            "area_m2": row.area_m2,
            "straight_area_m2": row.straight_m2,
            "handed_over_area_m2": row.handed_over_m2,
            "share_of_run_on": share,
            "share_of_parcel": owner.map(|p| row.area_m2 / p.area_m2),
            "flow_m3_s": water.map(|w| w.flow_m3_s),
            "volume_m3": water.and_then(|w| w.volume_m3),
            "left_area_m2": proof::left_m2(assessment, row.label),
            "title": format!("{} from {name}", percent(share)),
            "description": format!(
                "{} of it drain onto the lot, {:.1} % of the run-on; water of {} crosses from it onto the lot.{}",
                area_words(row.area_m2),
                share * 100.0,
                area_words(row.handed_over_m2),
                water.map_or(String::new(), |w| format!(" Its part of the peak: {}.", flow_words(w.flow_m3_s)))
            ),
        }));
        style::line(&mut map, "#6b5b45", 1.0);
        style::fill(&mut map, style::share_colour(share), 0.45);
        // Land without a parcel of which no cell sends half its water has nothing to draw, but stays in the list.
        found.push(Feature { geometry, ..bare_feature("contributor", map) });
    }
    Ok(found)
}

fn unparcelled_ground(assessment: &Assessment<'_>) -> geo::MultiPolygon<f64> {
    let routed = &assessment.routed;
    let lots = &routed.ground.lots;
    let holds = |cell: usize| lots.label(cell) == Label::UNPARCELLED && arriving(assessment, cell) >= 0.5;
    outline(lots.shape(), routed.ground.georef, (0..lots.shape().len()).filter(|&cell| holds(cell)))
}

fn arriving(assessment: &Assessment<'_>, cell: usize) -> f64 {
    let routed = &assessment.routed;
    if routed.is_subject(cell) {
        return 0.0;
    }
    routed.reach.place(cell).map_or(0.0, |place| routed.arrival.at_place(place))
}

/// Stretches of the lot line where water enters.
pub(super) fn crossings(assessment: &Assessment<'_>) -> Features {
    let writer = Writer::new(&assessment.site.crs);
    let mut found = Vec::new();
    for (crossing, number) in assessment.drainage.crossings.iter().zip(1..) {
        let ring = &assessment.line.rings()[crossing.ring];
        let Some(geometry) = writer.line(&ring.substring(crossing.from_m, crossing.to_m))? else { continue };
        let share = crossing.area_m2 / assessment.drainage.run_on_m2;
        let manner = match crossing.manner {
            Manner::Sheet => "spread out as a sheet",
            Manner::Concentrated => "concentrated",
            Manner::Along => "along the lot line, weaving over it",
        };
        let at_least = if crossing.complete { "" } else { "at least " };
        let storm = assessment.design.flows().map(|flows| &flows.crossings[number - 1]);
        let flow_m3_s = storm.map(|found| found.peak.flow.as_m3_per_s());
        let time_min = storm.and_then(|found| Some(found.concentration.as_ref()?.time.as_min()));
        let mut map = properties(json!({
            "id": number,
            "ring": crossing.ring,
            "from_m": crossing.from_m,
            "to_m": crossing.to_m,
            "area_m2": crossing.area_m2,
            "share_of_run_on": share,
            "complete": crossing.complete,
            "manner": crossing.manner,
            "width_80_m": crossing.width_80_m,
            "flow_m3_s": flow_m3_s,
            "concentration_min": time_min,
            "contributors": crossing.origins.iter().map(|&(label, area_m2)| json!({
                "id": id(assessment, label),
                "area_m2": area_m2,
                "flow_m3_s": portion_of(storm.map(|found| &found.by_lot), label).map(|w| w.flow_m3_s),
            })).collect::<Vec<_>>(),
            "title": format!("Crossing {number}: {} of the run-on", percent(share)),
            "description": format!(
                "From {:.1} m to {:.1} m along the lot line, {at_least}{} enter here, {manner}; 80 % within {}.{}",
                crossing.from_m,
                crossing.to_m,
                area_words(crossing.area_m2),
                length_words(crossing.width_80_m),
                flow_m3_s.map_or(String::new(), |flow| format!(" Peak in the design storm: {}.", flow_words(flow)))
            ),
        }));
        style::line(&mut map, style::CROSSING.0, style::CROSSING.1);
        found.push(feature("crossing", geometry, map));
    }
    Ok(found)
}

/// Ground of which at least half the water reaches the lot.
pub(super) fn contributing_area(assessment: &Assessment<'_>) -> Features {
    let routed = &assessment.routed;
    let writer = Writer::new(&assessment.site.crs);
    let shape = routed.ground.raw.shape();
    let cells = (0..shape.len()).filter(|&cell| arriving(assessment, cell) >= 0.5);
    let area = outline(shape, routed.ground.georef, cells);
    let Some(geometry) = writer.area(&area)? else { return Ok(Vec::new()) };
    let mut map = properties(json!({
        "run_on_area_m2": assessment.drainage.run_on_m2,
        "least_share": 0.5,
        "complete": assessment.completeness.is_complete(),
        "title": "Contributing area",
        "description": "Ground of which at least half the water reaches the lot.",
    }));
    style::line(&mut map, style::PATH, 1.0);
    style::fill(&mut map, style::PATH, 0.1);
    Ok(vec![feature("contributing-area", geometry, map)])
}

/// The main ways onto the lot, drawn downwards.
pub(super) fn flow_paths(assessment: &Assessment<'_>) -> Features {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let writer = Writer::new(&assessment.site.crs);
    let mut found = Vec::new();
    for (path, number) in assessment.drainage.paths.iter().zip(1..) {
        let centres = path.cells.iter().map(|&cell| {
            let (x, y) = ground.georef.centre(shape.cell(cell));
            Coord { x, y }
        });
        let Some(geometry) = writer.line(&LineString(centres.collect()))? else { continue };
        let length_m: f64 =
            path.cells.windows(2).map(|p| assessment.routed.scene().step_length(p[0], p[1])).sum();
        let height = |cell: Option<&usize>| {
            cell.map(|&c| f64::from(ground.roofs.ground_at(c, ground.raw.values()[c])))
        };
        let fall_m = height(path.cells.first()).zip(height(path.cells.last())).map(|(a, b)| a - b);
        let area_m2 = path.area_m2.last().copied().unwrap_or(0.0);
        let mut map = properties(json!({
            "id": number,
            "crossing": path.crossing + 1,
            "length_m": length_m,
            "fall_m": fall_m,
            "area_m2": area_m2,
            "title": format!("Way of the water to crossing {}", path.crossing + 1),
            "description": format!("{} long, carrying the rain of {} where it enters.", length_words(length_m), area_words(area_m2)),
        }));
        let width = (1.0 + (area_m2 / 50.0).max(1.0).log2()).min(6.0);
        style::line(&mut map, style::PATH, (width * 10.0).round() / 10.0);
        found.push(feature("flow-path", geometry, map));
    }
    Ok(found)
}

/// The longest way to each crossing, by which its time of concentration is found, drawn downwards.
pub(super) fn longest_ways(assessment: &Assessment<'_>) -> Features {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let writer = Writer::new(&assessment.site.crs);
    let crossings = assessment.design.flows().map_or(&[][..], |flows| &flows.crossings);
    let mut found = Vec::new();
    for ((way, design), number) in assessment.ways.iter().zip(crossings).zip(1..) {
        let Some((way, time)) = way.as_ref().zip(design.concentration.as_ref()) else { continue };
        let centres = way.cells.iter().map(|&cell| {
            let (x, y) = ground.georef.centre(shape.cell(cell));
            Coord { x, y }
        });
        let Some(geometry) = writer.line(&LineString(centres.collect()))? else { continue };
        let (length_m, minutes) = (way.length_m, time.time.as_min());
        let mut map = properties(json!({
            "crossing": number,
            "length_m": length_m,
            "concentration_min": minutes,
            "title": format!("Longest way to crossing {number}"),
            "description": format!("{} long; water from its top takes {minutes:.1} min.", length_words(length_m)),
        }));
        style::line(&mut map, style::PATH, 0.6);
        found.push(feature("longest-way", geometry, map));
    }
    Ok(found)
}

/// Ponds on the lot and on ground that drains onto it.
pub(super) fn ponds(assessment: &Assessment<'_>) -> Features {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let writer = Writer::new(&assessment.site.crs);
    let mut found = Vec::new();
    for (pond, number) in assessment.ponds.iter().zip(1..) {
        let mut cells: Vec<usize> = pond.pond.cells().map(|cell| shape.index(cell)).collect();
        cells.sort_unstable();
        let area = outline(shape, ground.georef, cells);
        let Some(geometry) = writer.area(&area)? else { continue };
        let (spills_to, kind) = receiver(assessment, pond.spills_to);
        let to = match kind {
            Receiver::OffTheData => "off the data".to_owned(),
            Receiver::Inlet => {
                format!("into {}", called("storm inlet", spills_to.as_deref().unwrap_or_default()))
            }
            _ => format!("to {}", whose(spills_to.as_deref())),
        };
        let mut map = properties(json!({
            "id": number,
            "level_m": pond.pond.level_m,
            "depth_m": pond.pond.depth_m,
            "area_m2": pond.pond.area_m2,
            "volume_m3": pond.pond.volume_m3,
            "spills_to": spills_to,
            "spills_to_kind": kind,
            "title": format!("Pond {number}: {:.2} m deep when full", pond.pond.depth_m),
            "description": format!("{}, {:.1} m³; spills {to}.", area_words(pond.pond.area_m2), pond.pond.volume_m3),
        }));
        style::line(&mut map, style::POND, 1.0);
        style::fill(&mut map, style::POND, 0.5);
        found.push(feature("pond", geometry, map));
    }
    Ok(found)
}

/// Storm inlets of the ground that was read.
pub(super) fn inlets(assessment: &Assessment<'_>) -> Features {
    let ground = &assessment.routed.ground;
    let writer = Writer::new(&assessment.site.crs);
    let mut found = Vec::new();
    for (place, &cell) in ground.inlets.cells().iter().enumerate() {
        let inlet = inlet(assessment, place);
        let ground_m = f64::from(ground.raw.values()[cell]);
        let invert_m = inlet.invert.map(|invert| invert.elevation_m(inlet.rim_m.unwrap_or(ground_m)));
        let change_m2 = proof::inlet_change_m2(assessment, ground.inlets.inlet(place));
        let mut map = properties(json!({
            "id": inlet.id,
            "ground_m": ground_m,
            "rim_m": inlet.rim_m,
            "invert_m": invert_m,
            "public": inlet.public,
            "takes_water": assessment.routed.field.leaves(cell),
            "change_m2": change_m2,
            "title": called("Storm inlet", &inlet.id),
        }));
        style::marker(&mut map, style::INLET);
        found.push(feature("inlet", writer.point(inlet.at)?, map));
    }
    Ok(found)
}

/// The proposed line, part by part, drawn towards its lower end.
pub(super) fn interception_line(assessment: &Assessment<'_>) -> Features {
    let writer = Writer::new(&assessment.site.crs);
    let mut found = Vec::new();
    let parts = assessment.interception.parts.iter().zip(&assessment.outlets).zip(&assessment.drains.parts);
    for ((part, outlets), drain) in parts {
        let Some(geometry) = writer.line(&part.path)? else { continue };
        let row = Part::of(assessment, part, outlets, drain.as_ref());
        let mut map = properties(json!({
            "id": row.id,
            "part": "line",
            "from_m": row.from_m,
            "to_m": row.to_m,
            "length_m": row.length_m,
            "setback_m": row.setback_m,
            "from_ground_m": row.from_ground_m,
            "to_ground_m": row.to_ground_m,
            "from_invert_m": row.from_invert_m,
            "to_invert_m": row.to_invert_m,
            "contributing_area_m2": row.contributing_area_m2,
            "flow_m3_s": row.flow_m3_s,
            "grade": row.grade,
            "section": row.section,
            "capacity_m3_s": row.capacity_m3_s,
            "title": format!("Interception line, part {}", row.id),
            "description": format!(
                "{} of line, {:.1} m inside the lot line; rain of {} reaches it.",
                length_words(row.length_m), row.setback_m, area_words(row.contributing_area_m2)
            ),
        }));
        style::line(&mut map, style::LINE.0, style::LINE.1);
        found.push(feature("interception-line", geometry, map));
        if let (Some(way), Some(outlet)) = (outlets.proposed(), row.outlet)
            && let Some(geometry) = writer.line(&way.way.lead)?
        {
            let mut map = properties(json!({
                "id": row.id,
                "part": "route",
                "outlet": outlet.id,
                "outlet_kind": outlet.kind,
                "verdict": outlet.verdict,
                "outlet_invert_m": outlet.invert_m,
                "length_m": outlet.lead_m,
                "parcels": outlet.parcels,
                "bends": outlet.lead_bends,
                "title": format!("Way of part {} to its outlet", row.id),
                "description": format!("{} of solid pipe, {}.", length_words(outlet.lead_m), outlet.words(Units::Si)),
            }));
            style::line(&mut map, style::LINE.0, style::ROUTE_WIDTH);
            found.push(feature("interception-line", geometry, map));
        }
    }
    Ok(found)
}
