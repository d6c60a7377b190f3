//! Entries 1 to 11: coordinate systems, units, datum.

use serde_json::{Value, json};

use crate::common::bench::Bench;
use crate::common::elsewhere::Elsewhere;
use crate::common::geojson;
use crate::common::lots::{Lots, WGS84, swap_axes};
use crate::common::raster::{RasterCrs, claim_code, with_false_easting};
use crate::common::scene::{UTM, answer_for_s, base_bench, base_numbers, bench_with, plane};
use crate::tests::Entry;

pub(crate) fn entries() -> Vec<Entry> {
    let entry = |number, title, outcome, hold| Entry { number, title, outcome, hold };
    vec![
        entry(1, "latitude first", "4 and the remedy; longitude first in all output", latitude_first),
        entry(2, "two kinds of foot", "placed right, warning with the shift", two_kinds_of_foot),
        entry(3, "code in metres, numbers in feet", "4 with the unit that fits", feet_under_a_metre_code),
        entry(4, "raster in degrees", "brought to metres, said with the cell's size", degrees),
        entry(5, "no system, or a site's own", "4 with the option that assigns one", no_system),
        entry(6, "code and parameters disagree", "warning with both readings", contradicting_code),
        entry(7, "GeoJSON with a crs member", "honoured with a note, never written", old_member),
        entry(8, "GeoJSON in projected numbers", "4, says whether the raster's system fits", no_degrees),
        entry(9, "datum shift without its grid", "warning with its metres, 8 under --strict", rough_shift),
        entry(
            10,
            "foreign coordinate database",
            "base numbers, or 9 with path and variable",
            foreign_database,
        ),
        entry(11, "astride the antimeridian", "true areas, shapes cut at 180 degrees", antimeridian),
    ]
}

fn latitude_first() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    swap_axes(&mut lots);
    bench.write_json("swapped.geojson", &lots);
    bench.assess("base.tif", "swapped.geojson").lot("S").run().refused(4, &["swapped", "--swap-axes"]);
    let answer = bench.assess("base.tif", "swapped.geojson").lot("S").with(&["--swap-axes"]).run().usable();
    base_numbers(&answer);
    for at in geojson::positions(&answer.geojson("map.geojson")) {
        // The scene lies at 81 degrees west, 43.6 north.
        assert!((at.x + 81.0).abs() < 0.01 && (at.y - 43.62).abs() < 0.01, "{at:?}");
    }
}

fn two_kinds_of_foot() {
    // EPSG:2269 counts in international feet; the same projection in survey feet.
    let here = Elsewhere { crs: "EPSG:2269", west: 7_644_000.0, north: 683_000.0, cell: 3.0 };
    let survey = "+proj=lcc +lat_0=43.6666666666667 +lon_0=-120.5 +lat_1=46 +lat_2=44.3333333333333 \
                  +x_0=2500000.0001424 +y_0=0 +datum=NAD83 +units=us-ft +no_defs +type=crs";
    let bench = Bench::new();
    here.raster().write(&bench.path("feet.tif"));
    here.lots().to(survey).write(&bench.path("lots.gpkg"), "GPKG", Some(survey));
    let told = ["--elevation-unit", "ft"];
    let answer = bench.assess("feet.tif", "lots.gpkg").lot("S").with(&told).run().usable();
    here.expect(&answer);
    // The unit with its factor, whatever its name.
    answer.must_warn("feet-differ", &["0.304800000", "0.304800610"]);
}

fn feet_under_a_metre_code() {
    let here = Elsewhere { crs: "EPSG:32119", west: 640_000.0, north: 225_000.0, cell: 1.0 };
    let bench = Bench::new();
    here.raster().write(&bench.path("metres.tif"));
    here.lots().to("EPSG:2264").write(&bench.path("lots.gpkg"), "GPKG", Some(here.crs));
    bench.assess("metres.tif", "lots.gpkg").lot("S").run().refused(4, &["lots.gpkg", "feet"]);
}

fn degrees() {
    let cell = 1.0 / 108_000.0;
    let bench = bench_with(&plane().at(-81.0, 43.6228, cell, cell).crs(RasterCrs::Code(4326)));
    let here = Elsewhere { crs: WGS84, west: -81.0, north: 43.6228, cell };
    bench.write_json("base.geojson", &here.lots().geojson(WGS84));
    let answer = answer_for_s(&bench);
    answer.must_warn("elevation-warped", &["degree", "cells of"]);
    let cell_m = answer.number("elevation.cell_m");
    assert!((0.5..1.5).contains(&cell_m), "{cell_m}");
    // N's ground and as much above it, by geodesics; cells whose centre lies outside a column may be lost on the sides.
    let expected = here.true_area(20.0, 40.0, 60.0, 80.0);
    let found = answer.number("run_on.area_m2");
    assert!((found / expected - 1.0).abs() < 0.06, "{found} against {expected}");
}

