//! Exit statuses: each class of refusal, that it names its cause, and that it leaves nothing behind.

use serde_json::json;

use crate::common::answer::Files;
use crate::common::bench::OUT;
use crate::common::lots::{Lots, WGS84};
use crate::common::scene::base_bench;

#[test]
fn wrong_usage_is_status_2() {
    let bench = base_bench();
    bench
        .program(&["assess", "--elevation", "base.tif", "--lot", "S", "--out", OUT])
        .run()
        .refused(2, &["--parcels"]);
    bench.assess("base.tif", "base.geojson").run().refused(2, &["--lot"]);
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--lott", "S"]).run().refused(2, &["--lott"]);
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--lot-at", "-81,43.6"])
        .run()
        .refused(2, &["--lot-at"]);
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--routing", "wild"])
        .run()
        .refused(2, &["wild"]);
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--setback", "2cubits"])
        .run()
        .refused(2, &["cubits"]);
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--catch", "1.5"]).run().refused(2, &["1.5"]);
    bench.program(&["divine"]).run().refused(2, &["divine"]);
}

#[test]
fn a_missing_file_is_status_3_and_named() {
    let bench = base_bench();
    bench.assess("missing.tif", "base.geojson").lot("S").run().refused(3, &["missing.tif"]);
    bench.assess("base.tif", "missing.geojson").lot("S").run().refused(3, &["missing.geojson"]);
}

#[test]
fn a_file_of_another_kind_is_status_3_and_named() {
    let bench = base_bench();
    bench.write_text("words.tif", "not a raster");
    bench.write_text("words.geojson", "not json");
    bench.assess("words.tif", "base.geojson").lot("S").run().refused(3, &["words.tif"]);
    bench.assess("base.tif", "words.geojson").lot("S").run().refused(3, &["words.geojson"]);
}

#[test]
fn an_unknown_lot_is_status_6_and_says_what_there_is() {
    let bench = base_bench();
    let outcome = bench.assess("base.tif", "base.geojson").lot("Q7").run();
    outcome.refused(6, &["base.geojson"]);
    for id in ["Q7", "N", "S"] {
        outcome.must_name(id);
    }
    // Keys are compared as they are; one that differs by its case alone is offered.
    let outcome = bench.assess("base.tif", "base.geojson").lot("s").run();
    outcome.refused(6, &[]);
    outcome.must_name("s");
    outcome.must_name("S");
}

#[test]
fn two_lots_of_the_same_key_are_status_6() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    for feature in lots["features"].as_array_mut().expect("a list") {
        feature["properties"]["pid"] = json!("S");
    }
    bench.write_json("twins.geojson", &lots);
    let outcome = bench.assess("base.tif", "twins.geojson").lot("S").with(&["--id-field", "pid"]).run();
    outcome.refused(6, &["--id-field"]);
    outcome.must_name("S");
}

#[test]
fn a_key_field_that_is_not_there_is_named_with_those_that_are() {
    let bench = base_bench();
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").with(&["--id-field", "roll"]).run();
    outcome.refused(6, &["roll", "pid"]);
}

#[test]
fn a_point_outside_all_lots_is_status_6() {
    let bench = base_bench();
    let outcome = bench.assess("base.tif", "base.geojson").with(&["--lot-at=-81.0001,43.6225"]).run();
    outcome.refused(6, &[]);
    // The nearest lot is named with its distance.
    outcome.must_name("S");
    outcome.must_name("m");
}

#[test]
fn an_earlier_result_is_refused_and_stays_untouched() {
    let bench = base_bench();
    bench.assess("base.tif", "base.geojson").lot("S").run().usable();
    let before = Files::of(&bench.path(OUT));
    let again = bench.assess("base.tif", "base.geojson").lot("N").run();
    assert_eq!(again.code, Some(7), "{}", again.stderr);
    assert!(again.stderr.contains("--overwrite"), "the remedy is named:\n{}", again.stderr);
    again.files().same_as(&before, "after a refused run");

    let told = bench.assess("base.tif", "base.geojson").lot("N").with(&["--overwrite"]).run().usable();
    assert_eq!(told.text("lot.id"), "N");
}

#[test]
fn an_earlier_result_outlives_a_run_that_fails() {
    let bench = base_bench();
    bench.assess("base.tif", "base.geojson").lot("S").run().usable();
    let before = Files::of(&bench.path(OUT));
    let failed = bench.assess("base.tif", "base.geojson").lot("Q7").with(&["--overwrite"]).run();
    assert_eq!(failed.code, Some(6), "{}", failed.stderr);
    failed.files().same_as(&before, "after a failed run");
}

#[test]
fn files_of_others_in_the_result_folder_are_kept() {
    let bench = base_bench();
    bench.assess("base.tif", "base.geojson").lot("S").run().usable();
    std::fs::write(bench.path(OUT).join("notes.txt"), "mine").expect("it can be written");
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--overwrite"]).run().usable();
    let kept = std::fs::read_to_string(bench.path(OUT).join("notes.txt")).expect("the file is kept");
    assert_eq!(kept, "mine");
}

#[test]
fn a_file_where_the_result_folder_should_be_is_status_7() {
    let bench = base_bench();
    bench.write_text(OUT, "in the way");
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").run();
    assert_eq!(outcome.code, Some(7), "{}", outcome.stderr);
    assert_eq!(std::fs::read_to_string(bench.path(OUT)).expect("it is still a file"), "in the way");
}

#[test]
fn strict_turns_a_warning_into_status_8_and_keeps_nothing() {
    // The base scene has warnings: its vertical unit is assumed and its catchment is cut by the raster.
    let bench = base_bench();
    let outcome = bench.assess("base.tif", "base.geojson").lot("S").with(&["--strict"]).run();
    outcome.refused(8, &["vertical-unit-assumed"]);
}
