//! The base scene with the ridge screened as a town of two lots: closed forms, files, refusals, complaints.
//!
//! Water falls straight down the columns. Between the ridge and N lie 10 rows of land without a lot, N has 20 rows, S 30; all 40
//! columns wide. So N gets 400 units from that land, S 400 from it and 800 from N; N sheds 800 onto S, S 1200 onto land
//! without a lot.

use crate::common::answer::close;
use crate::common::bench::{Bench, OUT, Outcome, Run};
use crate::common::lots::{At, Transform, WGS84};
use crate::common::raster::Raster;
use crate::common::scene::{CLOSE, NORTH, UTM, WEST, bench_with, ground_m2, plane, ridge};
use serde_json::Value;
use std::collections::BTreeMap;

const RULES: &str = r#"
classes = ["wet", "damp"]
otherwise = "dry"
[[rule]]
name = "a quarter"
class = "damp"
when = [{ measure = "run_on_per_lot_area", at_least = 0.25 }]
[[rule]]
name = "nine tenths of the lot"
class = "wet"
when = [{ measure = "run_on_per_lot_area", at_least = 0.9 }]
"#;

fn town<'a>(bench: &'a Bench, words: &[&str]) -> Run<'a> {
    bench
        .program(&["screen", "--elevation", "base.tif", "--parcels", "base.geojson", "--out", OUT])
        .with(words)
}

fn of(raster: &Raster) -> Bench {
    bench_with(raster)
}

fn done(outcome: &Outcome) {
    assert_eq!(outcome.code, Some(0), "{}", outcome.stderr);
}

/// Rows of a table of the result by column name.
fn rows(outcome: &Outcome, name: &str) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_path(outcome.out.join(name)).expect("the table is there");
    table.deserialize().map(|row| row.expect("the row can be read")).collect()
}

fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().expect("a figure stands in the column")
}

fn json(outcome: &Outcome, name: &str) -> Value {
    let text = std::fs::read_to_string(outcome.out.join(name)).expect("the file is there");
    serde_json::from_str(&text).expect("it is JSON")
}

#[test]
fn two_lots_on_a_plane_get_what_lies_above_them() {
    let bench = of(&ridge());
    bench.write_text("rules.toml", RULES);
    // 0.5 * 100 mm/h * A; 1200 units of ground give 0.0167 m³/s.
    let storm = ["--intensity", "100mm/h", "--coefficient", "0.5", "--rules", "rules.toml"];
    let outcome = town(&bench, &storm).run();
    done(&outcome);
    let lots = rows(&outcome, "lots.csv");
    assert_eq!(lots.iter().map(|row| row["id"].as_str()).collect::<Vec<_>>(), ["S", "N"]);
    let area = |units: f64| ground_m2(units);
    for (row, run_on, share, shed) in
        [(&lots[0], 1200.0, 1.0, [0.0, 1200.0]), (&lots[1], 400.0, 0.5, [800.0, 0.0])]
    {
        close("run_on_area_m2", number(row, "run_on_area_m2"), area(run_on), CLOSE);
        close("run_on_per_lot_area", number(row, "run_on_per_lot_area"), share, 2e-3);
        close("sheet_area_m2", number(row, "sheet_area_m2"), area(run_on), CLOSE);
        close("flow_m3_s", number(row, "flow_m3_s"), 0.5 * 0.1 / 3600.0 * area(run_on), 2e-3);
        assert!((number(row, "sheds_to_parcels_m2") - area(shed[0])).abs() < 1.0);
        assert!((number(row, "sheds_to_unparcelled_m2") - area(shed[1])).abs() < 1.0);
        assert_eq!(row["complete"], "yes");
    }
    assert_eq!((lots[0]["largest_contributor"].as_str(), lots[0]["contributors"].as_str()), ("N", "1"));
    assert_eq!((lots[0]["class"].as_str(), lots[1]["class"].as_str()), ("wet", "damp"));
    assert_eq!(
        lots[0]["reasons"],
        "nine tenths of the lot (run_on_per_lot_area 1, at least 0.9); a quarter (run_on_per_lot_area 1, at least 0.25)"
    );
    let pairs = rows(&outcome, "pairs.csv");
    let pair = |receiving: &str, source: &str| {
        let is_it =
            |row: &&BTreeMap<String, String>| row["receiving_id"] == receiving && row["source_id"] == source;
        pairs.iter().find(is_it).unwrap_or_else(|| panic!("{source} onto {receiving}"))
    };
    let from_n = pair("S", "N");
    close("area", number(from_n, "area_m2"), area(800.0), CLOSE);
    close("straight", number(from_n, "straight_area_m2"), area(800.0), CLOSE);
    close("handed over", number(from_n, "handed_over_area_m2"), area(1200.0), CLOSE);
    // 40 cells of one unit side by side.
    close("crossing_length_m", number(from_n, "crossing_length_m"), 40.0 / 0.9996, 2e-3);
    let from_land = pair("S", "");
    close("through", number(from_land, "through_others_area_m2"), area(400.0), CLOSE);
    assert!(number(from_land, "handed_over_area_m2") < 1.0);
    close("share", number(from_land, "share_of_run_on"), 1.0 / 3.0, 2e-3);
}

