//! Stage 7: files and tables.
//!
//! Takes an [`Assessment`], gives files in one folder, all or nothing, and the table for
//! the screen. Never computes anything that isn't in the assessment.

mod beside;
mod besides;
mod bundle;
mod catches;
mod cautions;
mod certainty;
mod contributors;
mod design;
mod doubts;
mod drain;
mod drain_words;
mod error;
mod features;
mod geometry;
pub(crate) mod geotiff;
mod handover;
mod inlet_access;
mod layers;
mod likelihood_lines;
mod line;
mod mark;
mod mask;
mod outlets;
mod page;
mod profile;
mod proof;
mod provenance;
mod quantities;
mod rasters;
mod rows;
mod said;
mod screen;
mod slow_ground;
mod specification;
mod storms;
mod style;
mod summary;
mod town;
mod wanted_shots;
mod why;
pub(crate) mod words;

pub use besides::{ChamberRow, GroundWaterRow, PumpedRow, RoomRow};
pub use bundle::{Bundle, Existing, RESULT_FILES, ResultKind, TOWN_FILES};
pub use catches::{CatchRow, OfAll};
pub use cautions::CAUTIONS;
pub use certainty::{CalibrationRow, CertaintyRow, CrossingSure, ParcelRow};
pub use design::{
    CoverFlow, CrossingStorm, Design, OtherTime, PondsLedger, PortionRow, SegmentRow, Storm, TimeRow,
    VolumeRow,
};
pub use doubts::{DataQuality, DoubtKind, DoubtRow};
pub use drain::{BasinRow, Choice, Drain, IntakeRow, LackingRow, Limits, ReachRow, SwaleRow};
pub use error::OutputError;
pub use inlet_access::{BankRow, BesideRow, InletRow, PondsFirstRow, StandingRow};
pub use layers::Layers;
pub use line::{Line, Part, ProfilePoint};
pub use outlets::Outlet;
pub use page::Audience;
pub use proof::{DischargeRow, LeftRow, PassedRow, ProofRow, ReceivedRow, TakenRow};
pub use provenance::{Libraries, Provenance, libraries};
pub use quantities::Bill;
pub use rasters::write_rasters;
pub use rows::whose;
pub use said::Said;
pub use screen::{Units, screen_table};
pub use specification::Check;
pub use storms::{InStorm, Largest, MetBuilding, Overflow, OverflowRow, StormLine, Storms};
pub use summary::{SCHEMA_VERSION, Summary};
pub use town::{TownReport, TownSummary};
pub use wanted_shots::{SettlingRow, SideRow, WantedRow};
pub use why::{
    ComesRow, DecisionKind, DecisionRow, EndKind, EndRow, EnteredRow, ExplanationRow, GoesRow, ReceiverRow,
    WayRow,
};

use crate::error::Error;
use crate::language::{Language, Words};
use crate::pipeline::{Assessment, Rasters};
use crate::warning::Warning;

/// What to write besides what is always written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RasterFiles {
    /// No rasters.
    Without,
    /// The rasters that show how the answer came about.
    With,
}

/// Whether the drawings are also written as files of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawingFiles {
    /// In the report only.
    Without,
    /// Also as files.
    With,
}

/// How a result is written.
#[derive(Debug, Clone, Copy)]
pub struct Writing {
    /// For whom the report is.
    pub audience: Audience,
    /// Rasters.
    pub rasters: RasterFiles,
    /// Drawings.
    pub drawings: DrawingFiles,
}

/// Everything that is written of one assessment, made before the first byte is written.
#[derive(Debug)]
pub struct Report {
    /// `summary.json`.
    pub summary: Summary,
    /// The GeoJSON layers.
    pub layers: Layers,
    /// What comes first in sentences on the map, in the report and in the checklist.
    pub units: Units,
}

impl Report {
    /// Makes the report.
    ///
    /// # Errors
    /// A place that can't be given in longitude and latitude.
    pub fn new(
        assessment: &Assessment<'_>,
        warnings: &[Warning],
        provenance: Provenance,
        units: Units,
    ) -> Result<Self, Error> {
        Ok(Self {
            summary: Summary::of(assessment, warnings, provenance)?,
            layers: Layers::of(assessment, units)?,
            units,
        })
    }

    /// Writes all files into the bundle.
    ///
    /// # Errors
    /// [`OutputError`] when a file can't be written; a fault of the routing when rasters are made.
    pub fn write(&self, bundle: &Bundle, assessment: &Assessment<'_>, writing: Writing) -> Result<(), Error> {
        bundle.write("summary.json", &self.summary.to_json()?)?;
        for (name, text) in self.layers.files(&assessment.site.crs)? {
            bundle.write(name, &text)?;
        }
        bundle.write("profile.csv", &profile::profile_csv(assessment))?;
        let words = Words::of(Language::English);
        let (Writing { audience, rasters, drawings }, units) = (writing, self.units);
        let page = page::Page { assessment, summary: &self.summary, words: &words, units, audience };
        bundle.write("report.html", &page.html()?)?;
        bundle.write("report.txt", &page.text())?;
        if drawings == DrawingFiles::With {
            for (name, text) in page.drawings() {
                bundle.write_in(bundle::DRAWINGS, &name, &text)?;
            }
        }
        bundle.write("quantities.csv", &quantities::quantities_csv(&self.summary.quantities)?)?;
        let checks = &self.summary.specification;
        if !checks.is_empty() {
            let text = specification::specification_txt(&self.summary.lot.id, checks, units);
            bundle.write("specification.txt", &text)?;
        }
        handover::hand_over(bundle, assessment, &self.layers)?;
        if rasters == RasterFiles::With {
            write_rasters(bundle, assessment, &Rasters::of(assessment)?)?;
        }
        Ok(())
    }
}
