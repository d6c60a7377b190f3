//! What an entry of each kind holds, so that all that is wrong with a file's form is said at once.
//!
//! The reader of the form stops at the first fault; this names the others beside it.

use super::super::shown::shown;
use toml::{Table, Value};

/// What a key's value must be.
#[derive(Debug, Clone, Copy)]
enum Holds {
    Text,
    Number,
    /// From one number to another.
    Range,
    Numbers,
    Texts,
}

use Holds::{Number, Numbers, Range, Text, Texts};

/// A key, what it holds, and whether it may be left out.
type Key = (&'static str, Holds, bool);

const STONE: &[Key] = &[
    ("description", Text, false),
    ("sieve_mm", Range, false),
    ("porosity", Number, false),
    ("loose_kg_m3", Number, false),
    ("conductivity_m_day", Range, false),
    ("source", Text, false),
];
const SOIL: &[Key] = &[
    ("description", Text, false),
    ("swell", Number, false),
    ("drain_velocity_ft_s", Number, true),
    ("surface_velocity_ft_s", Range, true),
    ("inflow_cfs_per_1000_ft", Range, true),
    ("conductivity_m_day", Range, true),
    ("source", Text, false),
];
const FABRIC: &[Key] = &[
    ("name", Text, false),
    ("fines_below_percent", Number, true),
    ("fines_up_to_percent", Number, true),
    ("opening_mm", Number, false),
    ("permittivity_per_s", Number, false),
    ("overlap_mm", Number, false),
    ("source", Text, false),
];
const GRASS: &[Key] = &[
    ("grasses", Texts, true),
    ("resistant_ft_s", Numbers, false),
    ("easily_eroded_ft_s", Numbers, false),
    ("source", Text, false),
];
const TOP: &[Key] = &[
    ("description", Text, false),
    ("intake_mm_h", Range, false),
    ("clogged_mm_h", Number, true),
    ("source", Text, false),
];
const FINISH: &[Key] = &[
    ("description", Text, false),
    ("surface", Text, false),
    ("sod_mm", Number, false),
    ("topsoil_mm", Number, false),
    ("topsoil", Text, false),
    ("sand_mm", Number, false),
    ("wrap", Text, false),
    ("top", Text, false),
    ("source", Text, false),
];

/// Kinds of entries with their keys.
const KINDS: [(&str, &[Key]); 6] = [
    ("stone", STONE),
    ("soil", SOIL),
    ("fabric", FABRIC),
    ("grass", GRASS),
    ("top", TOP),
    ("finish", FINISH),
];

/// All that entries lack or have too much, and values of another kind; nothing for a text that is no TOML.
pub(super) fn faults(text: &str) -> Vec<String> {
    let Ok(table) = text.parse::<Table>() else { return Vec::new() };
    KINDS.iter().filter_map(|(kind, keys)| Some(of_kind(kind, keys, table.get(*kind)?))).flatten().collect()
}

fn of_kind(kind: &str, keys: &[Key], given: &Value) -> Vec<String> {
    match given {
        Value::Table(named) => named
            .iter()
            .filter_map(|(name, entry)| of_entry(&format!("{kind}.{}", shown(name)), keys, entry))
            .collect(),
        Value::Array(list) => (1..)
            .zip(list)
            .filter_map(|(number, entry): (usize, _)| of_entry(&format!("{kind} {number}"), keys, entry))
            .collect(),
        _ => Vec::new(),
    }
}

fn of_entry(name: &str, keys: &[Key], entry: &Value) -> Option<String> {
    let entry = entry.as_table()?;
    let lacking: Vec<&str> = keys
        .iter()
        .filter(|(key, _, free)| !free && !entry.contains_key(*key))
        .map(|(key, ..)| *key)
        .collect();
    let other: Vec<String> = keys
        .iter()
        .filter(|(key, holds, _)| entry.get(*key).is_some_and(|value| !holds.takes(value)))
        .map(|(key, holds, _)| format!("{key} is not {}", holds.words()))
        .collect();
    let unknown: Vec<String> = entry
        .keys()
        .filter(|key| keys.iter().all(|(known, ..)| known != key))
        .map(|key| shown(key))
        .collect();
    let lacks = (!lacking.is_empty()).then(|| format!("lacks {}", lacking.join(", ")));
    let unknown = (!unknown.is_empty()).then(|| format!("there is no key {}", unknown.join(", ")));
    let all: Vec<String> = lacks.into_iter().chain(other).chain(unknown).collect();
    (!all.is_empty()).then(|| format!("{name}: {}", all.join("; ")))
}

impl Holds {
    fn takes(self, value: &Value) -> bool {
        let list = |of: fn(&Value) -> bool| value.as_array().is_some_and(|all| all.iter().all(of));
        match self {
            Text => value.is_str(),
            Number => is_number(value),
            Range => list(is_number) && value.as_array().is_some_and(|all| all.len() == 2),
            Numbers => list(is_number),
            Texts => list(Value::is_str),
        }
    }

    const fn words(self) -> &'static str {
        match self {
            Text => "text",
            Number => "a number",
            Range => "two numbers",
            Numbers => "a list of numbers",
            Texts => "a list of names",
        }
    }
}

fn is_number(value: &Value) -> bool {
    value.is_float() || value.is_integer()
}

#[cfg(test)]
mod tests {
    use super::*;

    // The reader of the form and the list of keys say one thing: the built-in file has no fault by either, and no key too few.
    #[test]
    fn the_built_in_file_has_every_key_and_no_fault() {
        let text = super::super::Materials::built_in_text();
        assert_eq!(faults(text), Vec::<String>::new());
        let table: Table = text.parse().unwrap();
        for (kind, keys) in KINDS {
            let entries: Vec<&Value> = match &table[kind] {
                Value::Table(named) => named.values().collect(),
                other => other.as_array().unwrap().iter().collect(),
            };
            for (key, _, free) in keys {
                let with = entries.iter().filter(|entry| entry.get(key).is_some()).count();
                assert!(with > 0 && (*free || with == entries.len()), "{kind}: {key}");
            }
        }
    }
}