#[test]
fn every_file_is_there_and_holds_the_same_lots() {
    let bench = of(&ridge());
    let outcome = town(&bench, &["--json"]).run();
    done(&outcome);
    let mut names: Vec<String> = std::fs::read_dir(&outcome.out)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let wanted = ["lots.csv", "lots.geojson", "lots.gpkg", "pairs.csv", "screening.html", "screening.json"];
    assert_eq!(names, wanted);
    let summary = json(&outcome, "screening.json");
    assert_eq!(serde_json::from_str::<Value>(&outcome.stdout).unwrap(), summary);
    assert_eq!(summary["lots"]["listed"], 2);
    assert_eq!(summary["top"], serde_json::json!(["S", "N"]));
    let layer = json(&outcome, "lots.geojson");
    let ids: Vec<&str> = layer["features"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["properties"]["id"].as_str().unwrap())
        .collect();
    assert_eq!(ids, ["S", "N"]);
    let package = gdal::Dataset::open(outcome.out.join("lots.gpkg")).unwrap();
    let counts: Vec<u64> = ["lots", "pairs"]
        .map(|name| gdal::vector::LayerAccess::feature_count(&package.layer_by_name(name).unwrap()))
        .to_vec();
    assert_eq!(counts[0], 2);
    assert_eq!(counts[1], u64::try_from(rows(&outcome, "pairs.csv").len()).unwrap());
    let page = std::fs::read_to_string(outcome.out.join("screening.html")).unwrap();
    assert!(page.contains("<svg class=\"map\"") && page.contains("--routing single --lot ID"), "{page}");
    assert!(!page.contains("&lt;town-"), "every sentence of the page is there");
}

#[test]
fn a_result_is_not_replaced_unasked_and_comes_out_the_same_twice() {
    let bench = of(&ridge());
    let first = town(&bench, &[]).run();
    done(&first);
    let bytes = |outcome: &Outcome| -> Vec<Vec<u8>> {
        let names =
            ["lots.csv", "lots.geojson", "lots.gpkg", "pairs.csv", "screening.html", "screening.json"];
        names.map(|name| std::fs::read(outcome.out.join(name)).unwrap()).into()
    };
    let before = bytes(&first);
    let again = town(&bench, &[]).run();
    assert_eq!(again.code, Some(7), "{}", again.stderr);
    let again = town(&bench, &["--overwrite", "--threads", "1"]).run();
    done(&again);
    assert_eq!(bytes(&again), before);
}

#[test]
fn a_catchment_that_the_raster_cuts_is_at_least_what_is_seen_and_refused_under_strict() {
    let bench = of(&plane());
    let strict = town(&bench, &["--strict"]).run();
    strict.refused(8, &["lots-cut-by-edge"]);
    let outcome = town(&bench, &[]).run();
    done(&outcome);
    let lots = rows(&outcome, "lots.csv");
    // 40 rows lie above S on the plane, 20 above N.
    close("run_on_area_m2", number(&lots[0], "run_on_area_m2"), ground_m2(1600.0), CLOSE);
    assert!(
        lots.iter().all(|row| row["complete"] == "no, at least" && number(row, "edge_limited_share") > 0.99)
    );
}

