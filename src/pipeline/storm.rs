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
    DownLengths, Inflow, LongestWay, LotDrainage, LotLine, Scene, Stretch, WayField, amount_within,
    longest_ways, origins_by_ground,
};
use crate::runoff::{
    CrossingWater, Design, Lie, LotDesign, Piece, Rain, StormLedger, Stream, WayPoint, Ways, design,
    storm_ledger, stream_times,
};
use crate::terrain::Pond;
use crate::units::Area;
use crate::warning::{Warned, Warning};

/// The lot in the design storm.
pub(super) struct Stormed {
    /// Flows, or what is missing.
    pub(super) design: Design,
    /// Ponds that fill and spill.
    pub(super) spilling: Spilling,
    /// The longest way to each crossing, by which its time is found.
    pub(super) ways: Vec<Option<LongestWay>>,
    /// What the ground of the window is covered with.
    covers: Covers,
    pub(super) lie: Lie,
}

/// Bands of distance from the lot line, along the water's main way: each reaches this much farther than the one before.
const BAND_RATIO: f64 = 1.3;
/// The first band, m.
const FIRST_BAND_M: f64 = 10.0;
/// Most bands: the last ends at 2.5 km.
const MOST_BANDS: usize = 22;

/// Distances from the lot line, and the bands that they fall into. Their ends don't hang on the ground, so that more
/// ground farther off changes nothing of those before it.
struct Bands {
    down: DownLengths,
    /// Ends of the bands that leave something beyond them, m.
    ends_m: Vec<f64>,
}

impl Bands {
    fn of(scene: &Scene<'_>) -> Self {
        let down = DownLengths::of(scene);
        let lengths = scene.reach.cells().iter().map(|&cell| down.at(scene, cell as usize));
        let farthest_m = lengths.filter(|m| m.is_finite()).fold(0.0, f64::max);
        let ends = std::iter::successors(Some(FIRST_BAND_M), |end| Some(end * BAND_RATIO));
        let ends_m = ends.take(MOST_BANDS).take_while(|&end| end < farthest_m).collect();
        Self { down, ends_m }
    }

    /// Band of a cell; the number of bands for those beyond.
    fn band(&self, scene: &Scene<'_>, cell: usize) -> usize {
        let down_m = self.down.at(scene, cell);
        self.ends_m.partition_point(|&end| end < down_m)
    }
}

/// What ways are looked for on.
pub(super) struct Ground<'a> {
    pub(super) site: &'a Site,
    pub(super) routed: &'a Routed,
    pub(super) drainage: &'a LotDrainage,
    pub(super) settings: &'a Settings,
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
    let ground = Ground { site, routed, drainage, settings };
    let groups: Vec<Vec<usize>> = drainage.crossings.iter().map(|c| c.members.clone()).collect();
    let years = settings.storm.rain.as_ref().and_then(Rain::years);
    let lie = Lie { grade: mean_grade(routed, drainage, &ground.longest_ways(&groups, |_| true)), years };
    let bands = Bands::of(&routed.scene());
    let pieces = ground.pieces(&mut covers, lie, &bands)?;
    let (ways, all) = ground.ways(&mut covers, lie, &groups, Some(&bands))?;
    let crossings: Vec<CrossingWater> =
        pieces.into_iter().zip(all).map(|(pieces, ways)| CrossingWater { pieces, ways }).collect();
    let design = design(&settings.storm, covers.kinds().to_vec(), &crossings).unload(&mut warnings);
    warnings.extend(cover_warnings(site, &design, settings));
    let spilling = spilling(routed, drainage, ponds, &covers, &design);
    Ok(Warned::new(Stormed { design, spilling, ways, covers, lie }, warnings))
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

