//! A swale through a hump, by hand: the plane of 2 % with a triangle of earth across the part, 0.5 m high
//! from 10 to 20 m of its way.
//!
//! Ground at a station s: 9.92 - 0.02 s, and 0.1 (s - 10) more up to 15 m, 0.1 (20 - s) behind. The bed falls
//! 0.5 % through it from 10 m on, until the ground has come down to it, between 18 and 19 m: deeper than it
//! is shaped by 0.085 (s - 10) at 10 to 15 m, and by 0.15 - 0.015 s + 0.1 (20 - s) behind: 0.425 at 15, 0.31,
//! 0.195, 0.08 at 18, and 0 from 19 m on. Along the part the sum of what it is deeper, e, is 5 x 0.425 / 2 +
//! (0.425 + 0.31) / 2 + (0.31 + 0.195) / 2 + (0.195 + 0.08) / 2 + 0.08 / 2 = 1.86 m2, and of e^2, by
//! prismoids (a^2 + a b + b^2) / 3: 0.301042 + 0.136158 + 0.064858 + 0.020008 + 0.002133 = 0.5242 m3.

use super::super::super::quantities::take_off;
use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

/// Sums along the part of what the bed is deeper than shaped, and of its square.
const DEEPER_M2: f64 = 1.86;
const DEEPER_SQUARED_M3: f64 = 0.5242;

fn over_hump(height_m: f64) -> OutletWay {
    let hump = move |x: f64| height_m * (1.0 - (x - 19.0).abs() / 5.0).max(0.0);
    way_over(&move |x| 10.0 - 0.02 * x + hump(x), OutletKind::StormInlet, 8.2)
}

fn all(height_m: f64) -> Vec<DrainOption> {
    options(&over_hump(height_m), 8.0, "bare-stone", &Catalogue::ordinary().unwrap())
}

// Shaped y = 0.10777 + 0.075 m deep, see `by_hand.rs`. Dug: 3 (32 y^2 + 2 y x 1.86 + 0.5242) m3, twice the
// 3.2 m3 of the V as it is shaped. Sides, 10^(1/2) / 3 longer than in plan: 2 x 10^(1/2) (32 y + 1.86) m2.
// Deepest at 15 m: y + 0.425 m, six times as wide.
#[test]
fn what_is_dug_through_a_hump_is_dug() {
    let all = all(0.5);
    let option = of(&all, Arrangement::Swale);
    let y_m = (0.008 * 0.06 / 0.182_466_f64).powf(0.375) + 0.075;
    let beside = &option.built.as_ref().unwrap().beside;
    let dug_m3 = 3.0 * (32.0 * y_m * y_m + 2.0 * y_m * DEEPER_M2 + DEEPER_SQUARED_M3);
    assert_relative_eq!(beside.dug.as_m3(), dug_m3, epsilon = 1e-3);
    assert!(beside.dug.as_m3() > 2.0 * 3.2);
    let sides_m2 = 2.0 * 10_f64.sqrt() * (32.0 * y_m + DEEPER_M2);
    assert_relative_eq!(beside.surface.as_m2(), sides_m2, epsilon = 1e-3);
    let cut = option.swale.as_ref().unwrap().bed.cut().unwrap();
    assert_relative_eq!(cut.station.as_m(), 15.0, epsilon = 1e-6);
    assert_relative_eq!(cut.depth.as_m(), y_m + 0.425, epsilon = 1e-4);
    assert_relative_eq!(cut.width.as_m(), 6.0 * (y_m + 0.425), epsilon = 1e-3);
    // A stake stands where it is deepest.
    let staked = stakes(option, &over_hump(0.5), Length::from_m(7.62));
    let deepest = staked.iter().find(|stake| (stake.station_m - 15.0).abs() < 1e-6).unwrap();
    assert_relative_eq!(deepest.ground_m - deepest.swale_bed_m.unwrap(), y_m + 0.425, epsilon = 1e-4);
}

// The same over a pipe in a trench w wide: w^2 / 4 / 3 m3 a metre more, and the trench below the bed as it is
// dug.
#[test]
fn over_a_drain_the_hump_is_dug_down_to_the_bed() {
    let all = all(0.5);
    let option = of(&all, Arrangement::SwaleOverDrain);
    let built = option.built.as_ref().unwrap();
    let bed = &option.swale.as_ref().unwrap().bed;
    let y_m = bed.shaped().as_m();
    assert!(y_m > 0.15, "{y_m}");
    // 4 in smooth, 0.1071 m outside, and 0.15 m of stone to either side.
    let w_m = 0.1071 + 0.3;
    let v_m3 = 3.0 * (32.0 * y_m * y_m + 2.0 * y_m * DEEPER_M2 + DEEPER_SQUARED_M3);
    assert_relative_eq!(built.beside.dug.as_m3(), v_m3 + 32.0 * w_m * w_m / 12.0, epsilon = 1e-3);
    assert_relative_eq!(bed.deepest().depth.as_m(), y_m + 0.425, epsilon = 1e-6);
    // Cover and cut count from the bed: nowhere is the trench as deep as the hump would make it.
    assert!(take_off(built.line.as_ref().unwrap()).dug.as_m3() > 0.4 * w_m * 32.0);
    let depth_m = |station_m: f64| option.trench_at(station_m).unwrap()[0].as_m();
    assert!(depth_m(15.0) < depth_m(10.0) + 0.1, "{} {}", depth_m(15.0), depth_m(10.0));
}

