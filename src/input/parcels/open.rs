//! Finding the one layer of polygons (or points) that is meant.

use super::shapefile;
use crate::crs::CrsDefinition;
use crate::input::ParcelOptions;
use crate::input::error::{InputError, InputKind};
use crate::input::files::{check_exists, ending, inside_zip, with_added};
use crate::input::setup::{first_failure, take_messages};
use crate::warning::{Warned, Warning};
use gdal::vector::LayerAccess;
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Formats that parcels are read from, by the geodata library's names.
const DRIVERS: [&str; 8] =
    ["GeoJSON", "GeoJSONSeq", "ESRIJSON", "TopoJSON", "GPKG", "ESRI Shapefile", "FlatGeobuf", "OpenFileGDB"];
/// Endings looked for inside archives.
const ENDINGS: [&str; 6] = ["shp", "geojson", "json", "gpkg", "fgb", "gdbtable"];
/// Formats that people try, and that are not read.
const REFUSED: [(&str, &str); 12] = [
    ("kml", "KML"),
    ("kmz", "KMZ"),
    ("gpx", "GPX"),
    ("gml", "GML"),
    ("dxf", "DXF"),
    ("dwg", "DWG"),
    ("dgn", "DGN"),
    ("mdb", "a personal geodatabase"),
    ("tab", "MapInfo TAB"),
    ("mif", "MapInfo MIF"),
    ("csv", "CSV"),
    ("pdf", "PDF"),
];

/// What is looked for in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Shapes {
    Polygons,
    Points,
    Lines,
    /// Polygons, lines or points.
    Any,
}

impl Shapes {
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Polygons => "polygons",
            Self::Points => "points",
            Self::Lines => "lines",
            Self::Any => "polygons, lines or points",
        }
    }

    /// Whether a layer declares them, or doesn't say what it holds; nothing where it declares something else.
    fn held_by(self, declared: &str) -> Option<Holds> {
        let declares = match self {
            Self::Polygons => declared.contains("polygon") || declared.contains("surface"),
            Self::Points => declared.contains("point"),
            Self::Lines => declared.contains("line") || declared.contains("curve"),
            Self::Any => !declared.contains("unknown") && !declared.contains("collection"),
        };
        let open = declared.contains("unknown") || declared.contains("collection");
        declares.then_some(Holds::Declared).or(open.then_some(Holds::Anything))
    }
}

/// Which layer of a file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wish<'a> {
    /// What it holds.
    pub(crate) shapes: Shapes,
    /// Its name, where it was typed.
    pub(crate) name: Option<&'a str>,
    /// A name that settles it where several layers would do.
    pub(crate) usual: Option<&'a str>,
}

/// The layer that is read.
#[derive(Debug)]
pub(crate) struct Layer {
    /// The path as typed.
    pub(crate) path: PathBuf,
    /// What the library opens.
    pub(crate) open: PathBuf,
    /// Name of the format.
    pub(crate) driver: String,
    /// Name of the layer.
    pub(crate) name: String,
    /// Names of the fields, in the file's order.
    pub(crate) fields: Vec<String>,
    /// The coordinate system, if any is declared.
    pub(crate) crs: Option<CrsDefinition>,
    /// Options to open it with.
    pub(crate) options: Vec<String>,
    /// A copy that the library may write side files to, where it insists; removed with this value.
    _copy: Option<Copy>,
}

/// A copy of an input, removed when it is no longer needed.
#[derive(Debug)]
pub(crate) enum Copy {
    /// A folder on disk.
    Folder { _folder: TempDir },
    /// Files in memory.
    Memory(Vec<PathBuf>),
}

impl Drop for Copy {
    fn drop(&mut self) {
        if let Self::Memory(files) = self {
            for file in files {
                // Nothing can be done, and nothing is lost, if one is already gone.
                let _ = gdal::vsi::unlink_mem_file(file);
            }
        }
    }
}

/// One file that may hold the layer.
struct Candidate {
    open: PathBuf,
    options: Vec<String>,
    copy: Option<Copy>,
}

/// Opens one vector file.
pub(crate) fn dataset(open: &Path, options: &[String]) -> Result<Dataset, String> {
    take_messages();
    let options: Vec<&str> = options.iter().map(String::as_str).collect();
    let how = DatasetOptions {
        open_flags: GdalOpenFlags::GDAL_OF_READONLY
            | GdalOpenFlags::GDAL_OF_VECTOR
            | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
        allowed_drivers: Some(&DRIVERS),
        open_options: Some(&options),
        ..DatasetOptions::default()
    };
    Dataset::open_ex(open, how).map_err(|e| first_failure(&e.to_string()))
}

