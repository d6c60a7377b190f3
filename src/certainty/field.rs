//! Correlated Gaussian error fields, two from one Fourier transform.

use super::covariance::short_and_long;
use super::error_model::{ErrorModel, correlation};
use crate::grid::{Cell, CellSize, GridShape};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner};
use std::sync::Arc;

/// The torus is longer than the window by this many ranges: errors of opposite sides are then alike to 20⁻⁴ =
/// 6e-6.
const PADDING_RANGES: f64 = 2.0;
/// Side of the blocks in which a grid is transposed.
const BLOCK: usize = 32;

/// Waves that carry more than this share of the variance have normal amplitudes. Ours: a sum of four bytes has a
/// fourth cumulant of -0.3 times its variance squared, so that a field's own lies within 3e-4 of 0.
const STRONG: f32 = 1e-3;
/// Eigenvalues smaller than this part of the largest are rounding of their transform, some of them below zero. The
/// product of two would be too small for a normal number, which processors take many times as long for.
const ROUNDING: f64 = 1e-14;
/// Variance of a sum of four whole numbers that are each as likely from 0 to 255: 4 (256² - 1) / 12.
const OF_BYTES: f32 = 21_845.0;
/// Mean of that sum.
const MEAN_OF_BYTES: f32 = 510.0;

/// Makes the error fields of one window and one range.
///
/// # Method
/// Circulant embedding (Dietrich and Newsam 1993, Water Resources Research 29): on a torus larger than the
/// window the covariance is diagonal in the Fourier basis. Independent deviates, weighted by the roots
/// of its eigenvalues and transformed, have that covariance exactly; real and imaginary part are two
/// independent fields. A part's covariance is the product of one in each axis, and so are its eigenvalues. A
/// Gaussian wrapped around a torus has no negative ones.
///
/// Deviates are normal for the waves that carry much (`STRONG`). Of the others each cell's value is a sum of
/// tens of thousands, so that sums of four random bytes do as well, at a third of the cost.
///
/// Uncorrelated noise is drawn cell by cell.
///
/// # Cost
/// One transform of the torus for two fields, 8 bytes a cell of it while it runs, as much again for the
/// transposed copy.
pub struct FieldSource {
    window: GridShape,
    kind: Kind,
    seed: u64,
}

enum Kind {
    /// Standard deviation, m.
    White(f32),
    Correlated(Spectrum),
}

/// How much of the variance each wave around the torus carries.
struct Spectrum {
    /// Columns and rows of the torus.
    torus: [usize; 2],
    transforms: [Arc<dyn Fft<f32>>; 2],
    /// Eigenvalues by axis, for the short and the long part, scaled so that their sum of products is the
    /// variance at each frequency.
    parts: [[Vec<f32>; 2]; 2],
    /// A wave is strong that carries more, m².
    strong: f32,
}

/// Two independent error fields over one window, m.
pub struct FieldPair {
    /// From a column to the next.
    stride: usize,
    window: GridShape,
    /// By column, then row.
    values: Vec<Complex<f32>>,
}

impl FieldSource {
    /// Plans fields of a window for one of the model's ranges.
    #[must_use]
    pub fn new(model: &ErrorModel, range_m: f64, window: GridShape, cell: CellSize, seed: u64) -> Self {
        let kind = if range_m > 0.0 {
            Kind::Correlated(Spectrum::new(model.rmse.as_m().powi(2), range_m, window, cell))
        } else {
            Kind::White(single(model.rmse.as_m()))
        };
        Self { window, kind, seed }
    }

    /// The fields of a pair of realisations.
    #[must_use]
    pub fn pair(&self, number: u64) -> FieldPair {
        let all: Vec<usize> = (0..self.window.cols).collect();
        let (stride, values) = self.columns(number, &all, self.window.rows);
        FieldPair { stride, window: self.window, values }
    }

