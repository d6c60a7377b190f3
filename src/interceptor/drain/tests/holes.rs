//! Holes decide: by hand on the plane of 2 %, and what holds of any catalogue and flow.
//!
//! 3 L/s that enter evenly over 32 m: 0.09375 L/s a metre. Three inches carry 4.221 L/s, four 8.127
//! (`by_hand.rs`). Bare stone takes 1000 mm/h: a trench 0.0826 + 0.3 = 0.3826 m wide 0.10628 L/s a metre,
//! so that the top of no trench limits. The invert lies 0.4016 m below the ground, the top of the three
//! inches (79 + 82.6) / 2 = 80.8 mm above it, that of the four 104.05 mm: 0.3208 and 0.29755 m of stone
//! over them, and (2 x 9.80665 x h)^(1/2) is 2.50840 and 2.41577 m/s. Half of 1 cm2/m open: 0.6 x 0.5e-4
//! times that, 0.075252 and 0.072473 L/s a metre.

use super::super::super::catalogue::{PipeSize, PipeWall};
use super::*;
use crate::units::ManningN;
use approx::assert_relative_eq;
use proptest::prelude::*;

const THREE: f64 = 0.075_252;
const FOUR: f64 = 0.072_473;
const ARRIVES: f64 = 0.093_75;

/// Our pipes of these keys with other holes, in cm2/m.
fn pipes(holes: &[(&str, f64)]) -> Vec<PipeSize> {
    let all = Catalogue::ordinary().unwrap();
    let with = |&(key, inlet_cm2_per_m): &(&str, f64)| PipeSize {
        inlet_cm2_per_m,
        ..all.pipe(key).unwrap().clone()
    };
    holes.iter().map(with).collect()
}

fn laid(holes: &[(&str, f64)], arrangement: Arrangement) -> DrainOption {
    let catalogue = Catalogue::new(pipes(holes)).unwrap();
    of(&options(&way_down(0.02), 3.0, "bare-stone", &catalogue), arrangement).clone()
}

fn along(option: &DrainOption) -> Vec<String> {
    option.line().map(|sized| sized.pipe.key()).collect()
}

// 0.8 cm2/m: 0.8 x 0.075252 = 0.060202 L/s a metre, 0.64215 of what comes.
#[test]
fn a_pipe_that_carries_the_flow_and_does_not_let_it_in_is_too_small() {
    let few = ("75-smooth", 0.8);
    let alone = laid(&[few], Arrangement::OnePipe);
    assert_relative_eq!(alone.share(), 0.8 * THREE / ARRIVES, epsilon = 1e-4);
    assert_eq!(alone.held_by(), Some(Held::Holes));
    let both = laid(&[few, ("100-smooth", 19.95)], Arrangement::OnePipe);
    assert_eq!(along(&both), ["100-smooth"]);
    assert!(both.carries() && both.held_by().is_none());
    // With holes enough the three inches are the smallest that passes.
    let enough = laid(&[("75-smooth", 19.95), ("100-smooth", 19.95)], Arrangement::OnePipe);
    assert_eq!(along(&enough), ["75-smooth"]);
    // Two of them have twice the holes: 0.1204 L/s a metre.
    let two = laid(&[few, ("100-smooth", 19.95)], Arrangement::TwoPipes);
    assert_eq!(along(&two), ["75-smooth"]);
    assert!(two.carries());
    // A swale over one takes what doesn't get in.
    let over = laid(&[few, ("100-smooth", 19.95)], Arrangement::SwaleOverDrain);
    assert_eq!(along(&over), ["75-smooth"]);
    assert!(over.share() >= 1.0 - 1e-9);
}

#[test]
fn where_no_holes_let_all_in_the_pipe_is_taken_that_keeps_most() {
    let larger = laid(&[("75-smooth", 0.8), ("100-smooth", 1.0)], Arrangement::OnePipe);
    assert_eq!(along(&larger), ["100-smooth"]);
    assert_relative_eq!(larger.share(), FOUR / ARRIVES, epsilon = 1e-4);
    let smaller = laid(&[("75-smooth", 0.8), ("100-smooth", 0.5)], Arrangement::OnePipe);
    assert_eq!(along(&smaller), ["75-smooth"]);
    assert_relative_eq!(smaller.share(), 0.8 * THREE / ARRIVES, epsilon = 1e-4);
    // Of another wall, too.
    let other = laid(&[("75-smooth", 0.8), ("100-corrugated", 1.2)], Arrangement::OnePipe);
    assert_eq!(along(&other), ["100-corrugated"]);
}

