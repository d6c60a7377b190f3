//! The base scene, whose answer is known on paper.
//!
//! An 80 by 80 unit plane in UTM zone 17 north that falls exactly south at 2 %, with two lots 40 wide, one above the
//! other: N (20 deep, uphill) and S (30 deep, the subject). Water falls straight down the columns, so S receives what
//! lies above its north edge up to the raster's top, and nothing else.

use super::answer::{Answer, Who, close};
use super::bench::Bench;
use super::lots::{Lots, WGS84};
use super::raster::Raster;

/// The base scene's coordinate system.
pub(crate) const UTM: &str = "EPSG:26917";
/// The same, as a number.
pub(crate) const UTM_CODE: u32 = 26917;
/// West edge of the raster.
pub(crate) const WEST: f64 = 500_000.0;
/// North edge of the raster.
pub(crate) const NORTH: f64 = 4_830_000.0;
/// Rows and columns of the raster.
pub(crate) const SIDE: usize = 80;
/// Fall of the ground from one row to the next (metres).
pub(crate) const FALL: f64 = 0.02;

/// Point scale of UTM where the scene lies.
///
/// On the central meridian it is 0.9996 by definition (EPSG method 9807, parameter 8805); 40 m beside it the factor
/// `1 + x^2 / (2 R^2)` adds 2e-11.
pub(crate) const SCALE: f64 = 0.9996;

/// Room for the rounding of single-precision elevations and of coordinates: 0.1 %.
pub(crate) const CLOSE: f64 = 1e-3;

/// True square metres of an area in square units of the scene's coordinate system.
pub(crate) fn ground_m2(square_units: f64) -> f64 {
    square_units / (SCALE * SCALE)
}

/// True metres of a length in units of the scene's coordinate system.
pub(crate) fn ground_m(units: f64) -> f64 {
    units / SCALE
}

/// `row` as a number to compute with.
pub(crate) fn number(index: usize) -> f64 {
    f64::from(u32::try_from(index).expect("scenes are small"))
}

/// The plane that falls south at 2 %.
pub(crate) fn plane() -> Raster {
    Raster::of(SIDE, SIDE, |row, _| 100.0 - number(row) * FALL)
}

/// The plane with a ridge between rows 9 and 10: water above it runs north, so every catchment is closed at 10 units
/// below the raster's top.
pub(crate) fn ridge() -> Raster {
    Raster::of(SIDE, SIDE, |row, _| 100.0 - (number(row) + 0.5 - 10.0).abs() * FALL)
}

/// Run-on of S in the scene with the ridge: 30 units of ground above the north edge, of which N has 20.
pub(crate) fn ridge_numbers(answer: &Answer, room: f64) {
    expect(answer, &[(Who::Lot("N"), ground_m2(800.0)), (Who::Unparcelled, ground_m2(400.0))], room);
}

/// Run-on of S in the base scene: 40 by 40 units above the north edge, of which N has 40 by 20.
pub(crate) fn base_numbers(answer: &Answer) {
    expect(answer, &[(Who::Lot("N"), ground_m2(800.0)), (Who::Unparcelled, ground_m2(800.0))], CLOSE);
}

/// Holds the contributors against exactly this list (a missing one is an area of 0) and the total against their sum.
pub(crate) fn expect(answer: &Answer, areas: &[(Who<'_>, f64)], room: f64) {
    for (who, area_m2) in areas {
        close(&format!("contributors[{who:?}].area_m2"), answer.area_of(*who), *area_m2, room);
    }
    let total: f64 = areas.iter().map(|(_, area_m2)| area_m2).sum();
    close("run_on.area_m2", answer.number("run_on.area_m2"), total, room);
    let listed: Vec<Option<&str>> = areas.iter().map(|(who, _)| who.id()).collect();
    for contributor in answer.list("contributors") {
        let id = contributor["id"].as_str();
        assert!(listed.contains(&id), "contributors: {id:?} must not be there: {contributor}");
    }
}

/// A folder with `base.tif` and `base.geojson`.
pub(crate) fn base_bench() -> Bench {
    let bench = Bench::new();
    plane().write(&bench.path("base.tif"));
    bench.write_json("base.geojson", &Lots::base().geojson(WGS84));
    bench
}

/// A folder with `base.tif` that holds `raster` and with the lots of the base scene.
pub(crate) fn bench_with(raster: &Raster) -> Bench {
    let bench = Bench::new();
    raster.write(&bench.path("base.tif"));
    bench.write_json("base.geojson", &Lots::base().geojson(WGS84));
    bench
}

/// A folder with the plane and with `lots` as `base.geojson`.
pub(crate) fn bench_with_lots(lots: &Lots) -> Bench {
    let bench = Bench::new();
    plane().write(&bench.path("base.tif"));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

/// The answer for S from `base.tif` and `base.geojson` without options.
pub(crate) fn answer_for_s(bench: &Bench) -> Answer {
    bench.assess("base.tif", "base.geojson").lot("S").run().usable()
}
