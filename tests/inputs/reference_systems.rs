//! Coordinate systems: axis order, degrees, missing and contradicting statements, datums.

use crate::common::answer::{Who, close};
use crate::common::bench::Bench;
use crate::common::elsewhere::Elsewhere;
use crate::common::geojson;
use crate::common::lots::{At, Lots, Transform, WGS84, lot, swap_axes};
use crate::common::raster::{Raster, RasterCrs, claim_code, with_false_easting};
use crate::common::scene::{
    CLOSE, FALL, NORTH, SCALE, SIDE, UTM, WEST, answer_for_s, base_bench, base_numbers, bench_with,
    ground_m2, number, plane, ridge, ridge_numbers,
};
use serde_json::{Value, json};

#[test]
fn the_closed_form_of_the_base_area_agrees_with_geodesics() {
    // Two outside sources for the same number: the definition of UTM's scale, and geodesics on the ellipsoid.
    let here = Elsewhere { crs: UTM, west: WEST, north: NORTH, cell: 1.0 };
    close("area of N", here.true_area(20.0, 40.0, 60.0, 60.0), ground_m2(800.0), 1e-6);
}

#[test]
fn every_position_of_the_result_is_longitude_then_latitude() {
    let answer = answer_for_s(&base_bench());
    // The scene's corners: 80 by 80 units east of 81 degrees west (the zone's central meridian).
    let transform = Transform::new(UTM, WGS84);
    let south_west = transform.apply(At { x: WEST, y: NORTH - 80.0 });
    let north_east = transform.apply(At { x: WEST + 80.0, y: NORTH });
    let file = answer.geojson("map.geojson");
    let positions = geojson::positions(&file);
    assert!(!positions.is_empty(), "the map has geometries");
    for at in positions {
        assert!(
            (south_west.x - 1e-6..=north_east.x + 1e-6).contains(&at.x)
                && (south_west.y - 1e-6..=north_east.y + 1e-6).contains(&at.y),
            "{at:?} lies outside the scene {south_west:?} to {north_east:?}"
        );
    }
}

#[test]
fn latitude_first_is_refused_and_the_remedy_named() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    swap_axes(&mut lots);
    bench.write_json("swapped.geojson", &lots);
    let outcome = bench.assess("base.tif", "swapped.geojson").lot("S").run();
    // Found only by trying the other order, which makes it a question of the coordinate system.
    outcome.refused(4, &["swapped.geojson", "swap", "--swap-axes"]);
    let answer = bench.assess("base.tif", "swapped.geojson").lot("S").with(&["--swap-axes"]).run().usable();
    base_numbers(&answer);
}

#[test]
fn a_raster_in_degrees_is_brought_to_metres_and_says_so() {
    // Cells of 1/108,000 degree (about 1.03 m by 0.75 m) over the ridge scene; the ground's height is that of the
    // ridge scene at each cell's place, so the true areas are those of the ridge scene.
    let cell = 1.0 / 108_000.0;
    let transform = Transform::new(UTM, WGS84);
    let back = Transform::new(WGS84, UTM);
    let corner = transform.apply(At { x: WEST, y: NORTH });
    let raster = Raster::of(78, 107, |row, col| {
        let (x, y) = (corner.x + (number(col) + 0.5) * cell, corner.y - (number(row) + 0.5) * cell);
        100.0 - (NORTH - 10.0 - back.apply(At { x, y }).y).abs() * FALL
    });
    let raster = raster.at(corner.x, corner.y, cell, cell).crs(RasterCrs::Code(4326));
    let answer = answer_for_s(&bench_with(&raster));
    answer.must_warn("elevation-warped", &["degree"]);
    // The ridge may move by half a cell when the grid is changed: 0.5 of 30 m.
    close("run_on.area_m2", answer.number("run_on.area_m2"), ground_m2(1200.0), 0.02);
    let cell_m = answer.number("elevation.cell_m");
    // Ground is sent to the lot by whole columns of cells, those whose centre lies below N's or S's 40 units. A column
    // cut by the lot line with its centre outside sends nothing: N, 20 deep, may lose up to half a cell's width on
    // either side and can't gain.
    let (least, most) = (ground_m2(800.0) - 20.0 * cell_m / SCALE, ground_m2(800.0) * (1.0 + CLOSE));
    let found = answer.area_of(Who::Lot("N"));
    assert!((least..=most).contains(&found), "area of N: found {found}, expected {least} to {most}");
    assert!((0.5..=1.5).contains(&cell_m), "elevation.cell_m is {cell_m}: metres on the ground are wanted");
    assert_eq!(answer.text("status"), "complete");
}