// 4 in with n 0.03: 1.01434 x 0.012 / 0.03 = 0.40574 m/s just full, below the 1.4 ft/s (0.42672 m/s), and
// 8.127 x 0.4 = 3.25 L/s, which is enough. It lets all in; the three inches keep their velocities, and 0.64
// of the water.
#[test]
fn water_that_runs_too_slowly_is_said_and_costs_nothing_of_what_is_kept() {
    let mut slow = pipes(&[("75-smooth", 0.8), ("100-smooth", 19.95)]);
    slow[1].manning_n = ManningN::new(0.03).unwrap();
    let all = options(&way_down(0.02), 3.0, "bare-stone", &Catalogue::new(slow).unwrap());
    let one = of(&all, Arrangement::OnePipe);
    assert_eq!(along(one), ["100-smooth"]);
    assert_eq!(one.reaches[0].verdict, ReachVerdict::TooSlow);
    assert_relative_eq!(one.share(), 1.0);
    assert!(!one.carries());
}

// 6 L/s: 0.1875 a metre, of which the 0.10628 of the narrowest trench get in. The four inches, which the
// flow asks for, have a trench of 0.4071 m: 0.11308. The six inches would have one of 0.4594 m; nobody lays
// them for that.
#[test]
fn no_pipe_is_larger_for_its_trench_being_wider() {
    let catalogue =
        Catalogue::new(pipes(&[("75-smooth", 19.95), ("100-smooth", 19.95), ("150-smooth", 19.95)]));
    let all = options(&way_down(0.02), 6.0, "bare-stone", &catalogue.unwrap());
    let one = of(&all, Arrangement::OnePipe);
    assert_eq!(along(one), ["100-smooth"]);
    assert_relative_eq!(one.share(), 0.113_08 / 0.1875, epsilon = 1e-4);
    assert_eq!(one.held_by(), Some(Held::Top));
}

// 6 L/s: four inches with a smooth wall have a trench of 0.4071 m, which takes 0.11308 of the 0.1875 L/s of a metre; with a corrugated one
// of 121 mm outside it is 0.421 m wide and takes 0.11694. That carries 8.127 x 12 / 16 x (102 / 101)^(8/3) = 6.257 along the line, and
// 8.866 x 11 / 15 x the same = 6.675 on the lead. Of the narrowest trench both take as much. At 7 L/s only six inches of it would
// carry all, and nobody lays those for their wider trench.
#[test]
fn of_two_walls_called_the_same_the_one_that_lets_more_in_is_laid() {
    let all = Catalogue::ordinary().unwrap();
    let ribbed = |key: &str, inside_mm: f64, outside_mm: f64| PipeSize {
        inside_mm,
        outside_mm,
        inlet_cm2_per_m: 19.95,
        manning_n: ManningN::new(0.016).unwrap(),
        solid_n: ManningN::new(0.015).unwrap(),
        ..all.pipe(key).unwrap().clone()
    };
    let mut catalogue = pipes(&[("100-smooth", 19.95)]);
    catalogue.push(ribbed("100-corrugated", 102.0, 121.0));
    catalogue.push(ribbed("150-corrugated", 152.0, 176.0));
    let catalogue = Catalogue::new(catalogue).unwrap();
    let found = options(&way_down(0.02), 6.0, "bare-stone", &catalogue);
    let one = of(&found, Arrangement::OnePipe);
    assert_eq!(along(one), ["100-corrugated"]);
    assert_relative_eq!(one.share(), 0.421 / 3.6 / 0.1875, epsilon = 1e-4);
    let more = options(&way_down(0.02), 7.0, "bare-stone", &catalogue);
    assert_eq!(along(of(&more, Arrangement::OnePipe)), ["100-smooth"]);
}

const WITH_HOLES: [Arrangement; 3] =
    [Arrangement::OnePipe, Arrangement::TwoPipes, Arrangement::SwaleOverDrain];

/// Pipes of any roughness and holes, no two alike in size and wall.
pub(super) fn any_pipes() -> impl Strategy<Value = Vec<PipeSize>> {
    let pipe = (0..9_usize, any::<bool>(), 0.01..0.025f64, 0.0..12.0f64, 1.04..1.2f64);
    proptest::collection::vec(pipe, 2..8).prop_map(|all| {
        let mut found: Vec<PipeSize> = Vec::new();
        let some = Catalogue::ordinary().unwrap().pipes()[0].clone();
        for (size, corrugated, n, holes, thick) in all {
            let nominal_mm = [60.0, 75.0, 90.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0][size];
            let pipe = PipeSize {
                nominal_mm,
                nominal_in: nominal_mm / 25.0,
                inside_mm: nominal_mm,
                outside_mm: nominal_mm * thick,
                wall: if corrugated { PipeWall::Corrugated } else { PipeWall::Smooth },
                manning_n: ManningN::new(n).unwrap(),
                solid_n: ManningN::new(0.9 * n).unwrap(),
                inlet_cm2_per_m: if holes < 1.0 { 0.0 } else { 0.1 * holes * holes },
                ..some.clone()
            };
            if found.iter().all(|other| other.key() != pipe.key()) {
                found.push(pipe);
            }
        }
        found
    })
}

