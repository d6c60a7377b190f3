//! A part that settles gives the outcome of the whole window, on ground with sinks of all sizes.

use super::super::super::catchment::find_catchment;
use super::super::super::progress::Silent;
use super::super::met::CrossingPlace;
use super::super::reaching::Reaching;
use super::super::realisation::{Asked, Drawn, Extent, Outcome};
use super::*;
use crate::certainty::{ErrorModel, FieldSource, parcel_shifts};
use crate::flow::Routing;
use crate::input::{AxisOrder, ElevationOptions, ParcelOptions, Subject, open_site};
use crate::lots::{LotLine, Outlines, drainage};
use crate::units::{Area, Length};
use gdal::DriverManager;
use gdal::raster::Buffer;
use gdal::spatial_ref::SpatialRef;
use tempfile::TempDir;

const UTM: u32 = 26917;
const PLACE: [f64; 6] = [500_000.0, 1.0, 0.0, 4_830_000.0, 0.0, -1.0];
const SIDE: usize = 200;

fn number(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap())
}

/// A square of 1 m cells with lots of 20 m all over it; the subject lies in the middle.
fn site(height: impl Fn(f64, f64) -> f64) -> (TempDir, Site) {
    let folder = TempDir::new().unwrap();
    let (raster, lots) = (folder.path().join("ground.tif"), folder.path().join("lots.geojson"));
    let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
    let mut made = driver.create_with_band_type::<f32, _>(&raster, SIDE, SIDE, 1).unwrap();
    made.set_geo_transform(&PLACE).unwrap();
    made.set_spatial_ref(&SpatialRef::from_epsg(UTM).unwrap()).unwrap();
    let values: Vec<f64> = (0..SIDE * SIDE).map(|i| height(number(i / SIDE), number(i % SIDE))).collect();
    made.rasterband(1).unwrap().write((0, 0), (SIDE, SIDE), &mut Buffer::new((SIDE, SIDE), values)).unwrap();
    made.close().unwrap();
    let features: Vec<String> = (0..100).map(lot).collect();
    let text = format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, features.join(","));
    std::fs::write(&lots, text).unwrap();
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
    let site = open_site(&elevation, &parcels, &Subject::Id("55".to_owned())).unwrap().value;
    (folder, site)
}

fn lot(place: usize) -> String {
    let (w, n) = (PLACE[0] + 20.0 * number(place % 10), PLACE[3] - 20.0 * number(place / 10));
    let (e, s) = (w + 20.0, n - 20.0);
    format!(
        r#"{{"type":"Feature","properties":{{"id":"{place}"}},"geometry":{{"type":"Polygon","coordinates":[[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]]}}}}"#
    )
}

/// The two agree but for the rounding of where lot lines cut cells.
fn assert_same(part: &Outcome, window: &Outcome, what: &str) {
    assert!(!window.is_cut, "{what}");
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-7 * (1.0 + window.run_on_m2);
    assert!(close(part.run_on_m2, window.run_on_m2), "{what}: {} {}", part.run_on_m2, window.run_on_m2);
    assert_eq!(part.areas.len(), window.areas.len(), "{what}");
    for (a, b) in part.areas.iter().zip(&window.areas) {
        assert!(a.0 == b.0 && close(a.1, b.1), "{what}: {a:?} {b:?}");
    }
    assert_eq!(part.crossings.len(), window.crossings.len(), "{what}");
    for (a, b) in part.crossings.iter().zip(&window.crossings) {
        assert!(close(a.area_m2, b.area_m2) && (a.off_m - b.off_m).abs() < 1e-6, "{what}: {a:?} {b:?}");
    }
}

/// Realisations on the part and on the window: how many settle, and how many don't.
fn compare(height: impl Fn(f64, f64) -> f64, rmse_m: f64, routing: Routing) -> (usize, usize) {
    let (_folder, site) = site(height);
    // The window is the whole raster.
    let settings = Settings { first_margin: Length::from_m(1000.0), routing, ..Settings::new() };
    let routed = find_catchment(&site, &settings, &Silent).unwrap().routed;
    let window = &routed.ground;
    assert_eq!(window.raw.shape().len(), SIDE * SIDE);
    let part = Part::of(window, &site, &settings, &routed).unwrap().expect("the lot drains a part of it");
    let outline = &site.parcels.subject_lot().outline;
    let line = LotLine::new(outline, site.crs.metres_per_unit()).unwrap();
    let all = window.outlines(&site);
    let outlines = Outlines { line: &line, all: &all, georef: window.georef };
    let drained = drainage(&routed.scene(), &routed.arrival, outlines, |_| false);
    let crossings = CrossingPlace::all(&line, &drained);
    assert!(!crossings.is_empty(), "there is something to compare");
    let asked =
        Asked { site: &site, line: &line, crossings: &crossings, routing, given: Vec::new(), floor_m2: 20.0 };
    let model = ErrorModel::new(Length::from_m(rmse_m), Length::from_m(1.0));
    let (mut settled, mut open) = (0, 0);
    for range in [0.0, 5.0, 20.0, 60.0] {
        let source = FieldSource::new(&model, range, window.raw.shape(), window.cell, 3);
        for place in 0..8 {
            let values = source.pair(place).added_to(window.raw.values(), place % 2 == 0);
            let surface = Grid::new(window.raw.shape(), values);
            let shift_m = parcel_shifts(&model, 3, place).next().unwrap();
            let drawn = Drawn { surface, shift_m, range: 0 };
            let mut maps = [Reaching::none(SIDE * SIDE), Reaching::none(SIDE * SIDE)];
            let on_part = asked.followed(Extent::Part(&part), &drawn, &mut maps[0]).unwrap();
            let Some(on_part) = on_part else {
                open += 1;
                assert_eq!(maps[0], Reaching::none(SIDE * SIDE), "nothing is counted twice");
                continue;
            };
            let whole = asked.followed(Extent::Window(window), &drawn, &mut maps[1]).unwrap();
            assert_same(&on_part, &whole.expect("a window has one"), &format!("range {range}, {place}"));
            maps[0].assert_alike(&maps[1]);
            settled += 1;
        }
    }
    (settled, open)
}

/// Hills and dales of 60 and 25 m on a slope of 2 %.
fn rolling(row: f64, col: f64) -> f64 {
    let wave = |x: f64, length: f64| (std::f64::consts::TAU * x / length).sin();
    50.0 - 0.02 * row + 0.4 * wave(col + 0.3 * row, 60.0) + 0.15 * wave(row - 0.4 * col, 25.0)
}

#[test]
fn a_part_that_settles_gives_the_outcome_of_the_window() {
    for routing in [Routing::Proportional, Routing::Single, Routing::Steepest] {
        let (settled, open) = compare(rolling, 0.05, routing);
        assert!(settled >= 16, "{settled} settle, {open} don't");
    }
}

/// Nearly level ground under an error as large: catchments wander out of the part, and sinks lie across its
/// sides.
#[test]
fn a_part_that_is_too_small_says_so() {
    let (_, open) = compare(|row, col| 0.1 * rolling(row, col), 0.2, Routing::Proportional);
    assert!(open > 0, "all settle");
}
