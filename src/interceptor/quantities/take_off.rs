//! Volumes and areas of a line.

use super::super::materials::{Finish, Stone, Surface, Topsoil};
use super::cuts::Cut;
use super::line::{DrainLine, Leg, Section};
use crate::units::{Area, Length, Volume};
use std::ops::Add;

/// What is dug, filled and laid: net, without waste.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TakeOff {
    /// Length of trench in plan.
    pub length: Length,
    /// Soil that is dug, in the bank.
    pub dug: Volume,
    /// Of it, what is filled in again around a solid pipe.
    pub backfill: Volume,
    /// Of it, topsoil that is kept and put back.
    pub topsoil_back: Volume,
    /// Of it, what is left over, in the bank.
    pub spoil: Volume,
    /// Stone, without the pipes in it.
    pub stone: Volume,
    /// Fabric, with its overlap along the top but without that of one piece on the next.
    pub fabric: Area,
    /// Sand under the sod.
    pub sand: Volume,
    /// Topsoil that is brought.
    pub topsoil_new: Volume,
    /// Sod that is lifted and laid again.
    pub sod_back: Area,
    /// Sod that is brought.
    pub sod_new: Area,
    /// Ground that is seeded.
    pub seed: Area,
}

impl TakeOff {
    /// Water that the stone's voids hold, those below the pipe with the rest.
    #[must_use]
    pub fn storage(&self, stone: &Stone) -> Volume {
        self.stone * stone.porosity().get()
    }
}

impl Add for TakeOff {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            length: self.length + other.length,
            dug: self.dug + other.dug,
            backfill: self.backfill + other.backfill,
            topsoil_back: self.topsoil_back + other.topsoil_back,
            spoil: self.spoil + other.spoil,
            stone: self.stone + other.stone,
            fabric: self.fabric + other.fabric,
            sand: self.sand + other.sand,
            topsoil_new: self.topsoil_new + other.topsoil_new,
            sod_back: self.sod_back + other.sod_back,
            sod_new: self.sod_new + other.sod_new,
            seed: self.seed + other.seed,
        }
    }
}

impl std::iter::Sum for TakeOff {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::default(), Add::add)
    }
}

/// Volumes and areas of a line.
///
/// # Method
/// The section's closed forms, summed along every leg by the prismoidal rule, which is exact where depths are straight between
/// stations. What is left over is what is dug less what is put back: backfill, topsoil that is kept, and the lawn's own sod.
///
/// # Valid range
/// Backfill is taken to go back into the room that it came from; what settles is not counted.
#[must_use]
pub fn take_off(line: &DrainLine) -> TakeOff {
    line.legs().iter().map(leg).sum()
}

fn leg(leg: &Leg) -> TakeOff {
    let cuts = &leg.cuts;
    let volume = |of: &dyn Fn(Length) -> Area| Volume::from_m3(cuts.along(|cut| of(cut.depth).as_m2()));
    let of_cut = |of: &dyn Fn(Cut) -> Area| Volume::from_m3(cuts.along(|cut| of(cut).as_m2()));
    let area = |of: &dyn Fn(Length) -> Length| Area::from_m2(cuts.along(|cut| of(cut.depth).as_m()));
    let (mut taken, sod, surface) = match &leg.section {
        Section::Stone(trench) => {
            let topsoil = volume(&|d| trench.topsoil_area(d));
            let (topsoil_back, topsoil_new) = match trench.finish().topsoil_from() {
                Topsoil::Back => (topsoil, Volume::ZERO),
                Topsoil::New => (Volume::ZERO, topsoil),
            };
            let taken = TakeOff {
                dug: volume(&|d| trench.dug(d)),
                stone: volume(&|d| trench.stone_area(d)),
                fabric: area(&|d| trench.fabric_length(d)),
                sand: volume(&|d| trench.sand_area(d)),
                topsoil_back,
                topsoil_new,
                ..TakeOff::default()
            };
            (taken, volume(&|d| trench.sod_area(d)), area(&|d| trench.surface_width(d)))
        }
        Section::Solid(trench) => {
            let taken = TakeOff {
                dug: volume(&|d| trench.dug(d)),
                backfill: of_cut(&|cut| trench.backfill_area(cut.depth, cut.under)),
                stone: of_cut(&|cut| trench.stone_area(cut.under)),
                ..TakeOff::default()
            };
            (taken, volume(&|d| trench.sod_area(d)), area(&|d| trench.surface_width(d)))
        }
    };
    taken.length = cuts.length();
    cover_up(&mut taken, leg.section.finish(), surface);
    let sod_back = if leg.section.finish().surface() == Surface::SodBack { sod } else { Volume::ZERO };
    taken.spoil = taken.dug - taken.backfill - taken.topsoil_back - sod_back;
    taken
}

fn cover_up(taken: &mut TakeOff, finish: &Finish, surface: Area) {
    match finish.surface() {
        Surface::SodBack => taken.sod_back = surface,
        Surface::SodNew => taken.sod_new = surface,
        Surface::Seed => taken.seed = surface,
        Surface::Stone => {}
    }
}
