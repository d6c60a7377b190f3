//! Units of elevations.

use crate::common::answer::within;
use crate::common::raster::{Raster, RasterCrs};
use crate::common::scene::{FALL, SIDE, base_numbers, bench_with, number, plane};

/// Metres to a foot (international, by definition).
const FOOT: f64 = 0.3048;
/// Metres to a survey foot (by definition).
const SURVEY_FOOT: f64 = 1200.0 / 3937.0;

/// The base ground with elevations in another unit.
fn in_units_of(metres: f64) -> Raster {
    Raster::of(SIDE, SIDE, |row, _| (100.0 - number(row) * FALL) / metres)
}

/// The ground along the line is between rows 39 and 41 of the base scene: 99.2 m to within 0.05.
fn must_be_the_base_ground(answer: &crate::common::answer::Answer) {
    base_numbers(answer);
    let profile = std::fs::read_to_string(answer.out.join("profile.csv")).expect("profile.csv is written");
    let mut rows = 0;
    for row in profile.lines().skip(1) {
        let ground: f64 =
            row.split(',').nth(4).and_then(|text| text.parse().ok()).expect("ground_m is a number");
        within("ground_m of profile.csv", ground, 99.2, 0.05);
        rows += 1;
    }
    assert!(rows > 0, "profile.csv has rows");
}

#[test]
fn elevations_in_every_unit_that_can_be_told_are_metres_inside() {
    for (unit, metres) in [("m", 1.0), ("ft", FOOT), ("us-ft", SURVEY_FOOT), ("cm", 0.01)] {
        let bench = bench_with(&in_units_of(metres));
        let told = ["--elevation-unit", unit];
        let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable();
        must_be_the_base_ground(&answer);
        assert!(
            answer.warning("vertical-unit-assumed").is_none(),
            "{unit} was told: {}",
            answer.at("warnings")
        );
    }
}

#[test]
fn the_unit_of_the_band_is_used() {
    for (unit, metres) in [("m", 1.0), ("metre", 1.0), ("ft", FOOT), ("US survey foot", SURVEY_FOOT)] {
        let bench = bench_with(&in_units_of(metres).unit(unit));
        let answer = bench.assess("base.tif", "base.geojson").lot("S").run().usable();
        must_be_the_base_ground(&answer);
        assert!(
            answer.warning("vertical-unit-assumed").is_none(),
            "{unit} is stated: {}",
            answer.at("warnings")
        );
    }
}

#[test]
fn the_unit_of_the_vertical_system_is_used() {
    // NAVD88 height in survey feet (EPSG:6360) and in metres (EPSG:5703) above the base scene's system.
    for (vertical, metres) in [("6360", SURVEY_FOOT), ("5703", 1.0)] {
        let compound = RasterCrs::Text(format!("EPSG:26917+{vertical}"));
        let bench = bench_with(&in_units_of(metres).crs(compound));
        let answer = bench.assess("base.tif", "base.geojson").lot("S").run().usable();
        must_be_the_base_ground(&answer);
    }
}

#[test]
fn metres_without_a_word_are_assumed_and_said_so() {
    let bench = bench_with(&plane());
    let answer = bench.assess("base.tif", "base.geojson").lot("S").run().usable();
    answer.must_warn("vertical-unit-assumed", &["--elevation-unit"]);
    must_be_the_base_ground(&answer);
}
