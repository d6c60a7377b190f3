//! The trench of the way to the outlet.

use super::super::catalogue::PipeSize;
use super::super::materials::{Finish, Surface};
use super::error::TrenchError;
use super::rules::{PipeCount, TrenchRules};
use super::shape::Shape;
use crate::units::{Area, Length};
use std::f64::consts::PI;

/// A trench with one solid pipe on its bottom, filled with the soil that was dug, and the surface put back.
/// Where it is dug deeper there is
/// stone under the pipe.
///
/// # Invariants
/// All measures are finite and not negative; the surface is sod or seed.
#[derive(Debug, Clone, PartialEq)]
pub struct SolidTrench {
    pipe: PipeSize,
    finish: Finish,
    shape: Shape,
}

impl SolidTrench {
    /// A trench for a pipe; of the rules it takes clearance, least width and batter, of the finish the surface and
    /// the sod. Layers under the sod belong to stone: here the soil that was dug comes back up to it.
    ///
    /// # Errors
    /// [`TrenchError`] for measures that can't be, or a surface of stone.
    pub fn new(pipe: &PipeSize, rules: &TrenchRules, finish: &Finish) -> Result<Self, TrenchError> {
        rules.check_with(pipe)?;
        if finish.surface() == Surface::Stone {
            return Err(TrenchError::StoneSurface);
        }
        let bottom = rules.width(pipe.outside(), PipeCount::One);
        let shape = Shape { bottom, batter: rules.batter };
        Ok(Self { pipe: pipe.clone(), finish: finish.clone(), shape })
    }

    /// The pipe.
    #[must_use]
    pub const fn pipe(&self) -> &PipeSize {
        &self.pipe
    }

    /// What the surface is made of.
    #[must_use]
    pub const fn finish(&self) -> &Finish {
        &self.finish
    }

    /// Width of the bottom.
    #[must_use]
    pub const fn width(&self) -> Length {
        self.shape.bottom
    }

    /// Trench bottom below the pipe's invert: the wall of the pipe.
    #[must_use]
    pub fn bottom_below_invert(&self) -> Length {
        (self.pipe.outside() - self.pipe.inside()) * 0.5
    }

    /// Ground over the pipe's outside top in a trench of a depth.
    #[must_use]
    pub fn cover(&self, depth: Length) -> Length {
        depth - self.pipe.outside()
    }

    /// Depth that pipe and sod take.
    #[must_use]
    pub fn least_depth(&self) -> Length {
        self.pipe.outside() + self.finish.sod()
    }

    /// Checks that a depth holds pipe and sod.
    ///
    /// # Errors
    /// [`TrenchError::Shallow`] when it doesn't, by more than a hundredth of a millimetre, or isn't finite.
    pub fn check_depth(&self, depth: Length) -> Result<(), TrenchError> {
        let (depth_m, least_m) = (depth.as_m(), self.least_depth().as_m());
        if depth_m.is_finite() && depth_m >= least_m - 1e-5 {
            Ok(())
        } else {
            Err(TrenchError::Shallow { depth_m, least_m })
        }
    }

    /// Area that is dug.
    #[must_use]
    pub fn dug(&self, depth: Length) -> Area {
        self.shape.area(depth)
    }

    /// Area of the pipe's outside.
    #[must_use]
    pub fn pipe_area(&self) -> Area {
        let outside_m = self.pipe.outside().as_m();
        Area::from_m2(PI * outside_m * outside_m / 4.0)
    }

    /// Area of the sod's section.
    #[must_use]
    pub fn sod_area(&self, depth: Length) -> Area {
        self.shape.layer(depth - self.finish.sod(), depth)
    }

    /// Area of the stone under the pipe, where it is dug so much deeper.
    #[must_use]
    pub fn stone_area(&self, under: Length) -> Area {
        self.shape.area(under)
    }

    /// Area that is filled with the soil that was dug.
    #[must_use]
    pub fn backfill_area(&self, depth: Length, under: Length) -> Area {
        self.dug(depth) - self.pipe_area() - self.sod_area(depth) - self.stone_area(under)
    }

    /// Width at the ground.
    #[must_use]
    pub fn surface_width(&self, depth: Length) -> Length {
        self.shape.width(depth)
    }
}
