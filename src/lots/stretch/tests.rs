//! Expected values by hand arithmetic, and by trying everything on small cases.

use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn inflow(chainage_m: f64, half_width_m: f64, amount: f64) -> Inflow {
    Inflow { ring: 0, chainage_m, half_width_m, amount }
}

/// One-metre widths side by side from a chainage on, with the given amounts.
fn side_by_side(from_m: f64, amounts: &[f64]) -> Vec<Inflow> {
    (0_u32..).zip(amounts).map(|(i, a)| inflow(from_m + f64::from(i) + 0.5, 0.5, *a)).collect()
}

fn ends(stretches: &[Stretch]) -> Vec<(f64, f64)> {
    let round = |m: f64| (m * 1e5).round() / 1e5;
    stretches.iter().map(|s| (round(s.from_m), round(s.to_m))).collect()
}

const PLAIN: Joining = Joining { gap_m: 0.0, dust_m: 0.0 };

#[test]
fn gaps_longer_than_asked_separate() {
    // Wet 10-12, 13-15, 20-22: gaps of 1 m, 5 m, and 88 m over the start.
    let inflows = [inflow(21.0, 1.0, 1.0), inflow(11.0, 1.0, 1.0), inflow(14.0, 1.0, 1.0)];
    assert_eq!(ends(&separate(&inflows, &[100.0], 0.5)), [(10., 12.), (13., 15.), (20., 22.)]);
    let by_3_m = separate(&inflows, &[100.0], 3.0);
    assert_eq!(ends(&by_3_m), [(10., 15.), (20., 22.)]);
    assert_eq!(by_3_m[0].members, [1, 2]);
    assert_eq!(by_3_m[1].members, [0]);
    // A gap just as long as asked doesn't separate.
    assert_eq!(ends(&separate(&inflows, &[100.0], 5.0)), [(10., 22.)]);
    assert_eq!(ends(&separate(&inflows, &[100.0], 500.0)), [(10., 22.)]);
}

#[test]
fn a_stretch_over_the_start_has_its_end_past_the_length() {
    let inflows = [inflow(99.0, 1.0, 1.0), inflow(1.0, 0.5, 2.0), inflow(50.0, 1.0, 1.0)];
    let stretches = separate(&inflows, &[100.0], 3.0);
    assert_eq!(ends(&stretches), [(49., 51.), (98., 101.5)]);
    assert_eq!(stretches[1].members, [0, 1]);
    assert_relative_eq!(amount_within(&stretches[1], &inflows, 100.0), 3.0, max_relative = 1e-9);
    let over = separate(&[inflow(0.0, 2.0, 1.0)], &[100.0], 3.0);
    assert_eq!(ends(&over), [(98., 102.)]);
    assert_eq!(over[0].members, [0]);
}

#[test]
fn a_ring_wet_all_around_is_one_stretch_from_its_start() {
    let inflows = side_by_side(3.0, &[1.0; 10]);
    let all = separate(&inflows, &[10.0], 1.0);
    assert_eq!(ends(&all), [(0., 10.)]);
    assert_eq!(all[0].members.len(), 10);
    assert_eq!(ends(&separate(&[inflow(4.0, 30.0, 1.0)], &[10.0], 1.0)), [(0., 10.)]);
    // The width may lie over the start: 8 of 10 m carry 0.8, wherever they are.
    assert_relative_eq!(width_carrying(0.8, &all[0], &inflows, 10.0), 8.0, max_relative = 1e-9);
    let mut peaked = inflows;
    // Wet metres 9-10 and 0-1 carry 5 of 18.
    peaked[6].amount = 5.0;
    peaked[7].amount = 5.0;
    let all = separate(&peaked, &[10.0], 1.0);
    assert_relative_eq!(width_carrying(10.0 / 18.0, &all[0], &peaked, 10.0), 2.0, max_relative = 1e-9);
}

#[test]
fn rings_are_kept_apart_and_in_order() {
    let other = Inflow { ring: 1, chainage_m: 5.0, half_width_m: 1.0, amount: 1.0 };
    let stretches = separate(&[other, inflow(5.0, 1.0, 1.0)], &[100.0, 20.0], 3.0);
    assert_eq!(
        stretches.iter().map(|s| (s.ring, s.members.clone())).collect::<Vec<_>>(),
        [(0, vec![1]), (1, vec![0])]
    );
}