#[test]
fn complaints_by_id_and_by_place_are_grouped_by_what_lies_above_them() {
    let bench = of(&ridge());
    bench.write_text("ids.csv", "complaint,lot\n2024-1,S\n2024-2,N\n2024-3,nowhere\n");
    let outcome = town(&bench, &["--complaints", "ids.csv"]).run();
    done(&outcome);
    assert!(outcome.stderr.contains("complaints-without-lot") && outcome.stderr.contains("2024-3"));
    let groups = json(&outcome, "screening.json")["complaint_groups"].clone();
    assert_eq!(groups.as_array().unwrap().len(), 1, "N gives S two thirds of its run-on: {groups}");
    assert_eq!(groups[0]["lots"][0]["id"], "N");
    assert_eq!(groups[0]["lots"][1]["complaints"], "2024-1");
    // Land without a lot is upstream of both: 400 and 400 units.
    let source = &groups[0]["sources"][0];
    assert_eq!((&source["id"], &source["lots"]), (&Value::Null, &serde_json::json!(2)));
    close("area_m2", source["area_m2"].as_f64().unwrap(), ground_m2(800.0), CLOSE);

    let at = Transform::new(UTM, WGS84).apply(At { x: WEST + 40.0, y: NORTH - 50.0 });
    bench.write_text("places.csv", &format!("case,lon,lat\n7,{},{}\n", at.x, at.y));
    let outcome = town(&bench, &["--complaints", "places.csv", "--overwrite"]).run();
    done(&outcome);
    let lots = rows(&outcome, "lots.csv");
    assert_eq!(lots.len(), 1, "only the lot of the complaint is listed");
    assert_eq!((lots[0]["id"].as_str(), lots[0]["complaints"].as_str()), ("S", "7"));
    assert!(rows(&outcome, "pairs.csv").iter().all(|row| row["receiving_id"] == "S"));
}

#[test]
fn what_cannot_be_used_is_refused_and_inputs_are_never_replaced() {
    let bench = of(&ridge());
    bench.write_text(
        "rules.toml",
        "classes = [\"a\"]\notherwise = \"b\"\n[[rule]]\nname = \"r\"\nclass = \"c\"\nwhen = []\n",
    );
    town(&bench, &["--rules", "rules.toml"]).run().refused(3, &["rules.toml", "\"r\" has the class \"c\""]);
    town(&bench, &["--rules", "gone.toml"]).run().refused(3, &["gone.toml"]);
    town(&bench, &["--complaints", "gone.csv"]).run().refused(3, &["gone.csv"]);
    bench.write_text("empty.csv", "complaint,owner\n1,x\n");
    town(&bench, &["--complaints", "empty.csv"]).run().refused(3, &["no columns lon and lat"]);
    town(&bench, &["--intensity", "100mm/h"]).run().refused(2, &["--coefficient"]);
    // The parcels stand where the result would: as an input, and beside the inputs.
    std::fs::create_dir(bench.path("mine")).unwrap();
    std::fs::copy(bench.path("base.geojson"), bench.path("mine/lots.geojson")).unwrap();
    for (parcels, code, words) in
        [("mine/lots.geojson", 2, "is an input"), ("base.geojson", 7, "lots.geojson")]
    {
        let run =
            bench.program(&["screen", "--elevation", "base.tif", "--parcels", parcels, "--out", "mine"]);
        let outcome = run.with(&["--overwrite"]).run();
        assert_eq!(outcome.code, Some(code), "{}", outcome.stderr);
        assert!(outcome.stderr.contains(words), "{}", outcome.stderr);
    }
    assert_eq!(
        std::fs::read(bench.path("mine/lots.geojson")).unwrap(),
        std::fs::read(bench.path("base.geojson")).unwrap()
    );
}
