//! Whose land a swale lies on that is wider than the setback leaves room for.

use super::Entering;
use crate::input::Site;
use crate::interceptor::drain::SwaleBed;
use crate::interceptor::{DrainedEnd, LinePart, OutletWay};
use crate::wording::called;
use geo::{Contains, Coord};

/// Places across half of a swale that are looked at, beside its middle. Ours.
const ACROSS: u8 = 4;

/// Land beside the lot.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Beyond {
    /// Parcels, in the order in which the line comes by them.
    parcels: Vec<String>,
    /// Whether some of it no parcel covers.
    is_unparcelled: bool,
}

impl Beyond {
    /// Under the swale of a part, at its stations.
    pub(super) fn of(entering: &Entering<'_>, part: &LinePart, (way, bed): (&OutletWay, &SwaleBed)) -> Self {
        let mut found = Self::default();
        let length_m = part.length.as_m();
        for (place, station) in part.stations.iter().enumerate() {
            let down_m =
                if way.end == DrainedEnd::Upper { length_m - station.station_m } else { station.station_m };
            let Some((ground_m, bed_m)) = station.ground_m.zip(bed.level_at(down_m)) else { continue };
            let depth = crate::units::Length::from_m((ground_m - bed_m).max(0.0));
            let half = 0.5 * bed.width_at(depth).as_m() / entering.line.metres_per_unit();
            for across in across(part, place, half) {
                found.look(entering.site, across);
            }
        }
        found
    }

    fn look(&mut self, site: &Site, at: Coord) {
        let parcels = site.parcels.parcels();
        let covers = |place: &usize| parcels[*place].outline.contains(&at);
        if covers(&site.parcels.subject()) {
            return;
        }
        let Some(place) = site.parcels.within(at.x, at.y, at.x, at.y).into_iter().find(covers) else {
            self.is_unparcelled = true;
            return;
        };
        let id = &parcels[place].id;
        if !self.parcels.contains(id) {
            self.parcels.push(id.clone());
        }
    }

    /// What it is, after "lies on".
    pub(super) fn words(&self) -> String {
        let unparcelled = self.is_unparcelled.then(|| "land without a parcel".to_owned());
        let named = self.parcels.iter().map(|id| called("parcel", id));
        let all: Vec<String> = named.chain(unparcelled).collect();
        if all.is_empty() { "land beyond the lot line".to_owned() } else { all.join(" and ") }
    }

    /// Who must agree, after "the written consent of".
    pub(super) const fn consent(&self) -> &'static str {
        match (self.parcels.is_empty(), self.is_unparcelled) {
            (true, true) => "whoever that land without a parcel belongs to, often the town or the state",
            (false, true) => "the owners of those parcels, and of whoever the land without one belongs to",
            (_, false) => "the owner of that land",
        }
    }
}

/// Places to either side of a station, square to the path there.
fn across(part: &LinePart, place: usize, half: f64) -> impl Iterator<Item = Coord> {
    let stations = &part.stations;
    let (at, last) = (stations[place].point, stations.len() - 1);
    let along = stations[(place + 1).min(last)].point - stations[place.saturating_sub(1)].point;
    let length = along.x.hypot(along.y).max(f64::MIN_POSITIVE);
    let square = Coord { x: -along.y / length, y: along.x / length };
    let steps = (1..=ACROSS).map(move |step| half * f64::from(step) / f64::from(ACROSS));
    steps.flat_map(move |away| [at + square * away, at - square * away])
}
