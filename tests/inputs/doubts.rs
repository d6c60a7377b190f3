//! Reasons to doubt the answer, each with the area that hangs on it.
//!
//! The scene with the ridge: ground falls 2 % south from a crest 10 units below the raster's top, and S receives
//! rows 10 to 39 of its columns 20 to 59, 40 units to a row.

use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{
    CLOSE, FALL, NORTH, WEST, answer_for_s, base_bench, bench_with, ground_m2, number, ridge,
};

const ROW: f64 = 40.0;

fn effect(answer: &Answer, kind: &str) -> Option<f64> {
    let row = answer.list("doubts").iter().find(|row| row["kind"] == kind)?;
    let area_m2 = row["area_m2"].as_f64().expect("a number");
    let share = row["share_of_run_on"].as_f64().expect("a number");
    // More than there is may hang on it: what might be found besides.
    let most = (area_m2 / answer.number("run_on.area_m2")).min(1.0);
    close(&format!("{kind}: share"), share, most, 1e-9);
    assert!(row["message"].as_str().is_some_and(|text| text.contains(" %")), "{row}");
    Some(area_m2)
}

fn must(answer: &Answer, kind: &str, square_units: f64) {
    let found = effect(answer, kind).unwrap_or_else(|| panic!("{kind}: {}", answer.at("doubts")));
    close(kind, found, ground_m2(square_units), CLOSE);
}

fn must_not(answer: &Answer, kind: &str) {
    assert_eq!(effect(answer, kind), None, "{}", answer.at("doubts"));
}

fn answer_on(raster: &Raster) -> Answer {
    answer_for_s(&bench_with(raster))
}

/// A ditch across row 25, past the catchment's columns but not across the raster.
fn ditch(depth_m: f64) -> Raster {
    ridge().with(|row, col, z| (row == 25 && (15..65).contains(&col)).then_some(z - depth_m))
}

/// The grade, and whether it says that elevation error wasn't tested.
fn quality(answer: &Answer) -> (&str, bool) {
    let said = answer.at("data_quality.message").as_str().expect("text");
    assert!(answer.stderr.contains(said) || answer.stdout.contains(said), "the screen says {said}");
    (answer.at("data_quality.grade").as_str().expect("text"), said.contains("--certainty"))
}

#[test]
fn smooth_ground_gives_no_reason() {
    let answer = answer_on(&ridge());
    assert_eq!(answer.list("doubts").len(), 0, "{}", answer.at("doubts"));
    assert_eq!(quality(&answer), ("sound", true));
    assert!(answer.at("data_quality.because").is_null());
    assert!(answer.number("data_quality.doubted_share").abs() < 1e-12);
}

// The plane falls from the raster's top: all of its 40 rows come from there.
#[test]
fn the_edge_of_the_data_is_one() {
    let answer = answer_for_s(&base_bench());
    must(&answer, "beyond-the-edge", 40.0 * ROW);
    assert_eq!(quality(&answer), ("weak", true));
    assert_eq!(answer.at("data_quality.because"), "beyond-the-edge");
}

// The ditch is filled to row 26, 0.02 m below its rim behind: 0.8 - 0.02 m deep. Rows 10 to 25 pass it. Its bottom
// lies 0.8 m below the crest side: ground lower than that comes 41 rows on.
#[test]
fn a_hollow_on_the_way_is_one() {
    let answer = answer_on(&ditch(0.8));
    must(&answer, "hollows", 16.0 * ROW);
    must_not(&answer, "banks");
    must_not(&answer, "seams");
    let message = answer.list("doubts")[0]["message"].to_string();
    assert!(message.contains("78 cm"), "{message}");
    assert_eq!(quality(&answer), ("limited", true));
}

// 0.06 - 0.02 m is less than the usual error of elevations.
#[test]
fn a_shallow_hollow_is_none() {
    must_not(&answer_on(&ditch(0.06)), "hollows");
}

// 0.35 - 0.02 m deep, and lower ground 18 rows on.
#[test]
fn a_hollow_behind_a_bank_is_another() {
    let answer = answer_on(&ditch(0.35));
    must(&answer, "hollows", 16.0 * ROW);
    must(&answer, "banks", 16.0 * ROW);
}

// As deep a hollow with the same lower ground. Its lowest cell is the ditch's first, at row 25 and column 15 (of equally
// low ones the first in row order); lower ground begins 18 rows on, within 20 m at columns 7 to 23. A building over
// rows 30 to 32 and columns 9 to 21 stands on every straight way there (at row 30 these run through columns 12 to 18),
// and beside the catchment: the same water passes the hollow as without it.
#[test]
fn a_building_is_no_bank() {
    let bench = bench_with(&ditch(0.35));
    let beside = Lots::of(vec![lot("beside", 9.0, 47.0, 22.0, 50.0)]);
    bench.write_json("beside.geojson", &beside.geojson(WGS84));
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--buildings", "beside.geojson"]);
    let answer = run.run().usable();
    let hollow = effect(&answer, "hollows").expect("the hollow is as deep as before");
    // Two columns of the catchment begin at the building: what falls on and above them may go around.
    assert!(hollow >= ground_m2(14.0 * ROW), "{hollow}");
    must_not(&answer, "banks");
    // The same building off those ways changes nothing.
    let away = Lots::of(vec![lot("away", 2.0, 30.0, 7.0, 33.0)]);
    bench.write_json("away.geojson", &away.geojson(WGS84));
    let options = ["--buildings", "away.geojson", "--overwrite"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&options).run().usable();
    must(&answer, "banks", 16.0 * ROW);
}

