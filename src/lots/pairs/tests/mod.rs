//! The ledger of all lots against the ledger of one lot, and against walking every cell's way.

#![allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::too_many_lines,
    reason = "tests, on grids of some hundred cells"
)]

mod world;

use super::{Amount, Ledger, Pair, lot_lines};
use crate::flow::Reach;
use crate::lots::sheds::Leaving;
use crate::lots::{Arrival, Label, LotDrainage, LotLine, Outlines, drainage};
use geo::MultiPolygon;
use std::collections::{BTreeMap, BTreeSet};
use world::World;

const WORLDS: u64 = 220;
/// Shares are kept to a part in 2^32 of a cell, and a lot's sums hold some thousands of them.
const CLOSE_CELLS: f64 = 1e-6;

fn ledger(world: &World) -> Ledger {
    Ledger::of(&world.town(), |cell| world.touches_edge(cell), |point| world.owner(point))
}

fn alone(world: &World, lot: Label, line: &LotLine) -> LotDrainage {
    let reach = Reach::upstream_of(&world.field, world.lots.cells_of(lot)).unwrap();
    let scene = world.scene(lot, &reach);
    let all: Vec<&MultiPolygon<f64>> = world.outlines.iter().collect();
    let outlines = Outlines { line, all: &all, georef: world.georef };
    drainage(&scene, &Arrival::of(&scene), outlines, |cell| world.touches_edge(cell))
}

// Not an outside value but the whole point: every lot of the town gets what it gets alone.
#[test]
fn each_lot_of_a_town_gets_what_it_gets_alone() {
    let (mut pairs, mut crossings, mut along, mut cut) = (0, 0, 0, 0);
    for seed in 0..WORLDS {
        let world = World::of(seed, false);
        let all = ledger(&world);
        let outlines: Vec<&MultiPolygon<f64>> = world.outlines.iter().collect();
        let lines = lot_lines(&world.town(), &all, &outlines, 1.0).unwrap();
        for (lot, lines) in world.labels().zip(&lines) {
            let line = LotLine::new(&world.outlines[lot.place().unwrap()], 1.0).unwrap();
            let one = alone(&world, lot, &line);
            let m2 = |amount: Amount| amount.m2(world.cell);
            let near = |a: f64, b: f64| (a - b).abs() < CLOSE_CELLS * world.cell.area_m2();
            let mut together: BTreeMap<Label, Pair> = all.onto(lot).collect();
            for row in &one.contributions {
                let pair = together.remove(&row.label).unwrap_or_default();
                let found = [pair.area, pair.straight, pair.handed_over].map(m2);
                let wanted = [row.area_m2, row.straight_m2, row.handed_over_m2];
                let same = found.iter().zip(wanted).all(|(&a, b)| near(a, b));
                assert!(same, "world {seed}, lot {lot:?}, {:?}: {found:?}, not {wanted:?}", row.label);
                pairs += 1;
            }
            assert!(together.values().all(|pair| near(m2(pair.area) + m2(pair.handed_over), 0.0)), "{seed}");
            assert!(near(m2(all.run_on(lot)), one.run_on_m2));
            let mut shed: BTreeMap<Leaving, f64> = BTreeMap::new();
            for exit in &one.exits {
                *shed.entry(exit.to).or_default() += exit.area_m2;
            }
            let found: BTreeMap<Leaving, Amount> = all.shed_by(lot).collect();
            for to in shed.keys().chain(found.keys()) {
                let wanted = shed.get(to).copied().unwrap_or_default();
                let amount = found.get(to).copied().unwrap_or_default();
                assert!(near(m2(amount), wanted), "world {seed}, {lot:?} to {to:?}: {amount:?} {wanted}");
            }
            assert_eq!(lines.crossings.len(), one.crossings.len(), "world {seed}, lot {lot:?}");
            for (found, wanted) in lines.crossings.iter().zip(&one.crossings) {
                assert_eq!((found.ring, found.manner), (wanted.ring, wanted.manner), "world {seed}, {lot:?}");
                assert_eq!(found.complete, wanted.complete, "world {seed}, {lot:?}");
                let ends = [(found.from_m, wanted.from_m), (found.to_m, wanted.to_m)];
                assert!(ends.iter().all(|(a, b)| (a - b).abs() < 1e-5), "world {seed}, {lot:?}: {ends:?}");
                assert!(near(found.area_m2, wanted.area_m2));
                crossings += 1;
                along += usize::from(found.manner == crate::lots::Manner::Along);
                cut += usize::from(!found.complete);
            }
        }
    }
    assert!(pairs > 20_000 && crossings > 5_000, "{pairs} pairs, {crossings} crossings");
    assert!(along > 20 && cut > 500, "{along} along the line, {cut} cut by the edge");
}

