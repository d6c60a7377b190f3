//! The table as people read it.

use super::CoverTable;
use super::class::{Coefficient, CoverClass};
use crate::formula::shallow_flow::ShallowFlow;
use crate::units::RunoffCoefficient;
use std::fmt::Write;

impl CoverTable {
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
