//! Straight reaches between levels at places of a line, and the best chains of so many of them.

use super::bounds::Bounds;
use super::{GroundPoint, ProfileLimits};
use std::ops::{Range, RangeInclusive};

/// Room for rounding, m.
pub(super) const ROUNDING_M: f64 = 1e-9;
/// Room for rounding of a grade.
const ROUNDING: f64 = 1e-12;

/// A place where the grade may change, with the levels that are tried there, rising.
pub(super) struct Stop {
    pub(super) place: usize,
    pub(super) levels: Vec<f64>,
}

/// What a straight reach must keep to.
#[derive(Clone, Copy)]
pub(super) struct Straight<'a> {
    pub(super) ground: &'a [GroundPoint],
    pub(super) limits: &'a ProfileLimits,
    pub(super) bounds: &'a Bounds,
}

/// Levels of a stop at which straight reaches from one level further up may end.
struct Ends {
    stop: usize,
    run_m: f64,
    levels: Range<usize>,
}

impl Straight<'_> {
    /// Where straight reaches from a level of a place may end that keep the limits, at each stop from one on.
    fn ends(&self, (from, from_m): (usize, f64), stops: &[Stop], first: usize) -> Vec<Ends> {
        let [least, greatest] = self.limits.grades();
        // Falls by length that the places passed so far allow.
        let (mut flattest, mut steepest) = (least, greatest);
        let mut passed = from + 1;
        let mut found = Vec::new();
        for (stop, Stop { place, levels }) in stops.iter().enumerate().skip(first) {
            while passed <= *place {
                let run = self.run_m(from, passed);
                flattest = flattest.max((from_m - self.bounds.highest[passed] - ROUNDING_M) / run);
                steepest = steepest.min((from_m - self.bounds.lowest[passed] + ROUNDING_M) / run);
                passed += 1;
            }
            if flattest > steepest + ROUNDING {
                break;
            }
            let run_m = self.run_m(from, *place);
            // Levels rise, so that falls to them don't: those allowed lie together.
            let fall = |to_m: f64| (from_m - to_m) / run_m;
            let start = levels.partition_point(|&to_m| fall(to_m) > steepest + ROUNDING);
            let end = levels.partition_point(|&to_m| fall(to_m) >= flattest - ROUNDING);
            if start < end {
                found.push(Ends { stop, run_m, levels: start..end });
            }
        }
        found
    }

    fn run_m(&self, from: usize, to: usize) -> f64 {
        self.ground[to].station_m - self.ground[from].station_m
    }

    /// The chain with the largest area below it that has its breaks at all stops; nothing where none keeps
    /// the limits.
    pub(super) fn through(&self, stops: &[Stop]) -> Option<Vec<(usize, f64)>> {
        let mut columns = vec![Column::start(stops[0].levels.len())];
        for (from, pair) in stops.windows(2).enumerate() {
            let mut next = Column::none(pair[1].levels.len());
            for (level, before) in columns[from].reached() {
                let from_m = pair[0].levels[level];
                for ends in self.ends((pair[0].place, from_m), &stops[..from + 2], from + 1) {
                    next.offer(&pair[1].levels, &ends, (before, from_m), (from, level));
                }
            }
            columns.push(next);
        }
        let mut level = columns[stops.len() - 1].best()?;
        let mut found = Vec::new();
        for (stop, column) in stops.iter().zip(&columns).rev() {
            found.push((stop.place, stop.levels[level]));
            level = column.from[level].1;
        }
        found.reverse();
        Some(found)
    }
}

/// The best chains from the first stop on to the levels of one stop: the area below the pipe, and stop and
/// level before.
#[derive(Clone)]
struct Column {
    /// Below everything where no chain comes.
    areas: Vec<f64>,
    from: Vec<(usize, usize)>,
}

impl Column {
    fn none(levels: usize) -> Self {
        Self { areas: vec![f64::NEG_INFINITY; levels], from: vec![(0, 0); levels] }
    }

    fn start(levels: usize) -> Self {
        Self { areas: vec![0.0; levels], ..Self::none(levels) }
    }

