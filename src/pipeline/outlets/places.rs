//! Places at which a part may end.

use super::Search;
use super::open::OPEN_REACH_M;
use crate::error::Error;
use crate::input::{Ditch, DitchKind, Inlet};
use crate::interceptor::{InterceptorError, LinePart, OutletKind, OutletPlace};
use geo::{Closest, ClosestPoint, Coord, Distance, Euclidean, Point};

/// Ditches, and places at which other parts' pipes are joined, farther from both ends of a part aren't tried, m: so far around the lot
/// ground is always read. Ours.
pub(super) const REACH_M: f64 = 60.0;
/// The same of storm inlets: as far as open ground is looked for, since who gives one means that it may be used. Ours.
pub(in crate::pipeline) const INLET_REACH_M: f64 = OPEN_REACH_M;
/// A place named no farther from an inlet or a ditch that was given is that, m: drawn places are no better
/// known. Ours.
const SAME_PLACE_M: f64 = 1.0;
/// Inlets tried for each part, the nearest; and as many places of ditches. Ours: each is two ways with a profile of their own, which
/// take the most time of all.
const MOST_INLETS: usize = 6;
/// Distance of the places of a ditch that are looked at, m. Ours.
const ALONG_DITCH_M: f64 = 2.0;

/// Inlets that were given and aren't tried for a part, by why.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Untried {
    /// Farther from its ends than 150 m.
    pub beyond: usize,
    /// How far from them the nearest of these is, m.
    pub nearest_beyond_m: Option<f64>,
    /// Within that, after the nearest that are tried, or on unknown ground.
    pub after_nearest: usize,
    /// Within that, without an invert or a depth.
    pub without_invert: usize,
}

impl Untried {
    /// Inlets farther from a part's ends aren't tried, m.
    pub const REACH_M: f64 = INLET_REACH_M;
}

