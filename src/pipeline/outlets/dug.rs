//! What is dug along a part's way: as its drain is built, else as its way is laid.

use super::super::drain::PartDrain;
use super::super::settings::Settings;
use crate::interceptor::drain::{CoursePlace, DrainOption, course};
use crate::interceptor::{Approach, BED, Bore, DrainedEnd, Dug, DugBy, LinePart, Obstacles, OutletWay};
use crate::units::Length;
use geo::LineString;

/// Trench and swale of a part.
pub(super) fn dug(
    part: &LinePart,
    way: Option<&OutletWay>,
    drain: Option<&PartDrain>,
    settings: &Settings,
) -> Vec<(DugBy, Vec<Dug>)> {
    let built = drain.and_then(PartDrain::to_build);
    match (way, built) {
        (Some(way), Some(option)) => as_built(way, option),
        (Some(way), None) => vec![(DugBy::Trench, as_laid(way))],
        (None, _) => vec![(DugBy::Trench, at_the_least(part, settings))],
    }
}

/// Where what is dug comes nearer to things than it should: along the part, and along its lead, each as wide as it is anywhere.
pub(super) fn approaches(
    obstacles: &Obstacles,
    part: &LinePart,
    way: Option<&OutletWay>,
    built: Option<&DrainOption>,
) -> Vec<Approach> {
    let Some(way) = way else {
        return obstacles.approaches_of(&part.path, Bore::of_part(part).trench_width() * 0.5);
    };
    let along = way.length - way.lead_length;
    let as_laid = way.bore.trench_width();
    let [line, lead] = built.map_or([as_laid; 2], |option| [option.widest(true), option.widest(false)]);
    let down = if way.end == DrainedEnd::Upper {
        LineString::new(part.path.0.iter().rev().copied().collect())
    } else {
        part.path.clone()
    };
    let mut found = obstacles.approaches_of(&down, line * 0.5);
    for near in obstacles.approaches_of(&way.lead, lead * 0.5) {
        let near = near.farther(along);
        match found.iter_mut().find(|other| other.obstacle == near.obstacle) {
            Some(other) => *other = other.and(near),
            None => found.push(near),
        }
    }
    found.sort_by_key(|near| near.obstacle);
    found
}

/// Depths count from the lawn, under a swale too.
fn as_built(way: &OutletWay, option: &DrainOption) -> Vec<(DugBy, Vec<Dug>)> {
    let places = course(option, way);
    let at = |of: &dyn Fn(&CoursePlace) -> Option<[Length; 2]>| -> Vec<Dug> {
        let found = way.stations.iter().zip(&places).filter_map(|(at, place)| {
            let [depth, half_width] = of(place)?;
            Some(Dug { station_m: place.station_m, at: at.point, depth, half_width })
        });
        found.collect()
    };
    let trench = at(&|place| {
        let depth = Length::from_m(place.ground_m - place.bottom_m?);
        Some([depth, option.width_at(place.station_m)? * 0.5])
    });
    let swale = at(&|place| {
        let depth = Length::from_m(place.ground_m - place.swale_bed_m?);
        Some([depth, option.swale.as_ref()?.bed.width_at(depth) * 0.5])
    });
    vec![(DugBy::Trench, trench), (DugBy::Swale, swale)]
}

fn as_laid(way: &OutletWay) -> Vec<Dug> {
    let cuts = way.profile().map_or(&[][..], |profile| profile.stations());
    let half_width = way.bore.trench_width() * 0.5;
    let dug = way.stations.iter().zip(cuts).map(|(at, cut)| Dug {
        station_m: at.station_m,
        at: at.point,
        depth: Length::from_m(cut.cut_m),
        half_width,
    });
    dug.collect()
}

/// Of a part that has no way: cover, pipe and bed.
fn at_the_least(part: &LinePart, settings: &Settings) -> Vec<Dug> {
    let bore = Bore::of_part(part);
    let depth = settings.min_cover + bore.above_invert() + bore.wall + BED;
    let half_width = bore.trench_width() * 0.5;
    let dug =
        |at: &crate::interceptor::Station| Dug { station_m: at.station_m, at: at.point, depth, half_width };
    part.stations.iter().map(dug).collect()
}
