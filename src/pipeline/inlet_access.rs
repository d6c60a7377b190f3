//! Whether the ground lets surface water get to the storm inlets near the lot.

use super::catchment::Routed;
use crate::error::Error;
use crate::flow::{Course, Reach};
use crate::grid::Cell;
use crate::input::Site;
use crate::terrain::{LowestWays, Standing, lowest_ways, standing_at};
use geo::{Distance, Euclidean, Point};
use std::collections::BTreeMap;

/// Inlets farther from the lot aren't looked at, m: so far around it ground is always read. Ours.
const NEAR_M: f64 = 60.0;
/// Inlets looked at, the nearest. Ours.
const MOST_INLETS: usize = 8;
/// Ground around an inlet that counts as beside it, m, and at least so many cells. Ours.
const BESIDE_M: f64 = 10.0;
const BESIDE_CELLS: f64 = 3.0;
/// Shallower ponds and banks are within the noise of elevation data, m.
const NOISE_M: f64 = 0.05;
/// Less water isn't worth a cut, m² and cells of ground. Ours.
const LEAST_AREA_M2: f64 = 50.0;
const LEAST_CELLS: f64 = 4.0;
/// Of the places beside an inlet those count that this share of the most water there passes. Ours.
const MOST_OF: f64 = 0.5;
/// An inlet's catchment is cut by the edge of what was read when so many cells' worth of its water comes from there.
const EDGE_FLOOR_CELLS: f64 = 1e-3;

/// How surface water gets to an inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct InletAccess {
    /// Place of the inlet in the site's list.
    pub inlet: usize,
    /// Its distance from the lot, m.
    pub away_m: f64,
    /// Its cell.
    pub cell: usize,
    /// Ground there, m.
    pub ground_m: f64,
    /// Whether water that comes to it leaves there; else the ground falls on past it.
    pub takes_water: bool,
    /// Ground whose rain drains to it over the surface, m².
    pub area_m2: f64,
    /// Whether none of that comes from the edge of the data or of the ground that was read.
    pub complete: bool,
    /// What ponds beside it before it spills into it.
    pub ponds_first: Option<PondsFirst>,
    /// The most water that passes beside it without getting into any inlet.
    pub beside: Option<Beside>,
}

/// A pond that fills before it spills into an inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct PondsFirst {
    /// The pond.
    pub pond: Standing,
    /// Ground whose rain comes to it, m².
    pub inflow_m2: f64,
    /// What stands between it and the inlet.
    pub bank: Bank,
}

/// Water beside an inlet that doesn't get in.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// Ground whose rain passes there, m².
    pub area_m2: f64,
    /// Water that stands there when the ground is full.
    pub pond: Option<Standing>,
    /// What stands between it and the inlet.
    pub bank: Bank,
}

impl Beside {
    /// Whether a bank holds it back; else it runs past.
    #[must_use]
    pub fn is_held_back(&self) -> bool {
        self.bank.cut_m >= NOISE_M
    }
}

/// The lowest bank on the best way to an inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct Bank {
    /// Its top, m.
    pub top_m: f64,
    /// Where that is.
    pub top: usize,
    /// Level down to which the way must be opened, m: that of the water's ground, or of the inlet where it lies higher.
    pub opens_at_m: f64,
    /// Depth of the cut at the top, m; 0 where nothing is in the way.
    pub cut_m: f64,
    /// Length of the way that lies higher than that level, m.
    pub cut_length_m: f64,
    /// How much the inlet lies above the water's ground, m: so deep water still stands there after the cut.
    pub sill_m: f64,
    /// The best way, from the water to the inlet.
    pub way: Vec<usize>,
}

/// Looks at the inlets near the lot, the nearest first.
pub(super) fn inlet_access(site: &Site, routed: &Routed) -> Result<Vec<InletAccess>, Error> {
    let near = near_inlets(site, routed);
    if near.is_empty() {
        return Ok(Vec::new());
    }
    let ways: Vec<LowestWays> = near.iter().map(|&(_, place)| ways_beside(routed, place)).collect();
    let passing = Passing::over(routed, ways.iter().flat_map(LowestWays::cells))?;
    near.iter().zip(&ways).map(|(&near, ways)| Look { routed, passing: &passing, ways }.at(near)).collect()
}