#[test]
fn inflow_of_nothing_is_none() {
    assert_eq!(separate(&[inflow(5.0, 1.0, 0.0), inflow(8.0, 1.0, -1.0)], &[100.0], 3.0), []);
    assert_eq!(shortest_catching(0.95, &[inflow(5.0, 1.0, 0.0)], &[100.0], PLAIN), []);
}

#[test]
fn four_fifths_of_a_uniform_sheet_of_40_m_take_32_m() {
    let inflows = side_by_side(10.0, &[2.5; 40]);
    let sheet = &separate(&inflows, &[200.0], 3.0)[0];
    assert_relative_eq!(sheet.length_m(), 40.0, max_relative = 1e-9);
    assert_relative_eq!(width_carrying(0.8, sheet, &inflows, 200.0), 32.0, max_relative = 1e-9);
}

#[test]
fn the_width_of_a_stream_beside_a_sheet_is_that_of_the_stream() {
    // 1 m with 9, then 9 m with 1 in all: 0.9 within 1 m, 0.95 within 1 + 0.5 / (1/9) = 5.5 m.
    let mut amounts = vec![9.0];
    amounts.extend([1.0 / 9.0; 9]);
    let inflows = side_by_side(20.0, &amounts);
    let stretch = &separate(&inflows, &[200.0], 3.0)[0];
    assert_relative_eq!(width_carrying(0.9, stretch, &inflows, 200.0), 1.0, max_relative = 1e-6);
    assert_relative_eq!(width_carrying(0.95, stretch, &inflows, 200.0), 5.5, max_relative = 1e-6);
    assert_relative_eq!(width_carrying(1.0, stretch, &inflows, 200.0), 10.0, max_relative = 1e-6);
}

#[test]
fn the_shortest_set_takes_the_densest_pieces() {
    // Amounts 1 4 0 8 2: three quarters of 15 are 11.25 = 8 + 3.25 of 4.
    let inflows = side_by_side(10.0, &[1.0, 4.0, 0.0, 8.0, 2.0]);
    let found = shortest_catching(0.75, &inflows, &[100.0], PLAIN);
    assert_eq!(ends(&found), [(11., 11.8125), (13., 14.)]);
    // All of it: the dry metre stays out.
    let all = shortest_catching(1.0, &inflows, &[100.0], PLAIN);
    assert_eq!(ends(&all), [(10., 12.), (13., 15.)]);
}

#[test]
fn stretches_are_widened_by_the_densest_pieces_beside_them() {
    // Kept: the metre with 8. Beside it 1 4 0 and 2: 4.5 more are 4 and a quarter of the 2; there are 7 in
    // all.
    let inflows = side_by_side(10.0, &[1.0, 4.0, 0.0, 8.0, 2.0]);
    let kept = shortest_catching(8.0 / 15.0, &inflows, &[100.0], PLAIN);
    assert_eq!(ends(&kept), [(13., 14.)]);
    let widened_by = |amount| ends(&widened(&kept, amount, &inflows, &[100.0], PLAIN));
    assert_eq!(widened_by(4.5), [(11., 12.), (13., 14.25)]);
    assert_eq!(widened_by(100.0), [(10., 12.), (13., 15.)]);
    assert_eq!(widened_by(0.0), [(13., 14.)]);
    // Over the ring's start, and across a gap that is closed.
    let over = [Stretch { ring: 0, from_m: 98.0, to_m: 102.0, members: Vec::new() }];
    let joining = Joining { gap_m: 3.0, dust_m: 1.0 };
    assert_eq!(ends(&widened(&over, 2.0, &[inflow(5.0, 1.0, 2.0)], &[100.0], joining)), [(98., 106.)]);
}

#[test]
fn a_part_is_taken_next_to_what_is_taken_already() {
    let inflows = side_by_side(10.0, &[2.0, 4.0]);
    assert_eq!(ends(&shortest_catching(5.0 / 6.0, &inflows, &[100.0], PLAIN)), [(10.5, 12.)]);
}

