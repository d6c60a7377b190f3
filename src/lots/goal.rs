//! What the ways of water lead to.

use super::arrival::Arrival;
use super::scene::Scene;

/// What ways lead to.
pub trait Goal {
    /// Whether a way is looked for from a cell, by its place in the reach.
    fn starts(&self, place: usize, cell: usize) -> bool;
    /// Share of the water that goes from a cell to the next that arrives.
    fn arriving(&self, from: usize, to: usize) -> f64;
    /// Whether it has arrived with that step.
    fn is_reached(&self, from: usize, to: usize) -> bool;
}

/// Onto the lot, from outside.
#[derive(Debug, Clone, Copy)]
pub struct OntoLot<'a> {
    /// The ground.
    pub scene: Scene<'a>,
    /// Shares that reach the lot on it.
    pub arrival: &'a Arrival,
}

impl Goal for OntoLot<'_> {
    fn starts(&self, place: usize, cell: usize) -> bool {
        !self.scene.is_subject(cell) && self.arrival.at_place(place) > 0.0
    }

    fn arriving(&self, _: usize, to: usize) -> f64 {
        if self.scene.is_subject(to) {
            return 1.0;
        }
        self.scene.reach.place(to).map_or(0.0, |place| self.arrival.at_place(place))
    }

    fn is_reached(&self, _: usize, to: usize) -> bool {
        self.scene.is_subject(to)
    }
}