// Rows 20 to 29 lie level; from the last of them the water falls.
#[test]
fn level_ground_on_the_way_is_one() {
    let level = ridge().with(|row, _, z| {
        let rows = row.clamp(20, 29) - 20;
        (row >= 20).then_some(z + number(rows) * FALL)
    });
    must(&answer_on(&level), "flats", 19.0 * ROW);
}

// 6 by 6 units are less than 50 m2.
#[test]
fn a_small_level_place_is_none() {
    let place = ridge().with(|row, col, z| {
        let inside = (20..26).contains(&row) && (30..36).contains(&col);
        inside.then(|| z - number(25 - row) * FALL)
    });
    must_not(&answer_on(&place), "flats");
}

// As level treads, but of 4 mm, less than rounding would be noticed by: level ground it is all the same.
#[test]
fn treads_of_millimetres_are_no_rounding() {
    let stairs = Raster::of(80, 80, |row, _| {
        let rows = if row < 10 { 9 - row } else { row - 10 };
        100.0 - number(rows / 5) * 0.004
    });
    let answer = answer_on(&stairs);
    must_not(&answer, "treads");
    assert!(effect(&answer, "flats").is_some(), "{}", answer.at("doubts"));
}

// Five rows to a tread of 0.1 m: only row 39 falls off its tread straight onto the lot.
#[test]
fn rounded_elevations_are_one() {
    let stairs = Raster::of(80, 80, |row, _| {
        let rows = if row < 10 { 9 - row } else { row - 10 };
        100.0 - number(rows / 5) * 0.1
    });
    let answer = answer_on(&stairs);
    must(&answer, "treads", 29.0 * ROW);
    let row = answer.list("doubts").iter().find(|row| row["kind"] == "treads").expect("it is there");
    assert!(row["message"].to_string().contains("10 cm"), "{row}");
}

// A hole of 3 by 3 on the plane is bridged exactly: the water of 17 rows runs straight over it.
#[test]
fn bridged_holes_are_one_where_water_runs_over_them() {
    let with_hole = |first_row: usize, first_col: usize| {
        ridge().with(move |row, col, _| {
            let inside =
                (first_row..first_row + 3).contains(&row) && (first_col..first_col + 3).contains(&col);
            inside.then_some(-9999.0)
        })
    };
    let answer = answer_on(&with_hole(24, 30));
    must(&answer, "bridged", 17.0 * 3.0);
    assert_eq!(quality(&answer), ("sound", true), "4 % of the run-on");
    must_not(&answer_on(&with_hole(24, 5)), "bridged");
}

// South of row 23 the other survey lies 0.3 m lower: 14 rows cross the step.
#[test]
fn a_step_along_the_raster_is_one() {
    let answer = answer_on(&ridge().with(|row, _, z| (row >= 24).then_some(z - 0.3)));
    must(&answer, "seams", 14.0 * ROW);
    assert_eq!(quality(&answer).0, "limited", "47 % of the run-on");
    assert!(answer.list("doubts")[0]["message"].to_string().contains("30 cm"));
}

// Over a third of the width it is a bank of its own, not a seam of the raster.
#[test]
fn a_step_of_some_cells_is_no_seam() {
    let short = ridge().with(|row, col, z| (row >= 25 && (25..52).contains(&col)).then_some(z - 0.3));
    must_not(&answer_on(&short), "seams");
}

