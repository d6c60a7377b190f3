//! Conditioned fields against kriging's mean and variance.

use super::*;
use crate::certainty::FieldSource;

const STEP: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const SHAPE: GridShape = GridShape { rows: 16, cols: 20 };
const FIRST: Cell = Cell { row: 100, col: 200 };

fn model() -> ErrorModel {
    ErrorModel { ranges: vec![Length::from_m(12.0)], ..ErrorModel::new(Length::from_m(0.1), Length::ZERO) }
}

fn shot(row: usize, col: usize, difference_m: f64, accuracy_m: f64) -> Observed {
    Observed { cell: Cell { row: FIRST.row + row, col: FIRST.col + col }, difference_m, accuracy_m }
}

fn observed() -> Vec<Observed> {
    vec![shot(4, 5, 0.12, 0.001), shot(8, 9, -0.05, 0.04), shot(2, 15, 0.0, 0.08)]
}

/// Conditioned fields, as what they add to the surface as given.
fn fields(conditioning: &Conditioning, pairs: u64) -> Vec<Grid<f32>> {
    let source = FieldSource::new(&model(), 12.0, SHAPE, STEP, 3);
    let plain = Grid::filled(SHAPE, 0.0_f32);
    let one = |number: u64| {
        let pair = source.pair(number / 2);
        let mut drawn = Grid::new(SHAPE, pair.added_to(plain.values(), number % 2 == 1));
        conditioning.condition(FIRST, &plain, &mut drawn, 0, (3, number));
        drawn
    };
    (0..2 * pairs).map(one).collect()
}

/// Mean and variance at cells near, between and far from the shots against the closed forms; 6000 fields: standard errors of sd/sqrt(M) and variance sqrt(2/M).
#[test]
fn mean_and_variance_are_those_of_kriging() {
    let conditioning = Conditioning::new(&model(), STEP, observed()).unwrap();
    let all = fields(&conditioning, 3000);
    let count = 6000.0;
    let (kriging, weights) = &conditioning.by_range[0];
    for (row, col) in [(4, 5), (5, 6), (8, 9), (6, 7), (2, 15), (15, 0)] {
        let at = Cell { row: FIRST.row + row, col: FIRST.col + col };
        let values: Vec<f64> = all.iter().map(|field| f64::from(*field.at(Cell { row, col }))).collect();
        let mean = values.iter().sum::<f64>() / count;
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (count - 1.0);
        let (expected, left) = (kriging.mean_at(weights, at), kriging.variance_at(at));
        let room = 4.0 * (left / count).sqrt() + 1e-6;
        assert!((mean - expected).abs() < room, "{row} {col}: {mean}, expected {expected} +- {room}");
        let room = 4.0 * left * (2.0 / count).sqrt() + 1e-9;
        assert!((variance - left).abs() < room, "{row} {col}: {variance}, expected {left} +- {room}");
    }
}

#[test]
fn at_a_shot_of_a_millimetre_every_field_goes_through_it() {
    let conditioning = Conditioning::new(&model(), STEP, observed()).unwrap();
    for field in fields(&conditioning, 20) {
        let found = f64::from(*field.at(Cell { row: 4, col: 5 }));
        assert!((found - 0.12).abs() < 0.005, "{found}");
    }
}

#[test]
fn the_mean_correction_is_taken_back_and_averaged_over_the_ranges_above_nought() {
    let ranges = [0.0, 5.0, 20.0].map(Length::from_m).to_vec();
    let model = ErrorModel { ranges, ..model() };
    let conditioning = Conditioning::new(&model, STEP, observed()).unwrap();
    let mut surface = Grid::filled(SHAPE, 50.0_f32);
    conditioning.correct(FIRST, &mut surface);
    let at = Cell { row: 5, col: 6 };
    let each = [1, 2].map(|range: usize| {
        let (kriging, weights) = &conditioning.by_range[range];
        kriging.mean_at(weights, Cell { row: FIRST.row + 5, col: FIRST.col + 6 })
    });
    let moved = f64::from(*surface.at(at)) - 50.0;
    assert!((moved - 0.5 * (each[0] + each[1])).abs() < 5e-6 && moved.abs() > 0.02, "{moved}, {each:?}");
    conditioning.take_back(FIRST, &mut surface);
    assert!(surface.values().iter().all(|z| (z - 50.0).abs() < 1e-5));
}

#[test]
fn only_shots_on_a_window_count_there() {
    let conditioning = Conditioning::new(&model(), STEP, observed()).unwrap();
    let on = |cols| conditioning.on(&model(), STEP, FIRST, GridShape { rows: 16, cols }).unwrap();
    assert_eq!(on(20).unwrap().observed().len(), 3);
    assert_eq!(on(10).unwrap().observed().len(), 2);
    assert!(on(5).is_none());
}
