use super::*;
use approx::assert_relative_eq;

// Width 0.110 + 2 x 0.150 = 0.410 m; finish 0.075 m (0.025 sod, 0.050 sand). Sum of depths along the line: 10 x 0.7 + 15 x 0.8 = 19.0 m2; of the
// stone's height 19.0 - 25 x 0.075 = 17.125 m2.
// Dug 0.410 x 19.0 = 7.790. Stone 0.410 x 17.125 = 7.02125 less pipe pi / 4 x 0.110^2 x 25 = 0.237583: 6.783667. Sand 0.410 x 0.050 x 25 =
// 0.5125 m3. Sod 0.410 x 25 = 10.25 m2, 0.25625 m3. Left over 7.790 - 0.25625 = 7.53375 m3.
// Fabric, overlap 12 in = 0.3048 m: 25 x (2 x 0.410 + 0.3048) + 2 x 17.125 = 28.12 + 34.25 = 62.37 m2.
#[test]
fn a_plain_line() {
    let taken = take_off(&plain());
    assert_relative_eq!(taken.length.as_m(), 25.0, max_relative = 1e-12);
    assert_relative_eq!(taken.dug.as_m3(), 7.790, max_relative = 1e-12);
    assert_relative_eq!(taken.stone.as_m3(), 6.783_667, epsilon = 5e-7);
    // Porosity 0.40: 2.713467 m3.
    let storage = taken.storage(Materials::built_in().stone("57").unwrap());
    assert_relative_eq!(storage.as_m3(), 2.713_467, epsilon = 5e-7);
    assert_relative_eq!(taken.fabric.as_m2(), 62.37, max_relative = 1e-12);
    assert_relative_eq!(taken.sand.as_m3(), 0.5125, max_relative = 1e-12);
    assert_relative_eq!(taken.sod_back.as_m2(), 10.25, max_relative = 1e-12);
    assert_relative_eq!(taken.spoil.as_m3(), 7.533_75, max_relative = 1e-12);
    for none in [taken.backfill, taken.topsoil_back, taken.topsoil_new] {
        assert_relative_eq!(none.as_m3(), 0.0, epsilon = 1e-12);
    }
}

// The same line in loam (swell 1.25): 7.53375 x 1.25 = 9.417188 m3 loose, 2 loads of 10 yd3 = 7.6455 m3. Stone 57: 6.783667 x 1661 = 11 267.67
// kg. Pipe 25 m; with 5 % 26.25 / 3 = 8.75: 9 sticks; sockets, so no couplings. One cleanout at the head (100 ft is more than 25 m), its riser
// 0.600 - 0.075 - 0.110 = 0.415 m.
#[test]
fn the_bill_of_a_plain_line() {
    let bill = billed(&[plain()], "loam", WorkSettings::usual(), None);
    assert!(bill.warnings.is_empty());
    let rows: Vec<(&str, &str, f64, f64)> = bill
        .value
        .rows
        .iter()
        .map(|row| (row.item.as_str(), row.unit, row.quantity, row.waste_percent))
        .collect();
    let expected = [
        ("excavation", "m3", 7.790, 0.0),
        ("spoil", "m3", 9.417_188, 0.0),
        ("truckload", "each", 2.0, 0.0),
        ("fabric", "m2", 62.37, 10.0),
        ("stone-57", "t", 11.267_67, 10.0),
        ("pipe-100-smooth-perforated", "m", 25.0, 5.0),
        ("cleanout-100-smooth", "each", 1.0, 0.0),
        ("riser-100-smooth", "m", 0.415, 5.0),
        ("outlet-guard-100-smooth", "each", 1.0, 0.0),
        ("sand", "m3", 0.5125, 10.0),
        ("sod-back", "m2", 10.25, 0.0),
    ];
    assert_eq!(rows.len(), expected.len(), "{rows:?}");
    for (found, expected) in rows.iter().zip(expected) {
        assert_eq!((found.0, found.1), (expected.0, expected.1));
        assert_relative_eq!(found.2, expected.2, epsilon = 5e-6);
        assert_relative_eq!(found.3, expected.3);
    }
    assert!(bill.value.rows.iter().all(|row| row.unit_price.is_none() && row.amount.is_none()));
    assert_eq!(bill.value.total(), None);
    let pipe = bill.value.row(&Item::PerforatedPipe("100-smooth".to_owned())).unwrap();
    // Nine sticks of 3 m.
    assert_relative_eq!(pipe.ordered, 27.0, max_relative = 1e-12);
    assert_eq!(pipe.note, "with waste 9 sticks of 3.00 m");
    assert_eq!(bill.value.exclusions.len(), EXCLUSIONS.len());
    assert!(bill.value.cautions.iter().any(|caution| caution.contains("public utilities marked")));
    let excavation = bill.value.row(&Item::Excavation).unwrap();
    assert_eq!(excavation.note, "in the bank, 25.0 m of trench in plan; soil: loam, common earth");
}

