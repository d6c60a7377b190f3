//! The longest ways of the water in the storm, and how far from the lot line ground lies.

use super::catchment::Routed;
use super::cover::Covers;
use super::settings::Settings;
use crate::error::Error;
use crate::flow::Routing;
use crate::input::Site;
use crate::lots::{DownLengths, LongestWay, LotDrainage, Scene, WayField, WaySearch};
use crate::runoff::{Lie, Sort, WayPoint, Ways};
use std::collections::{BTreeMap, BTreeSet};

/// Bands of distance from the lot line, along the way that most of the water takes to it: each reaches this much farther than the one before.
const BAND_RATIO: f64 = 1.02;
/// The first band, m.
const FIRST_BAND_M: f64 = 10.0;
/// Most bands: the last ends at 0.8 km.
const MOST_BANDS: usize = 222;

/// Distances from the lot line, and the bands that they fall into. Their ends don't hang on the ground, so that more
/// ground farther off changes nothing of those before it.
pub(super) struct Bands {
    down: DownLengths,
    /// Ends of the bands that leave something beyond them, m.
    ends_m: Vec<f64>,
}

impl Bands {
    pub(super) fn of(routed: &Routed) -> Self {
        let scene = routed.scene();
        let down = DownLengths::of(&WayField { scene, arrival: &routed.arrival });
        let lengths = scene.reach.cells().iter().map(|&cell| down.at(&scene, cell as usize));
        let farthest_m = lengths.filter(|m| m.is_finite()).fold(0.0, f64::max);
        let ends = std::iter::successors(Some(FIRST_BAND_M), |end| Some(end * BAND_RATIO));
        let ends_m = ends.take(MOST_BANDS).take_while(|&end| end < farthest_m).collect();
        Self { down, ends_m }
    }

    /// Band of a cell; the number of bands for those beyond.
    pub(super) fn band(&self, scene: &Scene<'_>, cell: usize) -> usize {
        let down_m = self.down.at(scene, cell);
        self.ends_m.partition_point(|&end| end < down_m)
    }
}

/// Ways to one group of entries.
#[derive(Debug, Clone, Default)]
pub(super) struct WaysOfGroup {
    /// Those that times are found by.
    pub(super) ways: Ways,
    /// The longest from slow and from fast ground.
    pub(super) longest: [Option<LongestWay>; 2],
}

/// What ways are looked for on, and in which settings.
pub(super) struct WayFinder<'a> {
    pub(super) site: &'a Site,
    pub(super) routed: &'a Routed,
    pub(super) drainage: &'a LotDrainage,
    pub(super) settings: &'a Settings,
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

impl WayFinder<'_> {
    fn search<'a>(&'a self, fields: &'a [WayField<'a>], groups: &'a [Vec<usize>]) -> WaySearch<'a> {
        WaySearch {
            fields,
            entries: &self.drainage.descent.entries,
            groups,
            georef: self.routed.ground.georef,
            metres_per_unit: self.site.crs.metres_per_unit(),
        }
    }

    /// For each group of entries the longest way of all.
    pub(super) fn longest_ways(&self, groups: &[Vec<usize>]) -> Vec<Option<LongestWay>> {
        self.search(&way_fields(self.routed), groups).longest(|_| true)
    }

    /// For each group of entries the longest ways that the times of its ground are found by; `sorts` are those that each
    /// group has. Also the longest of all from slow and from fast ground.
    pub(super) fn ways(
        &self,
        covers: &mut Covers,
        lie: Lie,
        groups: &[Vec<usize>],
        sorts: &[BTreeSet<Sort>],
        bands: Option<&Bands>,
    ) -> Result<Vec<WaysOfGroup>, Error> {
        let fields = way_fields(self.routed);
        let search = self.search(&fields, groups);
        let mut found: Vec<WaysOfGroup> = vec![WaysOfGroup::default(); groups.len()];
        let mut ways: Vec<BTreeMap<Sort, Vec<WayPoint>>> = vec![BTreeMap::new(); groups.len()];
        for fast in [false, true] {
            let starts = |cell: usize| covers.is_fast(cell) == fast;
            let wanted = |band: usize, group: usize| sorts[group].contains(&Sort { fast, band });
            let by_band = self.longest_by_band(search, bands, starts, wanted);
            for (band, longest) in by_band.into_iter().enumerate() {
                let sort = Sort { fast, band };
                for (group, way) in longest.into_iter().enumerate() {
                    let Some(way) = way else { continue };
                    if sorts[group].contains(&sort) {
                        ways[group].insert(sort, self.points(covers, lie, &way)?);
                    }
                    found[group].longest[usize::from(fast)] = Some(way);
                }
            }
        }
        for (found, ways) in found.iter_mut().zip(ways) {
            found.ways = Ways::new(ways);
        }
        Ok(found)
    }

    /// For each band, where it is wanted, and then for what lies beyond, the longest ways from there on.
    fn longest_by_band(
        &self,
        search: WaySearch<'_>,
        bands: Option<&Bands>,
        starts: impl Fn(usize) -> bool,
        wanted: impl Fn(usize, usize) -> bool,
    ) -> Vec<Vec<Option<LongestWay>>> {
        let scene = self.routed.scene();
        let mut found = bands.map_or_else(Vec::new, |bands| {
            let band = |cell: usize| starts(cell).then(|| bands.band(&scene, cell));
            search.longest_by_band(bands.ends_m.len(), band, wanted)
        });
        found.push(search.longest(starts));
        found
    }

    /// A way with levels, areas above and what it runs over.
    fn points(&self, covers: &mut Covers, lie: Lie, way: &LongestWay) -> Result<Vec<WayPoint>, Error> {
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
        Ok(found)
    }
}

/// Mean fall of the longest ways, weighted by their crossings' areas; 0 where there is none. Falls from cell to cell would
/// count every furrow.
pub(super) fn mean_grade(routed: &Routed, drainage: &LotDrainage, ways: &[Option<LongestWay>]) -> f64 {
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
