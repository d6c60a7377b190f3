//! Job files: the options of `assess` as TOML keys.
//!
//! A file is turned into the options that it stands for and read by the same definition as the command line, so the
//! two can't drift apart. Paths are relative to the file's folder.

use crate::args::{AssessOptions, InputOptions};
use crate::failure::Failure;
use clap::{Args, Command, FromArgMatches};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// Options whose values are paths.
const PATHS: [&str; 16] = [
    "elevation",
    "parcels",
    "buildings",
    "downspouts",
    "cover",
    "cover-table",
    "soils",
    "inlets",
    "ditches",
    "keep-out",
    "rainfall",
    "materials",
    "catalogue",
    "prices",
    "shots",
    "out",
];

/// Reads a job file.
pub(crate) fn read(path: &Path) -> Result<AssessOptions, Failure> {
    let shown = path.display();
    let text = std::fs::read_to_string(path)
        .map_err(|cause| Failure::unreadable(format!("cannot read the job file {shown}: {cause}")))?;
    let table: toml::Table = text
        .parse()
        .map_err(|cause| Failure::usage(format!("the job file {shown} is not valid TOML: {cause}")))?;
    let command =
        AssessOptions::augment_args(Command::new("job").no_binary_name(true).disable_help_flag(true));
    let known: Vec<String> =
        command.get_arguments().filter_map(|a| a.get_long().map(str::to_owned)).collect();
    let folder = path.parent().unwrap_or(Path::new(""));
    let mut words: Vec<OsString> = Vec::new();
    for (key, value) in &table {
        if !known.contains(key) {
            let hint = hint(key, &known);
            return Err(Failure::usage(format!("the job file {shown} has an unknown key \"{key}\"{hint}")));
        }
        words.extend(option_words(key, value, folder).map_err(|found| {
            Failure::usage(format!("the key \"{key}\" of the job file {shown} is {found}"))
        })?);
    }
    let matches = command
        .try_get_matches_from(words)
        .map_err(|cause| Failure::usage(format!("the job file {shown}: {}", first_line(&cause))))?;
    AssessOptions::from_arg_matches(&matches)
        .map_err(|cause| Failure::usage(format!("the job file {shown}: {}", first_line(&cause))))
}

/// Options of the command line that have no part in the result and so no place in a job file.
const RUN_ONLY: [&str; 6] = ["overwrite", "strict", "json", "quiet", "verbose", "threads"];

/// What may have been meant by an unknown key.
fn hint(key: &str, known: &[String]) -> String {
    if RUN_ONLY.contains(&key) {
        return format!("; --{key} says how to run, it belongs on the command line");
    }
    // Of equally like names the shortest.
    let near = known
        .iter()
        .max_by_key(|name| (likeness(name, key), std::cmp::Reverse(name.len())))
        .filter(|name| likeness(name, key) > 1);
    near.map_or_else(String::new, |near| format!("; did you mean \"{near}\"?"))
}

/// Letters that two words start with in common.
fn likeness(a: &str, b: &str) -> usize {
    a.bytes().zip(b.bytes()).take_while(|(a, b)| a == b).count()
}

fn first_line(error: &clap::Error) -> String {
    let text = error.to_string();
    text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned()
}

/// The words that one key stands for on a command line.
fn option_words(key: &str, value: &toml::Value, folder: &Path) -> Result<Vec<OsString>, String> {
    let flag = OsString::from(format!("--{key}"));
    let text = |value: &toml::Value| -> Result<OsString, String> {
        let plain = match value {
            toml::Value::String(text) => text.clone(),
            toml::Value::Integer(number) => number.to_string(),
            toml::Value::Float(number) => number.to_string(),
            toml::Value::Datetime(date) => date.to_string(),
            other => return Err(format!("a {}, which no option takes", other.type_str())),
        };
        Ok(if PATHS.contains(&key) { folder.join(plain).into_os_string() } else { plain.into() })
    };
    match value {
        toml::Value::Boolean(true) => Ok(vec![flag]),
        toml::Value::Boolean(false) => Ok(Vec::new()),
        toml::Value::Array(items) => {
            let mut words = Vec::new();
            for item in items {
                words.push(flag.clone());
                words.push(text(item)?);
            }
            Ok(words)
        }
        single => Ok(vec![flag, text(single)?]),
    }
}