// Upper leg: bottom 2 x 0.110 + 0.075 + 0.300 = 0.595 m, walls 1:2, d 0.8 to 1.2 m over 40 m; finish 0.175 m (0.025 sod, 0.150 topsoil).
//   Sums along it: d 40.0, d^2 40 (0.64 + 0.96 + 1.44) / 3 = 40.533333; h = d - 0.175: 33.0, h^2 40 (0.390625 + 0.640625 + 1.050625) / 3 =
//   27.758333.
//   Dug 0.595 x 40 + 0.5 x 40.533333 = 44.066667. Stone 0.595 x 33 + 0.5 x 27.758333 = 33.514167 less 2 pipes 0.760265: 32.753902.
//   Topsoil 0.150 x (0.595 x 40 + 0.5 x (2 x 33 + 0.150 x 40)) = 0.150 x 59.8 = 8.97. Sod 0.025 x (0.595 x 40 + 0.5 x (2 x 40 - 0.025 x 40)) =
//   0.025 x 63.3 = 1.5825. Left over 44.066667 - 8.97 - 1.5825 = 33.514167.
//   Surface 0.595 x 40 + 40 = 63.8 m2. Fabric 40 x (0.595 + 0.595 + 0.3048) + 33 x (2 x 1.118034 + 1) = 59.792 + 106.790244 = 166.582244 m2.
// Lower leg: bottom 0.180 + 0.300 = 0.480 m, walls 1:2, d 1.2 to 1.0 m over 12 m.
//   Sums: d 13.2, d^2 12 (1.44 + 1.20 + 1.00) / 3 = 14.56. Dug 0.480 x 13.2 + 0.5 x 14.56 = 13.616. Pipe pi / 4 x 0.180^2 x 12 = 0.305363. Sod
//   0.025 x (0.480 x 12 + 0.5 x (2 x 13.2 - 0.025 x 12)) = 0.025 x 18.81 = 0.47025. Backfill 13.616 - 0.305363 - 0.47025 = 12.840387. Surface
//   0.480 x 12 + 13.2 = 18.96 m2. Left over: the pipe's room, 0.305363.
#[test]
fn a_double_line_with_a_way_to_its_outlet() {
    let taken = take_off(&double());
    assert_relative_eq!(taken.length.as_m(), 52.0, max_relative = 1e-12);
    assert_relative_eq!(taken.dug.as_m3(), 44.066_667 + 13.616, epsilon = 1e-6);
    assert_relative_eq!(taken.stone.as_m3(), 32.753_902, epsilon = 1e-6);
    assert_relative_eq!(taken.topsoil_back.as_m3(), 8.97, epsilon = 1e-9);
    assert_relative_eq!(taken.backfill.as_m3(), 12.840_387, epsilon = 1e-6);
    assert_relative_eq!(taken.spoil.as_m3(), 33.514_167 + 0.305_363, epsilon = 1e-6);
    assert_relative_eq!(taken.sod_back.as_m2(), 63.8 + 18.96, epsilon = 1e-9);
    assert_relative_eq!(taken.fabric.as_m2(), 166.582_244, epsilon = 1e-6);
    assert_relative_eq!(taken.sand.as_m3(), 0.0, epsilon = 1e-12);
}

