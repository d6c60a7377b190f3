//! What a drain hands on to the pipe that it joins, on the plane of 2 % with the numbers of `by_hand.rs` and
//! `holes.rs`.

use super::holes::any_pipes;
use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

/// A drain and what it hands on.
fn handing(
    arrangement: Arrangement,
    l_per_s: f64,
    pipes: &[(&str, f64)],
    joined: &[Joined],
) -> (DrainOption, f64) {
    let all = Catalogue::ordinary().unwrap();
    let with = |&(key, inlet_cm2_per_m): &(&str, f64)| PipeSize {
        inlet_cm2_per_m,
        ..all.pipe(key).unwrap().clone()
    };
    let catalogue = Catalogue::new(pipes.iter().map(with).collect()).unwrap();
    let (way, growth) = (way_down(0.02), Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap());
    let part = DrainPart {
        flow: Flow::from_l_per_s(l_per_s),
        growth: &growth,
        way: &way,
        profile: way.profile().unwrap(),
        joined,
        end: &End::Structure,
        least_inside: Length::ZERO,
    };
    let option = of(&options_of(&part, ("bare-stone", &catalogue), &materials()), arrangement).clone();
    let handed = hands_on(&option, &part).unwrap().as_l_per_s();
    (option, handed)
}

fn at(station_m: f64, l_per_s: f64) -> [Joined; 1] {
    [Joined { station_m, flow: Flow::from_l_per_s(l_per_s), size: Length::ZERO }]
}

// Part A: 3 L/s over 32 m in three inches with 0.8 cm2/m of holes, which let in 0.8 x 0.075252 = 0.060202 L/s a metre: x = 1.92645 L/s. Part
// B: 2.5 L/s of its own. With x it has 4.42645 on its lead, where three inches carry 4.221 x 12 / 11 = 4.605, and 4.42645 at the end of
// the line, where they carry 4.221 and four 8.127; with all 3 L/s it would have 5.5, and four inches on the lead. With 2 L/s of its own
// three inches do throughout: 3.92645, and not with the 5 of all that comes to A.
#[test]
fn a_trunk_is_sized_for_its_own_water_and_what_gets_in_further_up() {
    let (a, x) = handing(Arrangement::OnePipe, 3.0, &[("75-smooth", 0.8)], &[]);
    assert_relative_eq!(x, 0.8 * 0.075_252 * 32.0, epsilon = 1e-3);
    assert_relative_eq!(x, 1.926_45, epsilon = 1e-3);
    assert_relative_eq!(a.share() * 3.0, x, epsilon = 1e-9);
    let trunk = [("75-smooth", 19.95), ("100-smooth", 19.95)];
    let lead = |b: &DrainOption| {
        let last = b.outlet_reach().unwrap();
        (last.reach.flow.as_l_per_s(), last.pipe.key())
    };
    let (b, handed) = handing(Arrangement::OnePipe, 2.0, &trunk, &at(16.0, x));
    assert_relative_eq!(lead(&b).0, 3.926_45, epsilon = 1e-3);
    assert_eq!(lead(&b).1, "75-smooth");
    assert!(b.carries());
    assert_relative_eq!(handed, 3.926_45, epsilon = 1e-3);
    let (whole, _) = handing(Arrangement::OnePipe, 2.0, &trunk, &at(16.0, 3.0));
    assert_eq!(lead(&whole).1, "100-smooth");
}

// 8 L/s in three inches that let all in: the line is full at 4.221, and what it turns away is handed on
// nowhere. With 3 L/s from another part at 16 m it is full with both together.
#[test]
fn what_a_full_pipe_turns_away_is_not_handed_on() {
    let pipes = [("75-smooth", 900.0)];
    assert_relative_eq!(handing(Arrangement::OnePipe, 8.0, &pipes, &[]).1, 4.221, epsilon = 1e-3);
    assert_relative_eq!(handing(Arrangement::OnePipe, 8.0, &pipes, &at(16.0, 3.0)).1, 4.221, epsilon = 1e-3);
}