/// Water that comes in unevenly, piece by piece.
fn any_growth() -> impl Strategy<Value = Growth> {
    proptest::collection::vec(0.0..1.0f64, 1..9).prop_map(|pieces| {
        let all: f64 = pieces.iter().map(|piece| piece + 0.01).sum();
        let length_m = 32.0 / f64::from(u32::try_from(pieces.len()).unwrap());
        let mut places = vec![(0.0, 0.0)];
        for piece in &pieces {
            let (m, share) = places[places.len() - 1];
            places.push((m + length_m, (share + (piece + 0.01) / all).min(1.0)));
        }
        places.last_mut().unwrap().1 = 1.0;
        Growth::new(places).unwrap()
    })
}

/// Materials with tops that take so much, mm/h.
fn tops(mm_h: f64) -> Materials {
    let top = |name: &str| {
        format!(
            "[top.{name}]\ndescription = \"any\"\nintake_mm_h = [{mm_h:?}, {:?}]\nsource = \"by hand\"\n",
            1.5 * mm_h
        )
    };
    Materials::built_in().with_user(&(top("bare-stone") + &top("thin-sod")), "by hand").unwrap()
}

/// A part, its pipes and its surface.
struct Case<'a> {
    way: &'a OutletWay,
    growth: &'a Growth,
    finish: &'a str,
    mm_h: f64,
    end: End,
}

impl Case<'_> {
    fn options(&self, l_per_s: f64, pipes: &[PipeSize]) -> Vec<DrainOption> {
        let catalogue = Catalogue::new(pipes.to_vec()).unwrap();
        let part = DrainPart {
            flow: Flow::from_l_per_s(l_per_s),
            growth: self.growth,
            way: self.way,
            profile: self.way.profile().unwrap(),
            joined: &[],
            end: &self.end,
            least_inside: Length::ZERO,
        };
        options_of(&part, (self.finish, &catalogue), &tops(self.mm_h))
    }
}

/// Takes all that comes.
const ANY_RAIN: f64 = 1e6;

/// Whether pipes lie alike: below a swale's bed, which goes with the water, another grade may be laid.
fn lie_alike(a: &DrainOption, b: &DrainOption) -> bool {
    let grades = |option: &DrainOption| -> Vec<f64> {
        option.reaches.iter().map(|sized| sized.reach.grade.get()).collect()
    };
    let (a, b) = (grades(a), grades(b));
    a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| (a - b).abs() <= 1e-9)
}

