//! What holds of the sizes of any drain.

use super::super::super::catalogue::PipeSize;
use super::super::super::trench::PipeCount;
use super::*;
use crate::formula::circular_pipe::full_flow;
use crate::units::Velocity;
use proptest::prelude::*;

fn limits() -> VelocityLimits {
    VelocityLimits { least: Velocity::from_ft_per_s(1.4), most: Velocity::from_ft_per_s(7.0) }
}

/// Reaches of these grades, the last of them the lead, the flow growing to the whole.
fn reaches_of(grades: &[f64], l_per_s: f64) -> Vec<Reach> {
    let count = grades.len();
    let mut at_m = 0.0;
    grades
        .iter()
        .enumerate()
        .map(|(i, &grade)| {
            let from_m = at_m;
            at_m += 10.0;
            #[expect(clippy::cast_precision_loss, reason = "a few reaches")]
            let share = ((i + 1) as f64 / (count - 1) as f64).min(1.0);
            Reach {
                place: if i + 1 == count { ReachPlace::Lead } else { ReachPlace::Line },
                from_m,
                to_m: at_m,
                from_invert_m: 0.0,
                to_invert_m: 0.0,
                grade: Grade::new(grade).unwrap(),
                flow: Flow::from_l_per_s(l_per_s * share),
                least_inside: Length::ZERO,
                least_size: Length::ZERO,
            }
        })
        .collect()
}

/// Any pipe with holes lets all in.
fn holed(l_per_s: f64) -> LetIn<'static> {
    let along = &|_, pipe: &PipeSize| (pipe.inlet_cm2_per_m > 0.0).then_some(Lets::All);
    LetIn { along, ..LetIn::solid(Flow::from_l_per_s(l_per_s), &[]) }
}

fn sized(grades: &[f64], l_per_s: f64, line: LinePipe) -> Vec<SizedReach> {
    let (reaches, all) = (reaches_of(grades, l_per_s), Catalogue::ordinary().unwrap());
    size(&reaches, &all, &limits(), line, &holed(l_per_s)).unwrap().reaches
}

fn capacity(pipe: &PipeSize, sized: &SizedReach) -> Flow {
    let n = if sized.reach.place == ReachPlace::Lead { pipe.solid_n } else { pipe.manning_n };
    full_flow(pipe.inside(), n, sized.reach.grade) * f64::from(sized.pipes.count())
}

fn serves(chain: &[SizedReach]) -> bool {
    chain.iter().all(|sized| sized.verdict == ReachVerdict::Carries)
}

