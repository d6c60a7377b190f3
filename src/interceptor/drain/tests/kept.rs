//! What is kept place by place, on the plane of 2 % with the numbers of `by_hand.rs`.

use super::holes::any_pipes;
use super::*;
use crate::interceptor::trench::PipeCount;
use crate::units::{ManningN, Velocity};
use approx::assert_relative_eq;
use proptest::prelude::*;

/// One pipe in bare stone that takes all that comes, of a catalogue of three inches alone; with what joins.
fn three_inches(growth: &Growth, l_per_s: f64, mm_h: f64, joined: &[Joined]) -> DrainOption {
    let all = Catalogue::ordinary().unwrap();
    let pipe = PipeSize { inlet_cm2_per_m: 900.0, ..all.pipe("75-smooth").unwrap().clone() };
    let stone = format!(
        "[top.bare-stone]\ndescription = \"any\"\nintake_mm_h = [{mm_h:?}, {mm_h:?}]\nsource = \"by hand\"\n"
    );
    let materials = Materials::built_in().with_user(&stone, "by hand").unwrap();
    let way = way_down(0.02);
    let part = DrainPart {
        flow: Flow::from_l_per_s(l_per_s),
        growth,
        way: &way,
        profile: way.profile().unwrap(),
        joined,
        end: &End::Structure,
        least_inside: Length::ZERO,
    };
    of(
        &options_of(&part, ("bare-stone", &Catalogue::new(vec![pipe]).unwrap()), &materials),
        Arrangement::OnePipe,
    )
    .clone()
}

fn even() -> Growth {
    Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap()
}

// Three inches carry 4.221 L/s of 8 that enter evenly: all of the first 4.221 / 8 x 32 = 16.884 m, and nothing of the rest.
#[test]
fn water_from_above_has_the_room_in_a_full_pipe_first() {
    let kept = three_inches(&even(), 8.0, 1e6, &[]).kept(&even(), 0);
    assert_relative_eq!(kept.share(), 4.221 / 8.0, epsilon = 2e-4);
    assert_relative_eq!(kept.share_between(0.0, 16.87), 1.0, epsilon = 1e-9);
    assert_relative_eq!(kept.share_between(16.90, 32.0), 0.0, epsilon = 1e-9);
    // A pipe farther on that carries a quarter: all of the first 8 m. Made to be half in all: what is lost is
    // by 0.5 / 0.75 less everywhere.
    let held = kept.held_to(0.25);
    assert_relative_eq!(held.share_between(0.0, 8.0), 1.0, epsilon = 1e-9);
    assert_relative_eq!(held.share_between(8.0, 32.0), 0.0, epsilon = 1e-9);
    let half = held.with_share(0.5);
    assert_relative_eq!(half.share(), 0.5, epsilon = 1e-9);
    assert_relative_eq!(half.share_between(0.0, 8.0), 1.0, epsilon = 1e-9);
    assert_relative_eq!(half.share_between(8.0, 32.0), 1.0 / 3.0, epsilon = 1e-9);
}

// The half of 4 L/s enters over the metre from 15 m on, the rest evenly over the other 31 m: 2 / 31 = 0.0645 L/s a metre. A trench of
// 0.0826 + 0.3 m takes 1000 mm/h: 0.10628 L/s a metre. So the sheet is kept whole, and of the metre 0.10628 of 2 L/s.
#[test]
fn what_comes_concentrated_is_lost_where_it_comes() {
    let sheet = 0.5 / 31.0;
    let growth =
        Growth::new(vec![(0.0, 0.0), (15.0, 15.0 * sheet), (16.0, 15.0 * sheet + 0.5), (32.0, 1.0)]).unwrap();
    let kept = three_inches(&growth, 4.0, 1000.0, &[]).kept(&growth, 0);
    assert_relative_eq!(kept.share_between(0.0, 15.0), 1.0, epsilon = 1e-9);
    assert_relative_eq!(kept.share_between(15.0, 16.0), 0.106_28 / 2.0, epsilon = 1e-4);
    assert_relative_eq!(kept.share_between(16.0, 32.0), 1.0, epsilon = 1e-9);
    assert_relative_eq!(kept.share(), 0.5 + 0.106_28 / 4.0, epsilon = 1e-4);
}

// 4.221 L/s of another part come in at 16 m to 8 of its own, in a pipe that carries 4.221: each has room by what it brings at the lower end,
// 4.221 x 8 / 12.221 = 2.763 L/s of the part's own: 0.3454 of it, and of the lead 4.605 x 8 / 12.221 = 3.014.
#[test]
fn what_joins_has_room_by_what_it_brings() {
    let joined = [Joined { station_m: 16.0, flow: Flow::from_l_per_s(4.221), size: Length::ZERO }];
    let option = three_inches(&even(), 8.0, 1e6, &joined);
    assert_relative_eq!(option.share(), 4.221 / 12.221, epsilon = 2e-4);
    assert_relative_eq!(option.passes(&even(), 20.0).unwrap(), 4.221 / 12.221, epsilon = 2e-4);
}

