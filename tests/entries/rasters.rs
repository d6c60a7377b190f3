//! Entries 12 to 32: how the raster is laid out and stored, and ground that misleads.

use gdal::Dataset;
use serde_json::Value;

use crate::common::answer::{Answer, Files, Who, close};
use crate::common::bench::Bench;
use crate::common::elsewhere::Elsewhere;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::{Band, Raster, RasterCrs};
use crate::common::scene::{
    FALL, NORTH, SIDE, WEST, answer_for_s, base_bench, base_numbers, bench_with, ground_m2, number, plane,
    ridge,
};
use crate::tests::Entry;

pub(crate) fn entries() -> Vec<Entry> {
    let entry = |number, title, outcome, hold| Entry { number, title, outcome, hold };
    vec![
        entry(12, "south-up raster", "base numbers", south_up),
        entry(13, "rotated raster", "brought to north-up and said", rotated),
        entry(14, "cells that are not square", "base numbers", oblong_cells),
        entry(15, "raster over half of the lot, or elsewhere", "warning with the share, or 5", half_or_none),
        entry(16, "catchment cut by the edge", "\"at least\", incomplete, 8 under --strict", cut_by_the_edge),
        entry(17, "NaN and infinity", "holes, whatever is declared", no_numbers),
        entry(18, "undeclared nodata, 0 too", "holes, warning with count and place", undeclared),
        entry(19, "nodata in interpolation", "never a blend", no_blend),
        entry(20, "truncated download", "3, incomplete, nothing left behind", truncated),
        entry(21, "blocks never written", "holes, declared or not", sparse),
        entry(22, "compressions", "base numbers, or 3 with the method", compressions),
        entry(23, ".aux.xml beside the raster", "read, hashed, never written", side_file),
        entry(24, "raster beyond memory", "base numbers through a window", huge),
        entry(25, "little memory", "base numbers in 1.5 GB of address space", little_memory),
        entry(26, "threads", "the same bytes", threads),
        entry(27, "remote raster", "3: download it first", remote),
        entry(28, "strip of nodata", "bridged and listed; a wide one stays a hole", strip),
        entry(29, "road bank", "pond with depth, volume and way out; doubt", bank),
        entry(30, "building as pit or stub", "pond listed; with footprints base total", building),
        entry(31, "flats", "same bytes; doubt with the area on flats", flats),
        entry(32, "whole-number elevations", "warning", whole_numbers),
    ]
}

fn south_up() {
    let plane = Raster::of(SIDE, SIDE, |row, _| 100.0 - number(SIDE - 1 - row) * FALL);
    let upside = plane.transformed([WEST, 1.0, 0.0, NORTH - 80.0, 0.0, 1.0]);
    base_numbers(&answer_for_s(&bench_with(&upside)));
}

fn rotated() {
    // The plane's own fall, written on a grid turned by 30 degrees about the scene's middle.
    let (sin, cos) = 30.0_f64.to_radians().sin_cos();
    let (x0, y0) = (WEST + 40.0 - 80.0 * (cos - sin), NORTH - 40.0 + 80.0 * (cos + sin));
    let turned = Raster::of(160, 160, |row, col| {
        let (right, down) = (number(col) + 0.5, number(row) + 0.5);
        let y = y0 - right * sin - down * cos;
        100.0 - (NORTH - 0.5 - y) * FALL
    });
    let answer = answer_for_s(&bench_with(&turned.transformed([x0, cos, -sin, y0, -sin, -cos])));
    answer.must_warn("elevation-warped", &["turned by", "30.0 degrees"]);
    // N is 20 deep and 40 wide.
    close("area of N", answer.area_of(Who::Lot("N")), ground_m2(800.0), 0.03);
}

fn oblong_cells() {
    let high = Raster::of(40, 80, |row, _| 100.0 - (number(row) * 2.0 + 0.5) * FALL);
    base_numbers(&answer_for_s(&bench_with(&high.at(WEST, NORTH, 1.0, 2.0))));
}

fn half_or_none() {
    let half = Raster::of(55, SIDE, |row, _| 100.0 - number(row) * FALL);
    let answer = answer_for_s(&bench_with(&half));
    // 15 of S's 30 rows have elevations.
    answer.must_warn("lot-partly-covered", &["50.0 %"]);
    let bench = bench_with(&plane().at(520_000.0, NORTH, 1.0, 1.0));
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(5, &["do not overlap", "19.9 km apart"]);
}

fn cut_by_the_edge() {
    let lower = Raster::of(50, SIDE, |row, _| 100.0 - number(row + 30) * FALL);
    let bench = bench_with(&lower.at(WEST, NORTH - 30.0, 1.0, 1.0));
    let answer = answer_for_s(&bench);
    assert_eq!(answer.text("status"), "incomplete");
    answer.must_warn("catchment-cut-by-edge", &["at least"]);
    assert!(answer.list("crossings").iter().all(|crossing| crossing["complete"] == Value::Bool(false)));
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--strict"]).out("strict").run().refused(8, &[]);
}

/// A hole west of everything that drains to S.
fn with_hole(value: f64) -> Raster {
    plane().with(|row, col, _| ((5..=8).contains(&row) && (5..=8).contains(&col)).then_some(value))
}

