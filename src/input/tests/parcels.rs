use super::scene::{GROUND, N, S, Scene, UTM, codes, ring};
use crate::input::{AxisOrder, InputError, Subject, inspect};
use gdal::DriverManager;
use gdal::spatial_ref::SpatialRef;
use gdal::vector::{Geometry, LayerAccess, LayerOptions, OGRFieldType, OGRwkbGeometryType};
use geo::Area;

#[test]
fn the_smaller_of_two_overlapping_lots_keeps_the_ground() {
    let scene = Scene::plain();
    let reach = [N[0], N[1] - 0.05, N[2], N[3]];
    scene.lots(&[("N", &ring(reach)), ("S", &ring(S))]);
    let site = scene.open().unwrap();
    assert!(codes(&site).contains(&"parcels-overlap"));
    let parcels = site.value.parcels.parcels();
    let area = |id: &str| parcels.iter().find(|p| p.id == id).unwrap().outline.unsigned_area();
    assert!((area("N") - 802.0).abs() < 1e-3, "{}", area("N"));
    assert!((area("S") - 1198.0).abs() < 1e-3, "{}", area("S"));
    // The area as delivered stays.
    let delivered = parcels[site.value.parcels.subject()].area_m2;
    assert!((delivered - 1200.0 * GROUND * GROUND).abs() < 1e-3);
}

#[test]
fn stacked_lots_are_one_parcel_under_the_id_asked_for() {
    let scene = Scene::plain();
    scene.lots(&[("S1", &ring(S)), ("S2", &ring(S)), ("N", &ring(N)), ("S3", &ring(S))]);
    let site = scene.open_for(&Subject::Id("S2".to_owned())).unwrap();
    assert!(codes(&site).contains(&"lots-stacked"));
    let set = site.value.parcels;
    assert_eq!(set.parcels().len(), 2);
    let subject = &set.parcels()[set.subject()];
    assert_eq!((subject.id.as_str(), &subject.also), ("S2", &vec!["S1".to_owned(), "S3".to_owned()]));
}

#[test]
fn a_bow_tie_is_left_out_and_named_unless_it_is_the_subject() {
    let scene = Scene::plain();
    let n = ring(N);
    let bow = [n[0], n[2], n[1], n[3]];
    scene.lots(&[("N", &bow), ("S", &ring(S))]);
    let site = scene.open().unwrap();
    let warning = site.warnings.iter().find(|w| w.code == "lot-dropped").unwrap();
    assert!(warning.message.contains("N ("), "{}", warning.message);
    assert_eq!(site.value.parcels.parcels().len(), 1);
    let refused = scene.open_for(&Subject::Id("N".to_owned())).unwrap_err();
    assert!(matches!(&refused, InputError::LotInvalid { id, .. } if id == "N"), "{refused}");
}

#[test]
fn a_lot_is_found_by_a_place_and_a_miss_names_the_nearest() {
    let scene = Scene::plain();
    let at = |lon, lat| scene.open_for(&Subject::At { lon, lat });
    // pyproj 3.7.2: (500040, 4829945) in EPSG:26917 is at -80.9995042, 43.6224896.
    let site = at(-80.999_504_2, 43.622_489_6).unwrap().value;
    assert_eq!(site.parcels.subject_lot().id, "S");
    let missed = at(-80.999_504_2, 43.622_3).unwrap_err();
    // 43.6223 is 0.000055 degrees, 6.1 m, south of the lot's edge at 43.622355 (111,110 m to a degree at 43.6 N).
    assert!(
        matches!(&missed, InputError::LotNotFound { reason, .. } if reason.contains("nearest is S, 6 m")),
        "{missed}"
    );
}

