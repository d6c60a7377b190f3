//! Closed numbers on planes and gutters; a count drop by drop on rough ground is in `drops`.

mod coming;
mod drops;

use super::*;
use crate::flow::{FlowField, Reach, Routing, directions};
use crate::grid::{CellSize, Grid, GridShape};
use crate::lots::{CellLots, Leaving, Outlines, drainage};
use crate::terrain::{Rim, fill};
use approx::assert_relative_eq;
use geo::{Coord, Line, MultiPolygon, Rect, line_intersection::line_intersection};
use proptest::prelude::*;
use std::collections::BTreeMap;

const CELL: CellSize = CellSize { dx_m: 1.0, dy_m: 1.0 };

fn block([west, south, east, north]: [f64; 4]) -> MultiPolygon<f64> {
    MultiPolygon(vec![Rect::new(Coord { x: west, y: south }, Coord { x: east, y: north }).to_polygon()])
}

/// Square metre cells with the south-west corner at 0, 0; the first block is the lot.
struct World {
    georef: Georef,
    field: FlowField,
    reach: Reach,
    lots: CellLots,
    outlines: Vec<MultiPolygon<f64>>,
    line: LotLine,
    inlets: Vec<usize>,
    arrival: Arrival,
    entries: Vec<Entry>,
}

impl World {
    fn new(rows: usize, cols: usize, z: impl Fn(usize, usize) -> f64, blocks: &[[f64; 4]]) -> Self {
        Self::with_inlets(rows, cols, z, blocks, &[])
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "small scenes")]
    fn with_inlets(
        rows: usize,
        cols: usize,
        z: impl Fn(usize, usize) -> f64,
        blocks: &[[f64; 4]],
        inlets: &[usize],
    ) -> Self {
        let shape = GridShape { rows, cols };
        let georef = Georef { west: 0.0, north: rows as f64, step_x: 1.0, step_y: 1.0 };
        let raw = Grid::new(shape, (0..rows * cols).map(|i| z(i / cols, i % cols) as f32).collect());
        let ways_out: Vec<crate::terrain::Outlet> = inlets
            .iter()
            .map(|&i| crate::terrain::Outlet { cell: shape.cell(i), level_m: raw.values()[i] })
            .collect();
        let filled = fill(&raw, &Rim::OPEN, &ways_out).unwrap();
        let is_outlet = |i: usize| shape.is_rim(shape.cell(i)) || inlets.contains(&i);
        let field = directions(&filled, CELL, Routing::Proportional, is_outlet).unwrap();
        let outlines: Vec<MultiPolygon<f64>> = blocks.iter().map(|&b| block(b)).collect();
        let all: Vec<&MultiPolygon<f64>> = outlines.iter().collect();
        let lots = CellLots::new(shape, georef, &all).unwrap();
        let line = LotLine::new(&outlines[0], 1.0).unwrap();
        let reach = Reach::upstream_of(&field, lots.cells_of(label(0))).unwrap();
        let mut world = Self {
            georef,
            arrival: Arrival::of(&scene(&field, &reach, &lots, inlets)),
            field,
            reach,
            lots,
            line,
            inlets: inlets.to_vec(),
            entries: Vec::new(),
            outlines: outlines.clone(),
        };
        let all: Vec<&MultiPolygon<f64>> = world.outlines.iter().collect();
        let outlines = Outlines { line: &world.line, all: &all, georef };
        world.entries = drainage(&world.scene(), &world.arrival, outlines, |_| false).descent.entries;
        world
    }

    fn scene(&self) -> Scene<'_> {
        scene(&self.field, &self.reach, &self.lots, &self.inlets)
    }

    fn prove(&self, parts: &[(LineString, Discharge)], takes: f64) -> Proof {
        self.prove_by_place(parts, &|_, _| takes)
    }

    /// With the share that a part takes at a station.
    fn prove_by_place(&self, parts: &[(LineString, Discharge)], takes: &dyn Fn(usize, f64) -> f64) -> Proof {
        let parts: Vec<ProvedPart<'_>> =
            parts.iter().map(|(path, discharge)| ProvedPart { path, discharge: *discharge }).collect();
        prove(&ProofBasis {
            scene: &self.scene(),
            georef: self.georef,
            arrival: &self.arrival,
            entries: &self.entries,
            line: &self.line,
            inner: None,
            parts: &parts,
            channels: &[],
            takes,
        })
        .unwrap()
    }
}