impl Search<'_> {
    /// Inlets and ditches near a part's ends, the nearest first; the place named; open ground; a chamber.
    pub(super) fn places(&self, part: &LinePart) -> Result<Vec<OutletPlace>, Error> {
        let named = self.named()?;
        let mut places = self.inlets(part);
        places.extend(self.ditches(part));
        // A named place takes the identity of the inlet or ditch that lies there: one place, with the invert named.
        places.retain(|place| {
            named.as_ref().is_none_or(|named| (named.kind, named.at) != (place.kind, place.at))
        });
        places.extend(named);
        places.extend(self.open_ground(part)?);
        places.push(chamber(part));
        Ok(places)
    }

    fn away_m(&self, part: &LinePart, at: Coord) -> f64 {
        let ends = ends(part).map(|end| Euclidean.distance(Point::from(end), Point::from(at)));
        ends[0].min(ends[1]) * self.site.crs.metres_per_unit()
    }

    /// Inlets that were given and aren't tried for a part.
    pub(super) fn untried(&self, part: &LinePart, places: &[OutletPlace]) -> Untried {
        let mut found = Untried::default();
        for inlet in &self.site.beside.inlets {
            let is_tried = |place: &OutletPlace| place.kind == OutletKind::StormInlet && place.at == inlet.at;
            if places.iter().any(is_tried) {
                continue;
            }
            let away_m = self.away_m(part, inlet.at);
            if away_m > INLET_REACH_M {
                found.beyond += 1;
                found.nearest_beyond_m = Some(found.nearest_beyond_m.map_or(away_m, |m| m.min(away_m)));
            } else if inlet.invert.is_none() {
                found.without_invert += 1;
            } else {
                found.after_nearest += 1;
            }
        }
        found
    }

    fn inlets(&self, part: &LinePart) -> Vec<OutletPlace> {
        let place = |inlet: &Inlet| {
            let rim_m = inlet.rim_m.or_else(|| (self.height)(inlet.at))?;
            Some(OutletPlace {
                kind: OutletKind::StormInlet,
                id: inlet.id.clone(),
                at: inlet.at,
                invert_m: inlet.invert?.elevation_m(rim_m),
                rim_m: Some(rim_m),
                tailwater_m: inlet.tailwater_m,
            })
        };
        self.nearest(part, self.site.beside.inlets.iter().filter_map(place).collect(), INLET_REACH_M)
    }

    /// The nearest few of some places within a reach, m.
    fn nearest(&self, part: &LinePart, places: Vec<OutletPlace>, reach_m: f64) -> Vec<OutletPlace> {
        let away = places.into_iter().map(|place| (self.away_m(part, place.at), place));
        let mut near: Vec<(f64, OutletPlace)> = away.filter(|(away_m, _)| *away_m <= reach_m).collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        near.into_iter().take(MOST_INLETS).map(|(_, place)| place).collect()
    }

    /// Of each ditch the places nearest to the part's ends, and the lowest within reach.
    fn ditches(&self, part: &LinePart) -> Vec<OutletPlace> {
        let mut found = Vec::new();
        for ditch in &self.site.beside.ditches {
            let nearest =
                ends(part).into_iter().filter_map(|end| match ditch.lines.closest_point(&Point::from(end)) {
                    Closest::Intersection(at) | Closest::SinglePoint(at) => Some(Coord::from(at)),
                    Closest::Indeterminate => None,
                });
            let mut places: Vec<OutletPlace> = nearest.filter_map(|at| self.in_ditch(ditch, at)).collect();
            let along = places_along(ditch, ALONG_DITCH_M / self.site.crs.metres_per_unit());
            let within = along.into_iter().filter(|at| self.away_m(part, *at) <= REACH_M);
            let lowest = within.filter_map(|at| self.in_ditch(ditch, at));
            places.extend(lowest.reduce(|a, b| if b.invert_m < a.invert_m { b } else { a }));
            let mut kept: Vec<OutletPlace> = Vec::new();
            for place in places {
                if !kept.iter().any(|other| other.at == place.at) {
                    kept.push(place);
                }
            }
            found.extend(kept);
        }
        self.nearest(part, found, REACH_M)
    }

    fn in_ditch(&self, ditch: &Ditch, at: Coord) -> Option<OutletPlace> {
        let ground_m = (self.height)(at)?;
        Some(OutletPlace {
            kind: match ditch.kind {
                DitchKind::Ditch => OutletKind::Ditch,
                DitchKind::Kerb => OutletKind::Kerb,
            },
            id: ditch.id.clone(),
            at,
            invert_m: ditch.bottom.map_or(ground_m, |bottom| bottom.elevation_m(ground_m)),
            rim_m: None,
            tailwater_m: ditch.tailwater_m,
        })
    }

    fn named(&self) -> Result<Option<OutletPlace>, InterceptorError> {
        let Some(named) = self.settings.outlet else { return Ok(None) };
        let (x, y) = self
            .site
            .crs
            .from_lonlat(named.lon, named.lat)
            .map_err(|cause| InterceptorError::Outlet { reason: cause.to_string() })?;
        let place = self.at_structure(Coord { x, y }).unwrap_or_else(|| OutletPlace {
            kind: OutletKind::NamedPlace,
            id: format!("{},{}", named.lon, named.lat),
            at: Coord { x, y },
            invert_m: 0.0,
            rim_m: None,
            tailwater_m: None,
        });
        Ok(Some(OutletPlace { invert_m: named.invert.as_m(), ..place }))
    }

    /// The inlet, or else the ditch, that was given at a place.
    fn at_structure(&self, at: Coord) -> Option<OutletPlace> {
        let beside = &self.site.beside;
        let inlet = beside.inlets.iter().filter(|inlet| self.metres(inlet.at, at) <= SAME_PLACE_M);
        let nearest =
            inlet.min_by(|a, b| self.metres(a.at, at).total_cmp(&self.metres(b.at, at))).map(|inlet| {
                OutletPlace {
                    kind: OutletKind::StormInlet,
                    id: inlet.id.clone(),
                    at: inlet.at,
                    invert_m: 0.0,
                    rim_m: inlet.rim_m.or_else(|| (self.height)(inlet.at)),
                    tailwater_m: inlet.tailwater_m,
                }
            });
        let away_m = |ditch: &Ditch| {
            Euclidean.distance(&ditch.lines, &Point::from(at)) * self.site.crs.metres_per_unit()
        };
        nearest.or_else(|| {
            let ditch = beside.ditches.iter().find(|ditch| away_m(ditch) <= SAME_PLACE_M)?;
            self.in_ditch(ditch, at)
        })
    }
}

/// A chamber at the part's lower end, as low as the pipe comes.
fn chamber(part: &LinePart) -> OutletPlace {
    let at = ends(part)[1];
    OutletPlace {
        kind: OutletKind::Chamber,
        id: "chamber".to_owned(),
        at,
        // Where the pipe ends counts; the ground only stands for it until then.
        invert_m: part.to_ground_m().unwrap_or(0.0),
        rim_m: None,
        tailwater_m: None,
    }
}

pub(super) fn ends(part: &LinePart) -> [Coord; 2] {
    [part.path.0[0], part.path.0[part.path.0.len() - 1]]
}

/// Places along a ditch, no farther apart than a step.
fn places_along(ditch: &Ditch, step: f64) -> Vec<Coord> {
    let mut found = Vec::new();
    for leg in ditch.lines.0.iter().flat_map(|line| line.0.windows(2)) {
        let length = (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
        let mut along = 0.0;
        while along < length {
            found.push(leg[0] + (leg[1] - leg[0]) * (along / length));
            along += step;
        }
        found.push(leg[1]);
    }
    found
}
