//! Data goes one way: sources use lower layers and earlier stages only (`docs/architecture.md`, "Folders").

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What each module of the library may use. A stage may use all layers and the stages before it.
const ORDER: [(&str, &[&str]); 19] = [
    ("units", &[]),
    // Sentences: what is filled in comes as text.
    ("language", &[]),
    ("warning", &[]),
    ("wording", &["units"]),
    ("grid", &["units"]),
    ("crs", &["units"]),
    ("formula", &["units"]),
    // The error of elevations: input corrects them by shots, the pipeline repeats stages 2 to 4 under it.
    ("certainty", &["units", "warning", "grid"]),
    ("input", &["units", "warning", "wording", "grid", "crs", "formula", "certainty"]),
    ("terrain", &["units", "warning", "wording", "grid", "crs", "formula", "input"]),
    ("flow", &["units", "warning", "wording", "grid", "crs", "formula", "input", "terrain"]),
    ("lots", &["units", "warning", "wording", "grid", "crs", "formula", "input", "terrain", "flow"]),
    (
        "runoff",
        &["units", "warning", "wording", "grid", "crs", "formula", "input", "terrain", "flow", "lots"],
    ),
    (
        "interceptor",
        &[
            "units", "warning", "wording", "grid", "crs", "formula", "input", "terrain", "flow", "lots",
            "runoff",
        ],
    ),
    ("pipeline", BEFORE_OUTPUT),
    ("output", ALL),
    // Not a stage: it makes inputs, and writes its raster the way results are written.
    ("demo", &["units", "grid", "output"]),
    // Not a stage: typed numbers in place of a map. Uses the output's words.
    ("sizing", &["units", "warning", "wording", "formula", "runoff", "interceptor", "output"]),
    ("error", ALL),
];
const BEFORE_OUTPUT: &[&str] = &[
    "units",
    "warning",
    "wording",
    "grid",
    "crs",
    "formula",
    "input",
    "terrain",
    "flow",
    "lots",
    "certainty",
    "runoff",
    "interceptor",
    "error",
];
const ALL: &[&str] = &[
    "units",
    "language",
    "warning",
    "wording",
    "grid",
    "crs",
    "formula",
    "input",
    "terrain",
    "flow",
    "lots",
    "certainty",
    "runoff",
    "interceptor",
    "pipeline",
    "output",
    "demo",
    "error",
];

fn source_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// All Rust files below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The module of the library that a file belongs to; none for `lib.rs` and the program.
fn module_of(file: &Path) -> Option<String> {
    let inside = file.strip_prefix(source_folder()).expect("a file of src");
    let first = inside.components().next()?.as_os_str().to_str()?.trim_end_matches(".rs").to_owned();
    (first != "lib" && first != "bin").then_some(first)
}

/// Modules named by `crate::` paths in code, with the first line of each; comments (and links in them) don't count.
fn used(text: &str) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for (number, line) in (1..).zip(text.lines()) {
        let code = line.split("//").next().unwrap_or_default();
        for rest in code.split("crate::").skip(1) {
            // `use crate::{a, b}` would hide its modules from this search.
            assert!(!rest.starts_with('{'), "line {number}: name each module in a `use` of its own");
            let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            found.entry(name).or_insert(number);
        }
    }
    found
}

/// Uses of a text of a module that the order doesn't allow.
fn breaches(module: &str, text: &str) -> Vec<String> {
    let (_, allowed) =
        ORDER.iter().find(|(name, _)| *name == module).expect("every module has its place in the order");
    used(text)
        .into_iter()
        .filter(|(name, _)| name != module && !allowed.contains(&name.as_str()))
        .map(|(name, line)| format!("line {line}: {module} uses {name}"))
        .collect()
}

#[test]
fn no_module_uses_a_later_stage() {
    let mut seen = BTreeSet::new();
    let mut found = Vec::new();
    for file in files(&source_folder()) {
        let Some(module) = module_of(&file) else { continue };
        let text = std::fs::read_to_string(&file).expect("the file can be read");
        found.extend(breaches(&module, &text).into_iter().map(|b| format!("{}: {b}", file.display())));
        seen.insert(module);
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    let known: BTreeSet<String> = ORDER.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(seen, known, "the order names the modules that there are");
}

#[test]
fn the_order_never_lets_an_earlier_stage_use_a_later_one() {
    for (place, (module, allowed)) in ORDER.iter().enumerate() {
        for other in allowed.iter().filter(|_| !["error", "output", "pipeline"].contains(module)) {
            let at = ORDER.iter().position(|(name, _)| name == other).expect("it is in the order");
            assert!(at < place, "{module} may not use {other}");
        }
    }
}

#[test]
fn a_breach_would_be_found() {
    assert_eq!(breaches("flow", "use crate::lots::Label;").len(), 1);
    assert_eq!(breaches("lots", "let a = crate::output::whose(None);").len(), 1);
    assert_eq!(breaches("lots", "//! See [`crate::output::Summary`].\nuse crate::flow::Reach;").len(), 0);
    assert_eq!(breaches("output", "use crate::pipeline::Assessment;").len(), 0);
}

/// The library must not print, end the process, or know of the program's crates.
#[test]
fn the_library_leaves_the_program_to_the_program() {
    for file in files(&source_folder()).into_iter().filter(|file| module_of(file).is_some()) {
        let text = std::fs::read_to_string(&file).expect("the file can be read");
        let code: String = text.lines().map(|l| l.split("//").next().unwrap_or_default()).collect();
        for word in ["println!", "print!(", "process::exit", "clap::", "indicatif::", "ctrlc::"] {
            assert!(!code.contains(word), "{} uses {word}", file.display());
        }
    }
}
