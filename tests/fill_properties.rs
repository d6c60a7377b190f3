//! What must hold for filled ground, whatever the ground.

#![expect(clippy::unwrap_used, reason = "a failed call fails the test")]

use lotshed::grid::{Cell, CellSize, Direction, Grid, GridShape};
use lotshed::terrain::{Outlet, Rim, Side, fill, ponds};
use proptest::prelude::*;

/// Ground of up to 40 x 40 cells: rough, in steps of a metre (many level cells), or with holes.
fn ground() -> impl Strategy<Value = Grid<f32>> {
    let value = prop_oneof![
        4 => (0_u16..4000).prop_map(|z| f32::from(z) / 64.0).boxed(),
        4 => (0_u16..6).prop_map(f32::from).boxed(),
    ];
    let hole = prop_oneof![9 => Just(false), 1 => Just(true)];
    (1_usize..40, 1_usize..40, any::<bool>()).prop_flat_map(move |(rows, cols, holed)| {
        prop::collection::vec((value.clone(), hole.clone()), rows * cols).prop_map(move |cells| {
            let values =
                cells.into_iter().map(|(z, hole)| if holed && hole { f32::NAN } else { z }).collect();
            Grid::new(GridShape { rows, cols }, values)
        })
    })
}

fn open(raw: &Grid<f32>) -> Grid<f32> {
    fill(raw, &Rim::OPEN, &[]).unwrap()
}

fn bits(grid: &Grid<f32>) -> Vec<u32> {
    grid.values().iter().map(|z| z.to_bits()).collect()
}

fn map(grid: &Grid<f32>, change: impl Fn(f32) -> f32) -> Grid<f32> {
    Grid::new(grid.shape(), grid.values().iter().map(|&z| change(z)).collect())
}

/// The grid seen another way: cell (row, col) of the result is the cell `from` gives.
fn seen(grid: &Grid<f32>, shape: GridShape, from: impl Fn(Cell) -> Cell) -> Grid<f32> {
    Grid::new(shape, (0..shape.len()).map(|at| *grid.at(from(shape.cell(at)))).collect())
}

fn mirrored(grid: &Grid<f32>) -> Grid<f32> {
    let shape = grid.shape();
    seen(grid, shape, |cell| Cell { row: cell.row, col: shape.cols - 1 - cell.col })
}

fn turned(grid: &Grid<f32>) -> Grid<f32> {
    let shape = grid.shape();
    seen(grid, GridShape { rows: shape.cols, cols: shape.rows }, |cell| Cell {
        row: shape.rows - 1 - cell.col,
        col: cell.row,
    })
}

fn is_way_out(raw: &Grid<f32>, cell: Cell) -> bool {
    raw.shape().is_rim(cell)
        || Direction::ALL
            .iter()
            .any(|&d| raw.shape().neighbour(cell, d).is_some_and(|next| raw.at(next).is_nan()))
}

/// Cells from which a way that never rises leads out, found from the ways out upward.
fn drained(raw: &Grid<f32>, filled: &Grid<f32>) -> Vec<bool> {
    let shape = raw.shape();
    let mut queue: Vec<Cell> = (0..shape.len())
        .map(|at| shape.cell(at))
        .filter(|&cell| !raw.at(cell).is_nan() && is_way_out(raw, cell))
        .collect();
    let mut drains = vec![false; shape.len()];
    for &cell in &queue {
        drains[shape.index(cell)] = true;
    }
    while let Some(cell) = queue.pop() {
        for next in Direction::ALL.iter().filter_map(|&d| shape.neighbour(cell, d)) {
            if !drains[shape.index(next)] && filled.at(next) >= filled.at(cell) {
                drains[shape.index(next)] = true;
                queue.push(next);
            }
        }
    }
    drains
}