// 10 L/s that come evenly to two reaches at 0.25 % and 11 %. Smooth pipe of 75 mm with n 0.01 carries, full, 100 x 0.004418 x
// 0.01875^(2/3) x root of the grade = 31.18 L/s x root: 1.559 of the 5 that come to the upper one, and 10.34 at the lower one. With
// holes for all it keeps 1.559 + 5 = 6.559 L/s. One of 100 mm carries (4/3)^(8/3) as much, 3.358 above, but its holes let in 2 L/s a
// reach: 4 in all. It carries the greater part of what comes to the upper reach, 0.67 to 0.31, and keeps less.
#[test]
fn a_pipe_that_carries_more_and_lets_in_less_is_not_taken_where_it_keeps_less() {
    let reach = |from_m: f64, grade: f64, l_per_s: f64| Reach {
        place: ReachPlace::Line,
        from_m,
        to_m: from_m + 10.0,
        from_invert_m: 0.0,
        to_invert_m: 0.0,
        grade: Grade::new(grade).unwrap(),
        flow: Flow::from_l_per_s(l_per_s),
        least_inside: Length::ZERO,
        least_size: Length::ZERO,
    };
    let some = Catalogue::ordinary().unwrap().pipe("75-smooth").unwrap().clone();
    let pipe = |mm: f64| PipeSize {
        nominal_mm: mm,
        inside_mm: mm,
        outside_mm: mm * 1.1,
        manning_n: ManningN::new(0.01).unwrap(),
        inlet_cm2_per_m: 20.0,
        ..some.clone()
    };
    let catalogue = Catalogue::new(vec![pipe(75.0), pipe(100.0)]).unwrap();
    let limits = VelocityLimits { least: Velocity::ZERO, most: Velocity::from_m_per_s(100.0) };
    let along = |_: usize, pipe: &PipeSize| Some(Lets::share(if pipe.inside_mm < 80.0 { 0.5 } else { 0.2 }));
    let let_in = LetIn { along: &along, ..LetIn::solid(Flow::from_l_per_s(10.0), &[]) };
    let reaches = [reach(0.0, 0.0025, 5.0), reach(10.0, 0.11, 10.0)];
    let one = LinePipe::Perforated(PipeCount::One);
    let found = size(&reaches, &catalogue, &limits, one, &let_in).unwrap();
    assert!(found.reaches.iter().all(|sized| sized.pipe.inside_mm < 80.0), "{:?}", found.kept);
    assert_relative_eq!(found.kept, 0.6559, epsilon = 1e-4);
    assert_relative_eq!(found.carried, 0.3118, epsilon = 1e-4);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    // No pipe has more in it than it carries, what is kept adds up to what the design says, and nowhere more is kept than comes.
    #[test]
    fn what_is_kept_adds_up_and_has_room(
        first in 0.01..0.99f64, at in 1.0..31.0f64, l_per_s in 0.1..40.0f64, mm_h in 100.0..1e5f64, brings in 0.0..10.0f64,
    ) {
        let growth = Growth::new(vec![(0.0, 0.0), (at, first), (32.0, 1.0)]).unwrap();
        let joined = [Joined { station_m: 10.0, flow: Flow::from_l_per_s(brings), size: Length::ZERO }];
        let option = three_inches(&growth, l_per_s, mm_h, &joined);
        let kept = option.kept(&growth, 0);
        let sum: f64 = kept.pieces().iter().map(|piece| piece.kept).sum();
        prop_assert!((sum - option.share()).abs() < 1e-8);
        prop_assert!(kept.pieces().iter().all(|piece| piece.kept <= piece.comes + 1e-12 && piece.to_m > piece.from_m));
        for sized in &option.reaches {
            let above = kept.pieces().iter().filter(|piece| piece.to_m <= sized.reach.to_m + 1e-9);
            let own = above.map(|piece| piece.kept).sum::<f64>() * l_per_s;
            let others = brings * option.passes(&growth, 10.0).unwrap();
            prop_assert!(own + others <= sized.capacity.as_l_per_s() + 1e-6, "{own} and {others} in {:?}", sized.capacity);
        }
    }

    // On ground with a break, with what joins and under a top that takes all: no one pipe throughout keeps more, as
    // it is followed down the way, than what is chosen of all.
    #[test]
    fn no_pipe_of_the_catalogue_keeps_more_than_those_that_are_chosen(
        pipes in any_pipes(), falls in (0.005..0.08f64, 0.005..0.08f64), at in 6.0..34.0f64, first in 0.0..1.0f64,
        l_per_s in 0.1..60.0f64, brings in 0.0..6.0f64,
    ) {
        let level = |x: f64| 10.0 - falls.0 * x.min(at) - falls.1 * (x - at).max(0.0);
        let way = way_over(&level, OutletKind::StormInlet, level(40.0) - 1.0);
        prop_assume!(way.profile().is_some());
        let growth = Growth::new(vec![(0.0, 0.0), (16.0, first), (32.0, 1.0)]).unwrap();
        let joined = [Joined { station_m: 10.0, flow: Flow::from_l_per_s(brings), size: Length::ZERO }];
        let part = DrainPart {
            flow: Flow::from_l_per_s(l_per_s),
            growth: &growth,
            way: &way,
            profile: way.profile().unwrap(),
            joined: &joined,
            end: &End::Structure,
            least_inside: Length::ZERO,
        };
        let all_gets_in = "[top.bare-stone]\ndescription = \"any\"\nintake_mm_h = [1e7, 1e7]\nsource = \"by hand\"\n";
        let materials = Materials::built_in().with_user(all_gets_in, "by hand").unwrap();
        let keeps = |pipes: Vec<PipeSize>, arrangement: Arrangement| {
            let all = options_of(&part, ("bare-stone", &Catalogue::new(pipes).unwrap()), &materials);
            all.iter().find(|option| option.arrangement == arrangement).map(DrainOption::share)
        };
        for arrangement in [Arrangement::OnePipe, Arrangement::TwoPipes] {
            let chosen = keeps(pipes.clone(), arrangement);
            for pipe in &pipes {
                let alone = keeps(vec![pipe.clone()], arrangement);
                prop_assert!(alone.unwrap_or(0.0) <= chosen.unwrap_or(0.0) + 1e-8, "{arrangement:?}: {} alone {alone:?}, {chosen:?}", pipe.key());
            }
        }
    }
}
