//! A folder of inputs and the program run in it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;

use serde_json::Value;
use tempfile::TempDir;

use super::answer::{Answer, Files, names};

/// Name of the result folder, unlike anything that a result would say by itself.
pub(crate) const OUT: &str = "quokka-result";

/// A folder of its own for one test; it is removed once neither the bench nor a result of it is left.
#[derive(Debug)]
pub(crate) struct Bench {
    folder: Arc<TempDir>,
}

impl Bench {
    /// An empty folder.
    pub(crate) fn new() -> Self {
        Self { folder: Arc::new(tempfile::tempdir().expect("a folder for the test can be made")) }
    }

    /// The folder, for a result that must outlive the bench.
    pub(crate) fn folder(&self) -> Arc<TempDir> {
        Arc::clone(&self.folder)
    }

    /// A file of the folder.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a JSON file.
    pub(crate) fn write_json(&self, name: &str, value: &Value) {
        std::fs::write(self.path(name), value.to_string()).expect("the test's file can be written");
    }

    /// Writes a text file.
    pub(crate) fn write_text(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).expect("the test's file can be written");
    }

    /// A run for one lot, results to [`OUT`].
    pub(crate) fn assess(&self, elevation: &str, parcels: &str) -> Run<'_> {
        self.program(&["assess", "--elevation", elevation, "--parcels", parcels, "--out", OUT])
    }

    /// A run for one lot on the base lots, elevations of two tiles.
    pub(crate) fn assess_tiles(&self, upper: &str, lower: &str) -> Run<'_> {
        self.program(&["assess", "--elevation", upper, lower, "--parcels", "base.geojson", "--out", OUT])
    }

    /// A run with exactly these arguments.
    pub(crate) fn program(&self, arguments: &[&str]) -> Run<'_> {
        Run {
            bench: self,
            arguments: arguments.iter().map(|&argument| argument.to_owned()).collect(),
            environment: Vec::new(),
            out: OUT.to_owned(),
        }
    }
}

/// The program and its arguments.
#[derive(Debug)]
pub(crate) struct Run<'a> {
    bench: &'a Bench,
    arguments: Vec<String>,
    environment: Vec<(String, String)>,
    out: String,
}

impl Run<'_> {
    /// The subject lot, by key.
    pub(crate) fn lot(self, id: &str) -> Self {
        self.with(&["--lot", id])
    }

    /// More arguments.
    pub(crate) fn with(mut self, arguments: &[&str]) -> Self {
        self.arguments.extend(arguments.iter().map(|&argument| argument.to_owned()));
        self
    }

    /// Results to another folder.
    pub(crate) fn out(mut self, folder: &str) -> Self {
        for argument in &mut self.arguments {
            if *argument == self.out {
                folder.clone_into(argument);
            }
        }
        folder.clone_into(&mut self.out);
        self
    }

    /// A variable of the environment.
    pub(crate) fn environment(mut self, name: &str, value: &str) -> Self {
        self.environment.push((name.to_owned(), value.to_owned()));
        self
    }

    /// The command, for tests that watch it run.
    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lotshed"));
        command.current_dir(self.bench.folder.path()).args(&self.arguments).stdin(Stdio::null());
        // What the machine of the test has set must not decide.
        for name in ["PROJ_DATA", "PROJ_LIB", "GDAL_DATA", "SOURCE_DATE_EPOCH", "GDAL_CACHEMAX"] {
            command.env_remove(name);
        }
        command.envs(self.environment.iter().map(|(name, value)| (name, value)));
        command
    }

    /// Runs the program to its end.
    pub(crate) fn run(self) -> Outcome {
        let root = self.bench.folder.path().to_owned();
        let before = contents(&root, &self.out);
        let output = self.command().output().expect("the program starts");
        let after = contents(&root, &self.out);
        assert_eq!(before, after, "the run must change nothing beside its result folder");
        Outcome {
            code: output.status.code(),
            stdout: String::from_utf8(output.stdout).expect("standard output is UTF-8"),
            stderr: String::from_utf8(output.stderr).expect("standard error is UTF-8"),
            out: root.join(&self.out),
            folder: self.bench.folder(),
            arguments: self.arguments,
        }
    }
}

/// Names and contents of all files of a folder, but for one folder in it.
fn contents(root: &Path, except: &str) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(root).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        if path.file_name().is_some_and(|name| name == except) {
            continue;
        }
        if path.is_dir() {
            found.extend(contents(&path, except));
        } else {
            let bytes = std::fs::read(&path).expect("the file can be read");
            found.insert(path, Some(bytes));
        }
    }
    found.insert(root.to_owned(), None);
    found
}

/// What a run left.
#[derive(Debug)]
pub(crate) struct Outcome {
    /// The exit status, unless a signal ended it.
    pub(crate) code: Option<i32>,
    /// Standard output.
    pub(crate) stdout: String,
    /// Standard error.
    pub(crate) stderr: String,
    /// The result folder, there or not.
    pub(crate) out: PathBuf,
    folder: Arc<TempDir>,
    arguments: Vec<String>,
}

impl Outcome {
    /// The result of a run that must have worked.
    pub(crate) fn usable(self) -> Answer {
        assert_eq!(
            self.code,
            Some(0),
            "exit status of lotshed {:?}; it said:\n{}",
            self.arguments,
            self.stderr
        );
        Answer::read(self.folder, self.out, self.stdout, self.stderr)
    }

    /// Checks a refusal: the exit status, that every one of `words` is said, and that nothing is left behind.
    pub(crate) fn refused(&self, code: i32, words: &[&str]) {
        assert_eq!(
            self.code,
            Some(code),
            "exit status of lotshed {:?}; it said:\n{}",
            self.arguments,
            self.stderr
        );
        assert!(!self.stderr.contains("panicked"), "a refusal is not a panic:\n{}", self.stderr);
        let said = self.stderr.to_lowercase();
        for word in words {
            assert!(
                said.contains(&word.to_lowercase()),
                "the refusal must say {word:?}; it says:\n{}",
                self.stderr
            );
        }
        assert!(!self.out.is_dir(), "a refused run leaves no result folder");
    }

    /// Checks that what was said has this word, in this case and standing alone.
    pub(crate) fn must_name(&self, word: &str) {
        assert!(names(&self.stderr, word), "the text must name {word}; it is:\n{}", self.stderr);
    }

    /// All files of the result folder.
    pub(crate) fn files(&self) -> Files {
        Files::of(&self.out)
    }
}
