//! Files of the scene, made with the geodata library in a folder of their own.

use crate::input::{AxisOrder, ElevationOptions, InputError, ParcelOptions, Site, Subject, open_site};
use crate::units::Area;
use crate::warning::Warned;
use gdal::DriverManager;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use proj::Proj;
use std::path::PathBuf;
use tempfile::TempDir;

pub(super) const UTM: &str = "EPSG:26917";
pub(super) const WEST: f64 = 500_000.0;
pub(super) const NORTH: f64 = 4_830_000.0;
pub(super) const N: [f64; 4] = [500_020.0, 4_829_960.0, 500_060.0, 4_829_980.0];
pub(super) const S: [f64; 4] = [500_020.0, 4_829_930.0, 500_060.0, 4_829_960.0];
/// Ground metres in a map metre on UTM's central meridian.
pub(super) const GROUND: f64 = 1.0 / 0.9996;

/// A raster to be written.
pub(super) struct Raster {
    pub(super) name: &'static str,
    pub(super) crs: Option<String>,
    pub(super) affine: [f64; 6],
    pub(super) rows: usize,
    pub(super) cols: usize,
    pub(super) nodata: Option<f64>,
    pub(super) height: Box<dyn Fn(usize, usize) -> f64>,
}

impl Default for Raster {
    fn default() -> Self {
        Self {
            name: "ground.tif",
            crs: Some(UTM.to_owned()),
            affine: [WEST, 1.0, 0.0, NORTH, 0.0, -1.0],
            rows: 80,
            cols: 80,
            nodata: Some(-9999.0),
            height: Box::new(|row, _| plane(row)),
        }
    }
}

/// The ground: 2 % down to the south.
pub(super) fn plane(row: usize) -> f64 {
    100.0 - 0.02 * crate::input::numbers::real(row)
}

/// A folder with the scene's files.
pub(super) struct Scene {
    pub(super) folder: TempDir,
    pub(super) elevation: ElevationOptions,
    pub(super) parcels: ParcelOptions,
}

impl Scene {
    /// The scene with another raster.
    pub(super) fn with(raster: &Raster) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let scene = Self {
            elevation: ElevationOptions {
                paths: vec![folder.path().join(raster.name)],
                unit: None,
                crs: None,
                nodata: None,
                bridge_holes: Area::from_m2(400.0),
            },
            parcels: ParcelOptions {
                path: folder.path().join("lots.geojson"),
                layer: None,
                id_field: None,
                crs: None,
                axes: AxisOrder::AsStored,
                keep_fields: Vec::new(),
            },
            folder,
        };
        scene.raster(raster);
        scene.lots(&[("N", &ring(N)), ("S", &ring(S))]);
        scene
    }

    /// The scene as it is.
    pub(super) fn plain() -> Self {
        Self::with(&Raster::default())
    }

    /// Writes a raster.
    pub(super) fn raster(&self, raster: &Raster) -> PathBuf {
        let path = self.folder.path().join(raster.name);
        let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
        let mut made = driver
            .create_with_band_type_with_options::<f32, _>(
                &path,
                raster.cols,
                raster.rows,
                1,
                &RasterCreationOptions::from_iter(["TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"]),
            )
            .unwrap();
        made.set_geo_transform(&raster.affine).unwrap();
        if let Some(crs) = &raster.crs {
            made.set_spatial_ref(&SpatialRef::from_definition(crs).unwrap()).unwrap();
        }
        let values: Vec<f64> = (0..raster.rows * raster.cols)
            .map(|i| (raster.height)(i / raster.cols, i % raster.cols))
            .collect();
        let mut band = made.rasterband(1).unwrap();
        band.set_no_data_value(raster.nodata).unwrap();
        let shape = (raster.cols, raster.rows);
        band.write((0, 0), shape, &mut Buffer::new(shape, values)).unwrap();
        made.close().unwrap();
        path
    }

    /// Writes lots given in UTM as GeoJSON in longitude and latitude, with their ids in the field `pid`.
    pub(super) fn lots(&self, lots: &[(&str, &[(f64, f64)])]) {
        let lonlat = Proj::new_known_crs(UTM, "EPSG:4326", None).unwrap();
        self.lots_as(lots, "", |x, y| lonlat.convert((x, y)).unwrap());
    }

    /// Writes lots with coordinates made from UTM, and members to add to the collection.
    pub(super) fn lots_as(
        &self,
        lots: &[(&str, &[(f64, f64)])],
        members: &str,
        place: impl Fn(f64, f64) -> (f64, f64),
    ) {
        let features: Vec<String> = lots
            .iter()
            .map(|(id, ring)| {
                let corners: Vec<String> = ring
                    .iter()
                    .chain(ring.first())
                    .map(|&(x, y)| {
                        let (x, y) = place(x, y);
                        format!("[{x},{y}]")
                    })
                    .collect();
                format!(
                    "{{\"type\":\"Feature\",\"properties\":{{\"pid\":\"{id}\",\"zone\":\"R1\"}},\
                     \"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}}}",
                    corners.join(",")
                )
            })
            .collect();
        let text =
            format!("{{\"type\":\"FeatureCollection\",{members}\"features\":[{}]}}", features.join(","));
        std::fs::write(&self.parcels.path, text).unwrap();
    }

    /// Opens the scene with lot S as the subject.
    pub(super) fn open(&self) -> Result<Warned<Site>, InputError> {
        self.open_for(&Subject::Id("S".to_owned()))
    }

    /// Opens the scene for another subject.
    pub(super) fn open_for(&self, subject: &Subject) -> Result<Warned<Site>, InputError> {
        open_site(&self.elevation, &self.parcels, subject)
    }
}

/// Corners of a box (west, south, east, north), counter-clockwise.
pub(super) fn ring([west, south, east, north]: [f64; 4]) -> Vec<(f64, f64)> {
    vec![(west, south), (east, south), (east, north), (west, north)]
}

/// Codes of the warnings.
pub(super) fn codes(site: &Warned<Site>) -> Vec<&'static str> {
    site.warnings.iter().map(|w| w.code).collect()
}
