//! Soft steps and blends from which the ground is put together.

/// 0 below `from`, 1 above `to`, smooth in between (cubic).
pub(super) fn step(from: f64, to: f64, value: f64) -> f64 {
    let part = ((value - from) / (to - from)).clamp(0.0, 1.0);
    part * part * (3.0 - 2.0 * part)
}

/// 1 at 0, falling as a half cosine wave to 0 at `reach` on both sides.
pub(super) fn bump(distance: f64, reach: f64) -> f64 {
    if distance.abs() >= reach { 0.0 } else { 0.5 + 0.5 * (std::f64::consts::PI * distance / reach).cos() }
}

/// `value` above 0, 0 below, rounded over about `width` on both sides.
pub(super) fn ramp(value: f64, width: f64) -> f64 {
    0.5 * (value + value.hypot(width))
}

/// `share` of `other` and the rest of `own`.
pub(super) fn blend(own: f64, other: f64, share: f64) -> f64 {
    own + share * (other - own)
}

/// Even noise between -1 and 1 that depends on nothing but the two whole numbers and the seed.
///
/// The mixing steps are those of the 64-bit finaliser published by Steele, Lea and Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014 (constants from memory).
#[expect(clippy::cast_precision_loss, reason = "53 bits fit a double")]
pub(super) fn noise(column: i64, row: i64, seed: u64) -> f64 {
    let mut mixed = seed
        ^ column.cast_unsigned().wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ row.cast_unsigned().wrapping_mul(0xC2B2_AE3D_27D4_EB4F);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^= mixed >> 31;
    (mixed >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_even_centred_and_within_its_bounds() {
        let values: Vec<f64> = (0..100_i64).flat_map(|r| (0..100_i64).map(move |c| noise(c, r, 7))).collect();
        let mean = values.iter().sum::<f64>() / 10_000.0;
        let spread = (values.iter().map(|v| v * v).sum::<f64>() / 10_000.0).sqrt();
        assert!(values.iter().all(|v| (-1.0..1.0).contains(v)));
        // An even distribution over -1..1 has the spread 1/sqrt(3); 10,000 draws scatter the mean by 0.006.
        assert!(mean.abs() < 0.02, "mean {mean}");
        assert!((spread - 1.0 / 3.0_f64.sqrt()).abs() < 0.01, "spread {spread}");
    }

    #[test]
    fn a_step_joins_its_two_levels_without_a_kink() {
        assert!(step(1.0, 3.0, 0.5).abs() < 1e-12);
        assert!((step(1.0, 3.0, 2.0) - 0.5).abs() < 1e-12);
        assert!((step(1.0, 3.0, 4.0) - 1.0).abs() < 1e-12);
    }
}
