//! Nothing is lost and nothing counts twice.

use crate::world::{World, block, heights};
use approx::assert_relative_eq;
use lotshed::flow::{Routing, upstream_area};
use lotshed::grid::{CellSize, Grid, GridShape};
use lotshed::lots::{Arrival, contributions, descend, exits};
use proptest::prelude::*;

pub(crate) const CELL: CellSize = CellSize { dx_m: 0.8, dy_m: 1.25 };
pub(crate) const SHAPE: GridShape = GridShape { rows: 37, cols: 41 };

/// Pitted ground: waves with noise, on a slope that may be slight.
pub(crate) fn ground(seed: u64, slope: f64) -> Grid<f32> {
    let noise = |i: u64| {
        let mut x = seed.wrapping_add(i.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        x ^= x >> 33;
        x = x.wrapping_mul(0xFF51_AFD7_ED55_8CCD);
        x ^= x >> 33;
        (x >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut z =
        heights(SHAPE, CELL, |x, y| slope * (x * 0.3 + y) + (x * 0.41).sin() * 0.3 + (y * 0.23).cos() * 0.4);
    for (i, value) in (0_u64..).zip(z.values_mut()) {
        *value += 0.3 * noise(i) as f32;
    }
    z
}

pub(crate) fn routing() -> impl Strategy<Value = Routing> {
    prop_oneof![Just(Routing::Proportional), Just(Routing::Single), Just(Routing::Steepest)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn all_rain_leaves_the_data(seed in any::<u64>(), slope in 0.0..0.1, routing in routing()) {
        let world = World::new(&ground(seed, slope), CELL, routing, &[block(8.0, 8.0, 20.0, 24.0)]);
        if routing != Routing::Single {
            let area = upstream_area(&world.field, CELL).unwrap();
            let out: f64 = (0..SHAPE.len()).filter(|&i| world.field.leaves(i)).map(|i| area.values()[i]).sum();
            assert_relative_eq!(out, SHAPE.len() as f64 * CELL.area_m2(), max_relative = 1e-12);
        }
    }

    /// Adjoint identity: what the backward pass says will arrive is what the forward pass sees arriving, and the ledger
    /// books all of it, by origin and by who hands it over.
    #[test]
    fn the_ledger_adds_up(seed in any::<u64>(), slope in 0.0..0.1, shift in 0.0..0.8, routing in routing()) {
        let outlines = [
            block(8.0 + shift, 8.0, 20.0 + shift, 24.0),
            block(8.0 + shift, 24.0, 14.3, 40.0),
            block(14.3, 24.0, 22.0, 33.1),
            block(20.0 + shift, 3.0, 30.0, 23.7),
        ];
        let world = World::new(&ground(seed, slope), CELL, routing, &outlines);
        let scene = world.scene();
        let arrival = Arrival::of(&scene);
        let label = |cell: usize| world.lots.label(cell);
        let descent = descend(&scene, &arrival, |_| false, |from, _| label(from));
        let entered: f64 = descent.entries.iter().map(|e| e.area_m2).sum();
        let promised: f64 = world
            .reach
            .cells()
            .iter()
            .enumerate()
            .map(|(place, &cell)| arrival.at_place(place) * scene.share_outside(cell as usize) * CELL.area_m2())
            .sum();
        assert_relative_eq!(entered, promised, max_relative = 1e-12, epsilon = 1e-9);
        let rows = contributions(&scene, &arrival, &descent.entries);
        let by_origin: f64 = rows.iter().map(|r| r.area_m2).sum();
        let by_hand: f64 = rows.iter().map(|r| r.handed_over_m2).sum();
        assert_relative_eq!(by_origin, entered, max_relative = 1e-12, epsilon = 1e-9);
        assert_relative_eq!(by_hand, entered, max_relative = 1e-12, epsilon = 1e-9);
        for row in &rows {
            prop_assert!(row.straight_m2 <= row.area_m2 * (1.0 + 1e-9) + 1e-9, "{row:?}");
        }
        // What the lot sheds is its own area.
        let shed: f64 = exits(&scene, &descent.entries).iter().map(|e| e.area_m2).sum();
        assert_relative_eq!(shed, 12.0 * 16.0, max_relative = 1e-9);
    }

    #[test]
    fn a_parcel_split_in_two_gives_two_areas_that_add_up(seed in any::<u64>(), at in 26.0..38.0) {
        let subject = block(8.0, 8.0, 20.0, 24.0);
        let z = ground(seed, 0.05);
        let area = |outlines: &[_], labels: std::ops::Range<usize>| -> f64 {
            let world = World::new(&z, CELL, Routing::Proportional, outlines);
            let scene = world.scene();
            let arrival = Arrival::of(&scene);
            lotshed::lots::origins(&scene, &arrival)
                .iter()
                .filter(|(l, _)| l.place().is_some_and(|p| labels.contains(&p)))
                .map(|(_, a)| a)
                .sum()
        };
        let whole = area(&[subject.clone(), block(5.0, 24.0, 25.0, 42.0)], 1..2);
        let parts = area(&[subject, block(5.0, 24.0, 25.0, at), block(5.0, at, 25.0, 42.0)], 1..3);
        assert_relative_eq!(whole, parts, max_relative = 1e-9, epsilon = 1e-9);
    }

    /// Heights are shifted by a power of two that keeps all their digits, so directions must not change at all.
    #[test]
    fn adding_a_constant_changes_nothing(seed in any::<u64>(), routing in routing()) {
        let mut z = ground(seed, 0.02);
        for value in z.values_mut() {
            *value = (*value * 1024.0).round() / 1024.0;
        }
        let mut raised = z.clone();
        for value in raised.values_mut() {
            *value += 64.0;
        }
        let outlines = [block(8.0, 8.0, 20.0, 24.0)];
        let (a, b) = (World::new(&z, CELL, routing, &outlines), World::new(&raised, CELL, routing, &outlines));
        prop_assert_eq!(a.field, b.field);
    }
}
