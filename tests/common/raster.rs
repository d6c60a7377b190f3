//! Elevation rasters as files.

use std::path::Path;

use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager};

use super::scene::{NORTH, UTM_CODE, WEST};

/// Type of the numbers in a band.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Band {
    /// 32-bit floating point.
    Single,
    /// 16-bit whole numbers with sign.
    Whole,
}

/// How the raster says where it lies.
#[derive(Debug, Clone)]
pub(crate) enum RasterCrs {
    /// By a code of the registry.
    Code(u32),
    /// By well-known text or any other definition that GDAL reads.
    Text(String),
    /// It doesn't.
    None,
}

/// An elevation raster in the making: the base scene's, until told otherwise.
#[derive(Debug, Clone)]
pub(crate) struct Raster {
    rows: usize,
    cols: usize,
    values: Vec<f64>,
    canvas: (usize, usize),
    transform: [f64; 6],
    crs: RasterCrs,
    nodata: Option<f64>,
    band: Band,
    options: Vec<String>,
    unit: Option<String>,
    packing: Option<(f64, f64)>,
}

impl Raster {
    /// One value for each cell, from its row and column.
    pub(crate) fn of(rows: usize, cols: usize, value: impl Fn(usize, usize) -> f64) -> Self {
        let mut values = Vec::with_capacity(rows * cols);
        for row in 0..rows {
            values.extend((0..cols).map(|col| value(row, col)));
        }
        Self {
            rows,
            cols,
            values,
            canvas: (rows, cols),
            transform: [WEST, 1.0, 0.0, NORTH, 0.0, -1.0],
            crs: RasterCrs::Code(UTM_CODE),
            nodata: Some(-9999.0),
            band: Band::Single,
            options: Vec::new(),
            unit: None,
            packing: None,
        }
    }

    /// Puts other values where `change` gives one.
    pub(crate) fn with(mut self, change: impl Fn(usize, usize, f64) -> Option<f64>) -> Self {
        for row in 0..self.rows {
            for col in 0..self.cols {
                let value = &mut self.values[row * self.cols + col];
                *value = change(row, col, *value).unwrap_or(*value);
            }
        }
        self
    }

    /// North-up, from the north-west corner and the cell's size.
    pub(crate) fn at(self, west: f64, north: f64, dx: f64, dy: f64) -> Self {
        self.transformed([west, dx, 0.0, north, 0.0, -dy])
    }

    /// Any affine placement, in GDAL's order.
    pub(crate) fn transformed(mut self, transform: [f64; 6]) -> Self {
        self.transform = transform;
        self
    }

    /// The coordinate system.
    pub(crate) fn crs(mut self, crs: RasterCrs) -> Self {
        self.crs = crs;
        self
    }

    /// The declared value of holes.
    pub(crate) fn nodata(mut self, nodata: Option<f64>) -> Self {
        self.nodata = nodata;
        self
    }

    /// The type of the stored numbers.
    pub(crate) fn band(mut self, band: Band) -> Self {
        self.band = band;
        self
    }

    /// Creation options of the GeoTIFF driver.
    pub(crate) fn options(mut self, options: &[&str]) -> Self {
        self.options = options.iter().map(|&option| option.to_owned()).collect();
        self
    }

    /// The band's unit.
    pub(crate) fn unit(mut self, unit: &str) -> Self {
        self.unit = Some(unit.to_owned());
        self
    }

    /// Scale and offset that turn stored numbers into elevations.
    pub(crate) fn packing(mut self, scale: f64, offset: f64) -> Self {
        self.packing = Some((scale, offset));
        self
    }

    /// A larger raster, of which only the north-west corner is written.
    pub(crate) fn in_corner_of(mut self, rows: usize, cols: usize) -> Self {
        self.canvas = (rows, cols);
        self
    }

    /// Writes the GeoTIFF.
    pub(crate) fn write(&self, path: &Path) {
        match &self.unit {
            None => self.write_plain(path),
            Some(unit) => {
                let plain = path.with_extension("plain.tif");
                self.write_plain(&plain);
                add_unit(&plain, path, self, unit);
                std::fs::remove_file(plain).expect("the intermediate file can be removed");
            }
        }
    }

