//! The peak once more, by the graphical method: a second opinion where the rain of a day is known.

use crate::formula::curve_number::initial_abstraction;
use crate::formula::curve_number::number_of_runoff;
use crate::formula::graphical_peak::{
    ABSTRACTION_SHARES, RainfallType, least_time, longest_time, peak, pond_factor, unit_peak_csm_in,
};
use crate::units::{Area, CurveNumber, Flow, Length, PondShare, Time, Volume};
use crate::warning::{Warned, Warning};
use serde::Serialize;

/// What the method needs besides the rain of a day and curve numbers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GraphicalBasis {
    /// How the rain of a day is spread over it.
    pub rainfall_type: RainfallType,
    /// Ponds and swamps spread over the catchment.
    pub pond_share: PondShare,
}

/// A peak by the graphical method with all that it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GraphicalPeak {
    /// The peak.
    pub flow: Flow,
    /// Mean runoff of the catchment: that of each kind of ground by its own curve number, weighted by area.
    pub runoff: Length,
    /// The curve number by which the rain has that runoff.
    pub number: CurveNumber,
    /// Initial abstraction by rain; the method takes it as 0.1 at the least and 0.5 at the most.
    pub abstraction_share: f64,
    /// Time of concentration that counts.
    pub time: Time,
    /// Whether that is the method's least time and not the water's.
    pub least_counts: bool,
    /// Peak per square mile and inch of runoff, cubic feet per second.
    pub unit_peak_csm_in: f64,
    /// What the ponds leave of the peak.
    pub pond_factor: f64,
}

impl GraphicalPeak {
    fn beyond_range(&self, place: &str) -> Option<Warning> {
        let [least, most] = ABSTRACTION_SHARES;
        let (nearest, help) = if self.abstraction_share < least {
            (least, "expect more at the peak than it says; compare the rational method")
        } else if self.abstraction_share > most {
            (most, "little of the rain runs off, so its peak is uncertain; compare the rational method")
        } else {
            return None;
        };
        Some(Warning::new(
            "abstraction-beyond-range",
            format!(
                "the graphical method{place} has an initial abstraction of {:.3} of the rain and takes {nearest}, the nearest \
                 for which it has figures",
                self.abstraction_share
            ),
            help,
        ))
    }
}

/// Ground that the method is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Catchment {
    /// How much of it.
    pub area: Area,
    /// Runoff in the whole storm; nothing without curve numbers.
    pub volume: Option<Volume>,
    /// Time of concentration.
    pub time: Time,
}

/// The peak; nothing, with a warning that says why, where the method can't be used. `place` follows on "the graphical method".
///
/// # Method
/// Runoff is weighted by cover, curve numbers are not. The number that stands for the catchment is the one that gives its
/// weighted runoff. A time of concentration below the method's least counts as that.
///
/// # Source
/// TR-55 (1986), chapter 4; runoff weighted as in NEH Part 630, chapter 10, example 10-5; the number that stands for it: ours.
#[must_use]
pub fn graphical_peak(
    basis: GraphicalBasis,
    rain: Option<Length>,
    catchment: Catchment,
    place: &str,
) -> Warned<Option<GraphicalPeak>> {
    match try_peak(basis, rain, catchment) {
        Ok(found) => Warned::new(Some(found), found.beyond_range(place).into_iter().collect()),
        Err(reason) => Warned::new(
            None,
            vec![Warning::new(
                "graphical-peak-not-given",
                format!("no peak by the graphical method{place}: {reason}"),
                "give what is missing, or leave out --rainfall-type",
            )],
        ),
    }
}

