//! Ground that data with an error leave plausible.

use super::field::FieldSource;
use crate::grid::{Grid, GridShape};

/// Scales that are looked at, each twice as coarse as the one before: bumps of 1, 2, 4 and 8 cells or so.
const SCALES: usize = 4;
/// Weights of the smoothing spline, from the middle outwards.
const SPLINE: [f32; 3] = [3.0 / 8.0, 1.0 / 4.0, 1.0 / 16.0];
/// A detail of more than so many standard errors is no error.
const OUTSTANDING: f32 = 3.0;
/// A scale that keeps this share of all details everywhere is left as it is.
const ALL: f32 = 0.98;

/// What a surveyed surface leaves plausible of the ground under it.
///
/// # Method
/// Adding a second error to a surface that has one already makes it rougher than the survey, and rougher
/// still than the ground. So the surface is taken apart into details of several scales (undecimated
/// wavelets with a cubic B-spline) and each detail is asked how much of it can be ground: around a cell the
/// mean square of the details is the ground's variance and the error's together, and the latter is known.
/// With Gaussian details the ground's share w of the variance says what is plausible: w times the detail that
/// was surveyed, with an error of sqrt(w) times the usual. Where the survey is much rougher than its
/// error w is 1, and the ground is the surface with a full error; where it's no rougher than its error alone w is 0
/// and the detail is flat. What is coarser than the scales keeps its full error.
///
/// # Source
/// Details: J.-L. Starck and F. Murtagh, "Astronomical Image and Data Analysis", on the transform "with holes";
/// shares by local variance: J.-S. Lee 1980, IEEE Transactions on Pattern Analysis and Machine Intelligence 2.
/// Both from memory.
pub struct Plausible {
    shape: GridShape,
    /// The middle of what is plausible, m.
    middle: Vec<f32>,
    /// By scale, the share of the error's details that is left out in each cell, in 255ths.
    without: Vec<Vec<u8>>,
}

impl Plausible {
    /// What a surface with errors of a source leaves plausible.
    ///
    /// # Panics
    /// If the source is of another window.
    #[must_use]
    pub fn of(surface: &Grid<f32>, source: &FieldSource) -> Self {
        let shape = surface.shape();
        let mut middle = surface.values().to_vec();
        let mut fine = without_holes(surface);
        let mut without = Vec::new();
        for scale in (0..SCALES).take_while(|&scale| 4 << scale < shape.rows.min(shape.cols)) {
            let coarse = smoothed(&fine, shape, 1 << scale);
            let details: Vec<f32> = fine.iter().zip(&coarse).map(|(fine, coarse)| fine - coarse).collect();
            let shares = ground_shares(&details, shape, 3 << scale, source.variance_at(scale));
            for ((z, detail), share) in middle.iter_mut().zip(&details).zip(&shares) {
                *z -= (1.0 - share) * detail;
            }
            without.push(shares.into_iter().map(|share| in_255ths(1.0 - share.sqrt())).collect::<Vec<u8>>());
            fine = coarse;
        }
        let is_kept = |scale: &Vec<u8>| scale.iter().all(|&part| f32::from(part) <= 255.0 * (1.0 - ALL));
        while without.last().is_some_and(is_kept) {
            without.pop();
        }
        Self { shape, middle, without }
    }

