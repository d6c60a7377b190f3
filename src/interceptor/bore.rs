//! The pipe that a way is laid with.

use super::catalogue::PipeSize;
use super::part::LinePart;
use super::pipe::{PipeSizing, RatedPipe};
use crate::formula::circular_pipe::full_flow;
use crate::units::{Flow, Grade, Length, ManningN};

/// Pipe that depths are worked out with where none is sized, m (4 in).
const USUAL_PIPE_M: f64 = 0.1016;

/// Dimensions of a pipe, and how rough it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bore {
    /// Inside diameter.
    pub inside: Length,
    /// Thickness of the wall.
    pub wall: Length,
    /// Roughness; nothing where no pipe is sized.
    pub roughness: Option<ManningN>,
}

impl Bore {
    /// The pipe that a part's way is laid for: that of its drain where that is known to be higher, else the
    /// one that the part is sized for; 4 in without a wall where none is.
    #[must_use]
    pub fn of_part(part: &LinePart) -> Self {
        if let Some(pipe) = &part.drain_pipe {
            return Self::of_size(pipe);
        }
        let sized = part.sizing.as_ref().map(|sizing| match &sizing.pipe {
            PipeSizing::Fits(pipe) | PipeSizing::NoneFits { best: pipe } => pipe,
        });
        let usual = Self { inside: Length::from_m(USUAL_PIPE_M), wall: Length::ZERO, roughness: None };
        sized.map_or(usual, Self::of)
    }

    /// A pipe of the catalogue.
    #[must_use]
    pub fn of(pipe: &RatedPipe) -> Self {
        Self::of_size(&pipe.size)
    }

    /// The same of a pipe that isn't rated.
    #[must_use]
    pub fn of_size(pipe: &PipeSize) -> Self {
        let (inside, outside) = (pipe.inside(), pipe.outside());
        Self { inside, wall: (outside - inside) * 0.5, roughness: Some(pipe.manning_n) }
    }

    /// Height of its top above its invert.
    #[must_use]
    pub fn above_invert(self) -> Length {
        self.inside + self.wall
    }

    /// Flow just full at a grade (Manning); nothing where its roughness isn't known.
    #[must_use]
    pub fn full(self, grade: Grade) -> Option<Flow> {
        Some(full_flow(self.inside, self.roughness?, grade))
    }

    /// Fall by length that a flow uses up where the pipe runs full; nothing where its roughness isn't known.
    ///
    /// # Method
    /// Manning's equation, Q in proportion to √S: S = S₁ (Q / Q₁)², with Q₁ the full flow at any grade S₁.
    #[must_use]
    pub fn friction(self, flow: Flow) -> Option<f64> {
        let at_one_percent = Grade::new(0.01).ok()?;
        let full = self.full(at_one_percent)?;
        Some(0.01 * (flow / full).powi(2))
    }
}
