//! The stone trench.

use super::super::catalogue::PipeSize;
use super::super::materials::{Fabric, Finish, Stone, Wrap};
use super::error::TrenchError;
use super::rules::{PipeCount, TrenchRules};
use super::shape::Shape;
use crate::units::{Area, Length};
use std::f64::consts::PI;

/// A trench with one perforated pipe, or two side by side, in stone up to the finish.
///
/// The stone fills the trench from the bottom to the underside of the finish, so that a deeper trench has more stone: water that
/// runs over the ground has to get down to the pipe everywhere.
///
/// # Invariants
/// The pipe has holes; all measures are finite and not negative.
#[derive(Debug, Clone, PartialEq)]
pub struct StoneTrench {
    pub(super) pipe: PipeSize,
    pub(super) rules: TrenchRules,
    finish: Finish,
    fabric: Fabric,
    shape: Shape,
}

impl StoneTrench {
    /// A trench for a pipe.
    ///
    /// # Method
    /// Bottom width: outside diameters, gap and clearances, at least the least width.
    ///
    /// # Errors
    /// [`TrenchError`] for measures that can't be, or a pipe without holes.
    pub fn new(
        pipe: &PipeSize,
        rules: &TrenchRules,
        finish: &Finish,
        fabric: &Fabric,
    ) -> Result<Self, TrenchError> {
        rules.check_with(pipe)?;
        if pipe.inlet_cm2_per_m <= 0.0 {
            return Err(TrenchError::NoHoles { pipe: pipe.key() });
        }
        let bottom = rules.width(pipe.outside(), rules.pipes);
        Ok(Self {
            pipe: pipe.clone(),
            rules: *rules,
            finish: finish.clone(),
            fabric: fabric.clone(),
            shape: Shape { bottom, batter: rules.batter },
        })
    }

    /// The pipe, or each of the two.
    #[must_use]
    pub const fn pipe(&self) -> &PipeSize {
        &self.pipe
    }

    /// How many there are.
    #[must_use]
    pub const fn pipes(&self) -> PipeCount {
        self.rules.pipes
    }

    /// Layers over the stone.
    #[must_use]
    pub const fn finish(&self) -> &Finish {
        &self.finish
    }

    /// Fabric around the stone.
    #[must_use]
    pub const fn fabric(&self) -> &Fabric {
        &self.fabric
    }

    /// Width of the bottom.
    #[must_use]
    pub const fn width(&self) -> Length {
        self.shape.bottom
    }

    /// Trench bottom below the pipe's invert (inside bottom): wall of the pipe and stone under it.
    #[must_use]
    pub fn bottom_below_invert(&self) -> Length {
        self.rules.stone_below + (self.pipe.outside() - self.pipe.inside()) * 0.5
    }

    /// Between two pipes.
    #[must_use]
    pub const fn gap(&self) -> Length {
        self.rules.gap
    }

    /// Ground over the pipe's outside top in a trench of a depth.
    #[must_use]
    pub fn cover(&self, depth: Length) -> Length {
        depth - self.rules.stone_below - self.pipe.outside()
    }

    /// Depth that the pipe, its stone and the finish take.
    #[must_use]
    pub fn least_depth(&self) -> Length {
        self.rules.stone_below + self.pipe.outside() + self.rules.stone_above + self.finish.thickness()
    }

    /// Checks that a depth holds all that goes in.
    ///
    /// # Errors
    /// [`TrenchError::Shallow`] when it doesn't, by more than a hundredth of a millimetre, or isn't finite.
    pub fn check_depth(&self, depth: Length) -> Result<(), TrenchError> {
        let (depth_m, least_m) = (depth.as_m(), self.least_depth().as_m());
        // Depths come from differences of elevations, whose last digits are noise.
        if depth_m.is_finite() && depth_m >= least_m - 1e-5 {
            Ok(())
        } else {
            Err(TrenchError::Shallow { depth_m, least_m })
        }
    }

    /// Height of the stone.
    #[must_use]
    pub fn stone_height(&self, depth: Length) -> Length {
        depth - self.finish.thickness()
    }

    /// Area that is dug.
    #[must_use]
    pub fn dug(&self, depth: Length) -> Area {
        self.shape.area(depth)
    }

    /// Area of the pipes' outsides.
    #[must_use]
    pub fn pipe_area(&self) -> Area {
        let outside_m = self.pipe.outside().as_m();
        Area::from_m2(self.rules.pipes.times() * PI * outside_m * outside_m / 4.0)
    }

    /// Area of the stone, without the pipes.
    #[must_use]
    pub fn stone_area(&self, depth: Length) -> Area {
        self.shape.area(self.stone_height(depth)) - self.pipe_area()
    }

    /// Area of the voids in the stone, which hold water until the pipe has drained them; those below the pipe's invert
    /// drain into the ground only.
    #[must_use]
    pub fn voids(&self, depth: Length, stone: &Stone) -> Area {
        self.stone_area(depth) * stone.porosity().get()
    }

    /// Area of the pipes' insides.
    #[must_use]
    pub fn bore_area(&self) -> Area {
        let inside_m = self.pipe.inside().as_m();
        Area::from_m2(self.rules.pipes.times() * PI * inside_m * inside_m / 4.0)
    }

    /// Area of the sand over the stone.
    #[must_use]
    pub fn sand_area(&self, depth: Length) -> Area {
        let stone = self.stone_height(depth);
        self.shape.layer(stone, stone + self.finish.sand())
    }

    /// Area of the topsoil.
    #[must_use]
    pub fn topsoil_area(&self, depth: Length) -> Area {
        let top = depth - self.finish.sod();
        self.shape.layer(top - self.finish.topsoil(), top)
    }

    /// Area of the sod's section.
    #[must_use]
    pub fn sod_area(&self, depth: Length) -> Area {
        self.shape.layer(depth - self.finish.sod(), depth)
    }

    /// Width at the ground.
    #[must_use]
    pub fn surface_width(&self, depth: Length) -> Length {
        self.shape.width(depth)
    }

    /// Length of the fabric across the line.
    ///
    /// # Method
    /// Wrapped all round: bottom, walls and top of the stone and the overlap, for upright walls 2 (w + h) + overlap. The overlap is
    /// that of the fabric, but no more than the stone's top is wide. Open on top: bottom and walls.
    #[must_use]
    pub fn fabric_length(&self, depth: Length) -> Length {
        let height = self.stone_height(depth);
        let lining = self.shape.lining(height);
        match self.finish.wrap() {
            Wrap::Full => {
                let top = self.shape.width(height);
                let overlap_m = self.fabric.overlap().as_m().min(top.as_m());
                lining + top + Length::from_m(overlap_m)
            }
            Wrap::Open => lining,
        }
    }
}
