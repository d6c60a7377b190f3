//! What the line of a lot is kept clear of, from the files given.

use super::settings::Settings;
use super::window::with_outlet;
use crate::input::Site;
use crate::interceptor::catalogue::PipeSize;
use crate::interceptor::trench::{PipeCount, TrenchRules};
use crate::interceptor::{BED, Digs, Obstacle, ObstacleKind, Obstacles, simplified};
use crate::units::Length;
use geo::{BoundingRect, Geometry, MultiPolygon, Rect};

/// Things farther from the lot, and from a named outlet, aren't looked at, m: leads reach 150 m, and may go around what stands there. Ours.
const AROUND_M: f64 = 200.0;

/// Buildings and keep-outs near the subject lot.
pub(super) fn obstacles(site: &Site, settings: &Settings) -> Obstacles {
    let metres = site.crs.metres_per_unit();
    let lot = &site.parcels.subject_lot().outline;
    let Some(rect) = lot.bounding_rect() else { return Obstacles::none() };
    let rect = with_outlet(rect, site, settings);
    let around = AROUND_M / metres;
    let (west, south) = (rect.min().x - around, rect.min().y - around);
    let (east, north) = (rect.max().x + around, rect.max().y + around);
    let mut all = Vec::new();
    if let Some(buildings) = &site.beside.buildings {
        for place in buildings.within(west, south, east, north) {
            let patch = &buildings.patches()[place];
            let id = patch.says.id.as_ref().unwrap_or(&patch.feature);
            all.push(building(&patch.outline, &format!("building {id}"), metres));
        }
    }
    let near = |found: Rect| {
        found.max().x >= west && found.min().x <= east && found.max().y >= south && found.min().y <= north
    };
    for keep_out in site.beside.keep_outs.iter().filter(|it| it.shape.bounding_rect().is_some_and(near)) {
        let kind = ObstacleKind::of_name(&keep_out.kind);
        all.push(Obstacle {
            kind,
            name: format!("{} {}", keep_out.kind, keep_out.id),
            shape: keep_out.shape.clone(),
            distance: keep_out.distance.unwrap_or(kind.usual_distance()),
            base: keep_out.base.unwrap_or(Length::ZERO),
        });
    }
    Obstacles::new(all, lot, settings.setback, digs(settings), metres)
}

/// The least trench holds the smallest pipe with its cover and bed.
fn digs(settings: &Settings) -> Digs {
    let outsides = settings.drain.catalogue.pipes().iter().map(PipeSize::outside);
    let smallest = outsides.reduce(|a, b| if b < a { b } else { a }).unwrap_or(Length::ZERO);
    Digs {
        least: settings.min_cover + smallest + BED,
        most: settings.max_depth,
        half_width: TrenchRules::usual(PipeCount::One).width(smallest, PipeCount::One) * 0.5,
    }
}

fn building(outline: &MultiPolygon, name: &str, metres_per_unit: f64) -> Obstacle {
    Obstacle {
        kind: ObstacleKind::Building,
        name: name.to_owned(),
        shape: Geometry::MultiPolygon(simplified(outline, metres_per_unit)),
        distance: ObstacleKind::Building.usual_distance(),
        base: Length::ZERO,
    }
}
