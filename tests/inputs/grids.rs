//! Rasters that are stored in other ways, cover too little, or have holes.

use crate::common::answer::{Who, close, within};
use crate::common::raster::{Band, Raster};
use crate::common::scene::{
    CLOSE, FALL, NORTH, SIDE, WEST, answer_for_s, base_numbers, bench_with, expect, ground_m, ground_m2,
    number, plane, ridge,
};

#[test]
fn rows_stored_from_south_to_north_give_the_base_numbers() {
    let upside_down = Raster::of(SIDE, SIDE, |row, _| 100.0 - number(SIDE - 1 - row) * FALL).transformed([
        WEST,
        1.0,
        0.0,
        NORTH - 80.0,
        0.0,
        1.0,
    ]);
    base_numbers(&answer_for_s(&bench_with(&upside_down)));
}

#[test]
fn a_rotated_raster_is_brought_to_north_up_and_says_so() {
    // The ridge scene's ground, stored on a grid that is turned by 30 degrees about the scene's centre and large
    // enough to cover it (80 units turned by 30 degrees are 109 across).
    let (sine, cosine) = (0.5, 3.0_f64.sqrt() / 2.0);
    let (half, x0, y0) = (60.0, WEST + 40.0, NORTH - 40.0);
    let (west, north) = (x0 - half * cosine - half * sine, y0 - half * sine + half * cosine);
    let raster = Raster::of(120, 120, |row, col| {
        let y = north + sine * (number(col) + 0.5) - cosine * (number(row) + 0.5);
        100.0 - (NORTH - 10.0 - y).abs() * FALL
    });
    let bench = bench_with(&raster.transformed([west, cosine, sine, north, sine, -cosine]));
    let answer = answer_for_s(&bench);
    answer.must_warn("elevation-warped", &["30"]);
    // The ridge may move by half a cell when the grid is changed: 0.5 of 30 m.
    close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1200.0), 0.02);
    close("area of N", answer.area_of(Who::Lot("N")), ground_m2(800.0), 0.005);
}

#[test]
fn cells_twice_as_high_as_wide_give_the_base_numbers() {
    let raster =
        Raster::of(40, 80, |row, _| 100.0 - (number(row) * 2.0 + 0.5) * FALL).at(WEST, NORTH, 1.0, 2.0);
    base_numbers(&answer_for_s(&bench_with(&raster)));
}

#[test]
fn cells_twice_as_wide_as_high_give_the_base_numbers() {
    let raster = Raster::of(80, 40, |row, _| 100.0 - number(row) * FALL).at(WEST, NORTH, 2.0, 1.0);
    base_numbers(&answer_for_s(&bench_with(&raster)));
}

#[test]
fn cells_of_five_metres_give_the_base_numbers() {
    // The lots' edges are multiples of 5 units, so they lie on the lines of this grid too.
    let raster =
        Raster::of(16, 16, |row, _| 100.0 - (number(row) * 5.0 + 2.0) * FALL).at(WEST, NORTH, 5.0, 5.0);
    base_numbers(&answer_for_s(&bench_with(&raster)));
}

#[test]
fn half_a_lot_without_elevations_is_a_warning_with_the_percentage() {
    // 55 rows: 15 of the lot's 30 are covered. What lies above the lot is all there.
    let half = Raster::of(55, SIDE, |row, _| 100.0 - number(row) * FALL);
    let answer = answer_for_s(&bench_with(&half));
    answer.must_warn("lot-partly-covered", &["50", "%"]);
    base_numbers(&answer);
}

#[test]
fn a_raster_elsewhere_is_refused_with_the_distance() {
    let bench = bench_with(&plane().at(520_000.0, NORTH, 1.0, 1.0));
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").run();
    outcome.refused(5, &["base.tif", "base.geojson", "km"]);
    // From the lots' east edge to the raster's west edge: 19,940 units.
    let distance = ground_m(520_000.0 - 500_060.0) / 1000.0;
    let named: Vec<f64> = kilometres(&outcome.stderr);
    assert!(
        named.iter().any(|found| (found - distance).abs() < 0.06),
        "the refusal must name {distance:.1} km; it names {named:?}"
    );
}

/// All numbers of a text that are followed by the word `km`.
fn kilometres(text: &str) -> Vec<f64> {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .windows(2)
        .filter(|pair| pair[1].trim_matches(|letter: char| !letter.is_alphanumeric()) == "km")
        .filter_map(|pair| pair[0].parse().ok())
        .collect()
}

