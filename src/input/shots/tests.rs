//! Shots from rows of a table, and what is found wrong with them.

use super::super::beside::points::PointFeature;
use super::check::{check_offset, far_off, one_a_cell};
use super::contradictions::contradicting;
use super::read::{BEST_ACCURACY_M, shot};
use super::*;
use crate::units::Length;
use approx::assert_relative_eq;
use std::path::PathBuf;

fn made(values: [&str; 4], metres: f64) -> Result<Shot, String> {
    let value = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
    let values = values.into_iter().map(value).collect();
    shot(&PointFeature { at: Coord { x: 0.0, y: 0.0 }, values, name: "line 7".to_owned() }, metres)
}

fn file() -> SideFile {
    SideFile { path: PathBuf::from("shots.csv"), layer: None }
}

fn model() -> ErrorModel {
    ErrorModel::new(Length::from_m(0.1), Length::ZERO)
}

/// Shots over a surface at 200 m, one in the middle of each column given; columns are 2 m wide.
fn shots(all: &[(usize, f64)]) -> Vec<ShotOnGround> {
    let one = |(place, &(col, elevation_m)): (usize, &(usize, f64))| ShotOnGround {
        shot: Shot {
            id: format!("P{place}"),
            at: Coord { x: 2.0 * real(col), y: 0.0 },
            elevation_m,
            accuracy_m: 0.01,
        },
        cell: Cell { row: 0, col },
        surface_m: 200.0,
    };
    all.iter().enumerate().map(one).collect()
}

/// 100 ft are 30.48 m; a row's unit wins over the file's.
#[test]
fn heights_are_turned_into_metres_by_the_row_then_by_the_file() {
    let found = made(["A", "100", "0.1", ""], 0.3048).unwrap();
    assert_relative_eq!(found.elevation_m, 30.48, max_relative = 1e-12);
    assert_relative_eq!(found.accuracy_m, 0.030_48, max_relative = 1e-12);
    let found = made(["A", "100", "0.1", "m"], 0.3048).unwrap();
    assert_relative_eq!(found.elevation_m, 100.0, max_relative = 1e-12);
    let bare = made(["", "100", "0", ""], 1.0).unwrap();
    assert_eq!(bare.id, "line 7");
    assert_relative_eq!(bare.accuracy_m, BEST_ACCURACY_M);
}

#[test]
fn what_cannot_be_is_refused_with_the_field() {
    for (values, words) in [
        (["A", "", "0.1", ""], "no elevation"),
        (["A", "high", "0.1", ""], "elevation \"high\""),
        (["A", "100", "-0.1", ""], "below 0"),
        (["A", "100", "fine", ""], "accuracy \"fine\""),
        (["A", "100", "0.1", "yard"], "unit"),
    ] {
        let found = made(values, 1.0).unwrap_err();
        assert!(found.contains(words), "{found}");
    }
}

#[test]
fn several_in_a_cell_count_as_their_mean_and_are_named() {
    let found = one_a_cell(&file(), &shots(&[(3, 200.1), (5, 200.0), (3, 200.12)]), 1.0);
    assert_eq!(found.value.len(), 2);
    assert_relative_eq!(found.value[0].difference_m(), 0.11, max_relative = 1e-9);
    assert_relative_eq!(found.value[0].shot.accuracy_m, 0.01);
    let said = &found.warnings[0].message;
    assert!(said.contains("P0 and P2 (0.02 m"), "{said}");
    assert!(one_a_cell(&file(), &shots(&[(3, 200.1), (5, 200.0)]), 1.0).warnings.is_empty());
}

