//! Where a number lies outside the range that its method is meant for.

use crate::formula::curve_number::{LEAST_NUMBER, least_runoff};
use crate::formula::frequency_factor::YEARS;
use crate::formula::rational::LARGEST_AREA_HA;
use crate::units::{Area, CurveNumber, Length, ReturnPeriod};
use crate::warning::Warning;

/// An area too large for the rational method.
#[must_use]
pub fn area_beyond(area: Area) -> Option<Warning> {
    (area.as_ha() > LARGEST_AREA_HA).then(|| {
        Warning::new(
            "area-beyond-rational-method",
            format!(
                "the contributing area of {:.0} ha ({:.0} ac) is above the {LARGEST_AREA_HA:.0} ha (200 ac) for which the rational method is meant",
                area.as_ha(),
                area.as_acres()
            ),
            "use the flow as a rough figure only; an area of this size needs a method that lets the flood rise and fall",
        )
    })
}

/// Too little runoff for the curve number to be accurate; `whose` follows on "the runoff".
#[must_use]
pub fn little_runoff(runoff: Length, whose: &str) -> Option<Warning> {
    let least = least_runoff();
    (runoff < least).then(|| {
        Warning::new(
            "runoff-below-method",
            format!(
                "the runoff{whose} is {:.2} in ({:.1} mm), and the curve number method is less accurate below {} in ({} mm)",
                runoff.as_in(),
                runoff.as_mm(),
                least.as_in(),
                least.as_mm()
            ),
            "hold the volume against another method (TR-55, chapter 2)",
        )
    })
}

/// Ground that takes in too much for the method; `whose` follows on its curve number.
#[must_use]
pub fn number_below(number: CurveNumber, whose: &str) -> Option<Warning> {
    (number.get() < LEAST_NUMBER).then(|| {
        Warning::new(
            "curve-number-below-method",
            format!(
                "the curve number {:.1}{whose} is below {LEAST_NUMBER}, for which the method is not meant",
                number.get()
            ),
            "use another method on ground that takes in so much (TR-55, chapter 2)",
        )
    })
}

/// A return period beyond the printed factors, for coefficients of the cover table.
#[must_use]
pub fn years_beyond_factors(years: ReturnPeriod) -> Option<Warning> {
    let (t, [first, last]) = (years.get(), YEARS);
    (!(first..=last).contains(&t)).then(|| {
        let nearest = if t < first { first } else { last };
        Warning::new(
            "return-period-beyond-factors",
            format!(
                "the factors that raise runoff coefficients for rare storms are printed for {first} to {last} years: for {t} years that of {nearest} counts"
            ),
            "type a coefficient that holds for this storm",
        )
    })
}
