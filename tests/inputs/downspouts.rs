//! Downspouts and layers of side files on the scene with the ridge: closed forms of where roofs' water goes.
//!
//! The ridge lies 70 units north of the scene's south edge. Without houses 800 square units of N and 400 above it drain onto
//! S. The house over the ridge has 4 of its 10 rows south of it.

use crate::common::answer::{Answer, Who, close};
use crate::common::bench::{Bench, Outcome};
use crate::common::layers::{Layer, house, point, write};
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::scene::{CLOSE, UTM, bench_with, ground_m2, ridge};
use serde_json::{Value, json};

const OVER_RIDGE: [f64; 4] = [35.0, 66.0, 45.0, 76.0];

fn run(bench: &Bench, words: &[&str]) -> Outcome {
    bench.assess("base.tif", "base.geojson").lot("S").with(words).run()
}

/// Houses and downspouts as two layers of one file.
fn with_spouts(houses: &[([f64; 4], &str)], spouts: &[([f64; 2], &str)]) -> Bench {
    let bench = bench_with(&ridge());
    let buildings = houses.iter().map(|&(at, id)| (house(at), id)).collect();
    let downspouts = spouts.iter().map(|&(at, building)| (point(at), building)).collect();
    write(
        &bench.path("houses.gpkg"),
        &[
            Layer { name: "buildings", field: "id", features: buildings },
            Layer { name: "downspouts", field: "building", features: downspouts },
        ],
    );
    bench
}

fn areas(answer: &Answer, of_n: f64, unparcelled: f64) {
    close("N", answer.area_of(Who::Lot("N")), ground_m2(of_n), CLOSE);
    close("unparcelled", answer.area_of(Who::Unparcelled), ground_m2(unparcelled), CLOSE);
    let total = answer.number("run_on.area_m2");
    for (list, field) in
        [("contributors", "area_m2"), ("contributors", "handed_over_area_m2"), ("crossings", "area_m2")]
    {
        close(field, answer.sum(list, field), total, 1e-9);
    }
}

const HOUSES: [&str; 2] = ["--buildings", "houses.gpkg"];

// The lowest ground lies north of the house; a downspout on its south side brings all of the roof, 60 square units of it from
// beyond the ridge. One in the lawn of N does the same.
#[test]
fn a_downspout_leads_a_roof_over_the_ridge() {
    for spout in [[40.0, 65.5], [40.0, 65.99], [40.0, 50.0]] {
        let bench = with_spouts(&[(OVER_RIDGE, "a")], &[(spout, "a")]);
        areas(&run(&bench, &HOUSES).usable(), 800.0, 460.0);
    }
}

// Half-way between 65.5 and 76.5 is 71: five rows of the roof drain south, one of them from beyond the ridge.
#[test]
fn each_part_of_a_roof_drains_to_its_nearest_downspout() {
    let bench = with_spouts(&[(OVER_RIDGE, "a")], &[([40.0, 65.5], "a"), ([40.0, 76.5], "a")]);
    areas(&run(&bench, &HOUSES).usable(), 800.0, 410.0);
}

// The house stands all north of the ridge: without its downspout none of its 70 square units came.
#[test]
fn a_downspout_without_a_name_belongs_to_the_house_beside_it() {
    let behind = [35.0, 72.0, 45.0, 79.0];
    let bench = with_spouts(&[(behind, "a"), ([2.0, 60.0, 8.0, 66.0], "b")], &[([40.0, 69.5], "")]);
    areas(&run(&bench, &HOUSES).usable(), 800.0, 470.0);
    let plain = with_spouts(&[(behind, "a")], &[([40.0, 60.5], "")]);
    let answer = run(&plain, &HOUSES).usable();
    answer.must_warn("downspouts-astray", &["feature 1", "3 m"]);
    areas(&answer, 800.0, 400.0);
}

// A town's file: what lies beyond the ground goes without saying, an id that is mistyped doesn't.
#[test]
fn a_downspout_of_no_building_is_said_where_it_lies_on_the_ground() {
    let bench = with_spouts(&[(OVER_RIDGE, "a")], &[([40.0, 65.5], "c"), ([4000.0, 65.5], "d")]);
    let answer = run(&bench, &HOUSES).usable();
    answer.must_warn("downspouts-astray", &["feature 1", "no building near the raster"]);
    let said = answer.warning("downspouts-astray").expect("it is there");
    assert!(!said.contains("feature 2"), "{said}");
    areas(&answer, 800.0, 360.0);
}