// As it is shaped it is 6 y = 1.0966 m wide, and there is room for it 0.55 m inside the lot; at the hump it
// is 3.65 m wide.
#[test]
fn the_setback_must_leave_room_for_the_hump() {
    let on_plane = way_down(0.02);
    let plane = options(&on_plane, 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
    assert!(of(&plane, Arrangement::Swale).swale_leaves(Length::from_m(0.55)).is_none());
    let humped = all(0.5);
    let option = of(&humped, Arrangement::Swale);
    let widest = option.swale_leaves(Length::from_m(0.55)).unwrap();
    assert_relative_eq!(widest.station.as_m(), 15.0, epsilon = 1e-6);
    assert_relative_eq!(widest.width.as_m(), 3.6466, epsilon = 1e-3);
    assert!(option.swale_leaves(Length::from_m(1.83)).is_none());
    let costed: Vec<Costed> = humped.into_iter().map(|option| Costed { option, price: None }).collect();
    let best_at = |setback_m| {
        let best = recommend(&costed, Length::from_m(setback_m), None).place.unwrap();
        costed[best].option.arrangement
    };
    assert!(!matches!(best_at(0.55), Arrangement::Swale | Arrangement::SwaleOverDrain));
}

// 1.8 m of earth: the bed, 0.5 % down from 10 m, lies y + 5 x (0.36 - 0.02 + 0.005) = 0.18277 + 1.725 m below
// its top, 0.41 m deeper than a trench may be.
#[test]
fn a_swale_deeper_than_a_trench_may_be_is_not_built() {
    let hump = |x: f64| 1.8 * (1.0 - (x - 19.0).abs() / 5.0).max(0.0);
    let way = way_over(&move |x| 10.0 - 0.02 * x + hump(x), OutletKind::StormInlet, 8.2);
    // No pipe passes below so high a hump: the way is that of the plane, with the ground of this one.
    let way = OutletWay { stations: way.stations, ..way_down(0.02) };
    let all = options(&way, 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
    let Err(NotBuilt::SwaleTooDeep { station_m, depth_m, most_m }) = of(&all, Arrangement::Swale).built
    else {
        panic!("built")
    };
    assert_relative_eq!(station_m, 15.0, epsilon = 1e-6);
    assert_relative_eq!(depth_m, 0.182_77 + 1.725, epsilon = 1e-4);
    assert_relative_eq!(most_m, 1.5);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn a_swale_keeps_the_width_that_it_has_or_says_where_it_does_not(
        height_m in 0.0..0.9f64, l_per_s in 0.5..60.0f64, setback_m in 0.3..3.0f64,
    ) {
        let way = over_hump(height_m);
        prop_assume!(way.profile().is_some());
        let all = options(&way, l_per_s, "bare-stone", &Catalogue::ordinary().unwrap());
        for option in all.iter().filter(|option| option.swale.is_some()) {
            let places = course(option, &way);
            let widths = places.iter().filter_map(|place| Some(6.0 * (place.ground_m - place.swale_bed_m?)));
            let widest_m = widths.fold(0.0, f64::max);
            let said = option.swale_leaves(Length::from_m(setback_m));
            prop_assert_eq!(said.is_some(), widest_m > 2.0 * setback_m + 1e-5);
            if let Some(said) = said {
                prop_assert!((said.width.as_m() - widest_m).abs() < 1e-4);
            }
            let bed = &option.swale.as_ref().unwrap().bed;
            let shaped_m3 = 3.0 * bed.shaped().as_m().powi(2) * 32.0;
            if let Ok(built) = &option.built {
                prop_assert!(built.beside.dug.as_m3() >= shaped_m3 * (1.0 - 1e-9));
            }
        }
        let costed: Vec<Costed> = all.into_iter().map(|option| Costed { option, price: None }).collect();
        let setback = Length::from_m(setback_m);
        if let Some(best) = recommend(&costed, setback, None).place {
            prop_assert!(costed[best].option.swale_leaves(setback).is_none());
        }
    }
}