#[test]
fn closing_gaps_does_not_catch_more_than_asked() {
    // A comb of 20 teeth of 1 m, 1 m apart: 0.75 by teeth alone would be 15 teeth; closed over, 29 m.
    let comb: Vec<f64> = (0..40).map(|i| f64::from(i % 2 == 0)).collect();
    let inflows = side_by_side(100.0, &comb);
    let found = shortest_catching(0.75, &inflows, &[1000.0], Joining { gap_m: 3.0, dust_m: 1.0 });
    assert_eq!(ends(&found), [(100., 129.)]);
    // Two equal streams 2 m apart with a sheet between: the gap that is closed brings 1 of 12.
    let inflows = side_by_side(10.0, &[5.0, 0.5, 0.5, 5.0, 1.0]);
    let joined = shortest_catching(11.0 / 12.0, &inflows, &[100.0], Joining { gap_m: 3.0, dust_m: 0.5 });
    assert_eq!(joined.len(), 1);
    assert!(joined[0].length_m() < 4.0 + 1e-5);
}

#[test]
fn a_stream_shorter_than_the_dust_limit_stays_when_it_is_needed() {
    // 0.5 m carries 90 of 100.
    let inflows = [inflow(10.0, 0.25, 90.0), inflow(50.0, 10.0, 10.0)];
    let kept = shortest_catching(0.9, &inflows, &[100.0], Joining { gap_m: 3.0, dust_m: 1.0 });
    assert_eq!(ends(&kept), [(9.75, 10.25)]);
}

#[test]
fn dust_goes_when_a_longer_main_stretch_is_less_work() {
    // 10 m with 10 per metre, and 0.5 m with 12 per metre: of 106, 0.9 are 95.4. With the rivulet: 0.5 + 8.94 m,
    // counted as 1 + 8.94; without it 9.54 m.
    let inflows = [inflow(15.0, 5.0, 100.0), inflow(50.0, 0.25, 6.0)];
    let joining = |dust_m| Joining { gap_m: 3.0, dust_m };
    assert_eq!(ends(&shortest_catching(0.9, &inflows, &[100.0], joining(1.0))), [(10., 19.54)]);
    let with_rivulet = shortest_catching(0.9, &inflows, &[100.0], joining(0.0));
    assert_eq!(ends(&with_rivulet), [(10., 18.94), (49.75, 50.25)]);
}

#[test]
fn equal_pieces_make_one_stretch() {
    // 0.1 + 0.2 and the like: densities that differ in the last digit only.
    let amounts: Vec<f64> = (0..40).map(|i| if i % 3 == 0 { 0.3 } else { 0.1 + 0.2 }).collect();
    let inflows = side_by_side(10.0, &amounts);
    let found = shortest_catching(0.95, &inflows, &[100.0], PLAIN);
    assert_eq!(ends(&found), [(10., 48.)]);
}

/// Least length that catches a target, by trying every set of whole metres with one metre in part.
fn least_length_by_trying_all(amounts: &[f64], target: f64) -> f64 {
    let mut least = f64::INFINITY;
    for set in 0_u32..(1 << amounts.len()) {
        let is_in = |i: usize| set & (1 << i) != 0;
        let whole: f64 = (0..amounts.len()).filter(|i| is_in(*i)).map(|i| amounts[i]).sum();
        let length = f64::from(set.count_ones());
        if whole >= target - 1e-9 {
            least = least.min(length);
            continue;
        }
        for i in (0..amounts.len()).filter(|i| !is_in(*i) && amounts[*i] > 0.0) {
            let part = (target - whole) / amounts[i];
            if part <= 1.0 {
                least = least.min(length + part);
            }
        }
    }
    least
}

