//! Boxes in a walled strip, whose balance can be done on paper, and laws that hold on any ground.

use super::*;
use crate::flow::{FlowField, Reach, Routing, directions};
use crate::grid::{CellSize, Georef, Grid, GridShape};
use crate::lots::{CellLots, Label, descend};
use crate::terrain::{Rim, fill, ponds};
use approx::assert_abs_diff_eq;
use geo::{Coord, MultiPolygon, Rect};
use proptest::prelude::*;

const METRE: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

#[derive(Debug)]
struct Land {
    field: FlowField,
    reach: Reach,
    lots: CellLots,
    ponds: Vec<Pond>,
}

impl Land {
    /// Ground whose rows from `first` on, over the columns given, are the lot.
    fn new(z: &Grid<f32>, routing: Routing, first: f64, cols: (f64, f64)) -> Self {
        let shape = z.shape();
        let filled = fill(z, &Rim::OPEN, &[]).unwrap();
        let field = directions(&filled, METRE, routing, |i| shape.is_rim(shape.cell(i))).unwrap();
        let georef = Georef { west: 0.0, north: 0.0, step_x: 1.0, step_y: 1.0 };
        let south = -f64::from(u32::try_from(shape.rows).unwrap());
        let rect = Rect::new(Coord { x: cols.0, y: south }, Coord { x: cols.1, y: -first });
        let outline = MultiPolygon(vec![rect.to_polygon()]);
        let lots = CellLots::new(shape, georef, &[&outline]).unwrap();
        let reach = Reach::upstream_of(&field, lots.cells_of(Label::of_place(0).unwrap())).unwrap();
        let ponds = ponds(z, &filled, METRE, 0.0);
        Self { field, reach, lots, ponds }
    }

    fn scene(&self) -> Scene<'_> {
        let subject = Label::of_place(0).unwrap();
        Scene {
            field: &self.field,
            reach: &self.reach,
            lots: &self.lots,
            inlets: &[],
            cell: METRE,
            origin: crate::grid::Cell { row: 0, col: 0 },
            subject,
            least_share: 1e-6,
        }
    }

    fn storm_of(&self, ponds: &[Pond], runoff_m: impl Fn(usize) -> f64) -> StormLedger {
        let scene = self.scene();
        let arrival = Arrival::of(&scene);
        let descent = descend(&scene, &arrival, |_| false, |from, _| self.lots.label(from));
        storm_ledger(&scene, &arrival, &descent.entries, ponds, runoff_m).unwrap()
    }

    fn storm(&self, depth_m: f64) -> StormLedger {
        self.storm_of(&self.ponds, |_| depth_m)
    }
}

/// A strip of 5 columns between walls that shed onto it, falling 1/8 m a row; `dug` is how far a row's three inner
/// cells lie below the level of the row that follows the pit. All heights are exact in single precision.
fn strip(rows: usize, lot_from: f64, dug: &[(usize, usize, f32)]) -> Land {
    let shape = GridShape { rows, cols: 5 };
    let slope = |row: usize| 0.125 * f32::from(u16::try_from(rows - row).unwrap());
    let z = |index: usize| {
        let cell = shape.cell(index);
        if cell.col == 0 || cell.col == 4 {
            return slope(cell.row) + 64.0;
        }
        dug.iter()
            .find(|(row, _, _)| *row == cell.row)
            .map_or(slope(cell.row), |&(_, lip, depth)| slope(lip) - depth)
    };
    let z = Grid::new(shape, (0..shape.len()).map(z).collect());
    Land::new(&z, Routing::Steepest, lot_from, (0.0, 5.0))
}

fn box_of(rows: std::ops::Range<usize>, lip: usize, depth: f32) -> Vec<(usize, usize, f32)> {
    rows.map(|row| (row, lip, depth)).collect()
}

// By hand: the box holds 3 x 3 x 0.5 = 4.5 m3; rows 0 to 6 of 5 m2 drain into it, rows 7 to 9 straight onto the lot.
#[test]
fn a_box_holds_back_its_volume_and_no_more() {
    let land = strip(14, 10.0, &box_of(4..7, 7, 0.5));
    for (depth_m, arriving_m3, share) in
        [(0.1, 1.5, 0.0), (0.2, 3.0 + 2.5, 2.5 / 7.0), (1.0, 50.0 - 4.5, 30.5 / 35.0)]
    {
        let ledger = land.storm(depth_m);
        let [pond] = &ledger.ponds[..] else { panic!("one pond") };
        assert_abs_diff_eq!(ledger.arriving.as_m3(), arriving_m3, epsilon = 1e-9);
        assert_abs_diff_eq!(pond.share_passed, share, epsilon = 1e-9);
        assert_abs_diff_eq!(pond.capacity.as_m3(), 4.5, epsilon = 1e-9);
        assert_abs_diff_eq!(pond.catchment.as_m2(), 35.0, epsilon = 1e-9);
        assert_abs_diff_eq!(pond.inflow.as_m3(), 35.0 * depth_m, epsilon = 1e-9);
        assert_abs_diff_eq!(pond.starts_at.unwrap().as_m(), 4.5 / 35.0, epsilon = 1e-9);
        let [(label, volume)] = ledger.contributions[..] else { panic!("one origin") };
        assert_eq!(label, Label::UNPARCELLED);
        assert_abs_diff_eq!(volume.as_m3(), arriving_m3, epsilon = 1e-9);
    }
}

