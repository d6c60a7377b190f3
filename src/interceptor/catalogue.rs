//! Pipe sizes to choose from.

mod error;
#[cfg(test)]
mod tests;

pub use error::{CatalogueError, CatalogueFault};

use super::shown::{shown, toml_fault};
use crate::units::{Area, Length, ManningN, OutOfRange};
use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

/// The sizes that come with the program.
const ORDINARY: &str = include_str!("catalogue.toml");

/// Inside of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PipeWall {
    /// Smooth inside.
    Smooth,
    /// Corrugated inside.
    Corrugated,
}

impl PipeWall {
    /// Its name in a catalogue.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Smooth => "smooth",
            Self::Corrugated => "corrugated",
        }
    }
}

/// How a pipe is sold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PipePiece {
    /// Straight lengths.
    Stick,
    /// Rolled up.
    Coil,
}

impl PipePiece {
    /// Its name in a catalogue.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stick => "stick",
            Self::Coil => "coil",
        }
    }
}

/// How two pieces are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PipeJoint {
    /// Each piece has a socket at one end.
    Bell,
    /// A coupling at each joint.
    Coupling,
}

/// One size of pipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PipeSize {
    /// Name in millimetres.
    pub nominal_mm: f64,
    /// Name in inches.
    pub nominal_in: f64,
    /// What tells it from others of its nominal size and wall; empty where nothing need.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Inside diameter in millimetres.
    pub inside_mm: f64,
    /// Outside diameter in millimetres.
    #[serde(skip_serializing)]
    pub outside_mm: f64,
    /// Inside of the pipe.
    pub wall: PipeWall,
    /// Manning's roughness in service, perforated.
    pub manning_n: ManningN,
    /// Manning's roughness without holes.
    #[serde(skip_serializing)]
    pub solid_n: ManningN,
    /// Area of the holes in a metre of the perforated pipe, in square centimetres; 0 for pipe that has none.
    #[serde(skip_serializing)]
    pub inlet_cm2_per_m: f64,
    /// Length of a piece in metres.
    #[serde(skip_serializing)]
    pub piece_m: f64,
    /// How it is sold.
    #[serde(skip_serializing)]
    pub piece: PipePiece,
    /// How pieces are joined.
    #[serde(skip_serializing)]
    pub joint: PipeJoint,
    /// Where the figures come from.
    pub source: String,
}

impl PipeSize {
    /// Inside diameter.
    #[must_use]
    pub const fn inside(&self) -> Length {
        Length::from_mm(self.inside_mm)
    }

    /// Outside diameter.
    #[must_use]
    pub const fn outside(&self) -> Length {
        Length::from_mm(self.outside_mm)
    }

    /// Area of the holes in a length of the perforated pipe.
    #[must_use]
    pub const fn inlet_area(&self, length: Length) -> Area {
        Area::from_cm2(self.inlet_cm2_per_m * length.as_m())
    }

    /// Length of a piece as sold.
    #[must_use]
    pub const fn piece_length(&self) -> Length {
        Length::from_m(self.piece_m)
    }

    /// The size as price lists call it: `100-smooth`, and with a label `100-smooth-thick`.
    #[must_use]
    pub fn key(&self) -> String {
        let hyphen = if self.label.is_empty() { "" } else { "-" };
        format!("{}-{}{hyphen}{}", self.nominal_mm, self.wall.name(), self.label)
    }

    /// The first figure that can't be. The fields are open, so that whatever takes a size asks this first.
    pub(super) fn check(&self) -> Result<(), OutOfRange> {
        let within = |found: f64, range: RangeInclusive<f64>| range.contains(&found);
        let twice_mm = 2.0 * self.inside_mm;
        let all = [
            ("inside_mm", self.inside_mm, "10 to 5000", within(self.inside_mm, 10.0..=5000.0)),
            ("nominal_mm", self.nominal_mm, "10 to 5000", within(self.nominal_mm, 10.0..=5000.0)),
            ("nominal_in", self.nominal_in, "0.4 to 200", within(self.nominal_in, 0.4..=200.0)),
            (
                "outside_mm",
                self.outside_mm,
                "more than inside_mm, up to twice that",
                within(self.outside_mm, self.inside_mm..=twice_mm) && self.outside_mm > self.inside_mm,
            ),
            (
                "inlet_cm2_per_m",
                self.inlet_cm2_per_m,
                "0 to 1000",
                within(self.inlet_cm2_per_m, 0.0..=1000.0),
            ),
            ("piece_m", self.piece_m, "0.1 to 1000", within(self.piece_m, 0.1..=1000.0)),
        ];
        let wrong = all.into_iter().find(|(.., holds)| !holds);
        wrong.map_or(Ok(()), |(what, found, range, _)| Err(OutOfRange { what, found, range }))
    }
}

