//! The line proved on the routed ground: its parts drain where it is proposed that they do.

use super::catches_less::catches_less;
use super::catchment::Routed;
use super::drain::{Drains, PartDrain};
use super::outlets::PartOutlets;
use super::settings::Settings;
use super::shares::{Comes, TakenShare, onward, onward_joints};
use crate::error::Error;
use crate::input::{Parcel, Site};
use crate::interceptor::drain::handed_share;
use crate::interceptor::proof::{Discharge, InnerLot, Proof, ProofBasis, ProvedPart, SinkReceived, prove};
use crate::interceptor::{InterceptionLine, InterceptorError, OutletKind, OutletPlace};
use crate::lots::{Label, Leaving, LotDrainage, LotLine};
use crate::warning::{Warned, Warning};
use crate::wording::{called, percent, square_metres};
use std::collections::BTreeMap;

/// A parcel that receives less than this share of the taken water more than before isn't warned of.
const LEAST_GAIN: f64 = 1e-3;
/// Let-out water of which less than this share comes back to the lot stays away.
const LEAST_BACK: f64 = 1e-3;
/// The terms of the balance may miss by so much of the run-on: rounding, and the traces that aren't followed.
const ROUNDING: f64 = 1e-6;

/// The proof of a line, and what it means for the inlets that were given.
#[derive(Debug, Clone, PartialEq)]
pub struct LineProof {
    /// The proof.
    pub proof: Proof,
    /// Share of all water that crosses a part that it takes, by part; place by place see the proof's crossings.
    pub takes: Vec<f64>,
    /// By inlet, in the order of the site's list; only those that the taken water came to or comes to.
    pub inlets: Vec<InletReceived>,
    /// What left the ground that was read elsewhere than at an inlet without the line, m².
    pub off_without_m2: f64,
    /// What leaves it so with the line, or is let out where nothing is known of the ground, m².
    pub off_with_m2: f64,
    /// What is taken by parts without an outlet, m².
    pub nowhere_m2: f64,
}

/// The taken water at an inlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InletReceived {
    /// Place of the inlet in the site's list.
    pub inlet: usize,
    /// What came there over the ground without the line, m².
    pub without_m2: f64,
    /// What comes there with it, over the ground and by pipe, m².
    pub with_m2: f64,
}

/// Where a part's pipe ends.
#[derive(Debug, Clone, Copy)]
enum PipeEnd {
    Nowhere,
    Inlet(Option<usize>),
    Ground(usize),
    NotRead,
}

/// Follows the water with the line in place; nothing without a line.
pub(super) fn line_proof(
    site: &Site,
    routed: &Routed,
    (line, inner, drainage): (&LotLine, Option<&InnerLot>, &LotDrainage),
    (interception, outlets, drains): (&InterceptionLine, &[PartOutlets], &Drains),
    comes: &[Option<Comes>],
    (channels, settings): (&[usize], &Settings),
) -> Result<Warned<Option<LineProof>>, Error> {
    if interception.parts.is_empty() {
        return Ok(Warned::clean(None));
    }
    let ends: Vec<PipeEnd> = (0..outlets.len()).map(|part| pipe_end(site, routed, outlets, part)).collect();
    let share = |part: usize| share_taken(interception, outlets, (drains, comes), part);
    let shares: Vec<TakenShare> = (0..outlets.len()).map(share).collect::<Result<_, _>>()?;
    let parts: Vec<ProvedPart<'_>> = interception
        .parts
        .iter()
        .zip(&ends)
        .map(|(part, end)| ProvedPart { path: &part.path, discharge: end.discharge() })
        .collect();
    let proof = prove(&ProofBasis {
        scene: &routed.scene(),
        georef: routed.ground.georef,
        arrival: &routed.arrival,
        entries: &drainage.descent.entries,
        line,
        inner,
        parts: &parts,
        channels,
        takes: &|part, station_m| shares[part].at(station_m),
    })?;
    let found = LineProof::of(routed, proof, shares.iter().map(TakenShare::mean).collect(), &ends);
    let mut warnings = findings(site, routed, &found, &ends);
    warnings.extend(catches_less(&found, settings.catch.get()));
    Ok(Warned::new(Some(found), warnings))
}

