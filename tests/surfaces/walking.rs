//! The ledger of one lot against walking every cell's water down to its end, on random grids.
//!
//! The walk is the definition: origin is where it starts, straight if it meets no other lot on the way, handed over by
//! the last cell before the lot, and only the first arrival counts.

use crate::world::World;
use geo::{Coord, MultiPolygon, Polygon, Rect};
use lotshed::flow::Routing;
use lotshed::grid::{CellSize, Grid, GridShape};
use lotshed::lots::{Arrival, Label, contributions, descend, exits};

const UNIT: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };
const GRIDS: u64 = 800;

/// Numbers that look random (a linear congruential generator with Knuth's multiplier, from memory; any would do).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides
    }
}

/// Ground, and the number of each cell's lot from 0 (the subject) to 4, or 5 for none.
struct Case {
    ground: Grid<f32>,
    lots: Vec<usize>,
    routing: Routing,
}

const NONE: usize = 5;

impl Case {
    fn of(seed: u64) -> Self {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 1);
        let shape = GridShape { rows: 6 + dice.roll(20), cols: 6 + dice.roll(20) };
        let (fall, noise) = (dice.roll(4) as f32, 1 + dice.roll(8));
        // Every third ground is in whole steps: flats and ties.
        let step = if seed.is_multiple_of(3) { 1.0 } else { 0.37 };
        let values = (0..shape.len())
            .map(|i| {
                let cell = shape.cell(i);
                let slope = fall * (cell.row as f32 * 0.7 - cell.col as f32 * 0.2);
                ((slope + dice.roll(noise * 4) as f32) * step / 0.37).round() * 0.37
            })
            .collect();
        let lots = if seed.is_multiple_of(2) {
            Self::blocks(shape, &mut dice)
        } else {
            Self::scatter(shape, &mut dice)
        };
        let routing = if dice.roll(3) == 0 { Routing::Steepest } else { Routing::Single };
        Self { ground: Grid::new(shape, values), lots, routing }
    }

    /// Rectangles laid over each other.
    fn blocks(shape: GridShape, dice: &mut Dice) -> Vec<usize> {
        let mut lots = vec![NONE; shape.len()];
        for block in 0..12 {
            let (top, left) = (dice.roll(shape.rows), dice.roll(shape.cols));
            let (bottom, right) = (top + 1 + dice.roll(6), left + 1 + dice.roll(6));
            for row in top..bottom.min(shape.rows) {
                for col in left..right.min(shape.cols) {
                    lots[row * shape.cols + col] = block % (NONE + 1);
                }
            }
        }
        lots
    }

    /// Every cell a lot by chance: water crosses lot lines at nearly every step and often comes back.
    fn scatter(shape: GridShape, dice: &mut Dice) -> Vec<usize> {
        (0..shape.len()).map(|_| dice.roll(NONE + 1)).collect()
    }

    /// The lots as unions of cells.
    fn outlines(&self) -> Vec<MultiPolygon<f64>> {
        let shape = self.ground.shape();
        let square = |i: usize| -> Polygon<f64> {
            let cell = shape.cell(i);
            let (x, y) = (cell.col as f64, (shape.rows - cell.row) as f64);
            Rect::new(Coord { x, y: y - 1.0 }, Coord { x: x + 1.0, y }).to_polygon()
        };
        let cells = |lot: usize| (0..shape.len()).filter(move |&i| self.lots[i] == lot);
        (0..NONE).map(|lot| MultiPolygon(cells(lot).map(square).collect())).collect()
    }
}

/// Cells that arrive: by origin, of these straight, and by who hands over.
#[derive(Debug, Default, PartialEq)]
struct Counts {
    origin: [f64; NONE + 1],
    straight: [f64; NONE + 1],
    handed: [f64; NONE + 1],
}

struct Walks {
    counts: Counts,
    /// Cells whose water comes back to the subject after it has left it.
    returning: usize,
    /// Cells of the subject from which water ever leaves it.
    leaving: usize,
}

fn walk_all(case: &Case, world: &World) -> Walks {
    let mut walks = Walks { counts: Counts::default(), returning: 0, leaving: 0 };
    let lot = |cell: usize| case.lots[cell];
    for start in 0..case.lots.len() {
        let (mut at, mut entries, mut straight) = (start, 0, true);
        let mut left = false;
        while let Some((next, share)) = world.field.receivers(at).into_iter().next() {
            assert!((share - 1.0).abs() < 1e-12, "one receiver gets everything");
            straight &= lot(at) == lot(start);
            if lot(at) != 0 && lot(next) == 0 {
                entries += 1;
                if entries == 1 && lot(start) != 0 {
                    walks.counts.origin[lot(start)] += 1.0;
                    walks.counts.straight[lot(start)] += f64::from(u8::from(straight));
                    walks.counts.handed[lot(at)] += 1.0;
                }
            }
            left |= lot(at) == 0 && lot(next) != 0;
            at = next;
        }
        walks.returning += usize::from(entries > 1 || (lot(start) == 0 && entries > 0));
        walks.leaving += usize::from(lot(start) == 0 && (left || world.field.leaves(at)));
    }
    walks
}

fn ledger(world: &World) -> Counts {
    let scene = world.scene();
    let arrival = Arrival::of(&scene);
    let by = |from: usize, _: usize| world.lots.label(from);
    let descent = descend(&scene, &arrival, |_| false, by);
    let mut counts = Counts::default();
    for row in contributions(&scene, &arrival, &descent.entries) {
        let lot = row.label.place().unwrap_or(NONE);
        counts.origin[lot] = row.area_m2;
        counts.straight[lot] = row.straight_m2;
        counts.handed[lot] = row.handed_over_m2;
    }
    counts
}

#[test]
fn the_ledger_of_a_lot_is_what_walking_every_cell_finds() {
    let (mut wet, mut returning) = (0, 0);
    for seed in 0..GRIDS {
        let case = Case::of(seed);
        let outlines = case.outlines();
        if outlines[0].0.is_empty() {
            continue;
        }
        let world = World::new(&case.ground, UNIT, case.routing, &outlines);
        for (cell, &lot) in case.lots.iter().enumerate() {
            let label =
                if lot == NONE { Label::UNPARCELLED } else { Label::of_place(lot).expect("few lots") };
            assert_eq!(world.lots.label(cell), label, "lots made of cells own these cells");
        }
        let walks = walk_all(&case, &world);
        // Whole cells are counted, so sums are exact.
        assert_eq!(ledger(&world), walks.counts, "grid {seed}, {:?}", case.routing);
        let shed: f64 = exits(&world.scene(), &[]).iter().map(|exit| exit.area_m2).sum();
        assert!((shed - walks.leaving as f64).abs() < 1e-9, "grid {seed}: sheds {shed}, {}", walks.leaving);
        wet += usize::from(walks.counts.origin.iter().sum::<f64>() > 0.0);
        returning += usize::from(walks.returning > 0);
    }
    assert!(wet >= 500, "{wet} grids have run-on");
    assert!(returning >= 250, "in {returning} grids water leaves the lot and comes back");
}