/// What walking finds for one receiving lot, in cells.
#[derive(Default, PartialEq, Eq, Debug)]
struct Walked {
    area: BTreeMap<Label, usize>,
    straight: BTreeMap<Label, usize>,
    handed_over: BTreeMap<Label, usize>,
}

/// By the definitions alone: the way of every cell, step by step. Lots lie on the grid.
fn walk(world: &World) -> BTreeMap<Label, Walked> {
    let mut found: BTreeMap<Label, Walked> = BTreeMap::new();
    for start in (0..world.lots.shape().len()).filter(|&cell| world.field.is_valid(cell)) {
        let source = world.lots.label(start);
        let (mut at, mut before, mut lines) = (start, source, 0);
        let mut seen = BTreeSet::from([source]);
        while let Some(next) = world.field.receivers(at).main() {
            let lot = world.lots.label(next);
            if lot != before {
                lines += 1;
            }
            if seen.insert(lot) {
                let row = found.entry(lot).or_default();
                *row.area.entry(source).or_default() += 1;
                *row.handed_over.entry(before).or_default() += 1;
                if lines == 1 {
                    *row.straight.entry(source).or_default() += 1;
                }
            }
            (at, before) = (next, lot);
        }
    }
    found
}

#[test]
fn lots_on_the_grid_get_what_walking_every_cell_finds() {
    for seed in 1000..1000 + WORLDS {
        let world = World::of(seed, true);
        let all = ledger(&world);
        let walked = walk(&world);
        let none = Walked::default();
        for lot in world.labels().chain([Label::UNPARCELLED]) {
            let wanted = walked.get(&lot).unwrap_or(&none);
            let mut found = Walked::default();
            for (source, pair) in all.onto(lot) {
                let books = [
                    (&mut found.area, pair.area),
                    (&mut found.straight, pair.straight),
                    (&mut found.handed_over, pair.handed_over),
                ];
                for (book, amount) in books.into_iter().filter(|(_, amount)| amount.is_some()) {
                    book.insert(source, amount.cells().round() as usize);
                }
            }
            assert_eq!(&found, wanted, "world {seed}, lot {lot:?}");
        }
    }
}

// Nothing is lost: all ground of a lot is shed somewhere, and each receiver's sums of origins and of what is handed over are the
// same to the last part of a cell.
#[test]
fn all_that_falls_on_a_lot_goes_somewhere() {
    for seed in 0..WORLDS {
        let world = World::of(seed, false);
        let all = ledger(&world);
        let with_ground = |label: Label| -> f64 {
            let cells = (0..world.lots.shape().len()).filter(|&cell| world.field.is_valid(cell));
            cells.map(|cell| world.lots.share(cell, label)).sum()
        };
        for lot in world.labels().chain([Label::UNPARCELLED]) {
            let shed: Amount = all.shed_by(lot).map(|(_, amount)| amount).sum();
            assert!((shed.cells() - with_ground(lot)).abs() < CLOSE_CELLS, "world {seed}, lot {lot:?}");
            let handed: Amount = all.onto(lot).map(|(_, pair)| pair.handed_over).sum();
            assert_eq!(all.run_on(lot), handed, "world {seed}, lot {lot:?}");
        }
    }
}