/// Options of the command line, and for what it leaves open those of the file.
pub(crate) fn merge(line: AssessOptions, file: AssessOptions) -> AssessOptions {
    // One kind of rain wins over another kind in the file.
    let rain_typed = line.intensity.is_some() || line.rainfall.is_some() || line.rain_curve.is_some();
    let error_typed = line.elevation_rmse.is_some() || line.elevation_quality.is_some();
    let lot_typed = line.lot.is_some() || line.lot_at.is_some();
    // A layer belongs to its file.
    let layer = |typed: &Option<PathBuf>, line: Option<String>, file: Option<String>| {
        if typed.is_some() { line } else { line.or(file) }
    };
    AssessOptions {
        input: merge_input(line.input, file.input),
        lot: if lot_typed { line.lot } else { file.lot },
        lot_at: if lot_typed { line.lot_at } else { file.lot_at },
        buildings_layer: layer(&line.buildings, line.buildings_layer, file.buildings_layer),
        buildings: line.buildings.or(file.buildings),
        downspouts_layer: layer(&line.downspouts, line.downspouts_layer, file.downspouts_layer),
        downspouts: line.downspouts.or(file.downspouts),
        cover_layer: layer(&line.cover, line.cover_layer, file.cover_layer),
        cover: line.cover.or(file.cover),
        default_cover: line.default_cover.or(file.default_cover),
        cover_table: line.cover_table.or(file.cover_table),
        soils_layer: layer(&line.soils, line.soils_layer, file.soils_layer),
        soils: line.soils.or(file.soils),
        soil_group: line.soil_group.or(file.soil_group),
        inlets_layer: layer(&line.inlets, line.inlets_layer, file.inlets_layer),
        inlets: line.inlets.or(file.inlets),
        ditches_layer: layer(&line.ditches, line.ditches_layer, file.ditches_layer),
        ditches: line.ditches.or(file.ditches),
        keep_out_layer: layer(&line.keep_out, line.keep_out_layer, file.keep_out_layer),
        keep_out: line.keep_out.or(file.keep_out),
        routing: line.routing.or(file.routing),
        catch: line.catch.or(file.catch),
        intensity: if rain_typed { line.intensity } else { file.intensity },
        rainfall: if rain_typed { line.rainfall } else { file.rainfall },
        rain_curve: if rain_typed { line.rain_curve } else { file.rain_curve },
        return_period: line.return_period.or(file.return_period),
        rain_depth: line.rain_depth.or(file.rain_depth),
        rainfall_type: line.rainfall_type.or(file.rainfall_type),
        pond_share: line.pond_share.or(file.pond_share),
        coefficient: line.coefficient.or(file.coefficient),
        curve_number: line.curve_number.or(file.curve_number),
        time_by: line.time_by.or(file.time_by),
        least_time: line.least_time.or(file.least_time),
        channel_from: line.channel_from.or(file.channel_from),
        setback: line.setback.or(file.setback),
        min_grade: line.min_grade.or(file.min_grade),
        min_cover: line.min_cover.or(file.min_cover),
        max_depth: line.max_depth.or(file.max_depth),
        outlet: line.outlet.or(file.outlet),
        arrangement: line.arrangement.or(file.arrangement),
        finish: line.finish.or(file.finish),
        trench_soil: line.trench_soil.or(file.trench_soil),
        fines: line.fines.or(file.fines),
        stone: line.stone.or(file.stone),
        materials: line.materials.or(file.materials),
        catalogue: line.catalogue.or(file.catalogue),
        prices: line.prices.or(file.prices),
        elevation_rmse: if error_typed { line.elevation_rmse } else { file.elevation_rmse },
        elevation_quality: if error_typed { line.elevation_quality } else { file.elevation_quality },
        certainty: line.certainty || file.certainty,
        realisations: line.realisations.or(file.realisations),
        seed: line.seed.or(file.seed),
        parcel_error: line.parcel_error.or(file.parcel_error),
        shots_layer: layer(&line.shots, line.shots_layer, file.shots_layer),
        shots: line.shots.or(file.shots),
        surveyed: line.surveyed.or(file.surveyed),
        ground_changed: line.ground_changed.or(file.ground_changed),
        why: if line.why.is_empty() { file.why } else { line.why },
        units: line.units.or(file.units),
        audience: line.audience.or(file.audience),
        rasters: line.rasters || file.rasters,
        drawings: line.drawings || file.drawings,
        out: line.out.or(file.out),
    }
}

fn merge_input(line: InputOptions, file: InputOptions) -> InputOptions {
    let list = |line: Vec<PathBuf>, file: Vec<PathBuf>| if line.is_empty() { file } else { line };
    InputOptions {
        elevation: list(line.elevation, file.elevation),
        // A layer belongs to its file.
        parcels_layer: if line.parcels.is_some() {
            line.parcels_layer
        } else {
            line.parcels_layer.or(file.parcels_layer)
        },
        parcels: line.parcels.or(file.parcels),
        id_field: line.id_field.or(file.id_field),
        elevation_unit: line.elevation_unit.or(file.elevation_unit),
        elevation_crs: line.elevation_crs.or(file.elevation_crs),
        parcels_crs: line.parcels_crs.or(file.parcels_crs),
        elevation_nodata: line.elevation_nodata.or(file.elevation_nodata),
        swap_axes: line.swap_axes || file.swap_axes,
        bridge_holes: line.bridge_holes.or(file.bridge_holes),
        keep_fields: if line.keep_fields.is_empty() { file.keep_fields } else { line.keep_fields },
    }
}
