//! Files for those who build and draw, opened again by other means than made them: the same places as in the layers.
//!
//! The drain of the scene with the ridge: 40 m of line and a lead of 17 to an inlet.

use super::drain::{cell, run, scene};
use crate::common::answer::{Answer, close, within};
use crate::common::lots::{At, Transform, WGS84};
use crate::common::scene::UTM;
use gdal::Dataset;
use gdal::vector::OGRFieldType::{OFTInteger64, OFTReal, OFTString};
use gdal::vector::{Geometry, LayerAccess};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Places in degrees with seven decimals are right to some 6 mm.
const DEGREES_M: f64 = 0.012;

fn answer() -> Answer {
    run(&scene(), &["--arrangement", "one-pipe", "--drawings"]).usable()
}

fn path(answer: &Answer, name: &str) -> PathBuf {
    answer.out.join(name)
}

/// The rows of `stakes.csv`.
fn stakes(answer: &Answer) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(path(answer, "stakes.csv")).expect("the file is there");
    let mut lines = text.lines();
    assert_eq!(
        lines.next(),
        Some(
            "line,stake,station_m,lon,lat,east_m,north_m,ground_m,invert_m,bottom_m,cut_from_ground_m,swale_bed_m"
        )
    );
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// Corners of a geometry's lines, ring by ring, or its one point.
fn places(geometry: &Geometry) -> Vec<At> {
    if geometry.geometry_count() == 0 {
        let mut points = Vec::new();
        geometry.get_points(&mut points);
        return points.into_iter().map(|(x, y, _)| At { x, y }).collect();
    }
    (0..geometry.geometry_count()).flat_map(|i| places(&geometry.get_geometry(i))).collect()
}

/// Corners of a feature of `map.geojson` in the working coordinate system.
fn working(coordinates: &Value) -> Vec<At> {
    let list = coordinates.as_array().expect("coordinates");
    if list.first().is_some_and(Value::is_number) {
        let at = |i: usize| list[i].as_f64().expect("a number");
        return vec![Transform::new(WGS84, UTM).apply(At { x: at(0), y: at(1) })];
    }
    list.iter().flat_map(working).collect()
}

fn features<'a>(map: &'a Value, kind: &str) -> Vec<&'a Value> {
    let all = map["features"].as_array().expect("features");
    all.iter().filter(|feature| feature["properties"]["kind"] == kind).collect()
}

fn each_near(what: &str, found: &[At], expected: &[At]) {
    for at in found {
        let near = expected.iter().any(|other| (at.x - other.x).hypot(at.y - other.y) < DEGREES_M);
        assert!(near, "{what}: nothing at {at:?} among {expected:?}");
    }
}

#[test]
fn the_package_holds_the_layers_in_the_working_system_with_typed_fields() {
    let answer = answer();
    let map = answer.geojson("map.geojson");
    let package = Dataset::open(path(&answer, "assessment.gpkg")).expect("GDAL opens it");
    let check = package.execute_sql("PRAGMA integrity_check", None, gdal::vector::sql::Dialect::DEFAULT);
    let mut check = check.expect("it runs").expect("it answers");
    let said = check.features().next().and_then(|row| row.field_as_string(0).ok().flatten());
    assert_eq!(said.as_deref(), Some("ok"));
    let mut kinds = 0;
    for mut layer in package.layers() {
        let kind = layer.name();
        let drawn = features(&map, &kind);
        assert_eq!(layer.feature_count(), u64::try_from(drawn.len()).expect("few"), "{kind}");
        let code = layer.spatial_ref().and_then(|reference| reference.auth_code().ok());
        assert_eq!(code, Some(26917), "{kind}");
        let names: Vec<String> = layer.defn().fields().map(|field| field.name()).collect();
        for name in &names {
            assert!(!name.starts_with("stroke") && !name.starts_with("fill"), "{kind} has looks: {name}");
        }
        for (feature, drawn) in layer.features().zip(drawn) {
            let found = feature.geometry().map(places).unwrap_or_default();
            let expected = working(&drawn["geometry"]["coordinates"]);
            each_near(&kind, &expected, &found);
            for name in &names {
                let field = feature.field_index(name).expect("the field");
                match &drawn["properties"][name] {
                    Value::Number(number) => {
                        let found = feature.field_as_double(field).expect("a number").expect("it is there");
                        close(name, found, number.as_f64().expect("a number"), 1e-12);
                    }
                    Value::String(text) => {
                        assert_eq!(feature.field_as_string(field).expect("text").as_ref(), Some(text));
                    }
                    Value::Null => assert!(feature.field_as_string(field).expect("text").is_none(), "{name}"),
                    _ => {}
                }
            }
        }
        kinds += 1;
    }
    let on_map: std::collections::BTreeSet<String> = map["features"]
        .as_array()
        .expect("features")
        .iter()
        .map(|f| f["properties"]["kind"].to_string())
        .collect();
    assert_eq!(kinds, on_map.len(), "{on_map:?}");
    let lines = package.layer_by_name("interception-line").expect("the line");
    let types: BTreeMap<String, u32> = lines.defn().fields().map(|f| (f.name(), f.field_type())).collect();
    assert_eq!((types["length_m"], types["id"], types["title"]), (OFTReal, OFTInteger64, OFTString));
}

