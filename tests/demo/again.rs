//! The same result again: by `assess`, by another number of threads, and over an earlier demo.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// What the demo writes beside the result.
const INPUTS: [&str; 6] = [
    "buildings.geojson",
    "demo-files.json",
    "elevation.tif",
    "inlets.geojson",
    "parcels.geojson",
    "rainfall.csv",
];

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_lotshed"));
    program.current_dir(folder).args(arguments).stdin(Stdio::null());
    // What the machine of the test has set must not decide.
    for name in ["PROJ_DATA", "PROJ_LIB", "GDAL_DATA", "SOURCE_DATE_EPOCH", "GDAL_CACHEMAX"] {
        program.env_remove(name);
    }
    program.output().expect("the program starts")
}

fn run_well(folder: &Path, arguments: &[&str]) -> Output {
    let output = run(folder, arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "lotshed {arguments:?} said:\n{said}");
    output
}

/// Contents of all files by name.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    std::fs::read_dir(folder)
        .expect("the folder can be listed")
        .map(|entry| entry.expect("the folder can be listed").path())
        .filter(|path| path.is_file())
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read(&path).expect("the file can be read"))
        })
        .collect()
}

fn assert_same(one: &BTreeMap<String, Vec<u8>>, two: &BTreeMap<String, Vec<u8>>) {
    assert_eq!(one.keys().collect::<Vec<_>>(), two.keys().collect::<Vec<_>>(), "the same files");
    for (name, bytes) in one {
        let place = bytes.iter().zip(&two[name]).position(|(a, b)| a != b);
        assert!(*bytes == two[name], "{name} differs, first at byte {place:?}");
    }
}

const ASSESS: [&str; 19] = [
    "assess",
    "--elevation",
    "d/elevation.tif",
    "--parcels",
    "d/parcels.geojson",
    "--buildings",
    "d/buildings.geojson",
    "--inlets",
    "d/inlets.geojson",
    "--default-cover",
    "lawn-good",
    "--soil-group",
    "C",
    "--rainfall",
    "d/rainfall.csv",
    "--lot",
    "Alder 4",
    "--out",
    "again",
];

#[test]
fn assess_on_the_demos_own_files_gives_the_demos_bytes() {
    let folder = tempfile::tempdir().expect("a folder");
    run_well(folder.path(), &["demo", "--out", "d"]);
    run_well(folder.path(), &ASSESS);
    let mut demo = files(&folder.path().join("d"));
    demo.retain(|name, _| !INPUTS.contains(&name.as_str()));
    assert!(demo.contains_key("summary.json"), "{:?}", demo.keys());
    assert_same(&files(&folder.path().join("again")), &demo);
}

#[test]
fn the_command_that_the_demo_tells_gives_its_bytes_once_more() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = run_well(folder.path(), &["demo", "--out", "d"]);
    let before = files(&folder.path().join("d"));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let told = said.lines().find_map(|line| line.strip_prefix("The same again: lotshed "));
    let told = told.unwrap_or_else(|| panic!("the demo tells how to have the same again:\n{said}"));
    // Split at spaces outside quotation marks.
    let mut quoted = false;
    let words: Vec<String> = told
        .split(|c: char| {
            quoted ^= c == '"';
            c == ' ' && !quoted
        })
        .map(|word| word.replace('"', ""))
        .collect();
    run_well(folder.path(), &words.iter().map(String::as_str).collect::<Vec<_>>());
    assert_same(&files(&folder.path().join("d")), &before);
}

#[test]
fn one_thread_and_four_give_the_same_bytes() {
    let results = ["1", "4"].map(|threads| {
        let folder = tempfile::tempdir().expect("a folder");
        run_well(folder.path(), &["demo", "--out", "d", "--threads", threads]);
        files(&folder.path().join("d"))
    });
    assert_same(&results[0], &results[1]);
}

#[test]
fn a_second_run_replaces_its_own_files_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("d");
    run_well(folder.path(), &["demo", "--out", "d"]);
    let before = files(&out);
    std::fs::write(out.join("notes.txt"), "mine").expect("a file");
    std::fs::create_dir(out.join("mine")).expect("a folder");
    std::fs::write(out.join("mine/summary.json"), "{}").expect("a file");
    // What it may replace it does replace: a result that was spoilt is whole again.
    std::fs::remove_file(out.join("profile.csv")).expect("the file is there");
    run_well(folder.path(), &["demo", "--out", "d"]);
    let mut after = files(&out);
    assert_eq!(after.remove("notes.txt").as_deref(), Some(&b"mine"[..]));
    assert_same(&after, &before);
    let kept = std::fs::read(out.join("mine/summary.json")).expect("it is still there");
    assert_eq!(kept, b"{}");
}

#[test]
fn a_file_of_somebody_else_is_named_and_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("d");
    std::fs::create_dir(&out).expect("a folder");
    std::fs::write(out.join("elevation.tif"), "mine").expect("a file");
    let output = run(folder.path(), &["demo", "--out", "d"]);
    assert_eq!(output.status.code(), Some(7));
    assert!(String::from_utf8_lossy(&output.stderr).contains("elevation.tif"));
    let found = files(&out);
    assert_eq!(found.keys().collect::<Vec<_>>(), ["elevation.tif"]);
    assert_eq!(found["elevation.tif"], b"mine");
}