fn scene<'a>(field: &'a FlowField, reach: &'a Reach, lots: &'a CellLots, inlets: &'a [usize]) -> Scene<'a> {
    Scene {
        field,
        reach,
        lots,
        inlets,
        cell: CELL,
        origin: crate::grid::Cell { row: 0, col: 0 },
        subject: label(0),
        least_share: 0.0,
    }
}

fn label(place: usize) -> Label {
    Label::of_place(place).unwrap()
}

fn path(points: &[(f64, f64)]) -> LineString {
    points.to_vec().into()
}

fn received(proof: &Proof, label: Label) -> (f64, f64) {
    let row = proof.received.iter().find(|row| row.label == label);
    row.map_or((0.0, 0.0), |row| (row.without_m2, row.with_m2))
}

/// What isn't kept off the lot is what is left, by why.
fn left_by_reason(proof: &Proof) -> f64 {
    let missed = &proof.missed;
    missed.past_m2.iter().sum::<f64>() + missed.beside_m2 + missed.edge_m2 + missed.back_m2
}

fn expect(proof: &Proof, [before, caught, left, elsewhere]: [f64; 4]) {
    let found = proof.balance;
    assert_relative_eq!(found.before_m2, before, epsilon = 1e-9);
    assert_relative_eq!(found.caught_m2, caught, epsilon = 1e-9);
    assert_relative_eq!(found.left_m2, left, epsilon = 1e-9);
    assert_relative_eq!(left_by_reason(proof), left, epsilon = 1e-9);
    assert_relative_eq!(found.elsewhere_m2, elsewhere, epsilon = 1e-9);
}

/// The lot, N above it, U below it, T beside all three to the east.
const LOTS: [[f64; 4]; 4] =
    [[5.0, 4.0, 15.0, 12.0], [5.0, 12.0, 15.0, 20.0], [5.0, 0.0, 15.0, 4.0], [15.0, 0.0, 20.0, 20.0]];
const N: usize = 1;
const U: usize = 2;
const T: usize = 3;

#[expect(clippy::cast_precision_loss, reason = "small scenes")]
fn number(k: usize) -> f64 {
    k as f64
}

/// Falls south at 10 %.
fn plane() -> World {
    World::new(20, 20, |row, _| 100.0 - 0.1 * number(row), &LOTS)
}

/// 0.6 m inside the lot's north side.
fn north_line() -> LineString {
    path(&[(5.0, 11.4), (15.0, 11.4)])
}

const fn cell(row: usize, col: usize) -> usize {
    row * 20 + col
}

// By hand: 10 columns of 8 cells lie above the lot: 80 m² of run-on, all N's. Row 8, between lot line and line, adds 10 m²
// of the lot's own. Half of either is taken: 40 + 5 = 45 m². The lot keeps the other half of the run-on, 40 m². T, onto
// which the line lets out, had nothing of it and has 45; U below the lot loses 45; over the southern edge go 45 either way.
#[test]
fn half_of_the_water_is_let_out_on_a_neighbour() {
    let outlet = Discharge::Onto(cell(10, 17));
    let proof = plane().prove(&[(north_line(), outlet)], 0.5);
    expect(&proof, [80.0, 40.0, 40.0, 0.0]);
    assert_eq!(proof.taken, [Taken { run_on_m2: 40.0, own_m2: 5.0 }]);
    assert_eq!(proof.left_by_lot, [(label(N), 40.0)]);
    assert_eq!(received(&proof, label(T)), (0.0, 45.0));
    assert_eq!(received(&proof, label(U)), (45.0, 0.0));
    assert_eq!(received(&proof, label(N)), (0.0, 0.0));
    assert_eq!(proof.sinks, [SinkReceived { to: Leaving::OffTheData, without_m2: 45.0, with_m2: 45.0 }]);
    let way = proof.ways[0].as_ref().unwrap();
    assert_eq!(way.cells, (10..20).map(|row| cell(row, 17)).collect::<Vec<_>>());
    assert_eq!(way.lots, [PassedLot { label: label(T), share: 1.0 }]);
    assert_eq!((way.first_inlet, way.end), (None, Leaving::OffTheData));
}