// Clay (1.43): 33.819530 x 1.43 = 48.361928 m3 loose: 8.06 loads of 6 m3, so 9.
// Perforated pipe 2 x 40 = 80 m, with 5 % 84 m: 9 coils of 10 m; couplings (40 / 10 - 1) x 2 = 6. Solid 12 m, with 5 % 12.6 m: 3 sticks of 6 m;
// couplings 12 / 6 - 1 = 1. Where they meet: one wye of two 100 into one, one reducer to 150.
// Bends: two pipes at 20 m, one at 46 m.
// Cleanouts, at most 15 m apart: 0 and 10 (20 m in two), 20 and 33 (26 m in two), 46 (6 m). Depths 0.8, 0.9, 1.0, 1.13 m; over the pipes 0.185 m
// less: 0.615 + 0.715 + 0.815 + 0.945 = 3.09 m for each of two: 6.18 m. At 46 m 1.1 - 0.180 = 0.92 m.
#[test]
fn the_pieces_of_a_double_line() {
    let stations = double().cleanouts(m(15.0)).unwrap();
    for (found, expected) in stations.iter().zip([0.0, 10.0, 20.0, 33.0, 46.0]) {
        assert_relative_eq!(found.as_m(), expected, epsilon = 1e-9);
    }
    assert_eq!(stations.len(), 5);
    let bill = billed(&[double()], "clay", settings(6.0, 15.0), None).value;
    let of = |name: &str| bill.rows.iter().find(|row| row.item == name).map_or(0.0, |row| row.quantity);
    for (name, expected) in [
        ("spoil", 48.361_928),
        ("truckload", 9.0),
        ("pipe-100-corrugated-perforated", 80.0),
        ("pipe-150-corrugated-solid", 12.0),
        ("pipe-100-corrugated-solid", 0.0),
        ("coupling-100-corrugated", 6.0),
        ("coupling-150-corrugated", 1.0),
        ("wye-100-corrugated", 1.0),
        ("wye-150-corrugated", 0.0),
        ("reducer-100-corrugated-to-150-corrugated", 1.0),
        ("bend-100-corrugated", 2.0),
        ("bend-150-corrugated", 1.0),
        ("cleanout-100-corrugated", 8.0),
        ("cleanout-150-corrugated", 1.0),
        ("riser-100-corrugated", 6.18),
        ("riser-150-corrugated", 0.92),
        ("tie-in-150-corrugated", 1.0),
        ("outlet-guard-150-corrugated", 0.0),
        ("backfill", 12.840_387),
        ("topsoil-back", 8.97),
        ("topsoil", 0.0),
        ("sod-back", 82.76),
        ("sod", 0.0),
    ] {
        assert_relative_eq!(of(name), expected, epsilon = 2e-6);
    }
    let note = |name: &str| bill.rows.iter().find(|row| row.item == name).unwrap().note.clone();
    assert_eq!(note("pipe-100-corrugated-perforated"), "with waste 9 coils of 10.00 m");
    assert_eq!(note("pipe-150-corrugated-solid"), "with waste 3 sticks of 6.00 m");
    assert!(note("tie-in-150-corrugated").contains("180 mm"), "{}", note("tie-in-150-corrugated"));
}

