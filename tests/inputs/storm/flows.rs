//! Times, flows and volumes by the printed equations, written out here once more.
//!
//! The scene: a ridge, from which a plane falls south at 2 cm a unit, 30 units above the lot S and 40 wide. So the longest
//! way has 30 units, and 1200 square units drain onto S. A unit is 1 / 0.9996 m on the ground.

use crate::common::answer::{Answer, Who, close};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{FALL, NORTH, SCALE, WEST, bench_with, ground_m2, number, ridge};
use serde_json::Value;

/// An invented table in our own layout.
pub(super) const TABLE: &str = "depth mm,2 yr,10 yr,100 yr
5 min,8,12,18
10 min,12,18,27
15 min,15,22,34
30 min,20,30,46
60 min,25,40,60
24 h,70,110,170
";
const LAWN_N: f64 = 0.24;
const FT: f64 = 0.3048;

pub(super) fn bench() -> Bench {
    let bench = bench_with(&ridge());
    bench.write_text("rain.csv", TABLE);
    bench
}

fn run(bench: &Bench, more: &[&str]) -> Answer {
    let mut words = vec!["--rainfall", "rain.csv", "--coefficient", "0.35"];
    words.extend_from_slice(more);
    bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable()
}

/// Minutes down the way: TR-55 equation 3-3 over the sheet, NEH Part 630 table 15-3 beyond.
fn minutes_of_the_way() -> f64 {
    let (length_m, grade) = (30.0 / SCALE, FALL * SCALE);
    let sheet_ft = 100.0 * grade.sqrt() / LAWN_N;
    let rain_in = 70.0 / 25.4;
    let sheet_h = 0.007 * (LAWN_N * sheet_ft).powf(0.8) / (f64::sqrt(rain_in) * grade.powf(0.4));
    let shallow_s = (length_m / FT - sheet_ft) / (6.962 * grade.sqrt());
    sheet_h * 60.0 + shallow_s / 60.0
}

/// Intensity in mm/h between two rows of the table, straight in the logarithms of depth and duration.
fn intensity(minutes: f64, (t0, d0): (f64, f64), (t1, d1): (f64, f64)) -> f64 {
    let part = (minutes / t0).ln() / (t1 / t0).ln();
    d0 * (d1 / d0).powf(part) / minutes * 60.0
}

#[test]
fn the_way_the_rain_and_the_flow_are_those_of_the_books() {
    let answer = run(&bench(), &[]);
    let minutes = minutes_of_the_way();
    assert!((10.0..15.0).contains(&minutes), "{minutes} lies between the rows used below");
    let time = "crossings.0.storm.time";
    close("length", answer.number(&format!("{time}.length_m")), 30.0 / SCALE, 1e-6);
    close("time", answer.number(&format!("{time}.concentration_min")), minutes, 1e-4);
    assert_eq!(answer.text(&format!("{time}.segments.0.kind")), "sheet");
    assert_eq!(answer.text(&format!("{time}.segments.1.kind")), "shallow");

    let mm_per_h = intensity(minutes, (10.0, 18.0), (15.0, 22.0));
    close("intensity", answer.number("crossings.0.storm.intensity_mm_h"), mm_per_h, 1e-4);
    let flow = 0.35 * mm_per_h / 3.6e6 * ground_m2(1200.0);
    close("flow", answer.number("crossings.0.flow_m3_s"), flow, 1e-4);
    close("flow of the whole", answer.number("design.flow_m3_s"), flow, 1e-4);
    close("return period", answer.number("design.storm.return_period_years"), 10.0, 1e-12);
    close("duration", answer.number("design.storm.duration_min"), minutes, 1e-4);
    close("sum over contributors", answer.sum("contributors", "flow_m3_s"), flow, 1e-4);
}

// TR-55 equation 2-3 with S = 25400 / 74 - 254 mm and the table's 24-hour, 10-year rain.
#[test]
fn the_volume_is_that_of_the_24_hour_rain() {
    let answer = run(&bench(), &["--curve-number", "74"]);
    let s = 25400.0 / 74.0 - 254.0;
    let (rain, left) = (110.0, 110.0 - 0.2 * s);
    let runoff_mm = left * left / (rain + 0.8 * s);
    close("volume", answer.number("design.volume_m3"), runoff_mm / 1000.0 * ground_m2(1200.0), 1e-6);
    close("depth", answer.number("design.rain_depth_mm"), 110.0, 1e-9);
    let by_lot = answer.sum("contributors", "volume_m3");
    close("sum over contributors", by_lot, answer.number("design.volume_m3"), 1e-9);

    let typed = run(&bench(), &["--curve-number", "74", "--rain-depth", "50mm"]);
    let left = 50.0 - 0.2 * s;
    let typed_mm = left * left / (50.0 + 0.8 * s);
    close("typed depth", typed.number("design.volume_m3"), typed_mm / 1000.0 * ground_m2(1200.0), 1e-6);
}

