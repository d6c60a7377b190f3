//! `summary.json` keeps to its published schema, and the schema lets nothing else pass.

#[cfg(test)]
mod runs;
#[cfg(test)]
mod validator;

#[cfg(test)]
mod tests {
    use super::runs::{Folder, base_scene, demo_scene};
    use super::validator::Schema;
    use serde_json::{Value, json};

    fn schema() -> Schema {
        Schema::new(include_str!("../../docs/summary.schema.json"))
    }

    fn must_hold(what: &str, summary: &Value) {
        let faults = schema().faults(summary);
        assert!(faults.is_empty(), "{what}:\n{}", faults.join("\n"));
    }

    fn demo() -> Value {
        Folder::new().summary(&["demo", "--json", "--out", "d"])
    }

    #[test]
    fn the_demos_summary_holds_and_is_the_same_in_the_file() {
        let folder = Folder::new();
        let printed = folder.summary(&["demo", "--json", "--out", "d"]);
        must_hold("demo", &printed);
        assert_eq!(printed, folder.read_json("d/summary.json"));
    }

    #[test]
    fn every_kind_of_answer_holds() {
        let demo = demo_scene();
        let small = demo.assess(&["--lot", "Alder 4"]);
        assert!(small["design"].is_null() && small["interception_line"]["parts"][0]["sizing"].is_null());
        must_hold("no storm", &small);
        let ground = ["--default-cover", "lawn-good", "--soil-group", "C", "--intensity", "4in/h"];
        let twice = ["--lot", "Alder 4", "--rain-depth", "4in", "--rainfall-type", "III"];
        let graphical = demo.assess(&[&twice[..], &ground].concat());
        assert!(
            graphical["design"]["graphical"].is_object() && graphical["design"]["hydrograph"].is_object()
        );
        must_hold("the graphical method", &graphical);
        let storm = ["--inlets", "d/inlets.geojson", "--rainfall", "d/rainfall.csv"];
        for arrangement in ["one-pipe", "two-pipes", "swale", "swale-over-drain", "basins"] {
            // The line of one part that every arrangement can be built for.
            let named = ["--lot", "Alder 4", "--catch", "0.9", "--arrangement", arrangement];
            let found = demo.assess(&[&named[..], &storm, &ground[..4]].concat());
            assert_eq!(found["interception_line"]["parts"][0]["drain"]["arrangement"], arrangement);
            must_hold(arrangement, &found);
        }
        let kept =
            demo.assess(&["--lot", "Alder 4", "--keep-fields", "id", "--routing", "single", "--rasters"]);
        assert!(kept["contributors"].to_string().contains("\"fields\""));
        must_hold("fields kept, single routing", &kept);
        let steepest = demo.assess(&["--lot", "Alder 4", "--routing", "steepest"]);
        assert!(steepest["run_on"]["single_routing_area_m2"].is_null());
        must_hold("steepest routing", &steepest);
        let sure =
            ["--lot", "Alder 4", "--elevation-rmse", "0.1m", "--realisations", "16", "--why", "Alder 5"];
        let sure = demo.assess(&sure);
        assert_eq!(sure["certainty"]["realisations"], 16);
        assert_eq!(sure["explanations"][0]["id"], "Alder 5");
        assert!(sure["contributors"][0]["likelihood"].is_number());
        must_hold("repeats", &sure);
        let flood = demo.assess(&[
            "--lot",
            "Alder 4",
            "--intensity",
            "4000in/h",
            "--coefficient",
            "1",
            "--units",
            "us",
        ]);
        assert!(flood.to_string().contains("\"none-fits\""));
        must_hold("no pipe fits", &flood);
    }

    #[test]
    fn answers_at_the_edge_of_the_data_hold() {
        let open = base_scene("100 - 0.02 * row", |row, _| Some(100.0 - 0.02 * row)).assess(&["--lot", "S"]);
        assert_eq!(open["status"], "incomplete");
        assert_eq!(open["run_on"]["completeness"]["edges"][0]["side"], "north");
        must_hold("cut by the edge", &open);
        let holed = base_scene("with holes", |row, col| {
            let large = (5.0..32.0).contains(&row) && (30.0..55.0).contains(&col);
            let small = (35.0..36.0).contains(&row) && (25.0..27.0).contains(&col);
            (!large && !small).then_some(100.0 - 0.02 * row)
        })
        .assess(&["--lot", "S"]);
        let fates = holed["elevation"]["holes"].to_string();
        assert!(fates.contains("too-large") && fates.contains("bridged"), "{fates}");
        must_hold("with holes", &holed);
        let crest =
            base_scene("crest", |row, _| Some(100.0 - 0.02 * (row - 54.5).abs())).assess(&["--lot", "S"]);
        assert_eq!(crest["contributors"], json!([]));
        must_hold("no run-on", &crest);
    }

