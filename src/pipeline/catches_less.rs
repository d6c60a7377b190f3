//! A line that catches less than it was to, and why.

use super::proof::LineProof;
use super::stretches::ROUNDING;
use crate::warning::Warning;
use crate::wording::percent;

/// Told when the line catches this much less of the run-on than it was to: shares are told to a tenth of a percent, and cells are
/// caught by halves. Ours.
pub(super) const LEAST_SHORT: f64 = 0.005;
/// A reason with less of the run-on isn't named. Ours.
const LEAST_REASON: f64 = 0.001;

/// What passes a line that catches less of the run-on than was wanted, each reason with its share of the run-on as it is measured. Where the
/// setback alone keeps it from that ([`super::beyond_setback`]), only where it misses the share of what comes behind it, too.
pub(super) fn catches_less(found: &LineProof, wanted: f64) -> Option<Warning> {
    let balance = found.proof.balance;
    let missed = &found.proof.missed;
    let share = |m2: f64| m2 / balance.before_m2.max(f64::MIN_POSITIVE);
    let caught = found.caught_share();
    let at_most = found.at_most_share();
    let asked = if at_most < wanted - ROUNDING { wanted * at_most } else { wanted };
    if caught >= asked - LEAST_SHORT {
        return None;
    }
    let past =
        missed.past_m2.iter().zip(1..).map(|(m2, part)| (*m2, format!("is more than part {part} keeps")));
    let others = [
        (missed.beside_m2, "passes beside it".to_owned()),
        (missed.edge_m2, "stays nearer to the lot line than the setback".to_owned()),
        (missed.back_m2, "comes back from the outlet".to_owned()),
        (balance.elsewhere_m2, "runs off the lot again in front of it".to_owned()),
    ];
    let mut reasons: Vec<(f64, String)> = past.chain(others).collect();
    reasons.retain(|(m2, _)| share(*m2) >= LEAST_REASON);
    reasons.sort_by(|a, b| b.0.total_cmp(&a.0));
    let reasons: Vec<String> =
        reasons.iter().map(|(m2, why)| format!("{} {why}", percent(share(*m2)))).collect();
    Some(Warning::new(
        "line-catches-less",
        format!(
            "with the line in place {} of the run-on is caught, where {} were wanted: {}",
            percent(caught),
            percent(wanted),
            reasons.join("; ")
        ),
        "see interception_line.proof for what is left and whose it is, and interception_line.wider_setbacks; a longer line, a larger section, or another outlet may help",
    ))
}
