//! What covers shed: the built-in table, and the user's.

use super::travel::Surface;
use crate::formula::shallow_flow::ShallowFlow;
use crate::units::{CurveNumber, Retardance, RunoffCoefficient, SheetRoughness, SoilGroup};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write;

/// The table that comes with the program.
const BUILT_IN: &str = include_str!("covers.toml");
/// Falls between which the middle coefficient of grassed ground counts, both included: the source's rows are "flat, below
/// 2 %", "2 to 7 %" and "steep, above 7 %".
const SLOPES: [f64; 2] = [0.02, 0.07];

/// A cover table that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum CoverTableError {
    /// Not in the form that is expected.
    #[error("{path}: {message}")]
    #[diagnostic(help("the built-in file shows the form: lotshed size --tables toml"))]
    Form {
        /// The file as typed.
        path: String,
        /// What is wrong and where, from the reader of the form.
        message: String,
    },
    /// A source that isn't there.
    #[error("{path}: the class \"{class}\" names the source \"{key}\", which [sources] doesn't have")]
    Source {
        /// The file as typed.
        path: String,
        /// The class.
        class: String,
        /// The key.
        key: String,
    },
    /// A code of a raster that isn't one.
    #[error("{path}: [codes] has the key \"{key}\", which is no whole number")]
    #[diagnostic(help("write a code of the raster and its class, as 21 = \"lawn-good\""))]
    CodeKey {
        /// The file as typed.
        path: String,
        /// The key.
        key: String,
    },
    /// A code of a raster that stands for a class that no table has.
    #[error(
        "{path}: [codes] has {code} for the cover class \"{class}\", which there is not; there are {known}"
    )]
    #[diagnostic(help("write the name of a class, or add the class to the file"))]
    CodeClass {
        /// The file as typed.
        path: String,
        /// The code.
        code: i32,
        /// The class.
        class: String,
        /// All classes.
        known: String,
    },
    /// A code of a raster that is there twice, as 21 and +21 are.
    #[error("{path}: [codes] has {code} more than once, written in different ways")]
    #[diagnostic(help("write each code once"))]
    CodeTwice {
        /// The file as typed.
        path: String,
        /// The code.
        code: i32,
    },
    /// A name by which no cover can be asked for.
    #[error("{path}: the class {class:?} has a name that is empty, or has white space at its ends")]
    #[diagnostic(help("write [class.NAME] with a name as lawn-good"))]
    Name {
        /// The file as typed.
        path: String,
        /// The class.
        class: String,
    },
    /// Codes of a raster that no table gives a class.
    #[error("{path} has cells on the way to the lot whose codes stand for no cover: {codes}")]
    #[diagnostic(help(
        "give each a class in a file for --cover-table, as [codes] and below it 21 = \"lawn-good\""
    ))]
    Codes {
        /// The raster as typed.
        path: String,
        /// The codes.
        codes: String,
    },
    /// A class that no table has.
    #[error("there is no cover class \"{class}\"; there are {known}")]
    #[diagnostic(help("add the class to a file and name it with --cover-table"))]
    Class {
        /// The class asked for.
        class: String,
        /// All classes.
        known: String,
    },
}

/// Share of the rain that runs off at the peak.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(
    untagged,
    expecting = "a runoff coefficient is a number above 0 up to 1, or { sandy = [a, b, c], heavy = [a, b, c] } of such numbers"
)]
enum Coefficient {
    One(RunoffCoefficient),
    BySoil(BySoil),
}

/// For ground that falls less than 2 %, 2 to 7 %, and more.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct BySoil {
    sandy: [RunoffCoefficient; 3],
    heavy: [RunoffCoefficient; 3],
}

/// One cover.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoverClass {
    description: String,
    #[serde(default)]
    fast: bool,
    #[serde(default)]
    built_up: bool,
    coefficient: Option<Coefficient>,
    curve_number: Option<[CurveNumber; 4]>,
    sheet_n: Option<SheetRoughness>,
    shallow: Option<ShallowFlow>,
    retardance: Option<Retardance>,
    #[serde(default)]
    from: Origin,
}

