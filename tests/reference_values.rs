//! Flow, shares, areas and cell coverage against values computed by general libraries.
//!
//! `tests/reference/README.md` says where each value comes from and how closely to compare.
#![expect(clippy::unwrap_used, reason = "a helper that fails must fail its test")]

use std::fs;
use std::path::PathBuf;

use geo::{Coord, LineString, MultiPolygon, Polygon};
use lotshed::demo::neighbourhood;
use lotshed::flow::{FlowField, Reach, Routing, directions, upstream_area};
use lotshed::grid::{Cell, CellSize, Georef, Grid, GridShape};
use lotshed::lots::{Arrival, CellLots, Label, Scene, coverage, origins};
use lotshed::terrain::{Outlet, Rim, fill};
use serde::Deserialize;

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name)
}

fn doubles(name: &str) -> Vec<f64> {
    let bytes = fs::read(folder(name)).unwrap();
    bytes.chunks_exact(8).map(|eight| f64::from_le_bytes(eight.try_into().unwrap())).collect()
}

fn singles(name: &str) -> Vec<f32> {
    let bytes = fs::read(folder(name)).unwrap();
    bytes.chunks_exact(4).map(|four| f32::from_le_bytes(four.try_into().unwrap())).collect()
}

#[derive(Deserialize)]
struct Case {
    name: String,
    rows: usize,
    cols: usize,
    dx_m: f64,
    dy_m: f64,
    rectangles: Vec<Rectangle>,
}

#[derive(Deserialize)]
struct Rectangle {
    top: usize,
    left: usize,
    bottom: usize,
    right: usize,
    run_on_area_m2: f64,
}

impl Case {
    fn all() -> Vec<Self> {
        let cases: Vec<Self> =
            serde_json::from_slice(&fs::read(folder("accumulate/index.json")).unwrap()).unwrap();
        assert_eq!(cases.len(), 4);
        cases
    }

    fn shape(&self) -> GridShape {
        GridShape { rows: self.rows, cols: self.cols }
    }

    fn cell(&self) -> CellSize {
        CellSize { dx_m: self.dx_m, dy_m: self.dy_m }
    }

    /// These grids have no pits: where no neighbour is lower, water leaves over the rim.
    fn field(&self) -> FlowField {
        let shape = self.shape();
        let ground = Grid::new(shape, singles(&format!("accumulate/{}.z.f32", self.name)));
        directions(&ground, self.cell(), Routing::Proportional, |cell| shape.is_rim(shape.cell(cell)))
            .unwrap()
    }
}

#[test]
fn upstream_area_is_the_solution_of_the_water_balance() {
    for case in Case::all() {
        let area = upstream_area(&case.field(), case.cell()).unwrap();
        // Half a last digit of a share near 1 is much of what is left for the other receiver.
        for (file, tolerance) in [("area", 1e-5), ("area_f32", 1e-11)] {
            let expected = doubles(&format!("accumulate/{}.{file}.f64", case.name));
            for (index, (found, expected)) in area.values().iter().zip(&expected).enumerate() {
                let at = case.shape().cell(index);
                assert!(
                    (found / expected - 1.0).abs() < tolerance,
                    "{}.{file} at {at:?}: {found} for {expected}",
                    case.name
                );
            }
        }
    }
}

#[test]
#[expect(clippy::cast_precision_loss, reason = "a few dozen cells")]
fn share_that_reaches_a_lot_is_the_solution_of_its_first_passage() {
    for case in Case::all() {
        let (field, shape) = (case.field(), case.shape());
        for (number, r) in case.rectangles.iter().enumerate() {
            // The rectangle as a lot whose lines run between cells, in cells from the north-west corner.
            let georef = Georef { west: 0.0, north: 0.0, step_x: 1.0, step_y: 1.0 };
            let (west, north) = (r.left as f64, -(r.top as f64));
            let (east, south) = (r.right as f64, -(r.bottom as f64));
            let ring = vec![(west, south), (east, south), (east, north), (west, north)];
            let lot = MultiPolygon::from(Polygon::new(LineString::from(ring), Vec::new()));
            let lots = CellLots::new(shape, georef, &[&lot]).unwrap();
            let subject = Label::of_place(0).unwrap();
            let reach = Reach::upstream_of(&field, lots.cells_of(subject)).unwrap();
            let (field, cell) = (&field, case.cell());
            let scene = Scene {
                field,
                reach: &reach,
                lots: &lots,
                inlets: &[],
                cell,
                origin: Cell { row: 0, col: 0 },
                subject,
                least_share: 0.0,
            };
            let arrival = Arrival::of(&scene);

            let expected = doubles(&format!("accumulate/{}.{number}.reach.f64", case.name));
            for (index, expected) in
                expected.iter().enumerate().filter(|(index, _)| !scene.is_subject(*index))
            {
                let found = reach.place(index).map_or(0.0, |place| arrival.at_place(place));
                let at = shape.cell(index);
                assert!(
                    (found - expected).abs() < 1e-6,
                    "{} {number} at {at:?}: {found}, {expected}",
                    case.name
                );
            }
            let total: f64 = origins(&scene, &arrival).iter().map(|(_, area)| area).sum();
            assert!((total / r.run_on_area_m2 - 1.0).abs() < 1e-6, "{} {number}: {total}", case.name);
        }
    }
}