#[test]
fn a_catchment_cut_by_the_raster_is_at_least_what_is_seen() {
    // The top 30 rows are missing: half of N (10 of its 20 rows) is left above S.
    let cut = Raster::of(50, SIDE, |row, _| 100.0 - number(row + 30) * FALL).at(WEST, NORTH - 30.0, 1.0, 1.0);
    let bench = bench_with(&cut);
    let answer = answer_for_s(&bench);
    expect(&answer, &[(Who::Lot("N"), ground_m2(400.0))], CLOSE);
    assert_eq!(answer.text("status"), "incomplete");
    assert_eq!(answer.at("crossings.0.complete"), false);
    close("edge_limited_area_m2", answer.number("run_on.edge_limited_area_m2"), ground_m2(400.0), CLOSE);
    assert!(answer.stderr.to_lowercase().contains("at least"), "people are told too:\n{}", answer.stderr);
    let strict = bench.assess("base.tif", "base.geojson").lot("S").with(&["--strict"]).out("strict").run();
    strict.refused(8, &[]);
}

/// Holes west of everything that drains to S: four by four cells, and one more.
fn west_of_the_lots(row: usize, col: usize, _: f64) -> Option<f64> {
    match (row, col) {
        (5..=8, 5..=8) => Some(f64::NAN),
        (10, 10) => Some(f64::INFINITY),
        _ => None,
    }
}

#[test]
fn not_a_number_is_a_hole_whether_declared_or_not() {
    for nodata in [Some(f64::NAN), Some(-9999.0), None] {
        let answer = answer_for_s(&bench_with(&plane().with(west_of_the_lots).nodata(nodata)));
        base_numbers(&answer);
        assert!(!answer.list("elevation.holes").is_empty(), "the holes are listed (nodata {nodata:?})");
    }
}

#[test]
fn a_small_hole_above_the_lot_is_bridged_on_the_plane() {
    // 16 cells inside N. A surface drawn from the rim of a hole in a plane is the plane.
    let holed =
        plane().with(|row, col, _| ((24..28).contains(&row) && (38..42).contains(&col)).then_some(f64::NAN));
    let answer = answer_for_s(&bench_with(&holed));
    base_numbers(&answer);
    assert!(!answer.list("elevation.holes").is_empty(), "the hole is listed");
}

#[test]
fn a_hole_that_may_not_be_bridged_makes_the_catchment_incomplete() {
    // The ridge scene, complete but for a hole of four by four cells inside N: rows 24 to 27, columns 38 to 41.
    let holed =
        ridge().with(|row, col, _| ((24..28).contains(&row) && (38..42).contains(&col)).then_some(-9999.0));
    let bench = bench_with(&holed);
    let answer =
        bench.assess("base.tif", "base.geojson").lot("S").with(&["--bridge-holes", "0"]).run().usable();
    // Lost are the hole's 16 cells and the water of the 14 cells above each of its columns. Above the outer two
    // columns a cell may also pass it on diagonally, round the hole's corner: then only 2 by 14 are lost.
    let found = answer.number("run_on.area_m2");
    let (least, most) = (ground_m2(1200.0 - 16.0 - 56.0), ground_m2(1200.0 - 16.0 - 28.0));
    assert!(
        (least * (1.0 - CLOSE)..=most * (1.0 + CLOSE)).contains(&found),
        "run_on.area_m2: found {found}, expected {least} to {most}"
    );
    assert_eq!(answer.text("status"), "incomplete");
}

#[test]
fn whole_numbers_with_scale_and_offset_are_elevations() {
    // Centimetres above 90 m as 16-bit whole numbers: 1000 - 2 row is exact.
    let packed = Raster::of(SIDE, SIDE, |row, _| 1000.0 - 2.0 * number(row)).band(Band::Whole);
    let bench = bench_with(&packed.nodata(Some(-32768.0)).packing(0.01, 90.0));
    let answer = answer_for_s(&bench);
    base_numbers(&answer);
    // The highest ground of the lot line is between rows 39 and 40: 100 - 39.5 * 0.02.
    let profile = std::fs::read_to_string(answer.out.join("profile.csv")).expect("profile.csv is written");
    for row in profile.lines().skip(1) {
        let ground: f64 =
            row.split(',').nth(4).and_then(|text| text.parse().ok()).expect("ground_m is a number");
        within("ground_m of profile.csv", ground, 99.2, 0.05);
    }
}
