//! Closed cases by hand, what must hold on any ground, and a search through everything on small ones.

use super::few_grades::with_up_to;
use super::*;
use crate::interceptor::Digging;
use crate::units::{Grade, Length};
use approx::assert_relative_eq;
use proptest::prelude::*;

fn ground(levels: &[(f64, f64)]) -> Vec<GroundPoint> {
    levels.iter().map(|&(station_m, ground_m)| GroundPoint { station_m, ground_m }).collect()
}

/// Least depth 0.5 m, 0.1 m dug below the invert, grades from 1 to 20 %.
fn limits(greatest_cut_m: f64, outfall: Outfall) -> ProfileLimits {
    let grade = |g: f64| Grade::new(g).unwrap();
    ProfileLimits::new(
        Length::from_m(0.5),
        Length::from_m(0.1),
        Length::from_m(greatest_cut_m),
        [grade(0.01), grade(0.2)],
        outfall,
    )
    .unwrap()
}

fn digging(profile: &Profile) -> Digging {
    Digging::to(Length::from_m(profile.deepest().cut_m))
}

fn laid(levels: &[(f64, f64)], limits: &ProfileLimits) -> Profile {
    lay(&ground(levels), limits).unwrap().unwrap()
}

// Ground falls 2 %: the pipe lies 0.5 m below it all along, one grade. Cut 0.6 m over 30 m: 18 m².
#[test]
fn on_an_even_slope_the_pipe_follows_the_ground() {
    let found = laid(&[(0.0, 10.0), (10.0, 9.8), (20.0, 9.6), (30.0, 9.4)], &limits(1.5, Outfall::Free));
    assert_eq!(found.grades().len(), 1);
    assert_relative_eq!(found.grades()[0].grade, 0.02, max_relative = 1e-9);
    assert_relative_eq!(found.grades()[0].from_invert_m, 9.5, max_relative = 1e-12);
    assert_relative_eq!(found.dug_m2(), 18.0, max_relative = 1e-9);
    assert_relative_eq!(found.fall_m(), 0.6, max_relative = 1e-9);
    assert_eq!(digging(&found), Digging::Shallow);
}

// Level ground at 10: invert 9.5 falls 1 % over 40 m to 9.1, 0.9 m deep; the trench is 1.0 m at its end. Area 40 x 0.8 m.
#[test]
fn on_level_ground_it_falls_at_the_least_grade() {
    let found = laid(&[(0.0, 10.0), (15.0, 10.0), (40.0, 10.0)], &limits(1.5, Outfall::At(9.0)));
    assert_eq!(found.grades().len(), 1);
    assert_relative_eq!(found.grades()[0].to_invert_m, 9.1, max_relative = 1e-12);
    assert_relative_eq!(found.deepest().cut_m, 1.0, max_relative = 1e-9);
    assert_relative_eq!(found.dug_m2(), 32.0, max_relative = 1e-9);
}

// The slope of 2 % once more, below another pipe 12 m down, which leaves 9.1 there: the place at 10 m decides, 9.1
// instead of 9.3. Without the floor of the trench a pipe from 9.5 to 9.1 at 4 % keeps that and its cover, and then
// 0.5 m below the ground at 30 m is 8.9. With a trench of 0.75 m at the most the invert lies no lower than
// 9.8 - 0.75 + 0.1 = 9.15 there, and 0.05 m are missing.
#[test]
fn a_pipe_passes_below_another() {
    let levels = [(0.0, 10.0), (10.0, 9.8), (20.0, 9.6), (30.0, 9.4)];
    let under = Some(Under { station_m: 12.0, level_m: 9.1 });
    let found = laid(&levels, &limits(1.5, Outfall::Free).passing_under(under).unwrap());
    assert!(found.invert_at(12.0) <= 9.1 + 1e-9 && found.stations()[1].invert_m <= 9.1 + 1e-9);
    assert!(found.dug_m2() > 18.0 + 1e-6);
    let shallow = limits(0.75, Outfall::Free).passing_under(under).unwrap();
    let refused = lay(&ground(&levels), &shallow).unwrap().unwrap_err();
    assert_relative_eq!(refused.shortfall_m, 0.05, max_relative = 1e-6);
    let below_all = Some(Under { station_m: 12.0, level_m: f64::NAN });
    assert!(limits(1.5, Outfall::Free).passing_under(below_all).is_err());
}

