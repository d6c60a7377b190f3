//! Drains, inlets and stone against printed figures, in the books' units.
//!
//! Sources
//! - Drain grades: University of Minnesota Extension, least grades of subsurface drains. Second hand. More digits: the
//!   closed form (V n / (1.49 R^(2/3)))^2, R = D / 4, worked out by a separate script.
//! - Full pipes: Manning's equation with 1.486, worked out by a separate script. No published table could be opened.
//! - Perforations: orifice with 0.6 and g 32.2 ft/s2, arithmetic beside the case. Least inlet area 1 in2/ft: NRCS,
//!   Construction Specification 444. Second hand.
//! - Grates: FHWA, HEC-22, example 4-11 (from memory; the arithmetic agrees), and hand arithmetic with the coefficients of
//!   the Texas DOT, Hydraulic Design Manual, chapter 10. Second hand.
//! - Stone: Darcy's law, arithmetic beside the case.
//!
//! Tolerances are half a unit of the last printed digit, unless said otherwise. Ours are the exact constants: 1.4859 for
//! 1.49 or 1.486, 32.174 ft/s2 for 32.2, 1.66 m^(1/2)/s for 3.0 ft^(1/2)/s.

mod cases;

use cases::Cases;
use lotshed::formula::circular_pipe::full_flow;
use lotshed::formula::darcy::{Conductivity, stone_flow};
use lotshed::formula::drain_grade::{SoilEntry, least_grade, self_cleaning_grade};
use lotshed::formula::grate::grate_inflow;
use lotshed::formula::perforations::perforation_inflow;
use lotshed::units::{Area, Flow, Grade, Length, ManningN, Share, Velocity};

#[expect(clippy::unwrap_used, reason = "the printed examples are in range")]
fn n(value: f64) -> ManningN {
    ManningN::new(value).unwrap()
}

#[expect(clippy::unwrap_used, reason = "the printed examples are in range")]
fn s(value: f64) -> Grade {
    Grade::new(value).unwrap()
}

#[expect(clippy::unwrap_used, reason = "the printed examples are in range")]
fn open(value: f64) -> Share {
    Share::new(value).unwrap()
}

#[test]
#[expect(clippy::approx_constant, reason = "a figure of the table")]
fn drain_grades_at_which_water_reaches_the_wanted_velocity() {
    // Inches; percent at 0.5 ft/s smooth and corrugated, then at 1.4 ft/s smooth and corrugated: printed, and by the script.
    let printed = [
        (3.0, [0.08, 0.10, 0.60, 0.81], [0.077, 0.102, 0.602, 0.801]),
        (4.0, [0.05, 0.07, 0.41, 0.55], [0.052, 0.070, 0.410, 0.546]),
        (5.0, [0.04, 0.05, 0.30, 0.41], [0.039, 0.052, 0.304, 0.405]),
        (6.0, [0.03, 0.04, 0.24, 0.32], [0.030, 0.041, 0.239, 0.318]),
    ];
    let (kept, possible) = (SoilEntry::Kept, SoilEntry::Possible);
    let columns = [(kept, 0.013), (kept, 0.015), (possible, 0.013), (possible, 0.015)];
    // The grade goes with the inverse square of the constant: ours for theirs.
    let to_149 = ((1.0_f64 / 0.3048).cbrt() / 1.49).powi(2);
    let mut cases = Cases::default();
    for (inches, percents, digits) in printed {
        for ((entry, roughness), (percent, digit)) in
            columns.into_iter().zip(percents.into_iter().zip(digits))
        {
            let grade = self_cleaning_grade(Length::from_in(inches), n(roughness), entry).unwrap();
            // 0.01 percentage points: printed to 0.01, and the 1.4 ft/s entry of 3 in lies 0.005 off its own formula.
            cases.near("grade, %", grade.get() * 100.0, percent, 0.01);
            cases.near("grade with 1.49, %", grade.get() * 100.0 * to_149, digit, 0.0005);
        }
    }
    assert_eq!(cases.0, 32);
}

// The floor of 0.15 % is above every grade at 0.5 ft/s, and below every one at 1.4 ft/s, of the table above.
#[test]
fn no_drain_is_flatter_than_the_floor() {
    let mut cases = Cases::default();
    for inches in [3.0, 4.0, 5.0, 6.0] {
        let of = |entry| least_grade(Length::from_in(inches), n(0.013), entry).unwrap().get() * 100.0;
        cases.near("kept out, %", of(SoilEntry::Kept), 0.15, 1e-12);
        assert!(of(SoilEntry::Possible) > 0.15);
    }
    assert_eq!(cases.0, 4);
}

#[test]
#[expect(clippy::approx_constant, reason = "a figure of the table")]
fn full_pipes_by_size_roughness_and_grade() {
    // Inches, n; ft3/s and gallons a minute at 0.25, 0.5, 1 and 2 %.
    let printed = [
        (3.0, 0.015, [0.0383, 0.0542, 0.0766, 0.1083], [17.2, 24.3, 34.4, 48.6]),
        (4.0, 0.012, [0.1031, 0.1458, 0.2062, 0.2916], [46.3, 65.4, 92.5, 130.9]),
        (4.0, 0.015, [0.0825, 0.1166, 0.1649, 0.2333], [37.0, 52.3, 74.0, 104.7]),
        (6.0, 0.012, [0.3039, 0.4298, 0.6079, 0.8597], [136.4, 192.9, 272.8, 385.8]),
        (6.0, 0.015, [0.2431, 0.3439, 0.4863, 0.6877], [109.1, 154.3, 218.3, 308.7]),
        (8.0, 0.012, [0.6546, 0.9257, 1.3091, 1.8514], [293.8, 415.5, 587.6, 831.0]),
        (8.0, 0.015, [0.5236, 0.7405, 1.0473, 1.4811], [235.0, 332.4, 470.1, 664.8]),
    ];
    let mut cases = Cases::default();
    for (inches, roughness, cfs, gpm) in printed {
        for (grade, (cfs, gpm)) in [0.0025, 0.005, 0.01, 0.02].into_iter().zip(cfs.into_iter().zip(gpm)) {
            let flow = full_flow(Length::from_in(inches), n(roughness), s(grade));
            // 1.486 for 1.4859: 0.01 %.
            cases.near("ft3/s", flow.as_ft3_per_s(), cfs, 0.000_05 + 1e-4 * cfs);
            cases.near("gal/min", flow.as_gal_per_min(), gpm, 0.05 + 1e-4 * gpm);
        }
    }
    assert_eq!(cases.0, 56);
}