/// Keys of the sources.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(
    untagged,
    expecting = "from is a list of keys of [sources], or { coefficient = \"key\", curve_number = \"key\", times = \"key\" }"
)]
enum Origin {
    /// Of all figures.
    All(Vec<String>),
    /// Of each kind of figures.
    Each(BTreeMap<CoverFigure, String>),
}

impl Default for Origin {
    fn default() -> Self {
        Self::All(Vec::new())
    }
}

impl Origin {
    /// All keys, each once.
    fn keys(&self) -> Vec<&str> {
        let all: Vec<&str> = match self {
            Self::All(keys) => keys.iter().map(String::as_str).collect(),
            Self::Each(keys) => keys.values().map(String::as_str).collect(),
        };
        let mut once = Vec::new();
        for key in all {
            if !once.contains(&key) {
                once.push(key);
            }
        }
        once
    }

    /// Those of one kind of figures.
    fn of(&self, figure: CoverFigure) -> Vec<&str> {
        match self {
            Self::All(_) => self.keys(),
            Self::Each(keys) => keys.get(&figure).map(String::as_str).into_iter().collect(),
        }
    }
}

/// Kinds of figures that have sources.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoverFigure {
    /// The runoff coefficient.
    Coefficient,
    /// The curve numbers.
    CurveNumber,
    /// What times rest on.
    Times,
}

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

    /// The table as people read it: one line a cover, then the sources.
    #[must_use]
    pub fn print(&self) -> String {
        let mut text = format!(
            "{:<20} {:<24} {:<14} {:>7} {:<20} {:>5}  what it is [sources]\n",
            "class", "runoff coefficient", "CN A/B/C/D", "sheet n", "shallow flow", "Kerby"
        );
        for (name, class) in &self.classes {
            // Writing to a string can't fail.
            let _ = writeln!(
                text,
                "{name:<20} {:<24} {:<14} {:>7} {:<20} {:>5}  {} [{}]",
                class.coefficient_words(),
                class.curve_number_words(),
                class.sheet_n.map_or_else(|| "-".to_owned(), |n| n.get().to_string()),
                class.shallow.map_or("-", ShallowFlow::words),
                class.retardance.map_or_else(|| "-".to_owned(), |n| n.get().to_string()),
                class.description,
                class.from.keys().join(", ")
            );
        }
        if !self.codes.is_empty() {
            text.push_str("\ncodes of a raster of covers\n");
        }
        for (code, class) in &self.codes {
            let _ = writeln!(text, "  {code} = {class}");
        }
        text.push_str("\nsandy soil: groups A and B, heavy soil: C and D (our convention); three figures: ground that falls less than 2 %, 2 to 7 %, more\n\nSources\n");
        for (key, source) in &self.sources {
            let _ = writeln!(text, "  {key}: {source}");
        }
        text
    }
}

impl CoverClass {
    /// Whether its water is off it at once.
    #[must_use]
    pub const fn is_fast(&self) -> bool {
        self.fast
    }

    /// Whether its figures have roofs and paving in them.
    #[must_use]
    pub const fn is_built_up(&self) -> bool {
        self.built_up
    }

    /// Whether it has curve numbers.
    #[must_use]
    pub const fn has_curve_number(&self) -> bool {
        self.curve_number.is_some()
    }

    /// What it is.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Whether it has all figures for the time of sheet and shallow flow.
    #[must_use]
    pub const fn has_surface(&self) -> bool {
        self.sheet_n.is_some() && self.shallow.is_some()
    }

