//! Findings that travel beside a value.

use serde::Serialize;
use std::fmt::Display;

/// Something the reader of the result must know, that doesn't stop the run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// Stable code, in words with hyphens.
    pub code: &'static str,
    /// What was found, and where: one sentence.
    pub message: String,
    /// What to do about it: one sentence.
    pub help: String,
}

impl Warning {
    /// A warning with its remedy.
    #[must_use]
    pub fn new(code: &'static str, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { code, message: message.into(), help: help.into() }
    }
}

/// Names that one message holds.
const NAMED: usize = 5;

/// The first few of a list, and how many more there are.
#[must_use]
pub(crate) fn named<T: Display>(all: &[T]) -> String {
    let mut some: Vec<String> = all.iter().take(NAMED).map(T::to_string).collect();
    if all.len() > NAMED {
        some.push(format!("and {} more", all.len() - NAMED));
    }
    some.join(", ")
}

/// Findings that ask for nothing unless the reader knows better.
const NOTES: [&str; 6] = [
    "datum-taken-as-same",
    "geojson-crs-member",
    "inlets-passed-by",
    "lots-stacked",
    "rain-table-unended",
    "surface-corrected",
];

impl Warning {
    /// Whether it only says how the input was taken: no reason to refuse a result under `--strict`.
    #[must_use]
    pub fn is_note(&self) -> bool {
        NOTES.contains(&self.code)
    }
}

/// A value and the warnings that came up while it was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Warned<T> {
    /// The value.
    pub value: T,
    /// The warnings, in the order in which they came up.
    pub warnings: Vec<Warning>,
}

impl<T> Warned<T> {
    /// A value without warnings.
    #[must_use]
    pub const fn clean(value: T) -> Self {
        Self { value, warnings: Vec::new() }
    }

    /// A value with warnings.
    #[must_use]
    pub const fn new(value: T, warnings: Vec<Warning>) -> Self {
        Self { value, warnings }
    }

    /// Hands the warnings to `sink` and gives the value.
    pub fn unload(self, sink: &mut Vec<Warning>) -> T {
        sink.extend(self.warnings);
        self.value
    }
}
