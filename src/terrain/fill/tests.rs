//! Small grids against a search written down from the definition, in bands of every height.

use super::*;
use crate::grid::{Cell, GridShape};
use crate::terrain::Side;
use std::collections::BTreeSet;

const N: f32 = f32::NAN;

fn grid<const C: usize>(rows: &[[f32; C]]) -> Grid<f32> {
    Grid::new(GridShape { rows: rows.len(), cols: C }, rows.concat())
}

/// The definition at work: a shortest-path search (Dijkstra 1959, from memory) in which a way is as long as its
/// highest ground, from all outlets at once.
fn by_search(raw: &Grid<f32>, rim: Rim, extra: &[Outlet]) -> Grid<f32> {
    let shape = raw.shape();
    let mut best = Grid::filled(shape, f32::INFINITY);
    let mut reached = BTreeSet::new();
    let offer = |best: &mut Grid<f32>, reached: &mut BTreeSet<(i64, usize)>, at: usize, level: f32| {
        let level = level.max(raw.values()[at]);
        if level < best.values()[at] {
            best.values_mut()[at] = level;
            reached.insert((rank(level), at));
        }
    };
    for at in (0..shape.len()).filter(|&at| !raw.values()[at].is_nan()) {
        let cell = shape.cell(at);
        let hole =
            Direction::ALL.iter().any(|&d| shape.neighbour(cell, d).is_some_and(|n| raw.at(n).is_nan()));
        if hole || rim.lets_out(shape, cell) {
            offer(&mut best, &mut reached, at, f32::NEG_INFINITY);
        }
    }
    for outlet in extra {
        offer(&mut best, &mut reached, shape.index(outlet.cell), outlet.level_m);
    }
    while let Some((rank_of, at)) = reached.pop_first() {
        let level = best.values()[at];
        if rank(level) != rank_of {
            continue;
        }
        for next in Direction::ALL.iter().filter_map(|&d| shape.neighbour(shape.cell(at), d)) {
            if !raw.at(next).is_nan() {
                offer(&mut best, &mut reached, shape.index(next), level);
            }
        }
    }
    for (level, z) in best.values_mut().iter_mut().zip(raw.values()) {
        if z.is_nan() {
            *level = N;
        }
    }
    best
}

/// Whole numbers in the order of levels, exact for multiples of 1/1024.
#[expect(clippy::cast_possible_truncation, reason = "test elevations are small")]
fn rank(level: f32) -> i64 {
    (f64::from(level) * 1024.0) as i64
}

fn bits(grid: &Grid<f32>) -> Vec<u32> {
    grid.values().iter().map(|z| z.to_bits()).collect()
}

/// Deterministic numbers for the test: the top bits of a multiplicative sequence.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u16) -> u16 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        u16::try_from((self.0 >> 33) % u64::from(sides)).unwrap()
    }
}

#[test]
fn equals_the_search_on_random_grids_in_bands_of_any_height() {
    let mut dice = Dice(7);
    let mut compared = 0;
    for _ in 0..3000 {
        let shape = GridShape { rows: 1 + usize::from(dice.roll(9)), cols: 1 + usize::from(dice.roll(9)) };
        let steps = [3, 12, 1000][usize::from(dice.roll(3))];
        let holes = [0, 0, 12, 3][usize::from(dice.roll(4))];
        let values = (0..shape.len())
            .map(|_| if holes > 0 && dice.roll(holes) == 0 { N } else { f32::from(dice.roll(steps)) / 8.0 });
        let raw = Grid::new(shape, values.collect());
        let mut side = || if dice.roll(2) == 0 { Side::Open } else { Side::Closed };
        let rim = Rim { north: side(), east: side(), south: side(), west: side() };
        let at = usize::from(dice.roll(81)) % shape.len();
        let outlet = Outlet { cell: shape.cell(at), level_m: f32::from(dice.roll(steps)) / 8.0 };
        let extra = if raw.values()[at].is_nan() { &[][..] } else { &[outlet] };
        let expected = by_search(&raw, rim, extra);
        let lost = expected.values().iter().any(|z| z.is_infinite());
        for rows in [1, 2, 3, 7, 64] {
            match fill_by_bands(&raw, rim, extra, rows) {
                Ok(filled) => {
                    assert_eq!(
                        bits(&filled),
                        bits(&expected),
                        "{shape:?} in bands of {rows}: {raw:?} {rim:?}"
                    );
                    compared += 1;
                }
                Err(error) => assert!(lost && matches!(error, TerrainError::NoOutlet { .. }), "{error}"),
            }
        }
    }
    assert!(compared > 12_000, "most grids can be filled, so that much was compared: {compared}");
}

