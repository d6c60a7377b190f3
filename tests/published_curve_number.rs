//! Curve numbers against the tables and examples of the handbooks, in inches and acres.
//!
//! Sources
//! - TR-55: USDA SCS, Urban Hydrology for Small Watersheds, Technical Release 55, 2nd edition (1986): table 2-1 page 2-3,
//!   examples 2-1 to 2-4 pages 2-11 to 2-16, table 4-1. Read in the book.
//! - NEH 630.09 and 630.10: USDA NRCS, National Engineering Handbook, Part 630, chapters 9 and 10 (2004). Read in the book.
//!
//! Tolerances are half a unit of the last printed digit, unless said otherwise.

mod cases;

use cases::Cases;
use lotshed::formula::curve_number::{composite, initial_abstraction, retention, runoff_depth, weighted};
use lotshed::runoff::CoverTable;
use lotshed::units::{Area, CurveNumber, Length, SoilGroup};
use std::collections::BTreeSet;

#[expect(clippy::unwrap_used, reason = "printed curve numbers are in range")]
fn cn(number: f64) -> CurveNumber {
    CurveNumber::new(number).unwrap()
}

fn runoff_in(rain_in: f64, number: f64) -> f64 {
    runoff_depth(Length::from_in(rain_in), cn(number)).as_in()
}

/// As the handbooks round: half up. A hair against the rounding of products.
fn half_up(number: f64) -> f64 {
    (number + 0.5 + 1e-9).floor()
}

const NUMBERS: [f64; 13] = [40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0, 95.0, 98.0];
/// Rain and runoff, inches.
const TABLE_2_1: [(f64, [f64; 13]); 22] = [
    (1.0, [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.03, 0.08, 0.17, 0.32, 0.56, 0.79]),
    (1.2, [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.03, 0.07, 0.15, 0.27, 0.46, 0.74, 0.99]),
    (1.4, [0.0, 0.0, 0.0, 0.0, 0.0, 0.02, 0.06, 0.13, 0.24, 0.39, 0.61, 0.92, 1.18]),
    (1.6, [0.0, 0.0, 0.0, 0.0, 0.01, 0.05, 0.11, 0.20, 0.34, 0.52, 0.76, 1.11, 1.38]),
    (1.8, [0.0, 0.0, 0.0, 0.0, 0.03, 0.09, 0.17, 0.29, 0.44, 0.65, 0.93, 1.29, 1.58]),
    (2.0, [0.0, 0.0, 0.0, 0.02, 0.06, 0.14, 0.24, 0.38, 0.56, 0.80, 1.09, 1.48, 1.77]),
    (2.5, [0.0, 0.0, 0.02, 0.08, 0.17, 0.30, 0.46, 0.65, 0.89, 1.18, 1.53, 1.96, 2.27]),
    (3.0, [0.0, 0.02, 0.09, 0.19, 0.33, 0.51, 0.71, 0.96, 1.25, 1.59, 1.98, 2.45, 2.77]),
    (3.5, [0.02, 0.08, 0.20, 0.35, 0.53, 0.75, 1.01, 1.30, 1.64, 2.02, 2.45, 2.94, 3.27]),
    (4.0, [0.06, 0.18, 0.33, 0.53, 0.76, 1.03, 1.33, 1.67, 2.04, 2.46, 2.92, 3.43, 3.77]),
    (4.5, [0.14, 0.30, 0.50, 0.74, 1.02, 1.33, 1.67, 2.05, 2.46, 2.91, 3.40, 3.92, 4.26]),
    (5.0, [0.24, 0.44, 0.69, 0.98, 1.30, 1.65, 2.04, 2.45, 2.89, 3.37, 3.88, 4.42, 4.76]),
    (6.0, [0.50, 0.80, 1.14, 1.52, 1.92, 2.35, 2.81, 3.28, 3.78, 4.30, 4.85, 5.41, 5.76]),
    (7.0, [0.84, 1.24, 1.68, 2.12, 2.60, 3.10, 3.62, 4.15, 4.69, 5.25, 5.82, 6.41, 6.76]),
    (8.0, [1.25, 1.74, 2.25, 2.78, 3.33, 3.89, 4.46, 5.04, 5.63, 6.21, 6.81, 7.40, 7.76]),
    (9.0, [1.71, 2.29, 2.88, 3.49, 4.10, 4.72, 5.33, 5.95, 6.57, 7.18, 7.79, 8.40, 8.76]),
    (10.0, [2.23, 2.89, 3.56, 4.23, 4.90, 5.56, 6.22, 6.88, 7.52, 8.16, 8.78, 9.40, 9.76]),
    (11.0, [2.78, 3.52, 4.26, 5.00, 5.72, 6.43, 7.13, 7.81, 8.48, 9.13, 9.77, 10.39, 10.76]),
    (12.0, [3.38, 4.19, 5.00, 5.79, 6.56, 7.32, 8.05, 8.76, 9.45, 10.11, 10.76, 11.39, 11.76]),
    (13.0, [4.00, 4.89, 5.76, 6.61, 7.42, 8.21, 8.98, 9.71, 10.42, 11.10, 11.76, 12.39, 12.76]),
    (14.0, [4.65, 5.62, 6.55, 7.44, 8.30, 9.12, 9.91, 10.67, 11.39, 12.08, 12.75, 13.39, 13.76]),
    (15.0, [5.33, 6.36, 7.35, 8.29, 9.19, 10.04, 10.85, 11.63, 12.37, 13.07, 13.74, 14.39, 14.76]),
];

