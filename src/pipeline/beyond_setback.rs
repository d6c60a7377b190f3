//! Run-on that stays within the setback, which no line takes: told where it keeps the line from the wanted share.

use super::catches_less::LEAST_SHORT;
use super::caught::inner_lot;
use super::laid::Yard;
use super::part_water::course_from_lot;
use super::proof::LineProof;
use super::settings::Settings;
use super::stretches::{ROUNDING, sum};
use crate::error::Error;
use crate::flow::Course;
use crate::interceptor::proof::{Coming, InnerLot};
use crate::lots::{Inflow, Scene};
use crate::units::Length;
use crate::warning::Warning;
use crate::wording::{metres, percent};
use geo::LineString;

/// Narrower setbacks are looked at in steps of this, m. Ours.
const STEP_M: f64 = 0.1;

/// What is to be said where more of the run-on stays within the setback than may pass the line, and the widest setback behind which
/// the wanted share comes.
///
/// # Method
/// `docs/methods.md`, "Proof", "Against the wish".
pub(super) fn beyond_setback(yard: &Yard<'_>, proof: Option<&LineProof>) -> Result<Option<Warning>, Error> {
    let wanted = yard.settings.catch.get();
    let is_short = |proof: &&LineProof| {
        let comes = proof.proof.balance.before_m2 > 0.0;
        comes && proof.caught_share() < wanted - LEAST_SHORT && proof.at_most_share() < wanted - ROUNDING
    };
    let Some(proof) = proof.filter(is_short) else { return Ok(None) };
    let narrower = yard.widest_setback_for(wanted)?;
    let remedy = narrower.map_or_else(
        || format!("no setback of {} or more lets that much come to a line", metres(STEP_M, 1)),
        |setback| format!("with a setback of {} that much comes to a line", metres(setback.as_m(), 1)),
    );
    Ok(Some(Warning::new(
        "share-beyond-setback",
        format!(
            "at a setback of {} at most {} of the run-on can be caught, where {} were wanted, and {} is: the rest stays nearer to the lot line, or runs off the lot again before a line; {remedy}",
            metres(yard.settings.setback.as_m(), 1),
            percent(proof.at_most_share()),
            percent(wanted),
            percent(proof.caught_share()),
        ),
        "ask for a narrower one with --setback where the ground and the neighbour allow it, or for a smaller share with --catch",
    )))
}

impl Yard<'_> {
    /// Where run-on comes behind a setback and to none of some lines.
    pub(super) fn passing(&self, course: &Course, inner: &InnerLot, paths: &[&LineString]) -> Vec<Inflow> {
        let scene = Scene { reach: course.as_ordered(), ..self.routed.scene() };
        let coming = Coming::new(&scene, self.routed.ground.georef, self.line, paths);
        inner.passing(&coming, &self.drainage.descent.entries)
    }

    /// All run-on, m².
    pub(super) fn run_on_m2(&self) -> f64 {
        self.drainage.descent.entries.iter().map(|entry| entry.area_m2).sum()
    }

    /// The widest setback in whole steps, narrower than the one asked for, behind which a share of the run-on comes; found by halving.
    fn widest_setback_for(&self, share: f64) -> Result<Option<Length>, Error> {
        let course = course_from_lot(self.routed)?;
        let (mut found, mut steps) = (0, whole_steps_below(self.settings.setback));
        while found < steps {
            let trial = steps - (steps - found) / 2;
            let setback = Length::from_m(f64::from(trial) * STEP_M);
            let settings = Settings { setback, ..self.settings.clone() };
            let behind_m2 = inner_lot(self.routed, self.line, &settings)?
                .map_or(0.0, |inner| sum(&self.passing(&course, &inner, &[])));
            if behind_m2 >= (share - ROUNDING) * self.run_on_m2() {
                found = trial;
            } else {
                steps = trial - 1;
            }
        }
        Ok((found > 0).then(|| Length::from_m(f64::from(found) * STEP_M)))
    }
}

/// Whole steps that are less than a length.
fn whole_steps_below(length: Length) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few metres in decimetres")]
    let steps = ((length.as_m() / STEP_M - 1e-9).ceil() - 1.0).max(0.0) as u32;
    steps
}