#[test]
fn all_of_it_is_taken_into_a_pipe() {
    let proof = plane().prove(&[(north_line(), Discharge::OffTheSurface)], 1.0);
    expect(&proof, [80.0, 80.0, 0.0, 0.0]);
    assert_eq!(proof.left_by_lot, []);
    assert_eq!(received(&proof, label(U)), (90.0, 0.0));
    assert_eq!(proof.ways, [None]);
}

// The line stands beside six of the ten columns.
#[test]
fn what_enters_beside_the_line_is_left() {
    let short = path(&[(9.0, 11.4), (15.0, 11.4)]);
    let proof = plane().prove(&[(short, Discharge::Nowhere)], 1.0);
    expect(&proof, [80.0, 48.0, 32.0, 0.0]);
}

// The lot's rows are 8 to 15. From row 10 water leaves it over row 15, 5 m off: it has left at once, and all
// 80 m² are caught. From row 9 row 15 is 6 m off: it has run over the lot, and all is left.
#[test]
fn water_let_out_on_the_lot_itself_stays_away_where_it_leaves_it_at_once() {
    let world = plane();
    for (row, back) in [(10, 0.0), (9, 1.0)] {
        let proof = world.prove(&[(north_line(), Discharge::Onto(cell(row, 10)))], 1.0);
        assert_eq!(proof.comes_back, [back]);
        expect(&proof, [80.0, 80.0 * (1.0 - back), 80.0 * back, 0.0]);
        let alone = OutFate::of(&world.scene(), &[], cell(row, 10)).unwrap();
        assert_eq!((alone.comes_back, alone.stays_away), (back, 1.0 - back));
    }
    // In a ditch down the column it stays away however far that runs on the lot.
    let ditch: Vec<usize> = (9..16).map(|row| cell(row, 10)).collect();
    assert!(OutFate::of(&world.scene(), &ditch, cell(9, 10)).unwrap().comes_back <= 0.0);
}

// Let out on N above the lot, all of it is back.
#[test]
fn water_that_comes_back_is_left() {
    let proof = plane().prove(&[(north_line(), Discharge::Onto(cell(2, 10)))], 1.0);
    expect(&proof, [80.0, 0.0, 80.0, 0.0]);
    assert_eq!(proof.comes_back, [1.0]);
    assert_eq!(received(&proof, label(N)), (0.0, 90.0));
    assert_eq!(received(&proof, label(U)), (90.0, 90.0));
}

// Row 8, the lot's first, is a gutter that falls east to T: the run-on runs along in front of the line, off the lot, and
// over the eastern edge. From the rest of the lot nothing comes to the line.
#[test]
fn a_gutter_in_front_of_the_line_leads_elsewhere() {
    let gutter = |row: usize, col: usize| {
        if row == 8 { 95.0 - 0.01 * number(col) } else { 100.0 - 0.1 * number(row) }
    };
    let world = World::new(20, 20, gutter, &LOTS);
    let before: f64 = world.entries.iter().map(|e| e.area_m2).sum();
    // Its columns, and what comes along the gutter from the west.
    assert!(before >= 80.0);
    let proof = world.prove(&[(north_line(), Discharge::Nowhere)], 1.0);
    // A trace falls back over the line's western end from the ground beside the lot.
    let [taken] = proof.taken[..] else { panic!("one part") };
    assert!(taken.run_on_m2 < 0.01, "{taken:?}");
    assert_relative_eq!(proof.balance.elsewhere_m2, before - taken.run_on_m2, epsilon = 1e-9);
    assert_relative_eq!(proof.balance.left_m2, 0.0, epsilon = 1e-9);
    // Row 9 of the lot falls back into the gutter over the line: 10 m² of the lot's own, less a trace past its eastern end.
    assert!((9.95..=10.0).contains(&taken.own_m2), "{taken:?}");
}

