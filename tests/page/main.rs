//! `report.html`: its numbers are those of `summary.json`, texts from files stay texts, and a browser shows it whole.

#![allow(missing_docs, clippy::panic, reason = "tests")]

mod browser;
mod drawings;
mod numbers;
mod texts;

use std::path::{Path, PathBuf};
use std::process::Command;

/// A result of the demo.
pub(crate) struct Shown {
    _folder: tempfile::TempDir,
    pub(crate) out: PathBuf,
}

impl Shown {
    /// Runs the demo with these units first.
    pub(crate) fn demo(units: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let out = folder.path().join("demo");
        run(&["demo", "--out", out.to_str().expect("a plain name")]);
        let file = |name: &str| out.join(name).to_str().expect("a plain name").to_owned();
        run(&[
            "assess",
            "--elevation",
            &file("elevation.tif"),
            "--parcels",
            &file("parcels.geojson"),
            "--buildings",
            &file("buildings.geojson"),
            "--inlets",
            &file("inlets.geojson"),
            "--rainfall",
            &file("rainfall.csv"),
            "--default-cover",
            "lawn-good",
            "--soil-group",
            "C",
            "--lot",
            "Alder 4",
            "--units",
            units,
            "--out",
            out.to_str().expect("a plain name"),
            "--overwrite",
        ]);
        Self { _folder: folder, out }
    }

    pub(crate) fn page(&self) -> String {
        read(&self.out.join("report.html"))
    }

    pub(crate) fn summary(&self) -> serde_json::Value {
        serde_json::from_str(&read(&self.out.join("summary.json"))).expect("JSON")
    }
}

pub(crate) fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|cause| panic!("{}: {cause}", path.display()))
}

/// Runs the program, which must succeed.
pub(crate) fn run(arguments: &[&str]) {
    let output =
        Command::new(env!("CARGO_BIN_EXE_lotshed")).args(arguments).output().expect("the program starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}