/// Inlets by distance from the lot: that and the place among those with a cell.
fn near_inlets(site: &Site, routed: &Routed) -> Vec<(f64, usize)> {
    let outline = &site.parcels.parcels()[site.parcels.subject()].outline;
    let inlets = &routed.ground.inlets;
    let away = |place: usize| {
        let at = Point::from(site.beside.inlets[inlets.inlet(place)].at);
        Euclidean.distance(&at, outline) * site.crs.metres_per_unit()
    };
    let mut near: Vec<(f64, usize)> = (0..inlets.cells().len()).map(|place| (away(place), place)).collect();
    near.retain(|&(away_m, _)| away_m <= NEAR_M);
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    near.truncate(MOST_INLETS);
    near
}

fn ways_beside(routed: &Routed, place: usize) -> LowestWays {
    let ground = &routed.ground;
    let cell = ground.inlets.cells()[place];
    let reach_m = BESIDE_M.max(BESIDE_CELLS * ground.cell.longer_m());
    let at = ground.raw.shape().cell(cell);
    lowest_ways(&ground.raw, at, |other| apart_m(routed, at, other) <= reach_m)
}

fn apart_m(routed: &Routed, a: Cell, b: Cell) -> f64 {
    let size = routed.ground.cell;
    #[expect(clippy::cast_precision_loss, reason = "rows and columns stay far below 2^52")]
    let (rows, cols) = (a.row.abs_diff(b.row) as f64, a.col.abs_diff(b.col) as f64);
    (rows * size.dy_m).hypot(cols * size.dx_m)
}

/// What passes the ground beside inlets.
struct Passing {
    reach: Reach,
    /// Area above each place of the reach, its own included, m².
    area_m2: Vec<f64>,
    /// Cells' worth of it from the edge of the data or of the ground that was read.
    edge_cells: Vec<f32>,
}

impl Passing {
    /// One pass down the catchments of some cells, all together.
    fn over(routed: &Routed, cells: impl Iterator<Item = usize>) -> Result<Self, Error> {
        let ground = &routed.ground;
        let reach = Reach::upstream_of(&routed.field, cells)?;
        let mut area_m2 = vec![ground.cell.area_m2(); reach.cells().len()];
        let mut edge_cells = vec![0.0_f32; reach.cells().len()];
        for (place, &cell) in reach.cells().iter().enumerate() {
            let cell = cell as usize;
            if ground.edge_side(cell).is_some() || ground.near_cut_sides(cell, 1).contains(&true) {
                edge_cells[place] += 1.0;
            }
            for (to, share) in routed.field.receivers(cell) {
                if let Some(next) = reach.place(to) {
                    area_m2[next] += share * area_m2[place];
                    #[expect(clippy::cast_possible_truncation, reason = "only compared with a floor")]
                    let handed = (share * f64::from(edge_cells[place])) as f32;
                    edge_cells[next] += handed;
                }
            }
        }
        Ok(Self { reach, area_m2, edge_cells })
    }

    fn area_m2(&self, cell: usize) -> f64 {
        self.reach.place(cell).map_or(0.0, |place| self.area_m2[place])
    }

    fn is_complete(&self, cell: usize) -> bool {
        self.reach.place(cell).is_some_and(|place| f64::from(self.edge_cells[place]) < EDGE_FLOOR_CELLS)
    }
}

/// Water at one place beside an inlet.
struct Water {
    cell: usize,
    area_m2: f64,
    /// Share of it that gets into the inlet, and into any.
    gets_in: GetsIn,
    pond: Option<usize>,
}

/// Shares of some water that get into the inlet looked at, and into any.
#[derive(Debug, Clone, Copy, Default)]
struct GetsIn {
    this: f64,
    any: f64,
}

