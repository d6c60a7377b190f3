//! Invented ground and lots, as files.

use gdal::DriverManager;
use gdal::raster::Buffer;
use gdal::spatial_ref::SpatialRef;
use lotshed::input::{
    AxisOrder, ElevationOptions, InputError, ParcelOptions, SideFile, SideOptions, Site, Subject,
    open_beside, open_site,
};
use lotshed::units::Area;
use std::path::PathBuf;
use tempfile::TempDir;

const WEST: f64 = 500_000.0;
const NORTH: f64 = 4_830_000.0;
const UTM: u32 = 26917;
const VOID: f32 = -9999.0;

/// The form of the ground under its noise.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Shape {
    /// A slope with noise: many small sinks.
    Slope,
    /// Hills of several sizes and strong noise.
    Rough,
    /// One closed bowl that takes up most of the raster, its rim uneven.
    Bowl,
    /// Parallel ridges with gaps.
    Ridges,
    /// Heights in whole decimetres: flats everywhere.
    Steps,
    /// Bowls one after the other down a valley, each spilling into the next.
    Chain,
}

/// Ground with lots on it, all from one number.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Land {
    pub(crate) shape: Shape,
    pub(crate) seed: u64,
    pub(crate) rows: usize,
    pub(crate) cols: usize,
    /// Holes in the elevations.
    pub(crate) holes: usize,
}

/// The files; removed with this value.
pub(crate) struct Files {
    folder: TempDir,
}

impl Land {
    pub(crate) fn cells(&self) -> usize {
        self.rows * self.cols
    }

