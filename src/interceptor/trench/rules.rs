//! Measures of a trench.

use super::super::catalogue::PipeSize;
use super::error::TrenchError;
use crate::units::{Length, OutOfRange};

/// Pipes side by side in one trench.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PipeCount {
    /// One.
    One,
    /// Two of the same size and level.
    Two,
}

impl PipeCount {
    /// As a number.
    #[must_use]
    pub const fn count(self) -> u32 {
        match self {
            Self::One => 1,
            Self::Two => 2,
        }
    }

    pub(super) fn times(self) -> f64 {
        f64::from(self.count())
    }
}

/// Measures around the pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrenchRules {
    /// Pipes side by side.
    pub pipes: PipeCount,
    /// Outside of the pipe to the wall of the trench, on either side.
    pub clearance: Length,
    /// Between two pipes.
    pub gap: Length,
    /// Narrowest bottom, as wide as the tool that digs it.
    pub least_width: Length,
    /// Stone under the pipe.
    pub stone_below: Length,
    /// Least stone over the pipe.
    pub stone_above: Length,
    /// Horizontal per vertical of the walls; 0 for upright ones.
    pub batter: f64,
}

impl TrenchRules {
    /// Clearance 150 mm (6 in) and width at least 300 mm (12 in): from memory, as handbooks have them. 75 mm (3 in) of stone under
    /// the pipe and between two, 100 mm (4 in) over it, upright walls: common practice, no source; UFC 3-270-04, section 12.6
    /// (second hand), asks for 6 in of filter all round.
    #[must_use]
    pub const fn usual(pipes: PipeCount) -> Self {
        Self {
            pipes,
            clearance: Length::from_mm(150.0),
            gap: Length::from_mm(75.0),
            least_width: Length::from_mm(300.0),
            stone_below: Length::from_mm(75.0),
            stone_above: Length::from_mm(100.0),
            batter: 0.0,
        }
    }

    /// Holds every measure against its range.
    fn check(&self) -> Result<(), TrenchError> {
        for (what, length) in [
            ("clearance in m", self.clearance),
            ("gap between pipes in m", self.gap),
            ("least width in m", self.least_width),
            ("stone under the pipe in m", self.stone_below),
            ("stone over the pipe in m", self.stone_above),
        ] {
            let found = length.as_m();
            if !(0.0..=5.0).contains(&found) {
                return Err(OutOfRange { what, found, range: "0 to 5" }.into());
            }
        }
        if !(0.0..=3.0).contains(&self.batter) {
            let (what, range) = ("batter of the walls (horizontal per vertical)", "0 to 3");
            return Err(OutOfRange { what, found: self.batter, range }.into());
        }
        Ok(())
    }

    /// Holds these measures and a pipe's against their ranges.
    pub(super) fn check_with(&self, pipe: &PipeSize) -> Result<(), TrenchError> {
        self.check()?;
        pipe.check().map_err(|cause| TrenchError::Pipe { pipe: pipe.key(), cause })
    }

    /// Width of the bottom for pipes of an outside diameter.
    #[must_use]
    pub fn width(&self, outside: Length, pipes: PipeCount) -> Length {
        let pipes_m = outside.as_m() * pipes.times() + self.gap.as_m() * (pipes.times() - 1.0);
        Length::from_m((pipes_m + 2.0 * self.clearance.as_m()).max(self.least_width.as_m()))
    }
}
