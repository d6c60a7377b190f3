//! Which arrangement is recommended, on the plane of `by_hand.rs`.

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

/// Twice this setback is wider than a swale of the plane.
const WIDE_M: f64 = 0.6;
/// Narrower.
const NARROW_M: f64 = 0.2;

fn costed(all: Vec<DrainOption>) -> Vec<Costed> {
    all.into_iter().map(|option| Costed { option, price: None }).collect()
}

fn on_plane(finish: &str) -> Vec<Costed> {
    costed(options(&way_down(0.02), 8.0, finish, &Catalogue::ordinary().unwrap()))
}

/// The plane's, as if they kept so much.
fn keeping(shares: [f64; 5]) -> Vec<Costed> {
    let mut all = on_plane("bare-stone");
    for (costed, share) in all.iter_mut().zip(shares) {
        costed.option.kept_shares = [share; 2];
    }
    all
}

fn best(all: &[Costed], setback_m: f64) -> Option<Arrangement> {
    let place = recommend(all, Length::from_m(setback_m), None).place?;
    Some(all[place].option.arrangement)
}

fn against(all: &[Costed], setback_m: f64, arrangement: Arrangement) -> Option<Against> {
    let place = all.iter().position(|costed| costed.option.arrangement == arrangement).unwrap();
    recommend(all, Length::from_m(setback_m), None).against[place]
}

// Under thin sod the trenches take hundredths of the sheet: one pipe 0.0149 (`by_hand.rs`). Four basins gather 4 x 3 m of 32 m, 0.375. So
// little it is, it is more than twenty times as much.
#[test]
fn what_keeps_hundredths_is_not_recommended_before_what_keeps_a_third() {
    let all = on_plane("irrigated-lawn");
    let options: Vec<DrainOption> = all.iter().map(|costed| costed.option.clone()).collect();
    assert_relative_eq!(of(&options, Arrangement::Basins).share(), 0.375, max_relative = 1e-6);
    assert!(of(&options, Arrangement::TwoPipes).share() < 0.03);
    assert_eq!(of(&options, Arrangement::Basins).held_by(), Some(Held::Basins));
    assert_eq!(of(&options, Arrangement::OnePipe).held_by(), Some(Held::Top));
    assert_eq!(of(&options, Arrangement::Swale).held_by(), None);
    // No room for the swales, which would keep all.
    assert_eq!(best(&all, NARROW_M), Some(Arrangement::Basins));
    assert_eq!(against(&all, NARROW_M, Arrangement::TwoPipes), Some(Against::KeepsLess));
    assert!(matches!(against(&all, NARROW_M, Arrangement::Swale), Some(Against::BeyondLot(_))));
    assert_eq!(best(&all, WIDE_M), Some(Arrangement::Swale));
}

// In the order one pipe, two, swale, swale over a drain, basins; no room for swales. Nine tenths of 0.45 are 0.405.
#[test]
fn basins_come_after_what_keeps_nearly_as_much_of_a_sheet() {
    let nearly = keeping([0.1, 0.41, 0.0, 0.0, 0.45]);
    assert_eq!(best(&nearly, NARROW_M), Some(Arrangement::TwoPipes));
    assert_eq!(against(&nearly, NARROW_M, Arrangement::Basins), Some(Against::Spread));
    let less = keeping([0.1, 0.40, 0.0, 0.0, 0.45]);
    assert_eq!(best(&less, NARROW_M), Some(Arrangement::Basins));
    assert_eq!(against(&less, NARROW_M, Arrangement::TwoPipes), Some(Against::KeepsLess));
}

// One pipe digs less than two. 0.95 x 0.8 = 0.76: from there on that decides.
#[test]
fn digging_decides_between_those_that_keep_about_as_much() {
    assert_eq!(best(&keeping([0.77, 0.8, 0.0, 0.0, 0.0]), WIDE_M), Some(Arrangement::OnePipe));
    assert_eq!(best(&keeping([0.75, 0.8, 0.0, 0.0, 0.0]), WIDE_M), Some(Arrangement::TwoPipes));
    // What carries all isn't given up for what nearly does.
    assert_eq!(best(&keeping([0.99, 1.0, 0.0, 0.0, 0.0]), WIDE_M), Some(Arrangement::TwoPipes));
}

#[test]
fn what_keeps_nothing_is_not_recommended() {
    let all = keeping([0.0; 5]);
    assert_eq!(best(&all, WIDE_M), None);
    assert_eq!(against(&all, WIDE_M, Arrangement::Swale), Some(Against::KeepsNothing));
    assert_eq!(best(&keeping([0.0, 0.0, 0.0, 0.0, 0.02]), WIDE_M), Some(Arrangement::Basins));
}