fn named(all: &[DrainOption], arrangement: Arrangement) -> Option<&DrainOption> {
    all.iter().find(|option| option.arrangement == arrangement)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_pipe_more_in_the_catalogue_never_lowers_what_is_kept(
        pipes in any_pipes(), more in any_pipes(), growth in any_growth(), l_per_s in 0.05..60.0f64,
        fall in 0.01..0.05f64, wrapped: bool,
    ) {
        let way = way_down(fall);
        prop_assume!(way.profile().is_some());
        let finish = if wrapped { "irrigated-lawn" } else { "bare-stone" };
        let case = Case { way: &way, growth: &growth, finish, mm_h: ANY_RAIN, end: End::Structure };
        let mut both = pipes.clone();
        both.extend(more.into_iter().filter(|pipe| pipes.iter().all(|other| other.key() != pipe.key())));
        let (fewer, all) = (case.options(l_per_s, &pipes), case.options(l_per_s, &both));
        for arrangement in WITH_HOLES {
            let Some(before) = named(&fewer, arrangement) else { continue };
            let after = named(&all, arrangement).expect("a larger catalogue has it, too");
            if lie_alike(before, after) {
                prop_assert!(after.share() >= before.share() - 1e-6, "{arrangement:?}: {} after {}", after.share(), before.share());
            }
        }
    }

    #[test]
    fn under_any_top_it_is_lowered_to_what_the_narrowest_trench_takes_at_the_most(
        pipes in any_pipes(), more in any_pipes(), growth in any_growth(), l_per_s in 0.05..60.0f64, mm_h in 50.0..20_000.0f64,
    ) {
        let way = way_down(0.02);
        let case = Case { way: &way, growth: &growth, finish: "bare-stone", mm_h, end: End::Structure };
        let mut both = pipes.clone();
        both.extend(more.into_iter().filter(|pipe| pipes.iter().all(|other| other.key() != pipe.key())));
        let (fewer, all) = (case.options(l_per_s, &pipes), case.options(l_per_s, &both));
        for (arrangement, count) in [(Arrangement::OnePipe, 1.0), (Arrangement::TwoPipes, 2.0)] {
            let Some(before) = named(&fewer, arrangement) else { continue };
            let after = named(&all, arrangement).unwrap();
            // 0.15 m on either side, 0.075 m between two.
            let holed = both.iter().filter(|pipe| pipe.inlet_cm2_per_m > 0.0);
            let width_m = |pipe: &PipeSize| count * 0.001 * pipe.outside_mm + 0.3 + 0.075 * (count - 1.0);
            let narrowest_m = holed.map(width_m).fold(f64::INFINITY, f64::min);
            let l_s_m = narrowest_m * mm_h / 3600.0;
            let top = growth.entering().map(|piece| piece.share.min(l_s_m * (piece.to_m - piece.from_m) / l_per_s)).sum::<f64>();
            prop_assert!(after.share() >= before.share().min(top) - 1e-6, "{arrangement:?}: {} after {}, {top}", after.share(), before.share());
        }
    }

    #[test]
    fn more_flow_never_has_less_of_it_kept(
        pipes in any_pipes(), growth in any_growth(), l_per_s in 0.05..60.0f64, more in 1.0..4.0f64,
        fall in 0.01..0.05f64, wrapped: bool,
    ) {
        let way = way_down(fall);
        prop_assume!(way.profile().is_some());
        let finish = if wrapped { "irrigated-lawn" } else { "bare-stone" };
        let case = Case { way: &way, growth: &growth, finish, mm_h: ANY_RAIN, end: End::Structure };
        let (less, more_of_it) = (case.options(l_per_s, &pipes), case.options(l_per_s * more, &pipes));
        for arrangement in WITH_HOLES {
            let (Some(a), Some(b)) = (named(&less, arrangement), named(&more_of_it, arrangement)) else { continue };
            if !lie_alike(a, b) {
                continue;
            }
            let kept = [a.share() * l_per_s, b.share() * l_per_s * more];
            prop_assert!(kept[1] >= kept[0] * (1.0 - 1e-6), "{arrangement:?}: {kept:?}");
        }
    }

    // All of one roughness, so that the larger carries more; fabric all round, so that no velocity decides.
    // Under a swale of drains whose pipes carry what comes to them: else the lead may be what holds it back, or the swale
    // takes what a full pipe turns away, and a smaller pipe along the part is as good as another.
    #[test]
    fn more_flow_never_has_a_smaller_pipe_whatever_the_holes(
        pipes in any_pipes(), growth in any_growth(), l_per_s in 0.05..60.0f64, more in 1.0..4.0f64, mm_h in 20.0..20_000.0f64,
    ) {
        let mut of_one_kind: Vec<PipeSize> = Vec::new();
        for pipe in pipes {
            let (manning_n, solid_n) = (ManningN::new(0.012).unwrap(), ManningN::new(0.011).unwrap());
            let pipe = PipeSize {
                wall: PipeWall::Smooth, manning_n, solid_n, outside_mm: 1.06 * pipe.inside_mm, ..pipe
            };
            if of_one_kind.iter().all(|other| other.key() != pipe.key()) {
                of_one_kind.push(pipe);
            }
        }
        let way = way_down(0.02);
        let case = Case { way: &way, growth: &growth, finish: "irrigated-lawn", mm_h, end: End::Structure };
        let (less, more_of_it) = (case.options(l_per_s, &of_one_kind), case.options(l_per_s * more, &of_one_kind));
        for arrangement in WITH_HOLES {
            let (Some(a), Some(b)) = (named(&less, arrangement), named(&more_of_it, arrangement)) else { continue };
            let carry = [a, b].into_iter().all(|option| option.carried_share() >= 1.0);
            if arrangement == Arrangement::SwaleOverDrain && !carry {
                continue;
            }
            for (x, y) in a.reaches.iter().zip(&b.reaches) {
                prop_assert!(y.pipe.inside_mm >= x.pipe.inside_mm, "{arrangement:?}: {} after {}", y.pipe.key(), x.pipe.key());
            }
        }
    }
}
