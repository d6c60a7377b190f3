//! A lot on invented ground in files, and the stages from the file to its ledger.

use gdal::DriverManager;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use geo::MultiPolygon;
use lotshed::certainty::ErrorModel;
use lotshed::flow::{Reach, Routing, directions};
use lotshed::grid::{Cell, Grid, GridShape};
use lotshed::input::{AxisOrder, ElevationOptions, ParcelOptions, Site, Subject, Window, open_site};
use lotshed::lots::{Arrival, CellLots, Label, LotLine, Outlines, Scene as LotScene, drainage};
use lotshed::pipeline::{CertaintySettings, Progress, Settings, Silent, assess};
use lotshed::terrain::{Rim, fill};
use lotshed::units::{Area, Length};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const WEST: f64 = 500_000.0;
const NORTH: f64 = 4_830_000.0;
const UTM: u32 = 26917;
/// Place of the raster, in GDAL's order.
pub(crate) const PLACE: [f64; 6] = [WEST, 1.0, 0.0, NORTH, 0.0, -1.0];

/// Files and what they hold.
pub(crate) struct Scene {
    _folder: TempDir,
    site: Site,
}

/// A folder in memory where the system has one.
pub(crate) fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    let made = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    made.unwrap()
}

/// Writes ground and lots of 20 by 40 m all over it; the subject lies in the middle.
pub(crate) fn write(raw: &Grid<f32>, options: &[&str], folder: &Path) {
    let GridShape { rows, cols } = raw.shape();
    let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
    let options: RasterCreationOptions = options.iter().copied().collect();
    let path = folder.join("ground.tif");
    let mut file =
        driver.create_with_band_type_with_options::<f32, _>(path, cols, rows, 1, &options).unwrap();
    file.set_geo_transform(&PLACE).unwrap();
    file.set_spatial_ref(&SpatialRef::from_epsg(UTM).unwrap()).unwrap();
    let mut cells = Buffer::new((cols, rows), raw.values().to_vec());
    file.rasterband(1).unwrap().write((0, 0), (cols, rows), &mut cells).unwrap();
    file.close().unwrap();
    let mut features = Vec::new();
    for row in 0..rows / 40 {
        for col in 0..cols / 20 {
            let (w, n) = (WEST + 20.0 * col as f64, NORTH - 40.0 * row as f64);
            let (e, s) = (w + 20.0, n - 40.0);
            features.push(format!(
                r#"{{"type":"Feature","properties":{{"id":"{row}-{col}"}},"geometry":{{"type":"Polygon","coordinates":[[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]]}}}}"#
            ));
        }
    }
    let text = format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, features.join(","));
    std::fs::write(folder.join("lots.geojson"), text).unwrap();
    std::fs::write(folder.join("subject.txt"), format!("{}-{}", rows / 80, cols / 40)).unwrap();
}

/// Opens what [`write`] wrote.
pub(crate) fn open(folder: &Path) -> Site {
    let elevation = ElevationOptions {
        paths: vec![folder.join("ground.tif")],
        unit: None,
        crs: None,
        nodata: None,
        bridge_holes: Area::from_m2(400.0),
    };
    let path: PathBuf = folder.join("lots.geojson");
    let crs = Some(format!("EPSG:{UTM}"));
    let parcels = ParcelOptions {
        path,
        layer: None,
        id_field: None,
        crs,
        axes: AxisOrder::AsStored,
        keep_fields: vec![],
    };
    let subject = std::fs::read_to_string(folder.join("subject.txt")).unwrap();
    open_site(&elevation, &parcels, &Subject::Id(subject)).unwrap().value
}

/// Everything in one window.
pub(crate) fn settings() -> Settings {
    Settings { first_margin: Length::from_m(100_000.0), ..Settings::new() }
}

impl Scene {
    pub(crate) fn write(raw: &Grid<f32>, options: &[&str]) -> Self {
        let folder = folder();
        write(raw, options, folder.path());
        let site = open(folder.path());
        Self { _folder: folder, site }
    }

    /// The program's own chain, both routings, the look beyond the edge, line and all.
    pub(crate) fn whole(&self) {
        let found = assess(&self.site, &settings(), &Silent).unwrap().value;
        assert!(found.drainage.run_on_m2 > 0.0);
    }

    /// The same with so many realisations under elevation error.
    pub(crate) fn repeated(&self, realisations: usize, progress: &dyn Progress) {
        let model = ErrorModel::new(Length::from_cm(10.0), Length::from_m(1.0));
        let certainty = Some(CertaintySettings { realisations, ..CertaintySettings::of(model) });
        let found = assess(&self.site, &Settings { certainty, ..settings() }, progress).unwrap().value;
        assert_eq!(found.certainty.unwrap().realisations, realisations);
    }

    /// Reading, filling, directions, labels and ledger of the subject, stage by stage.
    pub(crate) fn ledger(&self, stages: &mut Stages) {
        let site = &self.site;
        let shape = site.survey.shape();
        let raw = stages.time(0, || site.survey.read(Window { row: 0, col: 0, shape }).unwrap());
        let filled = stages.time(1, || fill(&raw, &Rim::OPEN, &[]).unwrap());
        let cell = site.survey.cell_size();
        let is_rim = |i: usize| shape.is_rim(Cell { row: i / shape.cols, col: i % shape.cols });
        let field = stages.time(2, || directions(&filled, cell, Routing::Proportional, is_rim).unwrap());
        let parcels = site.parcels.parcels();
        let all: Vec<&MultiPolygon<f64>> = parcels.iter().map(|p| &p.outline).collect();
        let georef = site.survey.georef();
        let lots = stages.time(3, || CellLots::new(shape, georef, &all).unwrap());
        let subject = Label::of_place(site.parcels.subject()).unwrap();
        let found = stages.time(4, || {
            let reach = Reach::upstream_of(&field, lots.cells_of(subject)).unwrap();
            let scene = LotScene {
                field: &field,
                reach: &reach,
                lots: &lots,
                inlets: &[],
                cell,
                origin: Cell { row: 0, col: 0 },
                subject,
                least_share: lotshed::lots::LEAST_SHARE,
            };
            let arrival = Arrival::of(&scene);
            let outline = &parcels[site.parcels.subject()].outline;
            let line = LotLine::new(outline, site.crs.metres_per_unit()).unwrap();
            drainage(&scene, &arrival, Outlines { line: &line, all: &all, georef }, is_rim)
        });
        assert!(found.run_on_m2 > 0.0);
    }
}

/// Time spent in each stage.
#[derive(Default)]
pub(crate) struct Stages {
    spent: [Duration; 5],
    rounds: u32,
}

impl Stages {
    fn time<T>(&mut self, stage: usize, work: impl FnOnce() -> T) -> T {
        let start = Instant::now();
        let made = work();
        self.spent[stage] += start.elapsed();
        self.rounds += u32::from(stage == 0);
        made
    }
}

impl std::fmt::Display for Stages {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "means by stage:")?;
        for (name, spent) in ["read", "fill", "directions", "labels", "ledger"].iter().zip(self.spent) {
            write!(f, " {name} {:.1} ms", spent.as_secs_f64() * 1e3 / f64::from(self.rounds))?;
        }
        Ok(())
    }
}
