use super::scene::{N, NORTH, Raster, S, Scene, WEST, plane, ring};
use crate::input::{ExitClass, InputError};

#[test]
fn a_raster_without_a_system_names_the_option() {
    let mut scene = Scene::with(&Raster { crs: None, ..Raster::default() });
    let refused = scene.open().unwrap_err();
    assert!(matches!(refused, InputError::NoCrs { .. }), "{refused}");
    assert_eq!(refused.exit_class(), ExitClass::Unresolved);
    assert!(refused.help_text().contains("--elevation-crs"));
    scene.elevation.crs = Some("EPSG:26917".to_owned());
    assert!(scene.open().is_ok());
}

#[test]
fn feet_on_the_map_and_silence_about_heights_is_refused() {
    // EPSG:2264 is North Carolina in US survey feet.
    let scene = Scene::with(&Raster { crs: Some("EPSG:2264".to_owned()), ..Raster::default() });
    let refused = scene.open().unwrap_err();
    assert!(matches!(refused, InputError::VerticalUnit { .. }), "{refused}");
    assert_eq!(refused.exit_class(), ExitClass::Unresolved);
}

#[test]
fn metres_in_a_file_of_degrees_are_no_degrees() {
    let scene = Scene::plain();
    scene.lots_as(&[("N", &ring(N)), ("S", &ring(S))], "", |x, y| (x, y));
    let refused = scene.open().unwrap_err();
    assert!(matches!(refused, InputError::NotDegrees { .. }), "{refused}");
    assert!(refused.help_text().contains("--parcels-crs EPSG:26917"), "{}", refused.help_text());
}

// The raster is moved 20 km east along the equator of the grid: the nearest points are 20,000 - 60 m apart on the map.
#[test]
fn inputs_that_lie_apart_are_told_how_far() {
    let scene =
        Scene::with(&Raster { affine: [WEST + 20_000.0, 1.0, 0.0, NORTH, 0.0, -1.0], ..Raster::default() });
    let refused = scene.open().unwrap_err();
    let InputError::NoOverlap { distance_km, .. } = &refused else { panic!("{refused}") };
    assert!((distance_km - 19.96).abs() < 0.05, "{distance_km}");
    assert_eq!(refused.exit_class(), ExitClass::NoOverlap);
}

// Numbers of North Carolina's grid in US survey feet (EPSG:2264) under the code of the same grid in metres (EPSG:3358);
// place: pyproj 3.7.2, (-78.7, 35.8) is at 2088931.6, 748211.2 ft.
#[test]
fn feet_under_the_code_in_metres_are_recognised() {
    let scene = Scene::with(&Raster {
        crs: Some("EPSG:3358".to_owned()),
        affine: [2_088_931.6, 1.0, 0.0, 748_211.2, 0.0, -1.0],
        ..Raster::default()
    });
    let refused = scene.open().unwrap_err();
    assert!(
        matches!(&refused, InputError::UnitMismatch { found, .. } if found.contains("feet")),
        "{refused}"
    );
}

#[test]
fn a_file_cut_short_is_incomplete_and_says_where() {
    let scene = Scene::with(&Raster { rows: 256, cols: 256, ..Raster::default() });
    let path = &scene.elevation.paths[0];
    let bytes = std::fs::read(path).unwrap();
    std::fs::write(path, &bytes[..bytes.len() * 6 / 10]).unwrap();
    let refused = scene.open().unwrap_err();
    assert!(matches!(&refused, InputError::Incomplete { at, .. } if at.contains("block")), "{refused}");
    assert_eq!(refused.exit_class(), ExitClass::Unreadable);
}

#[test]
fn tiles_off_the_grid_are_named() {
    let mut scene = Scene::plain();
    let odd = scene.raster(&Raster {
        name: "odd.tif",
        affine: [WEST + 80.4, 1.0, 0.0, NORTH, 0.0, -1.0],
        ..Raster::default()
    });
    scene.elevation.paths.push(odd.clone());
    let refused = scene.open().unwrap_err();
    assert!(matches!(&refused, InputError::TilesDiffer { odd: named, .. } if *named == odd), "{refused}");
}

#[test]
fn a_raster_without_any_elevation_is_refused() {
    let scene = Scene::with(&Raster { height: Box::new(|_, _| -9999.0), ..Raster::default() });
    assert!(matches!(scene.open().unwrap_err(), InputError::NotElevation { .. }));
}

#[test]
fn cells_as_large_as_the_lot_are_too_coarse() {
    let scene = Scene::with(&Raster {
        affine: [WEST - 200.0, 20.0, 0.0, NORTH + 200.0, 0.0, -20.0],
        rows: 30,
        cols: 30,
        height: Box::new(|row, _| plane(20 * row)),
        ..Raster::default()
    });
    let refused = scene.open().unwrap_err();
    assert!(matches!(refused, InputError::TooCoarse { .. }), "{refused}");
}

#[test]
fn formats_that_are_not_read_are_named() {
    let mut scene = Scene::plain();
    scene.parcels.path = scene.folder.path().join("lots.kml");
    std::fs::write(&scene.parcels.path, "<kml/>").unwrap();
    let refused = scene.open().unwrap_err().to_string();
    assert!(refused.contains("KML"), "{refused}");
    scene.parcels.path = "https://example.org/lots.gpkg".into();
    let refused = scene.open().unwrap_err().to_string();
    assert!(refused.contains("network"), "{refused}");
}

#[test]
fn an_empty_layer_and_a_layer_of_points_are_told_apart() {
    let scene = Scene::plain();
    scene.lots(&[]);
    let refused = scene.open().unwrap_err().to_string();
    assert!(refused.contains("0 features"), "{refused}");
    let point = "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{},\
                 \"geometry\":{\"type\":\"Point\",\"coordinates\":[-81,43.6]}},\
                 {\"type\":\"Feature\",\"properties\":{},\"geometry\":null}]}";
    std::fs::write(&scene.parcels.path, point).unwrap();
    let refused = scene.open().unwrap_err().to_string();
    assert!(refused.contains("oint"), "{refused}");
}
