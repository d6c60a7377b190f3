//! One raster file: what it says about itself, before any cell is read.

use super::{contents, world_file};
use crate::crs::CrsDefinition;
use crate::grid::GridShape;
use crate::input::error::{InputError, InputKind};
use crate::input::files;
use crate::input::setup::{Gravity, first_failure, take_messages};
use crate::units::Date;
use crate::warning::{Warned, Warning};
use gdal::raster::{ColorInterpretation, GdalDataType, RasterBand};
use gdal::{Dataset, DatasetOptions, GdalOpenFlags, Metadata};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// How a raster marks missing cells beside a nodata value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MaskKind {
    /// Not at all.
    None,
    /// By a mask or an alpha band.
    Band,
}

/// One raster file.
///
/// # Invariants
/// Its first band can hold elevations and it has a place on the map.
#[derive(Debug, Clone)]
pub(crate) struct Tile {
    /// The path as typed.
    pub(crate) path: PathBuf,
    /// What the library opens: the same, or a file inside an archive.
    pub(crate) open: PathBuf,
    /// Name of the format.
    pub(crate) driver: String,
    /// Type of the stored numbers.
    pub(crate) band_type: GdalDataType,
    /// Rows and columns as stored.
    pub(crate) shape: GridShape,
    /// x of the first corner, x per column, x per row, y of the first corner, y per column, y per row.
    pub(crate) affine: [f64; 6],
    /// The coordinate system, if any is declared.
    pub(crate) crs: Option<CrsDefinition>,
    /// The declared nodata value.
    pub(crate) nodata: Option<f64>,
    /// Factor from stored numbers to elevations.
    pub(crate) scale: f64,
    /// Elevation of the stored number 0.
    pub(crate) offset: f64,
    /// Unit as the band names it, empty if it doesn't.
    pub(crate) unit: String,
    /// How else missing cells are marked.
    pub(crate) mask: MaskKind,
    /// When it was surveyed, if it says so.
    pub(crate) surveyed: Option<Date>,
    /// When the file was written, if it says so: it was surveyed no later.
    pub(crate) written: Option<Date>,
}

/// Opens a raster for reading.
pub(crate) fn open(typed: &Path, open: &Path) -> Result<Dataset, InputError> {
    take_messages();
    let options = DatasetOptions {
        open_flags: GdalOpenFlags::GDAL_OF_READONLY
            | GdalOpenFlags::GDAL_OF_RASTER
            | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR,
        ..DatasetOptions::default()
    };
    Dataset::open_ex(open, options).map_err(|error| {
        let reason = first_failure(&error.to_string());
        match missing_codec(&reason) {
            Some(codec) => InputError::Codec { path: typed.to_owned(), codec },
            None => InputError::Unreadable {
                path: typed.to_owned(),
                reason,
                help: "give a GeoTIFF, or another raster format listed in the documentation".to_owned(),
            },
        }
    })
}

/// Name of the compression method that a message of the library misses.
pub(crate) fn missing_codec(message: &str) -> Option<String> {
    let lower = message.to_ascii_lowercase();
    let known = ["ZSTD", "LERC", "LZMA", "WEBP", "JXL", "JPEG", "LIBDEFLATE"];
    let named = known.into_iter().find(|name| lower.contains(&name.to_ascii_lowercase()));
    let missing = ["missing codec", "support missing", "compression support is not configured"];
    let missing = missing.into_iter().any(|text| lower.contains(text));
    missing.then(|| named.unwrap_or("a method without a name").to_owned())
}

/// Reads what one file says about itself.
pub(crate) fn describe(path: &Path) -> Result<Warned<Tile>, InputError> {
    let place = files::raster_path(path)?;
    let dataset = open(path, &place)?;
    let mut warnings = Vec::new();
    let band = elevation_band(path, &dataset, &mut warnings)?;
    warnings.extend(contents::check(path, &dataset, &band));
    let (cols, rows) = dataset.raster_size();
    let crs = crs_of(path, &dataset)?;
    // Some of what the library remarks comes up only when the system is asked for.
    warnings.extend(opening_notes(path, crs.as_ref()));
    let affine = affine_of(path, &dataset, crs.as_ref())?;
    warnings.extend(world_file::disagreement(path, affine, GridShape { rows, cols }));
    let mask = mask_of(path, &band)?;
    Ok(Warned::new(
        Tile {
            path: path.to_owned(),
            open: place,
            driver: dataset.driver().short_name(),
            band_type: band.band_type(),
            shape: GridShape { rows, cols },
            affine,
            crs,
            nodata: band.no_data_value(),
            scale: band.scale().filter(|s| s.is_finite() && *s != 0.0).unwrap_or(1.0),
            offset: band.offset().filter(|o| o.is_finite()).unwrap_or(0.0),
            unit: band.unit().trim().to_owned(),
            mask,
            surveyed: date_of(&dataset, "ACQUISITIONDATETIME", "IMAGERY"),
            written: date_of(&dataset, "TIFFTAG_DATETIME", ""),
        },
        warnings,
    ))
}

/// The day that an item of a raster's metadata names, as `2019:06:30 12:00:00` or `2019-06-30T12:00:00Z` (the tag
/// `DateTime` of TIFF 6.0, section 8; GDAL's item of the time of acquisition): nothing where it names none.
fn date_of(dataset: &Dataset, item: &str, domain: &str) -> Option<Date> {
    let said = dataset.metadata_item(item, domain)?;
    said.get(..10)?.replace(':', "-").parse().ok()
}

