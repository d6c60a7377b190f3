//! The same lots in other vector formats, and keys in other places.

use serde_json::json;

use crate::common::lots::{Lots, WGS84};
use crate::common::scene::{UTM, answer_for_s, base_bench, base_numbers};

#[test]
fn every_vector_format_gives_the_base_numbers() {
    for (name, driver) in [("lots.gpkg", "GPKG"), ("lots.shp", "ESRI Shapefile"), ("lots.fgb", "FlatGeobuf")]
    {
        let bench = base_bench();
        Lots::base().write(&bench.path(name), driver, Some(UTM));
        base_numbers(&bench.assess("base.tif", name).lot("S").run().usable());
    }
}

#[test]
fn the_key_may_stand_at_the_feature_itself() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    for (feature, id) in lots["features"].as_array_mut().expect("a list").iter_mut().zip(["N", "S"]) {
        feature["properties"] = json!({ "zoning": "residential" });
        feature["id"] = json!(id);
    }
    bench.write_json("base.geojson", &lots);
    base_numbers(&answer_for_s(&bench));
}

#[test]
fn keys_are_text_and_keep_their_leading_zeros() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    lots["features"][0]["properties"]["pid"] = json!("7");
    lots["features"][1]["properties"]["pid"] = json!("007");
    bench.write_json("base.geojson", &lots);
    let answer = bench.assess("base.tif", "base.geojson").lot("007").run().usable();
    assert_eq!(answer.text("lot.id"), "007");
    assert_eq!(
        answer.contributor(crate::common::answer::Who::Lot("7")).map(|row| row["id"].clone()),
        Some(json!("7"))
    );
}

#[test]
fn the_lot_may_be_given_by_a_point_in_it() {
    let bench = base_bench();
    let middle = crate::common::lots::Transform::new(UTM, WGS84)
        .apply(crate::common::lots::At { x: 500_040.0, y: 4_829_945.0 });
    let at = format!("--lot-at={},{}", middle.x, middle.y);
    let answer = bench.assess("base.tif", "base.geojson").with(&[&at]).run().usable();
    assert_eq!(answer.text("lot.id"), "S");
    base_numbers(&answer);
}
