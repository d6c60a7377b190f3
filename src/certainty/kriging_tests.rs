//! Kriging against what is worked out by hand.

use super::*;
use crate::certainty::ErrorModel;
use crate::grid::GridShape;
use crate::units::Length;
use approx::assert_relative_eq;

const STEP: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

fn cell(row: usize, col: usize) -> Cell {
    Cell { row, col }
}

fn covariance() -> Covariance {
    Covariance::of(&ErrorModel::new(Length::from_m(0.1), Length::ZERO), Length::from_m(20.0))
}

/// Written out once more: 0.1 m, a quarter of its variance of range 2 m, the rest of 20 m.
fn c(d: f64) -> f64 {
    let part = |range: f64| (-(20.0_f64.ln()) * (d / range).powi(2)).exp();
    0.01 * (0.25 * part(2.0) + 0.75 * part(20.0))
}

fn of(known: &[Cell], nugget: f64) -> Kriging {
    Kriging::new(covariance(), STEP, known.to_vec(), &vec![nugget; known.len()]).unwrap()
}

/// One shot: weight C(d) / (C(0) + n), variance C(0) - C(d)² / (C(0) + n).
#[test]
fn one_shot_by_hand() {
    for nugget in [0.0, 4e-4, 0.01] {
        let kriging = of(&[cell(10, 10)], nugget);
        let weights = kriging.weights(&[0.06]);
        for (at, d) in [(cell(10, 10), 0.0), (cell(10, 11), 1.0), (cell(13, 14), 5.0), (cell(10, 30), 20.0)] {
            let expected = 0.06 * c(d) / (0.01 + nugget);
            assert_relative_eq!(kriging.mean_at(&weights, at), expected, max_relative = 1e-9);
            let left = 0.01 - c(d).powi(2) / (0.01 + nugget);
            assert_relative_eq!(kriging.variance_at(at), left, epsilon = 1e-15, max_relative = 1e-9);
        }
    }
}

/// Two shots 6 m apart and a place 2 m from the first and 4 m from the second: the inverse of a 2 by 2 matrix
/// [[a, b], [b, a]] is [[a, -b], [-b, a]] / (a² - b²).
#[test]
fn two_shots_by_hand() {
    for nugget in [0.0, 4e-4] {
        let kriging = of(&[cell(0, 0), cell(0, 6)], nugget);
        let (a, b) = (0.01 + nugget, c(6.0));
        let (k1, k2) = (c(2.0), c(4.0));
        let whole = a * a - b * b;
        let (w1, w2) = ((a * k1 - b * k2) / whole, (a * k2 - b * k1) / whole);
        let weights = kriging.weights(&[0.05, -0.03]);
        let found = kriging.mean_at(&weights, cell(0, 2));
        assert_relative_eq!(found, 0.05 * w1 - 0.03 * w2, max_relative = 1e-9);
        let left = 0.01 - w1 * k1 - w2 * k2;
        assert_relative_eq!(kriging.variance_at(cell(0, 2)), left, max_relative = 1e-9);
    }
}

#[test]
fn without_an_error_it_goes_through_the_shots() {
    let known: Vec<Cell> = (0..12).map(|i| cell(3 * (i % 4), 5 * (i / 4))).collect();
    let differences: Vec<f64> = (0..12).map(|i| 0.1 * f64::from(i * 7 % 5) - 0.2).collect();
    let kriging = of(&known, 0.0);
    let weights = kriging.weights(&differences);
    for (&at, &expected) in known.iter().zip(&differences) {
        assert_relative_eq!(kriging.mean_at(&weights, at), expected, epsilon = 1e-9);
        assert!(kriging.variance_at(at).abs() < 1e-12);
    }
}

#[test]
fn a_larger_error_never_leaves_less_variance() {
    let known = [cell(4, 4), cell(9, 2), cell(7, 11)];
    for at in [cell(4, 4), cell(6, 6), cell(20, 1)] {
        let left = [0.0, 1e-4, 4e-4, 1.6e-3, 6.4e-3].map(|nugget| of(&known, nugget).variance_at(at));
        assert!(left.windows(2).all(|pair| pair[0] <= pair[1] + 1e-15), "{left:?}");
        assert!(left[4] <= 0.01);
    }
}

/// A surface is moved at each cell by the mean there, and a part of it to the last bit as the whole is.
#[test]
fn a_surface_and_its_part_are_moved_alike() {
    let kriging = of(&[cell(3, 3), cell(12, 30), cell(25, 8)], 1e-4);
    let weights = kriging.weights(&[0.08, -0.11, 0.03]);
    let mut whole = Grid::filled(GridShape { rows: 40, cols: 50 }, 100.0_f32);
    kriging.add_to(&weights, 0.5, cell(0, 0), &mut whole);
    let mut part = Grid::filled(GridShape { rows: 10, cols: 7 }, 100.0_f32);
    kriging.add_to(&weights, 0.5, cell(8, 25), &mut part);
    for row in 0..10 {
        for col in 0..7 {
            let at = cell(row + 8, col + 25);
            assert_eq!(part.at(cell(row, col)).to_bits(), whole.at(at).to_bits());
        }
    }
    for at in [cell(3, 3), cell(0, 0), cell(39, 49), cell(14, 20)] {
        let moved = f64::from(*whole.at(at)) - 100.0;
        assert!((moved - 0.5 * kriging.mean_at(&weights, at)).abs() < 5e-6, "{at:?}: {moved}");
    }
}

#[test]
fn two_shots_of_one_cell_need_an_error() {
    let twice = [cell(1, 1), cell(1, 1)];
    assert_eq!(
        Kriging::new(covariance(), STEP, twice.to_vec(), &[0.0; 2]).unwrap_err(),
        NotApart { count: 2 }
    );
    assert!(Kriging::new(covariance(), STEP, twice.to_vec(), &[1e-6; 2]).is_ok());
}
