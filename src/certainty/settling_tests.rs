use super::*;
use crate::certainty::Likelihood;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::PI;

const MANY: usize = 20_000;

/// Independent standard normal errors at some places.
fn drawn(places: usize, realisations: usize, seed: u64) -> Vec<Vec<f32>> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut one = || StandardNormal.sample(&mut random);
    (0..realisations).map(|_| (0..places).map(|_| one()).collect()).collect()
}

fn asked(errors: &[Vec<f32>], weight: f64, happens: impl Fn(&[f32]) -> bool) -> Question {
    Question { happens: errors.iter().map(|one| happens(one)).collect(), weight }
}

// y = [b > a] with independent standard normal errors: d = b - a has variance 2, E[d; d > 0] = sqrt(2) / sqrt(2 pi)
// = 1 / sqrt(pi), half of which comes with b: cov(b, y) = 1 / (2 sqrt(pi)). A perfect reading of b takes away
// 1 / (4 pi) of the variance 1/4: 1 / pi, and one of a as much again. With a reading as inexact as the ground each
// takes half of that.
#[test]
fn of_two_places_whose_difference_decides_both_are_shot() {
    let errors = drawn(12, MANY, 3);
    let question = asked(&errors, 1.0, |e| e[7] > e[4]);
    let errors = Errors::of(&errors);
    for (accuracy_m, each) in [(0.0, 1.0 / PI), (1.0, 0.5 / PI)] {
        let found = telling_shots(&errors, std::slice::from_ref(&question), &[], accuracy_m, 5);
        let mut places: Vec<usize> = found.iter().map(|shot| shot.place).collect();
        places.sort_unstable();
        assert_eq!(places, [4, 7], "{found:?}");
        for (shot, share) in found.iter().zip([each, 2.0 * each]) {
            assert!((shot.settles - share).abs() < 0.015, "{accuracy_m}: {} for {share}", shot.settles);
        }
    }
}

// By symmetry the two sides of one place part at an error of 0: above it y = [b > a] has likelihood
// E[Phi(b) | b > 0] = 3/4.
#[test]
fn the_reading_that_decides_lies_where_the_chances_turn() {
    let errors = drawn(2, MANY, 5);
    let question = asked(&errors, 1.0, |e| e[1] > e[0]);
    let by_place = Errors::of(&errors);
    let up = deciding(by_place.at(1), &question.happens);
    assert!(up.error_m.abs() < 0.15, "{up:?}");
    let near = |found: Likelihood, expected: f64| (found.share() - expected).abs() < 0.03;
    assert!(near(up.above, 0.75) && near(up.below, 0.25), "{up:?}");
    let down = deciding(by_place.at(0), &question.happens);
    assert!(near(down.above, 0.25) && near(down.below, 0.75), "{down:?}");
}

#[test]
fn the_question_on_which_most_hangs_comes_first() {
    let errors = drawn(3, MANY, 7);
    let questions = [asked(&errors, 10.0, |e| e[0] > 0.0), asked(&errors, 30.0, |e| e[2] > 0.5)];
    let found = telling_shots(&Errors::of(&errors), &questions, &[], 0.1, 5);
    let order: Vec<(usize, usize)> = found.iter().map(|shot| (shot.place, shot.question)).collect();
    assert_eq!(order, [(2, 1), (0, 0)]);
    assert!((found[0].reading.error_m - 0.5).abs() < 0.01, "{found:?}");
    assert_eq!(found[0].reading.below.hits(), 0);
    assert_eq!(found[0].reading.above.hits(), found[0].reading.above.of());
}

fn all_pairs(places: usize) -> Vec<(usize, usize)> {
    (0..places).flat_map(|a| (0..a).map(move |b| (b, a))).collect()
}

// Two places whose errors are alike but for a tenth: e = 10 c + own, with variance 101 each and 100 together. Which is the
// lower hangs on the own parts: cov(e, y) = 1 / (2 sqrt(pi)) as above, of which one reading takes 1 / (4 pi) / 101 of 1/4:
// 1 / (101 pi) = 0.3 %, less than is worth the way. Both take 2 (1 / (4 pi)) / (101 - 100) of it: 2 / pi. The difference
// decides at 0, surely.
#[test]
fn where_errors_are_alike_two_are_shot_and_their_difference_decides() {
    let errors: Vec<Vec<f32>> = drawn(12, MANY, 11)
        .into_iter()
        .map(|one| {
            let mut one = one;
            one[4] += 10.0 * one[0];
            one[7] += 10.0 * one[0];
            one
        })
        .collect();
    let question = asked(&errors, 1.0, |e| e[7] > e[4]);
    let by_place = Errors::of(&errors);
    let questions = std::slice::from_ref(&question);
    let alone: Vec<usize> =
        telling_shots(&by_place, questions, &[], 0.0, 5).iter().map(|s| s.place).collect();
    assert!(!alone.contains(&4) && !alone.contains(&7), "{alone:?}");
    let found = telling_shots(&by_place, questions, &all_pairs(12), 0.0, 5);
    let mut places: Vec<usize> = found.iter().map(|shot| shot.place).collect();
    places.sort_unstable();
    assert_eq!(places, [4, 7], "{found:?}");
    assert!((found[1].settles - 2.0 / PI).abs() < 0.02, "{found:?}");
    assert_eq!(found[0].compared, None);
    let compared = found[1].compared.expect("it was taken for the difference");
    assert_eq!(compared.with, found[0].place);
    assert!(compared.reading.error_m.abs() < 1e-3, "{compared:?}");
    let (above, below) = (compared.reading.above, compared.reading.below);
    let (sure, never) = if found[1].place == 7 { (above, below) } else { (below, above) };
    assert_eq!((sure.hits(), never.hits()), (sure.of(), 0));
}

#[test]
fn what_no_place_tells_of_isnt_asked_of_any() {
    for seed in 0..40 {
        let errors = drawn(2_001, 400, seed);
        let question = asked(&errors, 1.0, |e| e[2_000] > 0.0);
        let shown: Vec<Vec<f32>> = errors.iter().map(|one| one[..2_000].to_vec()).collect();
        let found = telling_shots(&Errors::of(&shown), &[question], &all_pairs(40), 0.03, 5);
        assert!(found.is_empty(), "{seed}: {found:?}");
    }
}
