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

/// What a thing is, with its name, without saying twice what the name says itself: "storm inlet" and "Inlet
/// 3" are "storm Inlet 3".
#[must_use]
pub(crate) fn titled(what: &str, name: &str) -> String {
    let words: Vec<&str> = what.split_whitespace().collect();
    let named: Vec<&str> = name.split_whitespace().collect();
    let says = |count: usize| {
        count <= named.len()
            && words[words.len() - count..].iter().zip(&named).all(|(a, b)| a.eq_ignore_ascii_case(b))
    };
    let twice = (1..=words.len()).rev().find(|&count| says(count)).unwrap_or(0);
    [&words[..words.len() - twice], &[name]].concat().join(" ")
}

/// Findings that ask for nothing unless the reader knows better.
const NOTES: [&str; 5] =
    ["datum-taken-as-same", "geojson-crs-member", "inlets-passed-by", "lots-stacked", "rain-table-unended"];

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

#[cfg(test)]
mod tests {
    use super::titled;

    #[test]
    fn a_name_that_says_what_it_is_is_told_once() {
        assert_eq!(titled("storm inlet", "7"), "storm inlet 7");
        assert_eq!(titled("storm inlet", "inlet 1"), "storm inlet 1");
        assert_eq!(titled("storm inlet", "Storm Inlet 1"), "Storm Inlet 1");
        assert_eq!(titled("storm inlet", "inlets of the street"), "storm inlet inlets of the street");
        assert_eq!(titled("ditch", "ditch"), "ditch");
        assert_eq!(titled("ditch", ""), "ditch ");
    }
}