/// How a band says which of its cells hold nothing, besides a number for them.
pub(crate) fn mask_of(path: &Path, band: &RasterBand<'_>) -> Result<MaskKind, InputError> {
    let flags = band.mask_flags().map_err(|e| unreadable(path, &e.to_string()))?;
    let masked = !flags.is_all_valid() && !flags.is_nodata() && (flags.is_per_dataset() || flags.is_alpha());
    Ok(if masked { MaskKind::Band } else { MaskKind::None })
}

fn unreadable(path: &Path, reason: &str) -> InputError {
    InputError::Unreadable {
        path: path.to_owned(),
        reason: reason.to_owned(),
        help: "check the file".to_owned(),
    }
}

/// The first band, unless the file is a picture or a map of classes.
fn elevation_band<'d>(
    path: &Path,
    dataset: &'d Dataset,
    warnings: &mut Vec<Warning>,
) -> Result<RasterBand<'d>, InputError> {
    let not = |reason: String| InputError::NotElevation { path: path.to_owned(), reason };
    let bands = dataset.raster_count();
    if bands == 0 {
        return Err(not("it has no band".to_owned()));
    }
    let band = dataset.rasterband(1).map_err(|e| unreadable(path, &e.to_string()))?;
    match band.color_interpretation() {
        ColorInterpretation::RedBand | ColorInterpretation::GreenBand | ColorInterpretation::BlueBand => {
            return Err(not(format!("it is a picture of {bands} colour bands")));
        }
        ColorInterpretation::PaletteIndex => {
            return Err(not("it is a map of classes or colours (its band has a palette)".to_owned()));
        }
        _ => {}
    }
    let others = (2..=bands)
        .filter_map(|i| dataset.rasterband(i).ok())
        .filter(|b| b.color_interpretation() != ColorInterpretation::AlphaBand)
        .count();
    if others > 0 {
        warnings.push(Warning::new(
            "bands-ignored",
            format!("{} has {bands} bands; only the first is read", path.display()),
            "give a single-band raster if the first band is not the ground",
        ));
    }
    Ok(band)
}

/// The coordinate system that a raster declares.
pub(crate) fn crs_of(path: &Path, dataset: &Dataset) -> Result<Option<CrsDefinition>, InputError> {
    let Ok(reference) = dataset.spatial_ref() else { return Ok(None) };
    let crs = CrsDefinition::from_reference(&reference);
    crs.map(Some).map_err(|source| InputError::crs(path, InputKind::Elevation, source))
}

/// From a raster's columns and rows to map coordinates.
pub(crate) fn affine_of(
    path: &Path,
    dataset: &Dataset,
    crs: Option<&CrsDefinition>,
) -> Result<[f64; 6], InputError> {
    let none = |reason: &str| InputError::NoGeoreference { path: path.to_owned(), reason: reason.to_owned() };
    let found = dataset.geo_transform().ok();
    take_messages();
    let Some(affine) = found else {
        let points = dataset.gcps().len();
        return Err(if points > 0 {
            none(&format!("it is tied down by {points} control points only"))
        } else {
            none("it has neither an origin nor a cell size")
        });
    };
    let untouched = [0.0, 1.0, 0.0, 0.0, 0.0, 1.0];
    if crs.is_none() && affine.iter().zip(untouched).all(|(a, b)| (a.abs() - b).abs() < f64::EPSILON) {
        return Err(none("it has neither an origin nor a cell size"));
    }
    let area = (affine[1] * affine[5] - affine[2] * affine[4]).abs();
    if !affine.iter().all(|v| v.is_finite()) || area <= 0.0 {
        return Err(none("its cells have no area"));
    }
    Ok(affine)
}

/// What the library remarked while it opened the file.
fn opening_notes(path: &Path, crs: Option<&CrsDefinition>) -> Vec<Warning> {
    take_messages()
        .into_iter()
        .filter(|m| m.gravity == Gravity::Warning)
        .filter_map(|m| {
            let text = if m.text.contains("EPSG registry") {
                // Numbers that contradict the code are told with both readings once the system is settled.
                let crs = crs.filter(|crs| crs.contradictions().is_empty())?;
                format!("its datum or axes are described otherwise than registered as {}", crs.label())
            } else {
                m.text
            };
            Some(Warning::new(
                "raster-remark",
                format!("{}: {text}", path.display()),
                "check the file if the result looks wrong",
            ))
        })
        .collect()
}

/// Map coordinates of a place given in columns and rows.
pub(crate) fn apply(a: [f64; 6], col: f64, row: f64) -> (f64, f64) {
    (a[0] + col * a[1] + row * a[2], a[3] + col * a[4] + row * a[5])
}

/// Columns and rows of a place given in map coordinates.
pub(crate) fn invert(a: [f64; 6], x: f64, y: f64) -> (f64, f64) {
    let (x, y) = (x - a[0], y - a[3]);
    let determinant = a[1] * a[5] - a[2] * a[4];
    ((x * a[5] - y * a[2]) / determinant, (y * a[1] - x * a[4]) / determinant)
}
