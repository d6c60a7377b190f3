//! A part whose drain is designed, and what that is designed from.

use super::super::catalogue::Catalogue;
use super::super::materials::{Fabric, Finish, Top};
use super::super::outlet::OutletWay;
use super::super::profile::Profile;
use super::super::quantities::End;
use super::super::swale::SwaleRules;
use super::growth::Growth;
use crate::units::{Flow, Grade, Length};

/// Stations nearer than this are one, m.
pub(super) const SAME_M: f64 = 1e-9;

/// What a drain is designed from, beside its part.
#[derive(Debug, Clone, Copy)]
pub struct DrainBasis<'a> {
    /// Pipes to choose from.
    pub catalogue: &'a Catalogue,
    /// Layers over the stone.
    pub finish: &'a Finish,
    /// Surface of the lead's trench.
    pub lead_finish: &'a Finish,
    /// What the finish takes in.
    pub top: &'a Top,
    /// What bare stone takes in.
    pub bare_stone: &'a Top,
    /// Fabric around the stone.
    pub fabric: &'a Fabric,
    /// What a swale must keep to.
    pub swale: SwaleRules,
    /// Least grade that was asked for.
    pub min_grade: Grade,
}

/// A part whose drain is designed.
#[derive(Debug, Clone, Copy)]
pub struct DrainPart<'a> {
    /// Its flow in the storm.
    pub flow: Flow,
    /// How its water grows, down the way.
    pub growth: &'a Growth,
    /// The way to its outlet.
    pub way: &'a OutletWay,
    /// The pipe there.
    pub profile: &'a Profile,
    /// Pipes of other parts that come in.
    pub joined: &'a [Joined],
    /// What its lower end meets.
    pub end: &'a End,
    /// No pipe of it is smaller inside, so that standing water at the outlet doesn't drive water out of it.
    pub least_inside: Length,
}

/// The pipe of another part that comes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joined {
    /// Where, m down the way.
    pub station_m: f64,
    /// What it brings.
    pub flow: Flow,
    /// What it is called by, so that no pipe further down is called smaller; 0 where it isn't chosen yet.
    pub size: Length,
}

/// Stone that ends before the part does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StoneEnd {
    /// Where it ends, down the way.
    pub at: Length,
    /// Where the part does.
    pub part: Length,
    /// Share of the part's water that comes beyond it.
    pub beyond_share: f64,
}

impl DrainPart<'_> {
    /// Length of the part, without the lead.
    pub(super) fn line_m(&self) -> f64 {
        self.way.length.as_m() - self.way.lead_length.as_m()
    }

    /// Where stone and holes end: with the part, but before a mouth in the open no later than where the ground still covers
    /// so much above the invert.
    pub(super) fn stone_ends_m(&self, above_invert: Length) -> f64 {
        if *self.end != End::Daylight {
            return self.line_m();
        }
        let least_m = above_invert.as_m();
        let spare: Vec<(f64, f64)> = self
            .profile
            .stations()
            .iter()
            .map(|at| (at.station_m, at.ground_m - at.invert_m - least_m))
            .collect();
        self.line_m().min(last_spare(&spare).unwrap_or(0.0))
    }

    /// Stone that ends at a station, where that is before the part's end.
    pub(super) fn stone_end(&self, ends_m: f64) -> Option<StoneEnd> {
        (ends_m < self.line_m() - SAME_M).then(|| StoneEnd {
            at: Length::from_m(ends_m),
            part: Length::from_m(self.line_m()),
            beyond_share: 1.0 - self.growth.share_at(ends_m),
        })
    }

    /// What other parts' pipes have brought down to a place.
    pub(super) fn joined_flow(&self, down_to_m: f64) -> Flow {
        brought(self.joined, down_to_m)
    }
}

/// Size of the largest pipe that has come in down to a place.
pub(super) fn largest_in(joined: &[Joined], down_to_m: f64) -> Length {
    let sizes = joined.iter().filter(|join| join.station_m <= down_to_m).map(|join| join.size);
    sizes.fold(Length::ZERO, |a, b| if b > a { b } else { a })
}

/// The last place down to which something is to spare, straight between places; nothing where nowhere is.
pub(super) fn last_spare(places: &[(f64, f64)]) -> Option<f64> {
    let place = places.iter().rposition(|(_, spare)| *spare >= 0.0)?;
    let (a, b) = (places[place], places.get(place + 1));
    Some(b.map_or(a.0, |b| a.0 + (b.0 - a.0) * a.1 / (a.1 - b.1)))
}

/// What pipes that come in have brought down to a place.
pub(super) fn brought(joined: &[Joined], down_to_m: f64) -> Flow {
    joined.iter().filter(|join| join.station_m <= down_to_m).map(|join| join.flow).sum()
}