    /// Levels to which a chain comes, with its area.
    fn reached(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let all = self.areas.iter().copied().enumerate();
        all.filter(|(_, area)| *area > f64::NEG_INFINITY)
    }

    /// Lengthens a chain to all ends that a reach may have here; of equal ones the first that was offered
    /// stays.
    fn offer(&mut self, levels: &[f64], ends: &Ends, (before, from_m): (f64, f64), from: (usize, usize)) {
        let within = ends.levels.clone();
        let here = self.areas[within.clone()].iter_mut().zip(&mut self.from[within.clone()]);
        for ((area, come), to_m) in here.zip(&levels[within]) {
            let longer = before + 0.5 * (from_m + to_m) * ends.run_m;
            if longer > *area {
                (*area, *come) = (longer, from);
            }
        }
    }

    /// The level with the largest area, of equal ones the first.
    fn best(&self) -> Option<usize> {
        self.reached().reduce(|a, b| if b.1 > a.1 { b } else { a }).map(|found| found.0)
    }
}

/// The best chains over any of the stops, by number of reaches. Each number is worked out when it is asked
/// for: chains of few reaches are found long before those of many.
pub(super) struct Chains<'a> {
    straight: Straight<'a>,
    stops: Vec<Stop>,
    /// By stop and level where reaches from there may end, once it was asked.
    ends: Vec<Vec<Option<Vec<Ends>>>>,
    /// By number of reaches and stop; of the last stop nothing.
    layers: Vec<Vec<Column>>,
}

impl<'a> Chains<'a> {
    pub(super) fn new(straight: Straight<'a>, stops: Vec<Stop>) -> Self {
        let ends = stops.iter().map(|stop| stop.levels.iter().map(|_| None).collect()).collect();
        let mut none: Vec<Column> = stops.iter().map(|stop| Column::none(stop.levels.len())).collect();
        none[0] = Column::start(stops[0].levels.len());
        Self { straight, stops, ends, layers: vec![none] }
    }

    /// The chain of so many reaches from the first stop to the last with the largest area below it; nothing
    /// where none keeps the limits.
    pub(super) fn best(&mut self, reaches: usize) -> Option<Vec<(usize, f64)>> {
        let last = self.stops.len() - 1;
        while self.layers.len() < reaches {
            let longer = self.lengthened(self.layers.len() - 1, 1..=last - 1);
            self.layers.push(longer);
        }
        let whole = self.lengthened(reaches - 1, last..=last);
        let (mut stop, mut level) = (last, whole[last].best()?);
        let mut found = vec![(self.stops[stop].place, self.stops[stop].levels[level])];
        let mut column = &whole[last];
        for shorter in self.layers[..reaches].iter().rev() {
            (stop, level) = column.from[level];
            column = &shorter[stop];
            found.push((self.stops[stop].place, self.stops[stop].levels[level]));
        }
        found.reverse();
        Some(found)
    }

    /// Chains of a number of reaches lengthened by one to some of the stops.
    fn lengthened(&mut self, reaches: usize, to: RangeInclusive<usize>) -> Vec<Column> {
        let stops = &self.stops;
        let mut longer: Vec<Column> = stops.iter().map(|stop| Column::none(stop.levels.len())).collect();
        let before = &self.layers[reaches];
        for from in 0..stops.len() - 1 {
            for (level, area) in before[from].reached() {
                let from_m = stops[from].levels[level];
                let straight = &self.straight;
                let ends = self.ends[from][level]
                    .get_or_insert_with(|| straight.ends((stops[from].place, from_m), stops, from + 1));
                for ends in ends.iter().filter(|ends| to.contains(&ends.stop)) {
                    longer[ends.stop].offer(&stops[ends.stop].levels, ends, (area, from_m), (from, level));
                }
            }
        }
        longer
    }
}

#[cfg(test)]
mod tests {
    use super::super::Outfall;
    use super::*;
    use crate::units::{Grade, Length};
    use proptest::prelude::*;