// A double line without a way of its own is still tied in by one pipe: a wye of its size, and a cored hole for 110 mm. Joining another
// line takes one more wye; two legs of one size and number are joined by a coupling for each pipe.
#[test]
fn ends_and_joints() {
    let leg = |from, to| Leg {
        section: stone("100-corrugated", &rules(PipeCount::Two, 0.0), "irrigated-lawn"),
        cuts: cuts(&[(from, 0.6), (to, 0.6)]),
    };
    let count = |end, name: &str| {
        let line = DrainLine::new(vec![leg(0.0, 8.0), leg(8.0, 16.0)], vec![], end).unwrap();
        let bill = billed(&[line], "loam", WorkSettings::usual(), None).value;
        bill.rows.iter().find(|row| row.item == name).map_or(0.0, |row| row.quantity)
    };
    assert_relative_eq!(count(End::Structure, "tie-in-100-corrugated"), 1.0);
    assert_relative_eq!(count(End::Structure, "wye-100-corrugated"), 1.0);
    assert_relative_eq!(count(End::Daylight, "outlet-guard-100-corrugated"), 1.0);
    let joins = |key: &str| End::Joins(Box::new(pipe(key)));
    assert_relative_eq!(count(joins("100-corrugated"), "wye-100-corrugated"), 2.0);
    assert_relative_eq!(count(joins("100-corrugated"), "tie-in-100-corrugated"), 0.0);
    // The wye into a larger line has that line's size, and takes a reducer.
    for (name, expected) in [
        ("wye-100-corrugated", 1.0),
        ("wye-150-corrugated", 1.0),
        ("reducer-100-corrugated-to-150-corrugated", 1.0),
        // Two pipes at the head; at the join one is left.
        ("cleanout-100-corrugated", 3.0),
    ] {
        assert_relative_eq!(count(joins("150-corrugated"), name), expected);
    }
    // 8 m is within one coil of 10 m: only the joint between the legs.
    assert_relative_eq!(count(End::Structure, "coupling-100-corrugated"), 2.0);
}

// New topsoil, new sod: 0.410 m wide, 20 m long, 0.075 m of topsoil = 0.615 m3, 8.2 m2 of sod; all that is dug is left over, 0.410 x 0.6 x 20 =
// 4.92 m3. Seed on kept topsoil of 0.200 m: 1.64 m3 kept, 3.28 m3 left over, 8.2 m2 of seed. Bare stone: nothing over it.
#[test]
fn finishes_differ_in_what_is_brought_and_kept() {
    let taken = |finish| {
        let section = stone("100-smooth", &rules(PipeCount::One, 0.0), finish);
        let leg = Leg { section, cuts: cuts(&[(0.0, 0.6), (20.0, 0.6)]) };
        take_off(&DrainLine::new(vec![leg], vec![], End::Daylight).unwrap())
    };
    let brought = taken("irrigated-lawn-on-loam");
    assert_relative_eq!(brought.topsoil_new.as_m3(), 0.615, epsilon = 1e-9);
    assert_relative_eq!(brought.sod_new.as_m2(), 8.2, epsilon = 1e-9);
    assert_relative_eq!(brought.spoil.as_m3(), 4.92, epsilon = 1e-9);
    let seeded = taken("unirrigated-seed");
    assert_relative_eq!(seeded.topsoil_back.as_m3(), 1.64, epsilon = 1e-9);
    assert_relative_eq!(seeded.spoil.as_m3(), 3.28, epsilon = 1e-9);
    assert_relative_eq!(seeded.seed.as_m2(), 8.2, epsilon = 1e-9);
    let bare = taken("bare-stone");
    assert_relative_eq!(bare.spoil.as_m3(), 4.92, epsilon = 1e-9);
    // 0.410 x 0.6 x 20 less the pipe, pi / 4 x 0.110^2 x 20 = 0.190066.
    assert_relative_eq!(bare.stone.as_m3(), 4.92 - 0.190_066, epsilon = 1e-6);
    assert!(bare.seed.as_m2() + bare.sod_back.as_m2() + bare.sod_new.as_m2() < 1e-12);
}

