//! Expected values by hand arithmetic, and what must add up.

use super::super::travel::{Surface, Way, WayPoint};
use super::*;
use crate::formula::graphical_peak::RainfallType;
use crate::formula::intensity_curve::IntensityCurve;
use crate::formula::shallow_flow::ShallowFlow;
use crate::runoff::GraphicalBasis;
use crate::units::{CurveNumber, PondShare, RainIntensity, Retardance, SheetRoughness};
use approx::assert_relative_eq;
use proptest::prelude::*;

fn surface() -> Surface {
    Surface {
        sheet: SheetRoughness::new(0.24).unwrap(),
        shallow: ShallowFlow::ShortGrassPasture,
        retardance: Retardance::new(0.4).unwrap(),
    }
}

fn kind(name: &str, coefficient: Option<f64>, number: Option<f64>, fast: bool) -> GroundKind {
    GroundKind {
        name: name.to_owned(),
        coefficient: coefficient.map(|c| RunoffCoefficient::new(c).unwrap()),
        coefficient_from: "given by the user".to_owned(),
        typed: false,
        built_up: false,
        factor: None,
        curve_number: number.map(|n| CurveNumber::new(n).unwrap()),
        curve_number_from: "given by the user".to_owned(),
        surface: surface(),
        times_from: "a test".to_owned(),
        fast,
    }
}

fn lawn_and_roof() -> Vec<GroundKind> {
    vec![kind("lawn", Some(0.2), Some(74.0), false), kind("roof", Some(0.9), Some(98.0), true)]
}

fn label(place: usize) -> Label {
    Label::of_place(place).unwrap()
}

/// Ground on a lot, with the minutes that its water takes.
fn piece(place: usize, kind: usize, m2: f64, minutes: f64) -> Piece {
    Piece { label: label(place), kind, time: Time::from_min(minutes), area: Area::from_m2(m2) }
}

/// A way that falls 2 %.
fn way(length_m: f64) -> Way {
    let point = |at_m: f64| WayPoint {
        at_m,
        level_m: 50.0 - 0.02 * at_m,
        fall: 0.02,
        upstream_m2: at_m,
        surface: surface(),
    };
    Way {
        points: vec![point(0.0), point(length_m)],
        coefficient: RunoffCoefficient::new(0.2).ok(),
        curve_number: None,
    }
}

/// All ground lies at the lot line.
const fn at_the_line(_: Time) -> Option<Way> {
    None
}

fn water(pieces: &[Piece]) -> CrossingWater<'static> {
    CrossingWater { pieces: pieces.to_vec(), longest: &at_the_line }
}

fn steady(mm_per_h: f64) -> DesignBasis {
    let rain = Rain::steady(RainIntensity::from_mm_per_h(mm_per_h), None);
    DesignBasis { rain: Some(rain), rain_depth: Some(Length::from_in(4.3)), ..DesignBasis::default() }
}

fn falling() -> DesignBasis {
    let curve = IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 0.8).unwrap();
    DesignBasis { rain: Some(Rain::curve(curve, None)), ..DesignBasis::default() }
}