#[derive(Deserialize)]
struct Covered {
    west: f64,
    north: f64,
    step_x: f64,
    step_y: f64,
    rows: usize,
    cols: usize,
    parts: Vec<Vec<Vec<[f64; 2]>>>,
    fractions: Vec<f64>,
}

impl Covered {
    fn outline(&self) -> MultiPolygon<f64> {
        let ring =
            |ring: &Vec<[f64; 2]>| LineString::new(ring.iter().map(|&[x, y]| Coord { x, y }).collect());
        let part =
            |rings: &Vec<Vec<[f64; 2]>>| Polygon::new(ring(&rings[0]), rings[1..].iter().map(ring).collect());
        MultiPolygon::new(self.parts.iter().map(part).collect())
    }
}

#[test]
fn covered_share_of_every_cell_is_that_of_exact_intersections() {
    let mut seen = 0;
    for entry in fs::read_dir(folder("coverage")).unwrap() {
        let path = entry.unwrap().path();
        let case: Covered = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
        let georef = Georef { west: case.west, north: case.north, step_x: case.step_x, step_y: case.step_y };
        let found = coverage(&case.outline(), case.rows, case.cols, |c| georef.to_grid(c.x, c.y));
        // Coordinates of seven digits before the point leave nine after it.
        let tolerance = if case.west > 1e5 { 1e-7 } else { 1e-9 };
        let shape = GridShape { rows: case.rows, cols: case.cols };
        for (index, expected) in case.fractions.iter().enumerate() {
            let at = shape.cell(index);
            let covered = found.as_ref().map_or(0.0, |block| {
                let inside = (block.row..block.row + block.rows).contains(&at.row)
                    && (block.col..block.col + block.cols).contains(&at.col);
                if inside {
                    block.shares[(at.row - block.row) * block.cols + at.col - block.col]
                } else {
                    0.0
                }
            });
            assert!((covered - expected).abs() < tolerance, "{path:?} at {at:?}: {covered} for {expected}");
        }
        seen += 1;
    }
    assert_eq!(seen, 23);
}

#[test]
fn the_wet_lot_of_the_demo_gets_its_water_from_whom_it_should() {
    let expected: serde_json::Value =
        serde_json::from_slice(&fs::read(folder("demo_ledger.json")).unwrap()).unwrap();
    let side = expected["cell_area_m2"].as_f64().unwrap().sqrt();
    let cell = CellSize { dx_m: side, dy_m: side };

    let hill = neighbourhood();
    let shape = hill.elevation.shape();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the raster")]
    let inlets: Vec<Outlet> = hill
        .inlets
        .iter()
        .map(|inlet| {
            let (col, row) = hill.georef.to_grid(inlet.at.x, inlet.at.y);
            Outlet { cell: Cell { row: row as usize, col: col as usize }, level_m: f32::MIN }
        })
        .collect();
    let filled = fill(&hill.elevation, &Rim::OPEN, &inlets).unwrap();
    let field = directions(&filled, cell, Routing::Proportional, |index| {
        let at = shape.cell(index);
        shape.is_rim(at) || inlets.iter().any(|inlet| inlet.cell == at)
    })
    .unwrap();

    let outlines: Vec<MultiPolygon<f64>> =
        hill.lots.iter().map(|lot| MultiPolygon::from(lot.outline.clone())).collect();
    let lots = CellLots::new(shape, hill.georef, &outlines.iter().collect::<Vec<_>>()).unwrap();
    let place = hill.lots.iter().position(|lot| lot.id == hill.subject).unwrap();
    let subject = Label::of_place(place).unwrap();
    let reach = Reach::upstream_of(&field, lots.cells_of(subject)).unwrap();
    let scene = Scene {
        field: &field,
        reach: &reach,
        lots: &lots,
        inlets: &[],
        cell,
        origin: Cell { row: 0, col: 0 },
        subject,
        least_share: 0.0,
    };
    let found = origins(&scene, &Arrival::of(&scene));

    // Ponds leave a choice of paths, and the slivers of cells on the lot line are weighed a little differently.
    let total: f64 = found.iter().map(|(_, area)| area).sum();
    let expected = &expected["open_rim"];
    let expected_total = expected["run_on_area_m2"].as_f64().unwrap();
    let rows = expected["area_m2"].as_object().unwrap();
    for lot in hill.lots.iter().map(|lot| lot.id.as_str()).chain(["unparcelled"]) {
        let expected = rows.get(lot).map_or(0.0, |area| area.as_f64().unwrap());
        let area = found
            .iter()
            .filter(|(label, _)| label.place().map_or("unparcelled", |place| &hill.lots[place].id) == lot)
            .map(|(_, area)| area)
            .sum::<f64>();
        assert!((area - expected).abs() < f64::max(2.0, 0.01 * expected), "{lot}: {area} for {expected}");
    }
    assert!((total / expected_total - 1.0).abs() < 0.002, "{total} for {expected_total}");
}
