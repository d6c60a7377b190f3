//! From stored numbers to metres and holes.

use super::describe::Tile;
use crate::grid::Cell;
use gdal::raster::GdalDataType;

/// Numbers that survey software writes for "nothing here"; no ground lies there.
const SENTINELS: [f64; 5] = [-9999.0, -32767.0, -32768.0, -99_999.0, -999_999.0];
/// The same above the ground, where they stand for more than any ground's height: limits of whole numbers, rows of nines.
const HIGH_SENTINELS: [f64; 5] = [9999.0, 32767.0, 65535.0, 99_999.0, 999_999.0];
/// No ground is higher: 8,849 m.
pub(crate) const HIGHEST_M: f64 = 9000.0;
/// Beyond this a number is a limit of its type, not an elevation.
const BEYOND: f64 = 1e30;
/// No ground lies deeper: the deepest known sea floor is at -10,935 m, dry land at -430 m.
const DEEPEST_M: f64 = -9000.0;

/// What a stored number turns out to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Reading {
    /// An elevation in metres.
    Height(f64),
    /// The declared nodata value, or NaN or infinity.
    Missing,
    /// Undeclared, but no elevation either.
    Suspect,
}

/// What came out of the cells of one or more reads.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Tally {
    /// Cells with an elevation.
    pub(crate) valid: usize,
    /// Cells declared missing, masked, not a number or infinite.
    pub(crate) missing: usize,
    /// Cells that look like an undeclared nodata value.
    pub(crate) suspect: usize,
    /// The first of these, in the working grid, and the stored number.
    pub(crate) first_suspect: Option<(Cell, f64)>,
    /// Elevations whose stored number isn't whole.
    pub(crate) fractional: usize,
}

/// The rules of one raster.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cleaner {
    nodata: Option<f64>,
    scale: f64,
    offset: f64,
    metres: f64,
    /// Whether 0 stands for "nothing here", as the cells around it show.
    zero_is_gap: bool,
}

impl Cleaner {
    pub(crate) fn new(tile: &Tile, metres_per_unit: f64) -> Self {
        Self {
            nodata: tile.nodata.map(|v| in_band_type(v, tile.band_type)),
            scale: tile.scale,
            offset: tile.offset,
            metres: metres_per_unit,
            zero_is_gap: false,
        }
    }

    /// From here on 0 is no elevation.
    pub(crate) const fn take_zero_for_gap(&mut self) {
        self.zero_is_gap = true;
    }

    /// Reads one stored number.
    pub(crate) fn read(&self, stored: f64) -> Reading {
        if !stored.is_finite() || self.nodata.is_some_and(|nodata| same(stored, nodata)) {
            return Reading::Missing;
        }
        let height_m = (stored * self.scale + self.offset) * self.metres;
        let one_of = |all: &[f64]| all.iter().any(|s| (stored - s).abs() < f64::EPSILON);
        let sentinel = one_of(&SENTINELS) || (height_m > HIGHEST_M && one_of(&HIGH_SENTINELS));
        let zero = self.zero_is_gap && stored == 0.0;
        if sentinel || zero || stored.abs() > BEYOND || height_m < DEEPEST_M {
            return Reading::Suspect;
        }
        Reading::Height(height_m)
    }
}

/// The declared value as the band can hold it: text like `-3.4e38` names a number that 32 bits round.
#[expect(clippy::cast_possible_truncation, reason = "the rounding to 32 bits is what is wanted")]
fn in_band_type(value: f64, band_type: GdalDataType) -> f64 {
    match band_type {
        GdalDataType::Float32 => f64::from(value as f32),
        _ => value,
    }
}

/// Equal, or equal but for the last digits of a large number that went through text.
fn same(stored: f64, nodata: f64) -> bool {
    let tolerance = if nodata.abs() >= -DEEPEST_M { nodata.abs() * 1e-6 } else { 0.0 };
    (stored - nodata).abs() <= tolerance
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cleaner(nodata: Option<f64>, band_type: GdalDataType) -> Cleaner {
        let nodata = nodata.map(|v| in_band_type(v, band_type));
        Cleaner { nodata, scale: 1.0, offset: 0.0, metres: 1.0, zero_is_gap: false }
    }

    #[test]
    fn nodata_text_rounds_to_the_band() {
        let stored = f64::from(-3.4e38_f32);
        assert_eq!(cleaner(Some(-3.4e38), GdalDataType::Float32).read(stored), Reading::Missing);
        // Text of the 32-bit limit with one digit rounded, as some mosaics carry it.
        assert_eq!(
            cleaner(Some(-3.402_823_4e38), GdalDataType::Float32).read(f64::from(f32::MIN)),
            Reading::Missing
        );
    }

    #[test]
    fn what_is_no_number_is_a_hole_whatever_is_declared() {
        for stored in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(cleaner(Some(-9999.0), GdalDataType::Float64).read(stored), Reading::Missing);
        }
    }

    #[test]
    fn undeclared_sentinels_are_suspect_and_ground_is_not() {
        let plain = cleaner(None, GdalDataType::Float32);
        for stored in [-9999.0, -32767.0, -32768.0, f64::from(f32::MIN), f64::from(f32::MAX)] {
            assert_eq!(plain.read(stored), Reading::Suspect, "{stored}");
        }
        // Shores of the Dead Sea, from memory about -430 m.
        assert_eq!(plain.read(-430.5), Reading::Height(-430.5));
        assert_eq!(cleaner(Some(0.0), GdalDataType::Float32).read(0.001), Reading::Height(0.001));
    }

    #[test]
    fn limits_of_whole_numbers_are_suspect_only_above_all_ground() {
        let metres = cleaner(None, GdalDataType::Int16);
        assert_eq!(metres.read(32767.0), Reading::Suspect);
        assert_eq!(metres.read(9999.0), Reading::Suspect);
        // 9,999 feet are 3,048 m, 32,767 cm are 328 m: ground.
        let feet = Cleaner { metres: 0.3048, ..metres };
        assert!(matches!(feet.read(9999.0), Reading::Height(_)));
        let centimetres = Cleaner { metres: 0.01, ..metres };
        assert!(matches!(centimetres.read(32767.0), Reading::Height(_)));
    }

    #[test]
    fn scale_offset_and_unit_apply_in_this_order() {
        let feet =
            Cleaner { nodata: Some(255.0), scale: 0.5, offset: 10.0, metres: 0.3048, zero_is_gap: false };
        assert_eq!(feet.read(255.0), Reading::Missing);
        let Reading::Height(height) = feet.read(4.0) else { panic!() };
        assert!((height - 12.0 * 0.3048).abs() < 1e-12);
    }
}