// An inlet on T takes what is let out above it, and is the first on the way.
#[test]
fn the_first_inlet_on_the_way_is_told() {
    let hole = |row: usize, col: usize| {
        if (row, col) == (15, 17) { 90.0 } else { 100.0 - 0.1 * number(row) }
    };
    let world = World::with_inlets(20, 20, hole, &LOTS, &[cell(15, 17)]);
    let proof = world.prove(&[(north_line(), Discharge::Onto(cell(10, 17)))], 0.5);
    let way = proof.ways[0].as_ref().unwrap();
    assert_eq!((way.first_inlet, way.end), (Some(0), Leaving::IntoInlet(0)));
    let inlet = proof.sinks.iter().find(|sink| sink.to == Leaving::IntoInlet(0)).unwrap();
    assert_eq!((inlet.without_m2, inlet.with_m2), (0.0, 45.0));
}

// Water weaves over the line between the lots W and V on its way south: one row in three is shifted. It counts once at each.
#[test]
fn water_that_weaves_over_a_lot_line_counts_once() {
    let lots = [[5.0, 12.0, 15.0, 18.0], [5.0, 0.0, 10.0, 12.0], [10.0, 0.0, 15.0, 12.0]];
    // A channel that goes one column to and fro every second row below the lot.
    let bed = |row: usize, col: usize| {
        let way = if row.is_multiple_of(4) || row % 4 == 1 { 9 } else { 10 };
        100.0 - 0.1 * number(row) - if row > 7 && col == way { 1.0 } else { 0.0 }
    };
    let world = World::new(20, 20, bed, &lots);
    let proof = world.prove(&[(path(&[(5.0, 17.4), (15.0, 17.4)]), Discharge::Nowhere)], 1.0);
    let taken = proof.taken[0].total_m2();
    for place in [1, 2] {
        let (without, _) = received(&proof, label(place));
        assert!(without > 0.0 && without <= taken + 1e-9, "{without} of {taken}");
    }
}

// Ten columns of water of 1 each from row 8 on, straight south. A stands across four of them, B behind A in one of these, C
// beside all: A is met by 0.4, B by 0.1.
#[test]
fn overflow_is_followed_to_what_stands_in_its_way() {
    let world = plane();
    let over: Vec<(usize, f64)> = (5..15).map(|col| (cell(8, col), 1.0)).collect();
    let across =
        |row: usize, cols: std::ops::Range<usize>| cols.map(|col| cell(row, col)).collect::<Vec<_>>();
    let things = BTreeMap::from([(0, across(14, 8..9)), (1, across(12, 7..11)), (2, across(12, 17..19))]);
    let found = overflow_way(&world.scene(), &over, &things).unwrap().unwrap();
    assert_eq!(found.meets.iter().map(|met| met.0).collect::<Vec<_>>(), [1, 0]);
    assert_relative_eq!(found.meets[0].1, 0.4, epsilon = 1e-9);
    assert_relative_eq!(found.meets[1].1, 0.1, epsilon = 1e-9);
    assert_eq!(found.way.cells, (8..20).map(|row| cell(row, 5)).collect::<Vec<_>>());
    assert_eq!(found.way.end, Leaving::OffTheData);
    assert!(overflow_way(&world.scene(), &[], &things).unwrap().is_none());
}

// Whatever the part takes, its 80 m² of run-on and the 10 m² of the strip cross it, evenly over ten columns, behind it.
#[test]
fn what_crosses_a_part_is_told_whether_taken_or_not() {
    for takes in [0.0, 0.5, 1.0] {
        let proof = plane().prove(&[(north_line(), Discharge::Nowhere)], takes);
        let expected: Vec<(usize, f64)> = (5..15).map(|col| (cell(9, col), 9.0)).collect();
        let [found] = &proof.crossing[..] else { panic!("one part") };
        assert!(found.iter().all(|at| (at.takes - takes).abs() < 1e-12));
        let mut by_cell: BTreeMap<usize, f64> = BTreeMap::new();
        for at in found {
            *by_cell.entry(at.cell).or_default() += at.area_m2;
        }
        let found: Vec<(usize, f64)> = by_cell.into_iter().collect();
        assert_eq!(
            found.iter().map(|at| at.0).collect::<Vec<_>>(),
            expected.iter().map(|at| at.0).collect::<Vec<_>>()
        );
        for (a, b) in found.iter().zip(&expected) {
            assert_relative_eq!(a.1, b.1, epsilon = 1e-9);
        }
    }
}