#[test]
fn a_rarer_storm_gives_more_and_a_longer_time_less() {
    let bench = bench();
    let ten = run(&bench, &[]);
    let hundred = run(&bench, &["--return-period", "100", "--overwrite"]);
    let slow = run(&bench, &["--least-time", "30min", "--overwrite"]);
    assert!(hundred.number("design.flow_m3_s") > ten.number("design.flow_m3_s"));
    assert!(slow.number("design.flow_m3_s") < ten.number("design.flow_m3_s"));
    // 30 mm in 30 minutes.
    close("least time", slow.number("crossings.0.storm.intensity_mm_h"), 60.0, 1e-9);
    assert_eq!(slow.at("crossings.0.storm.time.least_governs"), true);
}

/// The scene with 250 rows more in the north. They fall away from the ridge, but for two columns of a `tail` between
/// walls, which leads down to it and through it.
fn with_rows_behind(tail: bool) -> Bench {
    let raster = Raster::of(330, 80, |row, col| {
        let plane = 100.0 - number(row) * FALL;
        let in_tail = tail && row >= 40;
        match col {
            _ if row >= 260 => plane,
            39 | 40 if in_tail => plane,
            38 | 41 if in_tail => plane + 1.0,
            _ => 94.8 - (260.0 - number(row)) * 0.03,
        }
    });
    let bench = bench_with(&raster.at(WEST, NORTH + 250.0, 1.0, 1.0));
    bench.write_text("rain.csv", TABLE);
    bench
}

// The tail has a third of the field's ground and takes long. All of it together, in so long a rain, gives less than the
// field alone.
#[test]
fn a_long_thin_rest_lowers_no_flow() {
    // The line is to lie along the same stretch.
    let field = run(&with_rows_behind(false), &["--catch", "1"]);
    let all = run(&with_rows_behind(true), &["--catch", "1"]);
    let area = "run_on.area_m2";
    close("the tail's ground", all.number(area) - field.number(area), ground_m2(2.0 * 220.0), 0.05);
    assert!(all.at("crossings.0.storm.partial") == true);
    for flow in ["crossings.0.flow_m3_s", "design.flow_m3_s", "interception_line.parts.0.flow_m3_s"] {
        let (alone, together) = (field.number(flow), all.number(flow));
        assert!(together >= alone * (1.0 - 1e-9), "{flow}: {alone} without the tail, {together} with it");
    }
}

/// The plane of 260 rows behind the lot that falls 6 %, and more rows farther off, which fall `grade` or away from it.
fn flats_above(grade: f64) -> Bench {
    let raster = Raster::of(330, 80, |row, _| {
        let up = 250.0 - number(row);
        80.0 - 0.06 * number(row.max(250)) + if up > 0.0 { grade * up } else { 0.0 }
    });
    let bench = bench_with(&raster.at(WEST, NORTH + 250.0, 1.0, 1.0));
    bench.write_text("rain.csv", TABLE);
    bench
}

// Ground at 6 % has its coefficient (0.21) whatever lies above it: flats that fall 0.5 % have theirs (0.16), and lower no flow.
#[test]
fn flats_farther_off_lower_no_flow() {
    for time_by in ["chain", "kerby-kirpich", "lag", "airport"] {
        let run = |bench: &Bench| {
            let words = [
                "--rainfall",
                "rain.csv",
                "--default-cover",
                "lawn-good",
                "--soil-group",
                "C",
                "--time-by",
                time_by,
            ];
            bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable()
        };
        let (hill, all) = (run(&flats_above(-0.06)), run(&flats_above(0.005)));
        let area = |answer: &Answer, class: &str| {
            let name = format!("lawn-good on soil C, {class}");
            let row = answer.list("design.by_cover").iter().find(|row| row["cover"] == name.as_str());
            row.and_then(|row| row["area_m2"].as_f64()).unwrap_or(0.0)
        };
        // The plane that lies closest to the ground around tells them apart to within its half side.
        let edge_m2 = ground_m2(8.0 * 40.0);
        assert!((area(&hill, "2 to 7 %") - hill.number("run_on.area_m2")).abs() < edge_m2);
        assert!((area(&all, "below 2 %") - ground_m2(250.0 * 40.0)).abs() < edge_m2);
        for flow in ["crossings.0.flow_m3_s", "design.flow_m3_s", "interception_line.parts.0.flow_m3_s"] {
            let (alone, together) = (hill.number(flow), all.number(flow));
            assert!(
                together >= alone * (1.0 - 1e-9),
                "{time_by}, {flow}: {alone} alone, {together} with flats"
            );
        }
    }
}