// 20 m of level ground, then a bank that falls 5 % for 20 m: 1 % and then 5 % from 9.3, or steeper from the break, digs least.
// The highest pipe: 9.5, 9.3 at the break, and below the bank's foot at 9.0 its cover at 8.5: (9.3 - 8.5) / 20 = 4 %.
#[test]
fn a_bank_makes_a_second_grade() {
    let found = laid(&[(0.0, 10.0), (20.0, 10.0), (40.0, 9.0)], &limits(1.5, Outfall::Free));
    let grades: Vec<f64> = found.grades().iter().map(|reach| reach.grade).collect();
    assert_eq!(grades.len(), 2, "{grades:?}");
    assert_relative_eq!(grades[0], 0.01, max_relative = 1e-6);
    assert_relative_eq!(grades[1], 0.04, max_relative = 1e-6);
}

// A step down of 3 m within 10 m is steeper than 20 %: the pipe lies deeper above it, 2 m at most above its lower end.
#[test]
fn a_step_keeps_the_greatest_grade() {
    let found = laid(&[(0.0, 13.0), (10.0, 13.0), (20.0, 10.0)], &limits(3.0, Outfall::Free));
    let stations = found.stations();
    assert_relative_eq!(stations[2].invert_m, 9.5, max_relative = 1e-9);
    assert!(stations[1].invert_m <= 11.5 + 1e-9);
    assert_eq!(digging(&found), Digging::Protected);
}

// The ground rises 0.5 m towards an outlet 30 m off. From 9.5 the pipe falls 1 % to 9.2, 1.3 m below the ground at 10.5: a cut
// of 1.4 m. With 1.2 m it doesn't fit, by 0.2 m.
#[test]
fn ground_that_rises_to_the_outlet_may_be_too_deep() {
    let rising = [(0.0, 10.0), (30.0, 10.5)];
    let found = laid(&rising, &limits(1.4 + 1e-12, Outfall::Free));
    assert_relative_eq!(found.deepest().cut_m, 1.4, max_relative = 1e-9);
    assert_eq!(digging(&found), Digging::Deep);
    let refused = lay(&ground(&rising), &limits(1.2, Outfall::Free)).unwrap().unwrap_err();
    assert_relative_eq!(refused.shortfall_m, 0.2, max_relative = 1e-9);
    assert_relative_eq!(refused.cover_at_m, 0.0);
    assert_eq!(refused.lower, Lower::Depth { station_m: 30.0 });
    let Remedies { least_depth_m, greatest_cut_m, outlet_invert_m, least_grade } = refused.remedies();
    assert_relative_eq!(least_depth_m.unwrap(), 0.3, max_relative = 1e-9);
    assert_relative_eq!(greatest_cut_m.unwrap(), 1.4, max_relative = 1e-9);
    // (9.5 - 9.4) m over 30 m.
    assert_relative_eq!(least_grade.unwrap(), 0.1 / 30.0, max_relative = 1e-6);
    assert_eq!(outlet_invert_m, None);
}

// An inlet at 9.4, 40 m down level ground at 10: the pipe arrives at 9.1 at the best, 0.3 m too low.
#[test]
fn an_outlet_that_is_too_high_is_told_with_what_it_would_take() {
    let level = [(0.0, 10.0), (40.0, 10.0)];
    let refused = lay(&ground(&level), &limits(1.5, Outfall::At(9.4))).unwrap().unwrap_err();
    assert_relative_eq!(refused.shortfall_m, 0.3, max_relative = 1e-9);
    assert_eq!(refused.lower, Lower::Outlet);
    assert_relative_eq!(refused.remedies().outlet_invert_m.unwrap(), 9.1, max_relative = 1e-9);
    assert_relative_eq!(refused.remedies().least_grade.unwrap(), 0.1 / 40.0, max_relative = 1e-6);
    assert_eq!(refused.remedies().greatest_cut_m, None, "digging deeper doesn't raise the pipe");
    assert_relative_eq!(refused.remedies().least_depth_m.unwrap(), 0.2, max_relative = 1e-9);
}

