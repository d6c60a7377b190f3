//! The lot in the design storm: its ledger and ways turned into what the runoff stage takes.

use super::catchment::Routed;
use super::lot_ponds::LotPond;
use super::settings::Settings;
use crate::formula::curve_number::runoff_depth;
use crate::input::Site;
use crate::interceptor::{CaughtStretch, LineStorm};
use crate::lots::{Crossing, Inflow, LongestWay, LotDrainage, LotLine, Stretch, amount_within, longest_ways};
use crate::runoff::{
    CrossingWater, Design, GroundKind, LotDesign, Piece, StormLedger, Stream, Surface, WayPoint, design,
    storm_ledger,
};
use crate::terrain::Pond;
use crate::units::Area;
use crate::warning::Warned;

/// Flows of all crossings and of the whole.
pub(super) fn storm(
    site: &Site,
    routed: &Routed,
    drainage: &LotDrainage,
    settings: &Settings,
) -> Warned<Design> {
    let kinds = vec![settings.ground.bare_kind()];
    let ways = longest_ways(
        &routed.scene(),
        &routed.arrival,
        &drainage.descent.entries,
        &drainage.crossings,
        routed.ground.georef,
        site.crs.metres_per_unit(),
    );
    let crossings: Vec<CrossingWater> = drainage
        .crossings
        .iter()
        .zip(ways)
        .map(|(crossing, way)| CrossingWater {
            pieces: pieces(crossing),
            way: way.map(|way| points(routed, drainage, &kinds, &way)),
        })
        .collect();
    design(&settings.storm, kinds, &crossings)
}

fn pieces(crossing: &Crossing) -> Vec<Piece> {
    let of = |&(label, m2): &(_, f64)| Piece { label, kind: 0, area: Area::from_m2(m2) };
    crossing.origins.iter().map(of).collect()
}

/// The way with levels, areas above and what it runs over.
fn points(routed: &Routed, drainage: &LotDrainage, kinds: &[GroundKind], way: &LongestWay) -> Vec<WayPoint> {
    let surface: Surface = kinds[0].surface;
    let area_above =
        |cell: usize| routed.reach.place(cell).map_or(0.0, |place| drainage.descent.area_m2[place]);
    way.cells
        .iter()
        .zip(&way.chainage_m)
        .map(|(&cell, &at_m)| WayPoint {
            at_m,
            level_m: f64::from(routed.filled.values()[cell]),
            upstream_m2: area_above(cell),
            surface,
        })
        .collect()
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
pub(super) fn spilling(
    routed: &Routed,
    drainage: &LotDrainage,
    ponds: &[LotPond],
    settings: &Settings,
) -> Spilling {
    let kind = settings.ground.bare_kind();
    let depth = settings.storm.depth().zip(kind.curve_number);
    let runoff_m = depth.map_or(0.0, |(rain, number)| runoff_depth(rain, number).as_m());
    let ponds: Vec<Pond> = ponds.iter().map(|found| found.pond.clone()).collect();
    let entries = &drainage.descent.entries;
    let ledger = storm_ledger(&routed.scene(), &routed.arrival, entries, &ponds, |_| runoff_m)
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
