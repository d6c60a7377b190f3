//! The fields against theory: expected values are those of the model's covariance, written out here once
//! more.

use super::*;
use crate::units::Length;

const WINDOW: GridShape = GridShape { rows: 48, cols: 64 };
const CELL: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

fn source(range_m: f64, rmse_m: f64, window: GridShape) -> FieldSource {
    let model = ErrorModel::new(Length::from_m(rmse_m), Length::ZERO);
    FieldSource::new(&model, range_m, window, CELL, 7)
}

/// The first so many fields.
fn fields(source: &FieldSource, pairs: u64) -> Vec<Vec<f32>> {
    let still = vec![0.0; source.window.len()];
    let both = |number| {
        let pair = source.pair(number);
        [pair.added_to(&still, false), pair.added_to(&still, true)]
    };
    (0..pairs).flat_map(both).collect()
}

/// Mean and standard error of a figure of independent fields.
fn mean_of(figures: &[f64]) -> (f64, f64) {
    let n = f64::from(u32::try_from(figures.len()).unwrap());
    let mean = figures.iter().sum::<f64>() / n;
    let variance = figures.iter().map(|f| (f - mean).powi(2)).sum::<f64>() / (n - 1.0);
    (mean, (variance / n).sqrt())
}

/// Half the mean squared difference of cells so far apart.
fn half_squared_difference(field: &[f32], down: usize, right: usize) -> f64 {
    let GridShape { rows, cols } = WINDOW;
    let (mut sum, mut count) = (0.0, 0.0);
    for row in 0..rows - down {
        for col in 0..cols - right {
            let apart = field[(row + down) * cols + col + right] - field[row * cols + col];
            sum += 0.5 * f64::from(apart).powi(2);
            count += 1.0;
        }
    }
    sum / count
}

/// Covariance at a distance: exp(-ln 20 (d / range)²) for each part, a quarter of the variance at a range of
/// 2 m.
fn covariance(variance: f64, range_m: f64, d: f64) -> f64 {
    let part = |range: f64| (-(20.0_f64.ln()) * (d / range).powi(2)).exp();
    variance * (0.25 * part(2.0) + 0.75 * part(range_m))
}

#[test]
fn variance_and_variogram_are_those_of_the_model() {
    for range_m in [5.0, 20.0, 60.0] {
        let fields = fields(&source(range_m, 0.1, WINDOW), 400);
        let squares: Vec<f64> = fields
            .iter()
            .map(|field| field.iter().map(|&v| f64::from(v).powi(2)).sum::<f64>() / 3072.0)
            .collect();
        let (variance, se) = mean_of(&squares);
        assert!((variance - 0.01).abs() < 4.0 * se && se < 5e-4, "range {range_m}: {variance} +- {se}");
        for (down, right) in [(0, 1), (1, 0), (2, 2), (0, 5), (10, 0), (12, 16), (0, 60)] {
            let apart = (f64::from(u32::try_from(down * down + right * right).unwrap())).sqrt();
            let expected = 0.01 - covariance(0.01, range_m, apart);
            let found: Vec<f64> =
                fields.iter().map(|field| half_squared_difference(field, down, right)).collect();
            let (found, se) = mean_of(&found);
            assert!(
                (found - expected).abs() < 4.0 * se + 1e-7 && se < 0.06 * expected,
                "range {range_m}, lag {apart}: {found} +- {se}, expected {expected}"
            );
        }
    }
}

/// At the range 5 % of the long part's covariance is left, and opposite sides of the window are no more alike
/// than that: the torus doesn't show.
#[test]
fn the_range_is_where_a_twentieth_is_left_and_sides_are_not_joined() {
    let fields = fields(&source(20.0, 1.0, WINDOW), 1000);
    let product = |a: usize, b: usize| -> (f64, f64) {
        let products: Vec<f64> = fields.iter().map(|f| f64::from(f[a]) * f64::from(f[b])).collect();
        mean_of(&products)
    };
    let (at_range, se) = product(0, 20);
    assert!((at_range - 0.75 * 0.05).abs() < 4.0 * se && se < 0.03, "{at_range} +- {se}");
    let (around, se) = product(0, WINDOW.cols - 1);
    assert!(around.abs() < 4.0 * se && se < 0.03, "{around} +- {se}");
}

#[test]
fn uncorrelated_noise_is_uncorrelated() {
    let fields = fields(&source(0.0, 0.1, WINDOW), 100);
    for (down, right) in [(0, 1), (1, 1), (7, 3)] {
        let found: Vec<f64> = fields.iter().map(|f| half_squared_difference(f, down, right)).collect();
        let (found, se) = mean_of(&found);
        assert!((found - 0.01).abs() < 4.0 * se && se < 1e-4, "{found} +- {se}");
    }
}

#[test]
fn some_cells_of_a_pair_are_those_of_the_pair() {
    let cells = [5, 3000, 64, 65, 66, 700, 5];
    for range_m in [0.0, 5.0, 60.0] {
        let source = source(range_m, 0.1, WINDOW);
        let pair = source.pair(3);
        let some = source.pair_at(3, &cells);
        for (second, found) in [false, true].into_iter().zip(some) {
            let whole = pair.added_to(&vec![0.0; WINDOW.len()], second);
            assert_eq!(found, cells.map(|cell| whole[cell]), "range {range_m}");
        }
    }
}