// Of 12 L/s of its own holes let 1.92645 in, and 2 come from another part: the pipe has room for both, though
// not for the 14 that come.
#[test]
fn what_does_not_get_in_takes_no_room_of_others() {
    let (option, handed) = handing(Arrangement::OnePipe, 12.0, &[("75-smooth", 0.8)], &at(16.0, 2.0));
    let growth = Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap();
    assert_relative_eq!(option.passes(&growth, 16.0).unwrap(), 1.0, epsilon = 1e-9);
    assert_relative_eq!(option.share() * 12.0, 1.926_45, epsilon = 1e-3);
    assert_relative_eq!(handed, 3.926_45, epsilon = 1e-3);
}

// A swale keeps all of its 3 L/s and leads it into the pipe: it hands on all of it.
#[test]
fn a_swale_hands_on_what_it_carries() {
    let (option, handed) = handing(Arrangement::Swale, 3.0, &[("75-smooth", 0.8), ("100-smooth", 1.0)], &[]);
    assert!(option.share() > 1.0 - 1e-9);
    assert_relative_eq!(handed, 3.0, epsilon = 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    // No more than the last pipe carries or than comes; without others what is kept by the upper end; with them at the least what is
    // kept of its own and passes of theirs, and never less for more that is brought.
    #[test]
    fn what_is_handed_on_is_what_gets_in_and_has_room(
        pipes in any_pipes(), first in 0.01..0.99f64, l_per_s in 0.1..40.0f64, brings in 0.0..10.0f64, more in 1.0..3.0f64, mm_h in 50.0..1e5f64,
    ) {
        let growth = Growth::new(vec![(0.0, 0.0), (11.0, first), (32.0, 1.0)]).unwrap();
        let (way, catalogue) = (way_down(0.02), Catalogue::new(pipes).unwrap());
        let top = format!("[top.bare-stone]\ndescription = \"any\"\nintake_mm_h = [{mm_h:?}, {:?}]\nsource = \"by hand\"\n", 2.0 * mm_h);
        let materials = Materials::built_in().with_user(&top, "by hand").unwrap();
        let [none, some, much] = [vec![], at(10.0, brings).to_vec(), at(10.0, more * brings).to_vec()];
        let part = |joined| DrainPart {
            flow: Flow::from_l_per_s(l_per_s),
            growth: &growth,
            way: &way,
            profile: way.profile().unwrap(),
            joined,
            end: &End::Structure,
            least_inside: Length::ZERO,
        };
        for option in options_of(&part(&some), ("bare-stone", &catalogue), &materials) {
            let handed = |joined| hands_on(&option, &part(joined)).unwrap().as_l_per_s();
            let full = option.outlet_reach().unwrap().capacity.as_l_per_s();
            prop_assert!(handed(&some) <= (l_per_s + brings).min(full) * (1.0 + 1e-9));
            prop_assert!(handed(&some) >= handed(&none) - 1e-9 && handed(&much) >= handed(&some) - 1e-9);
            let kept = option.kept_shares[1] * l_per_s + option.passes(&growth, 10.0).unwrap() * brings;
            prop_assert!(handed(&some) >= kept * (1.0 - 1e-6), "{:?}: {} of {kept}", option.arrangement, handed(&some));
        }
        for option in options_of(&part(&none), ("bare-stone", &catalogue), &materials) {
            let handed = hands_on(&option, &part(&none)).unwrap().as_l_per_s();
            if matches!(option.arrangement, Arrangement::OnePipe | Arrangement::TwoPipes) {
                prop_assert!((handed - option.kept_shares[1] * l_per_s).abs() <= 1e-6 * l_per_s, "{:?}", option.arrangement);
            }
        }
    }
}

// A pipe that comes in at 16 m of the part's 32 m: a swale says that it can't take it; one that comes in at the lead doesn't matter to it.
#[test]
fn a_swale_says_that_no_pipe_comes_into_it() {
    let (way, growth) = (way_down(0.02), Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap());
    let (catalogue, materials) = (Catalogue::ordinary().unwrap(), materials());
    let swale = |joined: &[Joined]| {
        let part = DrainPart {
            flow: Flow::from_l_per_s(8.0),
            growth: &growth,
            way: &way,
            profile: way.profile().unwrap(),
            joined,
            end: &End::Structure,
            least_inside: Length::ZERO,
        };
        swale_of(&part, &catalogue, &materials)
    };
    assert_eq!(swale(&at(16.0, 1.0)).err(), Some(Lacking::PipeJoins));
    assert!(swale(&at(34.0, 1.0)).is_ok());
}
