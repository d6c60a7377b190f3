//! Small random worlds: rough ground with holes, inlets and roofs, and lots whose lines run across cells.

use crate::flow::{FlowField, Links, Reach, Routing, directions, single_within};
use crate::grid::{Cell, CellSize, Direction, Georef, Grid, GridShape};
use crate::lots::{CellLots, Label, Scene, Town, owner};
use crate::terrain::{Outlet, Rim, fill};
use geo::{Coord, LineString, MultiPolygon, Polygon};

/// Numbers that look random (a linear congruential generator with Knuth's multiplier, from memory; any would do).
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn of(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 1)
    }

    pub(super) fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides
    }

    /// Between 0 and 1, in thousandths.
    fn share(&mut self) -> f64 {
        self.roll(1000) as f64 / 1000.0
    }
}

/// Ground routed to one receiver a cell, with its lots.
pub(super) struct World {
    pub(super) field: FlowField,
    pub(super) order: Reach,
    pub(super) lots: CellLots,
    pub(super) outlines: Vec<MultiPolygon<f64>>,
    pub(super) inlets: Vec<usize>,
    pub(super) cell: CellSize,
    pub(super) georef: Georef,
    raw: Grid<f32>,
}

impl World {
    /// `on_grid` keeps lot lines between cells.
    pub(super) fn of(seed: u64, on_grid: bool) -> Self {
        let mut dice = Dice::of(seed);
        let shape = GridShape { rows: 8 + dice.roll(24), cols: 8 + dice.roll(24) };
        let dx_m = if dice.roll(3) == 0 { 1.25 } else { 1.0 };
        let cell = CellSize { dx_m, dy_m: 1.0 };
        let georef = Georef { west: 300.0, north: 900.0, step_x: dx_m, step_y: 1.0 };
        let mut raw = ground(shape, &mut dice);
        let roofs = roofs(&mut raw, &mut dice);
        let inlets = inlets(&raw, &roofs, &mut dice);
        let outlets: Vec<Outlet> =
            inlets.iter().map(|&i| Outlet { cell: shape.cell(i), level_m: raw.values()[i] }).collect();
        let filled = fill(&raw, &Rim::OPEN, &outlets).unwrap();
        let lets_out = |i: usize| {
            let at = shape.cell(i);
            let beside_hole = |d| shape.neighbour(at, d).is_some_and(|n| raw.at(n).is_nan());
            shape.is_rim(at) || inlets.contains(&i) || Direction::ALL.into_iter().any(beside_hole)
        };
        let facets = directions(&filled, cell, Routing::Single, lets_out).unwrap();
        let dry = roofs.iter().filter(|&&(roof, drip)| filled.values()[drip] < raw.values()[roof]);
        let facets = facets.with_links(Links::new(dry.map(|&(r, d)| (r as u32, d as u32)).collect()));
        let all = Reach::upstream_of(&facets, 0..shape.len()).unwrap();
        let field = single_within(&facets, &all, cell);
        let order = Reach::upstream_of(&field, 0..shape.len()).unwrap();
        let outlines = outlines(shape, georef, on_grid, &mut dice);
        let all: Vec<&MultiPolygon<f64>> = outlines.iter().collect();
        let lots = CellLots::new(shape, georef, &all).unwrap();
        Self { field, order, lots, outlines, inlets, cell, georef, raw }
    }

    pub(super) fn town(&self) -> Town<'_> {
        Town {
            field: &self.field,
            order: &self.order,
            lots: &self.lots,
            inlets: &self.inlets,
            cell: self.cell,
            georef: self.georef,
        }
    }

    pub(super) fn scene<'a>(&'a self, subject: Label, reach: &'a Reach) -> Scene<'a> {
        Scene {
            field: &self.field,
            reach,
            lots: &self.lots,
            inlets: &self.inlets,
            cell: self.cell,
            origin: Cell { row: 0, col: 0 },
            subject,
            least_share: crate::lots::LEAST_SHARE,
        }
    }

    pub(super) fn labels(&self) -> impl Iterator<Item = Label> + use<> {
        (0..self.outlines.len()).filter_map(Label::of_place)
    }

    pub(super) fn owner(&self, point: Coord) -> Option<Label> {
        let all: Vec<&MultiPolygon<f64>> = self.outlines.iter().collect();
        owner(&all, point).and_then(Label::of_place)
    }

    pub(super) fn touches_edge(&self, index: usize) -> bool {
        let shape = self.raw.shape();
        let at = shape.cell(index);
        let is_hole = |d| shape.neighbour(at, d).is_some_and(|n| self.raw.at(n).is_nan());
        shape.is_rim(at) || Direction::ALL.into_iter().any(is_hole)
    }
}

