//! What a wider setback would do: where a few centimetres keep a swale off the lot, the line is designed and proved again with them.

use super::as_named::SideBySide;
use super::caught::inner_lot;
use super::drain::Drains;
use super::laid::Yard;
use super::obstacles::obstacles;
use super::proof::{LineProof, line_proof};
use super::settings::Settings;
use super::shares::comings;
use super::storm::Stormed;
use crate::error::Error;
use crate::interceptor::InterceptionLine;
use crate::interceptor::drain::{Arrangement, DrainOption};
use crate::units::Length;
use crate::warning::{Warned, Warning};
use crate::wording::{metres, percent};

/// Setbacks are tried in steps of this, the next above what a swale asks for, m. Ours.
const STEP_M: f64 = 0.1;
/// A wider one takes more of a lot than its owner gives, m. Ours.
const WIDEST_M: f64 = 3.0;
/// Setbacks tried at the most: each is a design and a proof of its own.
const MOST_TRIALS: usize = 4;
/// A share of the run-on this much greater is worth saying. Ours.
const WORTH: f64 = 0.005;

/// What the line would do with a wider setback.
#[derive(Debug, Clone, PartialEq)]
pub struct WiderSetback {
    /// The setback.
    pub setback: Length,
    /// Share of the run-on that the line would catch, by its proof.
    pub caught_share: f64,
    /// By part of that line its arrangement, and the share of its flow that it keeps off the lot; nothing where none can be built.
    pub parts: Vec<Option<(Arrangement, f64)>>,
}

/// Wider setbacks that would let the line catch more where it misses the wanted share, the narrowest first.
///
/// # Method
/// Tried are the setbacks that swales ask for that would keep more off the lot than what is built, to the tenth of a metre above,
/// and those that the lines so designed ask for in turn, the narrowest first; each with obstacles, stretches, ways, drains and proof of
/// its own. Only those count that catch more than every narrower one; where the wanted share is caught it ends.
pub(super) fn wider_setbacks(
    yard: &Yard<'_>,
    stormed: &mut Stormed,
    (interception, drains): (&InterceptionLine, &Drains),
    proof: Option<&LineProof>,
) -> Result<Warned<Vec<WiderSetback>>, Error> {
    let wanted = yard.settings.catch.get();
    // Whoever names an arrangement is told of its own swale (`swale-beyond-lot`).
    let proof = proof.filter(|_| yard.settings.drain.arrangement.is_none());
    let Some(mut best) = proof.map(LineProof::caught_share) else { return Ok(Warned::clean(Vec::new())) };
    let mut asked = asked_for(interception, drains);
    let mut tried = steps(yard.settings.setback);
    let mut found = Vec::new();
    for _ in 0..MOST_TRIALS {
        let next = asked.iter().copied().filter(|&steps| steps > tried).min();
        let Some(next) = next.filter(|_| best < wanted - WORTH) else { break };
        tried = next;
        let setback = Length::from_m(f64::from(next) * STEP_M);
        let Some((trial, more)) = with_setback(yard, stormed, setback)? else { continue };
        asked.extend(more);
        if trial.caught_share >= best + WORTH {
            best = trial.caught_share;
            found.push(trial);
        }
    }
    let said = findings(&found, yard.settings);
    Ok(Warned::new(found, said))
}

/// What is to be said of them.
fn findings(found: &[WiderSetback], settings: &Settings) -> Vec<Warning> {
    let words = |wider: &WiderSetback| {
        // The others are as they may be with any setback.
        let part = |(place, part): (usize, &Option<(Arrangement, f64)>)| {
            let (arrangement, share) = part.filter(|(arrangement, _)| arrangement.has_swale())?;
            Some(format!("part {} as {} that keeps {}", place + 1, arrangement.words(), percent(share)))
        };
        let parts: Vec<String> = wider.parts.iter().enumerate().filter_map(part).collect();
        Warning::new(
            "wider-setback-catches-more",
            format!(
                "with a setback of {} instead of {} the line would catch {} of the run-on{}{}",
                metres(wider.setback.as_m(), 1),
                metres(settings.setback.as_m(), 1),
                percent(wider.caught_share),
                if parts.is_empty() { "" } else { ": " },
                parts.join(", ")
            ),
            "ask for it with --setback where the lot can spare the ground",
        )
    };
    found.iter().map(words).collect()
}

/// The line with a setback, and the setbacks that it asks for in turn; nothing where there is no line then.
fn with_setback(
    yard: &Yard<'_>,
    stormed: &mut Stormed,
    setback: Length,
) -> Result<Option<(WiderSetback, Vec<u32>)>, Error> {
    let settings = Settings { setback, ..yard.settings.clone() };
    let obstacles = obstacles(yard.site, &settings);
    let inner = inner_lot(yard.routed, yard.line, &settings)?;
    let yard = Yard { settings: &settings, obstacles: &obstacles, inner: inner.as_ref(), ..*yard };
    let proposed = yard.line_beside(stormed, SideBySide::AsChosen)?.value;
    let (interception, drains) = (&proposed.laid.interception, &proposed.drains);
    let water = (yard.line, yard.drainage);
    let comes = comings(yard.routed, water, interception, &proposed.outlets)?;
    let proof = line_proof(
        yard.site,
        yard.routed,
        (yard.line, yard.inner, yard.drainage),
        (interception, &proposed.outlets, drains),
        &comes,
        (yard.channels, &settings),
    )?
    .value;
    let part = |drain: &Option<super::drain::PartDrain>| {
        let option = drain.as_ref()?.to_build()?;
        Some((option.arrangement, option.share()))
    };
    Ok(proof.map(|proof| {
        let parts = drains.parts.iter().map(part).collect();
        let trial = WiderSetback { setback, caught_share: proof.caught_share(), parts };
        (trial, asked_for(interception, drains))
    }))
}

/// Setbacks, in steps, with which there would be room for swales that keep more off the lot than what is built.
fn asked_for(interception: &InterceptionLine, drains: &Drains) -> Vec<u32> {
    let mut found = Vec::new();
    for (part, drain) in interception.parts.iter().zip(&drains.parts) {
        let Some(drain) = drain else { continue };
        let kept = drain.to_build().map_or(0.0, DrainOption::share);
        let keeps_more = drain.options.iter().map(|costed| &costed.option);
        let keeps_more = keeps_more.filter(|option| option.built.is_ok() && option.share() > kept + WORTH);
        let wide = keeps_more.filter_map(|option| option.swale_leaves(part.setback));
        found.extend(wide.map(|widest| widest.width * 0.5).filter(|m| m.as_m() <= WIDEST_M).map(steps));
    }
    found
}

/// Whole steps, none less than a length.
fn steps(length: Length) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few metres in decimetres")]
    let steps = (length.as_m() / STEP_M - 1e-9).ceil().max(0.0) as u32;
    steps
}
