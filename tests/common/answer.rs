//! The result of a run, and checks that name the field.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::Value;
use tempfile::TempDir;

/// A contributor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Who<'a> {
    /// A parcel, by key.
    Lot(&'a str),
    /// Ground outside all parcels.
    Unparcelled,
}

impl<'a> Who<'a> {
    /// The key in the result: null for unparcelled ground.
    pub(crate) fn id(self) -> Option<&'a str> {
        match self {
            Self::Lot(id) => Some(id),
            Self::Unparcelled => None,
        }
    }
}

/// Contents by path inside the result folder.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Files(pub(crate) BTreeMap<String, Vec<u8>>);

impl Files {
    /// All files of a folder and the folders in it; empty when there is none.
    pub(crate) fn of(root: &Path) -> Self {
        let mut found = BTreeMap::new();
        let mut folders = vec![root.to_owned()];
        while let Some(folder) = folders.pop() {
            let Ok(entries) = std::fs::read_dir(&folder) else { continue };
            for entry in entries {
                let path = entry.expect("the result folder can be listed").path();
                if path.is_dir() {
                    folders.push(path);
                    continue;
                }
                let name =
                    path.strip_prefix(root).expect("it lies inside").to_string_lossy().replace('\\', "/");
                found.insert(name, std::fs::read(&path).expect("the result can be read"));
            }
        }
        Self(found)
    }

    /// Checks that two results are the same bytes, and says which file isn't.
    pub(crate) fn same_as(&self, other: &Self, why: &str) {
        assert!(!self.0.is_empty(), "there is a result to compare");
        let names: Vec<&String> = self.0.keys().collect();
        assert_eq!(names, other.0.keys().collect::<Vec<_>>(), "{why}: the same files");
        for (name, bytes) in &self.0 {
            let place = bytes.iter().zip(&other.0[name]).position(|(one, two)| one != two);
            assert!(*bytes == other.0[name], "{why}: {name} differs, first at byte {place:?}");
        }
    }
}

/// A usable result.
#[derive(Debug)]
pub(crate) struct Answer {
    /// The parsed `summary.json`.
    pub(crate) summary: Value,
    /// The result folder.
    pub(crate) out: PathBuf,
    /// Standard output.
    pub(crate) stdout: String,
    /// Standard error.
    pub(crate) stderr: String,
    /// Keeps the files of the result where they are.
    _folder: Arc<TempDir>,
}

impl Answer {
    /// Reads `summary.json`.
    pub(crate) fn read(folder: Arc<TempDir>, out: PathBuf, stdout: String, stderr: String) -> Self {
        let path = out.join("summary.json");
        let text = std::fs::read_to_string(&path).expect("a usable run writes summary.json");
        let summary = serde_json::from_str(&text).expect("summary.json is JSON");
        Self { summary, out, stdout, stderr, _folder: folder }
    }

    /// The value at a path such as `run_on.area_m2` or `crossings.0.to_m`.
    pub(crate) fn at(&self, path: &str) -> &Value {
        let pointer = format!("/{}", path.replace('.', "/"));
        self.summary.pointer(&pointer).unwrap_or_else(|| panic!("summary.json has no {path}"))
    }

    /// The number at a path.
    pub(crate) fn number(&self, path: &str) -> f64 {
        self.at(path).as_f64().unwrap_or_else(|| panic!("{path} must be a number, is {}", self.at(path)))
    }

    /// The text at a path.
    pub(crate) fn text(&self, path: &str) -> &str {
        self.at(path).as_str().unwrap_or_else(|| panic!("{path} must be text, is {}", self.at(path)))
    }

    /// The list at a path.
    pub(crate) fn list(&self, path: &str) -> &[Value] {
        self.at(path).as_array().unwrap_or_else(|| panic!("{path} must be a list, is {}", self.at(path)))
    }

    /// A contributor's row.
    pub(crate) fn contributor(&self, who: Who<'_>) -> Option<&Value> {
        self.list("contributors").iter().find(|row| row["id"].as_str() == who.id())
    }

    /// A number of a contributor's row; 0 when there is no row.
    pub(crate) fn share(&self, who: Who<'_>, field: &str) -> f64 {
        self.contributor(who).map_or(0.0, |row| {
            row[field]
                .as_f64()
                .unwrap_or_else(|| panic!("contributors[{who:?}].{field} must be a number: {row}"))
        })
    }

    /// The area that a contributor sends; 0 when it isn't listed.
    pub(crate) fn area_of(&self, who: Who<'_>) -> f64 {
        self.share(who, "area_m2")
    }

    /// The sum of a field over a list.
    pub(crate) fn sum(&self, list: &str, field: &str) -> f64 {
        self.list(list)
            .iter()
            .map(|row| {
                row[field].as_f64().unwrap_or_else(|| panic!("{list}[].{field} must be a number: {row}"))
            })
            .sum()
    }

    /// The text of the warning with this code.
    pub(crate) fn warning(&self, code: &str) -> Option<String> {
        self.list("warnings").iter().find(|warning| warning["code"] == code).map(words_of)
    }

    /// Checks that the warning is there and says every one of `words`.
    pub(crate) fn must_warn(&self, code: &str, words: &[&str]) {
        let text = self
            .warning(code)
            .unwrap_or_else(|| panic!("warnings must have {code}; they are {}", self.at("warnings")));
        for word in words {
            assert!(
                text.contains(&word.to_lowercase()),
                "warning {code} must say {word:?}; it says {text:?}"
            );
        }
    }

    /// Checks that one of the warnings, whatever its code, says every one of `words`.
    pub(crate) fn must_say(&self, words: &[&str]) {
        let said = self
            .list("warnings")
            .iter()
            .map(words_of)
            .any(|text| words.iter().all(|word| text.contains(&word.to_lowercase())));
        assert!(said, "a warning must say all of {words:?}; they are {}", self.at("warnings"));
    }

    /// Checks that one of the warnings names this key, in its case and standing alone.
    pub(crate) fn must_name(&self, id: &str) {
        let named = self.list("warnings").iter().any(|warning| names(&warning["message"].to_string(), id));
        assert!(named, "a warning must name {id}; they are {}", self.at("warnings"));
    }

    /// Parses one of the written GeoJSON files.
    pub(crate) fn geojson(&self, name: &str) -> Value {
        let path = self.out.join(name);
        let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
        serde_json::from_str(&text).unwrap_or_else(|error| panic!("{name} must be JSON: {error}"))
    }
}

/// Whether a text has a word, in its case and between letters and digits of others.
pub(crate) fn names(text: &str, word: &str) -> bool {
    text.split(|letter: char| !letter.is_alphanumeric()).any(|part| part == word)
}

fn words_of(warning: &Value) -> String {
    format!("{} {}", warning["message"], warning["help"]).to_lowercase()
}

/// Checks a number against the expected one with relative room (absolute when 0 is expected).
pub(crate) fn close(field: &str, found: f64, expected: f64, room: f64) {
    let allowed = if expected.abs() > 0.0 { room * expected.abs() } else { room };
    assert!(
        (found - expected).abs() <= allowed,
        "{field}: found {found}, expected {expected}, off by {:.3e}, allowed {allowed:.3e}",
        (found - expected).abs()
    );
}

/// Checks a number against the expected one with absolute room.
pub(crate) fn within(field: &str, found: f64, expected: f64, room: f64) {
    assert!((found - expected).abs() <= room, "{field}: found {found}, expected {expected} to within {room}");
}
