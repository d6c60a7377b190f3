//! What is dug along a part's way: as its drain is built, else as its way is laid.

use super::super::drain::PartDrain;
use super::super::settings::Settings;
use crate::interceptor::drain::{CoursePlace, DrainOption, course};
use crate::interceptor::trench::{PipeCount, TrenchRules};
use crate::interceptor::{BED, Bore, Dug, DugBy, LinePart, OutletWay};
use crate::units::Length;

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
    let half_width = half_width(way.bore);
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
    let half_width = half_width(bore);
    let dug =
        |at: &crate::interceptor::Station| Dug { station_m: at.station_m, at: at.point, depth, half_width };
    part.stations.iter().map(dug).collect()
}

fn half_width(bore: Bore) -> Length {
    TrenchRules::usual(PipeCount::One).width(bore.above_invert() + bore.wall, PipeCount::One) * 0.5
}
