//! Formulas for the whole way at once.

use super::chain::fall;
use super::{TravelBasis, WayPoint};
use crate::formula::{airport, kerby, kirpich, lag};
use crate::units::{Length, Retardance, Time};
use serde::Serialize;

/// How the time of concentration is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TimeMethod {
    /// Sheet, shallow and channel reaches one after the other.
    #[default]
    Chain,
    /// Kerby over land, Kirpich beyond.
    KerbyKirpich,
    /// The lag method of the curve number.
    Lag,
    /// The formula for airports.
    Airport,
}

impl TimeMethod {
    /// Its name, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Chain => "the chain of reaches",
            Self::KerbyKirpich => "Kerby-Kirpich",
            Self::Lag => "the lag method",
            Self::Airport => "the airports' formula",
        }
    }
}

/// The way's time by each formula that holds for it.
pub(super) fn times(way: &[WayPoint], basis: &TravelBasis) -> Vec<(TimeMethod, Time)> {
    let all = [TimeMethod::KerbyKirpich, TimeMethod::Lag, TimeMethod::Airport];
    all.into_iter().filter_map(|method| Some((method, time_by(method, way, basis)?))).collect()
}

/// The way's time by a formula for the whole of it; nothing for the chain, and where the formula doesn't hold.
pub(super) fn time_by(method: TimeMethod, way: &[WayPoint], basis: &TravelBasis) -> Option<Time> {
    let (first, last) = (way.first()?, way.last()?);
    let length = Length::from_m(last.at_m - first.at_m);
    if length.as_m() <= 0.0 {
        return None;
    }
    let (grade, _) = fall(way, first.at_m, last.at_m);
    match method {
        TimeMethod::Chain => None,
        TimeMethod::KerbyKirpich => Some(kerby_kirpich(way, first.at_m, last.at_m)),
        TimeMethod::Lag => {
            let [least, most] = lag::NUMBERS;
            let number = basis.curve_number.filter(|number| (least..=most).contains(&number.get()))?;
            Some(lag::time_of_concentration(length, number, grade))
        }
        TimeMethod::Airport => Some(airport::travel_time(basis.coefficient?, length, grade)),
    }
}

fn kerby_kirpich(way: &[WayPoint], from_m: f64, to_m: f64) -> Time {
    let land_m = (from_m + kerby::longest().as_m()).min(to_m);
    let retardance = mean_retardance(way, land_m);
    let over_land =
        kerby::travel_time(Length::from_m(land_m - from_m), retardance, fall(way, from_m, land_m).0);
    if land_m >= to_m {
        return over_land;
    }
    over_land + kirpich::travel_time(Length::from_m(to_m - land_m), fall(way, land_m, to_m).0)
}

/// Mean retardance of the way down to a place, by length.
fn mean_retardance(way: &[WayPoint], to_m: f64) -> Retardance {
    let parts = way.windows(2).map(|pair| {
        let length = (pair[1].at_m.min(to_m) - pair[0].at_m).max(0.0);
        (length, pair[0].surface.retardance.get() * length)
    });
    let (length, sum) = parts.fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    // Rounding may take a mean just out of the range of its parts.
    Retardance::new(sum / length).unwrap_or(way[0].surface.retardance)
}
