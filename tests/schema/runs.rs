//! Small runs of the program in a folder of their own.

use serde_json::Value;
use std::fmt::Write;
use std::path::PathBuf;
use std::process::Command;
use tempfile::TempDir;

/// A folder for one test.
pub(crate) struct Folder {
    place: TempDir,
    /// Arguments that name the elevations, and those that name the parcels.
    elevation: Vec<String>,
    parcels: Vec<String>,
}

fn words(all: &[&str]) -> Vec<String> {
    all.iter().map(|&word| word.to_owned()).collect()
}

impl Folder {
    /// An empty one.
    pub(crate) fn new() -> Self {
        let place = tempfile::tempdir().expect("a folder for the test can be made");
        Self { place, elevation: Vec::new(), parcels: Vec::new() }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    /// Writes a file of the folder.
    pub(crate) fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).expect("the test's file can be written");
    }

    /// A JSON file of the folder.
    pub(crate) fn read_json(&self, name: &str) -> Value {
        let text = std::fs::read_to_string(self.path(name)).expect("the file is there");
        serde_json::from_str(&text).expect("the file is JSON")
    }

    /// What the program prints.
    pub(crate) fn summary(&self, arguments: &[&str]) -> Value {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lotshed"));
        let output = command.current_dir(self.place.path()).args(arguments).output().expect("it starts");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "lotshed {arguments:?} fails:\n{said}");
        serde_json::from_slice(&output.stdout).expect("standard output is JSON")
    }

    /// An assessment of the folder's scene.
    pub(crate) fn assess(&self, more: &[&str]) -> Value {
        let elevation: Vec<&str> = self.elevation.iter().map(String::as_str).collect();
        self.assess_with(&elevation, more)
    }

    /// The same with other elevations.
    pub(crate) fn assess_with(&self, elevation: &[&str], more: &[&str]) -> Value {
        let parcels: Vec<&str> = self.parcels.iter().map(String::as_str).collect();
        let fixed: &[&str] = &["--json", "--out", "result", "--overwrite"];
        self.summary(&[&["assess"], elevation, &parcels, fixed, more].concat())
    }
}

/// An ASCII grid; the format is that of GDAL's documentation (driver `AAIGrid`).
fn ascii_grid(
    (rows, cols): (u32, u32),
    (west, south): (f64, f64),
    step: f64,
    height: impl Fn(f64, f64) -> Option<f64>,
) -> String {
    let mut text = format!(
        "ncols {cols}\nnrows {rows}\nxllcorner {west}\nyllcorner {south}\ncellsize {step}\nNODATA_value -9999\n"
    );
    for row in 0..rows {
        for col in 0..cols {
            let value = height(f64::from(row), f64::from(col)).unwrap_or(-9999.0);
            write!(text, "{value:.4} ").expect("a string takes text");
        }
        text.push('\n');
    }
    text
}

/// The demo's inputs, and a raster in degrees that covers the same lots.
pub(crate) fn demo_scene() -> Folder {
    let mut folder = Folder::new();
    folder.summary(&["demo", "--json", "--quiet", "--out", "d"]);
    folder.elevation = words(&["--elevation", "d/elevation.tif"]);
    folder.parcels = words(&["--parcels", "d/parcels.geojson"]);
    // 1e-5 degrees are a metre; the ground falls south.
    let plane = |row: f64, _: f64| Some(50.0 - 0.02 * row);
    folder.write("degrees.asc", &ascii_grid((130, 200), (-90.4834, 47.3004), 1e-5, plane));
    folder
}

/// Ground of 80 by 80 metres in UTM zone 17 with a lot N above a lot S.
pub(crate) fn base_scene(what: &str, height: impl Fn(f64, f64) -> Option<f64>) -> Folder {
    let mut folder = Folder::new();
    let (west, south) = (500_000.0, 4_829_920.0);
    folder.write("base.asc", &ascii_grid((80, 80), (west, south), 1.0, height));
    let lot = |id: &str, low: f64, high: f64| {
        let corners = [(20.0, low), (60.0, low), (60.0, high), (20.0, high), (20.0, low)];
        let ring: Vec<[f64; 2]> = corners.iter().map(|(x, y)| [west + x, south + y]).collect();
        serde_json::json!({
            "type": "Feature",
            "properties": { "id": id, "note": what },
            "geometry": { "type": "Polygon", "coordinates": [ring] },
        })
    };
    let features = [lot("N", 40.0, 60.0), lot("S", 10.0, 40.0)];
    let file = serde_json::json!({ "type": "FeatureCollection", "features": features });
    folder.write("base.geojson", &file.to_string());
    folder.elevation =
        words(&["--elevation", "base.asc", "--elevation-crs", "EPSG:26917", "--elevation-unit", "m"]);
    folder.parcels = words(&["--parcels", "base.geojson", "--parcels-crs", "EPSG:26917"]);
    folder
}