/// The same points as GeoJSON, longitude and latitude.
fn geojson(spouts: &[([f64; 2], Value)]) -> Value {
    let way = crate::common::lots::Transform::new(UTM, WGS84);
    let features: Vec<Value> = spouts
        .iter()
        .map(|(at, properties)| {
            let made = point(*at);
            let number = |i: usize| made["coordinates"][i].as_f64().expect("a number");
            let at = way.apply(crate::common::lots::At { x: number(0), y: number(1) });
            json!({ "type": "Feature", "properties": properties,
                "geometry": { "type": "Point", "coordinates": [at.x, at.y] } })
        })
        .collect();
    json!({ "type": "FeatureCollection", "features": features })
}

#[test]
fn downspouts_may_come_in_a_file_of_their_own() {
    let bench = bench_with(&ridge());
    let [west, south, east, north] = OVER_RIDGE;
    let mut houses = Lots::of(vec![lot("a", west, south, east, north)]).geojson(WGS84);
    houses["features"][0]["properties"] = json!({ "id": "a" });
    bench.write_json("houses.geojson", &houses);
    bench.write_json("spouts.geojson", &geojson(&[([40.0, 65.5], json!({ "building": "a" }))]));
    let words = ["--buildings", "houses.geojson", "--downspouts", "spouts.geojson"];
    let answer = run(&bench, &words).usable();
    areas(&answer, 800.0, 460.0);
    let listed = answer.list("provenance.inputs");
    assert!(listed.iter().any(|file| file["path"] == "spouts.geojson"), "{listed:?}");
    let row = point([40.0, 65.5])["coordinates"].clone();
    bench.write_text("spouts.csv", &format!("building,x,y\na,{},{}\n", row[0], row[1]));
    let table = ["--buildings", "houses.geojson", "--downspouts", "spouts.csv", "--overwrite"];
    areas(&run(&bench, &table).usable(), 800.0, 460.0);
    let alone = ["--downspouts", "spouts.geojson"];
    bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&alone)
        .out("x")
        .run()
        .refused(2, &["--buildings"]);
}

#[test]
fn downspouts_that_name_no_one_building_are_refused() {
    let twice = [(OVER_RIDGE, "a"), ([2.0, 60.0, 8.0, 66.0], "a")];
    let bench = with_spouts(&twice, &[([40.0, 65.5], "a")]);
    run(&bench, &HOUSES).refused(3, &["houses.gpkg", "feature 1", "2 buildings", "\"a\""]);
}

// In the middle of the house there is no free ground within two cells: the roof drains as without it.
#[test]
fn a_downspout_below_the_roof_is_left_out_and_said() {
    let bench = with_spouts(&[(OVER_RIDGE, "a")], &[([40.0, 71.0], "a")]);
    let answer = run(&bench, &HOUSES).usable();
    answer.must_warn("downspout-useless", &["buildings: a"]);
    areas(&answer, 800.0, 360.0);
}

#[test]
fn the_layer_of_a_side_file_is_chosen_by_its_usual_name_or_by_option() {
    let bench = bench_with(&ridge());
    let layer = |name, at| Layer { name, field: "id", features: vec![(house(at), "a")] };
    let beside = [2.0, 60.0, 8.0, 66.0];
    write(&bench.path("usual.gpkg"), &[layer("sheds", beside), layer("buildings", OVER_RIDGE)]);
    write(&bench.path("odd.gpkg"), &[layer("sheds", beside), layer("houses", OVER_RIDGE)]);
    areas(&run(&bench, &["--buildings", "usual.gpkg"]).usable(), 800.0, 360.0);
    let with = |file: &'static str, layer: &'static str| {
        ["--buildings", file, "--buildings-layer", layer, "--overwrite"]
    };
    areas(&run(&bench, &with("usual.gpkg", "sheds")).usable(), 800.0, 400.0);
    areas(&run(&bench, &with("odd.gpkg", "houses")).usable(), 800.0, 360.0);
    let fresh =
        |words: &[&str]| bench.assess("base.tif", "base.geojson").lot("S").with(words).out("fresh").run();
    fresh(&["--buildings", "odd.gpkg"]).refused(3, &["odd.gpkg", "sheds, houses", "--buildings-layer"]);
    fresh(&with("odd.gpkg", "barns")[..4]).refused(3, &["\"barns\"", "--buildings-layer"]);
    fresh(&["--soils-layer", "x"]).refused(2, &["--soils"]);
}