fn flows(basis: &DesignBasis, kinds: Vec<GroundKind>, crossings: &[CrossingWater<'_>]) -> LotDesign {
    match design(basis, kinds, crossings).value {
        Design::Estimated(found) => *found,
        other => panic!("no flows: {other:?}"),
    }
}

// 36 mm/h is 1e-5 m/s: lawn 0.2 x 700, roof 0.9 x 300 m2, together 410 m2 of full runoff = 4.1 l/s; C = 0.41.
// 4.3 in of rain on CN 74 run off 1.8198 in (NEH Part 630, example 10-1, printed 1.82), on CN 98 4.0642 in by the equation.
#[test]
fn covers_add_up_to_the_crossings_flow_and_volume() {
    let found =
        flows(&steady(36.0), lawn_and_roof(), &[water(&[piece(1, 0, 700.0, 5.0), piece(2, 1, 300.0, 5.0)])]);
    assert_relative_eq!(found.peak.flow.as_l_per_s(), 4.1, max_relative = 1e-12);
    assert_relative_eq!(found.coefficient.get(), 0.41, max_relative = 1e-12);
    assert_relative_eq!(found.by_kind[&1].flow.as_l_per_s(), 2.7, max_relative = 1e-12);
    assert_relative_eq!(found.by_lot[&label(1)].flow.as_l_per_s(), 1.4, max_relative = 1e-12);
    let lawn_m3 = 1.8198 * 0.0254 * 700.0;
    let roof_m3 = 4.0642 * 0.0254 * 300.0;
    assert_relative_eq!(found.volume.unwrap().as_m3(), lawn_m3 + roof_m3, max_relative = 1e-4);
}

#[test]
fn what_is_missing_is_named_and_nothing_is_assumed() {
    let needs = |basis: &DesignBasis, kinds: Vec<GroundKind>| match design(
        basis,
        kinds,
        &[water(&[piece(1, 0, 10.0, 5.0)])],
    )
    .value
    {
        Design::NotEstimated { needs } => needs,
        other => panic!("estimated from nothing: {other:?}"),
    };
    let bare = vec![kind("ground of unknown cover", None, None, false)];
    let coefficient = Missing::Coefficient {
        ground: "ground of unknown cover".to_owned(),
        because: "given by the user".to_owned(),
    };
    assert_eq!(needs(&DesignBasis::default(), bare.clone()), [Missing::Intensity, coefficient.clone()]);
    assert_eq!(needs(&steady(36.0), bare), [coefficient]);
    assert_eq!(needs(&DesignBasis::default(), lawn_and_roof()), [Missing::Intensity]);
}

#[test]
fn a_kind_that_is_not_there_need_not_be_known() {
    let kinds = vec![kind("lawn", Some(0.2), None, false), kind("marsh", None, None, false)];
    let found = flows(&steady(36.0), kinds, &[water(&[piece(1, 0, 10.0, 5.0)])]);
    assert!(found.volume.is_none(), "no curve number, no volume");
    assert_eq!(design(&steady(36.0), lawn_and_roof(), &[]).value, Design::NoRunOn);
}

/// The one crossing of some water.
fn crossing(basis: &DesignBasis, water: CrossingWater<'_>) -> CrossingDesign {
    flows(basis, lawn_and_roof(), &[water]).crossings.remove(0)
}

fn m3_s(found: &CrossingDesign) -> f64 {
    found.peak.flow.as_m3_per_s()
}

// A yard of 1000 m2 that takes 8 min, and a strip of 100 m2 that takes 40. By hand: 1000 / 18^0.8 mm/h on 200 m2 of full runoff, which is
// more than 1000 / 50^0.8 on 220.
#[test]
fn a_long_thin_rest_does_not_lower_the_flow() {
    let found = crossing(&falling(), water(&[piece(1, 0, 1000.0, 8.0), piece(2, 0, 100.0, 40.0)]));
    let by_hand = |minutes: f64, m2: f64| 1000.0 / (minutes + 10.0).powf(0.8) / 3.6e6 * m2;
    assert!(by_hand(40.0, 220.0) < by_hand(8.0, 200.0), "the check is needed here");
    assert_relative_eq!(m3_s(&found), by_hand(8.0, 200.0), max_relative = 1e-12);
    assert!(found.peak.is_partial());
    assert_relative_eq!(found.by_kind[&0].joined.as_m2(), 1000.0, max_relative = 1e-12);
    assert_relative_eq!(found.by_lot[&label(2)].flow.as_m3_per_s(), 0.0);
}

// Ten pieces of paving, 1000 m2 each, the last of which takes 20 min: all of it in the rain of 20 min.
#[test]
fn evenly_spread_ground_has_the_flow_of_its_longest_way() {
    let pieces: Vec<Piece> = (1..=10).map(|i| piece(1, 1, 1000.0, 2.0 * f64::from(i))).collect();
    let found = crossing(&falling(), water(&pieces));
    assert!(!found.peak.is_partial());
    let by_hand = 0.9 * 10_000.0 * 1000.0 / 30.0_f64.powf(0.8) / 3.6e6;
    assert_relative_eq!(m3_s(&found), by_hand, max_relative = 1e-12);
}

// The strip beyond the peak sets the time of concentration, the yard's way is that of the ground that has joined.
#[test]
fn times_are_told_of_all_ground_and_of_what_has_joined() {
    let longest = |within: Time| Some(way(if within.as_min() < 39.0 { 30.0 } else { 540.0 }));
    let pieces = vec![piece(1, 0, 1000.0, 8.0), piece(2, 0, 100.0, 40.0)];
    let found = crossing(&falling(), CrossingWater { pieces, longest: &longest });
    let length_m = |found: &Option<Concentration>| found.as_ref().unwrap().length().as_m();
    assert_relative_eq!(length_m(&found.concentration), 540.0, max_relative = 1e-12);
    assert_relative_eq!(length_m(&found.joined_concentration), 30.0, max_relative = 1e-12);
    let time = found.concentration.as_ref().unwrap().time.as_min();
    let one_time = 1000.0 / (time + 10.0).powf(0.8) / 3.6e6 * 220.0;
    assert_relative_eq!(found.composite_flow().as_m3_per_s(), one_time, max_relative = 1e-6);
}

#[test]
fn a_trace_of_far_water_is_not_spoken_of() {
    let of = |m2: f64| crossing(&falling(), water(&[piece(1, 0, 1000.0, 8.0), piece(1, 0, m2, 90.0)]));
    assert!(!of(0.9).peak.is_partial() && of(1.1).peak.is_partial());
}

#[test]
fn rain_at_the_lot_line_takes_the_least_time() {
    let found = flows(&falling(), lawn_and_roof(), &[water(&[piece(1, 0, 10.0, 5.0)])]);
    assert!(found.crossings[0].concentration.is_none());
    assert_relative_eq!(found.peak.time.as_min(), 5.0);
}

// HDS-2 section 5.3.1: the rational method is for areas up to 80 ha.
#[test]
fn a_large_area_is_worked_out_with_a_warning() {
    let found = design(&steady(36.0), lawn_and_roof(), &[water(&[piece(1, 0, 810_000.0, 5.0)])]);
    assert!(found.value.flows().is_some());
    assert_eq!(found.warnings[0].code, "area-beyond-rational-method");
    assert!(found.warnings[0].message.contains("81 ha"));
}

#[test]
fn the_second_opinion_on_the_whole_is_that_on_its_only_crossing() {
    let graphical = GraphicalBasis { rainfall_type: RainfallType::Ii, pond_share: PondShare::NONE };
    let basis =
        DesignBasis { graphical: Some(graphical), rain_depth: Some(Length::from_mm(150.0)), ..falling() };
    let longest = |_: Time| Some(way(500.0));
    let pieces = vec![piece(1, 0, 100.0, 20.0), piece(2, 1, 900.0, 25.0)];
    let found = flows(&basis, lawn_and_roof(), &[CrossingWater { pieces, longest: &longest }]);
    assert!(found.graphical.is_some());
    assert_eq!(found.graphical, found.crossings[0].graphical);
}

prop_compose! {
    /// Crossings with ground that takes 5 minutes to 2 hours.
    fn waters()(
        parts in prop::collection::vec(
            prop::collection::vec((1..4_usize, 0..2_usize, 1.0..5e3f64, 5.0..120.0f64), 1..8), 1..4)
    ) -> Vec<CrossingWater<'static>> {
        let of = |(place, kind, m2, minutes)| piece(place, kind, m2, minutes);
        parts.into_iter().map(|pieces| water(&pieces.into_iter().map(of).collect::<Vec<_>>())).collect()
    }
}

