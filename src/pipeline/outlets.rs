//! Where the line's parts may drain to: storm inlets near by, and places that the user names.

use super::ground::Ground;
use super::settings::Settings;
use crate::error::Error;
use crate::input::{Building, Inlet, PatchSet, Site};
use crate::interceptor::profile::Profile;
use crate::interceptor::{
    Digging, InterceptionLine, InterceptorError, LaidWay, LinePart, OutletKind, OutletLimits, OutletPlace,
    OutletVerdict, OutletWay, ways_to_outlets,
};
use crate::units::Length;
use crate::warning::{Warned, Warning};
use geo::{BoundingRect, Coord, Distance, Euclidean, Intersects, Point};
use std::cmp::Ordering;

/// Inlets farther from both ends of a part aren't looked at, m: so far around the lot ground is always read. Ours.
const REACH_M: f64 = 60.0;
/// Inlets looked at for each part, the nearest.
const MOST_INLETS: usize = 4;

/// A way to an outlet, and what stands on its lead.
#[derive(Debug, Clone)]
pub struct WayOut {
    /// The way.
    pub way: OutletWay,
    /// Places in the set of parcels, the subject left out, that the lead runs over.
    pub parcels: Vec<usize>,
    /// Whether the lead runs through a building that was given.
    pub through_building: bool,
}

impl WayOut {
    fn serves(&self) -> bool {
        self.way.verdict() == Some(OutletVerdict::Gravity) && !self.through_building
    }
}

/// Where one part may drain to.
#[derive(Debug, Clone, Default)]
pub struct PartOutlets {
    /// The places.
    pub places: Vec<OutletPlace>,
    /// Ways there, those that serve first, of these the one that digs least; then by how far they are from serving.
    pub ways: Vec<WayOut>,
}

impl PartOutlets {
    /// The way that is proposed; nothing where none serves.
    #[must_use]
    pub fn proposed(&self) -> Option<&WayOut> {
        self.ways.first().filter(|way| way.serves())
    }
}

/// Looks for the ways of every part, in the order of the parts.
pub(super) fn outlets(
    site: &Site,
    ground: &Ground,
    line: &InterceptionLine,
    height: &dyn Fn(Coord) -> Option<f64>,
    settings: &Settings,
) -> Result<Warned<Vec<PartOutlets>>, Error> {
    let limits = OutletLimits {
        min_cover: settings.min_cover,
        max_depth: settings.max_depth,
        min_grade: settings.min_grade,
        step: Length::from_m(ground.cell.longer_m().max(1.0)),
        metres_per_unit: site.crs.metres_per_unit(),
    };
    let mut warnings = Vec::new();
    let mut found = Vec::with_capacity(line.parts.len());
    for part in &line.parts {
        let places = places(site, part, height, settings)?;
        let mut ways: Vec<WayOut> = ways_to_outlets(part, &places, height, &limits)
            .map_err(InterceptorError::from)?
            .into_iter()
            .map(|way| beside(site, way))
            .collect();
        ways.sort_by(order);
        let outlets = PartOutlets { places, ways };
        warnings.extend(findings(site, part, &outlets));
        found.push(outlets);
    }
    Ok(Warned::new(found, warnings))
}

/// The inlets near a part's ends, the nearest first, and the place named.
fn places(
    site: &Site,
    part: &LinePart,
    height: &dyn Fn(Coord) -> Option<f64>,
    settings: &Settings,
) -> Result<Vec<OutletPlace>, Error> {
    let ends = [part.path.0[0], part.path.0[part.path.0.len() - 1]].map(Point::from);
    let away_m = |at: Coord| {
        let away = ends.map(|end| Euclidean.distance(end, Point::from(at)));
        away[0].min(away[1]) * site.crs.metres_per_unit()
    };
    let inlet = |inlet: &Inlet| {
        let rim_m = inlet.rim_m.or_else(|| height(inlet.at))?;
        let invert_m = inlet.invert?.elevation_m(rim_m);
        let place = OutletPlace {
            kind: OutletKind::StormInlet,
            id: inlet.id.clone(),
            at: inlet.at,
            invert_m,
            tailwater_m: inlet.tailwater_m,
        };
        Some((away_m(inlet.at), place)).filter(|(away, _)| *away <= REACH_M)
    };
    let mut near: Vec<(f64, OutletPlace)> = site.beside.inlets.iter().filter_map(inlet).collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.truncate(MOST_INLETS);
    let mut places: Vec<OutletPlace> = near.into_iter().map(|(_, place)| place).collect();
    if let Some(named) = settings.outlet {
        let (x, y) = site
            .crs
            .from_lonlat(named.lon, named.lat)
            .map_err(|cause| InterceptorError::Outlet { reason: cause.to_string() })?;
        places.push(OutletPlace {
            kind: OutletKind::NamedPlace,
            id: format!("{},{}", named.lon, named.lat),
            at: Coord { x, y },
            invert_m: named.invert.as_m(),
            tailwater_m: None,
        });
    }
    Ok(places)
}