    /// The fields of a pair of realisations at some cells of the window, as [`Self::pair`] has them.
    ///
    /// # Panics
    /// If a cell lies beyond the window.
    #[must_use]
    pub fn pair_at(&self, number: u64, cells: &[usize]) -> [Vec<f32>; 2] {
        let place = |&cell: &usize| self.window.cell(cell);
        let mut columns: Vec<usize> = cells.iter().map(|cell| place(cell).col).collect();
        columns.sort_unstable();
        columns.dedup();
        let rows = cells.iter().map(|cell| place(cell).row + 1).max().unwrap_or(0);
        let (stride, values) = self.columns(number, &columns, rows);
        let both = |cell: &usize| {
            let Cell { row, col } = place(cell);
            let column = columns.binary_search(&col).expect("it was asked for");
            values[column * stride + row]
        };
        [cells.iter().map(|cell| both(cell).re).collect(), cells.iter().map(|cell| both(cell).im).collect()]
    }

    /// Some columns of a pair down to so many rows or more, one after the other, and how long each is.
    fn columns(&self, number: u64, columns: &[usize], rows: usize) -> (usize, Vec<Complex<f32>>) {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        random.set_stream(number);
        match &self.kind {
            Kind::White(sd) => {
                let cols = self.window.cols;
                let all: Vec<_> = (0..rows * cols).map(|_| normal(&mut random) * *sd).collect();
                (rows, turned(&all, cols, columns))
            }
            Kind::Correlated(spectrum) => (spectrum.torus[1], spectrum.fields(columns, &mut random)),
        }
    }

    /// Bytes that one pair takes while it is made.
    #[must_use]
    pub fn bytes(&self) -> usize {
        let cells = match &self.kind {
            Kind::White(_) => self.window.len(),
            Kind::Correlated(spectrum) => 2 * spectrum.torus[0] * spectrum.torus[1],
        };
        size_of::<Complex<f32>>() * cells
    }
}

impl Spectrum {
    fn new(variance_m2: f64, range_m: f64, window: GridShape, cell: CellSize) -> Self {
        let steps = [cell.dx_m, cell.dy_m];
        let torus =
            [(window.cols, steps[0]), (window.rows, steps[1])].map(|(n, step)| torus_side(n, range_m / step));
        let parts = short_and_long(range_m).map(|(share, range)| {
            let [x, y] = [0, 1].map(|axis| eigenvalues(torus[axis], steps[axis], range));
            #[expect(clippy::cast_precision_loss, reason = "cells stay far below 2^52")]
            let scale = share * variance_m2 / (torus[0] as f64 * torus[1] as f64);
            [x.into_iter().map(|v| v * scale).collect::<Vec<f64>>(), y].map(to_f32)
        });
        let mut planner = FftPlanner::new();
        let transforms = torus.map(|side| planner.plan_fft_forward(side));
        Self { torus, transforms, parts, strong: STRONG * single(variance_m2) }
    }

    /// Two fields by column: what isn't asked for needs no second pass.
    fn fields(&self, columns: &[usize], random: &mut ChaCha8Rng) -> Vec<Complex<f32>> {
        let [cols, rows] = self.torus;
        let mut values = vec![Complex::default(); cols * rows];
        let mut bits = vec![0_u64; cols];
        for (row, waves) in values.chunks_mut(cols).enumerate() {
            self.draw(row, waves, &mut bits, random);
        }
        let [along_rows, along_cols] = &self.transforms;
        along_rows.process(&mut values);
        let mut values = turned(&values, cols, columns);
        along_cols.process(&mut values);
        values
    }

    /// Amplitudes of the waves of a row of the torus.
    fn draw(&self, row: usize, waves: &mut [Complex<f32>], bits: &mut [u64], random: &mut ChaCha8Rng) {
        let [[short, short_rows], [long, long_rows]] = &self.parts;
        let (short_row, long_row) = (short_rows[row], long_rows[row]);
        let variance = |short: f32, long: f32| short * short_row + long * long_row;
        random.fill(bits);
        // Several at once, and so without a branch.
        for (((wave, &bits), &short), &long) in waves.iter_mut().zip(bits.iter()).zip(short).zip(long) {
            *wave = of_bytes(bits) * (variance(short, long) * (1.0 / OF_BYTES)).sqrt();
        }
        // Long waves carry most: where the longest of a row isn't strong none is.
        if variance(short[0], long[0]) > self.strong {
            for ((wave, &short), &long) in waves.iter_mut().zip(short).zip(long) {
                let variance = variance(short, long);
                if variance > self.strong {
                    *wave = normal(random) * variance.sqrt();
                }
            }
        }
    }
}

