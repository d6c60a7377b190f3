//! What a bill is made from.

use super::super::materials::{Soil, Stone, Surface};
use super::error::QuantityError;
use super::item::Item;
use super::line::DrainLine;
use super::take_off::TakeOff;
use crate::units::{Area, Length, OutOfRange, Volume};

/// What is bought beyond what is measured, in percent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Waste {
    /// Stone: walls that aren't straight, settling.
    pub stone: f64,
    /// Fabric: overlap of one piece on the next, cuts.
    pub fabric: f64,
    /// Pipe: cuts.
    pub pipe: f64,
    /// Sod: cuts.
    pub sod: f64,
    /// Sand and topsoil that are brought: settling.
    pub soil: f64,
}

impl Waste {
    /// Common practice, no source: stone 10, fabric 10, pipe 5, sod 5, sand and topsoil 10 percent.
    #[must_use]
    pub const fn usual() -> Self {
        Self { stone: 10.0, fabric: 10.0, pipe: 5.0, sod: 5.0, soil: 10.0 }
    }

    pub(super) const fn of(&self, item: &Item) -> f64 {
        match item {
            Item::Stone(_) => self.stone,
            Item::Fabric => self.fabric,
            Item::PerforatedPipe(_) | Item::SolidPipe(_) | Item::Riser(_) => self.pipe,
            Item::Sod => self.sod,
            Item::Sand | Item::Topsoil => self.soil,
            _ => 0.0,
        }
    }
}

/// What the crew and the owner choose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkSettings {
    /// What a truck holds, loose.
    pub truck: Volume,
    /// Longest way in plan between two places at which the pipe can be cleaned.
    pub cleanout_spacing: Length,
    /// What is bought beyond what is measured.
    pub waste: Waste,
}

impl WorkSettings {
    /// Common practice, no source: a truck of 10 cubic yards, a cleanout at least every 100 ft.
    #[must_use]
    pub const fn usual() -> Self {
        Self {
            truck: Volume::from_yd3(10.0),
            cleanout_spacing: Length::from_ft(100.0),
            waste: Waste::usual(),
        }
    }

    pub(super) fn check(&self) -> Result<(), QuantityError> {
        let truck_m3 = self.truck.as_m3();
        if !(0.1..=100.0).contains(&truck_m3) {
            return Err(OutOfRange { what: "truck in m3", found: truck_m3, range: "0.1 to 100" }.into());
        }
        let Waste { stone, fabric, pipe, sod, soil } = self.waste;
        for found in [stone, fabric, pipe, sod, soil] {
            if !(0.0..=100.0).contains(&found) {
                return Err(OutOfRange { what: "waste in percent", found, range: "0 to 100" }.into());
            }
        }
        Ok(())
    }
}

/// Works beside the trenches: net, without waste.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// Soil that is dug to shape a swale, in the bank; it is left over.
    pub dug: Volume,
    /// Surface of the swale.
    pub surface: Area,
    /// What it is covered with.
    pub cover: Surface,
    /// Basins with their grates.
    pub basins: u32,
}

impl Beside {
    /// None.
    pub const NONE: Self = Self { dug: Volume::ZERO, surface: Area::ZERO, cover: Surface::Seed, basins: 0 };

    /// As volumes and areas. The lawn's own sod was lifted before anything was dug, so that it isn't left over.
    pub(super) fn take_off(&self) -> TakeOff {
        let mut taken = TakeOff { dug: self.dug, spoil: self.dug, ..TakeOff::default() };
        match self.cover {
            Surface::SodBack => taken.sod_back = self.surface,
            Surface::SodNew => taken.sod_new = self.surface,
            Surface::Seed | Surface::Stone => taken.seed = self.surface,
        }
        taken
    }
}

/// Works to be measured and priced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Works<'a> {
    /// All lines.
    pub lines: &'a [DrainLine],
    /// The soil that is dug.
    pub soil: &'a Soil,
    /// Works beside them.
    pub beside: &'a [Beside],
    /// The stone, which knows its name.
    pub stone: &'a Stone,
    /// What is chosen.
    pub settings: WorkSettings,
}
