//! Levels at stakes, by hand on the plane of 2 %: ground 9.92 m at the head, invert 9.5184 m, bottom of the
//! trench 9.41375 m.

use super::super::course::{course, stakes};
use super::super::swale::ground_at;
use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

// 32 m of part and 4 m of lead: stakes at 0, 7, 14, 21, 28 (no farther than 7.62 m apart, on stations of a
// metre), where the grade's reach ends at 32, and at 36. The lead's pipe lies a wall of 3.05 mm above
// what is left of the stone's bed, which goes on level: 0.1016 m less 4 m x 2 %.
#[test]
fn stakes_stand_at_changes_and_between() {
    let way = way_down(0.02);
    let all = options(&way, 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
    let option = of(&all, Arrangement::OnePipe);
    let found = stakes(option, &way, Length::from_m(7.62));
    let stations: Vec<f64> = found.iter().map(|stake| (stake.station_m * 100.0).round() / 100.0).collect();
    assert_eq!(stations, [0.0, 7.0, 14.0, 21.0, 28.0, 32.0, 36.0]);
    for stake in &found {
        let ground_m = 9.92 - 0.02 * stake.station_m;
        assert_relative_eq!(stake.ground_m, ground_m, epsilon = 1e-9);
        assert_relative_eq!(stake.invert_m.unwrap(), ground_m - 0.4016, epsilon = 1e-3);
        assert!(stake.swale_bed_m.is_none());
    }
    assert_relative_eq!(found[1].bottom_m.unwrap(), 9.78 - 0.506_25, epsilon = 1e-3);
    assert_relative_eq!(found[6].bottom_m.unwrap(), 9.2 - 0.404_65 - 0.021_6, epsilon = 1e-3);
}

// The swale is shaped 0.18277 m deep. A dip of 8 cm at x = 14, that is above the end all the same: the bed
// falls on evenly behind it until the ground has come down again.
#[test]
fn the_bed_of_a_swale_never_rises() {
    let dip = |x: f64| if (13.5..14.5).contains(&x) { 0.08 } else { 0.0 };
    let ground = move |x: f64| 10.0 - 0.02 * x - dip(x);
    let way = way_over(&ground, OutletKind::StormInlet, 8.2);
    let all = options(&way, 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
    let option = of(&all, Arrangement::Swale);
    let deep_m = option.swale.as_ref().unwrap().bed.shaped().as_m();
    let found = course(option, &way);
    let beds: Vec<f64> = found.iter().filter_map(|place| place.swale_bed_m).collect();
    assert!(beds.len() > 30 && beds.windows(2).all(|pair| pair[1] <= pair[0] + 1e-12));
    assert_relative_eq!(beds[0], 9.92 - deep_m, epsilon = 1e-9);
    // At x = 14, 10 m down the way, the ground lies at 9.72 - 0.08 m; behind it at 9.70 and 9.68 m: the bed
    // falls 0.5 % there, until at 15 m the ground, at 9.62 m, lies no higher above it than the swale is deep.
    assert_relative_eq!(beds[10], 9.64 - deep_m, epsilon = 1e-9);
    assert_relative_eq!(beds[11], 9.635 - deep_m, epsilon = 1e-9);
    assert_relative_eq!(beds[15], 9.615 - deep_m, epsilon = 1e-9);
    assert_relative_eq!(beds[16], 9.60 - deep_m, epsilon = 1e-9);
    // The lead has a pipe and no bed.
    let last = found.last().unwrap();
    assert!(last.swale_bed_m.is_none() && last.invert_m.is_some());
    assert!(found[5].invert_m.is_none());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn the_bed_of_the_trenches_nowhere_rises(
        fall in 0.005..0.1f64, wave_m in 0.0..0.2f64, l_per_s in 0.3..60.0f64, bare: bool, joined_mm in 0.0..160.0f64,
    ) {
        let level = |x: f64| 10.0 - fall * x + wave_m * (0.4 * x).sin();
        let way = way_over(&level, OutletKind::StormInlet, level(40.0) - 1.2);
        let Some(lawn) = way.profile() else { return Ok(()) };
        let joined = [Joined {
            station_m: 17.0,
            flow: Flow::from_l_per_s(0.2 * l_per_s),
            size: Length::from_mm(joined_mm),
        }];
        let finish = if bare { "bare-stone" } else { "unirrigated-lawn" };
        let catalogue = Catalogue::ordinary().unwrap();
        for option in options_with(&way, l_per_s, (finish, &catalogue), &joined, &End::Structure) {
            let Some(line) = option.built.as_ref().ok().and_then(|built| built.line.as_ref()) else { continue };
            let profile = option.profile(lawn).stations();
            let ground: Vec<(f64, f64)> = profile.iter().map(|at| (at.station_m, at.ground_m)).collect();
            let cuts = line.legs().iter().flat_map(|leg| leg.cuts.all());
            let bed: Vec<f64> =
                cuts.map(|cut| ground_at(&ground, cut.station.as_m()).unwrap() - cut.depth.as_m()).collect();
            for pair in bed.windows(2) {
                prop_assert!(pair[1] <= pair[0] + 1e-6, "{:?}: {pair:?}", option.arrangement);
            }
            // Covered as if nothing were dug under it.
            for at in profile {
                let over = option.trench_at(at.station_m).zip(option.reach_at(at.station_m));
                if let Some(([_, cover], sized)) = over {
                    let top_m = at.invert_m + 0.5 * (sized.pipe.inside() + sized.pipe.outside()).as_m();
                    prop_assert!((at.ground_m - top_m - cover.as_m()).abs() < 1e-6, "{cover:?} at {at:?}");
                }
            }
        }
    }
}

// A bank of 0.3 m from 9 to 11 m of the way, whose top at 10 m lies between the stakes at 7 and 14 m: the trench is deepest there. And a
// gully of 0.2 m there, to whose bottom the pipe must keep its cover.
#[test]
fn a_stake_stands_where_the_trench_is_deepest_and_where_the_cover_is_least() {
    for (height_m, which) in [(0.3, "deepest"), (-0.2, "least covered")] {
        let bank = move |x: f64| 10.0 - 0.02 * x + height_m * (1.0 - (x - 14.0).abs()).max(0.0);
        let way = way_over(&bank, OutletKind::StormInlet, 8.0);
        let all = options(&way, 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
        let option = of(&all, Arrangement::OnePipe);
        let places = course(option, &way);
        let found = stakes(option, &way, Length::from_m(7.62));
        assert!(found.iter().any(|stake| (stake.station_m - 10.0).abs() < 1e-6), "{which}: {found:?}");
        let of = |all: &[CoursePlace], i: usize| -> Vec<f64> {
            all.iter().filter_map(|place| Some(place.trench?[i].as_m())).collect()
        };
        let most = |all: &[CoursePlace]| of(all, 0).into_iter().fold(f64::MIN, f64::max);
        let least = |all: &[CoursePlace]| of(all, 1).into_iter().fold(f64::MAX, f64::min);
        assert!(most(&found) >= most(&places) - 0.01 && least(&found) <= least(&places) + 0.01, "{which}");
    }
}

// Stone that ends between two stations: a stake stands there, on the ground between them.
#[test]
fn a_stake_stands_where_stone_ends_between_two_stations() {
    let ground = |x: f64| 10.0 - 0.06 * x;
    let way = way_over(&ground, OutletKind::Daylight, ground(40.0));
    let catalogue = Catalogue::ordinary().unwrap();
    let all = options_with(&way, 8.0, ("bare-stone", &catalogue), &[], &End::Daylight);
    let option = of(&all, Arrangement::OnePipe);
    for sized in &option.reaches {
        let end_m = sized.reach.to_m;
        let found = stakes(option, &way, Length::from_m(7.62));
        let stake = found.iter().find(|stake| (stake.station_m - end_m).abs() < 1e-6);
        let stake = stake.unwrap_or_else(|| panic!("none at {end_m}"));
        assert_relative_eq!(stake.ground_m, ground(4.0 + end_m), epsilon = 1e-9);
        assert_relative_eq!(stake.invert_m.unwrap(), sized.reach.to_invert_m, epsilon = 1e-9);
    }
}
