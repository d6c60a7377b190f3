//! `lotshed screen`: from what was typed to the files of a town.

use crate::args::{AssessOptions, ScreenArgs, UnitsName};
use crate::commands::{Run, quoted, with_warnings};
use crate::failure::Failure;
use crate::interrupt::{State, uninterrupted};
use crate::progress::Screen;
use crate::render::{Voice, print, say, warnings};
use crate::resolve;
use lotshed::input::{
    ElevationOptions, ParcelOptions, SideFile, SideOptions, Subject, digest, digests, open_beside,
    open_complaints, open_site,
};
use lotshed::output::{
    Bundle, OutputError, Provenance, ResultKind, TOWN_FILES, TownReport, Units, libraries,
};
use lotshed::pipeline::{Phase, Progress, Rules, ScreenSettings, ScreenStorm, screen as screen_town};
use lotshed::warning::Warning;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Everything that a screening needs.
struct Job {
    elevation: ElevationOptions,
    parcels: ParcelOptions,
    side: SideOptions,
    complaints: Option<SideFile>,
    settings: ScreenSettings,
    units: Option<Units>,
}

pub(crate) fn screen(args: &ScreenArgs) -> Result<(), Failure> {
    let run = Run::of(&args.run)?;
    let job = job(args)?;
    refuse_own_inputs(args, &job)?;
    let bundle = uninterrupted(|state| {
        let bundle = Bundle::start(ResultKind::Town, &args.out, run.existing)?;
        *state = State::Waiting(bundle.staging().to_owned());
        Ok::<_, OutputError>(bundle)
    })?;
    fill_bundle(args, &job, run, bundle)
}

fn job(args: &ScreenArgs) -> Result<Job, Failure> {
    let elevation = resolve::elevation(&args.input)?;
    let parcels =
        resolve::parcels(&args.input).ok_or_else(|| Failure::usage("--parcels is missing".to_owned()))?;
    let complaints = match (&args.complaints, &args.complaints_layer) {
        (Some(path), layer) => Some(SideFile { path: path.clone(), layer: layer.clone() }),
        (None, None) => None,
        (None, Some(_)) => {
            let message = "--complaints is missing: --complaints-layer is of its file";
            return Err(Failure::usage(message.to_owned()));
        }
    };
    let intensity = resolve::maybe("intensity", args.intensity.as_ref())?;
    let coefficient = resolve::maybe("coefficient", args.coefficient.as_ref())?;
    let storm =
        intensity.zip(coefficient).map(|(intensity, coefficient)| ScreenStorm { intensity, coefficient });
    let side = resolve::side_options(&AssessOptions {
        buildings: args.buildings.clone(),
        buildings_layer: args.buildings_layer.clone(),
        downspouts: args.downspouts.clone(),
        downspouts_layer: args.downspouts_layer.clone(),
        inlets: args.inlets.clone(),
        inlets_layer: args.inlets_layer.clone(),
        ..AssessOptions::default()
    })?;
    let bridge_holes = elevation.bridge_holes;
    let rules = rules(args.rules.as_deref())?;
    Ok(Job {
        elevation,
        parcels,
        side,
        complaints,
        settings: ScreenSettings { bridge_holes, storm, rules },
        units: args.units.map(|units| match units {
            UnitsName::Us => Units::Us,
            UnitsName::Si => Units::Si,
        }),
    })
}

/// The town's own rules, or ours.
fn rules(path: Option<&Path>) -> Result<Rules, Failure> {
    let Some(path) = path else { return Ok(Rules::built_in()) };
    let refused = |cause: String| {
        let mut failure = Failure::unreadable(format!("{}: {cause}", path.display()));
        failure.help = Some("docs/screening-rules.toml shows the form".to_owned());
        failure
    };
    let text = std::fs::read_to_string(path).map_err(|cause| refused(cause.to_string()))?;
    Rules::parse(&text).map_err(|cause| refused(cause.to_string()))
}

/// Parcels are often called `lots`: no file of the result may take the place of an input.
fn refuse_own_inputs(args: &ScreenArgs, job: &Job) -> Result<(), Failure> {
    let side = job.side.files().chain(job.complaints.iter().map(|file| &file.path)).chain(&args.rules);
    let inputs = job.elevation.paths.iter().chain([&job.parcels.path]).chain(side);
    let real = |path: PathBuf| path.canonicalize().ok();
    let results: Vec<PathBuf> = TOWN_FILES.iter().filter_map(|name| real(args.out.join(name))).collect();
    for input in inputs {
        if real(input.clone()).is_some_and(|input| results.contains(&input)) {
            return Err(Failure::usage(format!(
                "--out: {} is an input, and a file of the result would take its place; choose another folder",
                input.display()
            )));
        }
    }
    Ok(())
}