// By hand: the upper box as above. The lower one holds 2 x 3 x 1 = 6 m3, rows 7 to 10 (20 m2) drain straight into it.
// It spills from 20 d + (35 d - 4.5) = 6 on, so from d = 10.5 / 55; rows 11 and 12 (10 m2) lie below.
#[test]
fn the_upper_pond_of_two_fills_first() {
    let mut dug = box_of(4..7, 7, 0.5);
    dug.extend(box_of(9..11, 11, 1.0));
    let land = strip(17, 13.0, &dug);
    for (depth_m, arriving_m3) in [(0.1, 1.0), (0.19, 1.9), (0.2, 2.0 + 11.0 - 10.5), (1.0, 65.0 - 10.5)] {
        let ledger = land.storm(depth_m);
        assert_abs_diff_eq!(ledger.arriving.as_m3(), arriving_m3, epsilon = 1e-9);
        // The larger pond comes first in the list.
        let starts: Vec<f64> = ledger.ponds.iter().map(|p| p.starts_at.unwrap().as_m()).collect();
        assert_abs_diff_eq!(starts[0], 10.5 / 55.0, epsilon = 1e-9);
        assert_abs_diff_eq!(starts[1], 4.5 / 35.0, epsilon = 1e-9);
    }
}

// By hand: two hollows 0.5 m deep and a sill 0.125 m deep between them fill as one of 3 x 1.125 m3.
#[test]
fn nested_hollows_count_as_one() {
    let land = strip(14, 10.0, &[(4, 7, 0.5), (5, 7, 0.125), (6, 7, 0.5)]);
    let ledger = land.storm(0.2);
    let [pond] = &ledger.ponds[..] else { panic!("one pond") };
    assert_abs_diff_eq!(pond.passed.as_m3(), 7.0 - 3.375, epsilon = 1e-9);
    assert_abs_diff_eq!(ledger.arriving.as_m3(), 3.0 + 7.0 - 3.375, epsilon = 1e-9);
}

// By hand: rain on the top row only, 5 m2 x 2 m.
#[test]
fn runoff_counts_where_it_falls() {
    let land = strip(14, 10.0, &box_of(4..7, 7, 0.5));
    let ledger = land.storm_of(&land.ponds, |cell| if cell < 5 { 2.0 } else { 0.0 });
    assert_abs_diff_eq!(ledger.arriving.as_m3(), 10.0 - 4.5, epsilon = 1e-9);
    let dry = land.storm(0.0);
    assert_eq!((dry.arriving, dry.contributions.len()), (Volume::ZERO, 0));
    assert_abs_diff_eq!(dry.ponds[0].share_passed, 0.0);
}

// By hand: the box on the lot line, rows 4 to 6, the lot from row 6 on: the pond wets the lot as soon as it holds water, so
// nothing is held back before.
#[test]
fn ponds_on_the_lot_hold_nothing_back() {
    let across = strip(14, 6.0, &box_of(4..7, 7, 0.5));
    let ledger = across.storm(0.01);
    assert_abs_diff_eq!(ledger.arriving.as_m3(), 0.3, epsilon = 1e-9);
    assert_abs_diff_eq!(ledger.ponds[0].capacity.as_m3(), 0.0);
    assert_abs_diff_eq!(ledger.ponds[0].passed.as_m3(), ledger.ponds[0].inflow.as_m3(), epsilon = 1e-12);
    let inside = strip(14, 3.0, &box_of(4..7, 7, 0.5));
    let ledger = inside.storm(0.01);
    assert!(ledger.ponds.is_empty());
    assert_abs_diff_eq!(ledger.arriving.as_m3(), 0.15, epsilon = 1e-9);
}

#[test]
fn a_depth_of_less_than_nothing_is_refused() {
    let land = strip(14, 10.0, &[]);
    let scene = land.scene();
    for bad in [-0.1, f64::NAN, f64::INFINITY] {
        assert!(storm_ledger(&scene, &Arrival::of(&scene), &[], &[], |_| bad).is_err());
    }
}

/// Rough ground of few levels, so that ponds touch, have several ways out and lie level with one another.
fn rough() -> impl Strategy<Value = Land> {
    let shape = GridShape { rows: 14, cols: 14 };
    let routing = prop::sample::select(vec![Routing::Steepest, Routing::Proportional]);
    (prop::collection::vec(0..5_u8, shape.len()), 0..3_u8, routing).prop_map(
        move |(levels, fall, routing)| {
            let z = levels.iter().enumerate().map(|(index, &level)| {
                let row = u16::try_from(shape.cell(index).row).unwrap();
                f32::from(level) * 0.25 - f32::from(row) * f32::from(fall) * 0.125
            });
            // A lot line through the middle of cells, so that there are slivers.
            Land::new(&Grid::new(shape, z.collect()), routing, 8.6, (3.4, 11.0))
        },
    )
}

