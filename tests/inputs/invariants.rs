//! What must hold on any ground, tried on ground without a known answer and on the base scene.

use serde_json::Value;

use crate::common::answer::{Answer, close};
use crate::common::geojson;
use crate::common::rough::rough_bench;
use crate::common::scene::{answer_for_s, base_bench};

/// Room for the rounding of sums.
const SUMS: f64 = 1e-9;

fn rough_answer() -> Answer {
    rough_bench().assess("base.tif", "base.geojson").lot("C3").run().usable()
}

fn both() -> [Answer; 2] {
    [answer_for_s(&base_bench()), rough_answer()]
}

#[test]
fn the_rough_ground_is_a_case_worth_testing() {
    let answer = rough_answer();
    assert!(answer.number("run_on.area_m2") > 100.0, "{}", answer.at("run_on"));
    assert!(answer.list("contributors").len() >= 3, "{}", answer.at("contributors"));
}

#[test]
fn contributions_crossings_and_handed_over_areas_add_up_to_the_run_on() {
    for answer in both() {
        let total = answer.number("run_on.area_m2");
        close("sum of contributors.area_m2", answer.sum("contributors", "area_m2"), total, SUMS);
        close("sum of handed_over_area_m2", answer.sum("contributors", "handed_over_area_m2"), total, SUMS);
        close("sum of crossings.area_m2", answer.sum("crossings", "area_m2"), total, SUMS);
        close("sum of share_of_run_on", answer.sum("contributors", "share_of_run_on"), 1.0, SUMS);
        close("sum of the crossings' shares", answer.sum("crossings", "share_of_run_on"), 1.0, SUMS);
    }
}

#[test]
fn every_crossing_is_the_sum_of_its_contributors() {
    for answer in both() {
        for crossing in answer.list("crossings") {
            let parts: f64 = crossing["contributors"]
                .as_array()
                .expect("a list")
                .iter()
                .map(|row| row["area_m2"].as_f64().expect("a number"))
                .sum();
            close("contributors of a crossing", parts, crossing["area_m2"].as_f64().expect("a number"), SUMS);
        }
    }
}

#[test]
fn every_contributor_keeps_its_bounds() {
    for answer in both() {
        let total = answer.number("run_on.area_m2");
        for row in answer.list("contributors") {
            let number = |field: &str| row[field].as_f64().unwrap_or_else(|| panic!("{field}: {row}"));
            let area = number("area_m2");
            assert!(area >= 0.0 && number("handed_over_area_m2") >= 0.0, "no negative areas: {row}");
            assert!(number("straight_area_m2") <= area * (1.0 + SUMS), "straight is a part of it: {row}");
            close("share_of_run_on", number("share_of_run_on"), area / total, SUMS);
            if let Some(share) = row["share_of_parcel"].as_f64() {
                assert!((0.0..=1.0 + 1e-6).contains(&share), "a parcel can't send more than all: {row}");
            }
        }
    }
}

#[test]
fn the_area_limited_by_the_edge_is_that_of_the_crossings_concerned() {
    for answer in both() {
        let concerned: f64 = answer
            .list("crossings")
            .iter()
            .filter(|crossing| crossing["complete"] == false)
            .map(|crossing| crossing["area_m2"].as_f64().expect("a number"))
            .sum();
        close("edge_limited_area_m2", answer.number("run_on.edge_limited_area_m2"), concerned, SUMS);
        let complete = answer.list("crossings").iter().all(|crossing| crossing["complete"] == true);
        if answer.text("status") == "complete" {
            assert!(complete, "a complete result has complete crossings: {}", answer.at("crossings"));
        }
    }
}

#[test]
fn crossings_come_in_order_and_lie_on_their_ring() {
    for answer in both() {
        let crossings = answer.list("crossings");
        let place = |row: &Value| {
            (row["ring"].as_f64().expect("a number"), row["from_m"].as_f64().expect("a number"))
        };
        for pair in crossings.windows(2) {
            assert!(place(&pair[0]) < place(&pair[1]), "in the order of ring and chainage: {pair:?}");
        }
        for crossing in crossings {
            let width = crossing["to_m"].as_f64().expect("a number") - place(crossing).1;
            assert!(width > 0.0, "a crossing has a width: {crossing}");
            let narrow = crossing["width_80_m"].as_f64().expect("a number");
            assert!(narrow <= width * (1.0 + SUMS), "four fifths need no more than all: {crossing}");
        }
    }
}

#[test]
fn every_written_geojson_file_follows_its_standard() {
    for answer in both() {
        for entry in std::fs::read_dir(&answer.out).expect("the result can be listed") {
            let name = entry.expect("the result can be listed").file_name().to_string_lossy().into_owned();
            if name.ends_with(".geojson") {
                geojson::check(&name, &answer.geojson(&name));
            }
        }
    }
}

#[test]
fn the_map_says_the_kind_of_every_feature_and_styles_it_by_the_public_names() {
    let answer = rough_answer();
    let map = answer.geojson("map.geojson");
    for feature in map["features"].as_array().expect("a list") {
        let properties = &feature["properties"];
        assert!(properties["kind"].is_string(), "kind: {properties}");
        for name in ["stroke", "fill", "marker-color"] {
            let Some(colour) = properties.get(name) else { continue };
            // simplestyle-spec 1.1.0: colours are #rgb or #rrggbb.
            let digits = colour.as_str().and_then(|text| text.strip_prefix('#')).unwrap_or_default();
            let right = matches!(digits.len(), 3 | 6) && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
            assert!(right, "{name} must be #rgb or #rrggbb: {colour}");
        }
    }
}

#[test]
fn the_layers_tell_the_same_areas_as_the_summary() {
    for answer in both() {
        let layer = answer.geojson("contributors.geojson");
        let mut found: Vec<(String, f64)> = layer["features"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|feature| {
                let row = &feature["properties"];
                (row["id"].to_string(), row["area_m2"].as_f64().unwrap_or_else(|| panic!("area_m2: {row}")))
            })
            .collect();
        let mut wanted: Vec<(String, f64)> = answer
            .list("contributors")
            .iter()
            .map(|row| (row["id"].to_string(), row["area_m2"].as_f64().expect("a number")))
            .collect();
        found.sort_by(|one, two| one.0.cmp(&two.0));
        wanted.sort_by(|one, two| one.0.cmp(&two.0));
        assert_eq!(found.len(), wanted.len(), "one feature for each contributor: {found:?}");
        for (layer, summary) in found.iter().zip(&wanted) {
            assert_eq!(layer.0, summary.0);
            close(&format!("area of {}", layer.0), layer.1, summary.1, 1e-6);
        }
    }
}