/// Finds the layer of the parcels.
pub(crate) fn find(options: &ParcelOptions) -> Result<Warned<Layer>, InputError> {
    let wish = Wish { shapes: Shapes::Polygons, name: options.layer.as_deref(), usual: None };
    find_layer(&options.path, wish)
}

/// Finds a layer.
pub(crate) fn find_layer(path: &Path, wish: Wish<'_>) -> Result<Warned<Layer>, InputError> {
    check_exists(path)?;
    if let Some((_, name)) = REFUSED.iter().find(|(e, _)| *e == ending(path)) {
        return Err(unreadable(path, format!("{name} is not read as {}", wish.shapes.words())));
    }
    let mut warnings = Vec::new();
    let mut layers = Vec::new();
    let mut failures = Vec::new();
    let mut others = Vec::new();
    for candidate in candidates(path, &mut warnings)? {
        match dataset(&candidate.open, &candidate.options) {
            Ok(data) => {
                let found = layers_of(wish.shapes, &data, &candidate.open, &mut others);
                layers.push((candidate, data.driver().short_name(), found));
            }
            Err(reason) => failures.push(reason),
        }
    }
    if layers.is_empty() {
        let reason =
            failures.into_iter().next().unwrap_or_else(|| "it holds no file of a known format".to_owned());
        return Err(unreadable(path, reason));
    }
    let (candidate, driver, name) = choose(path, wish, layers, &others)?;
    describe(path, candidate, driver, &name).map(|layer| Warned::new(layer, warnings))
}

fn unreadable(path: &Path, reason: String) -> InputError {
    InputError::Unreadable {
        path: path.to_owned(),
        reason,
        help: "convert it to GeoPackage, GeoJSON, Shapefile, FlatGeobuf or a file geodatabase".to_owned(),
    }
}

/// The files to look into.
fn candidates(path: &Path, warnings: &mut Vec<Warning>) -> Result<Vec<Candidate>, InputError> {
    if ending(path) == "zip" {
        return Ok(inside_zip(path)?
            .into_iter()
            .filter(|p| ENDINGS.contains(&ending(p).as_str()))
            // A geodatabase is a folder; its first table stands for it.
            .filter(|p| ending(p) != "gdbtable" || p.file_stem().is_some_and(|s| s == "a00000001"))
            .map(|p| if ending(&p) == "gdbtable" { p.parent().unwrap_or(&p).to_owned() } else { p })
            .map(|open| Candidate { options: open_options(&open), open, copy: None })
            .collect());
    }
    match ending(path).as_str() {
        "shp" => shapefile::prepare(path, warnings)
            .map(|(open, options, copy)| vec![Candidate { open, options, copy }]),
        "gpkg" => geopackage(path).map(|(open, copy)| {
            // The never-changing mode ignores the log that was copied along.
            let options = if copy.is_some() { Vec::new() } else { open_options(&open) };
            vec![Candidate { open, options, copy }]
        }),
        _ => Ok(vec![Candidate { open: path.to_owned(), options: Vec::new(), copy: None }]),
    }
}

/// A GeoPackage is opened as if it could never change, so that no lock and no side file is written.
fn open_options(path: &Path) -> Vec<String> {
    if ending(path) == "gpkg" { vec!["IMMUTABLE=YES".to_owned()] } else { Vec::new() }
}

/// The file, or a copy of it if changes are waiting beside it: merging them writes, and the input is never written.
fn geopackage(path: &Path) -> Result<(PathBuf, Option<Copy>), InputError> {
    let waiting = with_added(path, "-wal");
    if !waiting.metadata().is_ok_and(|m| m.len() > 0) {
        return Ok((path.to_owned(), None));
    }
    let failed = |e: std::io::Error| {
        unreadable(path, format!("its write-ahead log can't be merged into a copy ({e})"))
    };
    let folder = TempDir::new().map_err(failed)?;
    let copy = folder.path().join("copy.gpkg");
    std::fs::copy(path, &copy).map_err(failed)?;
    std::fs::copy(&waiting, with_added(&copy, "-wal")).map_err(failed)?;
    for file in [copy.clone(), with_added(&copy, "-wal")] {
        let mut rights = file.metadata().map_err(failed)?.permissions();
        #[expect(clippy::permissions_set_readonly_false, reason = "our own copy in our own folder")]
        rights.set_readonly(false);
        std::fs::set_permissions(&file, rights).map_err(failed)?;
    }
    Ok((copy.clone(), Some(Copy::Folder { _folder: folder })))
}

