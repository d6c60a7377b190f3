//! What covers shed: the built-in table, and the user's.

mod class;
mod error;
mod print;
#[cfg(test)]
mod tests;

pub use class::{CoverClass, CoverFigure, SlopeClass};
pub use error::CoverTableError;

use serde::Deserialize;
use std::collections::BTreeMap;

/// The table that comes with the program.
const BUILT_IN: &str = include_str!("covers.toml");

/// Covers by name.
///
/// # Invariants
/// Every source that a class names is there, and every class that a code stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverTable {
    codes: BTreeMap<i32, String>,
    sources: BTreeMap<String, String>,
    classes: BTreeMap<String, CoverClass>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    #[serde(default)]
    codes: BTreeMap<String, String>,
    #[serde(default)]
    sources: BTreeMap<String, String>,
    #[serde(default)]
    class: BTreeMap<String, CoverClass>,
}

impl CoverTable {
    /// The table that comes with the program.
    ///
    /// # Panics
    /// Only if the embedded text were damaged; a test reads it.
    #[must_use]
    pub fn built_in() -> Self {
        let empty = Self { codes: BTreeMap::new(), sources: BTreeMap::new(), classes: BTreeMap::new() };
        empty.with_user(BUILT_IN, "the built-in cover table").expect("the embedded table is sound")
    }

    /// The file that comes with the program, as a user's file is written.
    #[must_use]
    pub const fn built_in_text() -> &'static str {
        BUILT_IN
    }

    /// This table with what a user's adds or overrides; `path` is shown in errors.
    ///
    /// # Errors
    /// [`CoverTableError`] for text that isn't in the form expected, figures out of range, unknown keys or sources.
    pub fn with_user(&self, text: &str, path: &str) -> Result<Self, CoverTableError> {
        let document: Document = toml::from_str(text)
            .map_err(|e| CoverTableError::Form { path: path.to_owned(), message: e.to_string() })?;
        let mut table = self.clone();
        table.sources.extend(document.sources);
        for (name, class) in document.class {
            // Names are looked up without white space at their ends.
            if name.is_empty() || name.trim() != name {
                return Err(CoverTableError::Name { path: path.to_owned(), class: name });
            }
            if let Some(key) = class.from.keys().into_iter().find(|&key| !table.sources.contains_key(key)) {
                let (path, key) = (path.to_owned(), key.to_owned());
                return Err(CoverTableError::Source { path, class: name, key });
            }
            table.classes.insert(name, class);
        }
        let mut codes = BTreeMap::new();
        for (key, class) in document.codes {
            let code =
                key.parse().map_err(|_cause| CoverTableError::CodeKey { path: path.to_owned(), key })?;
            if table.class(&class).is_err() {
                let (path, known) = (path.to_owned(), table.known());
                return Err(CoverTableError::CodeClass { path, code, class, known });
            }
            if codes.insert(code, class).is_some() {
                return Err(CoverTableError::CodeTwice { path: path.to_owned(), code });
            }
        }
        table.codes.extend(codes);
        Ok(table)
    }

    /// One cover.
    ///
    /// # Errors
    /// [`CoverTableError::Class`] when there is none of that name.
    pub fn class(&self, name: &str) -> Result<&CoverClass, CoverTableError> {
        let name = name.trim();
        let of_any_case = || {
            self.classes.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, class)| class)
        };
        self.classes
            .get(name)
            .or_else(of_any_case)
            .ok_or_else(|| CoverTableError::Class { class: name.to_owned(), known: self.known() })
    }

    fn known(&self) -> String {
        self.names().collect::<Vec<_>>().join(", ")
    }

    /// The cover that a code of a raster stands for.
    #[must_use]
    pub fn class_of_code(&self, code: i32) -> Option<&str> {
        self.codes.get(&code).map(String::as_str)
    }

    /// Names of all covers, sorted.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.classes.keys().map(String::as_str)
    }

    /// Where the figures of one kind come from, in words.
    #[must_use]
    pub fn source_of(&self, class: &CoverClass, figure: CoverFigure) -> String {
        let keys = class.from.of(figure).into_iter();
        let texts: Vec<&str> = keys.filter_map(|key| self.sources.get(key).map(String::as_str)).collect();
        if texts.is_empty() { "no source given".to_owned() } else { texts.join("; ") }
    }
}
