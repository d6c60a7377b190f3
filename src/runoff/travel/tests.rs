//! Expected values worked out apart from the program, by the printed equations (Python, 2026).

use super::*;
use crate::formula::intensity_curve::IntensityCurve;
use crate::units::{Grade, ManningN, Retardance};
use approx::assert_relative_eq;
use proptest::prelude::*;

fn lawn() -> Surface {
    Surface {
        sheet: SheetRoughness::new(0.24).unwrap(),
        shallow: ShallowFlow::ShortGrassPasture,
        retardance: Retardance::new(0.4).unwrap(),
    }
}

/// A straight way of even fall with a point every metre.
fn slope(length_m: u32, grade: f64) -> Vec<WayPoint> {
    (0..=length_m)
        .map(|m| WayPoint {
            at_m: f64::from(m),
            level_m: 100.0 - grade * f64::from(m),
            fall: grade,
            upstream_m2: 10.0 * f64::from(m),
            surface: lawn(),
        })
        .collect()
}

fn basis() -> TravelBasis {
    TravelBasis {
        method: TimeMethod::Chain,
        least: Time::from_min(5.0),
        two_year_day: None,
        channel: None,
        coefficient: RunoffCoefficient::new(0.35).ok(),
        curve_number: CurveNumber::new(75.0).ok(),
    }
}

fn steady(mm_per_h: f64) -> Rain {
    Rain::steady(RainIntensity::from_mm_per_h(mm_per_h), None)
}

// Flat for 10 m, then 6 %: whatever ends the sheet, its own length is what the printed rule gives of its own fall.
#[test]
fn a_sheet_is_as_long_as_its_own_fall_allows() {
    let level = |m: f64| 100.0 - 0.002 * m - 0.06 * (m - 10.0).max(0.0);
    let point = |m: u32| WayPoint {
        at_m: f64::from(m),
        level_m: level(f64::from(m)),
        fall: if m < 10 { 0.002 } else { 0.06 },
        upstream_m2: 1.0,
        surface: lawn(),
    };
    let way: Vec<WayPoint> = (0..=80).map(point).collect();
    let found = concentrate(&way, &basis(), &steady(50.0)).value;
    let sheet = found.segments[0];
    let length_m = sheet.length.as_m();
    assert!((10.0..30.48).contains(&length_m), "{length_m}");
    let grade = (level(0.0) - level(length_m)) / length_m;
    assert_relative_eq!(sheet.grade.get(), grade, max_relative = 1e-6);
    assert_relative_eq!(length_m, 100.0 * 0.3048 * grade.sqrt() / 0.24, max_relative = 1e-5);
}

// 100 m of lawn at 2 %: sheet 100 0.02^0.5 / 0.24 ft = 17.96 m (below 100 ft), shallow at 6.962 0.02^0.5 ft/s beyond.
#[test]
fn a_lawn_is_a_sheet_first_and_gathers_then() {
    let found = concentrate(&slope(100, 0.02), &basis(), &steady(50.0)).value;
    let lengths: Vec<f64> = found.segments.iter().map(|s| s.length.as_m()).collect();
    assert_relative_eq!(lengths[0], 17.9605, epsilon = 1e-3);
    assert_relative_eq!(lengths[1], 82.0395, epsilon = 1e-3);
    assert_relative_eq!(found.segments[0].time.as_min(), 11.2117, epsilon = 1e-3);
    assert_relative_eq!(found.segments[1].time.as_min(), 4.5563, epsilon = 1e-3);
    assert_relative_eq!(found.time.as_min(), 15.7679, epsilon = 2e-3);
    assert!(!found.least_governs);
    assert!(matches!(
        found.segments[0].kind,
        SegmentKind::Sheet { rule: SheetRule::Intensity, limit: SheetLimit::ByRoughness, .. }
    ));
}

#[test]
fn the_two_year_day_gives_the_sheet_its_time_when_it_is_known() {
    let basis = TravelBasis { two_year_day: Some(Length::from_mm(80.0)), ..basis() };
    let found = concentrate(&slope(100, 0.02), &basis, &steady(50.0)).value;
    assert_relative_eq!(found.time.as_min(), 13.9778, epsilon = 2e-3);
}

// i = 1000 / (t + 10)^0.8 mm/h with t in minutes.
#[test]
fn time_and_rain_are_found_together() {
    let rain = Rain::curve(IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 0.8).unwrap(), None);
    let found = concentrate(&slope(100, 0.02), &basis(), &rain).value;
    assert_relative_eq!(found.time.as_min(), 13.8957, epsilon = 2e-3);
    assert_relative_eq!(found.rain.intensity.as_mm_per_h(), 78.9486, epsilon = 1e-2);
    assert_relative_eq!(found.rain.duration.unwrap().as_min(), found.time.as_min(), max_relative = 1e-5);
}

