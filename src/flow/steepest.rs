//! Steepest of eight neighbours (O'Callaghan & Mark 1984, Computer Vision, Graphics and Image Processing 28:323-344).
//!
//! Kept for comparison only: on slopes that run between the axes of the grid it drifts sideways.

use super::facets::{Spacing, neighbours};
use super::field::{FLAT, VOID};
use crate::grid::{CellSize, Grid};
use rayon::prelude::*;

/// Directions of all cells; flats are left as [`FLAT`].
pub(super) fn steepest_directions(filled: &Grid<f32>, cell: CellSize) -> Vec<u8> {
    let shape = filled.shape();
    let spacing = Spacing::of(cell);
    let mut towards = vec![VOID; shape.len()];
    towards.par_chunks_mut(shape.cols).enumerate().for_each(|(row, towards)| {
        for (col, code) in towards.iter_mut().enumerate() {
            let centre = filled.values()[row * shape.cols + col];
            if !centre.is_nan() {
                *code = steepest(f64::from(centre), &neighbours(filled.values(), shape, row, col), &spacing);
            }
        }
    });
    towards
}

fn steepest(centre: f64, around: &[f64; 8], spacing: &Spacing) -> u8 {
    let mut best = 0.0;
    let mut found = FLAT;
    for (code, (&height, number)) in around.iter().zip(0_u8..).enumerate() {
        let slope = (centre - height) / spacing.distance(code);
        if slope > best {
            best = slope;
            found = number;
        }
    }
    found
}
