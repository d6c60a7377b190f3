//! Longest ways, found band by band.

use crate::conservation::{CELL, ground, routing};
use crate::world::{World, block};
use lotshed::lots::{DownLengths, LongestWay};
use proptest::prelude::*;

const BANDS: usize = 6;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    // Opening more and more cells walks down from each; looking for all of them at once sweeps the reach.
    #[test]
    fn bands_opened_one_by_one_give_the_ways_of_one_sweep(
        seed in any::<u64>(), slope in 0.0..0.1, routing in routing(), width_m in 1.0..10.0,
    ) {
        let world = World::new(&ground(seed, slope), CELL, routing, &[block(8.0, 8.0, 20.0, 24.0)]);
        world.search_ways(|search| {
            let field = search.fields[0];
            let down = DownLengths::of(&field);
            let ends = |cell: usize| down.at(&field.scene, cell) / width_m;
            let band_of = |cell: usize| (1..=BANDS).position(|end| ends(cell) <= end as f64);
            // A third of the cells may start no way.
            let band = |cell: usize| if cell.is_multiple_of(3) { None } else { band_of(cell) };
            let opened = search.longest_by_band(BANDS, band, |_, _| true);
            let swept: Vec<Vec<Option<LongestWay>>> =
                (0..BANDS).map(|last| search.longest(|cell| band(cell).is_some_and(|b| b <= last))).collect();
            prop_assert_eq!(&opened, &swept);
            prop_assert!(opened.iter().any(|ways| ways[0].is_some()));
            Ok(())
        })?;
    }
}
