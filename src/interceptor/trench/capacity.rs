//! What a stone trench carries and lets in.

use super::super::materials::Stone;
use super::stone::StoneTrench;
use crate::formula::circular_pipe::full_flow;
use crate::formula::darcy::{FlowRange, stone_flow};
use crate::formula::perforations::perforation_inflow;
use crate::units::{Flow, Grade, Length, Share};

impl StoneTrench {
    /// Flow that the pipes carry along the line when just full, perforated as they are: two at one level carry half each.
    ///
    /// # Method
    /// [`full_flow`] for each pipe.
    #[must_use]
    pub fn line_capacity(&self, grade: Grade) -> Flow {
        full_flow(self.pipe.inside(), self.pipe.manning_n, grade) * self.rules.pipes.times()
    }

    /// Flow that leaves by the one solid pipe of this size which ties the line in, just full, however many lie in the trench.
    #[must_use]
    pub fn outlet_capacity(&self, grade: Grade) -> Flow {
        full_flow(self.pipe.inside(), self.pipe.solid_n, grade)
    }

    /// Flow that the holes of a length of line let in; see [`perforation_inflow`].
    #[must_use]
    pub fn inlet_capacity(&self, length: Length, open: Share, head: Length) -> Flow {
        perforation_inflow(self.pipe.inlet_area(length) * self.rules.pipes.times(), open, head)
    }

    /// Flow in the stone itself when it stands full; see [`stone_flow`].
    #[must_use]
    pub fn stone_capacity(&self, depth: Length, stone: &Stone, grade: Grade) -> FlowRange {
        stone_flow(stone.conductivity(), grade, self.stone_area(depth))
    }
}