/// Two independent deviates of mean 0 and variance [`OF_BYTES`]: sums of four bytes each.
fn of_bytes(bits: u64) -> Complex<f32> {
    const EVERY_OTHER: u64 = 0x00FF_00FF_00FF_00FF;
    let pairs = (bits & EVERY_OTHER) + ((bits >> 8) & EVERY_OTHER);
    let sums = pairs + (pairs >> 16);
    #[expect(clippy::cast_precision_loss, reason = "up to 1020")]
    let deviate = |sum: u64| (sum & 0xFFFF) as f32 - MEAN_OF_BYTES;
    Complex::new(deviate(sums), deviate(sums >> 32))
}

/// Two independent standard normal deviates.
fn normal(random: &mut ChaCha8Rng) -> Complex<f32> {
    let (re, im): (f32, f32) = (StandardNormal.sample(random), StandardNormal.sample(random));
    Complex::new(re, im)
}

impl FieldPair {
    /// One of the two fields added to a surface.
    ///
    /// # Panics
    /// If the surface has another number of cells than the window.
    #[must_use]
    pub fn added_to(&self, surface: &[f32], second: bool) -> Vec<f32> {
        let GridShape { rows, cols } = self.window;
        assert_eq!(surface.len(), rows * cols, "the field is of this window");
        let mut sum = surface.to_vec();
        for top in (0..rows).step_by(BLOCK) {
            for col in 0..cols {
                for row in top..(top + BLOCK).min(rows) {
                    let both = self.values[col * self.stride + row];
                    sum[row * cols + col] += if second { both.im } else { both.re };
                }
            }
        }
        sum
    }
}

/// Cells of a torus that holds a window and its padding: the next number of the form 2ᵃ 3ᵇ 5ᶜ, which
/// transforms fast.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a positive number of cells")]
fn torus_side(cells: usize, range_in_cells: f64) -> usize {
    let least = cells + (PADDING_RANGES * range_in_cells).ceil() as usize;
    let is_smooth = |&n: &usize| {
        let mut rest = n;
        for factor in [2, 3, 5] {
            while rest % factor == 0 {
                rest /= factor;
            }
        }
        rest == 1
    };
    // A power of two lies among them.
    (least..=2 * least).find(is_smooth).unwrap_or(least)
}

/// Eigenvalues of the correlation around a circle of `side` steps.
fn eigenvalues(side: usize, step_m: f64, range_m: f64) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "cells stay far below 2^52")]
    let at = |place: usize, turns: f64| (place as f64 + turns * side as f64) * step_m;
    // All images count, else the sum around the circle would have a kink and with it negative eigenvalues.
    let wrapped = |place: usize| -> f64 {
        (-3..=3).map(|turns| correlation(at(place, f64::from(turns)), range_m)).sum()
    };
    let mut values: Vec<Complex<f64>> = (0..side).map(|i| Complex::new(wrapped(i), 0.0)).collect();
    FftPlanner::new().plan_fft_forward(side).process(&mut values);
    let largest = values.iter().map(|value| value.re).fold(0.0, f64::max);
    let is_rounding = |value: f64| value < ROUNDING * largest;
    values.into_iter().map(|value| if is_rounding(value.re) { 0.0 } else { value.re }).collect()
}

fn to_f32(values: Vec<f64>) -> Vec<f32> {
    values.into_iter().map(single).collect()
}

#[expect(clippy::cast_possible_truncation, reason = "fields are made in single precision")]
const fn single(value: f64) -> f32 {
    value as f32
}

/// Columns of a grid of rows, one after the other.
fn turned(values: &[Complex<f32>], cols: usize, columns: &[usize]) -> Vec<Complex<f32>> {
    let rows = values.len() / cols;
    let mut turned = vec![Complex::default(); columns.len() * rows];
    for top in (0..rows).step_by(BLOCK) {
        for (block, columns) in columns.chunks(BLOCK).enumerate() {
            for (place, &col) in columns.iter().enumerate() {
                let start = (block * BLOCK + place) * rows;
                for row in top..(top + BLOCK).min(rows) {
                    turned[start + row] = values[row * cols + col];
                }
            }
        }
    }
    turned
}

#[cfg(test)]
#[path = "field_tests.rs"]
mod tests;
