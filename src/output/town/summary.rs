//! `screening.json`: what a program wants to know of a screening before it opens the tables.

use super::groups::{GroupRow, groups};
use super::rounded;
use crate::input::ElevationFacts;
use crate::output::cautions::CAUTIONS;
use crate::output::error::OutputError;
use crate::output::provenance::Provenance;
use crate::output::screen::Units;
use crate::output::summary::Program;
use crate::pipeline::Screening;
use crate::warning::Warning;
use serde::Serialize;

/// Version of the layout; it changes only when something is renamed or removed.
const SCHEMA_VERSION: u32 = 1;
/// Lots at the top of the list that are named.
pub(super) const TOP: usize = 25;

/// Everything but the rows of the tables.
#[derive(Debug, Clone, Serialize)]
pub struct TownSummary {
    /// Version of the layout.
    pub schema_version: u32,
    /// The program.
    pub program: Program,
    /// What the reader must know.
    pub warnings: Vec<Warning>,
    /// How many lots there are.
    pub lots: Counts,
    /// Classes, the most pressing first.
    pub classes: Vec<ClassRow>,
    /// Where the rain of all lots goes when it first leaves them.
    pub shed: ShedRow,
    /// Ids of the lots at the top of the list.
    pub top: Vec<String>,
    /// Complaints that hang together; nothing where none were given.
    pub complaint_groups: Option<Vec<GroupRow>>,
    /// What the elevations are.
    pub elevation: ElevationFacts,
    /// Limits of the result.
    pub cautions: Vec<&'static str>,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// How many lots there are.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Counts {
    /// In the tables.
    pub listed: usize,
    /// With ground on the elevations.
    pub with_elevation: usize,
    /// Of those listed, how many get run-on of which not all is known.
    pub incomplete: usize,
    /// Pairs of lots of which one gets water of the other.
    pub pairs: usize,
}

/// The lots of one class.
#[derive(Debug, Clone, Serialize)]
pub struct ClassRow {
    /// The class.
    pub class: String,
    /// Lots.
    pub lots: usize,
    /// Middle of their run-on, m²; nothing without lots.
    pub median_run_on_m2: Option<f64>,
}

/// Where the rain of all listed lots goes when it first leaves them, m².
#[derive(Debug, Clone, Copy, Serialize, Default)]
#[expect(clippy::struct_field_names, reason = "serialised names carry their unit")]
pub struct ShedRow {
    /// Onto other parcels.
    pub parcels_m2: f64,
    /// Onto land without a parcel.
    pub unparcelled_m2: f64,
    /// Into storm inlets.
    pub inlets_m2: f64,
    /// Over the edge of the elevations.
    pub off_data_m2: f64,
}

impl TownSummary {
    pub(super) fn of(screening: &Screening<'_>, warnings: &[Warning], provenance: Provenance) -> Self {
        let listed = || screening.listed.iter().map(|&place| &screening.lots[place]);
        let mut shed = ShedRow::default();
        for lot in listed() {
            shed.parcels_m2 += lot.shedding.parcels_m2;
            shed.unparcelled_m2 += lot.shedding.unparcelled_m2;
            shed.inlets_m2 += lot.shedding.inlets_m2;
            shed.off_data_m2 += lot.shedding.off_data_m2;
        }
        let name = |parcel: usize| screening.site.parcels.parcels()[parcel].id.clone();
        Self {
            schema_version: SCHEMA_VERSION,
            program: Program { name: env!("CARGO_PKG_NAME"), version: env!("CARGO_PKG_VERSION") },
            warnings: warnings.to_vec(),
            lots: Counts {
                listed: screening.listed.len(),
                with_elevation: screening.lots.len(),
                incomplete: listed().filter(|lot| !lot.is_complete()).count(),
                pairs: super::fields::pairs(screening).count(),
            },
            classes: screening.settings.rules.classes().map(|class| class_row(screening, class)).collect(),
            shed,
            top: listed().take(TOP).map(|lot| name(lot.parcel)).collect(),
            complaint_groups: screening.complaints.is_some().then(|| groups(screening)),
            elevation: screening.site.survey.facts().clone(),
            cautions: CAUTIONS.to_vec(),
            provenance,
        }
    }

    /// The text of the file.
    ///
    /// # Errors
    /// [`OutputError::Json`].
    pub fn to_json(&self) -> Result<String, OutputError> {
        let text = serde_json::to_string_pretty(self)
            .map_err(|cause| OutputError::Json { what: "screening.json", cause })?;
        Ok(text + "\n")
    }

    pub(super) fn screen_table(&self, units: Units) -> String {
        let wide = self.classes.iter().map(|row| row.class.chars().count()).max().unwrap_or(0);
        let mut lines = vec![format!("Lots screened: {}", self.lots.listed), String::new()];
        for row in &self.classes {
            let median = row
                .median_run_on_m2
                .map_or_else(String::new, |m2| format!("   half of them get more than {}", units.area(m2)));
            lines.push(format!("  {:wide$}  {:>7}{median}", row.class, row.lots));
        }
        if self.lots.incomplete > 0 {
            lines.push(format!(
                "\nOf {} lots not all run-on is known: the elevations end in their catchments.",
                self.lots.incomplete
            ));
        }
        if let Some(groups) = &self.complaint_groups {
            let several = groups.iter().filter(|group| group.lots.len() > 1).count();
            lines.push(format!("\nGroups of complaints with water from the same ground: {several}"));
        }
        lines.push(String::new());
        lines.join("\n")
    }
}

fn class_row(screening: &Screening<'_>, class: &str) -> ClassRow {
    let listed = screening.listed.iter().map(|&place| &screening.lots[place]);
    let mut run_on: Vec<f64> =
        listed.filter(|lot| lot.classed.class == class).map(|lot| lot.run_on_m2).collect();
    run_on.sort_by(f64::total_cmp);
    let lots = run_on.len();
    let median = (lots > 0).then(|| f64::midpoint(run_on[(lots - 1) / 2], run_on[lots / 2]));
    ClassRow { class: class.to_owned(), lots, median_run_on_m2: median.map(|m2| rounded(m2, 2)) }
}
