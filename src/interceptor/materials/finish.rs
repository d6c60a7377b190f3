//! Layers between the stone and the surface.

use super::check::{Faults, all, within};
use crate::units::Length;
use serde::Deserialize;

/// What the surface is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Surface {
    /// The lawn's own sod, lifted and laid again.
    SodBack,
    /// Sod that is bought.
    SodNew,
    /// Seed.
    Seed,
    /// The stone itself.
    Stone,
}

/// Where topsoil comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Topsoil {
    /// Kept when the trench is dug, and put back.
    Back,
    /// Brought.
    New,
}

/// Fabric around the stone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wrap {
    /// All round, with an overlap on top.
    Full,
    /// Bottom and sides; a fabric over bare stone would clog.
    Open,
}

/// A finish.
///
/// # Invariants
/// No thickness is negative or above 1 m; sod has a thickness, seed and bare stone have none of sod, and over bare stone
/// there is nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    description: String,
    surface: Surface,
    sod: Length,
    topsoil: Length,
    topsoil_from: Topsoil,
    sand: Length,
    wrap: Wrap,
    top: String,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFinish {
    description: String,
    surface: Surface,
    sod_mm: f64,
    topsoil_mm: f64,
    topsoil: Topsoil,
    sand_mm: f64,
    wrap: Wrap,
    top: String,
    pub(super) source: String,
}

impl TryFrom<RawFinish> for Finish {
    type Error = Faults;

    fn try_from(raw: RawFinish) -> Result<Self, Faults> {
        let sod = match raw.surface {
            Surface::SodBack | Surface::SodNew => (5.0..=200.0, "5 to 200 with sod"),
            Surface::Seed | Surface::Stone => (0.0..=0.0, "0 without sod"),
        };
        let layer = match raw.surface {
            Surface::Stone => (0.0..=0.0, "0 over bare stone"),
            _ => (0.0..=1000.0, "0 to 1000"),
        };
        all([
            within("sod_mm", raw.sod_mm, sod.0, sod.1),
            within("topsoil_mm", raw.topsoil_mm, layer.0.clone(), layer.1),
            within("sand_mm", raw.sand_mm, layer.0, layer.1),
        ])?;
        Ok(Self {
            description: raw.description,
            surface: raw.surface,
            sod: Length::from_mm(raw.sod_mm),
            topsoil: Length::from_mm(raw.topsoil_mm),
            topsoil_from: raw.topsoil,
            sand: Length::from_mm(raw.sand_mm),
            wrap: raw.wrap,
            top: raw.top,
            source: raw.source,
        })
    }
}

impl Finish {
    /// What it is.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// What the surface is.
    #[must_use]
    pub const fn surface(&self) -> Surface {
        self.surface
    }

    /// Thickness of the sod; 0 without.
    #[must_use]
    pub const fn sod(&self) -> Length {
        self.sod
    }

    /// Thickness of the topsoil; 0 without.
    #[must_use]
    pub const fn topsoil(&self) -> Length {
        self.topsoil
    }

    /// Where the topsoil comes from.
    #[must_use]
    pub const fn topsoil_from(&self) -> Topsoil {
        self.topsoil_from
    }

    /// Thickness of the sand; 0 without.
    #[must_use]
    pub const fn sand(&self) -> Length {
        self.sand
    }

    /// All layers together: from the surface down to the stone.
    #[must_use]
    pub fn thickness(&self) -> Length {
        self.sod + self.topsoil + self.sand
    }

    /// Fabric around the stone below.
    #[must_use]
    pub const fn wrap(&self) -> Wrap {
        self.wrap
    }

    /// Name of the [`super::Top`] that it is.
    #[must_use]
    pub fn top(&self) -> &str {
        &self.top
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}