proptest! {
    #[test]
    fn no_set_is_shorter_than_the_shortest(
        amounts in prop::collection::vec(0_u8..6, 1..9), share in 0.05..1.0f64, from in 0_u8..20,
    ) {
        let amounts: Vec<f64> = amounts.into_iter().map(f64::from).collect();
        let total: f64 = amounts.iter().sum();
        prop_assume!(total > 0.0);
        // On a ring of 20 m, so that some lie over the start.
        let inflows = side_by_side(f64::from(from), &amounts);
        let found = shortest_catching(share, &inflows, &[20.0], PLAIN);
        let caught: f64 = found.iter().map(|s| amount_within(s, &inflows, 20.0)).sum();
        prop_assert!(caught >= share * total - 1e-6, "caught {} of {}", caught, share * total);
        let length: f64 = found.iter().map(Stretch::length_m).sum();
        let least = least_length_by_trying_all(&amounts, share * total);
        prop_assert!((length - least).abs() < 1e-5, "length {length}, least {least}");
    }

    #[test]
    fn joined_stretches_catch_the_share_and_lie_apart(
        wets in prop::collection::vec((0.0..60.0f64, 0.1..4.0f64, 0.1..9.0f64), 1..25),
        share in 0.05..1.0f64, gap_m in 0.0..6.0f64,
    ) {
        let inflows: Vec<Inflow> = wets.into_iter().map(|(c, h, a)| inflow(c, h, a)).collect();
        let total: f64 = inflows.iter().map(|i| i.amount).sum();
        let found = shortest_catching(share, &inflows, &[60.0], Joining { gap_m, dust_m: 1.0 });
        let caught: f64 = found.iter().map(|s| amount_within(s, &inflows, 60.0)).sum();
        prop_assert!(caught >= share * total * (1.0 - 1e-9));
        for pair in found.windows(2) {
            prop_assert!(pair[1].from_m - pair[0].to_m > gap_m);
        }
        let whole: f64 = separate(&inflows, &[60.0], gap_m).iter().map(Stretch::length_m).sum();
        prop_assert!(found.iter().map(Stretch::length_m).sum::<f64>() <= whole + 1e-6);
    }

    #[test]
    fn every_inflow_belongs_to_one_stretch(
        wets in prop::collection::vec((-80.0..80.0f64, 0.0..4.0f64, 0.1..9.0f64), 1..25), gap_m in 0.0..6.0f64,
    ) {
        let inflows: Vec<Inflow> = wets.into_iter().map(|(c, h, a)| inflow(c, h, a)).collect();
        let stretches = separate(&inflows, &[40.0], gap_m);
        let mut members: Vec<usize> = stretches.iter().flat_map(|s| s.members.clone()).collect();
        members.sort_unstable();
        prop_assert_eq!(members, (0..inflows.len()).collect::<Vec<_>>());
        for stretch in &stretches {
            let own: f64 = stretch.members.iter().map(|&i| inflows[i].amount).sum();
            prop_assert!((amount_within(stretch, &inflows, 40.0) / own - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn no_window_on_a_fine_raster_is_shorter_than_the_width_found(
        wets in prop::collection::vec((10.0..30.0f64, 0.2..4.0f64, 0.1..9.0f64), 1..8), share in 0.1..1.0f64,
    ) {
        let inflows: Vec<Inflow> = wets.into_iter().map(|(c, h, a)| inflow(c, h, a)).collect();
        // Gaps don't matter here: one stretch.
        let stretch = &separate(&inflows, &[100.0], 50.0)[0];
        let width_m = width_carrying(share, stretch, &inflows, 100.0);
        // Amount entered up to a chainage, straight from the inflows.
        let entered = |m: f64| -> f64 {
            inflows.iter().map(|i| {
                let part = (m - i.chainage_m + i.half_width_m) / (2.0 * i.half_width_m);
                part.clamp(0.0, 1.0) * i.amount
            }).sum()
        };
        let wanted = share * entered(100.0);
        let step_m = 0.01;
        let mut best_m = f64::INFINITY;
        let mut to = 0_u32;
        for from in 0..4000_u32 {
            let start = entered(f64::from(from) * step_m);
            while to < 4000 && entered(f64::from(to) * step_m) - start < wanted - 1e-9 { to += 1; }
            if entered(f64::from(to) * step_m) - start < wanted - 1e-9 { break; }
            best_m = best_m.min(f64::from(to - from) * step_m);
        }
        prop_assert!(width_m <= best_m + 1e-5, "found {width_m}, raster {best_m}");
        prop_assert!(width_m >= best_m - 2.0 * step_m - 1e-5, "found {width_m}, raster {best_m}");
    }
}
