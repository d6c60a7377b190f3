//! Stated likelihoods against observed frequencies: draw a true surface, add an error, run the program on the
//! erroneous one, and see whether what it says of the truth happens as often as it says.
//!
//! Repeats add a second error to a surface that has one. That is right where nothing is known of the ground
//! beforehand: truth is then as likely to lie any error off the survey as the survey off the truth. It holds
//! where the ground is rougher than its error, and where the error turns its fall but little. Ground that
//! is smoother than its survey is known to be so by whoever drew it; there the repeats are too cautious, which
//! is measured too, and which the program says. Limits are those of the sampling error; nothing here comes from the program itself.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "tests")]

mod site;
mod tally;
mod world;

use lotshed::certainty::Spread;
use lotshed::output::CalibrationRow;
use rayon::prelude::*;
use std::sync::LazyLock;
use tally::Tally;
use world::{Relief, Texture, Told, told};

/// Number of the first world: none of these was looked at before limits and model were settled.
const FIRST: u64 = 9_000_000;
/// Worlds of each relief and texture.
const WORLDS: u64 = 120;
/// Squared error of the likelihoods, against that of the best constant one.
const MOST_BRIER: f64 = 0.5;
const EVERYTHING: Spread = Spread { low: 0.0, middle: 0.0, high: 1600.0 };
const NOTHING: Spread = Spread { low: 0.0, middle: 0.0, high: 0.0 };

static CALIBRATED: LazyLock<Vec<Told>> =
    LazyLock::new(|| [Texture::Rough, Texture::SmoothAndSteep].into_iter().flat_map(of_texture).collect());
static SMOOTH: LazyLock<Vec<Told>> = LazyLock::new(|| of_texture(Texture::Smooth));
static ANY: LazyLock<Vec<Told>> = LazyLock::new(|| of_texture(Texture::Any));

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
        true_fall: told.true_fall,
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
    // What is called 10 to 40 % happens less often, as the program says there: three bins together.
    let unlikely = tally.bins[1..4].iter().map(|bin| bin.z).sum::<f64>() / 3.0_f64.sqrt();
    assert!(unlikely < -2.0, "{unlikely:.1}: not cautious\n{}", tally.table());
    assert!(tally.too_bold().is_empty(), "{:?}\n{}", tally.too_bold(), tally.table());
    assert!(tally.wrong.iter().all(|&part| part <= 0.05), "{}", tally.table());
    assert!(tally.cannot_tell < 0.5, "{}", tally.table());
    assert!(tally.brier < MOST_BRIER, "{}", tally.table());
}

/// On planes and rolling ground of any fall and roughness the program says where its likelihoods hold. There they
/// do, in all ten bins and both kinds of intervals; elsewhere they are never too bold.
#[test]
fn where_the_program_says_so_likelihoods_hold_and_elsewhere_they_are_cautious() {
    let all = || CALIBRATED.iter().chain(&*SMOOTH).chain(&*ANY);
    let of = |calibrated: bool| -> Vec<Told> {
        all().filter(|told| told.ground.is_calibrated() == calibrated).cloned().collect()
    };
    let (held, cautious) = (of(true), of(false));
    assert!(held.len() >= 150 && cautious.len() >= 150, "{} and {} worlds", held.len(), cautious.len());
    let tally = Tally::of(&held);
    let faults = [tally.faults_of_likelihoods(), tally.faults_of_intervals()].concat();
    assert!(faults.is_empty(), "{faults:?}\n{}", tally.table());
    let tally = Tally::of(&cautious);
    assert!(tally.too_bold().is_empty(), "{:?}\n{}", tally.too_bold(), tally.table());
    assert!(tally.wrong.iter().all(|&part| part <= 0.05), "{}", tally.table());
}

/// Planes that truly fall less than half of what the border asks for: the survey of none of them passes for
/// ground on which likelihoods hold, however its error tilts it, and the program says so.
#[test]
fn of_gentle_planes_nothing_is_claimed() {
    let planes = SMOOTH.iter().take(usize::try_from(WORLDS).unwrap());
    let gentle: Vec<&Told> = planes.filter(|told| told.true_fall < 2.0).collect();
    for fall in [0.0..0.25, 0.25..0.5, 0.5..1.0, 1.0..2.0] {
        let here: Vec<_> = gentle.iter().filter(|told| fall.contains(&told.true_fall)).collect();
        assert!(here.len() >= 8, "{fall:?}: {} worlds", here.len());
        for told in here {
            let row = CalibrationRow::of(told.ground);
            assert!(
                !row.calibrated && row.message.contains("are not calibrated"),
                "{}: {row:?}",
                told.true_fall
            );
        }
    }
}

