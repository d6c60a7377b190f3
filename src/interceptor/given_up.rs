//! Stretches without a line: what stands there can be neither dug through nor gone round.

use super::alignment::Aligner;
use super::obstacles::point_along;
use super::propose::LineSettings;
use crate::lots::{LotLine, Stretch};
use geo::{Euclidean, Length};

/// A piece of the lot line beside which no line is proposed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GivenUp {
    /// Place of the obstacle in the list.
    pub obstacle: usize,
    /// Chainage at which it starts, m.
    pub from_m: f64,
    /// Chainage at which it ends, m; past the ring's length when it lies over the start.
    pub to_m: f64,
}

/// Shorter pieces of a line between two that are given up aren't worth one of their own, m: the least length
/// of a line. Ours.
const LEAST_KEPT_M: f64 = 1.0;

/// Pieces of a stretch beside which the line would lead through a building, a septic field or a well, with no
/// way around it on the lot; each with what is kept clear of it, rising.
///
/// # Method
/// A place of the line stands for the next one of the lot line.
#[must_use]
pub fn given_up(line: &LotLine, stretch: &Stretch, settings: &LineSettings<'_>) -> Vec<GivenUp> {
    let Some(ring) = line.ring(stretch.ring) else { return Vec::new() };
    let path = Aligner::new(line, settings.setback.as_m()).along(stretch, ring).path;
    let length = Euclidean.length(&path);
    let along = |units: f64| {
        if units <= 0.0 {
            return stretch.from_m;
        }
        if units >= length * (1.0 - 1e-9) {
            return stretch.to_m;
        }
        let past_m = ring.wrap_m(ring.nearest(point_along(&path, units)).0 - stretch.from_m);
        stretch.from_m + past_m.min(stretch.length_m())
    };
    let mut found: Vec<GivenUp> = Vec::new();
    for piece in settings.obstacles.blocked(&path) {
        let mut from_m = along(piece.from);
        let to_m = along(piece.to);
        let before_m = found.last().map_or(stretch.from_m, |last| last.to_m);
        if from_m - before_m < LEAST_KEPT_M {
            from_m = before_m;
        }
        let to_m = if stretch.to_m - to_m < LEAST_KEPT_M { stretch.to_m } else { to_m };
        if to_m > from_m {
            found.push(GivenUp { obstacle: piece.obstacle, from_m, to_m });
        }
    }
    found
}
