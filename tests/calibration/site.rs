//! A world's files, and what the program makes of them.

use gdal::DriverManager;
use gdal::raster::Buffer;
use gdal::spatial_ref::SpatialRef;
use lotshed::grid::GridShape;
use lotshed::input::{AxisOrder, ElevationOptions, ParcelOptions, Site, Subject, open_site};
use lotshed::pipeline::{Assessment, CertaintySettings, Settings, Silent, assess};
use lotshed::units::{Area, Length};
use std::path::Path;

/// Cells of 1 m along each side.
const SIDE: usize = 40;
pub(crate) const SHAPE: GridShape = GridShape { rows: SIDE, cols: SIDE };
/// Lots along each side, of 10 m.
const LOTS: usize = 4;
/// One with lots on all sides.
pub(crate) const SUBJECT: &str = "2-1";
const UTM: u32 = 26917;
const WEST: f64 = 500_000.0;
const NORTH: f64 = 4_830_000.0;

/// Assesses the subject on a ground, and has a look at the result.
pub(crate) fn assessed<T>(
    ground: &[f32],
    certainty: Option<CertaintySettings>,
    look: impl FnOnce(&Assessment<'_>) -> T,
) -> T {
    let folder = tempfile::tempdir().expect("a folder");
    let site = site(folder.path(), ground);
    let settings = Settings { certainty, first_margin: Length::from_m(1000.0), ..Settings::new() };
    look(&assess(&site, &settings, &Silent).expect("an answer").value)
}

fn site(folder: &Path, ground: &[f32]) -> Site {
    let (raster, lots) = (folder.join("ground.tif"), folder.join("lots.geojson"));
    write_raster(&raster, ground);
    let features: Vec<String> = (0..LOTS * LOTS).map(lot).collect();
    let text = format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, features.join(","));
    std::fs::write(&lots, text).expect("the lots are written");
    let elevation = ElevationOptions {
        paths: vec![raster],
        unit: None,
        crs: None,
        nodata: None,
        bridge_holes: Area::from_m2(400.0),
    };
    let parcels = ParcelOptions {
        path: lots,
        layer: None,
        id_field: None,
        crs: Some(format!("EPSG:{UTM}")),
        axes: AxisOrder::AsStored,
        keep_fields: vec![],
    };
    open_site(&elevation, &parcels, &Subject::Id(SUBJECT.to_owned())).expect("a site").value
}

fn write_raster(path: &Path, ground: &[f32]) {
    let driver = DriverManager::get_driver_by_name("GTiff").expect("a driver");
    let mut made = driver.create_with_band_type::<f32, _>(path, SIDE, SIDE, 1).expect("a raster");
    made.set_geo_transform(&[WEST, 1.0, 0.0, NORTH, 0.0, -1.0]).expect("it is placed");
    made.set_spatial_ref(&SpatialRef::from_epsg(UTM).expect("a system")).expect("it is stored");
    let mut cells = Buffer::new((SIDE, SIDE), ground.to_vec());
    let mut band = made.rasterband(1).expect("a band");
    band.write((0, 0), (SIDE, SIDE), &mut cells).expect("the ground is written");
    made.close().expect("the file is closed");
}

fn lot(place: usize) -> String {
    let side = number(SIDE / LOTS);
    let (row, col) = (place / LOTS, place % LOTS);
    let (w, n) = (WEST + side * number(col), NORTH - side * number(row));
    let (e, s) = (w + side, n - side);
    let ring = format!("[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]");
    let geometry = format!(r#"{{"type":"Polygon","coordinates":[{ring}]}}"#);
    format!(r#"{{"type":"Feature","properties":{{"id":"{row}-{col}"}},"geometry":{geometry}}}"#)
}

pub(crate) fn number(n: usize) -> f64 {
    f64::from(u32::try_from(n).expect("a small number"))
}
