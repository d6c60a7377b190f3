//! The tree of ways: one from every cell whose water reaches the lot, each down to a cell of the lot.

use crate::conservation::{CELL, ground, routing};
use crate::world::{World, block, heights};
use lotshed::flow::Routing;
use lotshed::formula::intensity_curve::IntensityCurve;
use lotshed::grid::GridShape;
use lotshed::input::StatedCover;
use lotshed::lots::{Arrival, WayTree};
use lotshed::runoff::{
    ChannelFlow, GroundBasis, GroundKind, Lie, Rain, SlopeClass, TimeMethod, TravelBasis, WaterSurface,
    WayGround, concentrate,
};
use lotshed::units::{Area, Length, SoilGroup, Time};
use proptest::prelude::*;

/// What straightening may leave of it: the cosine of 22.5 degrees, with room for rounding.
const STRAIGHTENED: f64 = 0.9238;

/// What a step leads on in the water's direction, by its length, at the least: to the other of two receivers, as far apart as
/// a side and the diagonal of a cell.
fn least_progress() -> f64 {
    CELL.dx_m.min(CELL.dy_m) / CELL.diagonal_m()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_cell_whose_water_arrives_has_one_way_down_to_the_lot(
        seed in any::<u64>(), slope in 0.0..0.1, routing in routing(),
    ) {
        let world = World::new(&ground(seed, slope), CELL, routing, &[block(8.0, 8.0, 20.0, 24.0)]);
        let (ways, scene) = (world.ways(), world.scene());
        let arrival = Arrival::of(&scene);
        let mut starts = 0;
        for (place, &cell) in scene.reach.cells().iter().enumerate() {
            let cell = cell as usize;
            let arrives = arrival.at_place(place) > 0.0 && !scene.is_subject(cell);
            let start = ways.start(place);
            prop_assert_eq!(start.is_some(), arrives);
            let Some(top) = start else { continue };
            starts += 1;
            prop_assert_eq!(ways.cell(top), cell);
            let way: Vec<usize> = ways.down(top).collect();
            for pair in way.windows(2) {
                let (from, to) = (ways.cell(pair[0]), ways.cell(pair[1]));
                prop_assert!(pair[1] < pair[0], "the next one comes first in the list");
                prop_assert!(!scene.is_subject(from));
                prop_assert!(scene.field.receivers(from).into_iter().any(|(receiver, part)| receiver == to && part > 0.0));
                let (step_m, counts_m) = (scene.step_length(from, to), ways.to_end_m(pair[0]) - ways.to_end_m(pair[1]));
                prop_assert!(counts_m <= step_m * (1.0 + 1e-9) && counts_m >= step_m * least_progress() * STRAIGHTENED);
            }
            let end = way[way.len() - 1];
            prop_assert!(ways.end(top) == end && scene.is_subject(ways.cell(end)));
        }
        prop_assert!(starts > 0);
    }
}

// The lower half of a plane with pits and waves, below a wall through which more or less ground above drains: ways of the ground that sends
// as much of its water to the lot as before are the same to the last bit.
#[test]
fn ground_above_changes_no_way_below_it() {
    let lot = [block(8.0, 4.0, 20.0, 10.0)];
    let world = |more: bool| {
        let shape = GridShape { rows: 40, cols: 30 };
        let z = heights(shape, CELL, |x, y| {
            let rough = 0.03 * ((7.3 * x).sin() + (5.1 * y + x).cos());
            let above = if more { 0.05 * (y - 20.0) } else { -0.05 * (y - 20.0) };
            10.0 + 0.021 * x + rough + if y > 20.0 { above } else { 0.05 * (y - 20.0) }
        });
        World::new(&z, CELL, Routing::Proportional, &lot)
    };
    let (less, more) = (world(false), world(true));
    let (ways_less, ways_more) = (less.ways(), more.ways());
    let down = |world: &World, ways: &WayTree, cell: usize| -> Option<Vec<usize>> {
        let top = ways.start(world.reach.place(cell)?)?;
        Some(ways.down(top).map(|at| ways.cell(at)).collect())
    };
    // Rows below the crest by more than the waves reach.
    let below = (24 * 30..40 * 30).filter_map(|cell| Some((down(&less, &ways_less, cell)?, cell)));
    let mut compared = 0;
    for (way, cell) in below {
        assert_eq!(down(&more, &ways_more, cell).as_ref(), Some(&way), "cell {cell}");
        compared += 1;
    }
    assert!(compared > 100 && more.reach.cells().len() > less.reach.cells().len(), "{compared}");
}

fn kind(class: &str) -> GroundKind {
    let lie = Lie { slope: SlopeClass::Middle, years: None };
    GroundBasis::default()
        .kind(Some(&StatedCover::of_class(class)), Some(SoilGroup::C), lie)
        .expect("a class of the table")
}

fn method() -> impl Strategy<Value = TimeMethod> {
    prop_oneof![
        Just(TimeMethod::Chain),
        Just(TimeMethod::KerbyKirpich),
        Just(TimeMethod::Lag),
        Just(TimeMethod::Airport)
    ]
}

// For every cell the first duration is that in which its own way's time of concentration first fits.
proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_time_of_each_cell_is_that_of_its_own_way(
        seed in any::<u64>(), slope in 0.0..0.1, routing in routing(), method in method(), least_min in 0.2..6.0f64,
        two_year_day in prop::option::of(40.0..120.0f64), channel_m2 in prop::option::of(5.0..200.0f64),
    ) {
        let world = World::new(&ground(seed, slope), CELL, routing, &[block(8.0, 8.0, 20.0, 24.0)]);
        let scene = world.scene();
        let kinds: Vec<GroundKind> = ["lawn-good", "asphalt", "woods-good"].map(kind).to_vec();
        let surface = WaterSurface {
            level_m: &|cell| world.filled.values()[cell],
            is_ponded: &|cell| cell.is_multiple_of(17),
        };
        let above_m2 = |cell: usize| (cell % 251) as f64;
        let patch = |cell: usize| Ok::<usize, ()>((cell / 7 + seed as usize % 5) % 3);
        let ways = WayGround::new(world.ways(), &surface, above_m2, patch).expect("no errors");
        let rain = Rain::curve(IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 0.8).expect("a curve"), None);
        let basis = TravelBasis {
            method,
            least: Time::from_min(least_min),
            two_year_day: two_year_day.map(Length::from_mm),
            channel: channel_m2.map(|m2| ChannelFlow::usual(Area::from_m2(m2))),
            coefficient: None,
            curve_number: None,
        };
        let (durations, first) = ways.own_durations(&kinds, &basis, &rain);
        let mut longer = 0;
        for place in 0..scene.reach.cells().len() {
            let Some(top) = ways.tree().start(place) else { continue };
            let way = ways.way(&kinds, top);
            let basis = TravelBasis { coefficient: way.coefficient, curve_number: way.curve_number, ..basis };
            let own = concentrate(&way.points, &basis, &rain).value.time.as_s();
            let step = first[top] as usize;
            prop_assert!(own <= durations.time(step).as_s() * (1.0 + 3e-6), "{own} s");
            if step > 0 {
                longer += 1;
                prop_assert!(own >= durations.time(step - 1).as_s() * (1.0 - 3e-6), "{own} s");
            }
        }
        prop_assert!(longer > 0 || least_min > 1.0, "the case is one");
    }
}