// The stakes are those of the checklist, on the profile's stations; the line begins at 20.6 units from the west (the setback) and
// runs along the contour.
#[test]
fn stakes_stand_where_the_checklist_has_them() {
    let answer = answer();
    let rows = stakes(&answer);
    let text = std::fs::read_to_string(path(&answer, "specification.txt")).expect("the file is there");
    let told = text.lines().filter(|line| line.contains(" of the way: ground")).count();
    assert_eq!(rows.len(), told, "{text}");
    let profile = super::drain::profile(&answer);
    let mut compared = 0;
    for row in &rows {
        let beside = profile.iter().find(|place| (cell(place, 1) - cell(row, 2)).abs() < 1e-3);
        // A stake may stand between two stations, where a pipe changes.
        let Some(place) = beside else { continue };
        compared += 1;
        for (own, theirs) in [(5, 2), (6, 3), (7, 4), (8, 5)] {
            within("stake", cell(row, own), cell(place, theirs), 2e-3);
        }
        // Ground less depth.
        within("bottom", cell(row, 9), cell(row, 7) - cell(row, 10), 2e-3);
    }
    assert!(2 * compared > rows.len() && compared > 4, "{compared} of {}", rows.len());
    let stations: Vec<f64> = rows.iter().map(|row| cell(row, 2)).collect();
    assert!(stations.windows(2).all(|pair| pair[1] > pair[0] && pair[1] - pair[0] <= 7.62 + 1e-3));
    // On the globe the same places.
    let to_utm = Transform::new(WGS84, UTM);
    for row in &rows {
        let at = to_utm.apply(At { x: cell(row, 3), y: cell(row, 4) });
        within("east", at.x, cell(row, 5), DEGREES_M);
        within("north", at.y, cell(row, 6), DEGREES_M);
    }
}

#[test]
fn a_phone_has_the_same_stakes_and_lines() {
    let answer = answer();
    let rows = stakes(&answer);
    let places: Vec<(String, f64, f64)> =
        rows.iter().map(|row| (row[1].clone(), cell(row, 3), cell(row, 4))).collect();
    let file = std::fs::File::open(path(&answer, "stakes.gpx")).expect("the file is there");
    let found = gpx::read(std::io::BufReader::new(file)).expect("it is GPX");
    let points: Vec<(String, f64, f64)> = found
        .waypoints
        .iter()
        .map(|at| (at.name.clone().expect("a name"), at.point().x(), at.point().y()))
        .collect();
    assert_eq!(points, places);
    let map = answer.geojson("map.geojson");
    let drawn: Vec<Vec<[f64; 2]>> = features(&map, "interception-line")
        .into_iter()
        .map(|line| serde_json::from_value(line["geometry"]["coordinates"].clone()).expect("a line"))
        .collect();
    let tracks: Vec<Vec<[f64; 2]>> = found
        .tracks
        .iter()
        .map(|track| track.segments[0].points.iter().map(|at| [at.point().x(), at.point().y()]).collect())
        .collect();
    assert_eq!(tracks, drawn);
    let text = std::fs::read_to_string(path(&answer, "stakes.kml")).expect("the file is there");
    let read: kml::Kml<f64> = text.parse().expect("it is KML");
    let mut marks = Vec::new();
    gather(&read, &mut marks);
    let mut pins = Vec::new();
    let mut lines = Vec::new();
    for mark in marks {
        match mark.geometry.as_ref().expect("a place") {
            kml::types::Geometry::Point(at) => {
                pins.push((mark.name.clone().expect("a name"), at.coord.x, at.coord.y));
            }
            kml::types::Geometry::LineString(line) => {
                lines.push(line.coords.iter().map(|at| [at.x, at.y]).collect::<Vec<_>>());
            }
            other => unreachable!("{other:?}"),
        }
    }
    assert_eq!((pins, lines), (places, drawn));
}