    /// A number from 0 to 1 that looks random (one round of a multiplicative mixing function).
    fn random(&self, what: u64, row: usize, col: usize) -> f64 {
        let mut h = self.seed ^ what.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        for part in [row as u64, col as u64] {
            h = (h ^ part.wrapping_add(0x51_7CC1)).wrapping_mul(0xD6E8_FEB8_6659_FD93);
            h ^= h >> 32;
        }
        h = h.wrapping_mul(0xD6E8_FEB8_6659_FD93);
        ((h ^ (h >> 29)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn pick(&self, what: u64, low: f64, high: f64) -> f64 {
        low + (high - low) * self.random(what, 0, 0)
    }

    /// Noise from -1 to 1 that is smooth over `span` cells.
    fn hills(&self, what: u64, span: usize, row: usize, col: usize) -> f64 {
        let ease = |part: usize| {
            let t = part as f64 / span as f64;
            t * t * (3.0 - 2.0 * t)
        };
        let (x, y, u, v) = (col / span, row / span, ease(col % span), ease(row % span));
        let at = |r: usize, c: usize| 2.0 * self.random(what, r, c) - 1.0;
        let north = at(y, x) * (1.0 - u) + at(y, x + 1) * u;
        let south = at(y + 1, x) * (1.0 - u) + at(y + 1, x + 1) * u;
        north * (1.0 - v) + south * v
    }

    fn height(&self, row: usize, col: usize) -> f64 {
        let (y, x) = (row as f64, col as f64);
        let (fall, angle) = (self.pick(1, 0.0, 0.06), self.pick(2, 0.0, std::f64::consts::TAU));
        let slope = 100.0 + fall * (x * angle.cos() + y * angle.sin());
        let fine = 2.0 * self.random(3, row, col) - 1.0;
        let (mid_row, mid_col) = (self.rows as f64 / 2.0, self.cols as f64 / 2.0);
        match self.shape {
            Shape::Slope => slope + self.pick(4, 0.001, 0.1) * fine,
            Shape::Rough => slope + 0.5 * self.hills(5, 23, row, col) + self.pick(4, 0.02, 0.4) * fine,
            Shape::Bowl => {
                let r = ((y - mid_row) / mid_row).hypot((x - mid_col) / mid_col);
                // Down to the middle, up to a rim at 0.8 of the way out, and down again.
                let rim = 3.0 * (1.0 - (r - 0.8).abs() / 0.8) + 0.4 * self.hills(6, 17, row, col);
                100.0 + rim + 0.2 * self.pick(7, 0.0, 1.0) * fine
            }
            Shape::Ridges => {
                let across = x * angle.cos() + y * angle.sin();
                let ridge = (across / self.pick(8, 5.0, 15.0)).sin();
                slope + 0.6 * ridge * (1.0 + 0.5 * self.hills(9, 13, row, col)) + 0.01 * fine
            }
            Shape::Steps => {
                let z = slope + 0.3 * self.hills(10, 19, row, col) + self.pick(4, 0.0, 0.05) * fine;
                (z * 10.0).round() / 10.0
            }
            Shape::Chain => {
                let along = x * angle.cos() + y * angle.sin();
                let across = x * angle.sin() - y * angle.cos();
                let bowls = 0.8 * (along / 6.0).cos() + 0.8 * (across / 9.0).cos();
                slope + bowls + 0.3 * self.hills(11, 29, row, col) + 0.005 * fine
            }
        }
    }

    fn elevations(&self) -> Vec<f32> {
        let mut z: Vec<f32> =
            (0..self.cells()).map(|i| self.height(i / self.cols, i % self.cols) as f32).collect();
        for hole in 0..self.holes {
            let at = |what: u64, count: usize| (self.random(what, hole, 1) * count as f64) as usize;
            let (row, col) = (at(20, self.rows), at(21, self.cols));
            // Single cells, lines one cell wide, small blocks that are bridged and large ones that aren't.
            let (high, wide) = match at(22, 5) {
                0 => (1, 1),
                1 => (1, 2 + at(23, 60)),
                2 => (2 + at(23, 40), 1),
                3 => (2 + at(23, 5), 2 + at(24, 5)),
                _ => (8 + at(23, 16), 8 + at(24, 16)),
            };
            for r in row..(row + high).min(self.rows) {
                for c in col..(col + wide).min(self.cols) {
                    z[r * self.cols + c] = VOID;
                }
            }
        }
        z
    }

    /// Corners of the lots (west, south, east, north) in cells from the south-west corner, by a grid of random lines;
    /// every seventh lot is left out.
    fn lots(&self) -> Vec<(usize, [f64; 4])> {
        let lines = |what: u64, until: usize| {
            let mut at = 4.0 + 6.0 * self.random(what, 0, 0);
            let mut lines = Vec::new();
            while at < until as f64 - 4.0 {
                lines.push((at * 8.0).round() / 8.0);
                at += 8.0 + 16.0 * self.random(what, lines.len(), 0);
            }
            lines
        };
        let (xs, ys) = (lines(30, self.cols), lines(31, self.rows));
        let mut lots = Vec::new();
        for (j, y) in ys.windows(2).enumerate() {
            for (i, x) in xs.windows(2).enumerate() {
                if (i + 3 * j) % 7 != 6 {
                    lots.push((lots.len(), [x[0], y[0], x[1], y[1]]));
                }
            }
        }
        lots
    }

    /// Corners of houses in cells from the south-west corner: on lots, over lot lines, side by side, over the data's edge.
    pub(crate) fn houses(&self, count: usize) -> Vec<[f64; 4]> {
        (0..count)
            .map(|house| {
                let at = |what: u64, until: f64| (self.random(what, house, 2) * until * 4.0).round() / 4.0;
                let (west, south) = (at(50, self.cols as f64), at(51, self.rows as f64));
                [west, south, west + 1.0 + at(52, 14.0), south + 1.0 + at(53, 14.0)]
            })
            .collect()
    }

    /// Downspouts of houses (their places in the list), up to two each, in cells from the south-west corner: beside the house,
    /// below it, on the far side of the land, beyond the data.
    pub(crate) fn downspouts(&self, houses: &[[f64; 4]]) -> Vec<(usize, [f64; 2])> {
        let of_house = |(house, [w, s, e, n]): (usize, &[f64; 4])| {
            let count = (self.random(60, house, 0) * 3.0) as u64;
            let at = |what: u64, middle: f64| middle + (self.random(what, house, 1) - 0.5) * 70.0;
            let spout =
                |i: u64| [at(61 + 2 * i, f64::midpoint(*w, *e)), at(62 + 2 * i, f64::midpoint(*s, *n))];
            (0..count).map(|i| (house, spout(i))).collect::<Vec<_>>()
        };
        houses.iter().enumerate().flat_map(of_house).collect()
    }

    /// Storm inlets, in cells from the south-west corner: on the land, on slopes and in hollows, and a little beyond.
    pub(crate) fn inlets(&self, count: usize) -> Vec<[f64; 2]> {
        let at =
            |inlet: usize, what: u64, until: usize| self.random(what, inlet, 3) * (until as f64 + 4.0) - 2.0;
        (0..count).map(|inlet| [at(inlet, 70, self.cols), at(inlet, 71, self.rows)]).collect()
    }

    /// Id of the lot that is asked about.
    pub(crate) fn subject(&self) -> Subject {
        let count = self.lots().len();
        Subject::Id(format!("L{}", (self.random(40, 0, 0) * count as f64) as usize))
    }

    pub(crate) fn write(&self) -> Files {
        let lots = self.lots().into_iter().map(|(id, corners)| (format!("L{id}"), corners));
        Files::write(self.rows, self.cols, self.elevations(), lots)
    }
}

/// Rectangles as GeoJSON, by their corners in cells from the south-west corner.
fn polygons(rows: usize, all: impl IntoIterator<Item = (String, [f64; 4])>) -> String {
    let features: Vec<String> = all
        .into_iter()
        .map(|(id, [w, s, e, n])| {
            let [w, e] = [w, e].map(|x| WEST + x);
            let [s, n] = [s, n].map(|y| NORTH - rows as f64 + y);
            format!(
                r#"{{"type":"Feature","properties":{{"id":"{id}"}},"geometry":{{"type":"Polygon","coordinates":[[[{w},{s}],[{e},{s}],[{e},{n}],[{w},{n}],[{w},{s}]]]}}}}"#
            )
        })
        .collect();
    let crs = format!(r#"{{"type":"name","properties":{{"name":"EPSG:{UTM}"}}}}"#);
    format!(r#"{{"type":"FeatureCollection","crs":{crs},"features":[{}]}}"#, features.join(","))
}

/// Points with their houses as GeoJSON, in cells from the south-west corner.
fn points(rows: usize, all: &[(usize, [f64; 2])]) -> String {
    let features: Vec<String> = all
        .iter()
        .map(|(house, [x, y])| {
            let (x, y) = (WEST + x, NORTH - rows as f64 + y);
            format!(
                r#"{{"type":"Feature","properties":{{"building":"H{house}"}},"geometry":{{"type":"Point","coordinates":[{x},{y}]}}}}"#
            )
        })
        .collect();
    let crs = format!(r#"{{"type":"name","properties":{{"name":"EPSG:{UTM}"}}}}"#);
    format!(r#"{{"type":"FeatureCollection","crs":{crs},"features":[{}]}}"#, features.join(","))
}

impl Files {
    /// Adds houses to a site, and where their roofs' water comes down.
    pub(crate) fn build(&self, site: &mut Site, land: &Land, houses: Vec<[f64; 4]>, inlets: &[[f64; 2]]) {
        let rows = land.rows;
        let downspouts = land.downspouts(&houses);
        let mut options = SideOptions::default();
        if !houses.is_empty() {
            let path = self.folder.path().join("houses.geojson");
            let named = houses.into_iter().enumerate().map(|(place, corners)| (format!("H{place}"), corners));
            std::fs::write(&path, polygons(rows, named)).expect("the houses can be written");
            options.buildings = Some(SideFile { path, layer: None });
        }
        if !downspouts.is_empty() {
            let path = self.folder.path().join("downspouts.geojson");
            std::fs::write(&path, points(rows, &downspouts)).expect("the downspouts can be written");
            options.downspouts = Some(SideFile { path, layer: None });
        }
        if !inlets.is_empty() {
            let path = self.folder.path().join("inlets.csv");
            let row = |[x, y]: &[f64; 2]| format!("{},{}\n", WEST + x, NORTH - rows as f64 + y);
            let text: String = std::iter::once("x,y\n".to_owned()).chain(inlets.iter().map(row)).collect();
            std::fs::write(&path, text).expect("the inlets can be written");
            options.inlets = Some(SideFile { path, layer: None });
        }
        site.beside = open_beside(site, &options).expect("the houses are sound").value;
    }

    /// Elevations row by row (-9999 in holes), cells of 1 m, and lots by their corners in cells from the south-west
    /// corner.
    pub(crate) fn write(
        rows: usize,
        cols: usize,
        elevations: Vec<f32>,
        lots: impl IntoIterator<Item = (String, [f64; 4])>,
    ) -> Self {
        let files = Self { folder: tempfile::tempdir().expect("a folder for the test can be made") };
        let driver = DriverManager::get_driver_by_name("GTiff").expect("GDAL writes GeoTIFF");
        let mut file = driver
            .create_with_band_type::<f32, _>(files.elevation(), cols, rows, 1)
            .expect("the raster can be made");
        file.set_geo_transform(&[WEST, 1.0, 0.0, NORTH, 0.0, -1.0]).expect("a place");
        file.set_spatial_ref(&SpatialRef::from_epsg(UTM).expect("a known code")).expect("a system");
        let mut band = file.rasterband(1).expect("a band");
        band.set_no_data_value(Some(f64::from(VOID))).expect("a nodata value");
        let mut cells = Buffer::new((cols, rows), elevations);
        band.write((0, 0), (cols, rows), &mut cells).expect("the cells can be written");
        file.close().expect("the raster can be written");
        let text = polygons(rows, lots);
        std::fs::write(files.parcels(), text).expect("the lots can be written");
        files
    }

    fn elevation(&self) -> PathBuf {
        self.folder.path().join("ground.tif")
    }

    fn parcels(&self) -> PathBuf {
        self.folder.path().join("lots.geojson")
    }

    /// The site; nothing if holes cover all of the lot, which is rightly refused.
    pub(crate) fn site(&self, subject: &Subject) -> Option<Site> {
        let elevation = ElevationOptions {
            paths: vec![self.elevation()],
            unit: None,
            crs: None,
            nodata: None,
            bridge_holes: Area::from_m2(40.0),
        };
        let parcels = ParcelOptions {
            path: self.parcels(),
            layer: None,
            id_field: None,
            crs: Some(format!("EPSG:{UTM}")),
            axes: AxisOrder::AsStored,
            keep_fields: Vec::new(),
        };
        match open_site(&elevation, &parcels, subject) {
            Err(InputError::LotUncovered { .. }) => None,
            other => Some(other.expect("the files are sound").value),
        }
    }
}