// Cells of 5 units, parcels 1.25 east of their sides: of N's 4 cells in the first column a quarter is no parcel's.
#[test]
fn cells_across_lot_lines_are_one_and_cells_along_them_none() {
    let raster = Raster::of(16, 16, |row, _| 100.0 - (number(row) + 0.5 - 2.0).abs() * 5.0 * FALL)
        .at(WEST, NORTH, 5.0, 5.0);
    let bench = Bench::new();
    raster.write(&bench.path("base.tif"));
    let lots = Lots::of(vec![lot("N", 21.25, 40.0, 61.25, 60.0), lot("S", 21.25, 10.0, 61.25, 40.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    must(&answer_for_s(&bench), "coarse-cells", 4.0 * 25.0 * 0.25);
    // The same cells, and parcels on their sides.
    let lots = Lots::of(vec![lot("N", 20.0, 40.0, 60.0, 60.0), lot("S", 20.0, 10.0, 60.0, 40.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--overwrite"]).run();
    must_not(&run.usable(), "coarse-cells");
}

// What one routing gives to each contributor stands beside what the other does. Single routing sends the whole water
// of a slope down one way or the other; on ground that falls south-east by south the ways part.
#[test]
fn routings_that_disagree_are_one() {
    let fan = Raster::of(80, 80, |row, col| {
        let (south, east) = (number(row) + 0.5 + 30.0, number(col) + 0.5 - 40.0);
        100.0 - 0.02 * south.hypot(east)
    });
    let answer = answer_on(&fan);
    let (mut more, mut less) = (0.0, 0.0);
    for row in answer.list("contributors") {
        let of = |key: &str| row[key].as_f64().expect("a number");
        let beyond = of("area_m2") - of("other_routing_area_m2");
        more += f64::max(beyond, 0.0);
        less += f64::max(-beyond, 0.0);
    }
    let found = effect(&answer, "routings-differ");
    let wanted = f64::max(more, less);
    assert!(wanted >= 0.01 * answer.number("run_on.area_m2"), "{wanted}");
    close("routings-differ", found.expect("it is there"), wanted, 1e-9);
}

// Where the ground falls straight south from cell to cell both send all of it that way.
#[test]
fn routings_that_agree_are_none() {
    let answer = answer_on(&ridge());
    for row in answer.list("contributors") {
        let of = |key: &str| row[key].as_f64().expect("a number");
        close("both routings", of("other_routing_area_m2"), of("area_m2"), CLOSE);
    }
    must_not(&answer, "routings-differ");
}

// The crest stands 0.6 m above the lot: an error of 1 m leaves much open. The statement no longer says that repeats
// weren't made.
#[test]
fn what_repeats_leave_open_counts() {
    let bench = bench_with(&ridge());
    let repeats = ["--elevation-rmse", "1m", "--realisations", "96"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&repeats).run().usable();
    let open: f64 = answer
        .list("contributors")
        .iter()
        .filter(|row| row["verdict"] == "cannot tell")
        .map(|row| row["area_m2"].as_f64().expect("a number"))
        .sum();
    // Or as much as the run-on of nine in ten surfaces lies off what is found.
    let end = |name: &str| answer.number(&format!("certainty.run_on_area_m2.{name}"));
    let run_on = answer.number("run_on.area_m2");
    let off = (end("high") - run_on).max(run_on - end("low"));
    close("elevation-error", effect(&answer, "elevation-error").unwrap_or(0.0), open.max(off), 1e-9);
    assert!(open > 0.0, "an error of a metre on a fall of 0.6 m");
    // A smooth plane of 2 % against that: the likelihoods aren't calibrated, and the screen says so.
    assert_eq!(answer.at("certainty.calibration.calibrated"), false);
    assert!(
        answer
            .stderr
            .contains("These likelihoods and ranges are not calibrated: the ground falls 0.02 times")
    );
    assert!(!quality(&answer).1);
}

// Lots that are 3 m off, normal, move S's north edge: its run-on is 40 (30 + n), from 1200 - 40 x 3 x 1.645 = 1003 to 1397
// on nine in ten surfaces. N moves with S and the open ground above gives 40 (10 + n), less than the floor only where n is
// below -9.5, 3.2 times the error: both contribute, and what is open is how much.
#[test]
fn the_sentence_on_error_says_what_is_certain() {
    let repeats = ["--elevation-rmse", "0.1mm", "--parcel-error", "3m"];
    let of = |repeats: &[&str]| {
        let bench = bench_with(&ridge());
        let answer = bench.assess("base.tif", "base.geojson").lot("S").with(repeats).run().usable();
        let all = answer.list("doubts");
        let row =
            all.iter().find(|row| row["kind"] == "elevation-error").expect("error leaves something open");
        let said = row["message"].as_str().expect("text").to_owned();
        (answer, said)
    };
    let (answer, said) = of(&repeats);
    assert!(answer.list("certainty.parcels").iter().all(|row| row["verdict"] == "contributes"));
    assert!(
        said.contains("who contributes isn't open (that 2 contributors contribute is certain)"),
        "{said}"
    );
    assert_eq!(quality(&answer).0, "limited");
    assert!(answer.text("data_quality.message").contains("doesn't leave open who contributes"));
    let (answer, said) = of(&["--elevation-rmse", "1m", "--realisations", "96"]);
    let count = |verdict: &str| {
        answer.list("certainty.parcels").iter().filter(|row| row["verdict"] == verdict).count()
    };
    assert!(count("cannot tell") > 0);
    let open = match count("cannot tell") {
        1 => "of one contributor it can't be told".to_owned(),
        n => format!("of {n} contributors it can't be told"),
    };
    assert!(said.contains(&open), "{open}: {said}");
}

// A tenth of a millimetre turns no fall of 2 cm a cell.
#[test]
fn what_repeats_are_sure_of_is_none() {
    let bench = bench_with(&ridge());
    let repeats = ["--elevation-rmse", "0.1mm", "--parcel-error", "0m", "--realisations", "24"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&repeats).run().usable();
    assert_eq!(answer.at("certainty.realisations"), 24);
    must_not(&answer, "elevation-error");
    assert_eq!(quality(&answer), ("sound", false));
}
