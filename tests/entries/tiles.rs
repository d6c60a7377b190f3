//! Several files of elevations that do not belong together.

use crate::common::answer::Answer;
use crate::common::bench::{Bench, Run};
use crate::common::raster::{Raster, RasterCrs};
use crate::common::scene::{FALL, NORTH, SIDE, WEST, base_bench, base_numbers, number};

/// Some rows of the plane, raised by `up` metres.
fn part(first: usize, rows: usize, up: f64) -> Raster {
    let plane = Raster::of(rows, SIDE, |row, _| 100.0 - number(first + row) * FALL + up);
    plane.at(WEST, NORTH - number(first), 1.0, 1.0)
}

fn heights_of(vertical: &str) -> RasterCrs {
    RasterCrs::Text(format!("EPSG:26917+{vertical}"))
}

fn both<'a>(bench: &'a Bench, upper: &Raster, lower: &Raster) -> Run<'a> {
    upper.write(&bench.path("upper.tif"));
    lower.write(&bench.path("lower.tif"));
    bench.assess_tiles("upper.tif", "lower.tif").lot("S")
}

fn usable(upper: &Raster, lower: &Raster) -> Answer {
    both(&base_bench(), upper, lower).run().usable()
}

#[test]
fn tiles_counted_from_two_levels_are_refused_with_both() {
    // NAVD88 heights (5703) and EGM2008 heights (3855), both in metres: up to two metres apart in North America.
    let (upper, lower) =
        (part(0, 40, 0.0).crs(heights_of("5703")), part(40, 40, 2.0).crs(heights_of("3855")));
    both(&base_bench(), &upper, &lower).run().refused(3, &["lower.tif", "upper.tif", "NAVD88", "EGM2008"]);
}

#[test]
fn tiles_in_two_units_are_refused_with_both() {
    let (upper, lower) = (part(0, 40, 0.0).unit("m"), part(40, 40, 228.0).unit("ft"));
    both(&base_bench(), &upper, &lower).run().refused(3, &["lower.tif", "foot", "metre"]);
}

#[test]
fn a_tile_that_does_not_say_its_level_is_used_and_said() {
    let answer = usable(&part(0, 40, 0.0).crs(heights_of("5703")), &part(40, 40, 0.0));
    base_numbers(&answer);
    answer.must_warn("tiles-datum-unsaid", &["1 of 2", "NAVD88"]);
}

#[test]
fn tiles_of_two_surveys_that_overlap_are_told_apart() {
    // They share rows 30 to 49.
    let answer = usable(&part(0, 50, 0.0), &part(30, 50, 0.5));
    answer.must_warn("tiles-disagree", &["upper.tif", "lower.tif", "0.50 m", "lower)"]);
}

#[test]
fn tiles_of_one_survey_that_overlap_are_one() {
    let answer = usable(&part(0, 50, 0.0), &part(30, 50, 0.0));
    base_numbers(&answer);
    assert!(answer.warning("tiles-disagree").is_none(), "{}", answer.at("warnings"));
}

#[test]
fn a_tile_off_the_common_grid_is_refused_with_the_shift() {
    let shifted = part(40, 40, 0.0).at(WEST + 0.5, NORTH - 40.0, 1.0, 1.0);
    both(&base_bench(), &part(0, 40, 0.0), &shifted).run().refused(3, &["lower.tif", "0.500 columns"]);
}

#[test]
fn a_tile_with_other_cells_is_refused_with_both_sizes() {
    let coarse = Raster::of(20, 40, |row, _| 99.2 - number(row) * 0.04).at(WEST, NORTH - 40.0, 2.0, 2.0);
    both(&base_bench(), &part(0, 40, 0.0), &coarse).run().refused(3, &["lower.tif", "cells of 2 x 2"]);
}

#[test]
fn a_tile_in_another_system_is_refused_with_both() {
    let other = part(40, 40, 0.0).crs(RasterCrs::Code(26918));
    both(&base_bench(), &part(0, 40, 0.0), &other).run().refused(3, &["EPSG:26918", "EPSG:26917"]);
}

#[test]
fn tiles_with_different_marks_for_nothing_keep_their_own() {
    let hole = |raster: Raster, value: f64| {
        let holed =
            raster.with(|row, col, _| ((5..8).contains(&row) && (5..8).contains(&col)).then_some(value));
        holed.nodata(Some(value))
    };
    base_numbers(&usable(&hole(part(0, 40, 0.0), 555.0), &hole(part(40, 40, 0.0), -1.0)));
}
