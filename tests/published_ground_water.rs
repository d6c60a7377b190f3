//! Ground water and the water of wet ground against printed answers, in the books' units.
//!
//! Sources
//! - Interceptors: NRCS, National Engineering Handbook, section 16 and part 650, chapter 14. From memory, to be confirmed.
//! - Drawdown: L. K. Moulton, Highway Subdrainage Design, FHWA-TS-80-224 (1980), example of a side drain. From memory; the
//!   arithmetic agrees.
//! - Drainage coefficient: definition; arithmetic by a separate script.
//! - Conductivity: FAO, Irrigation and Drainage Paper 62, annex 1, after USBR (1984). Second hand. Stone: a Wright State University
//!   thesis (second hand), 1 darcy = 2.733 ft/day.
//!
//! Tolerances are half a unit of the last printed digit, unless said otherwise.

mod cases;

use cases::Cases;
use lotshed::formula::drainage_coefficient::drainage_flow;
use lotshed::formula::interceptor_inflow::{added_for_fall, interceptor_inflow};
use lotshed::formula::interceptor_seepage::interceptor_seepage;
use lotshed::formula::side_drawdown::{drawdown_reach, side_inflow};
use lotshed::interceptor::materials::Materials;
use lotshed::units::{Area, Flow, Grade, Length, Velocity};

const FT3_DAY: f64 = 86_400.0;

#[expect(clippy::unwrap_used, reason = "the printed examples are in range")]
fn fall(value: f64) -> Grade {
    Grade::new(value).unwrap()
}

// K 0.34 ft/day, drawdown 20 ft: L = 76 ft, q = 0.34 x 20² / (2 x 76) = 0.895 ft³/day by foot (0.8947).
#[test]
fn moulton_side_drain_from_memory() {
    let mut cases = Cases::default();
    let drawdown = Length::from_ft(20.0);
    cases.near("reach, ft", drawdown_reach(drawdown).as_ft(), 76.0, 0.5);
    let flow = side_inflow(Velocity::from_ft_per_day(0.34), drawdown, Length::from_ft(1.0));
    cases.near("q, ft3/day", flow.as_ft3_per_s() * FT3_DAY, 0.895, 0.0005);
    cases.near("q, ft3/day, digits", flow.as_ft3_per_s() * FT3_DAY, 0.8947, 0.000_05);
    assert_eq!(cases.0, 3);
}

// q = K S (H - h): closed form of Dupuit and Forchheimer. 0.34 ft/day x 0.05 x (6 - 2) ft = 0.068 ft³/day by
// foot. Darcy's law with the whole depth: 0.34 x 0.05 x 6.
#[test]
fn an_interceptor_takes_what_it_lowers() {
    let mut cases = Cases::default();
    let k = Velocity::from_ft_per_day(0.34);
    for (left_ft, printed) in [(2.0, 0.068), (0.0, 0.102), (6.0, 0.0)] {
        let depths = [Length::from_ft(6.0), Length::from_ft(left_ft)];
        let flow = interceptor_seepage(k, fall(0.05), depths, Length::from_ft(1.0));
        cases.near("q, ft3/day", flow.as_ft3_per_s() * FT3_DAY, printed, 1e-9);
    }
    assert_eq!(cases.0, 3);
}

// 1 in/day is 0.04201 ft³/s an acre = A / 23.80; 1/2 in/day on 80 acres: 1.681 ft³/s.
#[test]
fn drainage_coefficient_of_a_field() {
    let mut cases = Cases::default();
    let flow = |inches: f64, acres: f64| {
        drainage_flow(Length::from_in(inches), Area::from_acres(acres)).as_ft3_per_s()
    };
    cases.near("an acre, ft3/s", flow(1.0, 1.0), 0.042_01, 0.000_005);
    cases.near("23.80 acres, ft3/s", flow(1.0, 23.80), 1.0, 0.0005);
    cases.near("80 acres, ft3/s", flow(0.5, 80.0), 1.681, 0.0005);
    assert_eq!(cases.0, 3);
}

#[test]
fn inflow_into_a_thousand_feet_by_soil_from_memory() {
    let rows = [
        ("gravel", [0.15, 1.00]),
        ("sand", [0.07, 0.25]),
        ("sandy-loam", [0.07, 0.25]),
        ("silt", [0.04, 0.10]),
        ("clay", [0.02, 0.20]),
    ];
    let materials = Materials::built_in();
    let mut cases = Cases::default();
    for (name, printed) in rows {
        let found = materials.soil(name).unwrap().inflow_per_1000_ft().unwrap();
        for (end, cfs) in found.into_iter().zip(printed) {
            let flow = interceptor_inflow(end, Length::from_ft(1000.0), fall(0.01));
            cases.near(name, flow.as_ft3_per_s(), cfs, 1e-12);
        }
    }
    // 10 % more on 2 to 5 %, 20 % on 5 to 12 %, 30 % over 12 %.
    for (at, added) in [(0.01, 0.0), (0.03, 0.1), (0.08, 0.2), (0.15, 0.3)] {
        cases.near("added", added_for_fall(fall(at)), added, 1e-12);
        let flow = interceptor_inflow(Flow::from_ft3_per_s(0.1), Length::from_ft(500.0), fall(at));
        cases.near("500 ft, ft3/s", flow.as_ft3_per_s(), 0.05 * (1.0 + added), 1e-12);
    }
    assert_eq!(cases.0, 18);
    assert!(materials.soil("rock").unwrap().inflow_per_1000_ft().is_none());
}

// Loamy and fine sand 1.6 to 6.0 m/day; clay from massive, 0.01, to structured clay loam, 3.0. Nothing is
// printed of loam.
#[test]
fn what_soil_conducts() {
    let materials = Materials::built_in();
    let mut cases = Cases::default();
    for (name, printed) in [("sand", [1.6, 6.0]), ("clay", [0.01, 3.0])] {
        let range = materials.soil(name).unwrap().conductivity().unwrap();
        cases.near(name, range.least().as_m_per_day(), printed[0], 1e-9);
        cases.near(name, range.most().as_m_per_day(), printed[1], 1e-9);
    }
    assert!(materials.soil("loam").unwrap().conductivity().is_none());
    // 4 000 to 100 000 darcy: 3.3e3 to 8.3e4 m/day, 1.09e4 to 2.73e5 ft/day.
    let stone = materials.stone("57").unwrap().conductivity();
    cases.near("stone, m/day", stone.least().as_m_per_day(), 4_000.0 * 2.733 * 0.3048, 50.0);
    cases.near("stone, m/day", stone.most().as_m_per_day(), 100_000.0 * 2.733 * 0.3048, 500.0);
    assert_eq!(cases.0, 6);
}