#[test]
fn prices_decide_between_those_that_carry_all() {
    let price = |arrangement| match arrangement {
        Arrangement::Swale => 900.0,
        Arrangement::SwaleOverDrain => 800.0,
        _ => 1.0,
    };
    let mut all = on_plane("bare-stone");
    for one in &mut all {
        one.price = Some(price(one.option.arrangement));
    }
    // The cheap ones don't carry it.
    assert_eq!(best(&all, WIDE_M), Some(Arrangement::SwaleOverDrain));
    assert_eq!(against(&all, WIDE_M, Arrangement::Swale), Some(Against::Dearer));
    // A price that is missing: digging decides.
    for one in &mut all {
        if one.option.arrangement == Arrangement::SwaleOverDrain {
            one.price = None;
        }
    }
    assert_eq!(best(&all, WIDE_M), Some(Arrangement::Swale));
}

// Where no pipe has holes and there is no room for a swale nothing else can be built.
#[test]
fn basins_are_recommended_where_they_are_all_that_can_be_built() {
    let mut solid = Catalogue::ordinary().unwrap().pipes().to_vec();
    for pipe in &mut solid {
        pipe.inlet_cm2_per_m = 0.0;
    }
    let all = options(&way_down(0.02), 8.0, "irrigated-lawn", &Catalogue::new(solid).unwrap());
    assert_eq!(best(&costed(all), NARROW_M), Some(Arrangement::Basins));
}

// 8 L/s ask for one pipe of 4 in, or two of 3 in (`by_hand.rs`). Stone of 0.1 m and topsoil of 0.2 m over the top of that of 4 in, 0.10405 m over
// its invert, ask for 0.404 m of ground over the invert. The way to a ditch is laid for a bore without a wall, 0.3 + 0.1016 = 0.4016 m below
// the ground, and comes out of it at its end: no stone anywhere. The top of 3 in lies 0.0808 m over its invert, for 0.381 m.
#[test]
fn a_trench_whose_stone_is_nowhere_covered_has_none_and_takes_nothing() {
    let foot = |x: f64| 10.0 - 0.02 * x.min(31.0) - 0.06 * (x - 31.0).max(0.0);
    let way = way_over(&foot, OutletKind::Ditch, foot(40.0));
    let finish = ("unirrigated-seed", &Catalogue::ordinary().unwrap());
    let all = options_with(&way, 8.0, finish, &[], &End::Daylight);
    let option = of(&all, Arrangement::OnePipe);
    assert_eq!(option.built.as_ref().err(), Some(&NotBuilt::NoStone));
    assert!(option.intake.is_none());
    assert!(option.stone_voids(Materials::built_in().stone("57").unwrap()).is_none());
    assert_relative_eq!(option.kept_shares[1], 0.0);
    let two = of(&all, Arrangement::TwoPipes);
    assert!(two.built.is_ok() && two.share() > 0.0);
    assert_eq!(against(&costed(all), NARROW_M, Arrangement::OnePipe), None, "that it can't be built says it");
}

/// Shares that lie at the bounds now and then.
fn a_share() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), Just(1.0), 0.0..1.0f64, 0.85..1.0f64]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn nothing_allowed_keeps_a_tenth_more_and_keeping_more_or_costing_less_never_loses(
        shares in prop::array::uniform5(a_share()),
        prices in prop::option::of(prop::array::uniform5(1.0..100.0f64)),
        thin in prop::array::uniform5(any::<bool>()),
        (more, cheaper) in (0.0..1.0f64, 0.1..1.0f64),
    ) {
        let mut all = keeping(shares);
        for (place, one) in all.iter_mut().enumerate() {
            one.price = prices.map(|prices| prices[place]);
            let short = ThinCover { station: Length::ZERO, over: Length::ZERO, short: Length::from_m(0.1) };
            one.option.thin = thin[place].then_some(short);
        }
        let recommended = |all: &[Costed]| recommend(all, Length::from_m(WIDE_M), Some(Length::ZERO)).place;
        let most = all.iter().map(|one| one.option.share()).fold(0.0, f64::max);
        prop_assert_eq!(recommended(&all).is_some(), most > 0.0);
        let Some(place) = recommended(&all) else { return Ok(()) };
        let kept = all[place].option.share();
        prop_assert!(kept >= most - 0.1 - 1e-9, "{} of {}", kept, most);
        let better = &mut all[place];
        better.option.kept_shares = [kept + (1.0 - kept) * more; 2];
        better.price = better.price.map(|price| price * cheaper);
        prop_assert_eq!(recommended(&all), Some(place));
    }
}
