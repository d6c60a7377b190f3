//! Pipe sizes to choose from.

use crate::units::{Length, ManningN};
use serde::{Deserialize, Serialize};

/// The sizes that come with the program.
const ORDINARY: &str = include_str!("catalogue.toml");

/// A catalogue that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error, miette::Diagnostic)]
pub enum CatalogueError {
    /// Not in the form that is expected.
    #[error("the pipe catalogue could not be read: {message}")]
    #[diagnostic(help("each [[pipe]] needs nominal_mm, nominal_in, inside_mm, wall, manning_n and source"))]
    Form {
        /// What is wrong and where, from the reader of the form.
        message: String,
    },
    /// No pipe in it.
    #[error("the pipe catalogue has no pipe")]
    Empty,
    /// A diameter that can't be.
    #[error(
        "pipe {number} of the catalogue has an inside diameter of {inside_mm} mm; expected 10 to 5000 mm"
    )]
    Diameter {
        /// Which pipe, from 1.
        number: usize,
        /// The diameter found.
        inside_mm: f64,
    },
}

/// Inside of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PipeWall {
    /// Smooth inside.
    Smooth,
    /// Corrugated inside.
    Corrugated,
}

/// One size of pipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PipeSize {
    /// Name in millimetres.
    pub nominal_mm: f64,
    /// Name in inches.
    pub nominal_in: f64,
    /// Inside diameter in millimetres.
    pub inside_mm: f64,
    /// Inside of the pipe.
    pub wall: PipeWall,
    /// Manning's roughness in service.
    pub manning_n: ManningN,
    /// Where diameter and roughness come from.
    pub source: String,
}

impl PipeSize {
    /// Inside diameter.
    #[must_use]
    pub const fn inside(&self) -> Length {
        Length::from_mm(self.inside_mm)
    }
}

/// Sizes to choose from.
///
/// # Invariants
/// At least one; by rising inside diameter, of equal ones the smoother first.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    pipes: Vec<PipeSize>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    #[serde(default)]
    pipe: Vec<PipeSize>,
}

impl Catalogue {
    /// Checks and sorts sizes.
    ///
    /// # Errors
    /// [`CatalogueError`] when there is none, or a diameter is outside 10 to 5000 mm.
    pub fn new(mut pipes: Vec<PipeSize>) -> Result<Self, CatalogueError> {
        if pipes.is_empty() {
            return Err(CatalogueError::Empty);
        }
        if let Some((i, bad)) =
            pipes.iter().enumerate().find(|(_, p)| !(10.0..=5000.0).contains(&p.inside_mm))
        {
            return Err(CatalogueError::Diameter { number: i + 1, inside_mm: bad.inside_mm });
        }
        pipes.sort_by(|a, b| {
            a.inside_mm.total_cmp(&b.inside_mm).then(a.manning_n.get().total_cmp(&b.manning_n.get()))
        });
        Ok(Self { pipes })
    }

    /// Reads a catalogue from text in TOML.
    ///
    /// # Errors
    /// [`CatalogueError`] when the text isn't in the form expected, or doesn't pass [`Self::new`].
    pub fn from_toml(text: &str) -> Result<Self, CatalogueError> {
        let document: Document =
            toml::from_str(text).map_err(|e| CatalogueError::Form { message: e.to_string() })?;
        Self::new(document.pipe)
    }

    /// The ordinary sizes that come with the program, 3 to 15 inches.
    ///
    /// # Errors
    /// [`CatalogueError`] only if the embedded text were damaged; a test reads it.
    pub fn ordinary() -> Result<Self, CatalogueError> {
        Self::from_toml(ORDINARY)
    }

    /// The sizes, smallest first.
    #[must_use]
    pub fn pipes(&self) -> &[PipeSize] {
        &self.pipes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ordinary_sizes_are_read_and_sorted() {
        let catalogue = Catalogue::ordinary().unwrap();
        assert_eq!(catalogue.pipes().len(), 14);
        assert!(catalogue.pipes().windows(2).all(|p| p[0].inside_mm <= p[1].inside_mm));
        // A size is called by about its inside diameter: none is more than 5 % off its name.
        for pipe in catalogue.pipes() {
            let off = pipe.inside_mm / (pipe.nominal_in * 25.4) - 1.0;
            assert!(off.abs() < 0.05, "{} in: {off}", pipe.nominal_in);
        }
    }

    #[test]
    fn a_catalogue_that_is_none_is_refused_with_the_reason() {
        assert_eq!(Catalogue::from_toml(""), Err(CatalogueError::Empty));
        let pipe = |inside: &str, n: &str, more: &str| {
            format!(
                "[[pipe]]\nnominal_mm = 100\nnominal_in = 4.0\ninside_mm = {inside}\nwall = \"smooth\"\n\
                 manning_n = {n}\nsource = \"test\"\n{more}"
            )
        };
        assert!(Catalogue::from_toml(&pipe("100.0", "0.012", "")).is_ok());
        assert_eq!(
            Catalogue::from_toml(&pipe("0.0", "0.012", "")),
            Err(CatalogueError::Diameter { number: 1, inside_mm: 0.0 })
        );
        for bad in [pipe("100.0", "12.0", ""), pipe("100.0", "0.012", "colour = \"green\"")] {
            assert!(matches!(Catalogue::from_toml(&bad), Err(CatalogueError::Form { .. })));
        }
    }
}