/// Share of the water that crosses a part that its drain keeps off the lot, place by place: without a storm all of it. Where a storm is
/// known a part takes nothing that has no outlet, or whose drain isn't built. What it hands on to another's pipe goes on as far as that one,
/// from there down, and those after it carry, and nowhere where one of them isn't built.
fn share_taken(
    interception: &InterceptionLine,
    outlets: &[PartOutlets],
    (drains, comes): (&Drains, &[Option<Comes>]),
    part: usize,
) -> Result<TakenShare, InterceptorError> {
    if interception.parts[part].flow().is_none() {
        return Ok(TakenShare::Even(1.0));
    }
    let drain = |part: usize| drains.parts[part].as_ref().and_then(PartDrain::to_build);
    let Some(option) = drain(part).filter(|_| outlets[part].place().is_some()) else {
        return Ok(TakenShare::Even(0.0));
    };
    // Each pipe is held against what the one before hands on.
    let mut further = 1.0;
    for (into, at_m) in onward_joints(outlets, part) {
        let receiving =
            drains.parts[into].as_ref().and_then(|drain| Some((drain.to_build()?, &drain.growth)));
        further *= receiving.map_or(Ok(0.0), |(option, growth)| option.passes(growth, at_m))?;
    }
    let room = handed_share(option.kept_shares) * further;
    let share = option.share().min(room);
    Ok(match &comes[part] {
        Some(comes) => TakenShare::along(comes, option.kept(comes.growth(), 0), room, share),
        None => TakenShare::Even(share),
    })
}

fn pipe_end(site: &Site, routed: &Routed, outlets: &[PartOutlets], part: usize) -> PipeEnd {
    let Some(place) = last_place(outlets, part) else { return PipeEnd::Nowhere };
    match place.kind {
        OutletKind::StormInlet => PipeEnd::Inlet(
            site.beside.inlets.iter().position(|inlet| inlet.id == place.id && inlet.at == place.at),
        ),
        OutletKind::NamedPlace | OutletKind::Ditch | OutletKind::Kerb | OutletKind::Daylight => {
            routed.cell_at(place.at).map_or(PipeEnd::NotRead, PipeEnd::Ground)
        }
        OutletKind::Chamber | OutletKind::OtherPart => PipeEnd::Nowhere,
    }
}

/// Where a part's water leaves the line in the end: of one that joins another's pipe, where that of the last
/// one does.
pub(crate) fn last_place(outlets: &[PartOutlets], part: usize) -> Option<&OutletPlace> {
    outlets[onward(outlets, part).last().unwrap_or(part)].place()
}

impl PipeEnd {
    const fn discharge(self) -> Discharge {
        match self {
            Self::Nowhere => Discharge::Nowhere,
            Self::Inlet(_) | Self::NotRead => Discharge::OffTheSurface,
            Self::Ground(cell) => Discharge::Onto(cell),
        }
    }
}

impl LineProof {
    /// Share of the run-on that the line catches; all where there is none.
    pub(super) fn caught_share(&self) -> f64 {
        let balance = self.proof.balance;
        if balance.before_m2 > 0.0 { balance.caught_m2 / balance.before_m2 } else { 1.0 }
    }

    /// Share of the run-on that comes behind the setback, or to the line: none there catches more.
    pub(super) fn at_most_share(&self) -> f64 {
        let (balance, edge_m2) = (self.proof.balance, self.proof.missed.edge_m2);
        let away_m2 = edge_m2 + balance.elsewhere_m2;
        if balance.before_m2 > 0.0 { 1.0 - away_m2 / balance.before_m2 } else { 1.0 }
    }

