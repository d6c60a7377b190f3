//! Erroneous surfaces of a window, in agreement with the shots on it.

use super::super::ground::Ground;
use crate::certainty::{Conditioning, ErrorModel, FieldPair, FieldSource};
use crate::grid::{Cell, Grid};
use crate::input::Survey;

/// What errors are added to: the surface as given, or where shots lie on the window that without their correction.
pub(super) struct Plain {
    shots: Option<(Conditioning, Grid<f32>)>,
}

/// How the realisations of one range are drawn.
pub(super) struct Drawing<'a> {
    pub(super) source: &'a FieldSource,
    pub(super) plain: &'a Plain,
    /// Place of the range among the model's.
    pub(super) range: usize,
    pub(super) seed: u64,
}

impl Plain {
    /// Whether errors are added to the surface as given, and nothing else.
    pub(super) const fn is_as_given(&self) -> bool {
        self.shots.is_none()
    }

    /// Shots beyond the window move the surface, but nothing is drawn there that could agree with them.
    pub(super) fn of(ground: &Ground, survey: &Survey, model: &ErrorModel) -> Self {
        let on_window = |all: &Conditioning| {
            let (first, shape) = (first_of(ground), ground.raw.shape());
            let own = all.on(model, ground.cell, first, shape);
            let own = own.expect("a part of what can be told apart can be")?;
            let mut plain = ground.raw.clone();
            all.take_back(first, &mut plain);
            Some((own, plain))
        };
        Self { shots: survey.shots().and_then(|shots| on_window(&shots.conditioning)) }
    }
}

impl Drawing<'_> {
    /// One of the two surfaces of a pair of fields.
    pub(super) fn surface(
        &self,
        ground: &Ground,
        fields: &FieldPair,
        second: bool,
        realisation: u64,
    ) -> Grid<f32> {
        let shape = ground.raw.shape();
        let Some((conditioning, plain)) = &self.plain.shots else {
            return Grid::new(shape, fields.added_to(ground.raw.values(), second));
        };
        let mut drawn = Grid::new(shape, fields.added_to(plain.values(), second));
        conditioning.condition(first_of(ground), plain, &mut drawn, self.range, (self.seed, realisation));
        drawn
    }
}

/// The window's first cell in the whole grid.
const fn first_of(ground: &Ground) -> Cell {
    Cell { row: ground.window.row, col: ground.window.col }
}
