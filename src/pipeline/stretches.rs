//! The stretches of the lot line beside which the line runs: chosen by where the run-on comes behind the
//! setback, so that the wanted share of all run-on is caught, and mended where water then still passes the line.

use super::caught::caught;
use super::given_up::without_given_up;
use super::laid::Yard;
use crate::error::Error;
use crate::flow::Course;
use crate::interceptor::{LineSettings, crests, propose, up_to_corners};
use crate::lots::{Inflow, Joining, Stretch, shortest_catching, widened};
use crate::warning::Warned;
use geo::LineString;

/// A line is mended so many times at the most; one round is nearly always enough. Ours.
const MOST_ROUNDS: usize = 6;
/// So much of all may pass beyond what is allowed, for rounding.
pub(super) const ROUNDING: f64 = 1e-9;

/// What a choice of stretches rests on.
#[derive(Clone, Copy)]
pub(super) struct Choice<'a> {
    pub(super) yard: &'a Yard<'a>,
    pub(super) options: &'a LineSettings<'a>,
    /// Cells that the lot's water can come to.
    pub(super) course: &'a Course,
}

impl Choice<'_> {
    /// The stretches, without those beside which no line can be dug, divided where water runs off both ways.
    ///
    /// # Method
    /// `docs/methods.md`, "Shortest stretches".
    pub(super) fn stretches(&self) -> Result<Warned<Vec<Stretch>>, Error> {
        let mut coming_in = self.passing(&[])?;
        if coming_in.is_empty() {
            // Of water that runs along the lot line, and no deeper, the line is to keep what enters beside
            // it.
            coming_in.clone_from(&self.yard.drainage.inflows);
        }
        let (wanted, run_on_m2) = (self.yard.settings.catch.get(), self.yard.run_on_m2());
        let comes_m2 = sum(&coming_in);
        let allowed_m2 = may_pass_m2(wanted, run_on_m2, comes_m2);
        let share = 1.0 - allowed_m2 / comes_m2.max(f64::MIN_POSITIVE);
        let whole = shortest_catching(share, &coming_in, &self.lengths_m(), self.joining());
        let mut whole = self.up_to_corners(whole);
        let mut dug = self.dug(&whole);
        let mut passing = self.passing(&dug.value)?;
        let mut tried = Vec::new();
        for _ in 0..MOST_ROUNDS {
            let more_m2 = sum(&passing) - allowed_m2 - ROUNDING * run_on_m2;
            let open = self.beside(&tried, &passing);
            if more_m2 <= 0.0 || open.is_empty() {
                break;
            }
            let longer = widened(&whole, more_m2, &open, &self.lengths_m(), self.joining());
            let longer = self.up_to_corners(longer);
            let longer_dug = self.dug(&longer);
            let still = self.passing(&longer_dug.value)?;
            tried.clone_from(&longer);
            if sum(&still) < sum(&passing) {
                (whole, dug, passing) = (longer, longer_dug, still);
            }
        }
        Ok(dug)
    }

    /// Where run-on comes behind the setback that no line beside some stretches takes; nowhere where the
    /// setback leaves nothing of the lot.
    fn passing(&self, stretches: &[Stretch]) -> Result<Vec<Inflow>, Error> {
        let Yard { line, inner, drainage, height, .. } = *self.yard;
        let Some(inner) = inner else { return Ok(Vec::new()) };
        let parts =
            propose(line, &caught(drainage, line, stretches.to_vec()), height, self.options)?.value.parts;
        let paths: Vec<&LineString> = parts.iter().map(|part| &part.path).collect();
        Ok(self.yard.passing(self.course, inner, &paths))
    }

    /// Behind a corner the line ends a setback before it, give or take a cell, so that no water comes to it
    /// from there.
    fn up_to_corners(&self, stretches: Vec<Stretch>) -> Vec<Stretch> {
        let cell = self.options.cell;
        up_to_corners(stretches, self.yard.line, (self.options.setback + cell).as_m())
    }

    /// The inflows whose middle lies on none of some stretches.
    fn beside(&self, stretches: &[Stretch], inflows: &[Inflow]) -> Vec<Inflow> {
        let lengths_m = self.lengths_m();
        let is_held = |inflow: &Inflow| stretches.iter().any(|s| s.holds(inflow, lengths_m[inflow.ring]));
        inflows.iter().copied().filter(|inflow| !is_held(inflow)).collect()
    }

    /// The pieces of stretches beside which a line can be dug, divided at crests.
    fn dug(&self, stretches: &[Stretch]) -> Warned<Vec<Stretch>> {
        let Yard { line, drainage, height, .. } = *self.yard;
        let lengths_m = self.lengths_m();
        let mut warnings = Vec::new();
        let kept = |stretch| without_given_up(line, drainage, stretch, self.options).unload(&mut warnings);
        let divided = |stretch: Stretch| {
            let cuts = crests(line, &stretch, height, self.options);
            let length_m = lengths_m[stretch.ring];
            stretch.divided(&cuts, &drainage.inflows, length_m)
        };
        let found = stretches.iter().cloned().flat_map(kept).flat_map(divided).collect();
        Warned::new(found, warnings)
    }

    fn lengths_m(&self) -> Vec<f64> {
        self.yard.line.ring_lengths_m()
    }

    fn joining(&self) -> Joining {
        let cell_m = self.yard.routed.ground.cell.longer_m();
        Joining { gap_m: (3.0 * cell_m).max(3.0), dust_m: (3.0 * cell_m).max(3.0) }
    }
}

/// How much of what comes behind the setback may pass beside the line so that the wanted share of all run-on is caught, m²: what stays
/// within the setback passes it, too. Where that alone is more than may pass, the wanted share is asked of what comes behind it.
fn may_pass_m2(wanted: f64, run_on_m2: f64, behind_m2: f64) -> f64 {
    let beside_m2 = (1.0 - wanted) * run_on_m2 - (run_on_m2 - behind_m2);
    if beside_m2 >= -ROUNDING * run_on_m2 { beside_m2.max(0.0) } else { (1.0 - wanted) * behind_m2 }
}

pub(super) fn sum(inflows: &[Inflow]) -> f64 {
    inflows.iter().map(|inflow| inflow.amount).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    // Of 1000 m²: [wanted, behind the setback, may pass beside the line].
    #[test]
    fn what_stays_within_the_setback_counts_to_what_may_pass() {
        for [wanted, behind_m2, expected_m2] in [
            [0.95, 1000.0, 50.0],
            [0.95, 980.0, 30.0],
            // The edge takes all that may pass, give or take rounding.
            [0.95, 950.0, 0.0],
            [0.95, 950.0 - 1e-9, 0.0],
            // Beyond it: 5 % of what comes.
            [0.95, 940.0, 47.0],
            [0.5, 300.0, 150.0],
            [1.0, 1000.0, 0.0],
            [1.0, 900.0, 0.0],
            [0.0, 1000.0, 1000.0],
            [0.95, 0.0, 0.0],
        ] {
            let found_m2 = may_pass_m2(wanted, 1000.0, behind_m2);
            assert!((found_m2 - expected_m2).abs() < 1e-9, "{wanted}, {behind_m2}: {found_m2}");
        }
    }
}