#[test]
fn ids_are_text_and_a_miss_offers_similar_ones() {
    let scene = Scene::plain();
    scene.lots(&[("007", &ring(S)), ("7", &ring(N))]);
    let site = scene.open_for(&Subject::Id("007".to_owned())).unwrap().value;
    let subject = site.parcels.subject_lot();
    assert!((subject.area_m2 - 1200.0 * GROUND * GROUND).abs() < 1e-3);
    let missed = scene.open_for(&Subject::Id("0O7".to_owned())).unwrap_err().to_string();
    assert!(missed.contains("similar ones are 007"), "{missed}");
}

#[test]
fn two_lots_of_one_id_are_ambiguous_and_listed() {
    let mut scene = Scene::plain();
    scene.lots(&[("S", &ring(S)), ("S", &ring(N))]);
    // Without a unique value, the field must be named.
    assert!(matches!(scene.open().unwrap_err(), InputError::IdField { .. }));
    scene.parcels.id_field = Some("PID".to_owned());
    let refused = scene.open().unwrap_err();
    assert!(
        matches!(&refused, InputError::LotAmbiguous { candidates, .. } if candidates.len() == 2),
        "{refused}"
    );
}

#[test]
fn kept_fields_come_along_and_unknown_ones_are_refused() {
    let mut scene = Scene::plain();
    scene.parcels.keep_fields = vec!["zone".to_owned()];
    let site = scene.open().unwrap().value;
    assert_eq!(site.parcels.parcels()[0].kept, vec![("zone".to_owned(), "R1".to_owned())]);
    scene.parcels.keep_fields = vec!["owner".to_owned()];
    assert!(matches!(scene.open().unwrap_err(), InputError::KeepField { .. }));
}

#[test]
fn the_old_crs_member_is_honoured_with_a_note() {
    let scene = Scene::plain();
    let member = "\"crs\":{\"type\":\"name\",\"properties\":{\"name\":\"urn:ogc:def:crs:EPSG::26917\"}},";
    scene.lots_as(&[("N", &ring(N)), ("S", &ring(S))], member, |x, y| (x, y));
    assert!(codes(&scene.open().unwrap()).contains(&"geojson-crs-member"));
}

#[test]
fn swapped_axes_are_recognised_and_can_be_put_right() {
    let mut scene = Scene::plain();
    let lonlat = proj::Proj::new_known_crs(UTM, "EPSG:4326", None).unwrap();
    scene.lots_as(&[("N", &ring(N)), ("S", &ring(S))], "", |x, y| {
        let (lon, lat) = lonlat.convert((x, y)).unwrap();
        (lat, lon)
    });
    assert!(matches!(scene.open().unwrap_err(), InputError::AxesSwapped { .. }));
    scene.parcels.axes = AxisOrder::Swapped;
    assert!(scene.open().is_ok());
}

/// Writes a layer of the scene's lots in UTM.
fn layer(data: &mut gdal::Dataset, name: &str, id: &str) {
    let reference = SpatialRef::from_definition(UTM).unwrap();
    let layer = data
        .create_layer(LayerOptions {
            name,
            srs: Some(&reference),
            ty: OGRwkbGeometryType::wkbPolygon,
            options: None,
        })
        .unwrap();
    layer.create_defn_fields(&[(id, OGRFieldType::OFTString)]).unwrap();
    for (value, b) in [("N\u{f1}", N), ("S", S)] {
        let mut feature = gdal::vector::Feature::new(layer.defn()).unwrap();
        feature.set_field_string(0, value).unwrap();
        feature.set_geometry(Geometry::bbox(b[0], b[1], b[2], b[3]).unwrap()).unwrap();
        feature.create(&layer).unwrap();
    }
}

#[test]
fn a_geopackage_of_two_layers_asks_which_and_is_never_changed() {
    let mut scene = Scene::plain();
    scene.parcels.path = scene.folder.path().join("town.gpkg");
    let mut data =
        DriverManager::get_driver_by_name("GPKG").unwrap().create_vector_only(&scene.parcels.path).unwrap();
    layer(&mut data, "lots", "parcel_id");
    layer(&mut data, "plans", "plan");
    data.close().unwrap();
    let before = std::fs::read(&scene.parcels.path).unwrap();
    let refused = scene.open().unwrap_err();
    assert!(
        matches!(&refused, InputError::Layer { layers, .. } if layers == &["lots", "plans"]),
        "{refused}"
    );
    scene.parcels.layer = Some("lots".to_owned());
    assert!(scene.open().is_ok());
    assert_eq!(std::fs::read(&scene.parcels.path).unwrap(), before);
    let files = std::fs::read_dir(scene.folder.path()).unwrap().count();
    assert_eq!(files, 3, "raster, lots and town only");
}

