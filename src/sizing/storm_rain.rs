//! Rain of a whole storm.

use super::{Figure, Value, Worked};
use crate::runoff::{Rain, Source};
use crate::units::{Length, Time};
use crate::warning::Warned;

/// How long the storm lasts whose depth a table gives.
const DAY_H: f64 = 24.0;

/// Depth of a storm's rain, and how a table gave it.
#[derive(Debug, Clone, PartialEq)]
pub struct StormRain {
    depth: Length,
    of_table: Option<OfTable>,
}

#[derive(Debug, Clone, PartialEq)]
struct OfTable {
    how: String,
    source: String,
}

impl StormRain {
    /// A depth given.
    #[must_use]
    pub const fn given(depth: Length) -> Self {
        Self { depth, of_table: None }
    }

    /// The 24-hour rain of a table; nothing for other rain, or a table without it.
    #[must_use]
    pub fn of_day(rain: &Rain) -> Option<Warned<Self>> {
        let (Source::Table(table), Some(years)) = (rain.source(), rain.years()) else { return None };
        let found = table.depth(Time::from_h(DAY_H), years).ok()?;
        let how = format!("24-hour rain of the {}-year storm, {}", years.get(), found.how);
        let of_table = Some(OfTable { how, source: rain.words() });
        Some(Warned::new(Self { depth: found.depth, of_table }, found.warnings))
    }

    /// How deep it stands where nothing takes it in.
    #[must_use]
    pub const fn depth(&self) -> Length {
        self.depth
    }

    pub(super) fn figure(&self) -> Figure {
        let (name, value) = ("rain of the storm", Value::Depth(self.depth));
        match &self.of_table {
            None => Figure::plain(name, value),
            Some(table) => Figure::worked(name, value, Worked::same(table.how.clone()), table.source.clone()),
        }
    }
}
