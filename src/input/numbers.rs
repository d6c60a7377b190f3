//! Between counts and real numbers, where the compiler wants to know that nothing gets lost.

/// A count as a real number.
#[expect(clippy::cast_precision_loss, reason = "rows, columns and cells stay far below 2^52")]
pub(crate) const fn real(count: usize) -> f64 {
    count as f64
}

/// A real number as a count; negative ones become 0.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what a count can hold"
)]
pub(crate) fn count(value: f64) -> usize {
    value.clamp(0.0, 9.0e15) as usize
}

/// A count as the signed number that the geodata library takes.
pub(crate) fn signed(count: usize) -> isize {
    isize::try_from(count).unwrap_or(isize::MAX)
}

/// An elevation in the precision in which grids keep it.
#[expect(clippy::cast_possible_truncation, reason = "0.1 mm at 1,000 m is enough for elevations")]
pub(crate) const fn single(value: f64) -> f32 {
    value as f32
}
