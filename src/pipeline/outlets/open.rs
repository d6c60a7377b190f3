//! Open ground to let water out on, and what of it comes back.

use super::places::ends;
use super::{Search, WayOut};
use crate::error::Error;
use crate::interceptor::proof::{APRON_M, OutFate};
use crate::interceptor::{
    DaylightPlace, InterceptorError, LinePart, OutletKind, OutletPlace, comes_out, daylight_places,
};
use crate::units::Length;
use geo::Coord;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Open ground farther from a part's end isn't looked at, m. Ours: a lead of that length costs as much as a
/// chamber with its pump.
pub(super) const OPEN_REACH_M: f64 = 150.0;
/// Of which at least this share of the let-out water comes back, a place hardly drains anything. Ours: as
/// good as elevation data tell.
pub(super) const NOTICEABLE: f64 = 0.05;
/// From this share on a place drains nothing worth its pipe. Ours.
const MOST: f64 = 0.5;

/// Shares of let-out water that come back, by cell: many ways end at one place.
#[derive(Debug, Default)]
pub(in crate::pipeline) struct ComesBack(RefCell<BTreeMap<usize, f64>>);

/// How much of the let-out water comes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Back {
    /// None that could be noticed.
    Little,
    /// Some of it.
    Some,
    /// Half or more.
    Most,
}

impl WayOut {
    pub(super) fn back(&self) -> Back {
        match self.comes_back {
            Some(share) if share >= MOST => Back::Most,
            Some(share) if share >= NOTICEABLE => Back::Some,
            _ => Back::Little,
        }
    }
}

impl Search<'_> {
    /// Share of the water that comes back to the lot when it is let out at a place; nothing where the ground
    /// isn't known.
    pub(super) fn comes_back(&self, at: Coord) -> Result<Option<f64>, Error> {
        let Some(cell) = self.routed.cell_at(at) else { return Ok(None) };
        let known = self.comes_back.0.borrow().get(&cell).copied();
        if known.is_some() {
            return Ok(known);
        }
        let share = OutFate::of(&self.routed.scene(), self.channels, cell)?.comes_back;
        self.comes_back.0.borrow_mut().insert(cell, share);
        Ok(Some(share))
    }

    /// Open ground that a part's pipe can come out on: the nearest place on the lot and anywhere; the nearest
    /// whose water stays away, and of these the nearest on the lot and the nearest that sends nothing onto
    /// other parcels, each with its cover if there is one; and where the surface leads the water of the
    /// part's ends off the lot.
    pub(super) fn open_ground(&self, part: &LinePart) -> Result<Vec<OutletPlace>, Error> {
        let land = self.land();
        let all =
            daylight_places(part, Length::from_m(OPEN_REACH_M), &land).map_err(InterceptorError::from)?;
        // Where the cover runs out over a longer piece only what no other place serves as.
        let (covered, other): (Vec<DaylightPlace>, _) = all.into_iter().partition(|place| place.is_covered);
        let mut found = Wanted::default();
        for place in covered.iter().chain(&other) {
            if found.is_full() {
                break;
            }
            let wants = found.wants(self.on_lot(place.at));
            let stays = || -> Result<bool, Error> { Ok(wants.away && self.stays_away(place.at)?) };
            if !(wants.near || stays()?) || !self.is_clear(place) {
                continue;
            }
            if !comes_out(part, place, &land).map_err(InterceptorError::from)? {
                continue;
            }
            let alone = stays()? && self.downstream(place.at).parcels.is_empty();
            found.take(*place, self.on_lot(place.at), stays()?, alone);
        }
        let mut chosen: Vec<(Coord, f64)> = found.places().map(|place| (place.at, place.ground_m)).collect();
        for end in ends(part) {
            let Some(at) = self.leaves_lot(end) else { continue };
            let near = self.metres(end, at) <= OPEN_REACH_M;
            if let Some(ground_m) = (self.height)(at).filter(|_| near)
                && self.stays_away(at)?
            {
                chosen.push((at, ground_m));
            }
        }
        let mut places: Vec<OutletPlace> = Vec::new();
        for (at, invert_m) in chosen {
            if places.iter().all(|other| other.at != at) {
                places.push(self.daylight(at, invert_m));
            }
        }
        Ok(places)
    }

    fn daylight(&self, at: Coord, invert_m: f64) -> OutletPlace {
        let id = if self.on_lot(at) { "on the lot" } else { "beyond the lot" };
        OutletPlace {
            kind: OutletKind::Daylight,
            id: id.to_owned(),
            at,
            invert_m,
            rim_m: None,
            tailwater_m: None,
        }
    }

    fn is_clear(&self, place: &DaylightPlace) -> bool {
        self.obstacles.lead(place.from, place.at).is_some_and(|lead| lead.0.len() == 2)
    }

    fn on_lot(&self, at: Coord) -> bool {
        self.routed.cell_at(at).is_some_and(|cell| self.routed.is_subject(cell))
    }

    pub(super) fn metres(&self, a: Coord, b: Coord) -> f64 {
        (a.x - b.x).hypot(a.y - b.y) * self.site.crs.metres_per_unit()
    }

    /// Whether none of the water that is let out at a place comes back. Deep inside the lot it does for sure,
    /// which needs no looking.
    fn stays_away(&self, at: Coord) -> Result<bool, Error> {
        let near_m = APRON_M + 2.0 * self.routed.ground.cell.longer_m();
        let is_deep = self.on_lot(at) && self.lot_line.nearest(at).distance_m > near_m;
        if is_deep && self.channels.is_empty() {
            return Ok(false);
        }
        Ok(self.comes_back(at)?.is_some_and(|share| share < NOTICEABLE))
    }

    /// The first place beyond the lot on the way of surface water from a place on it.
    fn leaves_lot(&self, from: Coord) -> Option<Coord> {
        let ground = &self.routed.ground;
        let scene = self.routed.scene();
        let mut cell = self.routed.cell_at(from)?;
        while scene.is_subject(cell) {
            cell = self.routed.field.receivers(cell).main()?;
        }
        let (x, y) = ground.georef.centre(ground.raw.shape().cell(cell));
        Some(Coord { x, y })
    }
}

