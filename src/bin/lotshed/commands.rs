//! One function per command.

use crate::args::{AssessArgs, AssessOptions, Cli, DemoArgs, InputOptions, InspectArgs, RunArgs};
use crate::failure::Failure;
use crate::interrupt::{State, uninterrupted};
use crate::job;
use crate::progress::Screen;
use crate::render::{self, Voice, print, say, warnings};
use crate::resolve::{self, Job};
use clap::CommandFactory;
use lotshed::demo;
use lotshed::error::ExitClass;
use lotshed::input::{digest, digests, inspect as inspect_input, open_beside, open_site, take_shots};
use lotshed::output::{
    Bundle, Existing, OutputError, Provenance, Report, ResultKind, Units, Writing, libraries, screen_table,
};
use lotshed::pipeline::{Phase, Progress, assess as assess_lot};
use lotshed::warning::Warning;
use serde_json::Value;
use std::path::Path;

/// How a run is to behave.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Run {
    pub(crate) existing: Existing,
    pub(crate) strict: bool,
    pub(crate) json: bool,
    pub(crate) voice: Voice,
}

impl Run {
    /// From what was typed; threads are set as well.
    pub(crate) fn of(args: &RunArgs) -> Result<Self, Failure> {
        use_threads(args.threads)?;
        Ok(Self {
            existing: if args.overwrite { Existing::Replace } else { Existing::Refuse },
            strict: args.strict,
            json: args.json,
            voice: match (args.quiet, args.verbose) {
                (true, _) => Voice::Quiet,
                (_, true) => Voice::Verbose,
                _ => Voice::Normal,
            },
        })
    }
}

pub(crate) fn assess(args: &AssessArgs) -> Result<(), Failure> {
    let run = Run::of(&args.run)?;
    let options = match &args.job {
        Some(path) => job::merge(args.options.clone(), job::read(path)?),
        None => args.options.clone(),
    };
    assess_options(&options, run)
}

fn assess_options(options: &AssessOptions, run: Run) -> Result<(), Failure> {
    let job = resolve::job(options)?;
    let record = resolve::record(options, &job.settings);
    let bundle = uninterrupted(|state| {
        let bundle = Bundle::start(ResultKind::Lot, &job.out, run.existing)?;
        *state = State::Waiting(bundle.staging().to_owned());
        Ok::<_, OutputError>(bundle)
    })?;
    fill_bundle(&job, record, run, bundle)
}

fn fill_bundle(job: &Job, settings: Value, run: Run, bundle: Bundle) -> Result<(), Failure> {
    let screen = Screen::new(run.voice);
    let mut found = job.warnings.clone();
    let mut site = open_site(&job.elevation, &job.parcels, &job.subject)?.unload(&mut found);
    site.beside = open_beside(&site, &job.side)?.unload(&mut found);
    if let (Some(file), Some(certainty)) = (&job.side.shots, &job.settings.certainty) {
        take_shots(&mut site, file, &certainty.model)?.unload(&mut found);
    }
    let assessment = assess_lot(&site, &job.settings, &screen).map(|w| w.unload(&mut found));
    let assessment = assessment.map_err(|error| with_warnings(error.into(), &found))?;
    screen.phase(Phase::Write, 0);
    let mut inputs = digests(&job.elevation, &job.parcels, &job.side)?;
    for path in &job.plain_files {
        inputs.push(digest(path)?);
    }
    let provenance = Provenance { inputs, settings, libraries: libraries() };
    let units = job.units.unwrap_or_else(|| Units::of_map_unit(&site.survey.facts().crs_unit));
    let report = Report::new(&assessment, &found, provenance, units)?;
    let writing = Writing { audience: job.audience, rasters: job.rasters, drawings: job.drawings };
    report.write(&bundle, &assessment, writing)?;
    screen.done();
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
        say(&screen_table(&report.summary, units));
        say(&format!(
            "\nWritten to {}: open report.html in a browser, map.geojson in any map viewer.\n",
            job.out.display()
        ));
    }
    if run.json {
        print(&report.summary.to_json()?)?;
    }
    Ok(())
}

pub(crate) fn with_warnings(mut failure: Failure, found: &[Warning]) -> Failure {
    failure.warnings.extend_from_slice(found);
    failure
}

fn use_threads(count: Option<u16>) -> Result<(), Failure> {
    let Some(count) = count else { return Ok(()) };
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(count))
        .build_global()
        .map_err(|cause| Failure::usage(format!("--threads {count}: {cause}")))
}