#[test]
fn a_shapefile_without_index_is_read_and_latin_1_is_decoded() {
    let mut scene = Scene::plain();
    scene.parcels.path = scene.folder.path().join("lots.shp");
    let driver = DriverManager::get_driver_by_name("ESRI Shapefile").unwrap();
    let mut data = driver.create_vector_only(&scene.parcels.path).unwrap();
    layer(&mut data, "lots", "parcel_id");
    data.close().unwrap();
    let part = |ending: &str| scene.parcels.path.with_extension(ending);
    std::fs::remove_file(part("shx")).unwrap();
    let _ = std::fs::remove_file(part("cpg"));
    // The writer's byte for the code page is taken out, and the letter is made one byte of Latin-1.
    let mut table = std::fs::read(part("dbf")).unwrap();
    table[29] = 0;
    let at = table
        .windows(2)
        .position(|w| w == "\u{f1}".as_bytes())
        .or_else(|| table.iter().position(|b| *b == 0xf1));
    let at = at.unwrap();
    if table[at] != 0xf1 {
        table[at] = 0xf1;
        table[at + 1] = b' ';
    }
    std::fs::write(part("dbf"), table).unwrap();
    let site = scene.open().unwrap();
    let found = codes(&site);
    assert!(
        found.contains(&"shapefile-part-missing") && found.contains(&"text-encoding-assumed"),
        "{found:?}"
    );
    assert!(site.value.parcels.parcels().iter().any(|p| p.id == "N\u{f1}"));
    assert!(!part("shx").exists());
    std::fs::remove_file(part("dbf")).unwrap();
    let refused = scene.open().unwrap_err().to_string();
    assert!(refused.contains("lots.dbf is missing"), "{refused}");
}

#[test]
fn within_finds_lots_by_their_extents() {
    let site = Scene::plain().open().unwrap().value;
    let ids = |b: [f64; 4]| -> Vec<&str> {
        site.parcels
            .within(b[0], b[1], b[2], b[3])
            .into_iter()
            .map(|i| site.parcels.parcels()[i].id.as_str())
            .collect()
    };
    assert_eq!(ids([500_030.0, 4_829_940.0, 500_031.0, 4_829_941.0]), ["S"]);
    assert_eq!(ids([500_030.0, 4_829_950.0, 500_031.0, 4_829_970.0]), ["N", "S"]);
    assert!(ids([0.0, 0.0, 1.0, 1.0]).is_empty());
}

#[test]
fn a_town_needs_no_subject() {
    let site = Scene::plain().open_for(&Subject::Town).unwrap().value;
    assert_eq!(site.parcels.parcels().len(), 2);
}

#[test]
fn inspection_lists_everything_and_does_not_stop_at_the_first_fault() {
    let mut scene = Scene::plain();
    scene.elevation.paths.push("nowhere.tif".into());
    let n = ring(N);
    scene.lots(&[("N", &[n[0], n[2], n[1], n[3]]), ("S", &ring(S))]);
    let found = inspect(&scene.elevation, Some(&scene.parcels));
    let codes: Vec<&str> = found.findings.iter().map(|f| f.code.as_str()).collect();
    assert_eq!(codes[0], "file-not-found", "the gravest comes first");
    assert!(codes.contains(&"vertical-unit-assumed") && codes.contains(&"lot-dropped"), "{codes:?}");
    assert_eq!(found.parcels.unwrap().id_field, "pid");
    assert!(found.elevation.is_some());
}