    // A wall a hand's breadth from the line, an easement across its lead, an inlet that stands full, and a ditch.
    #[test]
    fn what_stands_beside_the_line_and_at_its_outlets_holds() {
        let scene = base_scene("ridge", |row, _| Some(100.0 - 0.02 * (row - 9.5).abs()));
        let feature = |properties: Value, geometry: Value| json!({ "type": "Feature", "properties": properties, "geometry": geometry });
        let at = |x: f64, y: f64| json!([500_000.0 + x, 4_829_920.0 + y]);
        let line = |from: Value, to: Value| json!({ "type": "LineString", "coordinates": [from, to] });
        let write = |name: &str, features: Value| {
            let crs = json!({ "type": "name", "properties": { "name": "urn:ogc:def:crs:EPSG::26917" } });
            let file = json!({ "type": "FeatureCollection", "crs": crs, "features": features });
            scene.write(name, &file.to_string());
        };
        let wall = feature(json!({ "kind": "wall", "distance": 0.9 }), line(at(10.0, 39.9), at(59.0, 39.9)));
        let strip = feature(json!({ "kind": "easement" }), line(at(62.0, -60.0), at(62.0, 140.0)));
        write("keep.geojson", json!([wall, strip]));
        write("ditches.geojson", json!([feature(json!({ "id": "D" }), line(at(66.5, 30.0), at(66.5, 4.0)))]));
        scene.write("inlets.csv", "id,x,y,rim,invert\nA,500066.5,4829944.5,99.6,97.5\n");
        let files = ["--keep-out", "keep.geojson", "--ditches", "ditches.geojson", "--inlets", "inlets.csv"];
        let storm = ["--lot", "S", "--intensity", "4in/h", "--coefficient", "0.35"];
        let found = scene.assess(&[&files[..], &storm].concat());
        let part = &found["interception_line"]["parts"][0];
        for list in ["keep_outs", "undercuts"] {
            assert!(part[list].as_array().is_some_and(|rows| !rows.is_empty()), "{list}: {part}");
        }
        let ways = part["outlets"].to_string();
        for word in ["\"ditch\"", "\"chamber\"", "\"pump\"", "\"rim\"", "\"surface\"", "\"above_ground_m\""] {
            assert!(ways.contains(word), "{word}: {ways}");
        }
        must_hold("beside the line", &found);
    }

    #[test]
    fn a_raster_in_degrees_holds() {
        let demo = demo_scene();
        let warped = demo.assess_with(
            &["--elevation", "degrees.asc", "--elevation-crs", "EPSG:4326", "--elevation-unit", "m"],
            &["--lot", "Alder 4"],
        );
        assert_eq!(warped["elevation"]["grid"]["kind"], "warped");
        must_hold("degrees", &warped);
    }

    /// Where the schema leaves room on purpose.
    fn is_open(place: &str) -> bool {
        place.starts_with("/provenance/settings")
    }

    /// Places of all values of a document.
    fn places(value: &Value, at: &str, found: &mut Vec<String>) {
        found.push(at.to_owned());
        match value {
            Value::Object(map) => map.iter().for_each(|(name, v)| places(v, &format!("{at}/{name}"), found)),
            Value::Array(items) => {
                items.iter().enumerate().for_each(|(i, v)| places(v, &format!("{at}/{i}"), found));
            }
            _ => {}
        }
    }

    fn changed(document: &Value, at: &str, change: impl FnOnce(&mut Value)) -> Value {
        let mut copy = document.clone();
        change(copy.pointer_mut(at).expect("the place is there"));
        copy
    }

    #[test]
    fn no_broken_document_passes() {
        let (schema, document) = (schema(), demo());
        let mut all = Vec::new();
        places(&document, "", &mut all);
        let mut broken = 0;
        let mut must_fail = |what: String, copy: &Value| {
            assert!(!schema.faults(copy).is_empty(), "{what}: the schema lets it pass");
            broken += 1;
        };
        for at in all.iter().filter(|at| !is_open(at)) {
            let here = document.pointer(at).expect("the place is there");
            let wrong = if here.is_object() { json!("text") } else { json!({ "surprise": 1 }) };
            must_fail(format!("{at} of another type"), &changed(&document, at, |v| *v = wrong));
            for name in here.as_object().into_iter().flat_map(serde_json::Map::keys) {
                let without = changed(&document, at, |v| {
                    v.as_object_mut().expect("an object").remove(name);
                });
                must_fail(format!("{at} without {name}"), &without);
            }
            if here.is_object() && !at.is_empty() {
                let with = changed(&document, at, |v| v["surprise"] = json!(1));
                must_fail(format!("{at} with something more"), &with);
            }
        }
        assert!(broken > 500, "{broken} broken documents were tried");
    }

    #[test]
    fn numbers_and_words_out_of_range_do_not_pass() {
        let (schema, document) = (schema(), demo());
        let cases = [
            ("/schema_version", json!(2)),
            ("/program/name", json!("another")),
            ("/status", json!("maybe")),
            ("/lot/area_m2", json!(0.0)),
            // What JSON makes of a number that isn't one.
            ("/run_on/area_m2", Value::Null),
            ("/run_on/area_m2", json!(-1.0)),
            ("/run_on/catch_share", json!(1.5)),
            ("/contributors/0/kind", json!("off-the-data")),
            ("/contributors/0/verdict", json!("guilty")),
            ("/crossings/0/id", json!(0)),
            ("/crossings/0/ring", json!(0.5)),
            ("/crossings/0/manner", json!("flood")),
            ("/cautions", json!([])),
            ("/elevation/extent", json!([1.0, 2.0, 3.0])),
            ("/elevation/grid", json!({ "kind": "warped" })),
            ("/interception_line/parts/0/sizing/pipe/verdict", json!("none-fits")),
            ("/interception_line/parts/0/drain/arrangement", json!("three-pipes")),
            ("/interception_line/parts/0/drain/options/0/share", json!(1.5)),
            ("/interception_line/parts/0/drain/options/0/reaches/0/verdict", json!("maybe")),
            ("/quantities/0/unit", json!("bucket")),
            ("/bill/exclusions", json!([])),
            ("/provenance/inputs/0/sha256", json!("abc")),
        ];
        for (at, value) in cases {
            let copy = changed(&document, at, |v| *v = value.clone());
            assert!(!schema.faults(&copy).is_empty(), "{at} = {value}: the schema lets it pass");
        }
    }
}
