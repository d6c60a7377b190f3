//! Ground over pipes, by hand.

use super::super::*;
use super::{of, options, way_laid_for};
use crate::interceptor::bore::Bore;
use crate::interceptor::catalogue::Catalogue;
use crate::interceptor::outlet::{OutletKind, OutletWay};
use crate::units::Length;
use approx::assert_relative_eq;

/// The plane that falls 2 %, with a way that is laid for a pipe of the catalogue.
fn way_for(key: &str) -> OutletWay {
    let catalogue = Catalogue::ordinary().unwrap();
    let pipe = catalogue.pipe(key).cloned();
    assert!(pipe.is_some());
    way_laid_for(pipe, &|x| 10.0 - 0.02 * x, OutletKind::StormInlet, 8.2)
}

// 15 L/s at 2 %: 4 in smooth carries about 8 L/s, 6 in 0.3117 / 0.012 x 0.1502^(8/3) x 0.02^(1/2) = 0.0233
// m3/s (Manning, full). The top of 4 in lies (0.101 + 0.1071) / 2 = 0.10405 m over its invert, that of 6 in
// (0.1502 + 0.1594) / 2 = 0.1548 m. Laid for 4 in the invert lies 0.40405 m below the lawn: over 6 in are
// 0.24925 m, and 0.05075 m are missing. Of two pipes only the lead, which carries all, is 6 in.
#[test]
fn ground_is_missing_over_a_larger_pipe_than_the_way_is_laid_for() {
    let way = way_for("100-smooth");
    let all = options(&way, 15.0, "bare-stone", &Catalogue::ordinary().unwrap());
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
    let all = options(&way, 15.0, "bare-stone", &Catalogue::ordinary().unwrap());
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
        options[recommended(options, Length::from_m(0.6), too_high).unwrap()].option.arrangement
    };
    assert_eq!(best(&costed, None), Arrangement::OnePipe);
    assert_eq!(best(&costed, Some("200-smooth")), Arrangement::OnePipe);
    assert_eq!(best(&costed, Some("150-smooth")), Arrangement::TwoPipes);
    assert_eq!(best(&costed[..1], Some("150-smooth")), Arrangement::OnePipe);
}