/// Sizes to choose from.
///
/// # Invariants
/// At least one; by rising inside diameter, of equal ones the smoother first. No two of one [`PipeSize::key`]. Every pipe
/// is wider outside than inside, its pieces have a length, and it has a source.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    pipes: Vec<PipeSize>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    /// Whether these are all that there are, without those that come with the program.
    #[serde(default)]
    only: bool,
    #[serde(default)]
    pipe: Vec<PipeSize>,
}

impl Catalogue {
    /// Checks and sorts sizes.
    ///
    /// # Errors
    /// [`CatalogueFault`] when there is none, a figure or label can't be, one has no source, or two have the same
    /// [`PipeSize::key`].
    pub fn new(mut pipes: Vec<PipeSize>) -> Result<Self, CatalogueFault> {
        if pipes.is_empty() {
            return Err(CatalogueFault::Empty);
        }
        for (i, pipe) in pipes.iter().enumerate() {
            let number = i + 1;
            pipe.check().map_err(|cause| CatalogueFault::Figure { number, cause })?;
            if pipe.source.trim().is_empty() {
                return Err(CatalogueFault::Source { number });
            }
            if !pipe.label.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') {
                return Err(CatalogueFault::Label { number, label: shown(&pipe.label) });
            }
            if let Some(first) = pipes[..i].iter().position(|other| other.key() == pipe.key()) {
                let (first, second) = (first + 1, number);
                return Err(CatalogueFault::Twice { first, second, name: shown(&pipe.key()) });
            }
        }
        pipes.sort_by(|a, b| {
            a.inside_mm.total_cmp(&b.inside_mm).then(a.manning_n.get().total_cmp(&b.manning_n.get()))
        });
        Ok(Self { pipes })
    }

    /// Reads a catalogue from text in TOML; `path` is shown in errors.
    ///
    /// # Errors
    /// [`CatalogueError`] when the text isn't in the form expected, or doesn't pass [`Self::new`].
    pub fn from_toml(text: &str, path: &str) -> Result<Self, CatalogueError> {
        Self::read(text, path).map(|(found, _)| found)
    }

    /// These sizes with those of a user's file: one of the same [`PipeSize::key`] takes the place of ours, others are added. Where the
    /// file says `only = true` it has all that there are.
    ///
    /// # Errors
    /// As [`Self::from_toml`].
    pub fn with_user(&self, text: &str, path: &str) -> Result<Self, CatalogueError> {
        let (own, only) = Self::read(text, path)?;
        if only {
            return Ok(own);
        }
        let kept = self.pipes.iter().filter(|pipe| own.pipe(&pipe.key()).is_none());
        let pipes = kept.chain(&own.pipes).cloned().collect();
        Self::new(pipes).map_err(|fault| CatalogueError { path: path.to_owned(), line: 0, fault })
    }

    fn read(text: &str, path: &str) -> Result<(Self, bool), CatalogueError> {
        let wrong = |line, fault| CatalogueError { path: path.to_owned(), line, fault };
        let document: Document = toml::from_str(text).map_err(|e| {
            let (line, message) = toml_fault(&e, text);
            wrong(line, CatalogueFault::Form { message })
        })?;
        let found = Self::new(document.pipe).map_err(|fault| wrong(0, fault))?;
        Ok((found, document.only))
    }

    /// The ordinary sizes that come with the program, 3 to 15 inches.
    ///
    /// # Errors
    /// [`CatalogueError`] only if the embedded text were damaged; a test reads it.
    pub fn ordinary() -> Result<Self, CatalogueError> {
        Self::from_toml(ORDINARY, "the built-in catalogue")
    }

    /// The file of those, as a user's file is written.
    #[must_use]
    pub const fn ordinary_text() -> &'static str {
        ORDINARY
    }

    /// One size by its [`PipeSize::key`].
    #[must_use]
    pub fn pipe(&self, key: &str) -> Option<&PipeSize> {
        self.pipes.iter().find(|pipe| pipe.key() == key)
    }

    /// The sizes, smallest first.
    #[must_use]
    pub fn pipes(&self) -> &[PipeSize] {
        &self.pipes
    }
}
