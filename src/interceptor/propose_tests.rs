//! Expected values by hand arithmetic on a rectangle and planes.

use super::super::findings::without_outlet;
use super::super::part::Coverage;
use super::super::swale::SwaleSizing;
use super::*;
use crate::units::{RainIntensity, RunoffCoefficient};
use approx::assert_relative_eq;
use geo::{MultiPolygon, polygon};

/// 40 x 20 m; clockwise from its north-west corner at (0, 20).
fn lot(metres_per_unit: f64) -> LotLine {
    let u = 1.0 / metres_per_unit;
    let lot: MultiPolygon =
        polygon![(x: 0., y: 0.), (x: 40. * u, y: 0.), (x: 40. * u, y: 20. * u), (x: 0., y: 20. * u)].into();
    LotLine::new(&lot, metres_per_unit).unwrap()
}

fn settings(obstacles: &Obstacles, setback_m: f64) -> LineSettings<'_> {
    LineSettings {
        setback: Length::from_m(setback_m),
        cell: Length::from_m(0.5),
        min_grade: Grade::new(0.01).unwrap(),
        swale: SwaleRules::usual().unwrap(),
        obstacles,
        past_inflow: Length::ZERO,
    }
}

/// 4 inches an hour, whatever the duration.
fn rain() -> Rain {
    Rain::steady(RainIntensity::from_in_per_h(4.0), None)
}

/// Everywhere the coefficient 0.35.
fn storm(rain: &Rain) -> LineStorm<'_> {
    let strip_coefficient = RunoffCoefficient::new(0.35).unwrap();
    LineStorm { rain, strip_coefficient, strip_time: Time::from_min(5.0) }
}

fn north_side(from_m: f64, to_m: f64, area_m2: f64) -> CaughtStretch {
    CaughtStretch {
        stretch: Stretch { ring: 0, from_m, to_m, members: vec![] },
        contributing_area: Area::from_m2(area_m2),
    }
}

/// What enters over the stretch, and nothing else.
fn water(caught: &CaughtStretch) -> PartWater {
    let shedding = caught.contributing_area * 0.35;
    PartWater { streams: vec![Stream { shedding, time: Time::from_min(10.0) }], ..PartWater::default() }
}

fn proposed(
    line: &LotLine,
    caught: &CaughtStretch,
    ground: &dyn Fn(Coord) -> Option<f64>,
) -> Warned<InterceptionLine> {
    sized(line, std::slice::from_ref(caught), ground, Some(storm(&rain())), 0.6).unwrap()
}

fn sized(
    line: &LotLine,
    caught: &[CaughtStretch],
    ground: &dyn Fn(Coord) -> Option<f64>,
    storm: Option<LineStorm<'_>>,
    setback_m: f64,
) -> Result<Warned<InterceptionLine>, InterceptorError> {
    let (obstacles, catalogue) = (Obstacles::none(), Catalogue::ordinary().unwrap());
    let settings = settings(&obstacles, setback_m);
    let mut found = propose(line, caught, ground, &settings)?;
    let waters: Vec<PartWater> = caught.iter().map(water).collect();
    let more = size_line(&mut found.value, &waters, storm, &catalogue, &settings)?;
    found.warnings.extend(more.warnings);
    Ok(found)
}

