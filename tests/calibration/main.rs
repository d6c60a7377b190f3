//! Stated likelihoods against observed frequencies: draw a true surface, add an error, run the program on the
//! erroneous one, and see whether what it says of the truth happens as often as it says.
//!
//! Repeats add a second error to a surface that has one. That is right where nothing is known of the ground
//! beforehand: truth is then as likely to lie any error off the survey as the survey off the truth. It holds
//! where the ground is rougher than its error, and where the error turns its fall but little. Ground that
//! is smoother than its survey is known to be so by whoever drew it; there the repeats are too cautious, which
//! is measured too. Limits are those of the sampling error; nothing here comes from the program itself.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "tests")]

mod site;
mod tally;
mod world;

use lotshed::certainty::Spread;
use rayon::prelude::*;
use std::sync::LazyLock;
use tally::Tally;
use world::{Relief, Texture, Told, told};

/// Number of the first world: none of these was looked at before limits and model were settled.
const FIRST: u64 = 9_000_000;
/// Worlds of each relief and texture.
const WORLDS: u64 = 60;
/// Squared error of the likelihoods, against that of the best constant one.
const MOST_BRIER: f64 = 0.5;
const EVERYTHING: Spread = Spread { low: 0.0, middle: 0.0, high: 1600.0 };
const NOTHING: Spread = Spread { low: 0.0, middle: 0.0, high: 0.0 };

static CALIBRATED: LazyLock<Vec<Told>> =
    LazyLock::new(|| [Texture::Rough, Texture::SmoothAndSteep].into_iter().flat_map(of_texture).collect());
static SMOOTH: LazyLock<Vec<Told>> = LazyLock::new(|| of_texture(Texture::Smooth));

fn of_texture(texture: Texture) -> Vec<Told> {
    [Relief::Plane, Relief::Rolling].into_iter().flat_map(|relief| worlds(relief, texture)).collect()
}

fn worlds(relief: Relief, texture: Texture) -> Vec<Told> {
    let first = FIRST + 10_000 * (2 * texture as u64 + relief as u64);
    (first..first + WORLDS).into_par_iter().map(|world| told(relief, texture, world)).collect()
}

/// The same worlds with other answers.
fn answered(likelihood: impl Fn(f64) -> f64, interval: impl Fn(Spread) -> Spread) -> Tally {
    let other = |told: &Told| Told {
        claims: told.claims.iter().map(|&(p, hit)| (likelihood(p), hit)).collect(),
        verdicts: told.verdicts.clone(),
        run_on: (interval(told.run_on.0), told.run_on.1),
        areas: told.areas.iter().map(|&(found, truth)| (interval(found), truth)).collect(),
        ground: told.ground,
    };
    Tally::of(&CALIBRATED.iter().map(other).collect::<Vec<_>>())
}

#[test]
fn likelihoods_happen_as_often_as_they_say_and_intervals_hold_nine_in_ten() {
    let tally = Tally::of(&CALIBRATED);
    let faults = [tally.faults_of_likelihoods(), tally.faults_of_intervals()].concat();
    assert!(faults.is_empty(), "{faults:?}\n{}", tally.table());
    assert!(tally.brier < MOST_BRIER, "{}", tally.table());
}

#[test]
fn constant_answers_fail() {
    let base = Tally::of(&CALIBRATED).base;
    for likelihood in [0.0, base, 0.5, 1.0] {
        for interval in [NOTHING, EVERYTHING] {
            let tally = answered(|_| likelihood, |_| interval);
            assert!(!tally.faults_of_likelihoods().is_empty(), "always {likelihood}\n{}", tally.table());
            assert!(!tally.faults_of_intervals().is_empty(), "always {interval:?}\n{}", tally.table());
            assert!(tally.brier > MOST_BRIER, "always {likelihood}\n{}", tally.table());
        }
    }
}

/// Odds squared say too much of every likelihood, their roots too little.
#[test]
fn too_bold_and_too_timid_answers_fail() {
    let bent = |power: f64| {
        move |p: f64| {
            let (yes, no) = (p.powf(power), (1.0 - p).powf(power));
            yes / (yes + no)
        }
    };
    let about_middle = |times: f64| {
        move |Spread { low, middle, high }| Spread {
            low: middle + times * (low - middle),
            middle,
            high: middle + times * (high - middle),
        }
    };
    for (power, times) in [(2.0, 0.5), (0.5, 2.0)] {
        let tally = answered(bent(power), about_middle(times));
        assert!(!tally.faults_of_likelihoods().is_empty(), "{power}\n{}", tally.table());
        assert!(!tally.faults_of_intervals().is_empty(), "{times}\n{}", tally.table());
    }
}

/// Too cautious, and so never more often wrong than the verdicts' limit of one in twenty.
#[test]
fn on_ground_smoother_than_its_survey_verdicts_are_right_all_the_same() {
    let tally = Tally::of(&SMOOTH);
    assert!(tally.wrong.iter().all(|&part| part <= 0.05), "{}", tally.table());
    assert!(tally.cannot_tell < 0.5, "{}", tally.table());
    assert!(tally.brier < MOST_BRIER, "{}", tally.table());
}

#[test]
#[ignore = "looks for the border"]
fn border() {
    let n: u64 = std::env::var("BORDER_WORLDS").ok().and_then(|n| n.parse().ok()).unwrap_or(400);
    let mut all: Vec<Told> = Vec::new();
    for (texture, first) in [(Texture::Any, 30_000_000), (Texture::Smooth, 31_000_000)] {
        for relief in [Relief::Plane, Relief::Rolling] {
            let first = first + 100_000 * relief as u64;
            let found: Vec<Told> =
                (first..first + n).into_par_iter().map(|w| told(relief, texture, w)).collect();
            all.extend(found);
        }
    }
    let falls = [0.0, 0.25, 0.5, 1.0, 2.0, 4.0, 1e9];
    let roughs = [0.0, 0.5, 1.0, 1.25, 1.5, 2.0, 3.0, 1e9];
    let cut = |v: &[f64], x: f64| v.windows(2).position(|w| w[0] <= x && x < w[1]).unwrap();
    let mut cells: std::collections::BTreeMap<(usize, usize), Vec<Told>> = Default::default();
    for t in all {
        let key = (cut(&roughs, t.ground.roughness_in_errors), cut(&falls, t.ground.fall_in_errors));
        cells.entry(key).or_default().push(t);
    }
    for ((r, f), worlds) in cells {
        let tally = Tally::of(&worlds);
        println!("rough {} to {}, fall {} to {}: {} worlds\n{}", roughs[r], roughs[r + 1], falls[f], falls[f + 1], worlds.len(), tally.table());
        println!("chi {:.1}", tally.bins.iter().map(|b| b.z * b.z).sum::<f64>());
    }
}

/// What `docs/methods.md` shows.
#[test]
#[ignore = "prints tables: cargo test --release --locked --test calibration -- --ignored --nocapture"]
fn tables() {
    for (name, all) in [("calibrated", &*CALIBRATED), ("smooth", &*SMOOTH)] {
        println!("{name}\n{}", Tally::of(all).table());
        for (place, part) in all.chunks(usize::try_from(WORLDS).unwrap()).enumerate() {
            println!("{name}, part {place}\n{}", Tally::of(part).table());
        }
    }
}
