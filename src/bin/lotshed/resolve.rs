//! From what was typed to settings with nothing left open.

use crate::args::{AssessOptions, ElevationUnit, InputOptions, RoutingName, UnitsName};
use crate::failure::Failure;
use clap::ValueEnum;
use lotshed::flow::Routing;
use lotshed::input::{
    AxisOrder, ElevationOptions, ParcelOptions, SideFile, SideOptions, Subject, VerticalUnit,
};
use lotshed::output::{Audience, DrawingFiles, RasterFiles, Units};
use lotshed::pipeline::{NamedOutlet, Settings};
use lotshed::units::{Area, Grade, Length, UnitParseError};
use lotshed::warning::{Warned, Warning};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::str::FromStr;

mod certainty;
mod dates;
mod drain;
mod storm;

pub(crate) use storm::{cover_table, graphical, rain_of_table, wrong};

/// Steeper than this nobody lays a drain: a number of percent was meant.
const STEEPEST_GRADE: f64 = 0.2;

/// Everything that an assessment needs.
pub(crate) struct Job {
    pub(crate) elevation: ElevationOptions,
    pub(crate) parcels: ParcelOptions,
    pub(crate) subject: Subject,
    pub(crate) settings: Settings,
    /// What is to be said of the files that settings come from.
    pub(crate) warnings: Vec<Warning>,
    /// What the ground is covered with.
    pub(crate) side: SideOptions,
    /// Files that settings come from.
    pub(crate) plain_files: Vec<PathBuf>,
    pub(crate) out: PathBuf,
    pub(crate) rasters: RasterFiles,
    pub(crate) drawings: DrawingFiles,
    pub(crate) units: Option<Units>,
    pub(crate) audience: Audience,
}

pub(crate) fn number<T: FromStr>(option: &str, text: Option<&String>, default: T) -> Result<T, Failure>
where
    T::Err: ToString,
{
    text.map_or(Ok(default), |text| {
        text.parse().map_err(|cause: T::Err| Failure::usage(format!("--{option}: {}", cause.to_string())))
    })
}

pub(crate) fn maybe<T: FromStr>(option: &str, text: Option<&String>) -> Result<Option<T>, Failure>
where
    T::Err: ToString,
{
    text.map(|text| {
        text.parse().map_err(|cause: T::Err| Failure::usage(format!("--{option}: {}", cause.to_string())))
    })
    .transpose()
}

/// The grade of a drain.
pub(crate) fn drain_grade(option: &str, text: Option<&String>) -> Result<Grade, Failure> {
    let grade = maybe::<Grade>(option, text)?.ok_or_else(|| missing(option))?;
    if grade.get() > STEEPEST_GRADE {
        return Err(Failure::usage(format!(
            "--{option}: a grade of {:.0} % is no grade of a drain; 1 % is written 0.01 or 1%",
            grade.get() * 100.0
        )));
    }
    Ok(grade)
}

fn missing(option: &str) -> Failure {
    Failure::usage(format!("--{option} is missing"))
}

/// Options of the elevation raster.
pub(crate) fn elevation(input: &InputOptions) -> Result<ElevationOptions, Failure> {
    if input.elevation.is_empty() {
        return Err(missing("elevation"));
    }
    let nodata = maybe::<f64>("elevation-nodata", input.elevation_nodata.as_ref())?;
    Ok(ElevationOptions {
        paths: input.elevation.clone(),
        unit: input.elevation_unit.map(|unit| match unit {
            ElevationUnit::M => VerticalUnit::Metre,
            ElevationUnit::Ft => VerticalUnit::Foot,
            ElevationUnit::UsFt => VerticalUnit::UsSurveyFoot,
            ElevationUnit::Cm => VerticalUnit::Centimetre,
        }),
        crs: input.elevation_crs.clone(),
        nodata,
        bridge_holes: number("bridge-holes", input.bridge_holes.as_ref(), Settings::default().bridge_holes)?,
    })
}

