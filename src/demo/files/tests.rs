use std::fs;

use gdal::Dataset;
use gdal::vector::LayerAccess;

use super::*;
use crate::demo::neighbourhood;

#[test]
fn the_raster_reads_back_with_its_place_unit_and_heights() {
    let dir = tempfile::tempdir().unwrap();
    let hill = neighbourhood();
    let files = write(&hill, dir.path()).unwrap();

    let dataset = Dataset::open(&files.elevation).unwrap();
    let band = dataset.rasterband(1).unwrap();
    assert_eq!(band.unit(), "metre");
    assert_eq!(dataset.spatial_ref().unwrap().auth_code().unwrap(), 32615);
    // The place is binary-exact (halves of metres), so bit for bit.
    let place = [hill.georef.west, 0.5, 0.0, hill.georef.north, 0.0, -0.5];
    assert_eq!(dataset.geo_transform().unwrap().map(f64::to_bits), place.map(f64::to_bits));
    let values = band.read_band_as::<f32>().unwrap();
    assert_eq!(values.data(), hill.elevation.values());
}

#[test]
fn lots_read_back_by_gdal_lie_where_they_were_made() {
    let dir = tempfile::tempdir().unwrap();
    let hill = neighbourhood();
    let files = write(&hill, dir.path()).unwrap();

    // Back into the projected system by GDAL, whose reader and transformation we didn't write.
    let dataset = Dataset::open(&files.parcels).unwrap();
    let mut layer = dataset.layer(0).unwrap();
    let mut globe = layer.spatial_ref().unwrap();
    globe.set_axis_mapping_strategy(gdal::spatial_ref::AxisMappingStrategy::TraditionalGisOrder);
    let plane = gdal::spatial_ref::SpatialRef::from_epsg(hill.epsg).unwrap();
    let back = gdal::spatial_ref::CoordTransform::new(&globe, &plane).unwrap();
    let mut seen = 0;
    for (feature, lot) in layer.features().zip(&hill.lots) {
        assert_eq!(feature.field_as_string(0).unwrap().unwrap(), lot.id);
        let geometry = feature.geometry().unwrap().transform(&back).unwrap();
        let ring = geometry.get_geometry(0);
        for (index, made) in lot.outline.exterior().coords().enumerate() {
            let (x, y, _) = ring.get_point(i32::try_from(index).unwrap());
            // Nine decimals of a degree are 0.11 mm: half of that each way.
            assert!((x - made.x).hypot(y - made.y) < 1e-4, "{} corner {index}", lot.id);
        }
        seen += 1;
    }
    assert_eq!(seen, 12);
}

#[test]
fn neighbours_still_share_their_corners_in_the_file() {
    let dir = tempfile::tempdir().unwrap();
    let hill = neighbourhood();
    let files = write(&hill, dir.path()).unwrap();
    let text = fs::read_to_string(&files.parcels).unwrap();
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let rings: Vec<Vec<String>> = json["features"]
        .as_array()
        .unwrap()
        .iter()
        .map(|feature| {
            let ring = feature["geometry"]["coordinates"][0].as_array().unwrap();
            ring.iter().map(ToString::to_string).collect()
        })
        .collect();
    // Within a row each lot has both corners of the side line in common with the next.
    for (west, east) in (0..11).filter(|index| *index != 5).map(|index| (index, index + 1)) {
        let mut shared: Vec<&String> = rings[west].iter().filter(|at| rings[east].contains(at)).collect();
        shared.sort();
        shared.dedup();
        assert_eq!(shared.len(), 2, "{} and {}", hill.lots[west].id, hill.lots[east].id);
    }
}

#[test]
fn two_runs_write_the_same_bytes_and_leave_nothing_else_behind() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    write(&neighbourhood(), one.path()).unwrap();
    write(&neighbourhood(), two.path()).unwrap();
    write(&neighbourhood(), two.path()).unwrap();
    let mut names: Vec<_> =
        fs::read_dir(two.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(
        names,
        [
            "buildings.geojson",
            "demo-files.json",
            "elevation.tif",
            "inlets.geojson",
            "parcels.geojson",
            "rainfall.csv"
        ]
    );
    for name in names {
        assert!(fs::read(one.path().join(&name)).unwrap() == fs::read(two.path().join(&name)).unwrap());
    }
}

#[test]
fn a_file_that_no_demo_wrote_stays_untouched() {
    let dir = tempfile::tempdir().unwrap();
    let own = dir.path().join("parcels.geojson");
    fs::write(&own, "mine").unwrap();
    let refused = write(&neighbourhood(), dir.path());
    assert!(matches!(refused, Err(DemoError::NotOurs { path }) if path == own));
    assert_eq!(fs::read_to_string(&own).unwrap(), "mine");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn a_file_changed_since_stays_untouched_and_a_missing_one_is_made_anew() {
    let dir = tempfile::tempdir().unwrap();
    let files = write(&neighbourhood(), dir.path()).unwrap();
    fs::remove_file(&files.inlets).unwrap();
    write(&neighbourhood(), dir.path()).unwrap();
    assert!(files.inlets.exists());
    fs::write(&files.parcels, "changed").unwrap();
    let refused = write(&neighbourhood(), dir.path());
    assert!(matches!(refused, Err(DemoError::NotOurs { path }) if path == files.parcels));
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("file");
    fs::write(&file, "").unwrap();
    let refused = write(&neighbourhood(), &file.join("below"));
    assert!(matches!(refused, Err(DemoError::NotWritten { path, .. }) if path == file.join("below")));
}

#[test]
fn a_code_that_is_no_coordinate_system_is_refused_by_name() {
    let dir = tempfile::tempdir().unwrap();
    let hill = Neighbourhood { epsg: 1, ..neighbourhood() };
    assert!(write(&hill, dir.path()).is_err());
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
}

#[test]
fn another_neighbourhood_replaces_what_an_earlier_demo_wrote() {
    let dir = tempfile::tempdir().unwrap();
    write(&neighbourhood(), dir.path()).unwrap();
    let files = write(&neighbourhood().mirrored(), dir.path()).unwrap();
    let dataset = Dataset::open(&files.elevation).unwrap();
    let values = dataset.rasterband(1).unwrap().read_band_as::<f32>().unwrap();
    assert_eq!(values.data(), neighbourhood().mirrored().elevation.values());
}

#[test]
fn a_list_that_no_demo_wrote_stays_untouched() {
    let dir = tempfile::tempdir().unwrap();
    let list = dir.path().join("demo-files.json");
    fs::write(&list, "[1, 2").unwrap();
    let refused = write(&neighbourhood(), dir.path());
    assert!(matches!(refused, Err(DemoError::ListUnclear { path, .. }) if path == list));
    assert_eq!(fs::read_to_string(&list).unwrap(), "[1, 2");
}
