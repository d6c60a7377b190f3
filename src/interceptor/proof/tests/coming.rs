//! What comes to a part from the line up, against the proof's pass down.

use super::*;

/// What comes to the parts by [`Coming`]: run-on by entry and ground of the lot by cell, from the line up; and both by the pass down.
fn coming(world: &World, paths: &[&LineString]) -> Vec<[f64; 3]> {
    let scene = world.scene();
    let seeds = world.lots.cells_of(label(0)).chain(world.lots.fringe_of(label(0)));
    let course = Course::downstream_of(&world.field, seeds).unwrap();
    let scene = Scene { reach: course.as_ordered(), ..scene };
    let coming = Coming::new(&scene, world.georef, &world.line, paths);
    let own_m2 = |cell: usize| world.lots.share(cell, label(0)) * CELL.area_m2();
    let entering: Vec<(Entry, f64)> = world.entries.iter().map(|entry| (*entry, entry.area_m2)).collect();
    let of = |part: usize| {
        let run_on = world.entries.iter().map(|entry| entry.area_m2 * coming.of_entry(part, entry));
        let own = scene
            .reach
            .cells()
            .iter()
            .map(|&cell| own_m2(cell as usize) * coming.of_cell(part, cell as usize));
        let came = coming.came(part, &entering, own_m2);
        [run_on.sum(), own.sum(), came.iter().map(|came| came.area_m2).sum()]
    };
    (0..paths.len()).map(of).collect()
}

// 10 columns of 8 m² of run-on; of the lot the first row, whose middles lie before the line at 11.4.
#[test]
fn what_comes_to_a_line_on_a_plane() {
    let found = coming(&plane(), &[&north_line()]);
    assert_relative_eq!(found[0][0], 80.0, epsilon = 1e-9);
    assert_relative_eq!(found[0][1], 10.0, epsilon = 1e-9);
    assert_relative_eq!(found[0][2], 90.0, epsilon = 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    // The proof goes down with the water, this from the line up.
    #[test]
    fn what_comes_to_a_part_is_what_the_proof_takes_there(
        z in prop::collection::vec(0.0_f64..1.0, 100),
        corner in (1.0_f64..3.0, 1.0_f64..3.0),
        size in (3.0_f64..5.0, 3.0_f64..5.0),
        inset in 0.1_f64..1.2,
    ) {
        let surface = |row: usize, col: usize| z[row * 10 + col];
        let (west, south, east, north) = (corner.0, corner.1, corner.0 + size.0, corner.1 + size.1);
        let world = World::new(10, 10, surface, &[[west, south, east, north], [0.0, north, 10.0, 10.0]]);
        let paths = [
            path(&[(west + inset, south + inset), (west + inset, north - inset)]),
            path(&[(west + inset, north - inset), (east - inset, north - inset)]),
        ];
        let parts: Vec<_> = paths.iter().map(|path| (path.clone(), Discharge::OffTheSurface)).collect();
        let proof = world.prove(&parts, 1.0);
        let found = coming(&world, &paths.iter().collect::<Vec<_>>());
        for ([run_on, own, both], taken) in found.into_iter().zip(&proof.taken) {
            prop_assert!((run_on - taken.run_on_m2).abs() < 1e-9, "{run_on} for {taken:?}");
            prop_assert!((own - taken.own_m2).abs() < 1e-9, "{own} for {taken:?}");
            prop_assert!((both - taken.total_m2()).abs() < 1e-9, "{both} for {taken:?}");
        }
    }
}