// One cell misses the equation by more than its rounding: 7.0 in on CN 50, printed 1.68, is 1.67 by the equation.
#[test]
fn tr_55_table_2_1_runoff_depths() {
    let mut cases = Cases::default();
    for (rain, row) in TABLE_2_1 {
        for (number, printed) in NUMBERS.into_iter().zip(row) {
            let found = runoff_in(rain, number);
            let slip = rain.to_bits() == 7.0_f64.to_bits() && number.to_bits() == 50.0_f64.to_bits();
            if slip {
                cases.near("7.0 in on CN 50, by the equation", found, 1.67, 0.005);
            } else {
                cases.near(&format!("{rain} in on CN {number}"), found, printed, 0.005_05);
            }
            if Length::from_in(rain).as_m() <= initial_abstraction(cn(number)).as_m() {
                assert!(found == 0.0, "exactly nothing runs off {rain} in on CN {number}");
            }
        }
    }
    assert_eq!(cases.0, 286);
}

#[test]
fn tr_55_table_4_1_initial_abstraction() {
    let mut cases = Cases::default();
    for (number, printed) in [
        (40.0, 3.000),
        (50.0, 2.000),
        (60.0, 1.333),
        (63.0, 1.175),
        (70.0, 0.857),
        (75.0, 0.667),
        (80.0, 0.500),
        (85.0, 0.353),
        (90.0, 0.222),
        (95.0, 0.105),
        (98.0, 0.041),
    ] {
        cases.near("Ia", initial_abstraction(cn(number)).as_in(), printed, 0.000_5);
    }
    assert_eq!(cases.0, 11);
}

/// Curve numbers with acres and their printed products; weighted number, number used, runoff and its tolerance as printed.
type Example<'a> = (&'a [(f64, f64, f64)], f64, f64, f64, f64);

// Example 2-1 has percentages for acres. Example 2-4 interpolated its runoff in table 2-1 (3.19; 3.18 by the equation), and
// read 78 off a figure. Products are held as the sums down to each row.
#[test]
fn tr_55_examples_2_1_to_2_4_one_watershed() {
    let mut cases = Cases::default();
    let examples: [Example<'_>; 4] = [
        (&[(61.0, 30.0, 1830.0), (74.0, 70.0, 5180.0)], 70.1, 70.0, 2.81, 0.005),
        (&[(70.0, 75.0, 5250.0), (80.0, 100.0, 8000.0), (74.0, 75.0, 5550.0)], 75.2, 75.0, 3.28, 0.005),
        (&[(74.0, 75.0, 5550.0), (82.0, 100.0, 8200.0), (74.0, 75.0, 5550.0)], 77.2, 77.0, 3.48, 0.005),
        (&[(70.0, 75.0, 5250.0), (78.0, 100.0, 7800.0), (74.0, 75.0, 5550.0)], 74.4, 74.0, 3.19, 0.006),
    ];
    for (rows, mean, used, printed, tolerance) in examples {
        let parts: Vec<(CurveNumber, Area)> =
            rows.iter().map(|&(number, acres, _)| (cn(number), Area::from_acres(acres))).collect();
        let mean_of = |count: usize| weighted(&parts[..count]).map_or(f64::NAN, CurveNumber::get);
        for count in 1..=rows.len() {
            let acres: f64 = rows[..count].iter().map(|row| row.1).sum();
            let products: f64 = rows[..count].iter().map(|row| row.2).sum();
            cases.near("sum of products", mean_of(count) * acres, products, 1e-8);
        }
        let found = mean_of(rows.len());
        cases.near("weighted CN", found, mean, 1e-9);
        cases.near("CN used", half_up(found), used, 0.0);
        cases.near("Q", runoff_in(6.0, half_up(found)), printed, tolerance);
    }
    assert_eq!(cases.0, 23);
}