    /// The ground with one error of the source.
    ///
    /// # Panics
    /// If the error has another number of cells.
    #[must_use]
    pub fn with(&self, error: Vec<f32>) -> Vec<f32> {
        assert_eq!(error.len(), self.middle.len(), "the error is of this window");
        let mut ground = error;
        let mut fine = if self.without.is_empty() { Vec::new() } else { ground.clone() };
        for (scale, without) in self.without.iter().enumerate() {
            let coarse = smoothed(&fine, self.shape, 1 << scale);
            for (((z, part), fine), coarse) in ground.iter_mut().zip(without).zip(&fine).zip(&coarse) {
                *z -= f32::from(*part) / 255.0 * (fine - coarse);
            }
            fine = coarse;
        }
        for (z, middle) in ground.iter_mut().zip(&self.middle) {
            *z += middle;
        }
        ground
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 1")]
fn in_255ths(share: f32) -> u8 {
    (255.0 * share.clamp(0.0, 1.0)).round() as u8
}

/// Share of the ground in the variance of details around each cell.
fn ground_shares(details: &[f32], shape: GridShape, radius: usize, error_variance: f32) -> Vec<f32> {
    let squares: Vec<f32> = details.iter().map(|detail| detail * detail).collect();
    let around = mean_around(&squares, shape, radius);
    let share = |(&square, &around): (&f32, &f32)| {
        let own = if square > OUTSTANDING * OUTSTANDING * error_variance { square } else { 0.0 };
        let all = around.max(own);
        if all > error_variance { 1.0 - error_variance / all } else { 0.0 }
    };
    squares.iter().zip(&around).map(share).collect()
}

/// A surface whose holes go on from the last cell before them, along rows.
fn without_holes(surface: &Grid<f32>) -> Vec<f32> {
    let mut values = surface.values().to_vec();
    let mut last = values.iter().copied().find(|z| !z.is_nan()).unwrap_or(0.0);
    for z in &mut values {
        if z.is_nan() {
            *z = last;
        }
        last = *z;
    }
    values
}

/// Smoothed by the spline with its points so many cells apart. Beyond the sides it goes on as it comes in,
/// turned about the last cell, so that planes stay what they are.
fn smoothed(values: &[f32], shape: GridShape, step: usize) -> Vec<f32> {
    let GridShape { rows, cols } = shape;
    let mut across = vec![0.0; values.len()];
    let pad = 2 * step;
    let mut wide = vec![0.0; cols + 2 * pad];
    for (row, out) in values.chunks_exact(cols).zip(across.chunks_exact_mut(cols)) {
        wide[pad..pad + cols].copy_from_slice(row);
        for k in 1..=pad {
            wide[pad - k] = 2.0 * row[0] - row[k];
            wide[pad + cols - 1 + k] = 2.0 * row[cols - 1] - row[cols - 1 - k];
        }
        let taps = [0, step, 2 * step, 3 * step, 4 * step].map(|from| &wide[from..from + cols]);
        spline(out, taps);
    }
    let mut down = vec![0.0; values.len()];
    let row = |at: usize| &across[at * cols..(at + 1) * cols];
    let turned = |last: usize, mirror: usize| -> Vec<f32> {
        row(last).iter().zip(row(mirror)).map(|(last, mirror)| 2.0 * last - mirror).collect()
    };
    let above: Vec<Vec<f32>> = (1..=pad).map(|k| turned(0, k)).collect();
    let below: Vec<Vec<f32>> = (1..=pad).map(|k| turned(rows - 1, rows - 1 - k)).collect();
    for (at, out) in down.chunks_exact_mut(cols).enumerate() {
        let tap = |place: usize| {
            // Counted from the first row above.
            match (at + place * step).checked_sub(pad) {
                None => above[pad - at - place * step - 1].as_slice(),
                Some(inside) if inside < rows => row(inside),
                Some(beyond) => below[beyond - rows].as_slice(),
            }
        };
        spline(out, [tap(0), tap(1), tap(2), tap(3), tap(4)]);
    }
    down
}

fn spline(out: &mut [f32], [a, b, c, d, e]: [&[f32]; 5]) {
    let n = out.len();
    let (a, b, c, d, e) = (&a[..n], &b[..n], &c[..n], &d[..n], &e[..n]);
    for i in 0..n {
        out[i] = SPLINE[0] * c[i] + SPLINE[1] * (b[i] + d[i]) + SPLINE[2] * (a[i] + e[i]);
    }
}

/// Mean over the square of cells around each, as far as it lies in the window.
fn mean_around(values: &[f32], shape: GridShape, radius: usize) -> Vec<f32> {
    let GridShape { rows, cols } = shape;
    let along = |values: &[f32], n: usize, stride: usize, start: usize, out: &mut [f32]| {
        let mut sums = Vec::with_capacity(n + 1);
        sums.push(0.0_f64);
        for i in 0..n {
            sums.push(sums[i] + f64::from(values[start + i * stride]));
        }
        for i in 0..n {
            let (from, to) = (i.saturating_sub(radius), (i + radius + 1).min(n));
            #[expect(clippy::cast_precision_loss, clippy::cast_possible_truncation, reason = "a few cells")]
            let mean = ((sums[to] - sums[from]) / (to - from) as f64) as f32;
            out[start + i * stride] = mean;
        }
    };
    let mut across = vec![0.0; values.len()];
    (0..rows).for_each(|row| along(values, cols, 1, row * cols, &mut across));
    let mut both = vec![0.0; values.len()];
    (0..cols).for_each(|col| along(&across, rows, cols, col, &mut both));
    both
}

#[cfg(test)]
#[path = "plausible_tests.rs"]
mod tests;
