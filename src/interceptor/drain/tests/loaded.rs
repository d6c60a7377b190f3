//! Drains of the plane, sized for 8 L/s, in other flows; the numbers are those of `by_hand.rs`.

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

/// All arrangements sized for a flow, each in another one; with another part's pipe that comes in half way.
fn loads(way: &OutletWay, sized: f64, l_per_s: f64, finish: &str, joined: f64) -> Vec<(DrainOption, Loaded)> {
    let growth = Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap();
    let joined = [Joined { station_m: 16.0, flow: Flow::from_l_per_s(joined), size: Length::ZERO }];
    let part = DrainPart {
        flow: Flow::from_l_per_s(l_per_s),
        growth: &growth,
        way,
        profile: way.profile().unwrap(),
        joined: &joined,
        end: &End::Structure,
        least_inside: Length::ZERO,
    };
    let all = options(way, sized, finish, &Catalogue::ordinary().unwrap());
    all.into_iter().map(|option| (option.clone(), loaded(&option, &part).unwrap())).collect()
}

fn plane(l_per_s: f64) -> Vec<(DrainOption, Loaded)> {
    loads(&way_down(0.02), 8.0, l_per_s, "bare-stone", 0.0)
}

fn load(all: &[(DrainOption, Loaded)], arrangement: Arrangement) -> Loaded {
    all.iter().find(|found| found.0.arrangement == arrangement).unwrap().1
}

// Twice the flow. The top takes 0.11308 L/s a metre at the least, 3.6186 L/s of 16; at the most it takes all, and the pipe is
// full at 8.127. Two pipes of 4.221 each. The swale's basin takes 19.03, the lead carries 8.866; over a drain it has what the full pipe
// turns away, too. Basins: four times 1.5 L/s get in; the
// solid pipe of 3 in carries 0.86113 x 12 / 11 x 0.0049017 = 4.605 of these 6.
#[test]
fn twice_the_flow_runs_over_by_what_pipe_and_top_cannot_take() {
    let all = plane(16.0);
    let expected = [
        (Arrangement::OnePipe, [3.6186 / 16.0, 8.127 / 16.0], Limit::Intake),
        (Arrangement::Swale, [8.866 / 16.0; 2], Limit::Pipe),
        (Arrangement::SwaleOverDrain, [8.866 / 16.0; 2], Limit::Pipe),
        (Arrangement::Basins, [4.605 / 16.0; 2], Limit::Intake),
    ];
    for (arrangement, shares, limit) in expected {
        let found = load(&all, arrangement);
        for (end, share) in shares.into_iter().enumerate() {
            assert_relative_eq!(found.shares()[end], share, epsilon = 2e-4);
            assert_relative_eq!(found.overflow()[end].as_l_per_s(), 16.0 * (1.0 - share), epsilon = 3e-3);
        }
        assert_eq!((found.limit(), found.carries()), (Some(limit), false), "{arrangement:?}");
    }
    assert_relative_eq!(load(&all, Arrangement::TwoPipes).shares()[1], 8.442 / 16.0, epsilon = 3e-4);
}

// 8.5 L/s is still in the swale and its lead, and not in the one pipe of the stone.
#[test]
fn a_little_more_is_carried_where_the_next_size_leaves_room() {
    let all = plane(8.5);
    let swale = load(&all, Arrangement::Swale);
    assert!(swale.carries() && swale.limit().is_none());
    assert_relative_eq!(swale.overflow()[0].as_l_per_s(), 0.0);
    assert_relative_eq!(load(&all, Arrangement::OnePipe).shares()[1], 8.127 / 8.5, epsilon = 2e-4);
    let held = swale.held_to(0.25);
    assert_relative_eq!(held.shares()[0], 0.25);
    assert_eq!(held.limit(), Some(Limit::Pipe));
}

// Shaped 0.18277 m deep, full to the brim: 0.182466 x 0.18277^(8/3) / 0.06 = 32.7 L/s, long before the 122.65 by its rules. Its one grate
// takes 0.672 ft3/s = 19.03 L/s of 30.
#[test]
fn a_swale_carries_what_it_is_shaped_for_and_its_grate_lets_in() {
    let all = plane(30.0);
    let swale = all.iter().find(|found| found.0.arrangement == Arrangement::Swale).unwrap();
    assert_relative_eq!(swale.0.swale.as_ref().unwrap().shaped_capacity().as_l_per_s(), 32.7, epsilon = 0.05);
    assert_relative_eq!(swale.1.taken_shares[0], 19.03 / 30.0, epsilon = 5e-4);
}

// 1 L/s of another part comes in at 16 m: with 8 of its own the pipe has 9, of which it carries 8.127; 8.866 on the lead.
#[test]
fn what_other_parts_bring_takes_room() {
    let all = loads(&way_down(0.02), 8.0, 8.0, "bare-stone", 1.0);
    assert_relative_eq!(load(&all, Arrangement::OnePipe).carried_share, 8.127 / 9.0, epsilon = 2e-4);
}

proptest! {
    #[test]
    fn in_its_own_flow_a_drain_does_what_it_was_sized_for(
        l_per_s in 0.05..150.0f64, fall in 0.001..0.15f64, lawn: bool,
    ) {
        let way = way_down(fall);
        prop_assume!(way.profile().is_some());
        let finish = if lawn { "irrigated-lawn" } else { "bare-stone" };
        for (option, found) in loads(&way, l_per_s, l_per_s, finish, 0.0) {
            prop_assert!((found.shares()[0] - option.share()).abs() < 1e-6, "{option:?} {found:?}");
        }
    }

    #[test]
    fn a_rarer_storm_never_carries_a_larger_share(
        sized in 0.05..100.0f64, times in 0.1..5.0f64, more in 1.0..4.0f64, joined in 0.0..20.0f64,
        fall in 0.001..0.15f64, lawn: bool,
    ) {
        let way = way_down(fall);
        prop_assume!(way.profile().is_some());
        let finish = if lawn { "irrigated-lawn" } else { "bare-stone" };
        let less = loads(&way, sized, sized * times, finish, joined);
        let rarer = loads(&way, sized, sized * times * more, finish, joined * more);
        for ((option, less), (_, rarer)) in less.iter().zip(&rarer) {
            let (a, b) = (less.shares(), rarer.shares());
            prop_assert!((0..2).all(|end| b[end] <= a[end] + 1e-9), "{:?} {a:?} {b:?}", option.arrangement);
            prop_assert!(a[0] <= a[1] + 1e-12 && b[0] <= b[1] + 1e-12);
            let (a, b) = (less.overflow(), rarer.overflow());
            prop_assert!((0..2).all(|end| b[end] >= a[end] * (1.0 - 1e-9)));
            prop_assert!(less.carries() || !rarer.carries());
        }
    }
}