/// Inside the border by what the ground truly falls: nine in ten within 3.29 standard errors of a share of so
/// many worlds (claims of a world hang together, at worst as one).
#[test]
fn by_fall_intervals_hold_inside_the_border() {
    let steep = &CALIBRATED[CALIBRATED.len() / 2..];
    for fall in [4.0..8.0, 8.0..20.0] {
        let inside = |told: &&Told| fall.contains(&told.true_fall) && told.ground.is_calibrated();
        let here: Vec<Told> = steep.iter().filter(inside).cloned().collect();
        let worlds = f64::from(u32::try_from(here.len()).unwrap());
        let room = 3.29 * (0.09 / worlds).sqrt();
        assert!(room < 0.11, "{fall:?}: {worlds} worlds");
        let tally = Tally::of(&here);
        for held in [tally.run_on_covered, tally.areas_covered] {
            // Constant answers hold all or nothing: all by chance in 0.9^95 of the runs, 5 in 100,000.
            let is_right = (held - 0.9).abs() <= room && held < 1.0;
            assert!(is_right, "{fall:?}: {held} +- {room}\n{}", tally.table());
        }
        assert!(tally.too_bold().is_empty(), "{fall:?}: {:?}\n{}", tally.too_bold(), tally.table());
    }
}

/// All that was drawn, gentle and steep, smooth and rough, taken together.
#[test]
fn over_all_worlds_likelihoods_happen_as_often_as_they_say() {
    let all: Vec<Told> = CALIBRATED.iter().chain(&*SMOOTH).chain(&*ANY).cloned().collect();
    let tally = Tally::of(&all);
    let faults = [tally.faults_of_likelihoods(), tally.faults_of_intervals()].concat();
    assert!(faults.is_empty(), "{faults:?}\n{}", tally.table());
}

/// What is bolder than the surfaces are fails as too bold: the fourth power of odds.
#[test]
fn bold_answers_are_seen_on_any_ground() {
    let bold = |p: f64| p.powi(4) / (p.powi(4) + (1.0 - p).powi(4));
    let tally = answered(bold, |interval| interval);
    assert!(!tally.too_bold().is_empty(), "{}", tally.table());
}

/// What `docs/methods.md` shows.
#[test]
#[ignore = "prints tables: cargo test --release --locked --test calibration -- --ignored --nocapture"]
fn tables() {
    for (name, all) in [("rough or steep", &*CALIBRATED), ("smooth", &*SMOOTH)] {
        println!("{name}\n{}", Tally::of(all).table());
        for (place, part) in all.chunks(usize::try_from(WORLDS).unwrap()).enumerate() {
            println!("{name}, part {place}\n{}", Tally::of(part).table());
        }
    }
    for calibrated in [true, false] {
        let all = CALIBRATED.iter().chain(&*SMOOTH).chain(&*ANY);
        let part: Vec<Told> = all.filter(|told| told.ground.is_calibrated() == calibrated).cloned().collect();
        println!("said to be calibrated: {calibrated}, {} worlds\n{}", part.len(), Tally::of(&part).table());
    }
}

/// By roughness and fall against the error, on other worlds than those of the tests: where the border lies.
#[test]
#[ignore = "prints a table: cargo test --release --locked --test calibration -- --ignored --nocapture border"]
fn border() {
    const FIRST: u64 = 30_000_000;
    const WORLDS: u64 = 400;
    let told = |(relief, texture, world)| told(relief, texture, world);
    let all: Vec<Told> = [Relief::Plane, Relief::Rolling]
        .into_iter()
        .flat_map(|relief| [Texture::Any, Texture::Smooth].map(|texture| (relief, texture)))
        .zip(0..)
        .flat_map(|((relief, texture), place)| {
            (0..WORLDS).map(move |world| (relief, texture, FIRST + place * WORLDS + world))
        })
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(told)
        .collect();
    let (rough, falls) = ([0.0, 1.0, 2.0, 3.0, 1e9], [0.0, 0.25, 0.5, 1.0, 2.0, 4.0, 1e9]);
    for (rough, fall) in rough.windows(2).flat_map(|r| falls.windows(2).map(move |f| (r, f))) {
        let here = |told: &&Told| {
            (rough[0]..rough[1]).contains(&told.ground.roughness_in_errors)
                && (fall[0]..fall[1]).contains(&told.ground.fall_in_errors)
        };
        let part: Vec<Told> = all.iter().filter(here).cloned().collect();
        if !part.is_empty() {
            println!(
                "roughness {rough:?}, fall {fall:?}: {} worlds\n{}",
                part.len(),
                Tally::of(&part).table()
            );
        }
    }
}
