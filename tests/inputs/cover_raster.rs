//! Rasters of covers on the scene with the ridge: closed forms of what each piece of ground sheds.
//!
//! 1200 square units drain onto S: 800 of N (40 wide, 20 high), 400 above it. Ground falls just under 2 %.

use crate::common::answer::{Answer, close};
use crate::common::bench::{Bench, Outcome};
use crate::common::lots::{At, Lots, Transform, WGS84, lot};
use crate::common::raster::{Band, Raster, RasterCrs};
use crate::common::scene::{CLOSE, NORTH, UTM, WEST, bench_with, ground_m2, ridge};
use gdal::raster::Buffer;
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};
use std::path::Path;

/// Codes 11 and 21 of an invented map.
const CODES: &str = "[codes]\n11 = \"asphalt\"\n21 = \"lawn-good\"\n";
const WORDS: [&str; 8] =
    ["--intensity", "100mm/h", "--soil-group", "C", "--cover", "cover.tif", "--cover-table", "own.toml"];

/// Asphalt west of the middle of N, lawn east of it, in cells of two units.
fn halves() -> Raster {
    Raster::of(40, 40, |_, col| if col < 20 { 11.0 } else { 21.0 })
        .at(WEST, NORTH, 2.0, 2.0)
        .band(Band::Whole)
        .nodata(Some(0.0))
}

fn bench(cover: &Raster, table: &str) -> Bench {
    let bench = bench_with(&ridge());
    cover.write(&bench.path("cover.tif"));
    bench.write_text("own.toml", table);
    bench
}

fn run(bench: &Bench, more: &[&str]) -> Outcome {
    let words: Vec<&str> = WORDS.iter().chain(more).copied().collect();
    bench.assess("base.tif", "base.geojson").lot("S").with(&words).run()
}

/// Rational method over square units with their coefficients.
fn flow(answer: &Answer, parts: &[(f64, f64)]) {
    let sum: f64 = parts.iter().map(|&(units, c)| c * ground_m2(units)).sum();
    close("flow", answer.number("design.flow_m3_s"), sum * 100.0 / 3.6e6, CLOSE);
}

// Asphalt C 0.82 (county code), good lawn on heavy soil below 2 % C 0.16.
#[test]
fn each_cell_takes_the_class_of_its_code() {
    let answer = run(&bench(&halves(), CODES), &[]).usable();
    flow(&answer, &[(600.0, 0.82), (600.0, 0.16)]);
    let listed = answer.list("provenance.inputs");
    assert!(listed.iter().any(|file| file["path"] == "cover.tif"), "{listed:?}");
}

#[test]
fn buildings_win_over_the_raster() {
    let bench = bench(&halves(), CODES);
    let house = Lots::of(vec![lot("house", 24.0, 44.0, 34.0, 54.0)]);
    bench.write_json("houses.geojson", &house.geojson(WGS84));
    let answer = run(&bench, &["--buildings", "houses.geojson"]).usable();
    flow(&answer, &[(100.0, 0.85), (500.0, 0.82), (600.0, 0.16)]);
}

#[test]
fn where_the_raster_says_nothing_the_default_counts() {
    // No data in the northern ten units of the run-on.
    let gap = halves().with(|row, _, _| (row < 10).then_some(0.0));
    let answer = run(&bench(&gap, CODES), &["--default-cover", "roof"]).usable();
    flow(&answer, &[(400.0, 0.85), (400.0, 0.82), (400.0, 0.16)]);
}

#[test]
fn where_a_mask_covers_the_raster_the_default_counts() {
    let bench = bench(&halves().nodata(None), CODES);
    mask_northern_rows(&bench.path("cover.tif"), 10);
    let answer = run(&bench, &["--default-cover", "roof"]).usable();
    flow(&answer, &[(400.0, 0.85), (400.0, 0.82), (400.0, 0.16)]);
}

/// Covers the northern rows of a raster of 40 x 40 cells with a mask.
fn mask_northern_rows(path: &Path, rows: usize) {
    let options = DatasetOptions { open_flags: GdalOpenFlags::GDAL_OF_UPDATE, ..DatasetOptions::default() };
    let file = Dataset::open_ex(path, options).expect("the raster opens for writing");
    file.rasterband(1)
        .and_then(|mut band| {
            band.create_mask_band(true)?;
            let cells: Vec<u8> = (0..1600).map(|cell| if cell / 40 < rows { 0 } else { 255 }).collect();
            band.open_mask_band()?.write((0, 0), (40, 40), &mut Buffer::new((40, 40), cells))
        })
        .expect("the raster takes a mask");
    file.close().expect("the raster can be closed");
}

// The scene lies at the central meridian, where lines of equal longitude run along the columns.
#[test]
fn a_raster_in_another_system_is_read_where_it_lies() {
    let way = Transform::new(UTM, "EPSG:4269");
    let at = |x: f64, y: f64| way.apply(At { x: WEST + x, y: NORTH + y });
    let (middle, far) = (at(40.0, 0.0), at(80.0, -80.0));
    let width = far.x - middle.x;
    let cover = Raster::of(1, 2, |_, col| if col == 0 { 11.0 } else { 21.0 })
        .at(middle.x - width, middle.y + 1e-4, width, middle.y - far.y + 2e-4)
        .crs(RasterCrs::Code(4269))
        .band(Band::Whole);
    let answer = run(&bench(&cover, CODES), &[]).usable();
    flow(&answer, &[(600.0, 0.82), (600.0, 0.16)]);
}

#[test]
fn codes_that_stand_for_nothing_are_refused_together_where_they_matter() {
    let odd = halves().with(|row, col, _| match (row, col) {
        (15, 15) => Some(41.0),
        (15, 25) => Some(42.0),
        _ => None,
    });
    run(&bench(&odd, CODES), &[]).refused(3, &["cover.tif", "41, 42", "[codes]"]);
    // South of the lot no water comes from.
    let far = halves().with(|row, _, _| (row > 36).then_some(41.0));
    flow(&run(&bench(&far, CODES), &[]).usable(), &[(600.0, 0.82), (600.0, 0.16)]);
}

#[test]
fn rasters_and_tables_that_cannot_be_used_are_refused_by_name() {
    let halved = Raster::of(40, 40, |_, _| 11.5).at(WEST, NORTH, 2.0, 2.0);
    for (cover, table, code, said) in [
        (halved, CODES, 3, vec!["cover.tif", "11.5"]),
        (halves().packing(2.0, 0.0), CODES, 3, vec!["cover.tif", "multiplied by 2"]),
        (halves().packing(1.0, 10.0), CODES, 3, vec!["cover.tif", "raised by 10"]),
        (halves().crs(RasterCrs::None), CODES, 4, vec!["cover.tif", "coordinate system"]),
        (halves(), "[codes]\nx = \"roof\"\n", 3, vec!["own.toml", "\"x\""]),
        (halves(), "[codes]\n11 = \"astroturf\"\n", 3, vec!["astroturf", "lawn-good"]),
    ] {
        run(&bench(&cover, table), &[]).refused(code, &said);
    }
    let away = halves().at(WEST + 50_000.0, NORTH, 2.0, 2.0);
    let answer = run(&bench(&away, CODES), &["--default-cover", "roof"]).usable();
    answer.must_warn("cover-elsewhere", &["cover.tif"]);
    flow(&answer, &[(1200.0, 0.85)]);
}