proptest! {
    #[test]
    fn every_reach_carries_its_flow_or_says_no(
        grades in proptest::collection::vec(0.002..0.2f64, 2..6), l_per_s in 0.1..400.0f64, two: bool,
    ) {
        let line = LinePipe::Perforated(if two { PipeCount::Two } else { PipeCount::One });
        for sized in sized(&grades, l_per_s, line) {
            let carries = sized.capacity >= sized.reach.flow;
            prop_assert_eq!(carries, sized.verdict != ReachVerdict::TooSmall);
            prop_assert!((sized.capacity / capacity(&sized.pipe, &sized) - 1.0).abs() < 1e-12);
            if sized.verdict == ReachVerdict::Carries {
                prop_assert!(sized.full_velocity >= limits().least && sized.velocity <= limits().most);
            }
        }
    }

    #[test]
    fn pipes_never_get_smaller_downstream_and_none_smaller_would_do(
        grades in proptest::collection::vec(0.002..0.2f64, 2..6), l_per_s in 0.1..400.0f64, which in 0..3_usize,
    ) {
        let line = [LinePipe::Perforated(PipeCount::One), LinePipe::Perforated(PipeCount::Two), LinePipe::Solid][which];
        let chain = sized(&grades, l_per_s, line);
        for pair in chain.windows(2) {
            prop_assert!(pair[1].pipe.inside_mm >= pair[0].pipe.inside_mm);
        }
        let mut above_mm = 0.0;
        for sized in &chain {
            let catalogue = Catalogue::ordinary().unwrap();
            let smaller = catalogue.pipes().iter().filter(|pipe| {
                pipe.wall == sized.pipe.wall && pipe.inside_mm < sized.pipe.inside_mm && pipe.inside_mm >= above_mm
            });
            if sized.verdict == ReachVerdict::Carries {
                for pipe in smaller {
                    // It is full before, or too slow or too fast in itself.
                    let alone = size(
                        &[sized.reach],
                        &Catalogue::new(vec![pipe.clone()]).unwrap(),
                        &limits(),
                        line,
                        &holed(l_per_s),
                    ).unwrap().reaches;
                    prop_assert!(alone[0].verdict != ReachVerdict::Carries, "{}", pipe.key());
                }
            }
            above_mm = sized.pipe.inside_mm;
        }
    }

    #[test]
    fn more_flow_never_takes_a_smaller_outlet(
        grades in proptest::collection::vec(0.002..0.05f64, 2..6), l_per_s in 0.1..200.0f64, more in 1.0..3.0f64,
    ) {
        for line in [LinePipe::Perforated(PipeCount::One), LinePipe::Perforated(PipeCount::Two), LinePipe::Solid] {
            let (less, more) = (sized(&grades, l_per_s, line), sized(&grades, l_per_s * more, line));
            if serves(&less) && serves(&more) {
                let last = |chain: &[SizedReach]| chain.last().unwrap().pipe.nominal_mm;
                prop_assert!(last(&more) >= last(&less));
            }
            // What doesn't serve doesn't with more.
            prop_assert!(serves(&less) || !serves(&more));
            if serves(&less) && serves(&more) && less[0].pipe.wall == more[0].pipe.wall {
                for (a, b) in less.iter().zip(&more) {
                    prop_assert!(b.pipe.inside_mm >= a.pipe.inside_mm);
                }
            }
        }
    }

    #[test]
    fn more_flow_never_gives_any_arrangement_a_smaller_pipe_or_swale(
        l_per_s in 0.05..120.0f64, more in 1.0..4.0f64, fall in 0.005..0.06f64,
    ) {
        let way = way_down(fall);
        prop_assume!(way.profile().is_some());
        let catalogue = Catalogue::ordinary().unwrap();
        let (less, more) = (options(&way, l_per_s, "bare-stone", &catalogue), options(&way, l_per_s * more, "bare-stone", &catalogue));
        for arrangement in Arrangement::ALL {
            let (a, b) = (of(&less, arrangement), of(&more, arrangement));
            prop_assert_eq!(a.reaches.len(), b.reaches.len());
            let fails = |option: &DrainOption, verdict| option.reaches.iter().any(|sized| sized.verdict == verdict);
            // More flow never turns too small into large enough.
            prop_assert!(!fails(a, ReachVerdict::TooSmall) || fails(b, ReachVerdict::TooSmall), "{:?}", arrangement);
            let serve = serves(&a.reaches) && serves(&b.reaches);
            for (x, y) in a.reaches.iter().zip(&b.reaches).filter(|_| serve) {
                // Of another kind of wall by its nominal size: a smooth pipe carries more than a corrugated one of its size.
                let (x_mm, y_mm) = if x.pipe.wall == y.pipe.wall {
                    (x.pipe.inside_mm, y.pipe.inside_mm)
                } else {
                    (x.pipe.nominal_mm, y.pipe.nominal_mm)
                };
                // Along the part a smooth pipe after a corrugated one may be called less, and only that.
                let is_smoother = (x.pipe.wall, y.pipe.wall) == (PipeWall::Corrugated, PipeWall::Smooth);
                let is_excused = is_smoother && y.reach.place == ReachPlace::Line;
                prop_assert!(y_mm >= x_mm || is_excused, "{:?}: {} after {}", arrangement, y_mm, x_mm);
            }
            // A larger pipe lies in a wider trench, whose top may take more off the swale than came to it.
            let as_wide = a.line().map(|sized| sized.pipe.key()).eq(b.line().map(|sized| sized.pipe.key()));
            if let (Some(x), Some(y), true) = (&a.swale, &b.swale, as_wide) {
                let depth = |swale: &SwaleWay| swale.sizing.water().depth.as_m();
                prop_assert!(depth(y) >= depth(x) * (1.0 - 1e-9));
                prop_assert!(y.bed.shaped() >= x.bed.shaped());
            }
            prop_assert!(b.end_grates >= a.end_grates);
        }
    }

    #[test]
    fn shares_stay_shares_whatever_the_flow(l_per_s in 0.01..300.0f64, fall in 0.001..0.15f64) {
        let way = way_down(fall);
        prop_assume!(way.profile().is_some());
        for option in options(&way, l_per_s, "bare-stone", &Catalogue::ordinary().unwrap()) {
            prop_assert!((0.0..=1.0).contains(&option.share()));
            let [least, most] = option.taken_shares;
            prop_assert!((0.0..=1.0 + 1e-12).contains(&least) && least <= most + 1e-12);
            if option.carries() {
                prop_assert!(option.capacity() >= option.flow * (1.0 - 1e-9));
                prop_assert!(option.reaches.iter().all(|sized| sized.capacity >= sized.reach.flow));
            }
        }
    }
}