    fn write_plain(&self, path: &Path) {
        let driver = DriverManager::get_driver_by_name("GTiff").expect("GDAL writes GeoTIFF");
        let options: RasterCreationOptions = self.options.iter().map(String::as_str).collect();
        let (height, width) = self.canvas;
        let mut file = match self.band {
            Band::Single => {
                driver.create_with_band_type_with_options::<f32, _>(path, width, height, 1, &options)
            }
            Band::Whole => {
                driver.create_with_band_type_with_options::<i16, _>(path, width, height, 1, &options)
            }
        }
        .expect("the raster can be made");
        file.set_geo_transform(&self.transform).expect("the raster takes a placement");
        let crs = match &self.crs {
            RasterCrs::Code(code) => Some(SpatialRef::from_epsg(*code)),
            RasterCrs::Text(text) => Some(SpatialRef::from_definition(text)),
            RasterCrs::None => None,
        };
        if let Some(crs) = crs {
            file.set_spatial_ref(&crs.expect("GDAL knows the coordinate system"))
                .expect("the raster takes it");
        }
        let mut band = file.rasterband(1).expect("there is one band");
        band.set_no_data_value(self.nodata).expect("the band takes a nodata value");
        if let Some((scale, offset)) = self.packing {
            band.set_scale(scale).expect("the band takes a scale");
            band.set_offset(offset).expect("the band takes an offset");
        }
        let mut buffer = Buffer::new((self.cols, self.rows), self.values.clone());
        band.write((0, 0), (self.cols, self.rows), &mut buffer).expect("the cells can be written");
        file.close().expect("the raster can be closed");
    }
}

/// The base scene's system with another false easting and no code.
pub(crate) fn with_false_easting(value: &str) -> String {
    let text = SpatialRef::from_epsg(26917).and_then(|crs| crs.to_wkt()).expect("GDAL knows it");
    text.replace("PARAMETER[\"false_easting\",500000]", &format!("PARAMETER[\"false_easting\",{value}]"))
        .replace(",AUTHORITY[\"EPSG\",\"26917\"]", "")
}

/// Puts the code 26917 in the place of "user-defined" among a GeoTIFF's keys, beside the parameters that stay.
///
/// A key is four little-endian 16-bit numbers: its name (3072, the projected system), 0 (the value stands here), the
/// count 1, and the value, which is 32767 for a system without code (OGC GeoTIFF 1.1, sections 7.1 and C.2).
pub(crate) fn claim_code(path: &Path) {
    let key = |value: u16| [3072, 0, 1, value].into_iter().flat_map(u16::to_le_bytes).collect::<Vec<u8>>();
    let mut bytes = std::fs::read(path).expect("the raster is there");
    let place = bytes.windows(8).position(|part| part == key(32767)).expect("the system has no code yet");
    bytes[place..place + 8].copy_from_slice(&key(UTM_CODE.try_into().expect("codes are small")));
    std::fs::write(path, bytes).expect("the raster can be changed");
}

/// Copies a raster through a virtual one that states the band's unit, which the safe interface of the `gdal` crate
/// reads but doesn't set.
fn add_unit(plain: &Path, path: &Path, raster: &Raster, unit: &str) {
    let [west, dx, turn_x, north, turn_y, dy] = raster.transform;
    let (height, width) = raster.canvas;
    let crs = Dataset::open(plain).expect("the file just written opens").projection();
    let escaped = crs.replace('&', "&amp;").replace('<', "&lt;");
    let nodata = raster.nodata.map_or(String::new(), |value| format!("<NoDataValue>{value}</NoDataValue>"));
    let packing = raster
        .packing
        .map_or(String::new(), |(scale, offset)| format!("<Scale>{scale}</Scale><Offset>{offset}</Offset>"));
    let kind = match raster.band {
        Band::Single => "Float32",
        Band::Whole => "Int16",
    };
    let text = format!(
        "<VRTDataset rasterXSize=\"{width}\" rasterYSize=\"{height}\"><SRS>{escaped}</SRS>\
         <GeoTransform>{west:.9},{dx:.12},{turn_x:.12},{north:.9},{turn_y:.12},{dy:.12}</GeoTransform>\
         <VRTRasterBand dataType=\"{kind}\" band=\"1\">{nodata}<UnitType>{unit}</UnitType>{packing}\
         <SimpleSource><SourceFilename relativeToVRT=\"0\">{}</SourceFilename><SourceBand>1</SourceBand>\
         </SimpleSource></VRTRasterBand></VRTDataset>",
        plain.display()
    );
    let driver = DriverManager::get_driver_by_name("GTiff").expect("GDAL writes GeoTIFF");
    Dataset::open(text)
        .expect("the virtual raster opens")
        .create_copy(&driver, path, &RasterCreationOptions::default())
        .expect("the raster can be copied")
        .close()
        .expect("the copy can be closed");
    let found = Dataset::open(path).expect("the copy opens").rasterband(1).expect("there is one band").unit();
    assert_eq!(found, unit, "the made raster must state its unit");
}
