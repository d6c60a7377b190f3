//! Where the water comes from and runs: crossings, ways, ponds, inlets.

use super::super::design::portion_of;
use super::super::mark::{Mark, Shape, properties};
use super::super::mask::outline;
use super::super::proof;
use super::super::rows::{id, inlet, whose};
use super::super::screen::Units;
use super::super::style;
use super::super::summary::{Receiver, receiver};
use super::arriving;
use crate::lots::Manner;
use crate::pipeline::{Assessment, LotPond};
use crate::wording::{called, percent};
use geo::{Coord, LineString, MultiPolygon};
use serde_json::json;

/// Stretches of the lot line where water enters.
pub(in crate::output) fn crossings(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let mut found = Vec::new();
    for (crossing, number) in assessment.drainage.crossings.iter().zip(1..) {
        let ring = &assessment.line.rings()[crossing.ring];
        let shape = Shape::line(&ring.substring(crossing.from_m, crossing.to_m));
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
            "left_area_m2": proof::left_at_m2(assessment, crossing),
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
                "From {} along the lot line, {at_least}{} enter here, {manner}; 80 % within {}.{}",
                units.span(crossing.from_m, crossing.to_m),
                units.area(crossing.area_m2),
                units.length(crossing.width_80_m),
                flow_m3_s.map_or(String::new(), |flow| format!(" Peak in the design storm: {}.", units.flow(flow)))
            ),
        }));
        style::line(&mut map, style::CROSSING.0, style::CROSSING.1);
        found.push(Mark::new("crossing", shape, map));
    }
    found
}

/// Ground of which at least half the water reaches the lot, in the working coordinate system.
pub(in crate::output) fn contributing_ground(assessment: &Assessment<'_>) -> MultiPolygon {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let cells = (0..shape.len()).filter(|&cell| arriving(assessment, cell) >= 0.5);
    outline(shape, ground.georef, cells)
}

/// A pond's surface when full, in the working coordinate system.
pub(in crate::output) fn pond_ground(assessment: &Assessment<'_>, pond: &LotPond) -> MultiPolygon {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let mut cells: Vec<usize> = pond.pond.cells().map(|cell| shape.index(cell)).collect();
    cells.sort_unstable();
    outline(shape, ground.georef, cells)
}

/// Ground of which at least half the water reaches the lot.
pub(in crate::output) fn contributing_area(assessment: &Assessment<'_>) -> Vec<Mark> {
    let shape = Shape::area(&contributing_ground(assessment));
    let mut map = properties(json!({
        "run_on_area_m2": assessment.drainage.run_on_m2,
        "least_share": 0.5,
        "complete": assessment.completeness.is_complete(),
        "title": "Contributing area",
        "description": "Ground of which at least half the water reaches the lot.",
    }));
    style::line(&mut map, style::PATH, 1.0);
    style::fill(&mut map, style::PATH, 0.1);
    vec![Mark::new("contributing-area", shape, map)]
}

/// The main ways onto the lot, drawn downwards.
pub(in crate::output) fn flow_paths(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let mut found = Vec::new();
    for (path, number) in assessment.drainage.paths.iter().zip(1..) {
        let centres = path.cells.iter().map(|&cell| {
            let (x, y) = ground.georef.centre(shape.cell(cell));
            Coord { x, y }
        });
        let shape = Shape::line(&LineString(centres.collect()));
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
            "description": format!("{} long, carrying the rain of {} where it enters.", units.length(length_m), units.area(area_m2)),
        }));
        let width = style::water_width(area_m2);
        style::line(&mut map, style::PATH, (width * 10.0).round() / 10.0);
        found.push(Mark::new("flow-path", shape, map));
    }
    found
}

/// The longest way to each crossing, by which its time of concentration is found, drawn downwards.
pub(in crate::output) fn longest_ways(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let ground = &assessment.routed.ground;
    let shape = ground.raw.shape();
    let crossings = assessment.design.flows().map_or(&[][..], |flows| &flows.crossings);
    let mut found = Vec::new();
    for ((way, design), number) in assessment.ways.iter().zip(crossings).zip(1..) {
        let Some((way, time)) = way.as_ref().zip(design.concentration.as_ref()) else { continue };
        let centres = way.cells.iter().map(|&cell| {
            let (x, y) = ground.georef.centre(shape.cell(cell));
            Coord { x, y }
        });
        let shape = Shape::line(&LineString(centres.collect()));
        let (length_m, minutes) = (way.length_m, time.time.as_min());
        let mut map = properties(json!({
            "crossing": number,
            "length_m": length_m,
            "concentration_min": minutes,
            "title": format!("Longest way to crossing {number}"),
            "description": format!("{} long; water from its top takes {minutes:.1} min.", units.length(length_m)),
        }));
        style::line(&mut map, style::PATH, 0.6);
        found.push(Mark::new("longest-way", shape, map));
    }
    found
}

/// Ponds on the lot and on ground that drains onto it.
pub(in crate::output) fn ponds(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let mut found = Vec::new();
    for (pond, number) in assessment.ponds.iter().zip(1..) {
        let shape = Shape::area(&pond_ground(assessment, pond));
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
            "title": format!("Pond {number}: {} deep when full", units.depth(pond.pond.depth_m)),
            "description": format!("{}, {}; spills {to}.", units.area(pond.pond.area_m2), units.volume(pond.pond.volume_m3)),
        }));
        style::line(&mut map, style::POND, 1.0);
        style::fill(&mut map, style::POND, 0.5);
        found.push(Mark::new("pond", shape, map));
    }
    found
}

/// Storm inlets of the ground that was read.
pub(in crate::output) fn inlets(assessment: &Assessment<'_>) -> Vec<Mark> {
    let ground = &assessment.routed.ground;
    let mut found = Vec::new();
    for (place, &cell) in ground.inlets.cells().iter().enumerate() {
        let inlet = inlet(assessment, place);
        let ground_m = f64::from(ground.raw.values()[cell]);
        let invert_m = inlet.invert.map(|invert| invert.elevation_m(inlet.rim_m.unwrap_or(ground_m)));
        let change_m2 = proof::inlet_change_m2(assessment, ground.inlets.inlet(place));
        let value = json!({
            "id": inlet.id,
            "ground_m": ground_m,
            "rim_m": inlet.rim_m,
            "invert_m": invert_m,
            "public": inlet.public,
            "takes_water": assessment.routed.field.leaves(cell),
            "change_m2": change_m2,
            "title": called("Storm inlet", &inlet.id),
        });
        found.push(Mark::point("inlet", inlet.at, style::INLET, value));
    }
    found
}
