//! Where a line may end, and what a way there is.

use super::bore::Bore;
use super::part::Station;
use super::profile::{Infeasible, Lower, OPEN_M, Outfall, Profile, ProfileLimits, Under};
use crate::units::{Grade, Length};
use geo::{Coord, LineString};
use serde::Serialize;

/// Depths that differ by less are one, m.
const SAME_M: f64 = 1e-6;

/// What an outlet is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutletKind {
    /// A storm inlet or catch basin.
    StormInlet,
    /// A place that the user named, in the open: one at an inlet or a ditch that was given is that.
    NamedPlace,
    /// A ditch or swale.
    Ditch,
    /// A kerb with its gutter.
    Kerb,
    /// Ground that falls below the pipe.
    Daylight,
    /// The pipe of another part of the line.
    OtherPart,
    /// A chamber that stores the water, or from which it is pumped.
    Chamber,
}

impl OutletKind {
    /// Whether the pipe comes out in the open there.
    #[must_use]
    pub const fn is_open(self) -> bool {
        matches!(self, Self::NamedPlace | Self::Ditch | Self::Kerb | Self::Daylight)
    }
}

/// A place where a line may end.
#[derive(Debug, Clone, PartialEq)]
pub struct OutletPlace {
    /// What it is.
    pub kind: OutletKind,
    /// Its name.
    pub id: String,
    /// Its place, in the working coordinate system.
    pub at: Coord,
    /// The lowest level at which a pipe may come in, m.
    pub invert_m: f64,
    /// Level at which water runs over there: an inlet's rim, the ground over a pipe's end; m, where it is known.
    pub rim_m: Option<f64>,
    /// Level of the water that stands there in the storm, m, where it is known.
    pub tailwater_m: Option<f64>,
}

impl OutletPlace {
    /// How the pipe ends there.
    #[must_use]
    pub const fn outfall(&self) -> Outfall {
        match self.kind {
            OutletKind::NamedPlace | OutletKind::Ditch | OutletKind::Kerb | OutletKind::Daylight => {
                Outfall::Open(self.invert_m)
            }
            OutletKind::StormInlet | OutletKind::OtherPart => Outfall::At(self.invert_m),
            OutletKind::Chamber => Outfall::Free,
        }
    }
}

/// The end of a part that drains: the one where the ground is lower, or the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrainedEnd {
    /// As the part is drawn.
    Lower,
    /// The other way round.
    Upper,
}

/// Whether a way serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum OutletVerdict {
    /// Water runs there by itself.
    #[serde(rename = "gravity")]
    Gravity,
    /// Water runs there by itself, and must be lifted or kept.
    #[serde(rename = "pump")]
    Pump,
    /// Only in a trench deeper than allowed.
    #[serde(rename = "too deep")]
    TooDeep,
    /// The outlet lies too high.
    #[serde(rename = "does not reach")]
    DoesNotReach,
}

/// The pipe along a way.
#[derive(Debug, Clone, PartialEq)]
pub enum LaidWay {
    /// It keeps every limit.
    Fits(Profile),
    /// None does.
    DoesNotFit(Infeasible),
    /// Ground along the way isn't known.
    GroundUnknown,
}

/// A way of one part to one outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct OutletWay {
    /// Place of the outlet in the list.
    pub outlet: usize,
    /// Which end drains.
    pub end: DrainedEnd,
    /// What the outlet is.
    pub kind: OutletKind,
    /// The part and the lead, down the water's way, in the working coordinate system.
    pub path: LineString,
    /// The lead alone, with its bends: from the part's end to the outlet.
    pub lead: LineString,
    /// Whether buildings shut every way for a lead; it then runs straight.
    pub is_shut: bool,
    /// Length of both.
    pub length: Length,
    /// Length of the lead.
    pub lead_length: Length,
    /// From the highest invert that the cover allows at the head down to the outlet, m; below 0 where the outlet is higher.
    pub drop_available_m: Option<f64>,
    /// Fall of the whole way at the least grade, m.
    pub drop_needed_m: f64,
    /// Places along part and lead at which the ground was looked at.
    pub stations: Vec<Station>,
    /// The pipe.
    pub bore: Bore,
    /// Whether that is larger than its flow asks for, so that standing water doesn't drive it out of the
    /// line.
    pub is_enlarged: bool,
    /// What its course was held against.
    pub limits: ProfileLimits,
    /// The pipe's course.
    pub laid: LaidWay,
}

impl OutletWay {
    /// Where along it a place lies nearest, m; nothing without a station.
    #[must_use]
    pub fn station_nearest(&self, at: Coord) -> Option<f64> {
        Some(self.stations[self.place_nearest(at)?].station_m)
    }

    /// The place of a station of it; nothing without stations around.
    #[must_use]
    pub fn place_at(&self, station_m: f64) -> Option<Coord> {
        let after = self.stations.partition_point(|at| at.station_m < station_m - SAME_M);
        let to = self.stations.get(after)?;
        let from = &self.stations[after.saturating_sub(1)];
        let run_m = to.station_m - from.station_m;
        let share = if run_m > 0.0 { (station_m - from.station_m) / run_m } else { 0.0 };
        Some(from.point + (to.point - from.point) * share)
    }