/// The places wanted, each the nearest of its kind.
#[derive(Default)]
struct Wanted {
    on_lot: Option<DaylightPlace>,
    anywhere: Option<DaylightPlace>,
    away: Option<DaylightPlace>,
    away_on_lot: Option<DaylightPlace>,
    away_alone: Option<DaylightPlace>,
}

/// What a place could still serve as.
#[derive(Clone, Copy)]
struct Wants {
    near: bool,
    away: bool,
}

impl Wanted {
    fn wants(&self, on_lot: bool) -> Wants {
        Wants {
            near: self.anywhere.is_none() || (on_lot && self.on_lot.is_none()),
            away: self.away.is_none() || self.away_alone.is_none() || (on_lot && self.away_on_lot.is_none()),
        }
    }

    fn is_full(&self) -> bool {
        self.places().count() == 5
    }

    fn take(&mut self, place: DaylightPlace, on_lot: bool, stays_away: bool, alone: bool) {
        let nearest = [
            (&mut self.anywhere, true),
            (&mut self.on_lot, on_lot),
            (&mut self.away, stays_away),
            (&mut self.away_on_lot, stays_away && on_lot),
            (&mut self.away_alone, alone),
        ];
        for (slot, _) in nearest.into_iter().filter(|(slot, fits)| *fits && slot.is_none()) {
            *slot = Some(place);
        }
    }

    fn places(&self) -> impl Iterator<Item = &DaylightPlace> {
        let all = [&self.anywhere, &self.on_lot, &self.away, &self.away_on_lot, &self.away_alone];
        all.into_iter().flatten()
    }
}
