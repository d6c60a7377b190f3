//! What a trench is built of and in: the built-in table, and the user's.

mod check;
mod error;
mod fabric;
mod finish;
mod grass;
mod keys;
mod soil;
mod stone;
#[cfg(test)]
mod tests;
mod top;

pub use check::Faults;
pub use error::MaterialError;
pub use fabric::Fabric;
pub use finish::{Finish, Surface, Topsoil, Wrap};
pub use grass::Grass;
pub use soil::Soil;
pub use stone::Stone;
pub use top::Top;

use super::shown::{shown, toml_fault};
use crate::warning::{Warned, Warning};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The table that comes with the program.
const BUILT_IN: &str = include_str!("materials.toml");

/// From this share of fines on, in percent, a fabric is no filter for the soil.
///
/// # Source
/// UFC 3-270-04 (second hand).
const TOO_FINE_PERCENT: f64 = 85.0;

/// Materials by name.
///
/// # Invariants
/// Every entry has a source. Every share of fines has its fabric. The top that a finish names is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Materials {
    stone: BTreeMap<String, Stone>,
    soil: BTreeMap<String, Soil>,
    fabric: Vec<Fabric>,
    grass: BTreeMap<String, Grass>,
    top: BTreeMap<String, Top>,
    finish: BTreeMap<String, Finish>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    #[serde(default)]
    stone: BTreeMap<String, stone::RawStone>,
    #[serde(default)]
    soil: BTreeMap<String, soil::RawSoil>,
    #[serde(default)]
    fabric: Vec<fabric::RawFabric>,
    #[serde(default)]
    grass: BTreeMap<String, grass::RawGrass>,
    #[serde(default)]
    top: BTreeMap<String, top::RawTop>,
    #[serde(default)]
    finish: BTreeMap<String, finish::RawFinish>,
}

impl Materials {
    /// The table that comes with the program.
    ///
    /// # Panics
    /// Only if the embedded text were damaged; a test reads it.
    #[must_use]
    pub fn built_in() -> Self {
        let empty = Self {
            stone: BTreeMap::new(),
            soil: BTreeMap::new(),
            fabric: Vec::new(),
            grass: BTreeMap::new(),
            top: BTreeMap::new(),
            finish: BTreeMap::new(),
        };
        empty.with_user(BUILT_IN, "the built-in table of materials").expect("the embedded table is sound")
    }

    /// The file that comes with the program, as a user's file is written.
    #[must_use]
    pub const fn built_in_text() -> &'static str {
        BUILT_IN
    }

    /// This table with what a user's adds or overrides; `path` is shown in errors. A grass that a user's entry stands for is no
    /// longer what another entry stands for, or is called.
    ///
    /// # Errors
    /// [`MaterialError`] for text that isn't in the form expected, figures out of range, names that can't be asked for or are there
    /// twice,
    /// entries without a source, fabrics that leave soil out, and a finish with a top that isn't there.
    pub fn with_user(&self, text: &str, path: &str) -> Result<Self, MaterialError> {
        let document: Document = toml::from_str(text).map_err(|e| {
            let (line, message) = toml_fault(&e, text);
            let all = keys::faults(text);
            let message = if all.is_empty() { message } else { all.join("; ") };
            MaterialError::Form { path: path.to_owned(), line, message }
        })?;
        let mut table = self.clone();
        let mut reader = Reader { path, wrong: Vec::new() };
        let stone = document.stone.into_iter().map(|(name, raw)| (name.clone(), raw.named(&name))).collect();
        reader.merge("stone", &mut table.stone, stone, |raw| &raw.source);
        reader.merge("soil", &mut table.soil, document.soil, |raw| &raw.source);
        reader.clear_names(&mut table.grass, &document.grass)?;
        reader.merge("grass", &mut table.grass, document.grass, |raw| &raw.source);
        reader.merge("top", &mut table.top, document.top, |raw| &raw.source);
        reader.merge("finish", &mut table.finish, document.finish, |raw| &raw.source);
        if !document.fabric.is_empty() {
            reader.keep(fabric::check(document.fabric, path)).into_iter().for_each(|all| table.fabric = all);
        }
        reader.faultless()?;
        if let Some((name, finish)) = table.finish.iter().find(|(_, f)| !table.top.contains_key(f.top())) {
            let (path, finish, top) = (path.to_owned(), name.clone(), shown(finish.top()));
            return Err(MaterialError::Top { path, finish, top, known: names(&table.top) });
        }
        Ok(table)
    }

    /// A size of stone.
    ///
    /// # Errors
    /// [`MaterialError::Missing`] when there is none of that name.
    pub fn stone(&self, name: &str) -> Result<&Stone, MaterialError> {
        find("stone", &self.stone, name)
    }

    /// A kind of soil.
    ///
    /// # Errors
    /// [`MaterialError::Missing`] when there is none of that name.
    pub fn soil(&self, name: &str) -> Result<&Soil, MaterialError> {
        find("soil", &self.soil, name)
    }

    /// A surface over the stone.
    ///
    /// # Errors
    /// [`MaterialError::Missing`] when there is none of that name.
    pub fn top(&self, name: &str) -> Result<&Top, MaterialError> {
        find("top", &self.top, name)
    }

    /// A finish.
    ///
    /// # Errors
    /// [`MaterialError::Missing`] when there is none of that name.
    pub fn finish(&self, name: &str) -> Result<&Finish, MaterialError> {
        find("finish", &self.finish, name)
    }

    /// A kind of grass, by its own name or by a grass that it stands for.
    ///
    /// # Errors
    /// [`MaterialError::Missing`] when there is none of that name.
    pub fn grass(&self, name: &str) -> Result<&Grass, MaterialError> {
        let standing_for =
            || self.grass.values().find(|grass| grass.grasses().iter().any(|g| g == name.trim()));
        find("grass", &self.grass, name).or_else(|missing| standing_for().ok_or(missing))
    }

    /// The fabric for soil of which a share is finer than 0.075 mm.
    ///
    /// # Units
    /// `fines_percent` is by mass, 0 to 100.
    ///
    /// # Errors
    /// [`MaterialError::Fines`] for a share that is none; a warning for soil so fine that fabric isn't used on it.
    pub fn fabric_for(&self, fines_percent: f64) -> Result<Warned<&Fabric>, MaterialError> {
        check::within("fines in percent", fines_percent, 0.0..=100.0, "0 to 100")
            .map_err(MaterialError::Fines)?;
        let found = self.fabric.iter().find(|fabric| fabric.serves(fines_percent)).ok_or_else(|| {
            MaterialError::Missing {
                kind: "fabric",
                name: format!("{fines_percent} percent of fines"),
                known: self.fabric.iter().map(Fabric::name).collect::<Vec<_>>().join(", "),
            }
        })?;
        if fines_percent < TOO_FINE_PERCENT {
            return Ok(Warned::clean(found));
        }
        let warning = Warning::new(
            "soil-too-fine-for-fabric",
            format!(
                "{fines_percent} % of the soil is finer than 0.075 mm; fabric is not used from {TOO_FINE_PERCENT} % on, since it clogs"
            ),
            "have the soil's grading looked at, and use a filter of graded sand instead",
        );
        Ok(Warned::new(found, vec![warning]))
    }

    /// Names of all sizes of stone, sorted.
    pub fn stones(&self) -> impl Iterator<Item = &str> {
        self.stone.keys().map(String::as_str)
    }

    /// Names of all finishes, sorted.
    pub fn finishes(&self) -> impl Iterator<Item = &str> {
        self.finish.keys().map(String::as_str)
    }
}