/// Options of the parcels, if a file was named.
pub(crate) fn parcels(input: &InputOptions) -> Option<ParcelOptions> {
    Some(ParcelOptions {
        path: input.parcels.clone()?,
        layer: input.parcels_layer.clone(),
        id_field: input.id_field.clone(),
        crs: input.parcels_crs.clone(),
        axes: if input.swap_axes { AxisOrder::Swapped } else { AxisOrder::AsStored },
        keep_fields: input.keep_fields.clone(),
    })
}

/// The whole job.
pub(crate) fn job(options: &AssessOptions) -> Result<Job, Failure> {
    let elevation = elevation(&options.input)?;
    let parcels = parcels(&options.input).ok_or_else(|| missing("parcels"))?;
    let subject = subject(options)?;
    let out = options.out.clone().ok_or_else(|| missing("out"))?;
    let mut warnings = Vec::new();
    let settings = settings(options, elevation.bridge_holes)?.unload(&mut warnings);
    Ok(Job {
        elevation,
        parcels,
        subject,
        settings,
        warnings,
        side: side_options(options)?,
        plain_files: [
            &options.cover_table,
            &options.rainfall,
            &options.materials,
            &options.catalogue,
            &options.prices,
        ]
        .into_iter()
        .flatten()
        .cloned()
        .collect(),
        out,
        rasters: if options.rasters { RasterFiles::With } else { RasterFiles::Without },
        drawings: if options.drawings { DrawingFiles::With } else { DrawingFiles::Without },
        audience: options.audience.map_or_else(Audience::default, Audience::from),
        units: options.units.map(|units| match units {
            UnitsName::Us => Units::Us,
            UnitsName::Si => Units::Si,
        }),
    })
}

/// Files that say what ground is covered with.
pub(crate) fn side_options(options: &AssessOptions) -> Result<SideOptions, Failure> {
    let file = |name: &str, path: &Option<PathBuf>, layer: &Option<String>| match (path, layer) {
        (Some(path), layer) => Ok(Some(SideFile { path: path.clone(), layer: layer.clone() })),
        (None, Some(_)) => Err(Failure::usage(format!("--{name} is missing: --{name}-layer is of its file"))),
        (None, None) => Ok(None),
    };
    if options.downspouts.is_some() && options.buildings.is_none() {
        return Err(Failure::usage("--buildings is missing: --downspouts belong to buildings".to_owned()));
    }
    Ok(SideOptions {
        buildings: file("buildings", &options.buildings, &options.buildings_layer)?,
        downspouts: file("downspouts", &options.downspouts, &options.downspouts_layer)?,
        cover: file("cover", &options.cover, &options.cover_layer)?,
        soils: file("soils", &options.soils, &options.soils_layer)?,
        inlets: file("inlets", &options.inlets, &options.inlets_layer)?,
        ditches: file("ditches", &options.ditches, &options.ditches_layer)?,
        keep_out: file("keep-out", &options.keep_out, &options.keep_out_layer)?,
        shots: file("shots", &options.shots, &options.shots_layer)?,
    })
}

fn subject(options: &AssessOptions) -> Result<Subject, Failure> {
    match (&options.lot, &options.lot_at) {
        (Some(id), None) => Ok(Subject::Id(id.clone())),
        (None, Some(place)) => {
            let parts: Result<Vec<f64>, _> = place.split(',').map(|part| part.trim().parse()).collect();
            match parts.as_deref() {
                Ok(&[lon, lat]) if lon.abs() <= 180.0 && lat.abs() <= 90.0 => Ok(Subject::At { lon, lat }),
                _ => Err(Failure::usage(format!(
                    "--lot-at: \"{place}\" is not a longitude and a latitude in degrees, as -78.94,42.59"
                ))),
            }
        }
        (None, None) => Err(Failure::usage("--lot or --lot-at is missing".to_owned())),
        (Some(_), Some(_)) => Err(Failure::usage("--lot and --lot-at cannot be used together".to_owned())),
    }
}