/// Their mean is 0, their variance that of a sum of four uniform numbers from 0 to 255, and the two are independent.
#[test]
fn sums_of_bytes_have_the_moments_that_they_are_scaled_by() {
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let drawn: Vec<Complex<f32>> = (0..200_000).map(|_| of_bytes(random.random())).collect();
    for part in [|c: &Complex<f32>| c.re, |c: &Complex<f32>| c.im] {
        let values: Vec<f64> = drawn.iter().map(|c| f64::from(part(c))).collect();
        let (mean, se) = mean_of(&values);
        assert!(mean.abs() < 4.0 * se, "{mean} +- {se}");
        let (variance, se) = mean_of(&values.iter().map(|v| v * v).collect::<Vec<_>>());
        assert!((variance - f64::from(OF_BYTES)).abs() < 4.0 * se, "{variance} +- {se}");
    }
    let (product, se) = mean_of(&drawn.iter().map(|c| f64::from(c.re * c.im)).collect::<Vec<_>>());
    assert!(product.abs() < 4.0 * se, "{product} +- {se}");
    // By hand: 1 + 2 + 3 + 4 in the lower half, four times 255 in the upper.
    assert_eq!(of_bytes(0xFFFF_FFFF_0102_0304), Complex::new(10.0 - 510.0, 510.0));
}

/// Third and fourth moment of fields over a window with many waves: 0 and 3, and Gaussian in their tails: as much lies
/// beyond 3 standard deviations (0.27 %, any table).
#[test]
fn fields_of_many_waves_have_the_moments_and_tails_of_a_normal_distribution() {
    let window = GridShape { rows: 120, cols: 120 };
    for range_m in [5.0, 20.0] {
        let fields = fields(&source(range_m, 1.0, window), 100);
        let over = |of: &dyn Fn(f64) -> f64| {
            let each = fields.iter().map(|f| f.iter().map(|&v| of(f64::from(v))).sum::<f64>() / 14_400.0);
            mean_of(&each.collect::<Vec<_>>())
        };
        for (name, (found, se), expected, close) in [
            ("third", over(&|v| v.powi(3)), 0.0, 0.2),
            ("fourth", over(&|v| v.powi(4)), 3.0, 0.2),
            ("tails", over(&|v| f64::from(u8::from(v.abs() > 3.0))), 0.0027, 5e-4),
        ] {
            assert!((found - expected).abs() < 4.0 * se && se < close, "{range_m} {name}: {found} +- {se}");
        }
    }
}

/// Deciles of the standard normal distribution (any table of it).
const DECILES: [f64; 9] =
    [-1.281_552, -0.841_621, -0.524_401, -0.253_347, 0.0, 0.253_347, 0.524_401, 0.841_621, 1.281_552];

/// One cell of each of 8000 independent fields: chi-square of ten classes of equal chance, 9 degrees of
/// freedom, whose 99.9 % point is 27.88 (any table); and sums of two cells, whose variance is 2 (1 +
/// correlation).
#[test]
fn values_and_their_sums_are_gaussian() {
    let small = GridShape { rows: 4, cols: 6 };
    let fields = fields(&source(5.0, 0.1, small), 4000);
    let sum_sd = (2.0 * (0.01 + covariance(0.01, 5.0, 3.0))).sqrt();
    let single = fields.iter().map(|f| f64::from(f[9]) / 0.1);
    let summed = fields.iter().map(|f| f64::from(f[6] + f[9]) / sum_sd);
    for values in [single.collect::<Vec<f64>>(), summed.collect()] {
        let mut counts = [0.0; 10];
        for &value in &values {
            counts[DECILES.partition_point(|&edge| edge < value)] += 1.0;
        }
        let chi_square: f64 = counts.iter().map(|&n: &f64| (n - 800.0).powi(2) / 800.0).sum();
        assert!(chi_square < 27.88, "{chi_square}: {counts:?}");
    }
}

#[test]
fn the_two_fields_of_a_pair_and_those_of_two_pairs_are_independent() {
    let all = fields(&source(20.0, 1.0, GridShape { rows: 4, cols: 6 }), 2000);
    let products = |apart: usize| -> Vec<f64> {
        all.chunks(4).map(|four| f64::from(four[0][9]) * f64::from(four[apart][9])).collect()
    };
    for apart in 1..4 {
        let (mean, se) = mean_of(&products(apart));
        assert!(mean.abs() < 4.0 * se && se < 0.05, "{apart}: {mean} +- {se}");
    }
}

#[test]
fn a_number_gives_the_same_field_and_another_number_or_seed_another() {
    let (one, other) = (source(20.0, 0.1, WINDOW), source(20.0, 0.1, WINDOW));
    let still = vec![0.0; WINDOW.len()];
    let bits = |pair: FieldPair| -> Vec<u32> {
        pair.added_to(&still, false).into_iter().map(f32::to_bits).collect()
    };
    // In another order.
    let (third, first) = (bits(other.pair(3)), bits(other.pair(1)));
    assert_eq!(bits(one.pair(1)), first);
    assert_eq!(bits(one.pair(3)), third);
    assert_ne!(first, third);
    let model = ErrorModel::new(Length::from_m(0.1), Length::ZERO);
    assert_ne!(bits(FieldSource::new(&model, 20.0, WINDOW, CELL, 8).pair(1)), first);
}

#[test]
fn sides_of_the_torus_have_small_factors_and_room_for_the_padding() {
    assert_eq!(torus_side(400, 60.0), 540);
    assert_eq!(torus_side(97, 0.0), 100);
}