fn find<'a, T>(kind: &'static str, all: &'a BTreeMap<String, T>, name: &str) -> Result<&'a T, MaterialError> {
    all.get(name.trim()).ok_or_else(|| MaterialError::Missing { kind, name: shown(name), known: names(all) })
}

/// Names become parts of names in price lists.
fn is_name(name: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    !name.is_empty() && name.chars().all(plain)
}

fn names<T>(all: &BTreeMap<String, T>) -> String {
    all.keys().map(String::as_str).collect::<Vec<_>>().join(", ")
}

/// Turns what was read into checked entries.
struct Reader<'a> {
    path: &'a str,
    /// What is wrong with entries.
    wrong: Vec<MaterialError>,
}

impl Reader<'_> {
    /// Checks the grasses that a user's entries stand for, and takes those names, and the entries' own, from entries that were there
    /// before: a name asks for one thing, the user's.
    fn clear_names(
        &self,
        into: &mut BTreeMap<String, Grass>,
        given: &BTreeMap<String, grass::RawGrass>,
    ) -> Result<(), MaterialError> {
        let mut taken: BTreeMap<&str, &str> =
            given.keys().map(|name| (name.as_str(), name.as_str())).collect();
        for (name, raw) in given {
            for alias in raw.grasses() {
                let (path, entry) =
                    (self.path.to_owned(), format!("grass.{}: {}", shown(name), shown(alias)));
                if !is_name(alias) {
                    return Err(MaterialError::Name { path, entry });
                }
                if let Some(other) = taken.insert(alias, name) {
                    let (alias, first) = (shown(alias), format!("grass.{}", shown(other)));
                    return Err(MaterialError::Alias {
                        path,
                        entry: format!("grass.{}", shown(name)),
                        alias,
                        first,
                    });
                }
            }
        }
        into.retain(|name, _| !taken.contains_key(name.as_str()));
        for grass in into.values_mut() {
            grass.give_up(|name| taken.contains_key(name));
        }
        Ok(())
    }

    /// What was read, or nothing and its fault kept.
    fn keep<T>(&mut self, read: Result<T, MaterialError>) -> Option<T> {
        read.map_err(|fault| self.wrong.push(fault)).ok()
    }

    /// That nothing is wrong with any entry.
    fn faultless(&mut self) -> Result<(), MaterialError> {
        match self.wrong.len() {
            0 => Ok(()),
            1 => Err(self.wrong.remove(0)),
            _ => Err(MaterialError::Several { all: std::mem::take(&mut self.wrong) }),
        }
    }

    fn merge<R, T: TryFrom<R, Error = Faults>>(
        &mut self,
        kind: &str,
        into: &mut BTreeMap<String, T>,
        given: BTreeMap<String, R>,
        source: impl Fn(&R) -> &String,
    ) {
        for (name, raw) in given {
            if let Some(entry) = self.keep(checked(self.path, (kind, &name), raw, &source)) {
                into.insert(name, entry);
            }
        }
    }
}

fn checked<R, T: TryFrom<R, Error = Faults>>(
    path: &str,
    (kind, name): (&str, &str),
    raw: R,
    source: impl Fn(&R) -> &String,
) -> Result<T, MaterialError> {
    let (path, entry) = (path.to_owned(), format!("{kind}.{}", shown(name)));
    if !is_name(name) {
        return Err(MaterialError::Name { path, entry });
    }
    if source(&raw).trim().is_empty() {
        return Err(MaterialError::Source { path, entry });
    }
    raw.try_into().map_err(|faults| MaterialError::Figure { path, entry, faults })
}
