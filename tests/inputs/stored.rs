//! The base scene stored in other ways: compressed, cut short, in pieces, in archives, in whole numbers.

use std::path::Path;

use crate::common::lots::{Lots, WGS84};
use crate::common::raster::Raster;
use crate::common::scene::{
    FALL, NORTH, SIDE, UTM, WEST, answer_for_s, base_bench, base_numbers, bench_with, number, plane,
};

#[test]
fn every_compression_gives_the_base_numbers() {
    let variants: [&[&str]; 6] = [
        &["COMPRESS=LZW"],
        &["COMPRESS=LZW", "PREDICTOR=3"],
        &["COMPRESS=DEFLATE", "PREDICTOR=2"],
        &["COMPRESS=DEFLATE", "PREDICTOR=3", "TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"],
        &["COMPRESS=PACKBITS", "ENDIANNESS=BIG"],
        &["BIGTIFF=YES", "TILED=YES"],
    ];
    for options in variants {
        base_numbers(&answer_for_s(&bench_with(&plane().options(options))));
    }
}

#[test]
fn a_raster_cut_short_is_incomplete_by_name() {
    for options in [&[][..], &["COMPRESS=DEFLATE"], &["TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"]] {
        let bench = bench_with(&plane().options(options));
        let whole = std::fs::read(bench.path("base.tif")).expect("the raster is there");
        std::fs::write(bench.path("base.tif"), &whole[..whole.len() * 3 / 5]).expect("it can be cut");
        let outcome = bench.assess("base.tif", "base.geojson").lot("S").run();
        outcome.refused(3, &["base.tif"]);
    }
}

#[test]
fn undeclared_nodata_values_are_holes_and_said() {
    // Four by four cells west of everything that drains to S.
    for value in [-9999.0, -32768.0, -3.402_823_466e38] {
        let holed = plane()
            .with(|row, col, _| ((5..=8).contains(&row) && (5..=8).contains(&col)).then_some(value))
            .nodata(None);
        let answer = answer_for_s(&bench_with(&holed));
        base_numbers(&answer);
        answer.must_warn("nodata-suspected", &["base.tif", "16", "--elevation-nodata"]);
    }
}

#[test]
fn elevations_in_whole_metres_are_terraces_and_said_so() {
    let rounded = plane().with(|_, _, value| Some(value.round()));
    let answer = answer_for_s(&bench_with(&rounded));
    answer.must_warn("elevations-rounded", &["base.tif", "whole numbers"]);
}

#[test]
fn a_strip_of_one_cell_between_two_tiles_is_bridged_and_listed() {
    // Row 30, through N, is in neither tile. Between two straight rims a plane is bridged by itself.
    let bench = base_bench();
    let part = |first: usize, rows: usize| {
        Raster::of(rows, SIDE, |row, _| 100.0 - number(first + row) * FALL).at(
            WEST,
            NORTH - number(first),
            1.0,
            1.0,
        )
    };
    part(0, 30).write(&bench.path("upper.tif"));
    part(31, 49).write(&bench.path("lower.tif"));
    let answer = bench.assess_tiles("upper.tif", "lower.tif").lot("S").run().usable();
    base_numbers(&answer);
    assert_eq!(answer.list("elevation.holes").len(), 1, "{}", answer.at("elevation.holes"));
}

#[test]
fn an_address_on_the_network_is_refused() {
    let bench = base_bench();
    for (elevation, parcels) in
        [("https://example.org/base.tif", "base.geojson"), ("base.tif", "https://example.org/lots.geojson")]
    {
        bench.assess(elevation, parcels).lot("S").run().refused(3, &["example.org", "download"]);
    }
}

#[test]
fn a_shapefile_without_its_parts_is_read_or_names_them() {
    let bench = base_bench();
    Lots::base().write(&bench.path("lots.shp"), "ESRI Shapefile", Some(UTM));
    std::fs::remove_file(bench.path("lots.shx")).expect("there is an index");
    let answer = bench.assess("base.tif", "lots.shp").lot("S").run().usable();
    base_numbers(&answer);
    answer.must_warn("shapefile-part-missing", &["lots.shx"]);
    std::fs::remove_file(bench.path("lots.dbf")).expect("there is a table");
    bench.assess("base.tif", "lots.shp").lot("S").out("second").run().refused(3, &["lots.dbf"]);
}

#[test]
fn an_archive_is_looked_into() {
    let bench = base_bench();
    archive(&bench.path("lots.zip"), &["parcels 2025/lots.geojson"]);
    base_numbers(&bench.assess("base.tif", "lots.zip").lot("S").run().usable());
}

#[test]
fn an_archive_of_several_layers_asks_which() {
    let bench = base_bench();
    archive(&bench.path("lots.zip"), &["north/lots.geojson", "south/plans.geojson"]);
    let outcome = bench.assess("base.tif", "lots.zip").lot("S").run();
    outcome.refused(3, &["lots.zip", "--parcels-layer", "lots", "plans"]);
}

/// A zip archive that holds the base lots once for each name.
fn archive(path: &Path, names: &[&str]) {
    for name in names {
        let inside = format!("/vsizip/{}/{name}", path.display());
        Lots::base().to(WGS84).write(Path::new(&inside), "GeoJSON", Some(WGS84));
    }
}
