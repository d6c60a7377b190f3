//! The lot in the design storm: its ledger and ways turned into what the runoff stage takes.

use super::catchment::Routed;
use super::cover::Covers;
use super::lot_ponds::LotPond;
use super::settings::Settings;
use super::ways::{Bands, WayFinder, WaysOfGroup, mean_grade};
use crate::error::Error;
use crate::formula::curve_number::runoff_depth;
use crate::input::{CoverSource, Site};
use crate::lots::{LongestWay, LotDrainage, origins_by_ground};
use crate::runoff::{
    CoverTableError, CrossingWater, Design, Lie, Piece, Rain, Sort, StormLedger, design, storm_ledger,
};
use crate::terrain::Pond;
use crate::units::Area;
use crate::warning::{Warned, Warning};
use std::collections::BTreeSet;

/// The lot in the design storm.
pub(super) struct Stormed {
    /// Flows, or what is missing.
    pub(super) design: Design,
    /// Ponds that fill and spill.
    pub(super) spilling: Spilling,
    /// The longest way to each crossing, by which its time of concentration is found.
    pub(super) ways: Vec<Option<LongestWay>>,
    /// Which ground each crossing has.
    pub(super) sorts: Vec<BTreeSet<Sort>>,
    /// What the ground of the window is covered with.
    pub(super) covers: Covers,
    pub(super) lie: Lie,
    /// How far ground lies from the lot line, in rain that falls with its duration.
    pub(super) bands: Option<Bands>,
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
    let mut covers = Covers::of(site, routed, &settings.ground.table)?;
    let finder = WayFinder { site, routed, drainage, settings };
    let groups: Vec<Vec<usize>> = drainage.crossings.iter().map(|c| c.members.clone()).collect();
    let years = settings.storm.rain.as_ref().and_then(Rain::years);
    let lie = Lie { grade: mean_grade(routed, drainage, &finder.longest_ways(&groups)), years };
    // In rain of one intensity all of the ground gives the most.
    let falls = settings.storm.rain.as_ref().is_some_and(Rain::falls_with_duration);
    let bands = falls.then(|| Bands::of(routed));
    let pieces = pieces(&finder, &mut covers, lie, bands.as_ref())?;
    let sorts: Vec<BTreeSet<Sort>> = pieces.iter().map(|pieces| sorts(&covers, pieces)).collect();
    let found = finder.ways(&mut covers, lie, &groups, &sorts, bands.as_ref())?;
    let crossing =
        |(pieces, found): (Vec<Piece>, &WaysOfGroup)| CrossingWater { pieces, ways: found.ways.clone() };
    let crossings: Vec<CrossingWater> = pieces.into_iter().zip(&found).map(crossing).collect();
    let design = design(&settings.storm, covers.kinds().to_vec(), &crossings).unload(&mut warnings);
    let ways = longest_ways(found, &design);
    warnings.extend(cover_warnings(site, &design, settings));
    let spilling = spilling(routed, drainage, ponds, &covers, &design);
    Ok(Warned::new(Stormed { design, spilling, ways, sorts, covers, lie, bands }, warnings))
}

fn sorts(covers: &Covers, pieces: &[Piece]) -> BTreeSet<Sort> {
    pieces.iter().map(|piece| Sort::of(covers.kinds(), piece)).collect()
}

/// Of each crossing the way whose time counts; from slow ground where no time is worked out.
fn longest_ways(found: Vec<WaysOfGroup>, design: &Design) -> Vec<Option<LongestWay>> {
    let fast =
        |crossing: usize| design.flows().is_some_and(|flows| flows.crossings[crossing].longest_is_fast);
    let longest = |(crossing, WaysOfGroup { longest: [slow, quick], .. }): (usize, WaysOfGroup)| {
        if fast(crossing) { quick } else { slow.or(quick) }
    };
    found.into_iter().enumerate().map(longest).collect()
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

/// Where the rain of each crossing fell.
fn pieces(
    finder: &WayFinder<'_>,
    covers: &mut Covers,
    lie: Lie,
    bands: Option<&Bands>,
) -> Result<Vec<Vec<Piece>>, Error> {
    let (scene, entries) = (finder.routed.scene(), &finder.drainage.descent.entries);
    let mut found = Vec::with_capacity(finder.drainage.crossings.len());
    for crossing in &finder.drainage.crossings {
        let mut pieces = Vec::new();
        let band = |cell: usize| bands.map_or(0, |bands| bands.band(&scene, cell));
        let origins =
            origins_by_ground(&scene, &finder.routed.arrival, entries, crossing, &covers.cells, band);
        for ((label, key, band), m2) in origins {
            let kind =
                covers.place(key, finder.settings, lie).map_err(|error| located(error, finder.site))?;
            pieces.push(Piece { label, kind, band, area: Area::from_m2(m2) });
        }
        found.push(pieces);
    }
    Ok(found)
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