// Rows of examples 2-3 and 2-4: 35 % impervious all connected, 73.95 used as 74 and 82.40 as 82; 25 %, half of it
// unconnected, 78.5, which the book reads off its figure as 78.
#[test]
fn tr_55_examples_2_3_and_2_4_numbers_of_their_lots() {
    let mut cases = Cases::default();
    let found = |grass: f64, impervious: f64, unconnected: f64| {
        composite(cn(grass), impervious, unconnected).map_or(f64::NAN, CurveNumber::get)
    };
    for (grass, worked, used) in [(61.0, 73.95, 74.0), (74.0, 82.40, 82.0)] {
        cases.near("35 % connected", found(grass, 0.35, 0.0), worked, 1e-9);
        cases.near("35 % connected, used", half_up(found(grass, 0.35, 0.0)), used, 0.0);
    }
    cases.near("25 %, half unconnected", found(74.0, 0.25, 0.5), 78.5, 1e-9);
    cases.near("25 %, half unconnected, read off", found(74.0, 0.25, 0.5), 78.0, 0.5 + 1e-9);
    assert_eq!(cases.0, 6);
}

// The printed 0.4 for the orchard at 2 in is a slip (0.04); its total uses 0.04.
#[test]
fn neh_630_10_example_10_5_runoff_is_weighted_not_curve_numbers() {
    let mut cases = Cases::default();
    let parts = [(30.0, 25.7), (58.0, 379.6), (75.0, 440.0), (86.0, 56.0)];
    let acres: f64 = parts.iter().map(|part| part.1).sum();
    let by_number: Vec<(CurveNumber, Area)> =
        parts.map(|(number, a)| (cn(number), Area::from_acres(a))).to_vec();
    let mean = weighted(&by_number).map_or(f64::NAN, CurveNumber::get);
    cases.near("sum of products", mean * acres, 60_603.8, 0.05);
    cases.near("acres", acres, 901.3, 1e-9);
    cases.near("CN", mean, 67.2, 0.05);
    cases.near("CN used", half_up(mean), 67.0, 0.0);
    for (rain, mean_number, mean_runoff) in [
        (1.0, 0.0, 0.03),
        (2.0, 0.17, 0.26),
        (4.0, 1.15, 1.26),
        (6.0, 2.53, 2.62),
        (8.0, 4.12, 4.18),
        (10.0, 5.83, 5.85),
    ] {
        cases.near("Q by weighted CN 67", runoff_in(rain, half_up(mean)), mean_number, 0.01);
        let volume: f64 = parts.iter().map(|&(number, a)| runoff_in(rain, number) * a).sum();
        cases.near("weighted Q", volume / acres, mean_runoff, 0.01);
    }
    assert_eq!(cases.0, 16);
}

#[test]
fn neh_630_10_examples_10_1_and_10_2_one_storm() {
    let mut cases = Cases::default();
    cases.near("S of CN 74, in", retention(cn(74.0)).as_in(), 3.51, 0.005);
    for (number, printed, percent) in [(55.0, 0.65, 15.1), (74.0, 1.82, 42.3), (88.0, 3.01, 70.0)] {
        let found = runoff_in(4.3, number);
        cases.near("Q of 4.3 in", found, printed, 0.005);
        // The book divides the rounded runoff.
        cases.near("share of the rain, %", half_up(100.0 * found) / 4.3, percent, 0.05);
    }
    assert_eq!(cases.0, 7);
}