fn try_peak(
    basis: GraphicalBasis,
    rain: Option<Length>,
    Catchment { area, volume, time }: Catchment,
) -> Result<GraphicalPeak, String> {
    let rain = rain.ok_or("the rain of 24 hours isn't known")?;
    let volume = volume.ok_or("some of the ground has no curve number")?;
    let runoff = volume / area;
    let number = number_of_runoff(rain, runoff).map_err(|e| e.to_string())?;
    let least_counts = time < least_time();
    let time = if least_counts { least_time() } else { time };
    if time > longest_time() {
        return Err(format!("the time of concentration of {:.1} h is above 10 h", time.as_h()));
    }
    let flow = peak(basis.rainfall_type, rain, number, area, time, basis.pond_share)
        .map_err(|cause| cause.to_string())?;
    let abstraction_share = initial_abstraction(number) / rain;
    Ok(GraphicalPeak {
        flow,
        runoff,
        number,
        abstraction_share,
        time,
        least_counts,
        unit_peak_csm_in: unit_peak_csm_in(basis.rainfall_type, abstraction_share, time),
        pond_factor: pond_factor(basis.pond_share),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn basis(rainfall_type: RainfallType) -> GraphicalBasis {
        GraphicalBasis { rainfall_type, pond_share: PondShare::NONE }
    }

    // TR-55, example 4-1: 250 acres, 3.28 in of 6.0 in run off (curve number 75), 1.53 h, type II: 345 cfs.
    #[test]
    fn a_catchment_of_one_cover_has_the_printed_peak() {
        let area = Area::from_acres(250.0);
        let catchment =
            Catchment { area, volume: Some(Length::from_in(3.28) * area), time: Time::from_h(1.53) };
        let found = try_peak(basis(RainfallType::Ii), Some(Length::from_in(6.0)), catchment).unwrap();
        assert_relative_eq!(found.number.get(), 75.0, epsilon = 0.05);
        assert_relative_eq!(found.abstraction_share, 0.11, epsilon = 0.005);
        assert_relative_eq!(found.flow.as_ft3_per_s(), 345.0, max_relative = 0.01);
        assert!(!found.least_counts);
    }

    #[test]
    fn shares_of_abstraction_beyond_the_books_are_said() {
        let catchment = |rain_in: f64, runoff_in: f64| {
            let area = Area::from_acres(1.0);
            let water =
                Catchment { area, volume: Some(Length::from_in(runoff_in) * area), time: Time::from_h(0.5) };
            let found =
                graphical_peak(basis(RainfallType::Ii), Some(Length::from_in(rain_in)), water, " of a lot");
            assert!(found.value.is_some());
            found.warnings
        };
        // Table 2-1 of the book: of 4 in, CN 98 gives 3.77 in (Ia/P 0.041/4 = 0.01), CN 80 2.04 in (0.5/4 = 0.125).
        let paved = catchment(4.0, 3.77);
        assert_eq!(paved.len(), 1);
        assert_eq!(paved[0].code, "abstraction-beyond-range");
        assert!(paved[0].message.contains("of a lot") && paved[0].message.contains("takes 0.1,"));
        assert_eq!(catchment(4.0, 2.04), []);
        // Of 2 in, CN 60 gives 0.06 in: 1.333/2 = 0.67.
        assert!(catchment(2.0, 0.06)[0].message.contains("takes 0.5,"));
    }

    // At 0.1 h the unit peak of type II is 10^(2.55323 + 0.61512 - 0.16403) = 1010 csm/in (table F-1).
    #[test]
    fn a_quick_lot_has_the_least_time() {
        let area = Area::from_acres(1.0);
        let catchment =
            Catchment { area, volume: Some(Length::from_in(4.0) * area), time: Time::from_min(5.0) };
        let found = try_peak(basis(RainfallType::Ii), Some(Length::from_in(4.2)), catchment).unwrap();
        assert!(found.least_counts);
        assert_relative_eq!(found.time.as_min(), 6.0);
        assert_relative_eq!(found.unit_peak_csm_in, 1010.0, max_relative = 1e-3);
        assert_relative_eq!(found.flow.as_ft3_per_s(), 1010.0 * 4.0 / 640.0, max_relative = 1e-3);
    }

    #[test]
    fn what_is_missing_or_out_of_range_is_named() {
        let area = Area::from_acres(1.0);
        let rain = Some(Length::from_in(4.0));
        let with = |inches: f64, hours: f64| Catchment {
            area,
            volume: Some(Length::from_in(inches) * area),
            time: Time::from_h(hours),
        };
        let reason = |rain: Option<Length>, catchment: Catchment| {
            let found = graphical_peak(basis(RainfallType::Ia), rain, catchment, " of the whole run-on");
            assert_eq!(found.value, None);
            found.warnings[0].message.clone()
        };
        assert!(reason(None, with(2.0, 1.0)).contains("rain of 24 hours"));
        assert!(reason(rain, Catchment { volume: None, ..with(2.0, 1.0) }).contains("no curve number"));
        assert!(reason(rain, with(2.0, 11.0)).contains("above 10 h"));
        // 4.0 in on curve number 40 run off 0.06 in (table 2-1).
        assert!(reason(rain, with(0.01, 1.0)).contains("curve number"));
    }
}