fn no_numbers() {
    for (value, declared) in [(f64::NAN, Some(f64::NAN)), (f64::NAN, Some(-9999.0)), (f64::INFINITY, None)] {
        base_numbers(&answer_for_s(&bench_with(&with_hole(value).nodata(declared))));
    }
}

fn undeclared() {
    for value in [-9999.0, -32768.0, f64::from(f32::MIN), 0.0, 32767.0, 99_999.0] {
        let bench = bench_with(&with_hole(value).nodata(None));
        let answer = answer_for_s(&bench);
        base_numbers(&answer);
        answer.must_warn("nodata-suspected", &["16 cells", "row 5, column 5", "--elevation-nodata"]);
        assert!(answer.warning("elevation-steps").is_none(), "{value} is a hole: {}", answer.at("warnings"));
    }
}

fn no_blend() {
    let cell = 1.0 / 108_000.0;
    let here = Elsewhere { crs: WGS84, west: -81.0, north: 43.6228, cell };
    let raster = with_hole(-9999.0).at(here.west, here.north, cell, cell).crs(RasterCrs::Code(4326));
    let bench = bench_with(&raster);
    bench.write_json("base.geojson", &here.lots().geojson(WGS84));
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--rasters", "--bridge-holes", "0"]);
    let (lowest, _) = extremes(&run.run().usable());
    // The plane's own lowest cell is 79 rows of 2 cm below 100 m.
    assert!(lowest > 98.3, "a blend with -9999 would lie lower: {lowest}");
}

/// Lowest and highest elevation of the filled surface.
fn extremes(answer: &Answer) -> (f64, f64) {
    let file = Dataset::open(answer.out.join("rasters/filled.tif")).expect("it opens");
    let band = file.rasterband(1).expect("it has a band");
    let range = band.compute_raster_min_max(false).expect("it has elevations");
    (range.min, range.max)
}

fn truncated() {
    let bench =
        bench_with(&plane().options(&["COMPRESS=DEFLATE", "TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"]));
    let whole = std::fs::read(bench.path("base.tif")).expect("the raster is there");
    std::fs::write(bench.path("base.tif"), &whole[..whole.len() * 3 / 5]).expect("it can be cut");
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").run();
    outcome.refused(3, &["base.tif"]);
    assert!(!outcome.out.exists(), "nothing is left behind");
}

fn sparse() {
    // Half of a raster of 160 by 160 is never written: the scene is its north-west corner.
    for nodata in [Some(-9999.0), None] {
        let raster = plane().in_corner_of(160, 160).nodata(nodata).options(&[
            "TILED=YES",
            "BLOCKXSIZE=16",
            "BLOCKYSIZE=16",
            "SPARSE_OK=TRUE",
        ]);
        let answer = answer_for_s(&bench_with(&raster));
        base_numbers(&answer);
        if nodata.is_none() {
            // 160 by 160 cells less the scene's 80 by 80.
            answer.must_warn("nodata-suspected", &["19200 cells", "such as 0"]);
        }
    }
}

fn compressions() {
    for options in
        [&["COMPRESS=DEFLATE", "PREDICTOR=3"][..], &["COMPRESS=LZW", "PREDICTOR=2"], &["ENDIANNESS=BIG"]]
    {
        base_numbers(&answer_for_s(&bench_with(&plane().options(options))));
    }
    // The method's number of a TIFF (tag 259, a 16-bit number) exchanged for 50000, which is ZSTD in GDAL's list.
    let bench = bench_with(&plane().options(&["COMPRESS=DEFLATE"]));
    let mut bytes = std::fs::read(bench.path("base.tif")).expect("the raster is there");
    let tag: Vec<u8> = [259_u16, 3, 1, 0].into_iter().flat_map(u16::to_le_bytes).collect();
    let place = bytes.windows(8).position(|part| part == tag).expect("a TIFF names its compression");
    bytes[place + 8..place + 10].copy_from_slice(&50_000_u16.to_le_bytes());
    std::fs::write(bench.path("base.tif"), bytes).expect("it can be changed");
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(3, &["ZSTD", "base.tif"]);
}

fn side_file() {
    // Only the side file says that 777 is no elevation.
    let bench = bench_with(&with_hole(777.0).nodata(None));
    bench.write_text(
        "base.tif.aux.xml",
        "<PAMDataset><PAMRasterBand band=\"1\"><NoDataValue>777</NoDataValue></PAMRasterBand></PAMDataset>",
    );
    let answer = answer_for_s(&bench);
    base_numbers(&answer);
    assert!(answer.warning("nodata-suspected").is_none(), "{}", answer.at("warnings"));
    let hash = |answer: &Answer| answer.at("provenance.inputs").to_string();
    bench.write_text("base.tif.aux.xml", "<PAMDataset></PAMDataset>");
    let other = bench.assess("base.tif", "base.geojson").lot("S").out("other").run().usable();
    assert_ne!(hash(&answer), hash(&other), "the side file is part of the input's hash");
}

