//! The line with its proof; and ways laid with more ground over their pipes than is asked for, where the line so keeps more.

use super::as_named::SideBySide;
use super::laid::{ProposedLine, Yard};
use super::proof::{LineProof, line_proof};
use super::settings::Settings;
use super::shares::{Comes, comings};
use super::storm::Stormed;
use crate::error::Error;
use crate::units::Length;
use crate::warning::{Warned, Warning};
use crate::wording::{metres, percent};

/// Covers that are tried where less is asked for, m: the usual one, and half as much again and twice that. Ours: each is a design and a
/// proof of its own.
const COVERS_M: [f64; 3] = [0.3, 0.45, 0.6];
/// A share of the run-on this much greater is worth laying deeper for. Ours: shares are told to a tenth of a percent.
const WORTH: f64 = 0.005;

/// The line, how its water comes to it, and the proof.
pub(super) struct ProvedLine {
    pub(super) proposed: ProposedLine,
    pub(super) comes: Vec<Option<Comes>>,
    pub(super) proof: Option<LineProof>,
}

impl ProvedLine {
    /// Share of the run-on that it catches; nothing without a line.
    fn caught(&self) -> Option<f64> {
        self.proof.as_ref().map(LineProof::caught_share)
    }

    /// Whether drains that keep more would bring it nearer to a wanted share: some of what misses the line crosses it, or comes back.
    fn may_keep_more(&self, wanted: f64) -> bool {
        let has_flow = self.proposed.laid.interception.parts.iter().any(|part| part.flow().is_some());
        self.proof.as_ref().is_some_and(|found| {
            let missed = &found.proof.missed;
            let lost_m2 = missed.past_m2.iter().sum::<f64>() + missed.back_m2;
            let is_short = found.caught_share() < wanted - WORTH;
            has_flow && is_short && lost_m2 >= WORTH * found.proof.balance.before_m2
        })
    }
}

impl Yard<'_> {
    /// Proposes the line and proves it.
    pub(super) fn proved_line(
        &self,
        stormed: &mut Stormed,
        beside: SideBySide,
    ) -> Result<Warned<ProvedLine>, Error> {
        let mut warnings = Vec::new();
        let proposed = self.line_beside(stormed, beside)?.unload(&mut warnings);
        let (interception, drains) = (&proposed.laid.interception, &proposed.drains);
        let comes = comings(self.routed, (self.line, self.drainage), interception, &proposed.outlets)?;
        let proof = line_proof(
            self.site,
            self.routed,
            (self.line, self.inner, self.drainage),
            (interception, &proposed.outlets, drains),
            &comes,
            (self.channels, self.settings),
        )?
        .unload(&mut warnings);
        Ok(Warned::new(ProvedLine { proposed, comes, proof }, warnings))
    }

    /// The same; where it catches less than wanted with the cover asked for at the least, with ways that are laid deeper where it catches
    /// more so.
    ///
    /// # Method
    /// Less cover lets pipes lie higher, so that they come out nearer by, join others elsewhere, and lie too high for the layers of their
    /// trench: what is chosen step by step may be the worse in the end. So what can be built with more cover stays a candidate, and the proof
    /// decides.
    pub(super) fn best_proved_line(&self, stormed: &mut Stormed) -> Result<Warned<ProvedLine>, Error> {
        let as_asked = self.proved_line(stormed, SideBySide::AsNamed)?;
        let (asked, wanted) = (self.settings.min_cover, self.settings.catch.get());
        let Some(own) = as_asked.value.caught().filter(|_| as_asked.value.may_keep_more(wanted)) else {
            return Ok(as_asked);
        };
        let mut best = (own, None);
        for cover in COVERS_M.map(Length::from_m).into_iter().filter(|cover| *cover > asked) {
            let settings = Settings { laid_cover: Some(cover), ..self.settings.clone() };
            let trial = Yard { settings: &settings, ..*self }.proved_line(stormed, SideBySide::AsChosen)?;
            let caught = trial.value.caught().filter(|caught| *caught >= best.0 + WORTH);
            best = caught.map_or(best, |caught| (caught, Some(cover)));
        }
        let (caught, Some(cover)) = best else { return Ok(as_asked) };
        let settings = Settings { laid_cover: Some(cover), ..self.settings.clone() };
        let mut found = Yard { settings: &settings, ..*self }.proved_line(stormed, SideBySide::AsNamed)?;
        found.warnings.push(laid_deeper([asked, cover], [own, caught]));
        Ok(found)
    }
}

fn laid_deeper([asked, cover]: [Length; 2], [own, caught]: [f64; 2]) -> Warning {
    Warning::new(
        "laid-deeper-than-asked",
        format!(
            "the pipes are laid with {} of ground over them, more than the {} asked for at the least: so the line catches {} of the run-on instead of {}",
            metres(cover.as_m(), 2),
            metres(asked.as_m(), 2),
            percent(caught),
            percent(own)
        ),
        "nothing to do, unless the trench should be as shallow as can be: then name the outlet (--outlet) or the arrangement (--arrangement)",
    )
}