// Rock that is dug and paid for isn't excluded, nor a fee that is in the price of a load, as the example list has it.
#[test]
fn nothing_is_both_in_the_bill_and_excluded() {
    let bill = billed(&[plain()], "rock", WorkSettings::usual(), None).value;
    let excavation = bill.row(&Item::Excavation).unwrap();
    assert!(excavation.note.ends_with("soil: blasted or broken rock"), "{}", excavation.note);
    for (word, but) in
        [("rock", "unless they are the soil"), ("fees of the tip", "unless they are in the price")]
    {
        let found = bill.exclusions.iter().find(|exclusion| exclusion.contains(word)).unwrap();
        assert!(found.contains(but), "{found}");
    }
}

// From 1.0 to 2.0 m over 10 m, then 5 m at 2.0 m. Deeper than 4 ft = 1.2192 m: (2.0 - 1.2192) x 10 + 5 = 12.808 m; than 5 ft = 1.524 m:
// (2.0 - 1.524) x 10 + 5 = 9.76 m. The second line is shallow.
#[test]
fn deep_trenches_are_warned_of() {
    let line = |all: &[(f64, f64)]| {
        let section = stone("100-smooth", &rules(PipeCount::One, 0.0), "irrigated-lawn");
        DrainLine::new(vec![Leg { section, cuts: cuts(all) }], vec![], End::Structure).unwrap()
    };
    let shallow = line(&[(0.0, 0.6), (30.0, 1.2)]);
    let warned = |lines: &[DrainLine]| {
        let bill = billed(lines, "loam", WorkSettings::usual(), None);
        bill.warnings.into_iter().map(|w| (w.code, w.message)).collect::<Vec<_>>()
    };
    assert_eq!(warned(std::slice::from_ref(&shallow)), []);
    let found = warned(&[shallow.clone(), line(&[(0.0, 1.0), (10.0, 2.0), (15.0, 2.0)])]);
    assert_eq!(found.iter().map(|(code, _)| *code).collect::<Vec<_>>(), ["trench-deep", "trench-protection"]);
    let place = "at the deepest 2.00 m (6.56 ft) (line 2, station 10.0 m (32.8 ft))";
    assert!(
        found[0].1.starts_with("12.8 m (42.0 ft) of trench are 1.2 m (4.0 ft) deep or more"),
        "{}",
        found[0].1
    );
    assert!(
        found[1].1.starts_with("9.8 m (32.0 ft) of trench are 1.5 m (5.0 ft) deep or more"),
        "{}",
        found[1].1
    );
    assert!(found.iter().all(|(_, message)| message.contains(place)), "{found:?}");
    // Between the limits only the first; the way to the outlet counts as well.
    assert_eq!(warned(&[line(&[(0.0, 1.2192), (10.0, 1.3)])]).len(), 1);
    let section = solid("100-smooth", &rules(PipeCount::One, 0.0), "irrigated-lawn");
    let deep = Leg { section, cuts: cuts(&[(0.0, 1.0), (10.0, 1.6)]) };
    let deep = DrainLine::new(vec![deep], vec![], End::Structure).unwrap();
    assert_eq!(warned(&[deep, shallow]).len(), 2);
}