    /// Runoff coefficient of ground that falls `grade`; nothing when the table has none, or none without a soil group.
    #[must_use]
    pub fn coefficient(&self, grade: f64, soil: Option<SoilGroup>) -> Option<RunoffCoefficient> {
        let by_soil = match self.coefficient? {
            Coefficient::One(coefficient) => return Some(coefficient),
            Coefficient::BySoil(by_soil) => by_soil,
        };
        let slope = usize::from(grade >= SLOPES[0]) + usize::from(grade > SLOPES[1]);
        match soil? {
            SoilGroup::A | SoilGroup::B => Some(by_soil.sandy[slope]),
            SoilGroup::C | SoilGroup::D => Some(by_soil.heavy[slope]),
        }
    }

    /// Whether a soil group is all that is missing for a coefficient.
    #[must_use]
    pub const fn needs_soil(&self) -> bool {
        matches!(self.coefficient, Some(Coefficient::BySoil(_)))
    }

    /// Whether any of its figures hangs on the soil.
    #[must_use]
    pub fn depends_on_soil(&self) -> bool {
        self.needs_soil()
            || self.curve_number.is_some_and(|all| all.windows(2).any(|pair| pair[0] != pair[1]))
    }

    /// Curve number; nothing when the table has none, or none without a soil group.
    #[must_use]
    pub fn curve_number(&self, soil: Option<SoilGroup>) -> Option<CurveNumber> {
        let numbers = self.curve_number?;
        if numbers.windows(2).all(|pair| pair[0] == pair[1]) {
            return Some(numbers[0]);
        }
        Some(
            numbers[match soil? {
                SoilGroup::A => 0,
                SoilGroup::B => 1,
                SoilGroup::C => 2,
                SoilGroup::D => 3,
            }],
        )
    }

    /// What water runs over; what the table leaves out is taken from `rest`.
    #[must_use]
    pub fn surface(&self, rest: Surface) -> Surface {
        Surface {
            sheet: self.sheet_n.unwrap_or(rest.sheet),
            shallow: self.shallow.unwrap_or(rest.shallow),
            retardance: self.retardance.unwrap_or(rest.retardance),
        }
    }

    fn coefficient_words(&self) -> String {
        let three = |all: [RunoffCoefficient; 3]| all.map(|c| c.get().to_string()).join("/");
        match self.coefficient {
            None => "-".to_owned(),
            Some(Coefficient::One(coefficient)) => coefficient.get().to_string(),
            Some(Coefficient::BySoil(by_soil)) => {
                format!("{} {}", three(by_soil.sandy), three(by_soil.heavy))
            }
        }
    }