#[test]
fn the_formulas_for_the_whole_way_stand_beside_it() {
    let found = concentrate(&slope(100, 0.02), &basis(), &steady(50.0)).value;
    let minutes = |wanted: TimeMethod| {
        found.others.iter().find(|(method, _)| *method == wanted).map(|(_, time)| time.as_min()).unwrap()
    };
    assert_relative_eq!(minutes(TimeMethod::KerbyKirpich), 20.2495, max_relative = 1e-5);
    assert_relative_eq!(minutes(TimeMethod::Airport), 19.408, max_relative = 1e-3);
    assert_relative_eq!(minutes(TimeMethod::Lag), 10.698, max_relative = 1e-3);
    let lag = TravelBasis { method: TimeMethod::Lag, ..basis() };
    let by_lag = concentrate(&slope(100, 0.02), &lag, &steady(50.0)).value;
    assert_relative_eq!(by_lag.time.as_min(), 10.698, max_relative = 1e-3);
}

#[test]
fn a_formula_that_lacks_something_gives_way_to_the_chain_with_a_warning() {
    let lag = TravelBasis { method: TimeMethod::Lag, curve_number: None, ..basis() };
    let found = concentrate(&slope(100, 0.02), &lag, &steady(50.0));
    assert_eq!(found.value.method, TimeMethod::Chain);
    assert_eq!(found.warnings[0].code, "time-method-does-not-hold");
}

#[test]
fn a_short_way_takes_the_least_time_and_says_so() {
    let found = concentrate(&slope(3, 0.05), &basis(), &steady(100.0)).value;
    assert!(found.least_governs);
    assert_relative_eq!(found.time.as_min(), 5.0);
    assert!(matches!(
        found.segments[..],
        [Segment { kind: SegmentKind::Sheet { limit: SheetLimit::WholeWay, .. }, .. }]
    ));
}

#[test]
fn level_ground_takes_the_least_grade() {
    let found = concentrate(&slope(60, 0.0), &basis(), &steady(50.0)).value;
    assert!(found.segments.iter().all(|s| s.raised));
    assert_relative_eq!(found.segments[0].grade.get(), LEAST_GRADE);
}

// From 600 m2 above on, which is 60 m down, Manning with R 0.15 m, n 0.05: 0.15^(2/3) 0.02^0.5 / 0.05 = 0.7985 m/s.
#[test]
fn a_channel_takes_over_where_enough_ground_lies_above() {
    let channel = ChannelFlow {
        from: Area::from_m2(600.0),
        radius: Length::from_m(0.15),
        n: ManningN::new(0.05).unwrap(),
    };
    let found =
        concentrate(&slope(100, 0.02), &TravelBasis { channel: Some(channel), ..basis() }, &steady(50.0))
            .value;
    let last = found.segments.last().unwrap();
    assert!(matches!(last.kind, SegmentKind::Channel(_)));
    assert_relative_eq!(last.length.as_m(), 40.0, epsilon = 1e-9);
    assert_relative_eq!(last.velocity().as_m_per_s(), 0.7985, epsilon = 1e-3);
    assert_relative_eq!(found.length().as_m(), 100.0, epsilon = 1e-9);
}

#[test]
fn shallow_flow_changes_with_the_ground() {
    let mut way = slope(100, 0.02);
    for point in way.iter_mut().filter(|p| p.at_m >= 50.0) {
        point.surface.shallow = ShallowFlow::Pavement;
    }
    let found = concentrate(&way, &basis(), &steady(50.0)).value;
    let shallow: Vec<(f64, f64)> =
        found.segments[1..].iter().map(|s| (s.length.as_m(), s.velocity().as_ft_per_s())).collect();
    assert_eq!(shallow.len(), 2);
    assert_relative_eq!(shallow[0].1, 6.962 * 0.02_f64.sqrt(), max_relative = 1e-4);
    assert_relative_eq!(shallow[1].0, 50.0, epsilon = 1e-9);
    assert_relative_eq!(shallow[1].1, 20.328 * 0.02_f64.sqrt(), max_relative = 1e-4);
}

proptest! {
    #[test]
    fn stronger_rain_never_takes_longer(i in 5.0..200.0f64, more in 1.0..3.0f64, length in 10..500_u32, grade in 0.0..0.2f64) {
        let way = slope(length, grade);
        let time = |i: f64| concentrate(&way, &basis(), &steady(i)).value.time.as_s();
        prop_assert!(time(i * more) <= time(i) * (1.0 + 1e-9));
        let found = concentrate(&way, &basis(), &steady(i)).value;
        prop_assert!((found.length().as_m() - f64::from(length)).abs() < 1e-6);
        prop_assert!(found.segments.iter().all(|s| s.grade.get() >= Grade::new(LEAST_GRADE).unwrap().get()));
    }
}