    /// The station nearest to a place, by its place in the list.
    #[must_use]
    pub fn place_nearest(&self, at: Coord) -> Option<usize> {
        let away = |&place: &usize| {
            let there = self.stations[place].point;
            (there.x - at.x).hypot(there.y - at.y)
        };
        (0..self.stations.len()).min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    /// Whether it serves; nothing where the ground isn't known.
    #[must_use]
    pub fn verdict(&self) -> Option<OutletVerdict> {
        match &self.laid {
            LaidWay::Fits(_) if self.kind == OutletKind::Chamber => Some(OutletVerdict::Pump),
            LaidWay::Fits(_) => Some(OutletVerdict::Gravity),
            LaidWay::DoesNotFit(refused)
                if matches!(refused.lower, Lower::Depth { .. }) && refused.fits_deeper() =>
            {
                Some(OutletVerdict::TooDeep)
            }
            LaidWay::DoesNotFit(_) => Some(OutletVerdict::DoesNotReach),
            LaidWay::GroundUnknown => None,
        }
    }

    /// Length of pipe before its end over which its invert lies less deep than asked, m; straight between
    /// stations, and 0 where it lies deep enough to its end.
    #[must_use]
    pub fn shallower_m(&self, depth_m: f64) -> Option<f64> {
        let stations = self.profile()?.stations();
        let spare = |place: usize| stations[place].ground_m - stations[place].invert_m - depth_m;
        let end_m = stations[stations.len() - 1].station_m;
        let Some(place) = (0..stations.len()).rfind(|&place| spare(place) >= -SAME_M) else {
            return Some(end_m - stations[0].station_m);
        };
        let Some(next) = stations.get(place + 1) else { return Some(0.0) };
        let (above, below) = (spare(place).max(0.0), spare(place + 1));
        let deep_m = (next.station_m - stations[place].station_m) * above / (above - below);
        Some(end_m - stations[place].station_m - deep_m)
    }

    /// Length before its mouth in the open over which it has less ground over it than asked, m; nothing where
    /// it doesn't end in the open, or no pipe fits.
    #[must_use]
    pub fn cover_gives_way_m(&self) -> Option<f64> {
        self.shallower_m(self.limits.least_depth_m()).filter(|_| self.kind.is_open())
    }

    /// Length before its mouth over which it has less ground over it than asked, and over which its top
    /// stands out of the ground, m, where that is more than is usual; nothing where it isn't, or no pipe
    /// fits.
    #[must_use]
    pub fn runs_out_m(&self) -> Option<[f64; 2]> {
        let is_long = self.limits.run_out_m() > OPEN_M;
        let bare_m = self.shallower_m(self.bore.above_invert().as_m())?;
        is_long.then_some([self.shallower_m(self.limits.least_depth_m())?, bare_m])
    }

    /// Length of a lead that comes out in the open where the ground falls on as it does before its end, m;
    /// nothing where a pipe comes out, or would nowhere.
    ///
    /// # Method
    /// What is missing is gained at the fall of the ground over the last [`OPEN_M`] of the lead less the
    /// least grade; on ground so gentle that the pipe would lie in too long a bank, it isn't.
    #[must_use]
    pub fn longer_lead_m(&self) -> Option<f64> {
        let LaidWay::DoesNotFit(Infeasible { shortfall_m, lower: Lower::Outlet, .. }) = &self.laid else {
            return None;
        };
        let last = self.stations.last()?;
        let before = self.stations.iter().rfind(|at| at.station_m <= last.station_m - OPEN_M)?;
        let run_m = last.station_m - before.station_m;
        let gains = (before.ground_m? - last.ground_m?) / run_m - self.limits.grades()[0];
        let is_on_ground = self.kind == OutletKind::Daylight && self.lead_length.as_m() >= run_m;
        let comes_out = self.limits.least_depth_m() <= gains * self.limits.longest_run_out_m(f64::INFINITY);
        (is_on_ground && gains > 0.0 && comes_out).then(|| self.lead_length.as_m() + shortfall_m / gains)
    }

    /// The pipe, where one fits.
    #[must_use]
    pub const fn profile(&self) -> Option<&Profile> {
        match &self.laid {
            LaidWay::Fits(profile) => Some(profile),
            LaidWay::DoesNotFit(_) | LaidWay::GroundUnknown => None,
        }
    }
}

/// What pipes to outlets must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutletLimits {
    /// Ground over the pipe, at the least.
    pub min_cover: Length,
    /// Depth of the trench, at the most.
    pub max_depth: Length,
    /// Least grade.
    pub min_grade: Grade,
    /// Distance of the places at which the ground is looked at.
    pub step: Length,
    /// True length of the working system's unit.
    pub metres_per_unit: f64,
    /// Level that the pipe's upper end lies no higher than, m: another pipe comes in there.
    pub head_m: Option<f64>,
    /// Level that the pipe lies no higher than at a place: it passes below another, or takes it in there.
    pub under: Option<Under>,
}