    fn curve_number_words(&self) -> String {
        self.curve_number.map_or_else(|| "-".to_owned(), |all| all.map(|n| n.get().to_string()).join("/"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn every_class_of_the_built_in_table_names_its_sources() {
        let table = CoverTable::built_in();
        assert!(table.names().count() > 30);
        for name in table.names() {
            let class = table.class(name).unwrap();
            for figure in [CoverFigure::Coefficient, CoverFigure::CurveNumber, CoverFigure::Times] {
                let has = match figure {
                    CoverFigure::Coefficient => class.coefficient.is_some(),
                    CoverFigure::CurveNumber => class.curve_number.is_some(),
                    CoverFigure::Times => class.has_surface(),
                };
                assert_eq!(!class.from.of(figure).is_empty(), has, "{name}: {figure:?}");
            }
            assert!(class.coefficient.is_some() || class.curve_number.is_some(), "{name}");
        }
        assert!(table.print().contains("lawn-good"));
    }

    #[test]
    fn soil_and_slope_choose_the_figure_and_none_is_made_up() {
        let table = CoverTable::built_in();
        let lawn = table.class("lawn-good").unwrap();
        let c = |grade, soil| lawn.coefficient(grade, soil).map(RunoffCoefficient::get);
        assert_eq!(c(0.019, Some(SoilGroup::B)), Some(0.07));
        assert_eq!(c(0.02, Some(SoilGroup::D)), Some(0.21));
        assert_eq!(c(0.07, Some(SoilGroup::D)), Some(0.21));
        assert_eq!(c(0.070_01, Some(SoilGroup::D)), Some(0.30));
        assert_eq!(c(0.2, Some(SoilGroup::C)), Some(0.30));
        assert_eq!(c(0.01, None), None);
        assert!(lawn.needs_soil());
        assert_eq!(lawn.curve_number(None), None);
        let roof = table.class("roof").unwrap();
        assert_relative_eq!(roof.curve_number(None).unwrap().get(), 98.0);
        assert!(roof.is_fast());
        assert_eq!(table.class("bare-ground").unwrap().coefficient(0.01, Some(SoilGroup::A)), None);
    }

    #[test]
    fn each_figure_has_its_own_source_where_the_table_says_so() {
        let text = "[sources]\na = \"A\"\nb = \"B\"\n[class.moss]\ndescription = \"moss\"\ncoefficient = 0.4\ncurve_number = [1, 2, 3, 4]\nfrom = { coefficient = \"a\", curve_number = \"b\" }\n[class.turf]\ndescription = \"turf\"\ncoefficient = 0.4\nfrom = [\"a\", \"b\"]\n";
        let table = CoverTable::built_in().with_user(text, "own.toml").unwrap();
        let source = |class, figure| table.source_of(table.class(class).unwrap(), figure);
        assert_eq!(source("moss", CoverFigure::Coefficient), "A");
        assert_eq!(source("moss", CoverFigure::CurveNumber), "B");
        assert_eq!(source("turf", CoverFigure::Coefficient), "A; B", "two sources of one figure");
        assert!(source("lawn-good", CoverFigure::CurveNumber).contains("table 2-2a"));
        assert!(source("lawn-good", CoverFigure::Coefficient).contains("Indiana"));
        assert!(source("lawn-good", CoverFigure::Times).contains("table 3-1"));
    }

    #[test]
    fn a_users_table_adds_and_overrides() {
        let text = "[sources]\nown = \"measured\"\n[class.roof]\ndescription = \"green roof\"\ncoefficient = 0.4\nfrom = [\"own\"]\n[class.moss]\ndescription = \"moss\"\n";
        let table = CoverTable::built_in().with_user(text, "own.toml").unwrap();
        let roof = table.class("roof").unwrap();
        assert_relative_eq!(roof.coefficient(0.0, None).unwrap().get(), 0.4);
        assert!(!roof.is_fast() && roof.curve_number(Some(SoilGroup::A)).is_none());
        assert_eq!(table.source_of(roof, CoverFigure::Coefficient), "measured");
        assert_eq!(table.class("moss").unwrap().description(), "moss");
    }

    #[test]
    fn what_is_wrong_with_a_users_table_is_named_with_its_place() {
        let refused =
            |text: &str| CoverTable::built_in().with_user(text, "own.toml").unwrap_err().to_string();
        let class = |more: &str| format!("[class.moss]\ndescription = \"moss\"\n{more}\n");
        for (text, said) in [
            (class("colour = \"green\""), "colour"),
            (class("coefficient = 1.4"), "line 3"),
            (class("curve_number = [30, 58, 71]"), "line 3"),
            (class("from = [\"nobody\"]"), "nobody"),
            (
                class("[codes]\n21 = \"lawns\""),
                "21 for the cover class \"lawns\", which there is not; there are",
            ),
            (class("[codes]\n21 = \"roof\"\n\"+21\" = \"moss\""), "21 more than once"),
            (class("[class.\" fern\"]\ndescription = \"fern\""), "\" fern\" has a name"),
            (class("[class.\"\"]\ndescription = \"fern\""), "\"\" has a name"),
        ] {
            assert!(refused(&text).contains(said), "{text}: {}", refused(&text));
            assert!(refused(&text).contains("own.toml"));
        }
        let unknown = CoverTable::built_in().class("lawns").unwrap_err().to_string();
        assert!(unknown.contains("lawn-good"), "{unknown}");
    }
}