/// The scene in the corner of a raster of 13 GiB.
fn huge_bench() -> Bench {
    let tiled = ["TILED=YES", "BLOCKXSIZE=512", "BLOCKYSIZE=512", "SPARSE_OK=TRUE", "BIGTIFF=YES"];
    bench_with(&plane().in_corner_of(60_000, 60_000).options(&tiled))
}

fn huge() {
    base_numbers(&answer_for_s(&huge_bench()));
}

#[cfg(unix)]
fn little_memory() {
    let bench = huge_bench();
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--threads", "1"]).command();
    let mut shell = std::process::Command::new("sh");
    // ulimit counts in KiB.
    shell.args(["-c", "ulimit -v 1500000; exec \"$0\" \"$@\""]).arg(run.get_program()).args(run.get_args());
    let output = shell.current_dir(bench.folder().path()).output().expect("the program starts");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{said}");
    base_numbers(&Answer::read(bench.folder(), bench.path(crate::common::bench::OUT), String::new(), said));
}

#[cfg(not(unix))]
fn little_memory() {
    huge();
}

fn threads() {
    let bench = base_bench();
    let mut results = Vec::new();
    for threads in ["1", "2", "8", "32"] {
        let run =
            bench.assess("base.tif", "base.geojson").lot("S").with(&["--threads", threads, "--overwrite"]);
        results.push(Files::of(&run.run().usable().out));
    }
    for other in &results[1..] {
        results[0].same_as(other, "another number of threads");
    }
}

fn remote() {
    let bench = base_bench();
    let address = "http://127.0.0.1:8765/base.tif";
    bench.assess(address, "base.geojson").lot("S").run().refused(3, &["network", "download the file first"]);
}

fn strip() {
    // Through S: one row, and ten, which are 800 square units, beyond the limit of 400 m2.
    let with_strip = |last: usize| plane().with(|row, _, _| (50..=last).contains(&row).then_some(-9999.0));
    let answer = answer_for_s(&bench_with(&with_strip(50)));
    base_numbers(&answer);
    assert_eq!(answer.at("elevation.holes.0.fate"), "gap-bridged", "{}", answer.at("elevation.holes"));
    let answer = answer_for_s(&bench_with(&with_strip(59)));
    let fate = answer.text("elevation.holes.0.fate");
    assert!(["too-large", "outside"].contains(&fate), "{}", answer.at("elevation.holes"));
    answer.must_warn("lot-partly-covered", &["33.3 %"]);
}

fn bank() {
    // The scene with a ridge, a bank of 1.5 m through N that turns uphill at both ends, and a low place in it above S,
    // 0.2 m above the ground: what falls behind fills up to there.
    let dam = ridge().with(|row, col, z| {
        let along = (28..=30).contains(&row) && (10..70).contains(&col);
        let ends = (10..=30).contains(&row) && (col == 10 || col == 69);
        (along || ends).then_some(z + if col == 40 { 0.2 } else { 1.5 })
    });
    let answer = answer_for_s(&bench_with(&dam));
    let ponds = answer.geojson("ponds.geojson");
    let pond = &ponds["features"][0]["properties"];
    assert!(pond["depth_m"].as_f64().is_some_and(|depth| depth > 0.02), "{ponds}");
    assert!(pond["volume_m3"].as_f64().is_some_and(|volume| volume > 0.0), "{ponds}");
    let doubts = answer.list("doubts");
    assert!(doubts.iter().any(|doubt| doubt["kind"] == "hollows"), "{}", answer.at("doubts"));
}

fn building() {
    let pit =
        ridge().with(|row, col, z| ((25..35).contains(&row) && (30..42).contains(&col)).then_some(z - 2.5));
    let bench = bench_with(&pit);
    let answer = answer_for_s(&bench);
    assert!(!answer.geojson("ponds.geojson")["features"].as_array().expect("a list").is_empty());
    let footprint = Lots::of(vec![lot("house", 30.0, 45.0, 42.0, 55.0)]);
    bench.write_json("houses.geojson", &footprint.geojson(WGS84));
    let told = ["--buildings", "houses.geojson", "--overwrite"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable();
    // Water goes around the house and the roof's comes to S: 30 by 40 units as without it.
    close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1200.0), 0.02);
}

fn flats() {
    // Rows 15 to 34 of the scene with a ridge lie level.
    let level = ridge().with(|row, _, z| (row >= 15).then_some(z + number(row.clamp(15, 34) - 15) * FALL));
    let bench = bench_with(&level);
    let first = answer_for_s(&bench);
    let doubts = first.list("doubts");
    assert!(doubts.iter().any(|doubt| doubt["kind"] == "flats"), "{}", first.at("doubts"));
    let again =
        bench.assess("base.tif", "base.geojson").lot("S").out("again").with(&["--threads", "3"]).run();
    Files::of(&first.out).same_as(&again.files(), "a second run over flats");
}

fn whole_numbers() {
    let rounded = plane().with(|_, _, z| Some(z.round())).band(Band::Whole).nodata(Some(-32768.0));
    answer_for_s(&bench_with(&rounded)).must_warn("elevations-rounded", &["whole numbers", "1.00 m steps"]);
}
