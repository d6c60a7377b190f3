//! Ground without a known answer, for what must hold on any ground.

use super::bench::Bench;
use super::lots::{Lots, WGS84, lot};
use super::raster::Raster;
use super::scene::number;

/// Rows and columns.
const SIDE: usize = 240;

/// A slope with waves, pits and a few millimetres of scatter; the same on every machine.
pub(crate) fn rough() -> Raster {
    Raster::of(SIDE, SIDE, |row, col| {
        let (y, x) = (number(row), number(col));
        let waves = 0.4 * (x / 17.0).sin() + 0.3 * (y / 11.0 + x / 23.0).sin();
        120.0 - 0.03 * y + 0.008 * x + waves + 0.01 * scatter(row, col)
    })
}

/// A number between 0 and 1 from a cell's place: one round of a multiplicative mixing function.
fn scatter(row: usize, col: usize) -> f64 {
    let cell = u64::try_from(row * SIDE + col).expect("scenes are small");
    let mixed = (cell + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let mixed = (mixed ^ (mixed >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    f64::from(u32::try_from(mixed >> 40).expect("24 bits are left")) / f64::from(1_u32 << 24)
}

/// Twenty lots in four rows of five, a street of 12 units between the second and the third row; the subject is
/// `C3`, in the third row.
pub(crate) fn rough_lots() -> Lots {
    let mut lots = Vec::new();
    for (letter, south) in [("A", 40.0), ("B", 0.0), ("C", -52.0), ("D", -92.0)] {
        for place in 0..5 {
            let west = 20.0 + 40.0 * f64::from(place);
            lots.push(lot(&format!("{letter}{}", place + 1), west, south, west + 40.0, south + 40.0));
        }
    }
    Lots::of(lots)
}

/// A folder with `base.tif` and `base.geojson` of the rough ground.
pub(crate) fn rough_bench() -> Bench {
    let bench = Bench::new();
    rough().write(&bench.path("base.tif"));
    bench.write_json("base.geojson", &rough_lots().geojson(WGS84));
    bench
}