/// Ground that falls 10 % for 30 rows behind the lot, and 0.1 % for 70 above them, up to a ridge below the rows that are added.
fn flat_above_steep(rows: usize) -> Bench {
    let raster = Raster::of(140 + rows, 80, |row, _| {
        let up = number(70 + rows) - number(row);
        let ridge = number(rows) - number(row);
        90.0 + if up < 0.0 { 0.1 * up } else { 0.001 * up - if ridge > 0.0 { 0.01 * ridge } else { 0.0 } }
    });
    let bench = bench_with(&raster.at(WEST, NORTH + 60.0 + number(rows), 1.0, 1.0));
    bench.write_text("rain.csv", TABLE);
    bench
}

// Two metres of path across the lawn, where it turns steep: more runs off, and faster.
#[test]
fn a_path_of_paving_lowers_no_flow() {
    let bench = flat_above_steep(60);
    let words = ["--rainfall", "rain.csv", "--default-cover", "lawn-good", "--soil-group", "C"];
    let lawn = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    for from in [30.0, 49.0, 70.0] {
        let path = Lots::of(vec![lot("a", 0.0, 20.0 + from, 80.0, 22.0 + from)]).geojson(WGS84);
        let mut cover = path;
        for feature in cover["features"].as_array_mut().expect("features") {
            feature["properties"]["class"] = "asphalt".into();
        }
        bench.write_json("path.geojson", &cover);
        let more = [&words[..], &["--cover", "path.geojson", "--overwrite"]].concat();
        let paved = bench.assess("base.tif", "base.geojson").lot("S").with(&more).run().usable();
        let [before, after] = [&lawn, &paved].map(|answer| answer.number("design.flow_m3_s"));
        assert!(after >= before * (1.0 - 1e-9), "{from}: {before} without the path, {after} with it");
    }
}

// Ground above lets the channel begin farther up.
#[test]
fn a_channel_that_begins_farther_up_lowers_no_flow() {
    let mut before = 0.0;
    for rows in [60, 61, 62, 66] {
        let words = ["--rainfall", "rain.csv", "--coefficient", "0.35", "--channel-from", "70m2"];
        let answer =
            flat_above_steep(rows).assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
        let flow = answer.number("design.flow_m3_s");
        assert!(flow >= before * (1.0 - 1e-9), "{rows} rows: {before} before, {flow}");
        before = flow;
    }
}

/// The plane with more rows in the north, and a ridge ten rows below its top.
fn long_hill(rows_more: usize) -> Bench {
    let raster = Raster::of(80 + rows_more, 80, |row, _| 100.0 - (number(row) + 0.5 - 10.0).abs() * FALL);
    let bench = bench_with(&raster.at(WEST, NORTH + number(rows_more), 1.0, 1.0));
    bench.write_text("rain.csv", TABLE);
    bench
}

// 530 units of asphalt: the whole of it in the time of its longest way gives the most, as ground joins in evenly.
#[test]
fn a_paved_hill_has_the_flow_of_the_rational_method() {
    let bench = long_hill(500);
    let answer = bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--rainfall", "rain.csv", "--default-cover", "asphalt"])
        .run()
        .usable();
    let (length_m, grade) = (530.0 / SCALE, FALL * SCALE);
    // n 0.011: the sheet ends at 100 ft. Paving: 20.328 ft/s.
    let sheet_h = 0.007 * (0.011_f64 * 100.0).powf(0.8) / (f64::sqrt(70.0 / 25.4) * grade.powf(0.4));
    let minutes = sheet_h * 60.0 + (length_m / FT - 100.0) / (20.328 * grade.sqrt()) / 60.0;
    assert!((10.0..15.0).contains(&minutes), "{minutes} lies between the rows used below");
    close("time", answer.number("crossings.0.storm.time.concentration_min"), minutes, 1e-4);
    let shedding_m2 = answer.number("design.runoff_coefficient") * ground_m2(530.0 * 40.0);
    let flow = intensity(minutes, (10.0, 18.0), (15.0, 22.0)) / 3.6e6 * shedding_m2;
    close("flow", answer.number("crossings.0.flow_m3_s"), flow, 1e-3);
    assert_eq!(answer.at("crossings.0.storm.partial"), false);
    close("flow of the line", answer.number("interception_line.parts.0.flow_m3_s"), flow, 0.07);
}