fn settings(options: &AssessOptions, bridge_holes: Area) -> Result<Warned<Settings>, Failure> {
    let mut warnings = Vec::new();
    let mut settings = Settings { bridge_holes, ..Settings::default() };
    settings.routing = match options.routing {
        None | Some(RoutingName::Proportional) => Routing::Proportional,
        Some(RoutingName::Single) => Routing::Single,
        Some(RoutingName::Steepest) => Routing::Steepest,
    };
    settings.catch = number("catch", options.catch.as_ref(), settings.catch)?;
    settings.setback = number("setback", options.setback.as_ref(), settings.setback)?;
    if options.min_grade.is_some() {
        settings.min_grade = drain_grade("min-grade", options.min_grade.as_ref())?;
    }
    settings.min_cover = number("min-cover", options.min_cover.as_ref(), settings.min_cover)?;
    settings.max_depth = number("max-depth", options.max_depth.as_ref(), settings.max_depth)?;
    settings.outlet = options.outlet.as_deref().map(outlet).transpose()?;
    settings.drain = drain::drain_settings(options)?;
    settings.storm = storm::design_basis(options)?.unload(&mut warnings);
    settings.ground = storm::ground_basis(options)?;
    settings.certainty = certainty::certainty(options)?.unload(&mut warnings);
    settings.today = dates::today();
    settings.surveyed = dates::past("surveyed", options.surveyed.as_ref(), settings.today)?;
    settings.why.clone_from(&options.why);
    settings.ground_changed = dates::past("ground-changed", options.ground_changed.as_ref(), settings.today)?;
    Ok(Warned::new(settings, warnings))
}

/// A place with the level at which a pipe may come in.
fn outlet(text: &str) -> Result<NamedOutlet, Failure> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let refused = |reason: String| {
        Failure::usage(format!(
            "--outlet: {reason}; give longitude, latitude and invert, as -78.9,42.6,98.2m"
        ))
    };
    let [lon, lat, invert] = parts[..] else {
        return Err(refused(format!("\"{text}\" is not three values")));
    };
    let degrees = |text: &str, most: f64| match text.parse::<f64>() {
        Ok(number) if number.abs() <= most => Ok(number),
        _ => Err(refused(format!("\"{text}\" is no number of degrees up to {most}"))),
    };
    let (lon, lat) = (degrees(lon, 360.0)?, degrees(lat, 90.0)?);
    // Levels may lie below that of the sea, lengths may not.
    let (sign, size) = invert.strip_prefix('-').map_or((1.0, invert), |size| (-1.0, size));
    let size: Length = size.parse().map_err(|cause: UnitParseError| refused(cause.to_string()))?;
    Ok(NamedOutlet { lon, lat, invert: Length::from_m(sign * size.as_m()) })
}

/// The resolved options as the result records them: everything that has a part in it, nothing of how it was run.
pub(crate) fn record(options: &AssessOptions, settings: &Settings) -> Value {
    let input = &options.input;
    json!({
        "lot": options.lot,
        "lot_at": options.lot_at,
        "parcels_layer": input.parcels_layer,
        "id_field": input.id_field,
        "elevation_unit": input.elevation_unit.and_then(|u| u.to_possible_value()).map(|v| v.get_name().to_owned()),
        "elevation_crs": input.elevation_crs,
        "parcels_crs": input.parcels_crs,
        "elevation_nodata": input.elevation_nodata,
        "swap_axes": input.swap_axes,
        "keep_fields": input.keep_fields,
        "buildings": options.buildings,
        "buildings_layer": options.buildings_layer,
        "downspouts": options.downspouts,
        "downspouts_layer": options.downspouts_layer,
        "cover": options.cover,
        "cover_layer": options.cover_layer,
        "cover_table": options.cover_table,
        "soils": options.soils,
        "soils_layer": options.soils_layer,
        "inlets": options.inlets,
        "inlets_layer": options.inlets_layer,
        "ditches": options.ditches,
        "ditches_layer": options.ditches_layer,
        "keep_out": options.keep_out,
        "keep_out_layer": options.keep_out_layer,
        "shots": options.shots,
        "shots_layer": options.shots_layer,
        "rainfall": options.rainfall,
        "materials": options.materials,
        "catalogue": options.catalogue,
        "prices": options.prices,
        "analysis": settings,
    })
}
