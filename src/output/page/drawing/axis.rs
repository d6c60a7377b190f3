//! Round marks along an axis.

/// Marks from one value to another, at steps of 1, 2 or 5 times a power of ten, no more than about so many.
pub(super) fn marks(from: f64, to: f64, most: f64) -> Vec<f64> {
    let span = to - from;
    if !(span.is_finite() && span > 0.0) {
        return Vec::new();
    }
    let least = span / most;
    let power = 10.0_f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|times| times * power).into_iter().find(|&step| step >= least);
    let step = step.unwrap_or(10.0 * power);
    // Counted, not summed up, so that the last isn't lost to rounding.
    let first = (from / step - 1e-9).ceil();
    let mut all = Vec::new();
    let mut number = first;
    while number * step <= to + 1e-9 * span {
        // Zero has no sign here.
        all.push(number * step + 0.0);
        number += 1.0;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_few() {
        assert_eq!(marks(0.0, 57.0, 6.0), [0.0, 10.0, 20.0, 30.0, 40.0, 50.0]);
        assert_eq!(marks(5.4, 8.4, 6.0), [5.5, 6.0, 6.5, 7.0, 7.5, 8.0]);
        assert!(marks(1.0, 1.0, 6.0).is_empty());
    }
}