// Ground that falls 5 % for 20 m, from 10 to 9; 0.5 m over the pipe's invert, but in the last 10 m less and less. At 10 m the pipe lies at
// 9.5 - 0.5 = 9.0 at the most, and 1 % of 10 m lower at the end: 8.9, 0.1 m below the ground. Where the ground falls to 8.9 it comes out.
#[test]
fn a_pipe_comes_out_where_the_ground_falls_below_it() {
    let slope = [(0.0, 10.0), (10.0, 9.5), (20.0, 9.0)];
    let refused = lay(&ground(&slope), &limits(1.5, Outfall::Open(9.0))).unwrap().unwrap_err();
    assert_eq!(refused.lower, Lower::Outlet);
    assert_relative_eq!(refused.shortfall_m, 0.1, max_relative = 1e-9);
    assert_relative_eq!(refused.remedies().least_depth_m.unwrap(), 0.4, max_relative = 1e-6);
    assert_relative_eq!(refused.remedies().outlet_invert_m.unwrap(), 8.9, max_relative = 1e-9);
    let bank = [(0.0, 10.0), (10.0, 9.5), (20.0, 8.9)];
    let found = laid(&bank, &limits(1.5, Outfall::Open(8.9)));
    assert_relative_eq!(found.stations()[2].invert_m, 8.9, max_relative = 1e-9);
    assert!(found.stations()[1].invert_m <= 9.0 + 1e-9);
    assert!(!fits(&ground(&bank), &limits(1.5, Outfall::Open(8.91))).unwrap());
}

// Level ground at 10, 40 m: from 9.5 the pipe falls to 9.1. Where another comes in at 9.3 it starts there and ends at 8.9.
#[test]
fn a_pipe_starts_no_higher_than_what_comes_in() {
    let level = [(0.0, 10.0), (40.0, 10.0)];
    let receiving = limits(1.5, Outfall::At(8.5)).below_head(Some(9.3)).unwrap();
    let found = laid(&level, &receiving);
    assert_relative_eq!(found.stations()[0].invert_m, 9.3, max_relative = 1e-9);
    assert_relative_eq!(found.stations()[1].invert_m, 8.9, max_relative = 1e-9);
    assert!(!fits(&ground(&level), &limits(1.5, Outfall::At(8.95)).below_head(Some(9.3)).unwrap()).unwrap());
    assert!(limits(1.5, Outfall::Free).below_head(Some(f64::NAN)).is_err());
}

#[test]
fn places_and_limits_that_make_no_sense_are_refused() {
    let usual = limits(1.5, Outfall::Free);
    for bad in [vec![], vec![(0.0, 1.0)], vec![(0.0, 1.0), (0.0, 2.0)], vec![(0.0, f64::NAN), (1.0, 2.0)]] {
        assert!(matches!(lay(&ground(&bad), &usual), Err(LimitsError::Places { .. })), "{bad:?}");
    }
    let grade = |g: f64| Grade::new(g).unwrap();
    let one = Length::from_m(1.0);
    let made = |least, greatest, cut| {
        ProfileLimits::new(one, one, Length::from_m(cut), [grade(least), grade(greatest)], Outfall::Free)
    };
    assert!(matches!(made(0.02, 0.01, 1.0), Err(LimitsError::Grades { .. })));
    assert!(matches!(made(0.01, 0.02, f64::NAN), Err(LimitsError::Depth { what: "greatest cut", .. })));
}

