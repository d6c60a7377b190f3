//! Filled surfaces, cell for cell and bit for bit, against a general image library.
//!
//! Goldens: `tests/reference/fill.py`, by scikit-image 0.26.0, `morphology.reconstruction(method="erosion")` with the
//! eight neighbours; the method is L. Vincent, "Morphological grayscale reconstruction in image analysis: applications
//! and efficient algorithms", IEEE Transactions on Image Processing 2(2), 1993.

#![expect(clippy::unwrap_used, reason = "a failed call fails the test")]

use lotshed::grid::{Cell, Grid, GridShape};
use lotshed::terrain::{Outlet, Rim, Side, fill};
use sha2::{Digest, Sha256};
use std::path::PathBuf;

fn path(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), name].iter().collect()
}

fn floats(name: &str) -> Vec<f32> {
    let bytes = std::fs::read(path(name)).unwrap();
    bytes.chunks_exact(4).map(|b| f32::from_le_bytes(b.try_into().unwrap())).collect()
}

fn shorts(name: &str) -> Vec<f32> {
    let bytes = std::fs::read(path(name)).unwrap();
    bytes.chunks_exact(2).map(|b| f32::from(i16::from_le_bytes(b.try_into().unwrap()))).collect()
}

fn differing(a: &[f32], b: &[f32]) -> usize {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).filter(|(a, b)| a.to_bits() != b.to_bits() && !(a.is_nan() && b.is_nan())).count()
}

fn raised(raw: &Grid<f32>, filled: &[f32]) -> usize {
    raw.values().iter().zip(filled).filter(|(z, f)| f > z).count()
}

#[test]
fn made_ground_equals_the_reference() {
    let table = std::fs::read_to_string(path("tests/reference/fill/cases.csv")).unwrap();
    let mut compared = 0;
    for line in table.lines().skip(1) {
        let field: Vec<&str> = line.split(',').collect();
        let [name, rows, cols, sides, row, col, level, expected_raised] = field[..] else { panic!("{line}") };
        let shape = GridShape { rows: rows.parse().unwrap(), cols: cols.parse().unwrap() };
        let side = |letter| if sides.contains(letter) { Side::Open } else { Side::Closed };
        let rim = Rim { north: side('n'), east: side('e'), south: side('s'), west: side('w') };
        let outlet = level.parse().ok().map(|level_m| Outlet {
            cell: Cell { row: row.parse().unwrap(), col: col.parse().unwrap() },
            level_m,
        });
        let raw = Grid::new(shape, floats(&format!("tests/reference/fill/{name}.in.f32")));
        let filled = fill(&raw, &rim, outlet.as_slice()).unwrap();
        let expected = floats(&format!("tests/reference/fill/{name}.out.f32"));
        assert_eq!(differing(filled.values(), &expected), 0, "cells of {name} that differ");
        assert_eq!(raised(&raw, &expected), expected_raised.parse::<usize>().unwrap());
        compared += 1;
    }
    assert_eq!(compared, 7);
}

#[test]
fn surveyed_ground_equals_the_reference() {
    let raw = Grid::new(GridShape { rows: 344, cols: 403 }, shorts("fixtures/jacksboro_344x403.i16"));
    let filled = fill(&raw, &Rim::OPEN, &[]).unwrap();
    assert_eq!(differing(filled.values(), &shorts("tests/reference/fill/jacksboro.out.i16")), 0);
    assert!(raised(&raw, filled.values()) > 1000, "the sample has sinks to fill");
}

#[test]
fn ground_of_many_bands_equals_the_reference_on_any_number_of_threads() {
    let shape = GridShape { rows: 1500, cols: 400 };
    let values = (0..shape.len()).map(|at| {
        let Cell { row, col } = shape.cell(at);
        let [x, y] = [col, row].map(|n| u32::try_from(n).unwrap());
        let mixed =
            (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(2_246_822_519)).wrapping_mul(3_266_489_917);
        f32::from(u16::try_from((mixed >> 26) + x + y / 3).unwrap()) / 4.0
    });
    let raw = Grid::new(shape, values.collect());
    let expected = std::fs::read_to_string(path("tests/reference/fill/bands.sha256")).unwrap();
    for threads in [1, 2, 8] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let filled = pool.install(|| fill(&raw, &Rim::OPEN, &[])).unwrap();
        let bytes: Vec<u8> = filled.values().iter().flat_map(|z| z.to_le_bytes()).collect();
        let digest = Sha256::digest(&bytes);
        let expected = expected
            .trim()
            .as_bytes()
            .chunks(2)
            .map(|hex| u8::from_str_radix(str::from_utf8(hex).unwrap(), 16).unwrap());
        assert!(digest.iter().copied().eq(expected), "on {threads} threads");
    }
}
