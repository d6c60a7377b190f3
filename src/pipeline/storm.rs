//! The lot in the design storm: its ledger and ways turned into what the runoff stage takes.

use super::catchment::Routed;
use super::cover::Covers;
use super::lot_ponds::LotPond;
use super::settings::Settings;
use super::ways::{Heads, Ways};
use crate::error::Error;
use crate::formula::curve_number::runoff_depth;
use crate::input::{CoverSource, Site};
use crate::lots::{LongestWay, LotDrainage, whole_steps};
use crate::runoff::{CoverTableError, CrossingWater, Design, Piece, StormLedger, design, storm_ledger};
use crate::terrain::Pond;
use crate::units::Time;
use crate::warning::{Warned, Warning};

/// The lot in the design storm.
pub(super) struct Stormed {
    /// Flows, or what is missing.
    pub(super) design: Design,
    /// Ponds that fill and spill.
    pub(super) spilling: Spilling,
    /// The way to each crossing that takes longest, which sets its time of concentration.
    pub(super) longest: Vec<Option<LongestWay>>,
    /// All ways.
    pub(super) ways: Ways,
    /// What the ground of the window is covered with.
    pub(super) covers: Covers,
}

/// Flows of all crossings and of the whole, and what the ponds let through.
pub(super) fn storm(
    site: &Site,
    routed: &Routed,
    drainage: &LotDrainage,
    ponds: &[LotPond],
    settings: &Settings,
) -> Result<Warned<Stormed>, Error> {
    let mut warnings = Vec::new();
    let named = |error: Error| located(error, site);
    let mut covers = Covers::of(site, routed, settings)?;
    let ways = Ways::of(routed, drainage, &mut covers, settings).map_err(named)?;
    let mut origins = Vec::with_capacity(drainage.crossings.len());
    for crossing in &drainage.crossings {
        let steps = whole_steps(&drainage.descent.entries, &crossing.members);
        origins.push(ways.pieces(routed, &mut covers, settings, &steps).map_err(named)?);
    }
    let (pieces, heads): (Vec<Vec<Piece>>, Vec<Heads>) = origins.into_iter().unzip();
    let kinds = covers.kinds();
    let longest: Vec<_> =
        heads.iter().map(|heads| |within: Time| ways.longest(kinds, heads, within)).collect();
    let crossings: Vec<CrossingWater<'_>> =
        pieces.into_iter().zip(&longest).map(|(pieces, longest)| CrossingWater { pieces, longest }).collect();
    let design = design(&settings.storm, kinds.to_vec(), &crossings).unload(&mut warnings);
    warnings.extend(cover_warnings(site, &design, settings));
    let spilling = spilling(routed, drainage, ponds, &covers, &design);
    let longest = heads.iter().map(|heads| ways.drawn(heads)).collect();
    Ok(Warned::new(Stormed { design, spilling, longest, ways, covers }, warnings))
}

/// A class that no table has, with the feature that it comes from.
fn located(error: Error, site: &Site) -> Error {
    let (Error::Cover(CoverTableError::Class { class, known }), Some(CoverSource::Patches(set))) =
        (&error, &site.beside.cover)
    else {
        return error;
    };
    let Some(patch) = set.patches().iter().find(|patch| patch.says.class.as_ref() == Some(class)) else {
        return error;
    };
    CoverTableError::ClassOfFeature {
        path: set.path().display().to_string(),
        feature: patch.feature.clone(),
        class: class.clone(),
        known: known.clone(),
    }
    .into()
}

/// Ground that was told twice, or in vain.
fn cover_warnings(site: &Site, design: &Design, settings: &Settings) -> Vec<Warning> {
    let Some(flows) = design.flows() else { return Vec::new() };
    let kinds = || flows.by_kind.keys().map(|&place| &flows.kinds[place]);
    let mut warnings = Vec::new();
    let built_up: Vec<&str> = kinds().filter(|kind| kind.built_up).map(|kind| kind.name.as_str()).collect();
    if site.beside.buildings.is_some() && !built_up.is_empty() {
        warnings.push(Warning::new(
            "roofs-counted-twice",
            format!(
                "the figures of {} have roofs and paving in them, and the buildings' roofs come on top",
                built_up.join(", ")
            ),
            "take the cover of the ground between the buildings, as lawn-good, or leave the buildings out",
        ));
    }
    if settings.ground.coefficient.is_some() && !kinds().any(|kind| kind.typed) {
        warnings.push(Warning::new(
            "coefficient-unused",
            "the runoff coefficient that was typed has no part in the result: all of the ground has one by its cover",
            "leave it out, or leave out the cover",
        ));
    }
    warnings
}

/// Ponds in the design storm, and what they let through.
#[derive(Debug)]
pub struct Spilling {
    /// Whose water reaches the lot in the storm; of a storm without runoff where depth or curve numbers aren't known.
    pub ledger: StormLedger,
    /// Whether they are known.
    pub is_known: bool,
}

/// Fills the ponds by the storm's runoff.
fn spilling(
    routed: &Routed,
    drainage: &LotDrainage,
    ponds: &[LotPond],
    covers: &Covers,
    design: &Design,
) -> Spilling {
    let depth = design.flows().filter(|flows| flows.volume.is_some()).and_then(|flows| flows.depth);
    let runoff_m = |cell: usize| {
        let Some(rain) = depth else { return 0.0 };
        let parts = covers.parts(cell).map(|(kind, part)| {
            kind.curve_number.map_or(0.0, |number| runoff_depth(rain, number).as_m()) * part
        });
        parts.sum()
    };
    let ponds: Vec<Pond> = ponds.iter().map(|found| found.pond.clone()).collect();
    let entries = &drainage.descent.entries;
    let ledger = storm_ledger(&routed.scene(), &routed.arrival, entries, &ponds, runoff_m)
        .expect("runoff is finite and 0 or more");
    Spilling { ledger, is_known: depth.is_some() }
}