#[test]
fn a_station_has_its_own_share() {
    let world = plane();
    let parts = [(north_line(), Discharge::Nowhere)];
    // The first four metres take all, the rest a quarter: 32 + 48 / 4 = 44.
    let proof = world.prove_by_place(&parts, &|_, station_m| if station_m < 4.0 { 1.0 } else { 0.25 });
    expect(&proof, [80.0, 44.0, 36.0, 0.0]);
    // All of it came to the part.
    assert_relative_eq!(proof.missed.past_m2[0], 36.0, epsilon = 1e-9);
    let by_lot: BTreeMap<Label, f64> = proof.left_by_lot.iter().copied().collect();
    assert_eq!(by_lot.keys().copied().collect::<Vec<_>>(), [label(N)]);
}

// A's ground above the lot, to the west, falls into one column, the ninth, between crests; B's, to the east, falls straight. The part takes all
// that comes but in the metre of that column, of which it takes a quarter. What is left is A's alone, and meets only what stands below.
#[test]
fn what_one_neighbour_brings_too_much_of_is_left_and_none_of_the_others() {
    const LOTS: [[f64; 4]; 3] = [[4.0, 4.0, 15.0, 12.0], [4.0, 12.0, 10.0, 20.0], [10.0, 12.0, 15.0, 20.0]];
    const A: usize = 1;
    const B: usize = 2;
    let trough = |row: usize, col: usize| {
        let across = match col {
            5..=8 => 0.5 * (number(col) - 8.0).abs() - 5.0,
            4 | 9 => 5.0,
            _ => 0.0,
        };
        100.0 - 0.1 * number(row) + across
    };
    let world = World::new(20, 20, trough, &LOTS);
    let line = path(&[(4.0, 11.4), (15.0, 11.4)]);
    let parts = [(line, Discharge::OffTheSurface)];
    // Column 8 is crossed between 4 and 5 m.
    let takes = |station_m: f64, share: f64| if (4.0..5.0).contains(&station_m) { share } else { 1.0 };
    let prove = |share: f64| world.prove_by_place(&parts, &|_, station_m| takes(station_m, share));
    let (all, some) = (prove(1.0), prove(0.25));
    let left = |proof: &Proof, place: usize| {
        proof.left_by_lot.iter().find(|row| row.0 == label(place)).map_or(0.0, |row| row.1)
    };
    let in_trough = |at: &&CrossedPart| (4.0..5.0).contains(&at.station_m);
    let trough_m2: f64 = some.crossing[0].iter().filter(in_trough).map(|at| at.area_m2).sum();
    assert!(trough_m2 > 25.0, "most of A's 48 m² comes in the trough: {trough_m2}");
    assert_relative_eq!(left(&some, B), left(&all, B), epsilon = 1e-9);
    let more = some.balance.left_m2 - all.balance.left_m2;
    assert_relative_eq!(left(&some, A) - left(&all, A), more, epsilon = 1e-9);
    let own_m2 = all.taken[0].own_m2 - some.taken[0].own_m2;
    assert_relative_eq!(more + own_m2, 0.75 * trough_m2, epsilon = 1e-9);
    assert_relative_eq!(some.left_by_entry_m2.iter().sum::<f64>(), some.balance.left_m2, epsilon = 1e-9);
    // Only what passes runs on.
    let over: Vec<(usize, f64)> =
        some.crossing[0].iter().map(|at| (at.cell, at.area_m2 * (1.0 - at.takes))).collect();
    let below = |cols: std::ops::Range<usize>| cols.map(|col| cell(14, col)).collect::<Vec<_>>();
    let things = BTreeMap::from([(0, below(6..9)), (1, below(11..15))]);
    let found = overflow_way(&world.scene(), &over, &things).unwrap().unwrap();
    assert_eq!(found.meets.iter().map(|met| met.0).collect::<Vec<_>>(), [0]);
    assert_relative_eq!(found.meets[0].1, 1.0, epsilon = 1e-9);
}