    /// Area below the best chain of so many reaches from a level on, by trying all of them place by place; nothing
    /// where none keeps the limits.
    fn by_trying_all(
        straight: &Straight<'_>,
        stops: &[Stop],
        from: (usize, f64),
        left: usize,
    ) -> Option<f64> {
        let place = |stop: usize| stops[stop].place;
        if left == 0 {
            return (from.0 == stops.len() - 1).then_some(0.0);
        }
        let mut best: Option<f64> = None;
        for to in from.0 + 1..stops.len() {
            let run_m = straight.run_m(place(from.0), place(to));
            for &to_m in &stops[to].levels {
                let grade = (from.1 - to_m) / run_m;
                let [least, greatest] = straight.limits.grades();
                let keeps = (place(from.0) + 1..=place(to)).all(|i| {
                    let z = from.1 - grade * straight.run_m(place(from.0), i);
                    z <= straight.bounds.highest[i] + ROUNDING_M
                        && z >= straight.bounds.lowest[i] - ROUNDING_M
                });
                if !keeps || grade < least - ROUNDING || grade > greatest + ROUNDING {
                    continue;
                }
                let rest = by_trying_all(straight, stops, (to, to_m), left - 1);
                let whole = rest.map(|rest| rest + 0.5 * (from.1 + to_m) * run_m);
                best = [best, whole].into_iter().flatten().reduce(f64::max);
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(128))]

        // Levels a little off the bounds' own, so that none keeps a limit by a rounding alone.
        #[test]
        fn the_best_chain_is_the_best_of_all(
            steps in prop::collection::vec((0.5..6.0f64, -0.4..0.3f64), 1..5),
            cut_m in 0.9..2.0f64, least in 0.001..0.02f64, shares in prop::collection::vec(0.01..0.99f64, 5),
        ) {
            let mut ground = vec![GroundPoint { station_m: 0.0, ground_m: 100.0 }];
            for (run, rise) in steps {
                let before = ground[ground.len() - 1];
                ground.push(GroundPoint { station_m: before.station_m + run, ground_m: before.ground_m + rise });
            }
            let grade = |g: f64| Grade::new(g).unwrap();
            let m = Length::from_m;
            let limits = ProfileLimits::new(m(0.4), m(0.1), m(cut_m), [grade(least), grade(0.2)], Outfall::Free).unwrap();
            let bounds = Bounds::of(&ground, &limits);
            prop_assume!(bounds.worst().1 < 0.0);
            let stops = || -> Vec<Stop> {
                let levels = |place: usize| {
                    let (low, high) = (bounds.lowest[place], bounds.highest[place]);
                    let mut levels: Vec<f64> = shares.iter().map(|share| low + (high - low) * share).collect();
                    levels.sort_by(f64::total_cmp);
                    levels
                };
                (0..ground.len()).map(|place| Stop { place, levels: levels(place) }).collect()
            };
            let straight = Straight { ground: &ground, limits: &limits, bounds: &bounds };
            let area = |chain: &[(usize, f64)]| -> f64 {
                chain.windows(2).map(|p| 0.5 * (p[0].1 + p[1].1) * straight.run_m(p[0].0, p[1].0)).sum()
            };
            let mut chains = Chains::new(straight, stops());
            for reaches in 1..ground.len() {
                let all = stops();
                let heads = all[0].levels.iter();
                let best = heads.filter_map(|&head| by_trying_all(&straight, &all, (0, head), reaches)).reduce(f64::max);
                let found = chains.best(reaches);
                prop_assert_eq!(found.is_some(), best.is_some(), "{} reaches", reaches);
                if let (Some(found), Some(best)) = (&found, best) {
                    prop_assert_eq!(found.len(), reaches + 1);
                    prop_assert!((area(found) - best).abs() < 1e-9);
                }
                if reaches == ground.len() - 1 {
                    // With a break at every stop there is one way through.
                    prop_assert_eq!(straight.through(&all).map(|found| area(&found)), found.map(|found| area(&found)));
                }
            }
        }
    }
}