fn fill_bundle(args: &ScreenArgs, job: &Job, run: Run, bundle: Bundle) -> Result<(), Failure> {
    let progress = Screen::new(run.voice);
    let mut found = Vec::new();
    let mut site = open_site(&job.elevation, &job.parcels, &Subject::Town)?.unload(&mut found);
    site.beside = open_beside(&site, &job.side)?.unload(&mut found);
    let complaints = job.complaints.as_ref().map(|file| open_complaints(&site, file)).transpose()?;
    let complaints = complaints.map(|complaints| complaints.unload(&mut found));
    let screening = screen_town(&site, &job.settings, complaints, &progress)
        .map(|screening| screening.unload(&mut found));
    let screening = screening.map_err(|error| with_warnings(error.into(), &found))?;
    progress.phase(Phase::Write, 0);
    let mut inputs = digests(&job.elevation, &job.parcels, &job.side)?;
    for path in args.complaints.iter().chain(&args.rules) {
        inputs.push(digest(path)?);
    }
    let provenance = Provenance { inputs, settings: record(args, &job.settings), libraries: libraries() };
    let units = job.units.unwrap_or_else(|| Units::of_map_unit(&site.survey.facts().crs_unit));
    let report = TownReport::new(&screening, &found, provenance, units);
    report.write(&bundle, &screening, &open_one(args))?;
    progress.done();
    if run.strict && !found.iter().all(Warning::is_note) {
        return Err(Failure::strict(found));
    }
    uninterrupted(|state| {
        *state = State::Nothing;
        bundle.commit()?;
        *state = State::Written;
        Ok::<_, OutputError>(())
    })?;
    warnings(&found, run.voice);
    if run.voice != Voice::Quiet {
        say(&report.screen_table());
        let out = args.out.display();
        say(&format!("\nWritten to {out}: open screening.html in a browser, lots.csv in a spreadsheet.\n"));
    }
    if run.json {
        print(&report.summary.to_json()?)?;
    }
    Ok(())
}

/// Everything typed that has a part in the result.
fn record(args: &ScreenArgs, settings: &ScreenSettings) -> Value {
    let input = &args.input;
    json!({
        "parcels_layer": input.parcels_layer,
        "id_field": input.id_field,
        "elevation_unit": input.elevation_unit.map(|unit| format!("{unit:?}")),
        "elevation_crs": input.elevation_crs,
        "parcels_crs": input.parcels_crs,
        "elevation_nodata": input.elevation_nodata,
        "swap_axes": input.swap_axes,
        "keep_fields": input.keep_fields,
        "complaints": args.complaints,
        "complaints_layer": args.complaints_layer,
        "rules": args.rules,
        "buildings": args.buildings,
        "buildings_layer": args.buildings_layer,
        "downspouts": args.downspouts,
        "downspouts_layer": args.downspouts_layer,
        "inlets": args.inlets,
        "inlets_layer": args.inlets_layer,
        "analysis": settings,
    })
}

/// The command that assesses one lot with the same inputs.
fn open_one(args: &ScreenArgs) -> String {
    let input = &args.input;
    let mut words = vec!["lotshed assess --elevation".to_owned()];
    words.extend(input.elevation.iter().map(|path| quoted(&path.display().to_string())));
    let mut add = |option: &str, value: Option<String>| {
        if let Some(value) = value {
            words.push(format!("--{option} {}", quoted(&value)));
        }
    };
    let path = |path: &Option<PathBuf>| path.as_ref().map(|path| path.display().to_string());
    add("parcels", path(&input.parcels));
    add("parcels-layer", input.parcels_layer.clone());
    add("id-field", input.id_field.clone());
    add("elevation-crs", input.elevation_crs.clone());
    add("parcels-crs", input.parcels_crs.clone());
    add("elevation-nodata", input.elevation_nodata.clone());
    add("bridge-holes", input.bridge_holes.clone());
    add("buildings", path(&args.buildings));
    add("buildings-layer", args.buildings_layer.clone());
    add("downspouts", path(&args.downspouts));
    add("downspouts-layer", args.downspouts_layer.clone());
    add("inlets", path(&args.inlets));
    add("inlets-layer", args.inlets_layer.clone());
    add("intensity", args.intensity.clone());
    add("coefficient", args.coefficient.clone());
    let unit = input
        .elevation_unit
        .and_then(|unit| clap::ValueEnum::to_possible_value(&unit).map(|value| value.get_name().to_owned()));
    add("elevation-unit", unit);
    if input.swap_axes {
        words.push("--swap-axes".to_owned());
    }
    words.push("--routing single --lot ID --out ID".to_owned());
    words.join(" ")
}