// Example 10-3 weights the runoff of 400 acres of CN 75 and 230 of CN 69, 10-4 the numbers: 72.8, used as 73.
#[test]
fn neh_630_10_examples_10_3_and_10_4_two_covers() {
    let mut cases = Cases::default();
    let parts = [(75.0, 400.0, 2.53), (69.0, 230.0, 2.03)];
    let mut volume = 0.0;
    for (number, acres, printed) in parts {
        cases.near("Q of 5.1 in", runoff_in(5.1, number), printed, 0.005);
        volume += runoff_in(5.1, number) * acres;
    }
    cases.near("weighted Q", volume / 630.0, 2.35, 0.005);
    let mean = weighted(&parts.map(|(number, acres, _)| (cn(number), Area::from_acres(acres))));
    let mean = mean.map_or(f64::NAN, CurveNumber::get);
    cases.near("sum of products", mean * 630.0, 45_870.0, 1e-6);
    cases.near("weighted CN", mean, 72.8, 0.05);
    cases.near("Q by weighted CN", runoff_in(5.1, half_up(mean)), 2.36, 0.005);
    cases.near("Q by CN 72.8", runoff_in(5.1, 72.8), 2.34, 0.005);
    assert_eq!(cases.0, 7);
}

// Examples 9-1 to 9-3, with the number used. At 30 % impervious the form for unconnected paving is refused and all of it
// counts as connected: 61 + 0.3 x 37 = 72.1, where that form would give 66.55. Just below it still holds.
#[test]
fn neh_630_09_examples_9_1_to_9_3_composite_numbers() {
    let mut cases = Cases::default();
    let found = |number: f64, impervious: f64, unconnected: f64| {
        composite(cn(number), impervious, unconnected).map_or(f64::NAN, CurveNumber::get)
    };
    for (grass, impervious, unconnected, worked, used) in
        [(61.0, 0.20, 0.0, 68.4, 68.0), (69.0, 0.25, 0.0, 76.25, 76.0), (61.0, 0.20, 0.75, 65.625, 66.0)]
    {
        let number = found(grass, impervious, unconnected);
        cases.near(&format!("{grass} with {impervious}, {unconnected} unconnected"), number, worked, 1e-9);
        cases.near("used", half_up(number), used, 0.0);
    }
    cases.near("all connected", half_up(found(61.0, 0.20, 0.0)), 68.0, 0.0);
    cases.near("61 with 30 %, all unconnected", found(61.0, 0.30, 1.0), 72.1, 1e-9);
    cases.near("61 with 29 %, all unconnected", found(61.0, 0.29, 1.0), 66.365, 1e-9);
    assert!(composite(cn(61.0), 1.2, 0.0).is_err() && composite(cn(61.0), 0.2, 1.1).is_err());
    assert_eq!(cases.0, 9);
}

// Table 2-2a worked out: grass in good condition with the printed impervious share, half up. The book's 86 of homes on 1/3
// acre on soil D is the only one of 24 that its own formula (85.40) doesn't give; our table keeps the printed number.
#[test]
fn tr_55_table_2_2a_homes_follow_from_their_grass_and_paving() {
    let mut cases = Cases::default();
    let table = CoverTable::built_in();
    let groups = [(SoilGroup::A, 39.0), (SoilGroup::B, 61.0), (SoilGroup::C, 74.0), (SoilGroup::D, 80.0)];
    for (class, impervious) in [
        ("homes-eighth-acre", 0.65),
        ("homes-quarter-acre", 0.38),
        ("homes-third-acre", 0.30),
        ("homes-half-acre", 0.25),
        ("homes-acre", 0.20),
        ("homes-two-acres", 0.12),
    ] {
        for (group, grass) in groups {
            let worked = composite(cn(grass), impervious, 0.0).map_or(f64::NAN, CurveNumber::get);
            let of_table = table.class(class).ok().and_then(|class| class.curve_number(Some(group)));
            let printed = of_table.map_or(f64::NAN, CurveNumber::get);
            if class == "homes-third-acre" && group == SoilGroup::D {
                cases.near("1/3 acre on D", worked, 85.40, 0.005);
                cases.near("1/3 acre on D, printed", printed, 86.0, 0.0);
            } else {
                cases.near(&format!("{class} on {group:?}"), half_up(worked), printed, 0.0);
            }
        }
    }
    // The one number on the half: 80 + 0.25 x 18 = 84.5, printed 85, which rounding half to even would miss.
    let half = composite(cn(80.0), 0.25, 0.0).map_or(f64::NAN, CurveNumber::get);
    cases.near("1/2 acre on D", half, 84.5, 1e-9);
    cases.near("1/2 acre on D, half up", half_up(half), 85.0, 0.0);
    assert_eq!(cases.0, 27);
}