proptest! {
    #[test]
    fn filling_twice_changes_nothing(raw in ground()) {
        let once = open(&raw);
        prop_assert_eq!(bits(&open(&once)), bits(&once));
    }

    #[test]
    fn filled_ground_never_lies_below_raw_and_ways_out_stay(raw in ground()) {
        let filled = open(&raw);
        for at in 0..raw.shape().len() {
            let (z, f) = (raw.values()[at], filled.values()[at]);
            prop_assert_eq!(z.is_nan(), f.is_nan());
            prop_assert!(z.is_nan() || f >= z);
            let fixed = !z.is_nan() && is_way_out(&raw, raw.shape().cell(at));
            prop_assert!(!fixed || f.to_bits() == z.to_bits());
        }
    }

    #[test]
    fn every_cell_has_a_way_out_that_never_rises(raw in ground()) {
        let filled = open(&raw);
        for (drains, z) in drained(&raw, &filled).into_iter().zip(raw.values()) {
            prop_assert!(drains || z.is_nan());
        }
    }

    // Exact, because every elevation is a multiple of 1/64 below 64 and the constant a power of two.
    #[test]
    fn a_constant_on_all_elevations_is_a_constant_on_the_result(raw in ground()) {
        let lifted = open(&map(&raw, |z| z + 1024.0));
        prop_assert_eq!(bits(&lifted), bits(&map(&open(&raw), |z| z + 1024.0)));
    }

    #[test]
    fn another_scale_of_elevations_scales_the_result(raw in ground()) {
        prop_assert_eq!(bits(&open(&map(&raw, |z| z * 0.125))), bits(&map(&open(&raw), |z| z * 0.125)));
    }

    #[test]
    fn mirrored_and_turned_ground_fills_to_the_mirrored_and_turned_surface(raw in ground()) {
        let filled = open(&raw);
        prop_assert_eq!(bits(&open(&mirrored(&raw))), bits(&mirrored(&filled)));
        prop_assert_eq!(bits(&open(&turned(&raw))), bits(&turned(&filled)));
    }

    #[test]
    fn another_outlet_never_raises_water(raw in ground(), place in any::<prop::sample::Index>(), level_m in 0_u8..80) {
        let cell = raw.shape().cell(place.index(raw.shape().len()));
        prop_assume!(!raw.at(cell).is_nan());
        let outlet = Outlet { cell, level_m: f32::from(level_m) };
        let more = fill(&raw, &Rim::OPEN, &[outlet]).unwrap();
        prop_assert!(*more.at(cell) <= outlet.level_m.max(*raw.at(cell)));
        for (more, less) in more.values().iter().zip(open(&raw).values()) {
            prop_assert!(more <= less || more.is_nan());
        }
    }

    #[test]
    fn a_closed_side_never_lowers_water(raw in ground()) {
        let north = Rim { north: Side::Closed, ..Rim::OPEN };
        // With one row, the row is on the southern side too, and so stays open.
        let filled = fill(&raw, &north, &[]).unwrap();
        for (closed, open) in filled.values().iter().zip(open(&raw).values()) {
            prop_assert!(closed >= open || closed.is_nan());
        }
    }

    #[test]
    fn ponds_hold_all_water_and_pass_it_on_level(raw in ground()) {
        let filled = open(&raw);
        let cell = CellSize { dx_m: 0.5, dy_m: 2.0 };
        let found = ponds(&raw, &filled, cell, 0.0);
        let shape = raw.shape();
        let mut pond_at = vec![0; shape.len()];
        for pond in &found {
            for at in pond.cells() {
                let index = shape.index(at);
                prop_assert_eq!(pond_at[index], 0, "a cell lies in one pond");
                pond_at[index] = pond.id;
                prop_assert!((f64::from(*filled.at(at)) - pond.level_m).abs() < f64::EPSILON);
            }
            let spill = pond.spill.expect("without further outlets water leaves over the ground");
            prop_assert!((f64::from(*raw.at(spill)) - pond.level_m).abs() < f64::EPSILON, "the spill cell is dry");
        }
        for (at, (z, f)) in raw.values().iter().zip(filled.values()).enumerate() {
            prop_assert_eq!(pond_at[at] > 0, f > z);
            for next in Direction::ALL.iter().filter_map(|&d| shape.neighbour(shape.cell(at), d)) {
                let other = pond_at[shape.index(next)];
                prop_assert!(pond_at[at] == 0 || other == 0 || other == pond_at[at], "ponds never touch");
            }
        }
        // Exact: depths are multiples of 1/64, a cell has one square metre.
        let water: f64 = raw.values().iter().zip(filled.values()).filter(|(z, f)| f > z)
            .map(|(z, f)| f64::from(*f) - f64::from(*z)).sum();
        prop_assert!((found.iter().map(|pond| pond.volume_m3).sum::<f64>() - water).abs() < f64::EPSILON);
        prop_assert!(found.windows(2).all(|pair| pair[0].volume_m3 >= pair[1].volume_m3));
    }
}