// Each lot's covers add up to the lot, and its roof has a row of its own.
#[test]
fn a_neighbours_roof_has_its_own_flow() {
    let bench = bench();
    let roof = Lots::of(vec![lot("a", 30.0, 45.0, 40.0, 55.0)]).geojson(WGS84);
    bench.write_json("houses.geojson", &roof);
    let answer = run(&bench, &["--buildings", "houses.geojson", "--curve-number", "74"]);
    let row = answer.contributor(Who::Lot("N")).expect("N gives water");
    let of = |cover: &Value, field: &str| cover[field].as_f64().expect("a number");
    let covers = row["by_cover"].as_array().expect("covers");
    for field in ["area_m2", "flow_m3_s", "volume_m3"] {
        close(field, covers.iter().map(|cover| of(cover, field)).sum(), of(row, field), 1e-9);
    }
    let roof = covers.iter().find(|cover| cover["cover"] == "roof").expect("the roof has a row");
    close("roof", of(roof, "area_m2"), ground_m2(100.0), 1e-6);
    assert!(of(roof, "flow_m3_s") > 0.0);
    assert!(answer.stderr.contains("of it roof"), "{}", answer.stderr);
}

#[test]
fn the_formula_asked_for_counts_and_the_others_stand_beside_it() {
    let answer = run(&bench(), &["--time-by", "kerby-kirpich"]);
    // Kerby in feet (TxDOT 0-4696-2, page 29) with N 0.40 for average grass.
    let minutes = 0.828 * (30.0 / SCALE / 0.3048 * 0.4_f64).powf(0.467) * (FALL * SCALE).powf(-0.235);
    close("time", answer.number("crossings.0.storm.time.concentration_min"), minutes, 1e-6);
    assert_eq!(answer.text("crossings.0.storm.time.method"), "kerby-kirpich");
    let said: Vec<&str> = answer.list("design.methods").iter().filter_map(|m| m["source"].as_str()).collect();
    assert!(said.iter().any(|source| source.contains("0-4696-2")), "{said:?}");
}

#[test]
fn one_intensity_holds_for_every_duration() {
    let bench = bench_with(&ridge());
    let words = ["--intensity", "100mm/h", "--coefficient", "0.35"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    let flow = 0.35 * 100.0 / 3.6e6 * ground_m2(1200.0);
    close("flow", answer.number("design.flow_m3_s"), flow, 1e-9);
    assert!(answer.at("design.storm.duration_min").is_null());
    assert!(answer.at("design.volume_m3").is_null());
}

// 56.6 / (t + 8.6)^0.823 in/h at the least time of 20 min, by hand: 28.6^0.823 = 15.800, 3.5823 in/h.
#[test]
fn a_curve_gives_the_rain_of_the_time() {
    let bench = bench_with(&ridge());
    let words =
        ["--rain-curve", "56.6/(t+8.6)^0.823 in/h", "--least-time", "20 min", "--coefficient", "0.35"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&words).run().usable();
    close("intensity", answer.number("design.storm.intensity_mm_h"), 3.5823 * 25.4, 2e-4);
}

#[test]
fn a_curve_whose_depth_falls_is_a_warning() {
    let bench = bench_with(&ridge());
    let words = ["--rain-curve", "1000/(t+10)^1.2 mm/h", "--coefficient", "0.35", "--least-time"];
    for (least, falls) in [("10min", false), ("60min", true)] {
        let more = [&words[..], &[least, "--overwrite"]].concat();
        let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&more).run().usable();
        let codes = answer.list("warnings").iter().map(|warning| &warning["code"]);
        assert_eq!(codes.filter(|code| **code == "rain-curve-falls").count() == 1, falls, "{least}");
    }
}
