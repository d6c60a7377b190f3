//! What is written of a whole town: tables, layers, a summary and a page.

mod fields;
mod groups;
mod layers;
mod map;
mod page;
mod summary;
mod tables;

pub use summary::TownSummary;

use super::bundle::Bundle;
use super::provenance::Provenance;
use super::screen::Units;
use crate::error::Error;
use crate::language::{Language, Words};
use crate::pipeline::Screening;
use crate::warning::Warning;
use page::Page;

/// Everything that is written of one screening.
#[derive(Debug)]
pub struct TownReport {
    /// `screening.json`.
    pub summary: TownSummary,
    units: Units,
}

impl TownReport {
    /// Makes the summary.
    #[must_use]
    pub fn new(
        screening: &Screening<'_>,
        warnings: &[Warning],
        provenance: Provenance,
        units: Units,
    ) -> Self {
        Self { summary: TownSummary::of(screening, warnings, provenance), units }
    }

    /// Writes all files into the bundle. `command` assesses a single lot with the same inputs, but for its id.
    ///
    /// # Errors
    /// [`crate::output::OutputError`] when a file can't be written.
    pub fn write(&self, bundle: &Bundle, screening: &Screening<'_>, command: &str) -> Result<(), Error> {
        bundle.write("screening.json", &self.summary.to_json()?)?;
        bundle.write("lots.csv", &tables::lots_csv(screening)?)?;
        bundle.write("pairs.csv", &tables::pairs_csv(screening)?)?;
        layers::write(bundle, screening)?;
        let words = Words::of(Language::English);
        let page = Page { screening, summary: &self.summary, words: &words, units: self.units, command };
        bundle.write("screening.html", &page.html()?)?;
        Ok(())
    }

    /// The table for the screen.
    #[must_use]
    pub fn screen_table(&self) -> String {
        self.summary.screen_table(self.units)
    }
}

/// A number for a table or a layer, to so many decimals.
fn rounded(value: f64, decimals: i32) -> f64 {
    let unit = 10_f64.powi(decimals);
    // Adding zero turns minus zero into zero.
    (value * unit).round() / unit + 0.0
}
