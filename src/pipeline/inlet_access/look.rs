//! What is found at one inlet.

use super::super::catchment::Routed;
use super::around::{Around, Passing, apart_m};
use super::{Bank, Beside, InletAccess, PondsFirst};
use crate::error::Error;
use crate::flow::Course;
use crate::terrain::Standing;
use std::collections::BTreeMap;

/// Less water isn't worth a cut, m² and cells of ground. Ours.
const LEAST_AREA_M2: f64 = 50.0;
const LEAST_CELLS: f64 = 4.0;
/// Of the places beside an inlet those count that this share of the most water there passes. Ours.
const MOST_OF: f64 = 0.5;

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

/// A look at one inlet.
pub(super) struct Look<'a> {
    pub(super) routed: &'a Routed,
    pub(super) passing: &'a Passing,
    pub(super) around: &'a Around,
}

impl Look<'_> {
    pub(super) fn at(&self) -> Result<InletAccess, Error> {
        let ground = &self.routed.ground;
        let Around { away_m, place, .. } = *self.around;
        let cell = ground.inlets.cells()[place];
        let takes_water = self.routed.field.leaves(cell);
        let waters = self.waters(cell)?;
        let ground_m = f64::from(ground.raw.values()[cell]);
        Ok(InletAccess {
            inlet: ground.inlets.inlet(place),
            away_m,
            cell,
            ground_m,
            takes_water,
            area_m2: if takes_water { self.passing.area_m2(cell) } else { 0.0 },
            complete: self.passing.is_complete(cell),
            ponds_first: self.ponds_first(&waters, ground_m),
            beside: self.beside(cell, &waters, ground_m),
        })
    }

    /// The water at every place beside the inlet; a pond's is what it passes on, at each of its places.
    fn waters(&self, inlet: usize) -> Result<Vec<Water>, Error> {
        let ponds = &self.around.ponds;
        let gets_in = self.shares_that_get_in(inlet)?;
        let share = |cell: usize| gets_in.get(&cell).copied().unwrap_or_default();
        let of_ponds: Vec<(f64, GetsIn)> = ponds.iter().map(|pond| self.leaving(pond, share)).collect();
        let is_free = |&cell: &usize| cell != inlet && !self.routed.ground.roofs.covers(cell);
        let cells = self.around.ways.cells().filter(is_free);
        Ok(cells
            .map(|cell| {
                let pond = ponds.iter().position(|pond| pond.cells.binary_search(&cell).is_ok());
                let (area_m2, gets_in) =
                    pond.map_or_else(|| (self.passing.area_m2(cell), share(cell)), |pond| of_ponds[pond]);
                Water { cell, area_m2, gets_in, pond }
            })
            .collect())
    }

    /// What a pond passes on, m², and what of it gets in.
    fn leaving(&self, pond: &Standing, gets_in: impl Fn(usize) -> GetsIn) -> (f64, GetsIn) {
        let (mut area_m2, mut sum) = (0.0, GetsIn::default());
        for &cell in &pond.cells {
            for (to, share) in self.routed.field.receivers(cell) {
                if pond.cells.binary_search(&to).is_err() {
                    let passed_m2 = share * self.passing.area_m2(cell);
                    let there = gets_in(to);
                    area_m2 += passed_m2;
                    sum.this += passed_m2 * there.this;
                    sum.any += passed_m2 * there.any;
                }
            }
        }
        let part = |m2: f64| if area_m2 > 0.0 { m2 / area_m2 } else { 0.0 };
        (area_m2, GetsIn { this: part(sum.this), any: part(sum.any) })
    }

    /// For the ground beside the inlet and below it, the shares of the water that get in.
    fn shares_that_get_in(&self, inlet: usize) -> Result<BTreeMap<usize, GetsIn>, Error> {
        let field = &self.routed.field;
        let course = Course::downstream_of(field, self.around.cells())?;
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

    fn ponds_first(&self, waters: &[Water], ground_m: f64) -> Option<PondsFirst> {
        let inlet_pond = |water: &&Water| water.pond.is_some() && water.gets_in.this >= 0.5;
        let largest = waters.iter().filter(inlet_pond).max_by(|a, b| {
            // Of one pond's places the first, which is the lowest number.
            a.area_m2.total_cmp(&b.area_m2).then(b.cell.cmp(&a.cell))
        })?;
        let pond = &self.around.ponds[largest.pond?];
        let nearest = self.nearest(waters.iter().filter(|water| water.pond == largest.pond))?;
        let bank = self.bank(nearest.cell, pond.bottom_m(), ground_m)?;
        Some(PondsFirst { pond: pond.clone(), inflow_m2: largest.area_m2, bank })
    }

    /// The place that most of the water passes nearest to the inlet.
    fn beside(&self, inlet: usize, waters: &[Water], ground_m: f64) -> Option<Beside> {
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
        let pond = water.pond.map(|pond| &self.around.ponds[pond]);
        let own_m = f64::from(self.routed.ground.raw.values()[water.cell]);
        let bank = self.bank(water.cell, pond.map_or(own_m, Standing::bottom_m), ground_m)?;
        Some(Beside { area_m2: missed(water), pond: pond.cloned(), bank })
    }

    /// Of some places the nearest to the inlet; of equally near ones the first.
    fn nearest<'w>(&self, waters: impl Iterator<Item = &'w Water>) -> Option<&'w Water> {
        let shape = self.routed.ground.raw.shape();
        let away = |water: &Water| {
            let end = self.around.ways.along(water.cell).last().unwrap_or(water.cell);
            apart_m(self.routed, shape.cell(water.cell), shape.cell(end))
        };
        waters.min_by(|a, b| away(a).total_cmp(&away(b)).then(a.cell.cmp(&b.cell)))
    }

    /// The bank on the best way from a place, whose water stands on ground of `water_m`.
    fn bank(&self, cell: usize, water_m: f64, inlet_m: f64) -> Option<Bank> {
        let lowest = self.around.ways.from(cell)?;
        let top_m = f64::from(lowest.top_m);
        let opens_at_m = water_m.max(inlet_m);
        let way: Vec<usize> = self.around.ways.along(cell).collect();
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