/// Every pipe with its breaks at places and its levels on a grid of `step` below the highest one: the least area above it.
fn by_trying_everything(points: &[GroundPoint], limits: &ProfileLimits, grades: usize, step: f64) -> f64 {
    let bounds = Bounds::of(points, limits);
    let last = points.len() - 1;
    let levels = |place: usize| {
        let (low, high) = (bounds.lowest[place], bounds.highest[place]);
        let mut all: Vec<f64> =
            (0..1000).map(|i| high - f64::from(i) * step).take_while(|z| *z >= low).collect();
        all.push(low);
        all
    };
    let keeps = |from: (usize, f64), to: (usize, f64)| {
        let run = points[to.0].station_m - points[from.0].station_m;
        let grade = (from.1 - to.1) / run;
        let [least, greatest] = limits.grades();
        let between = (from.0..=to.0).all(|i| {
            let z = from.1 - grade * (points[i].station_m - points[from.0].station_m);
            let cover = points[i].ground_m - z >= limits.least_depth_m() - 1e-9;
            cover && points[i].ground_m - z + limits.below_m() <= limits.greatest_cut_m() + 1e-9
        });
        let outlet = match limits.outfall() {
            Outfall::At(invert) if to.0 == last => to.1 >= invert - 1e-9,
            _ => true,
        };
        between && outlet && grade >= least - 1e-12 && grade <= greatest + 1e-12
    };
    let mut best = f64::INFINITY;
    let mut open: Vec<(Vec<(usize, f64)>, f64)> =
        levels(0).into_iter().map(|z| (vec![(0, z)], 0.0)).collect();
    while let Some((line, above)) = open.pop() {
        let from = line[line.len() - 1];
        if from.0 == last {
            best = if line.len() <= grades + 1 { best.min(above) } else { best };
            continue;
        }
        if line.len() > grades {
            continue;
        }
        for next in from.0 + 1..=last {
            for z in levels(next) {
                if keeps(from, (next, z)) {
                    let part = &points[from.0..=next];
                    let run = points[next].station_m - points[from.0].station_m;
                    let at = |i: usize| from.1 + (z - from.1) * (part[i].station_m - part[0].station_m) / run;
                    let mut longer = line.clone();
                    longer.push((next, z));
                    open.push((longer, above + area_above(part, at)));
                }
            }
        }
    }
    best
}

prop_compose! {
    fn places(most: usize)(
        steps in prop::collection::vec((0.5..6.0f64, -0.5..0.4f64), 1..most)
    ) -> Vec<GroundPoint> {
        let mut at = (0.0, 100.0);
        let mut all = vec![GroundPoint { station_m: 0.0, ground_m: 100.0 }];
        for (run, rise) in steps {
            at = (at.0 + run, at.1 + rise);
            all.push(GroundPoint { station_m: at.0, ground_m: at.1 });
        }
        all
    }
}

prop_compose! {
    fn any_limits()(
        least_depth in 0.2..0.8f64, below in 0.0..0.2f64, cut in 0.9..3.0f64,
        least in 0.0..0.02f64, more in 0.02..0.4f64, outlet in prop::option::of(97.0..100.0f64),
    ) -> ProfileLimits {
        let grade = |g: f64| Grade::new(g).unwrap();
        ProfileLimits::new(
            Length::from_m(least_depth),
            Length::from_m(below),
            Length::from_m(cut),
            [grade(least.max(1e-6)), grade(least + more)],
            outlet.map_or(Outfall::Free, Outfall::At),
        )
        .unwrap()
    }
}