struct Look<'a> {
    routed: &'a Routed,
    passing: &'a Passing,
    ways: &'a LowestWays,
}

impl Look<'_> {
    fn at(&self, (away_m, place): (f64, usize)) -> Result<InletAccess, Error> {
        let ground = &self.routed.ground;
        let cell = ground.inlets.cells()[place];
        let takes_water = self.routed.field.leaves(cell);
        let ponds = self.ponds();
        let waters = self.waters(cell, &ponds)?;
        let ground_m = f64::from(ground.raw.values()[cell]);
        Ok(InletAccess {
            inlet: ground.inlets.inlet(place),
            away_m,
            cell,
            ground_m,
            takes_water,
            area_m2: if takes_water { self.passing.area_m2(cell) } else { 0.0 },
            complete: self.passing.is_complete(cell),
            ponds_first: self.ponds_first(&waters, &ponds, ground_m),
            beside: self.beside(cell, &waters, &ponds, ground_m),
        })
    }

    /// Ponds beside the inlet, by their first cell there; puddles left out.
    fn ponds(&self) -> Vec<Standing> {
        let ground = &self.routed.ground;
        let mut found: Vec<Standing> = Vec::new();
        for cell in self.ways.cells() {
            if found.iter().any(|pond| pond.cells.binary_search(&cell).is_ok()) {
                continue;
            }
            let at = ground.raw.shape().cell(cell);
            found.extend(standing_at(&ground.raw, &self.routed.filled, ground.cell, at));
        }
        found.retain(|pond| pond.depth_m >= NOISE_M);
        found
    }

    /// The water at every place beside the inlet; a pond's is that of the place that the most passes.
    fn waters(&self, inlet: usize, ponds: &[Standing]) -> Result<Vec<Water>, Error> {
        let gets_in = self.shares_that_get_in(inlet)?;
        let share = |cell: usize| gets_in.get(&cell).copied().unwrap_or_default();
        let most = |pond: &Standing| {
            let passed = pond.cells.iter().map(|&cell| (self.passing.area_m2(cell), cell));
            passed
                .max_by(|a, b| a.0.total_cmp(&b.0))
                .map_or((0.0, GetsIn::default()), |(m2, cell)| (m2, share(cell)))
        };
        let of_ponds: Vec<(f64, GetsIn)> = ponds.iter().map(most).collect();
        let is_free = |&cell: &usize| cell != inlet && !self.routed.ground.roofs.covers(cell);
        let cells = self.ways.cells().filter(is_free);
        Ok(cells
            .map(|cell| {
                let pond = ponds.iter().position(|pond| pond.cells.binary_search(&cell).is_ok());
                let (area_m2, gets_in) =
                    pond.map_or_else(|| (self.passing.area_m2(cell), share(cell)), |pond| of_ponds[pond]);
                Water { cell, area_m2, gets_in, pond }
            })
            .collect())
    }

    /// For the ground beside the inlet and below it, the shares of the water that get in.
    fn shares_that_get_in(&self, inlet: usize) -> Result<BTreeMap<usize, GetsIn>, Error> {
        let field = &self.routed.field;
        let course = Course::downstream_of(field, self.ways.cells())?;
        let mut shares = vec![GetsIn::default(); course.cells().len()];
        for (place, &cell) in course.cells().iter().enumerate().rev() {
            let cell = cell as usize;
            if field.leaves(cell) {
                let one_if = |yes: bool| if yes { 1.0 } else { 0.0 };
                let any = one_if(self.routed.ground.inlets.has(cell));
                shares[place] = GetsIn { this: one_if(cell == inlet), any };
                continue;
            }
            let mut sum = GetsIn::default();
            for (to, share) in field.receivers(cell) {
                let there = course.place(to).map_or_else(GetsIn::default, |place| shares[place]);
                sum.this += share * there.this;
                sum.any += share * there.any;
            }
            shares[place] = sum;
        }
        Ok(course.cells().iter().map(|&cell| cell as usize).zip(shares).collect())
    }

    fn ponds_first(&self, waters: &[Water], ponds: &[Standing], ground_m: f64) -> Option<PondsFirst> {
        let inlet_pond = |water: &&Water| water.pond.is_some() && water.gets_in.this >= 0.5;
        let largest = waters.iter().filter(inlet_pond).max_by(|a, b| {
            // Of one pond's places the first, which is the lowest number.
            a.area_m2.total_cmp(&b.area_m2).then(b.cell.cmp(&a.cell))
        })?;
        let pond = &ponds[largest.pond?];
        let nearest = self.nearest(waters.iter().filter(|water| water.pond == largest.pond))?;
        let bank = self.bank(nearest.cell, pond.bottom_m(), ground_m)?;
        Some(PondsFirst { pond: pond.clone(), inflow_m2: largest.area_m2, bank })
    }

    /// The place that most of the water passes nearest to the inlet.
    fn beside(&self, inlet: usize, waters: &[Water], ponds: &[Standing], ground_m: f64) -> Option<Beside> {
        let missed = |water: &Water| water.area_m2 * (1.0 - water.gets_in.any).max(0.0);
        let level = |water: &Water| f64::from(self.routed.filled.values()[water.cell]);
        // Water below the inlet never gets in.
        let could = || waters.iter().filter(|water| water.cell != inlet && level(water) >= ground_m);
        let most_m2 = could().map(missed).fold(0.0, f64::max);
        let least_m2 = LEAST_AREA_M2.max(LEAST_CELLS * self.routed.ground.cell.area_m2());
        if most_m2 < least_m2 {
            return None;
        }
        let water = self.nearest(could().filter(|water| missed(water) >= MOST_OF * most_m2))?;
        let pond = water.pond.map(|pond| &ponds[pond]);
        let own_m = f64::from(self.routed.ground.raw.values()[water.cell]);
        let bank = self.bank(water.cell, pond.map_or(own_m, Standing::bottom_m), ground_m)?;
        Some(Beside { area_m2: missed(water), pond: pond.cloned(), bank })
    }

    /// Of some places the nearest to the inlet; of equally near ones the first.
    fn nearest<'w>(&self, waters: impl Iterator<Item = &'w Water>) -> Option<&'w Water> {
        let shape = self.routed.ground.raw.shape();
        let away = |water: &Water| {
            let end = self.ways.along(water.cell).last().unwrap_or(water.cell);
            apart_m(self.routed, shape.cell(water.cell), shape.cell(end))
        };
        waters.min_by(|a, b| away(a).total_cmp(&away(b)).then(a.cell.cmp(&b.cell)))
    }

    /// The bank on the best way from a place, whose water stands on ground of `water_m`.
    fn bank(&self, cell: usize, water_m: f64, inlet_m: f64) -> Option<Bank> {
        let lowest = self.ways.from(cell)?;
        let top_m = f64::from(lowest.top_m);
        let opens_at_m = water_m.max(inlet_m);
        let way: Vec<usize> = self.ways.along(cell).collect();
        Some(Bank {
            top_m,
            top: lowest.top,
            opens_at_m,
            cut_m: (top_m - opens_at_m).max(0.0),
            cut_length_m: self.length_above(&way, opens_at_m),
            sill_m: (inlet_m - water_m).max(0.0),
            way,
        })
    }

    /// Length of the part of a way that lies above a level, the ground straight between the middles of cells.
    fn length_above(&self, way: &[usize], level_m: f64) -> f64 {
        let shape = self.routed.ground.raw.shape();
        let height = |cell: usize| f64::from(self.routed.ground.raw.values()[cell]) - level_m;
        let pieces = way.windows(2).map(|pair| {
            let (a, b) = (height(pair[0]), height(pair[1]));
            let length_m = apart_m(self.routed, shape.cell(pair[0]), shape.cell(pair[1]));
            let (low, high) = (a.min(b), a.max(b));
            let share = if low >= 0.0 && high > 0.0 {
                1.0
            } else if high > 0.0 {
                high / (high - low)
            } else {
                0.0
            };
            length_m * share
        });
        pieces.sum::<f64>() + 0.0
    }
}