#[test]
fn a_raster_without_coordinate_system_is_refused_until_told() {
    let bench = bench_with(&plane().crs(RasterCrs::None));
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(4, &["base.tif", "--elevation-crs"]);
    let told = ["--elevation-crs", UTM];
    base_numbers(&bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable());
}

#[test]
fn a_site_grid_of_its_own_is_refused_by_name() {
    let site = "LOCAL_CS[\"Site grid (ft)\",UNIT[\"Foot\",0.3048]]";
    let bench = bench_with(&plane().crs(RasterCrs::Text(site.to_owned())));
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(4, &["base.tif", "--elevation-crs"]);
}

#[test]
fn parcels_without_coordinate_system_are_refused_until_told() {
    let bench = base_bench();
    Lots::base().write(&bench.path("lots.shp"), "ESRI Shapefile", None);
    bench.assess("base.tif", "lots.shp").lot("S").run().refused(4, &["lots.shp", "--parcels-crs"]);
    let told = ["--parcels-crs", UTM];
    base_numbers(&bench.assess("base.tif", "lots.shp").lot("S").with(&told).run().usable());
}

#[test]
fn a_code_and_parameters_that_disagree_are_both_named() {
    // False easting 500,100 beside the code that has 500,000. The raster is wide enough for both readings, and the
    // ground is the same along its rows: the numbers are those of the base scene either way.
    let raster = Raster::of(SIDE, 400, |row, _| 100.0 - number(row) * FALL)
        .at(WEST - 160.0, NORTH, 1.0, 1.0)
        .crs(RasterCrs::Text(with_false_easting("500100")));
    let bench = bench_with(&raster);
    claim_code(&bench.path("base.tif"));
    let answer = answer_for_s(&bench);
    base_numbers(&answer);
    answer.must_warn(
        "crs-keys-disagree",
        &["base.tif", "EPSG:26917", "500000", "500100", "the file's own numbers"],
    );
    let told = ["--elevation-crs", UTM];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&told).out("told").run().usable();
    base_numbers(&answer);
    assert!(answer.warning("crs-keys-disagree").is_none(), "the user has chosen: {}", answer.at("warnings"));
}

#[test]
fn the_reading_that_is_named_is_the_one_that_is_used() {
    // The raster of the base scene, its numbers right under the code. Under the parameters in the file, which have a
    // false easting 100 greater, the same numbers lie 100 further west: its east edge at 499,980, 40 from
    // the lots, which begin at 500,020.
    let bench = bench_with(&plane().crs(RasterCrs::Text(with_false_easting("500100"))));
    claim_code(&bench.path("base.tif"));
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .run()
        .refused(5, &["base.tif", "base.geojson", "40 m apart"]);
    let told = ["--elevation-crs", UTM];
    base_numbers(&bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable());
}

/// The base lots with a `crs` member of the kind that files had before 2016.
fn with_member(numbers_in: &str, member: Value) -> Bench {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(numbers_in);
    lots["crs"] = member;
    bench.write_json("base.geojson", &lots);
    bench
}

fn named(name: &str) -> Value {
    json!({ "type": "name", "properties": { "name": name } })
}

#[test]
fn an_old_crs_member_is_honoured_in_every_spelling() {
    for name in ["EPSG:26917", "urn:ogc:def:crs:EPSG::26917", "epsg:26917"] {
        base_numbers(&answer_for_s(&with_member(UTM, named(name))));
    }
    base_numbers(&answer_for_s(&with_member(WGS84, named("urn:ogc:def:crs:OGC:1.3:CRS84"))));
    base_numbers(&answer_for_s(&with_member(WGS84, named("EPSG:4326"))));
    base_numbers(&answer_for_s(&with_member(WGS84, Value::Null)));
}