proptest! {
    #[test]
    fn portions_add_up_at_every_crossing_and_for_the_whole(waters in waters()) {
        let basis = DesignBasis { rain_depth: Some(Length::from_mm(90.0)), ..falling() };
        let found = flows(&basis, lawn_and_roof(), &waters);
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs();
        let sum = |portions: Vec<&Portion>| -> (f64, f64) {
            (
                portions.iter().map(|p| p.flow.as_m3_per_s()).sum(),
                portions.iter().map(|p| p.volume.unwrap().as_m3()).sum(),
            )
        };
        let whole = (found.peak.flow.as_m3_per_s(), found.volume.unwrap().as_m3());
        for (flow, volume) in [sum(found.by_lot.values().collect()), sum(found.by_kind.values().collect())] {
            prop_assert!(close(flow, whole.0) && close(volume, whole.1));
        }
        for crossing in &found.crossings {
            let own = (crossing.peak.flow.as_m3_per_s(), crossing.volume.unwrap().as_m3());
            for (flow, volume) in [sum(crossing.by_lot.values().collect()), sum(crossing.by_kind.values().collect())] {
                prop_assert!(close(flow, own.0) && close(volume, own.1));
            }
        }
        prop_assert!(whole.0 <= found.bound.as_m3_per_s() * (1.0 + 1e-12));
        let volumes: f64 = found.crossings.iter().map(|c| c.volume.unwrap().as_m3()).sum();
        prop_assert!(close(volumes, whole.1));
    }

    #[test]
    fn more_ground_or_paving_never_lowers_a_flow(
        waters in waters(), kind in 0..2_usize, (m2, minutes) in (1.0..5e3f64, 5.0..200.0f64), paved in any::<prop::sample::Index>(),
    ) {
        let peak = |waters: &[CrossingWater<'_>]| {
            let found = flows(&falling(), lawn_and_roof(), waters);
            let each: Vec<f64> = found.crossings.iter().map(m3_s).collect();
            (found.peak.flow.as_m3_per_s(), each)
        };
        let (whole, each) = peak(&waters);
        prop_assert!(each.iter().all(|flow| whole >= flow * (1.0 - 1e-9)));
        prop_assert!(whole <= each.iter().sum::<f64>() * (1.0 + 1e-9));
        let mut larger: Vec<CrossingWater<'_>> = waters.iter().map(|each| water(&each.pieces)).collect();
        larger[0].pieces.push(piece(1, kind, m2, minutes));
        let (more, each_more) = peak(&larger);
        prop_assert!(more >= whole * (1.0 - 1e-9) && each_more[0] >= each[0] * (1.0 - 1e-9), "{whole} {more}");
        let place = paved.index(larger[0].pieces.len());
        larger[0].pieces[place].kind = 1;
        let (harder, _) = peak(&larger);
        prop_assert!(harder >= more * (1.0 - 1e-9), "{more} {harder}");
    }

    #[test]
    fn more_rain_area_or_runoff_never_lowers_a_flow(waters in waters(), more in 1.0..3.0f64) {
        let peak = |curve: f64, kinds: Vec<GroundKind>, waters: &[CrossingWater<'_>]| {
            let rain = Rain::curve(IntensityCurve::in_mm_per_h_and_min(curve, 10.0, 0.8).unwrap(), None);
            let basis = DesignBasis { rain: Some(rain), ..DesignBasis::default() };
            flows(&basis, kinds, waters).peak.flow.as_m3_per_s()
        };
        let base = peak(1000.0, lawn_and_roof(), &waters) * (1.0 - 1e-9);
        prop_assert!(peak(1000.0 * more, lawn_and_roof(), &waters) >= base);
        let mut wetter = lawn_and_roof();
        wetter[0].coefficient = RunoffCoefficient::new((0.2 * more).min(1.0)).ok();
        prop_assert!(peak(1000.0, wetter, &waters) >= base);
        let mut larger: Vec<CrossingWater<'_>> = waters.iter().map(|each| water(&each.pieces)).collect();
        for piece in larger.iter_mut().flat_map(|water| &mut water.pieces) {
            piece.area = piece.area * more;
        }
        prop_assert!(peak(1000.0, lawn_and_roof(), &larger) >= base);
    }
}
