//! Worlds: a true surface with its lots, and what a survey of it gave.

use gdal::DriverManager;
use gdal::raster::Buffer;
use gdal::spatial_ref::SpatialRef;
use lotshed::certainty::{ErrorModel, FieldSource};
use lotshed::grid::{CellSize, GridShape};
use lotshed::input::{AxisOrder, ElevationOptions, ParcelOptions, Site, Subject, open_site};
use lotshed::pipeline::{Assessment, CertaintySettings, Settings, Silent, assess};
use lotshed::units::{Area, Length};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::path::Path;

const UTM: u32 = 26917;
const WEST: f64 = 500_000.0;
const NORTH: f64 = 4_830_000.0;
/// Cells of 1 m along each side.
const SIDE: usize = 40;
/// Lots along each side, of 10 m.
const LOTS: usize = 4;
const SUBJECT: &str = "2-1";
const CELL: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const SHAPE: GridShape = GridShape { rows: SIDE, cols: SIDE };

/// Ground that worlds are drawn from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A plane that falls any way.
    Plane,
    /// The same with two waves on it.
    Rolling,
    /// The same with bumps of all places, a decimetre high and some metres wide.
    Rough,
}

/// What was claimed of one world, and what was true.
pub(crate) struct Told {
    /// Stated likelihood that a lot contributes, and whether it does.
    pub claims: Vec<(f64, bool)>,
    /// The run-on's interval, and the truth.
    pub run_on: ([f64; 2], f64),
    /// By lot: interval of its area, and the truth.
    pub areas: Vec<([f64; 2], f64)>,
    /// The same of shares.
    pub shares: Vec<([f64; 2], f64)>,
}

fn number(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap())
}

/// A world by its number: true ground, its error, and what the program says of the erroneous one.
pub(crate) fn told(kind: Kind, range_m: &[f64], rmse_m: (f64, f64), realisations: usize, world: u64) -> Told {
    let mut random = ChaCha8Rng::seed_from_u64(world);
    let true_ground = ground(kind, &mut random);
    let rmse_m = rmse_m.0 * (rmse_m.1 / rmse_m.0).powf(random.random::<f64>());
    let ranges = range_m.iter().map(|&m| Length::from_m(m)).collect();
    let model = ErrorModel { rmse: Length::from_m(rmse_m), ranges, parcels: Length::ZERO };
    let range = range_m[usize::try_from(world).unwrap() % range_m.len()];
    let error = FieldSource::new(&model, range, SHAPE, CELL, 1_000_003 + world).pair(0);
    let surveyed = error.added_to(&true_ground, false);
    let certainty = CertaintySettings { realisations, seed: world, ..CertaintySettings::of(model) };
    let folder = tempfile::tempdir().unwrap();
    let truth = areas(&assessed(folder.path(), &true_ground, None, |found| amounts(found)));
    assessed(folder.path(), &surveyed, Some(certainty), |found| compare(found, &truth))
}

fn areas(rows: &BTreeMap<String, f64>) -> BTreeMap<String, f64> {
    rows.clone()
}

fn amounts(found: &Assessment<'_>) -> BTreeMap<String, f64> {
    let rows = found.drainage.contributions.iter();
    let id = |place: usize| found.site.parcels.parcels()[found.routed.ground.parcels[place]].id.clone();
    rows.map(|row| (row.label.place().map_or(String::new(), id), row.area_m2)).collect()
}

fn compare(found: &Assessment<'_>, truth: &BTreeMap<String, f64>) -> Told {
    let sure = found.certainty.as_ref().unwrap();
    let total: f64 = truth.values().sum();
    let mut told = Told {
        claims: Vec::new(),
        run_on: ([sure.run_on.low, sure.run_on.high], total),
        areas: Vec::new(),
        shares: Vec::new(),
    };
    for (place, lot) in found.site.parcels.parcels().iter().enumerate() {
        if lot.id == SUBJECT {
            continue;
        }
        let area = truth.get(&lot.id).copied().unwrap_or(0.0);
        let row = sure.parcel(Some(place));
        told.claims.push((row.map_or(0.0, |row| row.likelihood.share()), area > sure.floor_m2));
        if let Some(row) = row {
            told.areas.push(([row.area.low, row.area.high], area));
            let share = if total > 0.0 { area / total } else { 0.0 };
            told.shares.push(([row.share.low, row.share.high], share));
        }
    }
    told
}

fn ground(kind: Kind, random: &mut ChaCha8Rng) -> Vec<f32> {
    let tau = std::f64::consts::TAU;
    let mut unit = || random.random::<f64>();
    let fall = 0.005 * (16.0_f64).powf(unit());
    let way = tau * unit();
    let waves: Vec<(f64, f64, f64, f64)> = match kind {
        Kind::Plane | Kind::Rough => vec![],
        Kind::Rolling => (0..2).map(|_| (0.1 + 0.3 * unit(), 15.0 + 25.0 * unit(), tau * unit(), tau * unit())).collect(),
    };
    let z = |row: f64, col: f64| {
        let plane = 100.0 + fall * (col * way.cos() + row * way.sin());
        let wave = |&(high, long, turned, phase): &(f64, f64, f64, f64)| {
            high * (tau * (col * turned.cos() + row * turned.sin()) / long + phase).sin()
        };
        plane + waves.iter().map(wave).sum::<f64>()
    };
    #[expect(clippy::cast_possible_truncation, reason = "rasters hold f32")]
    let even: Vec<f32> = (0..SIDE * SIDE).map(|i| z(number(i / SIDE), number(i % SIDE)) as f32).collect();
    if kind != Kind::Rough {
        return even;
    }
    let bumps = ErrorModel { rmse: Length::from_m(0.1), ranges: vec![], parcels: Length::ZERO };
    FieldSource::new(&bumps, 8.0, SHAPE, CELL, random.random()).pair(0).added_to(&even, false)
}

fn assessed<T>(
    folder: &Path,
    ground: &[f32],
    certainty: Option<CertaintySettings>,
    look: impl FnOnce(&Assessment<'_>) -> T,
) -> T {
    let site = site(folder, ground);
    let settings = Settings { certainty, first_margin: Length::from_m(1000.0), ..Settings::new() };
    look(&assess(&site, &settings, &Silent).unwrap().value)
}

fn site(folder: &Path, ground: &[f32]) -> Site {
    let (raster, lots) = (folder.join("ground.tif"), folder.join("lots.geojson"));
    let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
    let mut made = driver.create_with_band_type::<f32, _>(&raster, SIDE, SIDE, 1).unwrap();
    made.set_geo_transform(&[WEST, 1.0, 0.0, NORTH, 0.0, -1.0]).unwrap();
    made.set_spatial_ref(&SpatialRef::from_epsg(UTM).unwrap()).unwrap();
    let mut cells = Buffer::new((SIDE, SIDE), ground.to_vec());
    made.rasterband(1).unwrap().write((0, 0), (SIDE, SIDE), &mut cells).unwrap();
    made.close().unwrap();
    let features: Vec<String> = (0..LOTS * LOTS).map(lot).collect();
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
    open_site(&elevation, &parcels, &Subject::Id(SUBJECT.to_owned())).unwrap().value
}

fn lot(place: usize) -> String {
    let side = number(SIDE / LOTS);
    let (row, col) = (place / LOTS, place % LOTS);
    let (w, n) = (WEST + side * number(col), NORTH - side * number(row));
    let (e, s) = (w + side, n - side);
    format!(
        r#"{{"type":"Feature","properties":{{"id":"{row}-{col}"}},"geometry":{{"type":"Polygon","coordinates":[[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]]}}}}"#
    )
}