/// Whether a layer declares what is looked for, or doesn't say what it holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Holds {
    Declared,
    Anything,
}

/// The layers that may hold these shapes; what the others hold goes to `others`.
fn layers_of(
    shapes: Shapes,
    data: &Dataset,
    file: &Path,
    others: &mut Vec<String>,
) -> Vec<(String, String, Holds)> {
    use gdal::vector::geometry_type_to_name;
    let stem = file.file_stem().and_then(|s| s.to_str()).unwrap_or_default();
    let mut found = Vec::new();
    for layer in data.layers() {
        let name = layer.name();
        let full = if name == stem { name.clone() } else { format!("{stem}/{name}") };
        // A layer without geometry has no geometry field at all.
        let Some(field) = layer.defn().geom_fields().next() else { continue };
        let kind = geometry_type_to_name(field.field_type());
        let lower = kind.to_ascii_lowercase();
        if let Some(holds) = shapes.held_by(&lower) {
            found.push((name, full, holds));
        } else {
            let what =
                ["polygon", "point", "line"].into_iter().find(|what| lower.contains(what)).unwrap_or(&lower);
            let count = layer.try_feature_count().unwrap_or(0);
            let plural = if count == 1 { "" } else { "s" };
            others.push(format!("layer {name} has {count} {what}{plural}"));
        }
    }
    found
}

type Opened = (Candidate, String, Vec<(String, String, Holds)>);

/// The layer asked for, else the only one that declares the shapes, else the only one that may hold them, else that with
/// the usual name.
fn choose(
    path: &Path,
    wish: Wish<'_>,
    layers: Vec<Opened>,
    others: &[String],
) -> Result<(Candidate, String, String), InputError> {
    let what = wish.shapes.words();
    let all = || layers.iter().flat_map(|(_, _, found)| found);
    let declared = all().filter(|(_, _, holds)| *holds == Holds::Declared).count();
    let would_do = |holds: Holds| declared == 0 || holds == Holds::Declared;
    let names: Vec<String> = all()
        .filter(|(_, _, holds)| would_do(*holds))
        .map(|(name, full, _)| if layers.len() > 1 { full.clone() } else { name.clone() })
        .collect();
    let unclear =
        |reason: String| InputError::Layer { path: path.to_owned(), what, reason, layers: names.clone() };
    if names.is_empty() {
        let tally =
            if others.is_empty() { "it has no layer with shapes".to_owned() } else { others.join(", ") };
        return Err(InputError::NoShapes { path: path.to_owned(), what, tally });
    }
    let is_called =
        |(name, full, _): &(String, String, Holds), wanted: &str| wanted == name || wanted == full;
    let usual = wish.usual.filter(|usual| {
        names.len() > 1 && all().filter(|layer| would_do(layer.2) && is_called(layer, usual)).count() == 1
    });
    let matches = |layer: &&(String, String, Holds)| match wish.name.or(usual) {
        Some(wanted) => is_called(layer, wanted),
        None => would_do(layer.2),
    };
    let found = all().filter(matches).count();
    match (found, wish.name) {
        (1, _) => {}
        (0, Some(wanted)) => return Err(unclear(format!("it has no layer of {what} named \"{wanted}\""))),
        (_, Some(wanted)) => return Err(unclear(format!("several files have a layer named \"{wanted}\""))),
        (_, None) => return Err(unclear(format!("it has {found} layers of {what}"))),
    }
    let chosen = layers.into_iter().find_map(|(candidate, driver, found)| {
        let name = found.iter().find(matches).map(|(name, _, _)| name.clone())?;
        Some((candidate, driver, name))
    });
    let tally = "it is empty".to_owned();
    chosen.ok_or_else(|| InputError::NoShapes { path: path.to_owned(), what, tally })
}

fn describe(path: &Path, candidate: Candidate, driver: String, name: &str) -> Result<Layer, InputError> {
    let data = dataset(&candidate.open, &candidate.options).map_err(|reason| unreadable(path, reason))?;
    let layer = data.layer_by_name(name).map_err(|e| unreadable(path, e.to_string()))?;
    let crs = match layer.spatial_ref() {
        Some(reference) => Some(
            CrsDefinition::from_reference(&reference)
                .map_err(|e| InputError::crs(path, InputKind::Parcels, e))?,
        ),
        None => None,
    };
    Ok(Layer {
        path: path.to_owned(),
        driver,
        name: name.to_owned(),
        fields: layer.defn().fields().map(|f| f.name()).collect(),
        crs,
        open: candidate.open,
        options: candidate.options,
        _copy: candidate.copy,
    })
}
