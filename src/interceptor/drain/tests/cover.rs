//! Ground over pipes, by hand.

use super::super::*;
use super::{of, options, options_with, way_laid_for};
use crate::interceptor::bore::Bore;
use crate::interceptor::catalogue::Catalogue;
use crate::interceptor::outlet::{OutletKind, OutletWay};
use crate::interceptor::quantities::End;
use crate::units::Length;
use approx::assert_relative_eq;

/// The plane that falls 2 %, with a way that is laid for a pipe of the catalogue.
fn way_for(key: &str) -> OutletWay {
    let catalogue = Catalogue::ordinary().unwrap();
    let pipe = catalogue.pipe(key).cloned();
    assert!(pipe.is_some());
    way_laid_for(pipe, &|x| 10.0 - 0.02 * x, OutletKind::StormInlet, 8.2)
}

/// A catalogue of one pipe.
fn alone(key: &str) -> Catalogue {
    Catalogue::new(vec![Catalogue::ordinary().unwrap().pipe(key).unwrap().clone()]).unwrap()
}

// 15 L/s at 2 %: 4 in smooth carries about 8 L/s, 6 in 0.3117 / 0.012 x 0.1502^(8/3) x 0.02^(1/2) = 0.0233
// m3/s (Manning, full). The top of 4 in lies (0.101 + 0.1071) / 2 = 0.10405 m over its invert, that of 6 in
// (0.1502 + 0.1594) / 2 = 0.1548 m. Laid for 4 in the invert lies 0.40405 m below the lawn: over 6 in are
// 0.24925 m, and 0.05075 m are missing. Of two pipes only the lead, which carries all, is 6 in.
#[test]
fn ground_is_missing_over_a_larger_pipe_than_the_way_is_laid_for() {
    let way = way_for("100-smooth");
    let all = options(&way, 15.0, "bare-stone", &super::smooth());
    let one = of(&all, Arrangement::OnePipe);
    for sized in &one.reaches {
        assert_relative_eq!(sized.pipe.inside_mm, 150.2);
    }
    let thin = one.thin.unwrap();
    assert_relative_eq!(thin.over.as_m(), 0.249_25, epsilon = 1e-6);
    assert_relative_eq!(thin.short.as_m(), 0.050_75, epsilon = 1e-6);
    let two = of(&all, Arrangement::TwoPipes).thin.unwrap();
    assert_relative_eq!(two.short.as_m(), 0.050_75, epsilon = 1e-6);
    assert!(two.station.as_m() >= 32.0 - 1e-6);
}

// Laid for 6 in the invert lies 0.4548 m below the lawn: at x = 4 of 9.92 m, at 36 of 9.28 m, at 40 of 9.2 m.
#[test]
fn a_way_that_is_laid_for_the_pipe_keeps_its_cover() {
    let way = way_for("150-smooth");
    let all = options(&way, 15.0, "bare-stone", &super::smooth());
    assert!(all.iter().all(|option| option.thin.is_none()));
    let profile = way.profile().unwrap();
    for (station_m, invert_m) in [(0.0, 9.4652), (32.0, 8.8252), (36.0, 8.7452)] {
        assert_relative_eq!(profile.invert_at(station_m), invert_m, epsilon = 1e-4);
    }
}

// Of two that are equal the first is recommended while the way may still be laid deeper for it.
#[test]
fn a_pipe_that_can_not_be_laid_deeper_comes_after_those_that_keep_their_cover() {
    let way = way_for("100-smooth");
    let catalogue = Catalogue::ordinary().unwrap();
    let all = options(&way, 15.0, "bare-stone", &catalogue);
    let one = of(&all, Arrangement::OnePipe).clone();
    let covered = DrainOption { arrangement: Arrangement::TwoPipes, thin: None, ..one.clone() };
    let costed = [one, covered].map(|option| Costed { option, price: None });
    let best = |options: &[Costed], too_high: Option<&str>| {
        let too_high = too_high.map(|key| Bore::of_size(catalogue.pipe(key).unwrap()).above_invert());
        options[recommend(options, Length::from_m(0.6), too_high).place.unwrap()].option.arrangement
    };
    assert_eq!(best(&costed, None), Arrangement::OnePipe);
    assert_eq!(best(&costed, Some("200-smooth")), Arrangement::OnePipe);
    assert_eq!(best(&costed, Some("150-smooth")), Arrangement::TwoPipes);
    assert_eq!(best(&costed[..1], Some("150-smooth")), Arrangement::OnePipe);
}

// The way keeps 0.3 m at its stations, a metre apart; between those at 10 and 11 m the ground dips by up to 0.05 m, straight to 10.5 m
// and back: a centimetre is missing from 10.1 to 10.9 m.
#[test]
fn a_dip_between_two_stations_is_seen() {
    let way = way_for("100-smooth");
    let all = options(&way, 4.0, "bare-stone", &alone("100-smooth"));
    let one = of(&all, Arrangement::OnePipe);
    let lawn = |station_m: f64| 9.92 - 0.02 * station_m;
    assert!(one.thin_stretches(&way, Length::from_m(0.3), &|m| Some(lawn(m)), &|_| None).is_empty());
    let dips = |station_m: f64| Some(lawn(station_m) - (0.05 - 0.1 * (station_m - 10.5).abs()).max(0.0));
    let [thin] = one.thin_stretches(&way, Length::from_m(0.3), &dips, &|_| None)[..] else {
        panic!("one stretch")
    };
    for (found, expected) in [(thin.from, 10.1), (thin.to, 10.9), (thin.station, 10.5), (thin.over, 0.25)] {
        assert_relative_eq!(found.as_m(), expected, epsilon = 1e-6);
    }
}

// A mouth on ground that falls 6 %: its depth of 0.40405 m runs out over the last metres, in the lead of 4 m and before it. The pipe's top
// stands out where less than 0.10405 m are left.
#[test]
fn cover_that_runs_out_to_a_mouth_is_a_thin_stretch() {
    let pipe = Catalogue::ordinary().unwrap().pipe("100-smooth").cloned();
    let ground = |x: f64| 10.0 - 0.06 * x;
    let way = way_laid_for(pipe, &ground, OutletKind::Daylight, ground(40.0));
    let finish = ("bare-stone", &alone("100-smooth"));
    let all = options_with(&way, 4.0, finish, &[], &End::Daylight);
    let one = of(&all, Arrangement::OnePipe);
    let lawn = |station_m: f64| Some(ground(4.0 + station_m));
    let [thin] = one.thin_stretches(&way, Length::from_m(0.3), &lawn, &|_| None)[..] else {
        panic!("one stretch")
    };
    assert_relative_eq!(thin.to.as_m(), 36.0, epsilon = 1e-6);
    assert_relative_eq!(thin.over.as_m(), -0.104_05, epsilon = 1e-4);
    assert!((26.0 - 1e-6..36.0).contains(&thin.from.as_m()), "{thin:?}");
}
