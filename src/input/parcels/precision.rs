//! Corners that were rounded before they were delivered.

use super::read::RawLot;
use crate::crs::{CrsDefinition, CrsKind};
use crate::warning::Warning;
use geo::CoordsIter;
use std::collections::BTreeSet;
use std::path::Path;

/// Steps (metres) from which on rounding moves a lot line by more than a survey would.
const COARSE_M: f64 = 0.3;
/// Metres in a degree of latitude (mean; International Earth radius 6,371,008.8 m).
const DEGREE_M: f64 = 111_195.0;
/// Different numbers from which on degrees are looked at: nobody designs in degrees.
const FEWEST_DEGREES: usize = 3;
/// The same for maps, where a plan may lie on whole units.
const FEWEST_LENGTHS: usize = 50;

/// Says so where the corners stand on a coarse raster of numbers, by decimals or by the digits of a small number format.
pub(crate) fn coarse_numbers(path: &Path, crs: &CrsDefinition, lots: &[RawLot]) -> Option<Warning> {
    let (unit_m, fewest) = match crs.kind() {
        CrsKind::Geographic => (DEGREE_M, FEWEST_DEGREES),
        CrsKind::Projected(unit) => (unit.metres, FEWEST_LENGTHS),
        CrsKind::Local | CrsKind::Other => return None,
    };
    let numbers: BTreeSet<u64> = lots
        .iter()
        .filter_map(|lot| lot.outline.as_ref())
        .flat_map(|outline| outline.coords_iter().flat_map(|c| [c.x.to_bits(), c.y.to_bits()]))
        .collect();
    if numbers.len() < fewest {
        return None;
    }
    let numbers: Vec<f64> = numbers.into_iter().map(f64::from_bits).collect();
    let is_coarse = |step: &f64| step * unit_m >= COARSE_M;
    let decimals = decimal_step(&numbers).filter(is_coarse).map(|step| (step, "rounded to"));
    let digits =
        || Some((single_step(&numbers).filter(is_coarse)?, "kept in numbers of 32 bits, in steps of"));
    let (step, how) = decimals.or_else(digits)?;
    let step_m = step * unit_m;
    Some(Warning::new(
        "corners-rounded",
        format!(
            "{}: the corners of the lots are {how} {step} map units, {step_m:.1} m on the ground: lot lines may be off by \
             up to {:.1} m",
            path.display(),
            step_m * std::f64::consts::FRAC_1_SQRT_2
        ),
        "ask for the parcels with all decimals (7 in degrees, 2 in metres or feet), or give --parcel-error",
    ))
}

/// The largest power of ten, from 100 down to a millionth, of which all numbers are whole multiples.
fn decimal_step(numbers: &[f64]) -> Option<f64> {
    (-2..=6).find_map(|decimals: i32| {
        let factor = 10_f64.powi(decimals);
        // The nearest number of 64 bits to a decimal is off by a few of its last digits.
        let whole = |v: &f64| (v * factor - (v * factor).round()).abs() <= (v * factor).abs() * 1e-14 + 1e-9;
        numbers.iter().all(whole).then(|| 1.0 / factor)
    })
}

/// The coarsest step of numbers that all fit into 32 bits.
#[expect(clippy::cast_possible_truncation, reason = "whether that loses anything is the question")]
fn single_step(numbers: &[f64]) -> Option<f64> {
    if !numbers.iter().all(|&v| f64::from(v as f32).to_bits() == v.to_bits()) {
        return None;
    }
    let largest = numbers.iter().fold(0.0_f64, |most, v| most.max(v.abs())) as f32;
    Some(f64::from(largest.next_up()) - f64::from(largest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_found_and_full_numbers_have_none() {
        assert_eq!(decimal_step(&[-81.0, -80.9995, 43.6225]), Some(1e-4));
        assert_eq!(decimal_step(&[-80.999_526_123_8, 43.622_512_345_1]), None);
        // Numbers of 32 bits have 24 binary digits: at 4.8 million the last is worth a half.
        let feet = [4_829_960.5_f64, 500_020.125];
        assert_eq!(single_step(&feet), Some(0.5));
        assert_eq!(single_step(&[4_829_960.55]), None);
    }
}