/// What comes into each pond by walking the cells with the shares found, m³.
fn inflows_by_walking(land: &Land, ledger: &StormLedger, depth_m: f64) -> Vec<f64> {
    let scene = land.scene();
    let arrival = Arrival::of(&scene);
    let shape = land.lots.shape();
    let pond_of = |cell: usize| {
        ledger.ponds.iter().position(|p| {
            land.ponds.iter().any(|pond| pond.id == p.id && pond.cells().any(|c| shape.index(c) == cell))
        })
    };
    let cells = land.reach.cells();
    let owners: Vec<Option<usize>> = cells.iter().map(|&cell| pond_of(cell as usize)).collect();
    let (mut loads, mut inflows) = (vec![0.0; cells.len()], vec![0.0; ledger.ponds.len()]);
    for (place, &cell) in cells.iter().enumerate() {
        let cell = cell as usize;
        if scene.is_subject(cell) || arrival.at_place(place) <= 0.0 {
            continue;
        }
        let own = scene.share_outside(cell) * depth_m;
        if let Some(pond) = owners[place] {
            inflows[pond] += own;
        }
        for (next, part) in land.field.receivers(cell) {
            let Some(at) = land.reach.place(next).filter(|&p| arrival.at_place(p) > 0.0) else { continue };
            let leaves = owners[place].filter(|_| owners[at] != owners[place]);
            let handed =
                (loads[place] + own) * part * leaves.map_or(1.0, |pond| ledger.ponds[pond].share_passed);
            if let Some(pond) = owners[at].filter(|_| owners[at] != owners[place] && !scene.is_subject(next))
            {
                inflows[pond] += handed;
            }
            loads[at] += handed;
        }
    }
    inflows
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn every_pond_hands_on_what_it_cannot_hold(land in rough(), depth_m in 0.0..1.0_f64) {
        let ledger = land.storm(depth_m);
        let walked = inflows_by_walking(&land, &ledger, depth_m);
        for (pond, inflow) in ledger.ponds.iter().zip(walked) {
            prop_assert!((pond.inflow.as_m3() - inflow).abs() <= 1e-9 * (1.0 + inflow));
            let passed = (inflow - pond.capacity.as_m3()).max(0.0);
            prop_assert!((pond.passed.as_m3() - passed).abs() <= 1e-9 * (1.0 + inflow), "{pond:?}");
        }
        let by_lot: f64 = ledger.contributions.iter().map(|(_, v)| v.as_m3()).sum();
        prop_assert!((by_lot - ledger.arriving.as_m3()).abs() <= 1e-9 * (1.0 + by_lot));
    }

    #[test]
    fn more_rain_never_lowers_what_arrives(land in rough(), depth_m in 0.0..1.0_f64, more in 1.0..2.0_f64) {
        let (less, more) = (land.storm(depth_m), land.storm(depth_m * more));
        prop_assert!(more.arriving.as_m3() >= less.arriving.as_m3());
        for (a, b) in less.ponds.iter().zip(&more.ponds) {
            prop_assert!(b.share_passed >= a.share_passed && b.inflow >= a.inflow);
        }
        for (a, b) in less.entries.iter().zip(&more.entries) {
            prop_assert!(b >= a);
        }
    }

    #[test]
    fn without_room_in_ponds_nothing_changes(land in rough(), depth_m in 0.001..1.0_f64) {
        let whole = Arrival::of(&land.scene());
        let full: Vec<Pond> = land.ponds.iter().map(|p| Pond { volume_m3: 0.0, ..p.clone() }).collect();
        for ponds in [&full[..], &[]] {
            let ledger = land.storm_of(ponds, |_| depth_m);
            let bits = |arrival: &Arrival| arrival.shares().iter().map(|s| s.to_bits()).collect::<Vec<_>>();
            prop_assert_eq!(bits(&ledger.arrival), bits(&whole));
        }
        let held = land.storm(depth_m);
        prop_assert!(held.arrival.shares().iter().zip(whole.shares()).all(|(a, b)| a <= b));
    }

    #[test]
    fn a_pond_spills_from_its_depth_on(land in rough()) {
        let ledger = land.storm(0.0);
        for number in 0..ledger.ponds.len() {
            let Some(start) = ledger.ponds[number].starts_at.filter(|start| start.as_m() > 0.0) else { continue };
            let share = |factor: f64| land.storm(start.as_m() * factor).ponds[number].share_passed;
            prop_assert!(share(1.0 - 1e-9) <= 0.0);
            prop_assert!(share(1.0 + 1e-9) > 0.0);
        }
    }
}