/// A slope with noise, every third time in whole steps (flats and ties), with a hole now and then.
fn ground(shape: GridShape, dice: &mut Dice) -> Grid<f32> {
    let (fall, noise) = (dice.roll(4) as f32, 1 + dice.roll(6));
    let step = if dice.roll(3) == 0 { 1.0 } else { 0.13 };
    let height = |cell: Cell, dice: &mut Dice| {
        let slope = fall * (cell.row as f32 * 0.6 - cell.col as f32 * 0.25);
        ((slope + dice.roll(noise * 3) as f32) / step).round() * step
    };
    let mut raw = Grid::new(shape, (0..shape.len()).map(|i| height(shape.cell(i), dice)).collect());
    for _ in 0..dice.roll(3) {
        let hole = dice.roll(shape.len());
        raw.values_mut()[hole] = f32::NAN;
    }
    raw
}

/// Blocks of raised cells, each with a place beside it where its water comes down.
fn roofs(raw: &mut Grid<f32>, dice: &mut Dice) -> Vec<(usize, usize)> {
    let shape = raw.shape();
    let mut found = Vec::new();
    for _ in 0..dice.roll(4) {
        let (row, col) = (1 + dice.roll(shape.rows - 4), 1 + dice.roll(shape.cols - 4));
        let drip = shape.index(Cell { row: row + 2, col: col + dice.roll(2) });
        let cells = [(0, 0), (0, 1), (1, 0), (1, 1)];
        let cells = cells.map(|(down, right)| shape.index(Cell { row: row + down, col: col + right }));
        let taken = |i: usize| found.iter().any(|&(roof, other): &(usize, usize)| roof == i || other == i);
        if raw.values()[drip].is_nan() || cells.iter().any(|&i| taken(i)) || taken(drip) {
            continue;
        }
        for i in cells {
            raw.values_mut()[i] = 60.0;
            found.push((i, drip));
        }
    }
    found
}

fn inlets(raw: &Grid<f32>, roofs: &[(usize, usize)], dice: &mut Dice) -> Vec<usize> {
    let mut found: Vec<usize> = (0..dice.roll(3)).map(|_| dice.roll(raw.values().len())).collect();
    found.retain(|&i| !raw.values()[i].is_nan() && roofs.iter().all(|&(roof, _)| roof != i));
    found.sort_unstable();
    found.dedup();
    found
}

/// A slanted net of lots, some as thin as a part of a cell, some left out, some of two pieces.
fn outlines(shape: GridShape, georef: Georef, on_grid: bool, dice: &mut Dice) -> Vec<MultiPolygon<f64>> {
    let mut lines = |cells: usize| {
        let mut at = vec![if on_grid { 0.0 } else { dice.share() * 3.0 - 2.0 }];
        while at.last().is_some_and(|&last| last < cells as f64) {
            let wide = if on_grid { 1.0 + dice.roll(6) as f64 } else { 0.3 + dice.share() * 6.0 };
            at.push(at[at.len() - 1] + wide);
        }
        at
    };
    let (east, south) = (lines(shape.cols), lines(shape.rows));
    let slant = if on_grid { [0.0, 0.0] } else { [dice.share() * 0.4 - 0.2, dice.share() * 0.4 - 0.2] };
    let corner = |i: usize, j: usize| {
        let (x, y) = (east[i] + slant[0] * south[j], south[j] + slant[1] * east[i]);
        Coord { x: georef.west + x * georef.step_x, y: georef.north - y * georef.step_y }
    };
    let mut found: Vec<MultiPolygon<f64>> = Vec::new();
    for j in 0..south.len() - 1 {
        for i in 0..east.len() - 1 {
            let ring =
                vec![corner(i, j), corner(i, j + 1), corner(i + 1, j + 1), corner(i + 1, j), corner(i, j)];
            let piece = Polygon::new(LineString::new(ring), Vec::new());
            match dice.roll(8) {
                0 => {}
                1 if !found.is_empty() => {
                    let lot = dice.roll(found.len());
                    found[lot].0.push(piece);
                }
                _ => found.push(MultiPolygon(vec![piece])),
            }
        }
    }
    if found.is_empty() {
        let ring = vec![corner(0, 0), corner(0, 1), corner(1, 1), corner(1, 0), corner(0, 0)];
        found.push(MultiPolygon(vec![Polygon::new(LineString::new(ring), Vec::new())]));
    }
    found
}