#[test]
fn the_line_runs_downhill_with_a_station_each_metre() {
    // Falls 2 % to the west: the line runs against the clock.
    let ground = |p: Coord| Some(100.0 + 0.02 * p.x);
    let found = proposed(&lot(1.0), &north_side(10.0, 30.5, 800.0), &ground);
    assert!(found.warnings.is_empty(), "{:?}", found.warnings);
    let part = &found.value.parts[0];
    assert_relative_eq!(part.path.0[0].x, 30.5, epsilon = 1e-4);
    assert_relative_eq!(part.length.as_m(), 20.5, epsilon = 1e-4);
    assert_eq!(part.stations.len(), 22);
    assert_relative_eq!(part.stations[3].station_m, 3.0);
    assert_relative_eq!(part.stations[21].station_m, 20.5, epsilon = 1e-4);
    assert_relative_eq!(part.from_ground_m().unwrap(), 100.61, epsilon = 1e-4);
    assert_relative_eq!(part.to_ground_m().unwrap(), 100.2, epsilon = 1e-4);
    assert_eq!((part.highest, part.lowest), (Some(0), Some(21)));
    assert_relative_eq!(part.ground_grade().unwrap(), 0.02, epsilon = 1e-4);
    assert_relative_eq!(part.strip_area.as_m2(), 0.6 * 20.5, epsilon = 1e-3);
}

#[test]
fn a_neighbours_8611_square_feet_at_4_inches_an_hour_need_a_6_inch_pipe() {
    // 0.35 x 4 in/h x 800 m2 (8611 ft2) = 7.902 l/s = 125 gpm by hand, above the 92.5 gpm of a smooth 4-inch pipe at
    // 1 % with n 0.012 and below the 272.8 of 6 inches (Manning's closed form, worked out apart from this program).
    let ground = |p: Coord| Some(100.0 + 0.012 * p.x);
    let found = proposed(&lot(1.0), &north_side(10.0, 30.0, 800.0), &ground);
    let part = &found.value.parts[0];
    // The strip of 12 m2 comes on top.
    let flow = part.flow().unwrap();
    assert_relative_eq!(flow.as_gal_per_min(), 125.24 * 812.0 / 800.0, epsilon = 0.05);
    let sizing = part.sizing.as_ref().unwrap();
    assert_relative_eq!(sizing.pipe.fit().unwrap().size.nominal_in, 6.0);
    assert_relative_eq!(sizing.smooth_pipe.as_ref().unwrap().fit().unwrap().size.nominal_in, 6.0);
    assert!(matches!(sizing.swale, SwaleSizing::Fits(_)));
}

#[test]
fn without_a_storm_the_line_is_there_but_nothing_is_sized() {
    let ground = |_: Coord| Some(100.0);
    let caught = [north_side(10.0, 30.0, 800.0)];
    let found = sized(&lot(1.0), &caught, &ground, None, 0.6).unwrap();
    let part = &found.value.parts[0];
    assert!(part.peak.is_none() && part.sizing.is_none());
    assert_eq!(part.stations.len(), 21);
}

#[test]
fn coordinates_in_feet_give_the_same_line_in_metres() {
    let ft = 0.3048;
    let ground = |p: Coord| Some(100.0 + 0.02 * p.x * ft);
    let found = proposed(&lot(ft), &north_side(10.0, 30.0, 800.0), &ground);
    let part = &found.value.parts[0];
    assert_relative_eq!(part.length.as_m(), 20.0, epsilon = 1e-4);
    assert_relative_eq!(part.path.0[0].x * ft, 30.0, epsilon = 1e-4);
    assert_relative_eq!(part.strip_area.as_m2(), 12.0, epsilon = 1e-3);
    assert_relative_eq!(part.ground_grade().unwrap(), 0.02, epsilon = 1e-4);
}