/// What a way's lead runs over.
fn beside(site: &Site, way: OutletWay) -> WayOut {
    let (parcels, through_building) = way.lead.bounding_rect().map_or((Vec::new(), false), |rect| {
        let (min, max) = (rect.min(), rect.max());
        let on = |place: &usize| {
            *place != site.parcels.subject() && site.parcels.parcels()[*place].outline.intersects(&way.lead)
        };
        let parcels = site.parcels.within(min.x, min.y, max.x, max.y).into_iter().filter(on).collect();
        let through = |set: &PatchSet<Building>| {
            let near = set.within(min.x, min.y, max.x, max.y);
            near.into_iter().any(|place| set.patches()[place].outline.intersects(&way.lead))
        };
        (parcels, site.beside.buildings.as_ref().is_some_and(through))
    });
    WayOut { way, parcels, through_building }
}

/// Order of the ways: those that serve, those that a building is in the way of last; among them by verdict, none last, then by
/// digging or by what is missing.
fn order(a: &WayOut, b: &WayOut) -> Ordering {
    let place = |found: &WayOut| {
        (!found.serves(), found.through_building, found.way.verdict().is_none(), found.way.verdict())
    };
    let cost = |found: &WayOut| match &found.way.laid {
        LaidWay::Fits(profile) => profile.dug_m2(),
        LaidWay::DoesNotFit(refused) => refused.shortfall_m,
        LaidWay::GroundUnknown => found.way.length.as_m(),
    };
    place(a).cmp(&place(b)).then(cost(a).total_cmp(&cost(b)))
}

/// What must be said of where a part drains to.
fn findings(site: &Site, part: &LinePart, outlets: &PartOutlets) -> Vec<Warning> {
    if outlets.places.is_empty() {
        return Vec::new();
    }
    let Some(proposed) = outlets.proposed() else {
        return vec![Warning::new(
            "no-outlet-by-gravity",
            format!("no outlet was found that part {} of the line reaches by gravity", part.id),
            "see what would make each fit in interception_line.parts.outlets; else a pump or storage is needed",
        )];
    };
    let mut warnings = Vec::new();
    if !proposed.parcels.is_empty() {
        let ids: Vec<&str> =
            proposed.parcels.iter().map(|&place| site.parcels.parcels()[place].id.as_str()).collect();
        warnings.push(Warning::new(
            "outlet-over-other-parcels",
            format!("the way from part {} of the line to its outlet runs over {}", part.id, ids.join(", ")),
            "get their owners' written consent first, or name another outlet",
        ));
    }
    let end_m = proposed.way.profile().and_then(|profile| Some(profile.stations().last()?.invert_m));
    let place = &outlets.places[proposed.way.outlet];
    if let Some((end_m, water_m)) = end_m.zip(place.tailwater_m).filter(|(end_m, water_m)| water_m > end_m) {
        warnings.push(Warning::new(
            "outlet-drowned",
            format!(
                "water in storm inlet {} stands at {water_m:.2} m in the storm, {:.2} m above the end of the pipe of part {} of the line",
                place.id,
                water_m - end_m,
                part.id
            ),
            "the pipe then carries less than it says, and water may come back up it: have it checked, or name another outlet",
        ));
    }
    let deepest = proposed.way.profile().map(Profile::deepest);
    let caution =
        deepest.and_then(|deepest| Some((deepest, Digging::to(Length::from_m(deepest.cut_m)).caution()?)));
    if let Some((deepest, [code, words, help])) = caution {
        let message = format!(
            "the trench of part {} of the line is {:.2} m deep at {:.1} m of its way: {words}",
            part.id, deepest.cut_m, deepest.station_m
        );
        warnings.push(Warning::new(code, message, help));
    }
    warnings
}