impl Ground<'_> {
    /// For each group of entries the longest way that starts where it may.
    fn longest_ways(&self, groups: &[Vec<usize>], starts: impl Fn(usize) -> bool) -> Vec<Option<LongestWay>> {
        let georef = self.routed.ground.georef;
        let scale = self.site.crs.metres_per_unit();
        longest_ways(&way_fields(self.routed), &self.drainage.descent.entries, groups, starts, georef, scale)
    }

    /// For each group of entries its longest slow way, and all the ways that its times are found by.
    fn ways(
        &self,
        covers: &mut Covers,
        lie: Lie,
        groups: &[Vec<usize>],
        bands: Option<&Bands>,
    ) -> Result<(Vec<Option<LongestWay>>, Vec<Ways>), Error> {
        let scene = self.routed.scene();
        let slow = self.longest_ways(groups, |cell| !covers.is_fast(cell));
        let fast = self.longest_ways(groups, |cell| covers.is_fast(cell));
        let within =
            |bands: &Bands, band: usize| self.longest_ways(groups, |cell| bands.band(&scene, cell) <= band);
        let near: Vec<Vec<Option<LongestWay>>> = bands
            .map_or_else(Vec::new, |bands| (0..bands.ends_m.len()).map(|band| within(bands, band)).collect());
        let mut found = Vec::with_capacity(groups.len());
        for (group, (slow, fast)) in slow.iter().zip(&fast).enumerate() {
            let mut ways = Ways {
                slow: self.points(covers, lie, slow.as_ref())?,
                fast: self.points(covers, lie, fast.as_ref())?,
                near: Vec::new(),
            };
            for ways_of_band in &near {
                ways.near.push(self.points(covers, lie, ways_of_band[group].as_ref())?);
            }
            found.push(ways);
        }
        Ok((slow, found))
    }

    /// Where the rain of each crossing fell.
    fn pieces(&self, covers: &mut Covers, lie: Lie, bands: &Bands) -> Result<Vec<Vec<Piece>>, Error> {
        let (scene, entries) = (self.routed.scene(), &self.drainage.descent.entries);
        let mut found = Vec::with_capacity(self.drainage.crossings.len());
        for crossing in &self.drainage.crossings {
            let mut pieces = Vec::new();
            let band = |cell: usize| bands.band(&scene, cell);
            let origins =
                origins_by_ground(&scene, &self.routed.arrival, entries, crossing, &covers.cells, band);
            for ((label, key, band), m2) in origins {
                let kind = covers.place(key, self.settings, lie)?;
                pieces.push(Piece { label, kind, band, area: Area::from_m2(m2) });
            }
            found.push(pieces);
        }
        Ok(found)
    }

    /// A way with levels, areas above and what it runs over.
    fn points(
        &self,
        covers: &mut Covers,
        lie: Lie,
        way: Option<&LongestWay>,
    ) -> Result<Option<Vec<WayPoint>>, Error> {
        let Some(way) = way else { return Ok(None) };
        let routed = self.routed;
        let area_above =
            |cell: usize| routed.reach.place(cell).map_or(0.0, |place| self.drainage.descent.area_m2[place]);
        let mut found: Vec<WayPoint> = Vec::with_capacity(way.cells.len());
        let mut level_m = f64::INFINITY;
        for (&cell, &at_m) in way.cells.iter().zip(&way.chainage_m) {
            let kind = covers.place(covers.cells.middle(cell), self.settings, lie)?;
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
        Ok(Some(found))
    }
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

impl Stormed {
    /// The water of each stretch as streams: of each crossing the part that enters over it, in the time of the ways that
    /// end there.
    pub(super) fn caught(
        &mut self,
        ground: &Ground<'_>,
        line: &LotLine,
        stretches: Vec<Stretch>,
    ) -> Result<Vec<CaughtStretch>, Error> {
        let Ground { drainage, settings, .. } = ground;
        let lengths_m = line.ring_lengths_m();
        let mut caught: Vec<CaughtStretch> = stretches
            .into_iter()
            .map(|stretch| {
                let area_m2 = amount_within(&stretch, &drainage.inflows, lengths_m[stretch.ring]);
                CaughtStretch { stretch, contributing_area: Area::from_m2(area_m2), streams: Vec::new() }
            })
            .collect();
        let (Some(flows), Some(rain)) = (self.design.flows(), &settings.storm.rain) else {
            return Ok(caught);
        };
        let shares = shares(&caught, drainage, &lengths_m);
        let groups: Vec<Vec<usize>> = shares.iter().map(|share| share.members.clone()).collect();
        let (_, all) = ground.ways(&mut self.covers, self.lie, &groups, None)?;
        for (share, ways) in shares.iter().zip(&all) {
            let like = &flows.crossings[share.crossing];
            let times = stream_times(&settings.storm, rain, ways, like);
            let part = share.area_m2 / like.area.as_m2();
            let streams = like.streams.iter().zip(times);
            let streams = streams.map(|(stream, time)| Stream { shedding: stream.shedding * part, time });
            caught[share.stretch].streams.extend(streams.filter(|stream| stream.shedding.as_m2() > 0.0));
        }
        Ok(caught)
    }
}

/// What a stretch has of a crossing.
struct ShareOfCrossing {
    stretch: usize,
    crossing: usize,
    area_m2: f64,
    /// Entries of the crossing whose middle lies in the stretch; those that only reach into it where there is none.
    members: Vec<usize>,
}

fn shares(caught: &[CaughtStretch], drainage: &LotDrainage, lengths_m: &[f64]) -> Vec<ShareOfCrossing> {
    let mut found = Vec::new();
    for (stretch, CaughtStretch { stretch: at, .. }) in caught.iter().enumerate() {
        let length_m = lengths_m[at.ring];
        let within = |inflow: &Inflow| amount_within(at, &[*inflow], length_m);
        for (crossing, members) in drainage.crossings.iter().map(|crossing| &crossing.members).enumerate() {
            let area_m2: f64 = members.iter().map(|&i| within(&drainage.inflows[i])).sum();
            if area_m2 <= 0.0 {
                continue;
            }
            let lies_in = |least: f64| -> Vec<usize> {
                let all = members.iter().copied();
                all.filter(|&i| within(&drainage.inflows[i]) > least * drainage.inflows[i].amount).collect()
            };
            let inside = lies_in(0.5);
            let members = if inside.is_empty() { lies_in(0.0) } else { inside };
            found.push(ShareOfCrossing { stretch, crossing, area_m2, members });
        }
    }
    found
}

/// The storm as the line needs it: the strip between lot line and line sheds as the run-on does, at once.
pub(super) fn line_storm<'a>(settings: &'a Settings, design: &LotDesign) -> Option<LineStorm<'a>> {
    Some(LineStorm {
        rain: settings.storm.rain.as_ref()?,
        strip_coefficient: design.coefficient,
        strip_time: settings.storm.least_time,
    })
}