pub(crate) fn inspect(args: &InspectArgs) -> Result<(), Failure> {
    let elevation = resolve::elevation(&args.input)?;
    let parcels = resolve::parcels(&args.input);
    let found = inspect_input(&elevation, parcels.as_ref());
    if args.json {
        let text = serde_json::to_string_pretty(&found)
            .map_err(|cause| Failure::internal(format!("the findings cannot be written as JSON: {cause}")))?;
        print(&format!("{text}\n"))?;
    } else {
        say(&render::inspection(&found));
    }
    found.refusal.map_or(Ok(()), |class| {
        let message = "these inputs would be refused, see the findings".to_owned();
        Err(Failure { class: ExitClass::of_input(class), message, help: None, warnings: Vec::new() })
    })
}

pub(crate) fn demo(args: &DemoArgs) -> Result<(), Failure> {
    use_threads(args.threads)?;
    let voice = if args.quiet { Voice::Quiet } else { Voice::Normal };
    let place = demo::neighbourhood();
    // Only a folder that an earlier demo made may have its result replaced.
    let existing = if demo::was_written_to(&args.out) { Existing::Replace } else { Existing::Refuse };
    Bundle::check(ResultKind::Lot, &args.out, existing)?;
    let files = demo::write(&place, &args.out)?;
    if voice != Voice::Quiet {
        say(&format!(
            "An invented neighbourhood of {} lots is in {}.\n\n",
            place.lots.len(),
            args.out.display()
        ));
    }
    let options = AssessOptions {
        input: InputOptions {
            elevation: vec![files.elevation],
            parcels: Some(files.parcels),
            ..InputOptions::default()
        },
        lot: Some(place.subject.to_owned()),
        buildings: Some(files.buildings),
        inlets: Some(files.inlets),
        default_cover: Some(demo::COVER.to_owned()),
        soil_group: Some(demo::SOIL_GROUP.to_owned()),
        rainfall: Some(files.rainfall),
        out: Some(args.out.clone()),
        ..AssessOptions::default()
    };
    assess_options(&options, Run { existing, strict: false, json: args.json, voice })?;
    if voice != Voice::Quiet {
        say(&format!("\nThe same again: {}\n", again(&options, &args.out)));
    }
    Ok(())
}

/// The command that gives the demo's result once more.
fn again(options: &AssessOptions, out: &Path) -> String {
    let path =
        |p: Option<&std::path::PathBuf>| p.map(|p| quoted(&p.display().to_string())).unwrap_or_default();
    format!(
        "lotshed assess --elevation {} --parcels {} --buildings {} --inlets {} --default-cover {} --soil-group {} --rainfall {} --lot {} --out {} --overwrite",
        path(options.input.elevation.first()),
        path(options.input.parcels.as_ref()),
        path(options.buildings.as_ref()),
        path(options.inlets.as_ref()),
        demo::COVER,
        demo::SOIL_GROUP,
        path(options.rainfall.as_ref()),
        quoted(options.lot.as_deref().unwrap_or_default()),
        quoted(&out.display().to_string())
    )
}

/// A word as it can be typed again.
pub(crate) fn quoted(word: &str) -> String {
    let plain = |letter: char| letter.is_alphanumeric() || "/\\._-:".contains(letter);
    if word.chars().all(plain) { word.to_owned() } else { format!("\"{word}\"") }
}

pub(crate) fn completions(shell: clap_complete::Shell) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "lotshed", &mut script);
    print(&String::from_utf8_lossy(&script))
}

/// The manual page: the program, then each command with its options.
pub(crate) fn man() -> Result<(), Failure> {
    let mut page = Vec::new();
    let mut program = Cli::command();
    program.build();
    let result = clap_mangen::Man::new(program.clone()).render(&mut page).and_then(|()| {
        program.get_subcommands().filter(|c| c.get_name() != "help").try_for_each(|command| {
            let command = command.clone().bin_name(format!("lotshed {}", command.get_name()));
            let man = clap_mangen::Man::new(command);
            man.render_synopsis_section(&mut page)?;
            man.render_options_section(&mut page)
        })
    });
    result.map_err(|cause| Failure::internal(format!("the manual page cannot be made: {cause}")))?;
    print(&String::from_utf8_lossy(&page))
}