proptest! {
    #[test]
    fn every_limit_is_kept_and_what_does_not_fit_fits_with_each_remedy(
        points in places(60), limits in any_limits(),
    ) {
        match lay(&points, &limits).unwrap() {
            Ok(profile) => {
                let stations = profile.stations();
                prop_assert_eq!(stations.len(), points.len());
                let [least, greatest] = limits.grades();
                for pair in stations.windows(2) {
                    let grade = (pair[0].invert_m - pair[1].invert_m) / (pair[1].station_m - pair[0].station_m);
                    prop_assert!(grade >= least - 1e-6 && grade <= greatest + 1e-6, "{}", grade);
                }
                for station in stations {
                    prop_assert!(station.ground_m - station.invert_m >= limits.least_depth_m() - 1e-6);
                    prop_assert!(station.cut_m <= limits.greatest_cut_m() + 1e-6);
                }
                if let Outfall::At(invert_m) = limits.outfall() {
                    prop_assert!(stations[stations.len() - 1].invert_m >= invert_m - 1e-6);
                }
                let bounds = Bounds::of(&points, &limits);
                let highest = area_above(&points, |i| bounds.highest[i])
                    + limits.below_m() * points[points.len() - 1].station_m;
                let is_close = profile.dug_m2() <= highest * (1.0 + MORE_DIGGING) + 1e-6;
                prop_assert!(is_close || profile.grades().len() <= 8);
                prop_assert!(profile.dug_m2() >= highest * (1.0 - 1e-6));
            }
            Err(refused) => {
                let fits = |limits: &ProfileLimits| lay(&points, limits).unwrap().is_ok();
                let grade = |g: f64| Grade::new(g).unwrap();
                let [least, greatest] = limits.grades();
                let with = |depth: f64, cut: f64, least: f64, outfall| {
                    let m = Length::from_m;
                    ProfileLimits::new(m(depth), m(limits.below_m()), m(cut), [grade(least), grade(greatest)], outfall)
                        .unwrap()
                };
                let Remedies { least_depth_m, greatest_cut_m, outlet_invert_m, least_grade } = refused.remedies();
                let (depth, cut, out) = (limits.least_depth_m(), limits.greatest_cut_m(), limits.outfall());
                prop_assert!(refused.shortfall_m > 0.0);
                if let Some(less) = least_depth_m {
                    prop_assert!(fits(&with(less - 1e-6, cut, least, out)) && !fits(&with(less + 1e-6, cut, least, out)));
                }
                if let Some(more) = greatest_cut_m {
                    prop_assert!(fits(&with(depth, more + 1e-6, least, out)) && !fits(&with(depth, more - 1e-6, least, out)));
                }
                if let Some(invert) = outlet_invert_m {
                    prop_assert!(fits(&with(depth, cut, least, Outfall::At(invert - 1e-6))));
                    prop_assert!(!fits(&with(depth, cut, least, Outfall::At(invert + 1e-6))));
                }
                if let Some(flatter) = least_grade.filter(|g| *g > 1e-5) {
                    prop_assert!(fits(&with(depth, cut, flatter - 1e-6, out)));
                }
            }
        }
    }

    #[test]
    fn the_highest_pipe_can_lie_no_higher_anywhere(points in places(20), limits in any_limits()) {
        let bounds = Bounds::of(&points, &limits);
        prop_assume!(bounds.worst().1 <= 0.0);
        let [least, greatest] = limits.grades();
        let run = |i: usize| points[i + 1].station_m - points[i].station_m;
        let keeps = |z: &[f64]| {
            let grades = (0..z.len() - 1).all(|i| {
                let fall = z[i] - z[i + 1];
                fall >= least * run(i) - 1e-9 && fall <= greatest * run(i) + 1e-9
            });
            grades && z.iter().zip(&points).all(|(z, p)| *z <= p.ground_m - limits.least_depth_m() + 1e-9)
        };
        prop_assert!(keeps(&bounds.highest));
        // Whatever else changes: no pipe that keeps the limits passes above it, so raising one place needs another above.
        for place in 0..points.len() {
            let mut raised = bounds.highest.clone();
            raised[place] += 1e-6;
            prop_assert!(!keeps(&raised), "place {}", place);
        }
    }

    #[test]
    fn more_cover_never_digs_less(points in places(30), limits in any_limits(), more in 0.0..0.2f64) {
        let deeper = ProfileLimits::new(
            Length::from_m(limits.least_depth_m() + more),
            Length::from_m(limits.below_m()),
            Length::from_m(limits.greatest_cut_m()),
            limits.grades().map(|g| Grade::new(g).unwrap()),
            limits.outfall(),
        )
        .unwrap();
        let area = |limits: &ProfileLimits| {
            let bounds = Bounds::of(&points, limits);
            (bounds.worst().1 <= 0.0).then(|| area_above(&points, |i| bounds.highest[i]))
        };
        if let (Some(before), Some(after)) = (area(&limits), area(&deeper)) {
            prop_assert!(after >= before - 1e-9);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    // Everything is tried at steps of a few centimetres; the search is finer, so it may dig less, and never 2 % more.
    #[test]
    fn the_search_digs_hardly_more_than_trying_everything(
        points in places(6), limits in any_limits(), grades in 1..=2_usize,
    ) {
        let bounds = Bounds::of(&points, &limits);
        prop_assume!(bounds.worst().1 <= 0.0 && points.len() > grades);
        let rooms = bounds.highest.iter().zip(&bounds.lowest).map(|(high, low)| high - low);
        let step = rooms.fold(0.0, f64::max) / 30.0;
        let best = by_trying_everything(&points, &limits, grades, step.max(0.01));
        let found = with_up_to(grades, &points, &limits, &bounds);
        let areas = found.map(|breaks| area_above(&points, |i| Profile::of(&points, &limits, &breaks).stations()[i].invert_m));
        let found = areas.fold(f64::INFINITY, f64::min);
        prop_assert!(found <= best * 1.02 + 1e-6, "found {}, by trying everything {}", found, best);
    }
}