fn no_system() {
    let site = "LOCAL_CS[\"Site grid (ft)\",UNIT[\"Foot\",0.3048]]";
    for crs in [RasterCrs::None, RasterCrs::Text(site.to_owned())] {
        let bench = bench_with(&plane().crs(crs));
        let asked = ["base.tif", "no usable coordinate system", "--elevation-crs"];
        bench.assess("base.tif", "base.geojson").lot("S").run().refused(4, &asked);
    }
    // Neither says: both must be told, and then the numbers are those of the system assigned.
    let bench = bench_with(&plane().crs(RasterCrs::None));
    Lots::base().write(&bench.path("lots.shp"), "ESRI Shapefile", None);
    let told = ["--elevation-crs", UTM];
    bench
        .assess("base.tif", "lots.shp")
        .lot("S")
        .with(&told)
        .run()
        .refused(4, &["lots.shp", "--parcels-crs"]);
    let told = ["--elevation-crs", UTM, "--parcels-crs", UTM];
    base_numbers(&bench.assess("base.tif", "lots.shp").lot("S").with(&told).run().usable());
}

fn contradicting_code() {
    let bench = bench_with(
        &plane().at(500_100.0, 4_830_000.0, 1.0, 1.0).crs(RasterCrs::Text(with_false_easting("500100"))),
    );
    claim_code(&bench.path("base.tif"));
    let answer = answer_for_s(&bench);
    base_numbers(&answer);
    answer.must_warn("crs-keys-disagree", &["500100", "500000", "--elevation-crs"]);
}

fn old_member() {
    let member = |name: &str| json!({ "type": "name", "properties": { "name": name } });
    for (numbers_in, member) in [
        (UTM, member("EPSG:26917")),
        (UTM, member("urn:ogc:def:crs:EPSG::26917")),
        (WGS84, member("urn:ogc:def:crs:OGC:1.3:CRS84")),
        (WGS84, Value::Null),
    ] {
        let bench = base_bench();
        let mut lots = Lots::base().geojson(numbers_in);
        lots["crs"] = member;
        bench.write_json("base.geojson", &lots);
        let answer = answer_for_s(&bench);
        base_numbers(&answer);
        assert!(answer.geojson("map.geojson").get("crs").is_none(), "a crs member is never written");
    }
}

fn no_degrees() {
    let bench = base_bench();
    bench.write_json("projected.geojson", &Lots::base().geojson(UTM));
    let said = ["not degrees", "would lie on the raster", "--parcels-crs"];
    bench.assess("base.tif", "projected.geojson").lot("S").run().refused(4, &said);
}

fn rough_shift() {
    let bench = base_bench();
    Lots::base().to("EPSG:4267").write(&bench.path("old.gpkg"), "GPKG", Some("EPSG:4267"));
    let answer = bench.assess("base.tif", "old.gpkg").lot("S").run().usable();
    answer.must_warn("datum-shift-rough", &["accurate to", " m"]);
    let strict = bench.assess("base.tif", "old.gpkg").lot("S").with(&["--strict"]).out("strict").run();
    strict.refused(8, &["datum-shift-rough"]);
}

fn foreign_database() {
    let bench = base_bench();
    std::fs::create_dir(bench.path("badproj")).expect("the folder can be made");
    bench.write_text("badproj/proj.db", "this is not a database");
    let run = bench.assess("base.tif", "base.geojson").lot("S");
    let outcome = run.environment("PROJ_DATA", "badproj").environment("PROJ_LIB", "badproj").run();
    if outcome.code == Some(0) {
        base_numbers(&outcome.usable());
    } else {
        outcome.refused(9, &["badproj", "PROJ_DATA"]);
    }
}

fn antimeridian() {
    let crs = "+proj=tmerc +lat_0=0 +lon_0=180 +k=0.9996 +x_0=500000 +y_0=0 +datum=WGS84 +units=m +type=crs";
    let here = Elsewhere { crs, west: 499_960.0, north: 5_730_000.0, cell: 1.0 };
    let bench = Bench::new();
    here.raster().write(&bench.path("astride.tif"));
    here.lots().write(&bench.path("lots.gpkg"), "GPKG", Some(crs));
    let answer = bench.assess("astride.tif", "lots.gpkg").lot("S").run().usable();
    here.expect(&answer);
    let map = answer.geojson("map.geojson");
    let sides = geojson::positions(&map).into_iter().map(|at| at.x.signum());
    let (east, west): (Vec<f64>, Vec<f64>) = sides.partition(|side| *side > 0.0);
    assert!(!east.is_empty() && !west.is_empty(), "the scene lies on both sides of 180 degrees");
}