/// Accuracies of 0.01 m: three standard deviations of a difference are 3 sqrt(2) 0.01 = 0.0424 m. The standard deviation of
/// two readings is their difference over the root of 2.
#[test]
fn two_at_one_place_that_cannot_both_be_right_are_named_with_their_difference() {
    let mut some = shots(&[(3, 200.1), (5, 200.0), (3, 200.2), (7, 200.0)]);
    let said = contradicting(&file(), &some, 1.0).unwrap().message;
    assert!(
        said.contains("P0 and P2") && said.contains("differ by 0.10 m") && !said.contains("P1"),
        "{said}"
    );
    let together = one_a_cell(&file(), &some, 1.0).value;
    assert_relative_eq!(together[0].shot.accuracy_m, 0.1 / 2.0_f64.sqrt(), max_relative = 1e-9);
    // In two cells, 0.4 m apart and 0.6 m.
    some[2].cell.col = 4;
    some[2].shot.at.x = 6.4;
    assert!(contradicting(&file(), &some[..3], 1.0).unwrap().message.contains("0.40 m"));
    some[2].shot.at.x = 6.6;
    assert!(contradicting(&file(), &some[..3], 1.0).is_none());
    assert!(contradicting(&file(), &shots(&[(3, 200.1), (3, 200.14)]), 1.0).is_none());
    assert!(contradicting(&file(), &shots(&[(3, 200.1), (3, 200.15)]), 1.0).is_some());
}

/// Three standard deviations of the difference are 3 sqrt(0.1² + 0.01²) = 0.3015 m.
#[test]
fn one_that_is_far_off_is_named_with_its_difference() {
    let some = shots(&[(1, 200.0), (3, 199.69), (5, 200.3)]);
    let said = far_off(&file(), &some, &model()).unwrap().message;
    assert!(said.contains("P1 (0.31 m") && said.contains("below") && !said.contains("P2"), "{said}");
    assert!(far_off(&file(), &shots(&[(1, 200.3)]), &model()).is_none());
}

/// 200 m are 656.17 ft.
#[test]
fn another_unit_or_datum_is_refused_with_what_would_explain_it() {
    let refusal =
        |all: &[(usize, f64)]| check_offset(&file(), &shots(all), &model()).map_err(|e| e.to_string());
    let feet = refusal(&[(1, 656.17), (3, 656.2)]).unwrap_err();
    assert!(feet.contains("in feet rather than metres") && feet.contains("P0"), "{feet}");
    let metres = refusal(&[(1, 60.96), (3, 60.97)]).unwrap_err();
    assert!(metres.contains("in metres rather than feet"), "{metres}");
    let datum = refusal(&[(1, 200.9), (3, 201.0), (5, 201.1)]).unwrap_err();
    assert!(datum.contains("1.00 m (3.28 ft) above") && datum.contains("another datum"), "{datum}");
    let far = refusal(&[(1, 200.0), (3, 205.1), (5, 200.1)]).unwrap_err();
    assert!(far.contains("more than 5 m (16 ft) off") && far.contains("P1 (5.10 m"), "{far}");
    // One alone may be wrong, or right.
    assert!(refusal(&[(1, 201.0)]).unwrap().is_none());
    // Scattered ones are no offset.
    assert!(refusal(&[(1, 201.0), (3, 199.0)]).unwrap().is_none());
}

#[test]
fn an_offset_within_the_error_is_told() {
    let found = |all: &[(usize, f64)]| check_offset(&file(), &shots(all), &model()).unwrap();
    let all = [(1, 200.15), (3, 200.16), (5, 200.14), (7, 200.15)];
    assert_eq!(found(&all).unwrap().code, "shots-offset");
    assert!(found(&[(1, 200.15), (3, 200.16), (5, 200.14), (7, 199.9)]).is_none());
    assert!(found(&[(1, 200.05), (3, 200.06), (5, 200.04), (7, 200.05)]).is_none());
}

/// By hand: a quarter of the way right and half down between 1, 2 above 3, 8.
#[test]
fn the_surface_lies_between_the_cell_centres() {
    let grid = Grid::new(GridShape { rows: 2, cols: 2 }, vec![1.0, 2.0, 3.0, 8.0]);
    assert_relative_eq!(between(&grid, 0.25, 0.5), 0.5 * 1.25 + 0.5 * 4.25);
    let single = Grid::new(GridShape { rows: 1, cols: 1 }, vec![7.0]);
    assert_relative_eq!(between(&single, 0.0, 0.0), 7.0);
}