#[test]
fn a_bowl_fills_to_its_lowest_lip() {
    let raw = grid(&[[9.0, 9.0, 9.0, 9.0], [9.0, 1.0, 2.0, 9.0], [9.0, 9.0, 5.0, 9.0], [9.0, 9.0, 9.0, 4.0]]);
    let filled = fill(&raw, &Rim::OPEN, &[]).unwrap();
    let expected =
        grid(&[[9.0, 9.0, 9.0, 9.0], [9.0, 5.0, 5.0, 9.0], [9.0, 9.0, 5.0, 9.0], [9.0, 9.0, 9.0, 4.0]]);
    assert_eq!(filled, expected);
}

#[test]
fn a_hole_drains_what_touches_it_and_stays_a_hole() {
    let raw = grid(&[[9.0, 9.0, 9.0, 9.0], [9.0, 1.0, N, 9.0], [9.0, 9.0, 9.0, 9.0]]);
    assert_eq!(bits(&fill(&raw, &Rim::CLOSED, &[]).unwrap()), bits(&raw));
}

#[test]
fn an_outlet_holds_water_at_its_level() {
    let raw = grid(&[[9.0, 9.0, 9.0], [9.0, 1.0, 9.0], [9.0, 9.0, 9.0]]);
    let cell = Cell { row: 1, col: 1 };
    let level = |level_m| *fill(&raw, &Rim::CLOSED, &[Outlet { cell, level_m }]).unwrap().at(cell);
    assert!((level(0.0) - 1.0).abs() < f32::EPSILON, "below the ground, the ground counts");
    assert!((level(3.0) - 3.0).abs() < f32::EPSILON);
}

#[test]
fn one_open_side_lets_a_corner_out() {
    let raw = grid(&[[1.0, 5.0], [5.0, 5.0]]);
    let closed_but_north = Rim { north: Side::Open, ..Rim::CLOSED };
    assert_eq!(fill(&raw, &closed_but_north, &[]).unwrap(), raw);
}

#[test]
fn refuses_what_it_cannot_fill() {
    let shape = GridShape { rows: 2, cols: 2 };
    let flat = Grid::filled(shape, 1.0);
    let outlet = |row, col, level_m| [Outlet { cell: Cell { row, col }, level_m }];
    let error = |raw: &Grid<f32>, extra: &[Outlet]| fill(raw, &Rim::CLOSED, extra).unwrap_err();
    assert!(matches!(error(&flat, &[]), TerrainError::NoOutlet { cell: Cell { row: 0, col: 0 } }));
    assert!(matches!(error(&flat, &outlet(0, 2, 1.0)), TerrainError::OutletOffGrid { .. }));
    assert!(matches!(error(&flat, &outlet(0, 1, N)), TerrainError::OutletLevel { .. }));
    assert!(matches!(error(&Grid::filled(shape, N), &outlet(0, 0, 1.0)), TerrainError::OutletInHole { .. }));
    let infinite = grid(&[[1.0, 1.0], [N, f32::INFINITY]]);
    assert!(matches!(error(&infinite, &[]), TerrainError::Infinite { cell: Cell { row: 1, col: 1 } }));
}

#[test]
fn a_grid_without_ground_stays_as_it_is() {
    let shape = GridShape { rows: 3, cols: 2 };
    assert!(fill(&Grid::filled(shape, N), &Rim::CLOSED, &[]).unwrap().values().iter().all(|z| z.is_nan()));
    assert!(
        fill(&Grid::filled(GridShape { rows: 0, cols: 5 }, 0.0), &Rim::OPEN, &[])
            .unwrap()
            .values()
            .is_empty()
    );
}
