//! What stands beside a part of the line, as `summary.json` gives it.

use super::error::OutputError;
use super::geometry::Writer;
use super::mark::Mark;
use super::screen::Units;
use super::style;
use crate::interceptor::{Approach, DugBy, ObstacleKind, Undercut};
use crate::pipeline::Assessment;
use geo::Coord;
use serde::Serialize;
use serde_json::json;

/// A stretch of a part, with its lead, nearer to something than it should be.
#[derive(Debug, Clone, Serialize)]
pub struct KeepOutRow {
    /// What it is.
    pub kind: ObstacleKind,
    /// Its name.
    pub name: String,
    /// Distance that should be kept.
    pub distance_m: f64,
    /// Least distance; 0 where it is crossed.
    pub nearest_m: f64,
    /// From where along the way.
    pub from_m: f64,
    /// To where.
    pub to_m: f64,
    /// Length of the way that lies so near.
    pub length_m: f64,
    /// Longitude of the middle of its first piece.
    pub lon: Option<f64>,
    /// Latitude.
    pub lat: Option<f64>,
}

/// A place where the trench would cut the ground that carries something.
#[derive(Debug, Clone, Serialize)]
pub struct UndercutRow {
    /// What it is.
    pub kind: ObstacleKind,
    /// Its name.
    pub name: String,
    /// Along the way.
    pub station_m: f64,
    /// What cuts it.
    pub dug_by: DugBy,
    /// Its depth there.
    pub cut_m: f64,
    /// Its width there: of a trench at its bottom, of a swale at the ground.
    pub width_m: f64,
    /// Distance of the line.
    pub distance_m: f64,
    /// Distance that it would need.
    pub needed_m: f64,
    /// Longitude of the place.
    pub lon: Option<f64>,
    /// Latitude.
    pub lat: Option<f64>,
}

impl KeepOutRow {
    pub(super) fn of(assessment: &Assessment<'_>, near: &Approach) -> Self {
        let thing = &assessment.obstacles.all()[near.obstacle];
        let place = lonlat(assessment, near.at).ok();
        Self {
            kind: thing.kind,
            name: thing.name.clone(),
            distance_m: thing.distance.as_m(),
            nearest_m: near.nearest_m,
            from_m: near.from_m,
            to_m: near.to_m,
            length_m: near.length_m,
            lon: place.map(|place| place.x),
            lat: place.map(|place| place.y),
        }
    }
}

impl UndercutRow {
    pub(super) fn of(assessment: &Assessment<'_>, cut: &Undercut) -> Self {
        let thing = &assessment.obstacles.all()[cut.obstacle];
        let place = lonlat(assessment, cut.at).ok();
        Self {
            kind: thing.kind,
            name: thing.name.clone(),
            station_m: cut.station_m,
            dug_by: cut.by,
            cut_m: cut.cut_m,
            width_m: cut.width_m,
            distance_m: cut.distance_m,
            needed_m: cut.needed_m,
            lon: place.map(|place| place.x),
            lat: place.map(|place| place.y),
        }
    }
}

/// Where the line comes too near to something, and where its trench would cut what carries something: points.
pub(super) fn near(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let mut found = Vec::new();
    for (part, outlets) in assessment.interception.parts.iter().zip(&assessment.outlets) {
        for near in &outlets.approaches {
            let row = KeepOutRow::of(assessment, near);
            let does = if near.nearest_m > 0.0 { "comes near to" } else { "crosses" };
            let value = json!({
                "id": part.id,
                "thing": row.kind,
                "name": row.name,
                "distance_m": row.distance_m,
                "nearest_m": row.nearest_m,
                "from_m": row.from_m,
                "to_m": row.to_m,
                "length_m": row.length_m,
                "title": format!("Part {} {does} {}", part.id, row.name),
                "description": format!(
                    "{} of it lie nearer than {}; nearest {}.",
                    units.length(row.length_m), units.level(row.distance_m), units.level(row.nearest_m)
                ),
            });
            found.push(Mark::point("keep-out-crossing", near.at, style::NEAR, value));
        }
        for cut in &outlets.undercuts {
            let row = UndercutRow::of(assessment, cut);
            let value = json!({
                "id": part.id,
                "thing": row.kind,
                "name": row.name,
                "station_m": row.station_m,
                "cut_m": row.cut_m,
                "distance_m": row.distance_m,
                "needed_m": row.needed_m,
                "dug_by": row.dug_by,
                "width_m": row.width_m,
                "title": format!("The {} of part {} cuts the ground that carries {}", cut.by.name(), part.id, row.name),
                "description": format!(
                    "{} deep and {} wide, its middle {} from it; it would need {}.",
                    units.level(row.cut_m), units.level(row.width_m), units.level(row.distance_m), units.level(row.needed_m)
                ),
            });
            found.push(Mark::point("undercut", cut.at, style::NEAR, value));
        }
    }
    found
}

fn lonlat(assessment: &Assessment<'_>, at: Coord) -> Result<Coord, OutputError> {
    Writer::new(&assessment.site.crs).place(at)
}
