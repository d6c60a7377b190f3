//! A surface with lots on it, from a function of east and north.

use geo::{Coord, MultiPolygon, Rect};
use lotshed::flow::{FlowField, Reach, Routing, directions, single_within};
use lotshed::grid::{Cell, CellSize, Direction, Georef, Grid, GridShape};
use lotshed::lots::{Arrival, CellLots, Label, LongestWay, OntoLot, Scene, WayField, WayTree};
use lotshed::runoff::AHEAD_M;
use lotshed::terrain::{Rim, fill};

pub(crate) struct World {
    pub filled: Grid<f32>,
    pub field: FlowField,
    pub reach: Reach,
    pub lots: CellLots,
    pub cell: CellSize,
    pub georef: Georef,
    pub subject: Label,
}

/// A rectangle as an outline.
pub(crate) fn block(west: f64, south: f64, east: f64, north: f64) -> MultiPolygon<f64> {
    let rect = Rect::new(Coord { x: west, y: south }, Coord { x: east, y: north });
    MultiPolygon(vec![rect.to_polygon()])
}

/// Heights of a grid with the given shape and cell size, its south-west corner at the origin.
pub(crate) fn heights(shape: GridShape, cell: CellSize, z: impl Fn(f64, f64) -> f64) -> Grid<f32> {
    let georef = georef(shape, cell);
    let values = (0..shape.len())
        .map(|i| {
            let (x, y) = georef.centre(shape.cell(i));
            z(x, y) as f32
        })
        .collect();
    Grid::new(shape, values)
}

pub(crate) fn georef(shape: GridShape, cell: CellSize) -> Georef {
    Georef { west: 0.0, north: shape.rows as f64 * cell.dy_m, step_x: cell.dx_m, step_y: cell.dy_m }
}

impl World {
    /// Fills, routes and labels; the first outline is the subject.
    pub(crate) fn new(
        z: &Grid<f32>,
        cell: CellSize,
        routing: Routing,
        outlines: &[MultiPolygon<f64>],
    ) -> Self {
        let shape = z.shape();
        let georef = georef(shape, cell);
        let filled = fill(z, &Rim::OPEN, &[]).expect("every rim cell is an outlet");
        let touches_hole = |i: usize| {
            Direction::ALL
                .into_iter()
                .filter_map(|d| shape.neighbour(shape.cell(i), d))
                .any(|n| z.at(n).is_nan())
        };
        let is_outlet = |i: usize| shape.is_rim(shape.cell(i)) || touches_hole(i);
        let facets = directions(&filled, cell, routing, is_outlet).expect("a filled surface drains");
        let refs: Vec<&MultiPolygon<f64>> = outlines.iter().collect();
        let lots = CellLots::new(shape, georef, &refs).expect("few lots");
        let subject = Label::of_place(0).expect("a label");
        let facets_reach = Reach::upstream_of(&facets, lots.cells_of(subject)).expect("no cycles");
        let (field, reach) = if routing == Routing::Single {
            let single = single_within(&facets, &facets_reach, cell);
            let reach = Reach::upstream_of(&single, lots.cells_of(subject)).expect("no cycles");
            (single, reach)
        } else {
            (facets, facets_reach)
        };
        Self { filled, field, reach, lots, cell, georef, subject }
    }

    /// The scene with everything followed to the end.
    pub(crate) fn scene(&self) -> Scene<'_> {
        Scene {
            field: &self.field,
            reach: &self.reach,
            lots: &self.lots,
            inlets: &[],
            cell: self.cell,
            origin: Cell { row: 0, col: 0 },
            subject: self.subject,
            least_share: 0.0,
        }
    }

    /// The ways onto the subject.
    pub(crate) fn ways(&self) -> WayTree {
        let scene = self.scene();
        let goal = OntoLot { scene, arrival: &Arrival::of(&scene) };
        WayTree::of(&WayField { scene, goal: &goal }, AHEAD_M)
    }

    /// The longest of them.
    pub(crate) fn longest_way(&self) -> LongestWay {
        let ways = self.ways();
        let length_m = |&a: &usize, &b: &usize| ways.to_end_m(a).total_cmp(&ways.to_end_m(b));
        ways.way((0..ways.len()).max_by(length_m).expect("water enters"))
    }

    /// Share of each cell's water that reaches the subject; 0 for its own cells.
    pub(crate) fn shares(&self) -> Grid<f64> {
        let scene = self.scene();
        let arrival = Arrival::of(&scene);
        let shape = self.lots.shape();
        let share = |cell: usize| match self.reach.place(cell) {
            Some(place) if !scene.is_subject(cell) => arrival.at_place(place),
            _ => 0.0,
        };
        Grid::new(shape, (0..shape.len()).map(share).collect())
    }
}

/// How an estimated source map compares with the true one, over the cells where `counts`.
pub(crate) struct Comparison {
    /// Estimated area over true area, less one.
    pub area_error: f64,
    /// Half the sum of absolute differences over the true area.
    pub misallocated: f64,
}

/// Compares shares with the truth, which is sampled at 4 x 4 points a cell.
pub(crate) fn compare(
    shares: &Grid<f64>,
    georef: Georef,
    counts: impl Fn(f64, f64) -> bool,
    truth: impl Fn(f64, f64) -> bool,
) -> Comparison {
    let shape = shares.shape();
    let (mut estimated, mut true_area, mut difference) = (0.0, 0.0, 0.0);
    for index in 0..shape.len() {
        let cell: Cell = shape.cell(index);
        let (x, y) = georef.centre(cell);
        if !counts(x, y) {
            continue;
        }
        let mut hits = 0;
        for i in 0..4 {
            for j in 0..4 {
                let offset = |k: i32| (f64::from(k) - 1.5) / 4.0;
                if truth(x + offset(i) * georef.step_x, y + offset(j) * georef.step_y) {
                    hits += 1;
                }
            }
        }
        let expected = f64::from(hits) / 16.0;
        let found = *shares.at(cell);
        estimated += found;
        true_area += expected;
        difference += (found - expected).abs();
    }
    Comparison { area_error: estimated / true_area - 1.0, misallocated: difference / 2.0 / true_area }
}

/// Whether a segment meets a square block (by clipping it to the block's two slabs).
pub(crate) fn segment_meets_block(
    from: (f64, f64),
    to: (f64, f64),
    south_west: (f64, f64),
    side: f64,
) -> bool {
    let slab = |at: f64, step: f64, low: f64| {
        if step.abs() < 1e-12 {
            return if at > low && at < low + side {
                (f64::NEG_INFINITY, f64::INFINITY)
            } else {
                (1.0, -1.0)
            };
        }
        let (a, b) = ((low - at) / step, (low + side - at) / step);
        (a.min(b), a.max(b))
    };
    let (x0, x1) = slab(from.0, to.0 - from.0, south_west.0);
    let (y0, y1) = slab(from.1, to.1 - from.1, south_west.1);
    x0.max(y0).max(0.0) < x1.min(y1).min(1.0)
}
