//! The reading that decides, as far as one does.

use super::likelihood::Likelihood;

/// Either side of a deciding reading has at least this share of the realisations. Ours.
const LEAST_SIDE: f64 = 0.05;

/// A reading that decides, as far as one does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Ground above or below the given surface, m.
    pub error_m: f64,
    /// How often it happens where the ground lies above that.
    pub above: Likelihood,
    /// How often where it lies below.
    pub below: Likelihood,
}

/// The reading that parts the outcomes best: the variance within both sides is least.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "realisations stay far below 2^52"
)]
pub(super) fn deciding(errors: &[f32], happens: &[bool]) -> Reading {
    let mut sorted: Vec<(f32, bool)> = errors.iter().copied().zip(happens.iter().copied()).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (all, hits) = (sorted.len(), sorted.iter().filter(|(_, happens)| *happens).count());
    let least = ((LEAST_SIDE * all as f64).ceil() as usize).max(1);
    let within = |hits: usize, of: usize| hits as f64 * (of - hits) as f64 / of as f64;
    let mut below = 0;
    let mut best: Option<(f64, usize, usize)> = None;
    for (place, &(_, happens)) in sorted.iter().enumerate() {
        let count = place + 1;
        below += usize::from(happens);
        if count < least || count + least > all {
            continue;
        }
        let open = within(below, count) + within(hits - below, all - count);
        if best.is_none_or(|(least, ..)| open < least) {
            best = Some((open, count, below));
        }
    }
    let (_, count, below) = best.expect("there are two realisations or more");
    Reading {
        error_m: 0.5 * (f64::from(sorted[count - 1].0) + f64::from(sorted[count].0)),
        above: Likelihood::new(hits - below, all - count),
        below: Likelihood::new(below, count),
    }
}