#[test]
fn an_old_crs_member_is_noted_and_never_written() {
    let answer = answer_for_s(&with_member(UTM, named("urn:ogc:def:crs:EPSG::26917")));
    answer.must_say(&["crs", "26917"]);
    geojson::check("contributors.geojson", &answer.geojson("contributors.geojson"));
}

#[test]
fn projected_numbers_in_geojson_without_a_word_are_refused() {
    let bench = base_bench();
    bench.write_json("projected.geojson", &Lots::base().geojson(UTM));
    let outcome = bench.assess("base.tif", "projected.geojson").lot("S").run();
    outcome.refused(
        4,
        &["projected.geojson", "not degrees", "they would lie on the raster", "--parcels-crs EPSG:26917"],
    );
    let told = ["--parcels-crs", UTM];
    base_numbers(&bench.assess("base.tif", "projected.geojson").lot("S").with(&told).run().usable());
}

#[test]
fn a_datum_shift_of_poor_accuracy_is_a_warning_with_its_metres() {
    // From the 1927 datum: without grid files PROJ falls back to an operation good to several metres at best.
    let bench = base_bench();
    let old = Lots::base().to("EPSG:4267");
    old.write(&bench.path("old.gpkg"), "GPKG", Some("EPSG:4267"));
    let answer = bench.assess("base.tif", "old.gpkg").lot("S").run().usable();
    answer.must_warn("datum-shift-rough", &["old.gpkg", " m"]);
    let strict = bench.assess("base.tif", "old.gpkg").lot("S").with(&["--strict"]).out("strict").run();
    strict.refused(8, &["datum-shift-rough"]);
}

#[test]
fn a_broken_coordinate_database_of_another_program_does_no_harm() {
    let bench = base_bench();
    std::fs::create_dir(bench.path("badproj")).expect("the folder can be made");
    bench.write_text("badproj/proj.db", "this is not a database");
    let outcome = bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .environment("PROJ_DATA", "badproj")
        .environment("PROJ_LIB", "badproj")
        .run();
    // Either the built-in database is used, or the broken installation is named: never an unknown code, no panic.
    if outcome.code == Some(0) {
        base_numbers(&outcome.usable());
    } else {
        outcome.refused(9, &["proj.db", "badproj", "PROJ_DATA"]);
        assert!(outcome.stderr.starts_with("error: "), "only our own words:\n{}", outcome.stderr);
    }
}

/// A raster on the world's datum with its unit stated, and lots that need no datum shift to it.
fn unquestionable(raster: Raster) -> Bench {
    unquestionable_with(raster, Lots::base())
}

/// The same with other lots.
fn unquestionable_with(raster: Raster, mut lots: Lots) -> Bench {
    let bench = bench_with(&raster.crs(RasterCrs::Code(32617)).unit("metre"));
    "EPSG:32617".clone_into(&mut lots.crs);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

#[test]
fn nothing_is_wrong_with_inputs_on_one_datum_with_their_unit_stated() {
    let answer = answer_for_s(&unquestionable(ridge()));
    ridge_numbers(&answer, CLOSE);
    let codes: Vec<&Value> = answer.list("warnings").iter().map(|warning| &warning["code"]).collect();
    assert!(codes.is_empty(), "{}", answer.at("warnings"));
}

#[test]
fn a_run_without_any_warning_passes_under_strict() {
    // The crest runs through S, so nothing reaches it and there is no line either.
    let crest = Raster::of(SIDE, SIDE, |row, _| 100.0 - (number(row) + 0.5 - 55.0).abs() * FALL);
    let bench = unquestionable(crest);
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--strict"]).run().usable();
    assert!(answer.list("warnings").is_empty(), "{}", answer.at("warnings"));
}

#[test]
fn a_note_is_no_warning_under_strict() {
    let crest = Raster::of(SIDE, SIDE, |row, _| 100.0 - (number(row) + 0.5 - 55.0).abs() * FALL);
    let mut lots = Lots::base();
    lots.lots.push(lot("above N", 20.0, 40.0, 60.0, 60.0));
    let bench = unquestionable_with(crest, lots);
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--strict"]).run().usable();
    let codes: Vec<&Value> = answer.list("warnings").iter().map(|warning| &warning["code"]).collect();
    assert_eq!(codes, ["lots-stacked"], "{}", answer.at("warnings"));
}