    fn of(routed: &Routed, proof: Proof, takes: Vec<f64>, ends: &[PipeEnd]) -> Self {
        let mut found =
            Self { proof, takes, inlets: Vec::new(), off_without_m2: 0.0, off_with_m2: 0.0, nowhere_m2: 0.0 };
        let mut inlets: BTreeMap<usize, [f64; 2]> = BTreeMap::new();
        for &SinkReceived { to, without_m2, with_m2 } in &found.proof.sinks {
            if let Leaving::IntoInlet(place) = to {
                let sums = inlets.entry(routed.ground.inlets.inlet(place)).or_default();
                *sums = [sums[0] + without_m2, sums[1] + with_m2];
            } else {
                found.off_without_m2 += without_m2;
                found.off_with_m2 += with_m2;
            }
        }
        for (end, taken) in ends.iter().zip(&found.proof.taken) {
            match end {
                PipeEnd::Inlet(Some(inlet)) => inlets.entry(*inlet).or_default()[1] += taken.total_m2(),
                PipeEnd::Inlet(None) | PipeEnd::NotRead => found.off_with_m2 += taken.total_m2(),
                PipeEnd::Nowhere => found.nowhere_m2 += taken.total_m2(),
                PipeEnd::Ground(_) => {}
            }
        }
        found.inlets = inlets
            .into_iter()
            .map(|(inlet, [without_m2, with_m2])| InletReceived { inlet, without_m2, with_m2 })
            .collect();
        found
    }

    /// Ground whose rain the line takes, m².
    #[must_use]
    pub fn taken_m2(&self) -> f64 {
        self.proof.taken.iter().map(crate::interceptor::proof::Taken::total_m2).sum()
    }

    /// Changes this small aren't told, m².
    #[must_use]
    pub fn least_change_m2(&self) -> f64 {
        LEAST_GAIN * self.taken_m2()
    }
}

/// What must be said of where the water goes.
fn findings(site: &Site, routed: &Routed, found: &LineProof, ends: &[PipeEnd]) -> Vec<Warning> {
    let mut warnings = gains(site, routed, found);
    for (part, (end, back)) in ends.iter().zip(&found.proof.comes_back).enumerate() {
        if *back > LEAST_BACK {
            warnings.push(Warning::new(
                "discharge-comes-back",
                format!(
                    "{} of what part {} of the line lets out runs back onto the lot; it is counted as left on it",
                    percent(*back),
                    part + 1
                ),
                "name an outlet that lies lower, or on the other side of the lot",
            ));
        }
        if matches!(end, PipeEnd::NotRead) {
            warnings.push(Warning::new(
                "discharge-not-followed",
                format!("nothing is known of the ground at the outlet of part {} of the line, so its water isn't followed", part + 1),
                "look at the place, or give elevation data that reach it",
            ));
        }
    }
    if found.proof.balance.gap() > ROUNDING {
        let balance = found.proof.balance;
        warnings.push(Warning::new(
            "balance-open",
            format!(
                "of {:.1} m² of run-on the line catches {:.1}, {:.1} are left and {:.1} go elsewhere, which doesn't add up",
                balance.before_m2, balance.caught_m2, balance.left_m2, balance.elsewhere_m2
            ),
            "this is a fault of the program: please report it with the inputs",
        ));
    }
    warnings
}

/// Other parcels that receive more than without the line.
fn gains(site: &Site, routed: &Routed, found: &LineProof) -> Vec<Warning> {
    let least_m2 = found.least_change_m2();
    let gain = found.proof.received.iter().filter_map(|row| {
        let gain_m2 = row.with_m2 - row.without_m2;
        parcel(site, routed, row.label).filter(|_| gain_m2 > least_m2).map(|parcel| (parcel, gain_m2))
    });
    gain.map(|(parcel, gain_m2)| {
        Warning::new(
            "other-parcel-receives-more",
            format!(
                "with the line in place {} receives the rain of {} more than without it",
                called("parcel", &parcel.id),
                square_metres(gain_m2)
            ),
            "a discharge that comes onto it needs its owner's written consent, and what it can take is unknown here: get it, or name another outlet",
        )
    })
    .collect()
}

fn parcel<'a>(site: &'a Site, routed: &Routed, label: Label) -> Option<&'a Parcel> {
    let place = *routed.ground.parcels.get(label.place()?)?;
    site.parcels.parcels().get(place)
}
