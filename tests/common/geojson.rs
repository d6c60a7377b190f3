//! What RFC 7946 ("The GeoJSON Format", 2016) asks of a file.

use serde_json::Value;

use super::lots::{At, signed_area};

/// Checks a whole file: its kind, no `crs` member (section 4), positions in degrees with at most 7 decimals, and
/// rings that are closed, of four or more positions, and wound by the right-hand rule (section 3.1.6).
pub(crate) fn check(name: &str, file: &Value) {
    assert_eq!(file["type"], "FeatureCollection", "{name}: type");
    assert!(file.get("crs").is_none(), "{name}: a crs member is no part of RFC 7946");
    let features = file["features"].as_array().unwrap_or_else(|| panic!("{name}: features must be a list"));
    for (place, feature) in features.iter().enumerate() {
        let name = format!("{name}, feature {place}");
        assert_eq!(feature["type"], "Feature", "{name}: type");
        assert!(feature["properties"].is_object(), "{name}: properties must be an object");
        check_geometry(&name, &feature["geometry"]);
    }
}

/// The geometry's parts are checked by its type; anything but the six simple types is an error here.
fn check_geometry(name: &str, geometry: &Value) {
    let coordinates = &geometry["coordinates"];
    match geometry["type"].as_str() {
        Some("Point") => {
            position(name, coordinates);
        }
        Some("MultiPoint" | "LineString") => {
            line(name, coordinates);
        }
        Some("MultiLineString") => {
            for part in list(name, coordinates) {
                line(name, part);
            }
        }
        Some("Polygon") => check_polygon(name, coordinates),
        Some("MultiPolygon") => {
            for part in list(name, coordinates) {
                check_polygon(name, part);
            }
        }
        _ => panic!("{name}: {} is not one of the simple geometries", geometry["type"]),
    }
}

fn check_polygon(name: &str, coordinates: &Value) {
    let rings = list(name, coordinates);
    assert!(!rings.is_empty(), "{name}: a polygon has a ring");
    for (place, ring) in rings.iter().enumerate() {
        let ring = line(name, ring);
        assert!(ring.len() >= 4, "{name}: ring {place} has {} positions", ring.len());
        assert_eq!(ring.first(), ring.last(), "{name}: ring {place} is closed");
        for pair in ring.windows(2) {
            assert_ne!(pair[0], pair[1], "{name}: ring {place} repeats a position");
        }
        let area = signed_area(&ring);
        if place == 0 {
            assert!(area > 0.0, "{name}: the outer ring is counter-clockwise, its area is {area}");
        } else {
            assert!(area < 0.0, "{name}: hole {place} is clockwise, its area is {area}");
        }
    }
}

/// All positions of a list of positions.
pub(crate) fn line(name: &str, coordinates: &Value) -> Vec<At> {
    let positions: Vec<At> = list(name, coordinates).iter().map(|value| position(name, value)).collect();
    assert!(positions.len() >= 2, "{name}: a line has two positions or more");
    positions
}

fn position(name: &str, value: &Value) -> At {
    let numbers: Vec<f64> = list(name, value)
        .iter()
        .map(|number| number.as_f64().unwrap_or_else(|| panic!("{name}: {number} is no number")))
        .collect();
    assert!((2..=3).contains(&numbers.len()), "{name}: a position has two or three numbers: {numbers:?}");
    let at = At { x: numbers[0], y: numbers[1] };
    assert!(at.x.abs() <= 180.0 && at.y.abs() <= 90.0, "{name}: {at:?} is not longitude and latitude");
    for degrees in [at.x, at.y] {
        let units = degrees * 1e7;
        // 180 degrees are 1.8e9 units, where a double's step is 2e-7: seven decimals are whole units to 1e-5.
        assert!((units - units.round()).abs() < 1e-5, "{name}: {degrees} has more than seven decimals");
    }
    at
}

fn list<'a>(name: &str, value: &'a Value) -> &'a [Value] {
    value.as_array().unwrap_or_else(|| panic!("{name}: {value} must be a list"))
}

/// All positions of all geometries of a file.
pub(crate) fn positions(file: &Value) -> Vec<At> {
    fn gather(value: &Value, found: &mut Vec<At>) {
        let Value::Array(items) = value else { return };
        match (items.first().and_then(Value::as_f64), items.get(1).and_then(Value::as_f64)) {
            (Some(x), Some(y)) => found.push(At { x, y }),
            _ => items.iter().for_each(|item| gather(item, found)),
        }
    }
    let mut found = Vec::new();
    for feature in file["features"].as_array().into_iter().flatten() {
        gather(&feature["geometry"]["coordinates"], &mut found);
    }
    found
}