/// Table 2-2a, page 2-5, and 2-2c, page 2-7, by the names that our table gives their rows; for soil groups A to D.
const TABLES_2_2: [(&str, [f64; 4]); 35] = [
    ("lawn-poor", [68.0, 79.0, 86.0, 89.0]),
    ("lawn-fair", [49.0, 69.0, 79.0, 84.0]),
    ("lawn-good", [39.0, 61.0, 74.0, 80.0]),
    ("roof", [98.0; 4]),
    ("asphalt", [98.0; 4]),
    ("concrete", [98.0; 4]),
    ("brick", [98.0; 4]),
    ("drive", [98.0; 4]),
    ("park", [39.0, 61.0, 74.0, 80.0]),
    ("street-with-ditches", [83.0, 89.0, 92.0, 93.0]),
    ("gravel-road", [76.0, 85.0, 89.0, 91.0]),
    ("dirt-road", [72.0, 82.0, 87.0, 89.0]),
    ("business", [89.0, 92.0, 94.0, 95.0]),
    ("industry", [81.0, 88.0, 91.0, 93.0]),
    ("homes-eighth-acre", [77.0, 85.0, 90.0, 92.0]),
    ("homes-quarter-acre", [61.0, 75.0, 83.0, 87.0]),
    ("homes-third-acre", [57.0, 72.0, 81.0, 86.0]),
    ("homes-half-acre", [54.0, 70.0, 80.0, 85.0]),
    ("homes-acre", [51.0, 68.0, 79.0, 84.0]),
    ("homes-two-acres", [46.0, 65.0, 77.0, 82.0]),
    ("bare-ground", [77.0, 86.0, 91.0, 94.0]),
    ("meadow", [30.0, 58.0, 71.0, 78.0]),
    ("pasture-poor", [68.0, 79.0, 86.0, 89.0]),
    ("pasture-fair", [49.0, 69.0, 79.0, 84.0]),
    ("pasture-good", [39.0, 61.0, 74.0, 80.0]),
    ("brush-poor", [48.0, 67.0, 77.0, 83.0]),
    ("brush-fair", [35.0, 56.0, 70.0, 77.0]),
    ("brush-good", [30.0, 48.0, 65.0, 73.0]),
    ("orchard-poor", [57.0, 73.0, 82.0, 86.0]),
    ("orchard-fair", [43.0, 65.0, 76.0, 82.0]),
    ("orchard-good", [32.0, 58.0, 72.0, 79.0]),
    ("woods-poor", [45.0, 66.0, 77.0, 83.0]),
    ("woods-fair", [36.0, 60.0, 73.0, 79.0]),
    ("woods-good", [30.0, 55.0, 70.0, 77.0]),
    ("farmstead", [59.0, 74.0, 82.0, 86.0]),
];

#[test]
fn tr_55_tables_2_2_curve_numbers() {
    let mut cases = Cases::default();
    let table = CoverTable::built_in();
    for (class, printed) in TABLES_2_2 {
        let groups = [SoilGroup::A, SoilGroup::B, SoilGroup::C, SoilGroup::D];
        for (group, printed) in groups.into_iter().zip(printed) {
            let found = table.class(class).ok().and_then(|class| class.curve_number(Some(group)));
            cases.near(
                &format!("{class} on {group:?}"),
                found.map_or(f64::NAN, CurveNumber::get),
                printed,
                0.0,
            );
        }
    }
    assert_eq!(cases.0, 140);
    let compared: BTreeSet<&str> = TABLES_2_2.iter().map(|row| row.0).collect();
    let numbered =
        |name: &&str| table.class(name).is_ok_and(|class| class.curve_number(Some(SoilGroup::A)).is_some());
    assert_eq!(table.names().filter(numbered).collect::<BTreeSet<_>>(), compared, "every class has its row");
}
