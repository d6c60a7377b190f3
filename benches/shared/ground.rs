//! Invented ground for measurements: hills of several sizes on a slope, and noise on every cell.

#![allow(dead_code, reason = "each bench that includes this file uses its own part of it")]

use lotshed::grid::{Grid, GridShape};

/// A kind of ground.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ground {
    /// Name in the printed table.
    pub name: &'static str,
    /// Height of the noise on each cell, in metres either way.
    pub noise_m: f32,
    /// The share of cells that filling raises must lie between these.
    pub raised: (f64, f64),
}

/// Bare soil as airborne survey sees it: few sinks.
pub(crate) const SMOOTH: Ground = Ground { name: "smooth", noise_m: 0.010, raised: (0.001, 0.01) };
/// Gardens, stubble and survey noise: sinks everywhere.
pub(crate) const ROUGH: Ground = Ground { name: "rough", noise_m: 0.056, raised: (0.07, 0.09) };
/// Nothing but noise to speak of.
pub(crate) const NOISE: Ground = Ground { name: "noise", noise_m: 0.5, raised: (0.2, 0.6) };

/// Bits that look random, the same everywhere (a finaliser of two multiplications and three shifts).
pub(crate) fn scramble(seed: u64, x: u64, y: u64) -> u64 {
    let mut h = seed ^ x.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ y.wrapping_mul(0xC2B2_AE3D_27D4_EB4F);
    h = (h ^ (h >> 32)).wrapping_mul(0xD6E8_FEB8_6659_FD93);
    h = (h ^ (h >> 29)).wrapping_mul(0xD6E8_FEB8_6659_FD93);
    h ^ (h >> 32)
}

/// A number from -1 to 1.
pub(crate) fn random(seed: u64, x: u64, y: u64) -> f32 {
    (scramble(seed, x, y) >> 40) as f32 / (1_u32 << 23) as f32 - 1.0
}

/// Noise that is smooth over `span` cells.
fn hills(seed: u64, span: usize, row: usize, col: usize) -> f32 {
    let ease = |part: usize| {
        let t = part as f32 / span as f32;
        t * t * (3.0 - 2.0 * t)
    };
    let (x, y) = ((col / span) as u64, (row / span) as u64);
    let (u, v) = (ease(col % span), ease(row % span));
    let north = random(seed, x, y) * (1.0 - u) + random(seed, x + 1, y) * u;
    let south = random(seed, x, y + 1) * (1.0 - u) + random(seed, x + 1, y + 1) * u;
    north * (1.0 - v) + south * v
}

impl Ground {
    /// Elevations in metres, for cells of half a metre.
    pub(crate) fn grid(self, side: usize, seed: u64) -> Grid<f32> {
        let mut values = Vec::with_capacity(side * side);
        for row in 0..side {
            for col in 0..side {
                let mut z = 200.0 - 0.011 * row as f32 - 0.026 * col as f32;
                for octave in 0..6_u8 {
                    let span = 512 >> octave;
                    z += span as f32 * 0.006 * hills(seed + u64::from(octave), span, row, col);
                }
                values.push(z + self.noise_m * random(seed + 99, col as u64, row as u64));
            }
        }
        Grid::new(GridShape { rows: side, cols: side }, values)
    }
}