#[test]
fn lines_that_can_not_be_are_refused() {
    let section = || stone("100-smooth", &rules(PipeCount::One, 0.0), "irrigated-lawn");
    let leg = |all: &[(f64, f64)]| Leg { section: section(), cuts: cuts(all) };
    let line = |legs, bends: &[f64]| {
        DrainLine::new(legs, bends.iter().copied().map(m).collect(), End::Daylight).unwrap_err()
    };
    assert_eq!(line(vec![], &[]), QuantityError::NoLeg);
    let apart = vec![leg(&[(0.0, 0.6), (5.0, 0.6)]), leg(&[(6.0, 0.6), (9.0, 0.6)])];
    assert_eq!(line(apart, &[]), QuantityError::Gap { ends_m: 5.0, begins_m: 6.0 });
    let apart = vec![leg(&[(0.0, 0.6), (0.1 + 0.2, 0.6)]), leg(&[(6.0, 0.6), (9.0, 0.6)])];
    let message = line(apart, &[]).to_string();
    assert_eq!(message, "a trench ends at station 0.300 m, but the next begins at 6.000 m");
    // The least depth is 0.360 m.
    let shallow = line(vec![leg(&[(0.0, 0.6), (7.5, 0.3), (9.0, 0.6)])], &[]);
    assert!(matches!(shallow, QuantityError::Shallow { .. }));
    assert!(
        shallow.to_string().contains("station 7.5 m") && shallow.to_string().contains("0.360 m"),
        "{shallow}"
    );
    for bends in [&[0.0][..], &[9.0], &[5.0, 5.0], &[5.0, 4.0], &[f64::NAN]] {
        let refused = line(vec![leg(&[(0.0, 0.6), (9.0, 0.6)])], bends);
        assert!(matches!(refused, QuantityError::Bend { .. }), "{bends:?}");
    }
    for spacing in [0.0, -1.0, f64::NAN, 0.001] {
        assert!(plain().cleanouts(m(spacing)).is_err(), "{spacing}");
    }
}

#[test]
fn settings_that_can_not_be_are_refused() {
    let materials = Materials::built_in();
    let refused = |settings| {
        let lines = [plain()];
        let (soil, stone) = (materials.soil("loam").unwrap(), materials.stone("57").unwrap());
        bill(&Works { lines: &lines, beside: &[], soil, stone, settings }, None).is_err()
    };
    assert!(!refused(WorkSettings::usual()));
    assert!(refused(settings(0.0, 30.0)) && refused(settings(f64::NAN, 30.0)) && refused(settings(6.0, 0.0)));
    for pipe in [-1.0, 101.0, f64::NAN] {
        let waste = Waste { pipe, ..Waste::usual() };
        assert!(refused(WorkSettings { waste, ..WorkSettings::usual() }), "{pipe}");
    }
}

// Solid pipe of 100 mm in a trench for 12 m; beyond it, without a trench, 2 m more of that and 1.2 m of 150 mm, to the mouth: 14 m and
// 1.2 m, one reducer between them, and a guard of the size that ends.
#[test]
fn what_goes_on_beyond_the_trench_is_of_its_own_size() {
    let leg = Leg {
        section: solid("100-corrugated", &rules(PipeCount::One, 0.0), "irrigated-lawn"),
        cuts: cuts(&[(0.0, 0.8), (12.0, 0.6)]),
    };
    let beyond = [("100-corrugated", 2.0), ("150-corrugated", 1.2)];
    let beyond = beyond.map(|(key, length_m)| PipeBeyond { pipe: pipe(key), length: m(length_m) });
    let line = DrainLine::new(vec![leg], vec![], End::Daylight).unwrap();
    let line = line.with_pipe_beyond(beyond.to_vec(), 1);
    assert_relative_eq!(line.beyond().as_m(), 3.2, epsilon = 1e-9);
    let bill = billed(&[line], "loam", WorkSettings::usual(), None).value;
    let measured = |name: &str| bill.rows.iter().find(|row| row.item == name).map(|row| row.measured);
    let length = |name: &str| match measured(name) {
        Some(Amount::Length(length)) => length.as_m(),
        other => panic!("{name}: {other:?}"),
    };
    assert_relative_eq!(length("pipe-100-corrugated-solid"), 14.0, epsilon = 1e-9);
    assert_relative_eq!(length("pipe-150-corrugated-solid"), 1.2, epsilon = 1e-9);
    let count = |name: &str| bill.rows.iter().find(|row| row.item == name).map_or(0.0, |row| row.quantity);
    assert_relative_eq!(count("reducer-100-corrugated-to-150-corrugated"), 1.0);
    assert_relative_eq!(count("outlet-guard-150-corrugated"), 1.0);
    assert_relative_eq!(count("outlet-guard-100-corrugated"), 0.0);
    assert_relative_eq!(count("bend-150-corrugated"), 1.0);
}
