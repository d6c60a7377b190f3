//! How far the parcels are off as a whole.

use super::error_model::ErrorModel;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Streams of random numbers: fields count from 0, parcel shifts from here.
const SHIFT_STREAM: u64 = 1 << 32;

/// How far the parcels of one realisation may be off, east and north, m: one draw after the other, for where the first
/// can't be taken.
pub fn parcel_shifts(model: &ErrorModel, seed: u64, realisation: u64) -> impl Iterator<Item = (f64, f64)> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(SHIFT_STREAM + realisation);
    let error_m = model.parcels.as_m();
    std::iter::repeat_with(move || {
        let (east, north): (f64, f64) =
            (StandardNormal.sample(&mut random), StandardNormal.sample(&mut random));
        (east * error_m, north * error_m)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    /// Mean and its standard error.
    fn mean_of(values: &[f64]) -> (f64, f64) {
        let count = f64::from(u32::try_from(values.len()).unwrap());
        let mean = values.iter().sum::<f64>() / count;
        let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count;
        (mean, (variance / count).sqrt())
    }

    #[test]
    fn parcels_are_off_by_their_error_along_each_axis() {
        let model = ErrorModel::new(Length::from_m(0.1), Length::from_m(1.5));
        let of = |number| parcel_shifts(&model, 7, number).take(2).collect::<Vec<_>>();
        let draws: Vec<Vec<(f64, f64)>> = (0..4000).map(of).collect();
        for draw in 0..2 {
            let shifts = || draws.iter().map(|both| both[draw]);
            for squares in
                [shifts().map(|s| s.0 * s.0).collect::<Vec<f64>>(), shifts().map(|s| s.1 * s.1).collect()]
            {
                let (variance, se) = mean_of(&squares);
                assert!((variance - 2.25).abs() < 4.0 * se && se < 0.06, "{variance} +- {se}");
            }
            let (both, se) = mean_of(&shifts().map(|s| s.0 * s.1).collect::<Vec<f64>>());
            assert!(both.abs() < 4.0 * se, "{both} +- {se}");
        }
        // A second draw has nothing in common with the first.
        let (both, se) = mean_of(&draws.iter().map(|both| both[0].0 * both[1].0).collect::<Vec<f64>>());
        assert!(both.abs() < 4.0 * se, "{both} +- {se}");
    }
}