#[test]
fn what_is_wrong_along_the_line_is_said() {
    let codes = |found: &Warned<InterceptionLine>| found.warnings.iter().map(|w| w.code).collect::<Vec<_>>();
    // Said only where no outlet is reached by gravity: with one the drain's own profile answers them.
    let without_outlet = |found: &Warned<InterceptionLine>| {
        let said = without_outlet(&found.value.parts[0], Grade::new(0.01).unwrap());
        said.iter().map(|w| w.code).collect::<Vec<_>>()
    };
    // A dip of 0.5 m in the middle.
    let dip = |p: Coord| Some(100.0 + 0.05 * (p.x - 20.0).abs());
    let found = proposed(&lot(1.0), &north_side(10.0, 30.0, 800.0), &dip);
    assert_eq!(without_outlet(&found), ["line-dips", "ground-flatter-than-grade"]);
    assert!(found.warnings.is_empty(), "{:?}", found.warnings);
    assert_eq!(found.value.parts[0].lowest, Some(10));

    let falls = |p: Coord| Some(100.0 + 0.02 * p.x);
    let hole = |p: Coord| falls(p).filter(|_| p.x < 15.0 || p.x > 20.0);
    assert_eq!(
        codes(&proposed(&lot(1.0), &north_side(10.0, 30.0, 800.0), &hole)),
        ["ground-unknown-along-line"]
    );

    let found = proposed(&lot(1.0), &north_side(10.0, 30.0, 1e5), &falls);
    assert_eq!(without_outlet(&found), ["no-pipe-fits"]);

    let narrow: MultiPolygon =
        polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 1.), (x: 0., y: 1.)].into();
    let narrow = LotLine::new(&narrow, 1.0).unwrap();
    let found = proposed(&narrow, &north_side(10.0, 30.0, 800.0), &falls);
    assert_eq!(codes(&found), ["setback-reduced"]);
}

#[test]
fn a_line_much_shorter_than_its_stretch_says_that_it_can_be_passed() {
    // The whole north side of 40 m at a setback of 8 m: both ends lose 8 m.
    let falls = |p: Coord| Some(100.0 + 0.02 * p.x);
    let with = |setback_m: f64| {
        let caught = [north_side(0.0, 40.0, 800.0)];
        sized(&lot(1.0), &caught, &falls, Some(storm(&rain())), setback_m).unwrap()
    };
    let short = with(8.0);
    let codes: Vec<_> = short.warnings.iter().map(|w| w.code).collect();
    assert_eq!(codes, ["line-shorter-than-stretch"]);
    assert!(
        short.warnings[0].message.contains("24.0 m (78.7 ft) long beside a stretch of 40.0 m (131.2 ft)")
    );
    assert_eq!(short.value.parts[0].coverage(), Coverage::AtMost);
    // The corners' 2 x 0.6 m at the usual setback are no such gap.
    let usual = with(0.6);
    assert!(usual.warnings.is_empty(), "{:?}", usual.warnings);
    assert_eq!(usual.value.parts[0].coverage(), Coverage::Whole);
}

#[test]
fn ground_flatter_than_the_grade_costs_depth_and_rules_out_a_swale() {
    // Falls 0.2 %: over 20 m a pipe at 1 % gets (0.01 - 0.002) x 20 = 0.16 m deeper.
    let ground = |p: Coord| Some(100.0 + 0.002 * p.x);
    let found = proposed(&lot(1.0), &north_side(10.0, 30.0, 800.0), &ground);
    assert!(found.warnings.is_empty(), "{:?}", found.warnings);
    let said = without_outlet(&found.value.parts[0], Grade::new(0.01).unwrap());
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(said[0].code, "ground-flatter-than-grade");
    assert!(said[0].message.contains("0.16 m (0.52 ft) deeper"), "{}", said[0].message);
    let sizing = found.value.parts[0].sizing.as_ref().unwrap();
    assert!(matches!(sizing.swale, SwaleSizing::TooFlat(_)));
    assert_relative_eq!(sizing.grade.get(), 0.01);
}

#[test]
fn bad_input_is_refused_with_the_reason() {
    let flat = |_: Coord| Some(100.0);
    let mut other = north_side(1.0, 2.0, 1.0);
    other.stretch.ring = 3;
    let refused = |caught: CaughtStretch, setback_m: f64| {
        sized(&lot(1.0), &[caught], &flat, Some(storm(&rain())), setback_m).unwrap_err()
    };
    assert_eq!(refused(other, 0.6), InterceptorError::NoSuchRing { ring: 3, rings: 1 });
    assert!(matches!(refused(north_side(1.0, 2.0, 1.0), -0.6), InterceptorError::Setting { .. }));
}
