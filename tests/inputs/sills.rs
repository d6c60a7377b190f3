//! What would settle which of two sills a pond runs over.
//!
//! N is a basin with a floor 2 m below its two sills, each one cell wide: one in the ridge along the north of S, from where
//! a gully falls half a metre a cell onto S, the other at the far end, from where one falls off the raster. All else is
//! walls that fall into the basin. So N's water reaches S where the error leaves the first sill lower than the second, and
//! no other cell has a say.

use crate::certainty::{hits, normal_below, repeated};
use crate::common::answer::Answer;
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::number;
use crate::shots::{cell_of, with_shots};
use serde_json::Value;

/// Row and column of the sill to S, and of that at the far end: 57 cells apart, where errors of the largest range, 60 m,
/// have 0.75 exp(-ln 20 (57 / 60)^2) = 0.05 in common.
const TO_S: (usize, usize) = (31, 65);
const AWAY: (usize, usize) = (20, 9);
const LEVEL_M: f64 = 100.0;
const USUAL: [&str; 5] = ["--elevation-rmse", "0.1m", "--parcel-error", "0m", "--overwrite"];

/// The basin, with the sill at the far end so much lower.
fn basin(lower_m: f64, west_to_east: bool) -> Bench {
    let height = |row: usize, col: usize| {
        let col = if west_to_east { col } else { 79 - col };
        if row >= 40 {
            return 94.0 - 0.5 * number(row - 40);
        }
        if col == TO_S.1 && row >= TO_S.0 {
            return LEVEL_M - 0.5 * number(row - TO_S.0);
        }
        if row == AWAY.0 && col <= AWAY.1 {
            return LEVEL_M - lower_m - 0.5 * number(AWAY.1 - col);
        }
        let (down, aside) = (row.abs_diff(20), col.abs_diff(40));
        if down <= 10 && aside <= 30 { 98.0 } else { 112.0 + 0.5 * number(down.max(aside)) }
    };
    let bench = Bench::new();
    Raster::of(80, 80, height).write(&bench.path("base.tif"));
    let lots = Lots::of(vec![lot("N", 10.0, 49.0, 71.0, 70.0), lot("S", 2.0, 10.0, 78.0, 40.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

fn wanted(answer: &Answer) -> Vec<Value> {
    answer.at("certainty.settling.shots").as_array().expect("a list").clone()
}

fn number_at(shot: &Value, pointer: &str) -> f64 {
    shot.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("{pointer}: {shot}"))
}

/// As given all of it goes past the lot, 2 cm lower; both sills are wanted, and neither a place on the floor nor any on the
/// way. Each takes away 1/pi of the doubt, shared by two that tell alike (closed form in `src/certainty/settling_tests.rs`),
/// but for the level's own error, 0.03 m, and both twice that. Mirrored ground wants mirrored levels.
#[test]
fn both_sills_of_a_pond_are_wanted_also_that_over_which_nothing_runs_as_given() {
    for west_to_east in [true, false] {
        let answer = repeated(&basin(0.02, west_to_east), &USUAL);
        assert!(answer.list("contributors").iter().all(|row| row["id"] != "N"), "as given it goes past");
        let (hits, of) = hits(&answer, "N");
        let expected = normal_below(-0.02 / (0.1 * 2.0_f64.sqrt()));
        assert!(
            (hits / of - expected).abs() < 3.0 * (0.25 / of).sqrt(),
            "{hits} of {of}, expected {expected}"
        );
        let shots = wanted(&answer);
        let mirrored = |(row, col): (usize, usize)| (row, if west_to_east { col } else { 79 - col });
        let mut found: Vec<(usize, usize)> = shots.iter().map(cell_of).collect();
        found.sort_unstable();
        let mut sills = [TO_S, AWAY].map(mirrored);
        sills.sort_unstable();
        assert_eq!(found, sills, "{shots:?}");
        let each = 0.01 / (0.01 + 0.0009) / std::f64::consts::PI;
        // Of 400 realisations a squared correlation of 0.3 is known to about 0.04.
        for (shot, share) in shots.iter().zip([each, 2.0 * each]) {
            assert!((number_at(shot, "/settles") - share).abs() < 0.13, "{share}: {shot}");
        }
    }
}

/// The far sill is shot, to the millimetre: what is left is whether the saddle in the ridge lies lower, and a level there is
/// the one that is wanted. It decides at the level of the other: N contributes wherever the saddle lies below, and nowhere
/// where it lies above, but for the shot's own error. A straight line in a normal error e tells phi(t)^2 / (p (1 - p)) of
/// the indicator of e < t, with p = Phi(t), t in standard errors; the level's own error takes off 8 %.
#[test]
fn a_shot_on_the_saddle_of_the_ridge_is_the_one_that_decides() {
    for other_m in [LEVEL_M, LEVEL_M + 0.05] {
        let bench = basin(0.0, true);
        with_shots(&bench, &[(AWAY, other_m, 0.001)]);
        let answer = repeated(&bench, &[&USUAL[..], &["--shots", "shots.csv"]].concat());
        let t = (other_m - LEVEL_M) / 0.1;
        let p = normal_below(t);
        let (hits, of) = hits(&answer, "N");
        assert!((hits / of - p).abs() < 3.0 * (0.25 / of).sqrt() + 0.02, "{hits} of {of}, expected {p}");
        let shots = wanted(&answer);
        let cells: Vec<(usize, usize)> = shots.iter().map(cell_of).collect();
        assert_eq!(cells, [TO_S], "{shots:?}");
        let shot = &shots[0];
        assert_eq!((&shot["parcel"], &shot["compared"]), (&"N".into(), &Value::Null));
        // The largest gap of 400 errors around there is about ln 400 times their mean distance, 0.25 / 400 / 0.4.
        assert!((number_at(shot, "/decides_m") - other_m).abs() < 0.01, "{shot}");
        let share =
            |side: &str| number_at(shot, &format!("/{side}/hits")) / number_at(shot, &format!("/{side}/of"));
        assert!(share("below") > 0.98 && share("above") < 0.02, "{shot}");
        let density = (-0.5 * t * t).exp() / std::f64::consts::TAU.sqrt();
        let told = density.powi(2) / (p * (1.0 - p)) * 0.01 / (0.01 + 0.0009);
        assert!((number_at(shot, "/settles") - told).abs() < 0.1, "{told}: {shot}");
    }
}
