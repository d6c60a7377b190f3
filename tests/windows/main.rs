//! A window that grows until its edge no longer matters gives the answer of the whole raster.
//!
//! The whole raster read at once is the reference: it has no cut sides, so nothing of the window's growth takes part
//! in it.

#![allow(
    missing_docs,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "tests"
)]

mod edges;
mod land;
mod told;

use land::{Land, Shape};
use lotshed::units::Length;
use proptest::prelude::*;

/// What stands on the land.
#[derive(Clone, Copy, Default)]
struct Built {
    houses: usize,
    inlets: usize,
}

/// Assesses the land with a first margin of so many metres and with all of it at once.
fn compare(land: &Land, margin_m: f64, built: Built) {
    let files = land.write();
    let Some(mut site) = files.site(&land.subject()) else {
        assert!(land.holes > 0, "only a hole takes a lot's elevations away");
        return;
    };
    if built.houses + built.inlets > 0 {
        files.build(&mut site, land, land.houses(built.houses), &land.inlets(built.inlets));
    }
    let small = told::tell(&site, Length::from_m(margin_m));
    let whole = told::tell(&site, Length::from_m(10_000.0));
    assert_eq!(whole.window_cells, land.cells(), "the reference reads everything");
    told::assert_same(&small, &whole);
}

fn shapes() -> impl Strategy<Value = Shape> {
    prop_oneof![
        Just(Shape::Slope),
        Just(Shape::Rough),
        Just(Shape::Bowl),
        Just(Shape::Ridges),
        Just(Shape::Steps),
        Just(Shape::Chain)
    ]
}

prop_compose! {
    /// Land, and a first margin in metres.
    fn lands(holes: std::ops::Range<usize>)(
        shape in shapes(),
        seed in any::<u64>(),
        rows in 60_usize..140,
        cols in 60_usize..140,
        holes in holes,
        margin_m in 2.0..6.0,
    ) -> (Land, f64) {
        (Land { shape, seed, rows, cols, holes }, margin_m)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: CASES, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_window_gives_the_answer_of_the_whole_raster((land, margin_m) in lands(0..1)) {
        compare(&land, margin_m, Built::default());
    }

    #[test]
    fn a_window_gives_the_answer_of_the_whole_raster_with_holes((land, margin_m) in lands(1..12)) {
        compare(&land, margin_m, Built::default());
    }

    #[test]
    fn a_window_gives_the_answer_of_the_whole_raster_with_houses(
        (land, margin_m) in lands(0..4), houses in 1_usize..25,
    ) {
        compare(&land, margin_m, Built { houses, inlets: 0 });
    }

    #[test]
    fn a_window_gives_the_answer_of_the_whole_raster_with_inlets(
        (land, margin_m) in lands(0..4), houses in 0_usize..10, inlets in 1_usize..60,
    ) {
        compare(&land, margin_m, Built { houses, inlets });
    }
}

/// Cases of each property; more are tried with `WINDOW_CASES=1000`, at compile time.
const CASES: u32 = match option_env!("WINDOW_CASES") {
    Some(text) => number(text),
    None => 24,
};

const fn number(text: &str) -> u32 {
    let digits = text.as_bytes();
    let (mut at, mut value) = (0, 0);
    while at < digits.len() {
        value = value * 10 + (digits[at] - b'0') as u32;
        at += 1;
    }
    value
}

#[test]
fn most_lands_have_run_on_and_the_window_is_often_smaller() {
    let (mut wet, mut smaller) = (0, 0);
    for seed in 0..20 {
        let land = Land { shape: Shape::Rough, seed, rows: 120, cols: 130, holes: 0 };
        let files = land.write();
        let site = files.site(&land.subject()).expect("no holes");
        let told = told::tell(&site, Length::from_m(3.0));
        wet += u32::from(told.run_on_m2 > 20.0);
        smaller += u32::from(told.window_cells < land.cells());
    }
    assert!(wet >= 10, "{wet} of 20 lots have run-on worth comparing");
    assert!(smaller >= 10, "{smaller} of 20 windows are smaller than the raster");
}
