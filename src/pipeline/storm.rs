//! The lot in the design storm: its ledger and ways turned into what the runoff stage takes.

use super::catchment::Routed;
use super::cover::Covers;
use super::lot_ponds::LotPond;
use super::settings::Settings;
use crate::error::Error;
use crate::flow::Routing;
use crate::formula::curve_number::runoff_depth;
use crate::input::Site;
use crate::interceptor::{CaughtStretch, LineStorm};
use crate::lots::{
    Inflow, LongestWay, LotDrainage, LotLine, Stretch, WayField, amount_within, longest_ways,
    origins_by_ground,
};
use crate::runoff::{
    CrossingWater, Design, Lie, LotDesign, Piece, Rain, StormLedger, Stream, WayPoint, design, storm_ledger,
};
use crate::terrain::Pond;
use crate::units::Area;
use crate::warning::Warned;

/// The lot in the design storm.
pub(super) struct Stormed {
    /// Flows, or what is missing.
    pub(super) design: Design,
    /// Ponds that fill and spill.
    pub(super) spilling: Spilling,
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
    let scene = routed.scene();
    let entries = &drainage.descent.entries;
    let scale = site.crs.metres_per_unit();
    let ways = longest_ways(&way_fields(routed), entries, &drainage.crossings, routed.ground.georef, scale);
    let years = settings.storm.rain.as_ref().and_then(Rain::years);
    let lie = Lie { grade: mean_grade(routed, drainage, &ways), years };
    let mut crossings = Vec::with_capacity(ways.len());
    for (crossing, way) in drainage.crossings.iter().zip(ways) {
        let mut pieces = Vec::new();
        for ((label, key), m2) in origins_by_ground(&scene, &routed.arrival, entries, crossing, &covers.cells)
        {
            let kind = covers.place(key, settings, lie)?;
            pieces.push(Piece { label, kind, area: Area::from_m2(m2) });
        }
        let way = way.map(|way| points(routed, drainage, &mut covers, settings, lie, &way)).transpose()?;
        crossings.push(CrossingWater { pieces, way });
    }
    let design = design(&settings.storm, covers.kinds().to_vec(), &crossings).unload(&mut warnings);
    let spilling = spilling(routed, drainage, ponds, &covers, &design);
    Ok(Warned::new(Stormed { design, spilling }, warnings))
}

/// The single routing first, whose ways keep to the fall, then the one asked for.
fn way_fields(routed: &Routed) -> Vec<WayField<'_>> {
    let asked = WayField { scene: routed.scene(), arrival: &routed.arrival };
    let single = match &routed.other {
        Some((field, reach, arrival)) if routed.routing == Routing::Proportional => {
            Some(WayField { scene: routed.ground.scene(field, reach), arrival })
        }
        _ => None,
    };
    single.into_iter().chain([asked]).collect()
}

/// Mean fall of the longest ways, weighted by their crossings' areas; 0 where there is none. Falls from cell to cell would
/// count every furrow.
fn mean_grade(routed: &Routed, drainage: &LotDrainage, ways: &[Option<LongestWay>]) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for (crossing, way) in drainage.crossings.iter().zip(ways) {
        let Some(way) = way else { continue };
        let level = |cell: Option<&usize>| cell.map_or(f64::NAN, |&cell| level_at(routed, cell));
        let fall_m = level(way.cells.first()) - level(way.cells.last());
        if fall_m.is_finite() && way.length_m() > 0.0 {
            sum += crossing.area_m2 * (fall_m / way.length_m()).max(0.0);
            weights += crossing.area_m2;
        }
    }
    if weights > 0.0 { sum / weights } else { 0.0 }
}

/// Level of ground or filled pond; below a roof, of the ground there.
fn level_at(routed: &Routed, cell: usize) -> f64 {
    f64::from(routed.ground.roofs.ground_at(cell, routed.filled.values()[cell]))
}

/// The way with levels, areas above and what it runs over.
fn points(
    routed: &Routed,
    drainage: &LotDrainage,
    covers: &mut Covers,
    settings: &Settings,
    lie: Lie,
    way: &LongestWay,
) -> Result<Vec<WayPoint>, Error> {
    let area_above =
        |cell: usize| routed.reach.place(cell).map_or(0.0, |place| drainage.descent.area_m2[place]);
    let mut found: Vec<WayPoint> = Vec::with_capacity(way.cells.len());
    let mut level_m = f64::INFINITY;
    for (&cell, &at_m) in way.cells.iter().zip(&way.chainage_m) {
        let kind = covers.place(covers.cells.middle(cell), settings, lie)?;
        // A way may start on a roof, which stands raised.
        let level = level_at(routed, cell);
        level_m = if level.is_finite() { level_m.min(level) } else { level_m };
        let surface = covers.kinds()[kind].surface;
        found.push(WayPoint { at_m, level_m, upstream_m2: area_above(cell), surface });
    }
    // Unknown ground below a roof at the top is as high as what comes first.
    let first = found.iter().map(|point| point.level_m).find(|level| level.is_finite()).unwrap_or(0.0);
    for point in found.iter_mut().take_while(|point| !point.level_m.is_finite()) {
        point.level_m = first;
    }
    Ok(found)
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

/// The water of a stretch as streams: of each crossing the part that enters over it.
pub(super) fn caught(
    stretch: Stretch,
    drainage: &LotDrainage,
    line: &LotLine,
    design: &Design,
) -> CaughtStretch {
    let length_m = line.ring_lengths_m()[stretch.ring];
    let area_m2 = amount_within(&stretch, &drainage.inflows, length_m);
    let streams = design.flows().map_or_else(Vec::new, |flows| {
        let each = drainage.crossings.iter().zip(&flows.crossings);
        each.flat_map(|(crossing, found)| {
            let own: Vec<Inflow> = crossing.members.iter().map(|&i| drainage.inflows[i]).collect();
            let share = amount_within(&stretch, &own, length_m) / found.area.as_m2();
            found.streams.map(|s| Stream { shedding: s.shedding * share, time: s.time })
        })
        .filter(|stream| stream.shedding.as_m2() > 0.0)
        .collect()
    });
    CaughtStretch { stretch, contributing_area: Area::from_m2(area_m2), streams }
}

/// The storm as the line needs it: the strip between lot line and line sheds as the run-on does, at once.
pub(super) fn line_storm<'a>(settings: &'a Settings, design: &LotDesign) -> Option<LineStorm<'a>> {
    Some(LineStorm {
        rain: settings.storm.rain.as_ref()?,
        strip_coefficient: design.coefficient,
        strip_time: settings.storm.least_time,
    })
}