// 0.6 x 1/144 ft2 x (2 x 32.2 x 0.5)^(1/2) = 0.6 x 0.0069444 x 5.6745 = 0.02364 ft3/s in a foot = 10.61 gal/min.
#[test]
fn perforations_of_a_foot_of_pipe() {
    let mut cases = Cases::default();
    let area = Area::from_in2(1.0);
    let head = Length::from_ft(0.5);
    // g 32.174 for 32.2 ft/s2: 0.04 % of the flow.
    let clean = perforation_inflow(area, open(1.0), head);
    cases.near("ft3/s", clean.as_ft3_per_s(), 0.023_64, 0.000_005 + 4e-4 * 0.023_64);
    cases.near("gal/min", clean.as_gal_per_min(), 10.61, 0.005 + 4e-4 * 10.61);
    let half = perforation_inflow(area, open(0.5), head);
    cases.near("half clogged, gal/min", half.as_gal_per_min(), 5.31, 0.005 + 4e-4 * 5.31);
    assert_eq!(cases.0, 3);
}

#[test]
fn hec_22_grate_in_a_low_place_from_memory() {
    // 0.19 m3/s at d = 0.15 - 0.3 x 0.05 = 0.135 m takes 2.31 m of edge; 6.71 ft3/s at 0.443 ft takes 7.586 ft.
    let mut cases = Cases::default();
    let weir = |perimeter: Length, depth: Length| {
        grate_inflow(perimeter, Area::from_m2(10.0), open(1.0), depth).weir
    };
    let flow = weir(Length::from_m(2.31), Length::from_m(0.135)).as_m3_per_s();
    cases.near("m3/s", flow, 0.19, 0.19 * 0.005 / 2.31);
    let flow = weir(Length::from_ft(7.586), Length::from_ft(0.443)).as_ft3_per_s();
    // 1.66 for 3.0: 0.23 %.
    cases.near("ft3/s", flow, 6.71, 0.005 + 0.0023 * 6.71);
    assert_eq!(cases.0, 2);
}

// 12 x 12 in, free all round: P 4 ft, 0.5 ft2 clear, 0.25 ft of water. Weir 3.0 x 4 x 0.125 = 1.500; orifice 0.67 x 0.5 x
// (64.4 x 0.25)^(1/2) = 0.335 x 4.01248 = 1.344. Half clogged: 0.750 and 0.672.
#[test]
fn a_yard_grate_by_hand() {
    let mut cases = Cases::default();
    for (share, weir, orifice) in [(1.0, 1.500, 1.344), (0.5, 0.750, 0.672)] {
        let taken =
            grate_inflow(Length::from_ft(4.0), Area::from_ft2(0.5), open(share), Length::from_ft(0.25));
        cases.near("weir, ft3/s", taken.weir.as_ft3_per_s(), weir, 0.0023 * weir);
        cases.near("orifice, ft3/s", taken.orifice.as_ft3_per_s(), orifice, 0.0005 + 4e-4 * orifice);
        cases.near("what counts, ft3/s", taken.flow().as_ft3_per_s(), orifice, 0.0005 + 4e-4 * orifice);
    }
    assert_eq!(cases.0, 6);
    // Shallow water is held back by the edge: 3.0 x 4 x 0.04^1.5 = 0.096 against 0.335 x (64.4 x 0.04)^(1/2) = 0.538 ft3/s.
    let taken = grate_inflow(Length::from_ft(4.0), Area::from_ft2(0.5), open(1.0), Length::from_ft(0.04));
    cases.near("shallow, ft3/s", taken.flow().as_ft3_per_s(), 0.096, 0.0005);
    assert_eq!(cases.0, 7);
}

// 1.5 ft x 2.0 ft of stone at 1 %: K / 86 400 x 0.01 x 3 ft2; 10 000 ft/day gives 0.00347 ft3/s.
#[test]
fn a_stone_trench_carries_little_by_its_stone() {
    let mut cases = Cases::default();
    let k = |ft_per_day| Velocity::from_ft_per_day(ft_per_day);
    let area = Area::from_ft2(3.0);
    let range = stone_flow(Conductivity::new(k(10_000.0), k(100_000.0)).unwrap(), s(0.01), area);
    let middle = stone_flow(Conductivity::new(k(40_000.0), k(40_000.0)).unwrap(), s(0.01), area).most;
    let printed = [(range.least, 0.0035, 1.6), (middle, 0.0139, 6.2), (range.most, 0.0347, 15.6)];
    for (flow, cfs, gpm) in printed {
        cases.near("ft3/s", flow.as_ft3_per_s(), cfs, 0.000_05);
        cases.near("gal/min", flow.as_gal_per_min(), gpm, 0.05);
    }
    assert_eq!(cases.0, 6);
    // The point of the comparison: a 4 in pipe (n 0.015) at 1 % carries 74 gallons a minute.
    assert!(Flow::from_gal_per_min(74.0) > range.most * 4.0);
}