fn gather<'a>(read: &'a kml::Kml<f64>, marks: &mut Vec<&'a kml::types::Placemark<f64>>) {
    match read {
        kml::Kml::KmlDocument(all) => all.elements.iter().for_each(|one| gather(one, marks)),
        kml::Kml::Document { elements, .. } => elements.iter().for_each(|one| gather(one, marks)),
        kml::Kml::Placemark(mark) => marks.push(mark),
        _ => {}
    }
}

#[test]
fn the_drawing_has_a_layer_for_each_thing_in_the_working_unit() {
    let answer = answer();
    let drawing = Dataset::open(path(&answer, "drawing.dxf")).expect("GDAL reads it");
    let mut by_layer: BTreeMap<String, Vec<At>> = BTreeMap::new();
    for feature in drawing.layer(0).expect("entities").features() {
        let sheet = feature.field_index("Layer").expect("a field");
        let name = feature.field_as_string(sheet).expect("text").expect("a layer");
        by_layer.entry(name).or_default().extend(feature.geometry().map(places).unwrap_or_default());
    }
    let names: Vec<&str> = by_layer.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "INTERCEPTION-LINE",
            "LOT-LINES",
            "RUN-ON-CROSSINGS",
            "STAKE-LEVELS",
            "STAKES",
            "SUBJECT-LOT",
            "WAY-TO-OUTLET"
        ]
    );
    let rows = stakes(&answer);
    let staked: Vec<At> = rows.iter().map(|row| At { x: cell(row, 5), y: cell(row, 6) }).collect();
    assert_eq!(by_layer["STAKES"].len(), staked.len());
    for (found, expected) in by_layer["STAKES"].iter().zip(&staked) {
        within("east", found.x, expected.x, 1e-3);
        within("north", found.y, expected.y, 1e-3);
    }
    let map = answer.geojson("map.geojson");
    for (layer, kind) in [("SUBJECT-LOT", "subject-lot"), ("RUN-ON-CROSSINGS", "crossing")] {
        let drawn: Vec<At> = features(&map, kind)
            .into_iter()
            .flat_map(|feature| working(&feature["geometry"]["coordinates"]))
            .collect();
        each_near(layer, &by_layer[layer], &drawn);
        each_near(layer, &drawn, &by_layer[layer]);
    }
    let text = std::fs::read_to_string(path(&answer, "drawing.dxf")).expect("text");
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let unit = lines.iter().position(|line| *line == "$INSUNITS").expect("the unit is said");
    // 6 is the metre.
    assert_eq!(lines[unit + 2], "6");
}

// Well-formed as an XML reader sees it, and the same drawing as in the page.
#[test]
fn drawings_are_files_of_their_own() {
    let answer = answer();
    let page = std::fs::read_to_string(path(&answer, "report.html")).expect("the page");
    let mut names: Vec<String> = std::fs::read_dir(path(&answer, "drawings"))
        .expect("the folder is there")
        .map(|entry| entry.expect("a file").file_name().into_string().expect("a plain name"))
        .collect();
    names.sort();
    assert_eq!(names, ["part-1-1-profile.svg", "part-1-2-section.svg"]);
    for name in names {
        let text = std::fs::read_to_string(path(&answer, "drawings").join(&name)).expect("the file");
        assert!(text.contains("xmlns=\"http://www.w3.org/2000/svg\""), "{name}");
        let ground = text.split("class=\"lawn\" d=\"").nth(1).and_then(|rest| rest.split('"').next());
        assert!(page.contains(ground.expect("the ground")), "{name}");
    }
    // Without the option there are none.
    let without = run(&scene(), &["--arrangement", "one-pipe"]).usable();
    assert!(!path(&without, "drawings").exists());
}
