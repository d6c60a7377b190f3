//! Expected values by hand arithmetic, and what must add up.

use super::super::travel::Surface;
use super::*;
use crate::formula::graphical_peak::RainfallType;
use crate::formula::intensity_curve::IntensityCurve;
use crate::formula::shallow_flow::ShallowFlow;
use crate::runoff::{GraphicalBasis, TimeMethod};
use crate::units::{PondShare, RainIntensity, Retardance, SheetRoughness};
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

fn piece(place: usize, kind: usize, m2: f64) -> Piece {
    Piece { label: label(place), kind, band: place, area: Area::from_m2(m2) }
}

/// A way of even fall.
fn falling_way(length_m: f64, grade: f64) -> Vec<WayPoint> {
    let point =
        |at_m: f64| WayPoint { at_m, level_m: 50.0 - grade * at_m, upstream_m2: at_m, surface: surface() };
    vec![point(0.0), point(length_m)]
}

/// A way that falls 2 %.
fn way(length_m: f64) -> Vec<WayPoint> {
    falling_way(length_m, 0.02)
}

const fn slow(band: usize) -> Sort {
    Sort { fast: false, band }
}

const fn fast(band: usize) -> Sort {
    Sort { fast: true, band }
}

/// Ways that fall 2 %, by their lengths; other ground lies at the lot line.
fn ways(lengths_m: &[(Sort, f64)]) -> Ways {
    Ways::new(lengths_m.iter().map(|&(sort, length_m)| (sort, way(length_m))).collect())
}

fn steady(mm_per_h: f64) -> DesignBasis {
    let rain = Rain::steady(RainIntensity::from_mm_per_h(mm_per_h), None);
    DesignBasis { rain: Some(rain), rain_depth: Some(Length::from_in(4.3)), ..DesignBasis::default() }
}

fn falling() -> DesignBasis {
    let curve = IntensityCurve::in_mm_per_h_and_min(1000.0, 10.0, 0.8).unwrap();
    DesignBasis { rain: Some(Rain::curve(curve, None)), ..DesignBasis::default() }
}

fn flows(basis: &DesignBasis, kinds: Vec<GroundKind>, crossings: &[CrossingWater]) -> LotDesign {
    match design(basis, kinds, crossings).value {
        Design::Estimated(found) => *found,
        other => panic!("no flows: {other:?}"),
    }
}

// 36 mm/h is 1e-5 m/s: lawn 0.2 x 700, roof 0.9 x 300 m2, together 410 m2 of full runoff = 4.1 l/s; C = 0.41.
// 4.3 in of rain on CN 74 run off 1.8198 in (NEH Part 630, example 10-1, printed 1.82), on CN 98 4.0642 in by the equation.
#[test]
fn covers_add_up_to_the_crossings_flow_and_volume() {
    let water = CrossingWater {
        pieces: vec![piece(1, 0, 700.0), piece(2, 1, 300.0)],
        ways: ways(&[(slow(1), 60.0)]),
    };
    let found = flows(&steady(36.0), lawn_and_roof(), &[water]);
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
    let water = || vec![CrossingWater { pieces: vec![piece(1, 0, 10.0)], ways: ways(&[]) }];
    let needs = |basis: &DesignBasis, kinds: Vec<GroundKind>| match design(basis, kinds, &water()).value {
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
    let water = CrossingWater { pieces: vec![piece(1, 0, 10.0)], ways: ways(&[]) };
    assert!(flows(&steady(36.0), kinds, &[water]).volume.is_none(), "no curve number, no volume");
    assert_eq!(design(&steady(36.0), lawn_and_roof(), &[]).value, Design::NoRunOn);
}

/// The one crossing of some water.
fn crossing(basis: &DesignBasis, pieces: &[Piece], ways: Ways) -> CrossingDesign {
    flows(basis, lawn_and_roof(), &[CrossingWater { pieces: pieces.to_vec(), ways }]).crossings.remove(0)
}

fn m3_s(found: &CrossingDesign) -> f64 {
    found.peak.flow.as_m3_per_s()
}

// Roofs 60 m away: 30.48 m of sheet and 29.52 m of short grass at 2 % take more than the least time, and roofs at the line don't.
#[test]
fn fast_ground_takes_the_time_from_its_own_farthest_place() {
    let pieces = [piece(1, 0, 700.0), piece(2, 1, 300.0)];
    let near = crossing(&falling(), &pieces, ways(&[(slow(1), 200.0)]));
    let far = crossing(&falling(), &pieces, ways(&[(slow(1), 200.0), (fast(2), 60.0)]));
    let time = |found: &CrossingDesign| found.belts.time(fast(2)).unwrap();
    assert_relative_eq!(time(&near).as_min(), 5.0);
    assert!(time(&far).as_min() > 5.0 && time(&far) < far.belts.time(slow(1)).unwrap());
    assert!(far.peak.flow < near.peak.flow);
    let alone = crossing(&falling(), &pieces[1..], ways(&[(fast(2), 60.0)]));
    assert_relative_eq!(time(&far).as_s(), alone.concentration.unwrap().time.as_s(), max_relative = 1e-9);
}

// A yard of 1000 m2 within 40 m, and a strip of 100 m2 behind it, 500 m long: by the longest way alone the strip would lower the flow.
#[test]
fn a_long_thin_rest_does_not_lower_the_flow() {
    let pieces = [Piece { band: 0, ..piece(1, 0, 1000.0) }, Piece { band: 1, ..piece(2, 0, 100.0) }];
    let yard = crossing(&falling(), &pieces[..1], ways(&[(slow(0), 40.0)]));
    let both = crossing(&falling(), &pieces, ways(&[(slow(0), 40.0), (slow(1), 540.0)]));
    assert!(both.peak.is_partial() && !yard.peak.is_partial());
    assert_relative_eq!(m3_s(&both), m3_s(&yard), max_relative = 1e-9);
    assert_relative_eq!(both.by_kind[&0].joined.as_m2(), 1000.0, max_relative = 1e-12);
    assert_eq!(both.joined_concentration, yard.concentration);
    let composite = both.concentration.as_ref().unwrap().rain.intensity.as_m_per_s() * 0.2 * 1100.0;
    assert!(composite < m3_s(&yard), "the check is needed here");
}

// Ten bands of paving, 1000 m2 each, down 500 m: the rational method with the longest way's time, by hand from that time.
#[test]
fn paved_ground_has_the_flow_of_its_longest_way() {
    let bands = 0..10_u32;
    let pieces: Vec<Piece> =
        bands.clone().map(|band| Piece { band: band as usize, ..piece(1, 1, 1000.0) }).collect();
    let lengths: Vec<(Sort, f64)> =
        bands.map(|band| (fast(band as usize), 50.0 * f64::from(band + 1))).collect();
    let found = crossing(&falling(), &pieces, ways(&lengths));
    let minutes = found.concentration.as_ref().unwrap().time.as_min();
    assert!(minutes > 15.0 && !found.peak.is_partial());
    let by_hand = 0.9 * 10_000.0 * 1000.0 / (minutes + 10.0_f64).powf(0.8) / 3.6e6;
    assert_relative_eq!(m3_s(&found), by_hand, max_relative = 1e-9);
}

// A paved yard at the lot line; a patch of lawn far up becomes paving as well.
#[test]
fn paving_far_off_does_not_lower_the_flow_of_the_yard() {
    let of = |patch: usize| {
        let pieces = [
            Piece { band: 0, ..piece(1, 1, 900.0) },
            Piece { band: 1, ..piece(1, 0, 600.0) },
            Piece { band: 2, ..piece(1, patch, 4.0) },
        ];
        let lengths = [(slow(1), 150.0), (slow(2), 160.0), (fast(2), 160.0)];
        crossing(&falling(), &pieces, ways(&lengths))
    };
    let (lawn, paved) = (of(0), of(1));
    assert!(lawn.peak.is_partial() && lawn.by_kind[&0].joined.as_m2() <= 0.0);
    assert!(m3_s(&paved) >= m3_s(&lawn));
}

// The lawn at the foot is flat and slow, what lies above is steep: by hand the hill alone in its own time, and all of it in that of the
// foot. The time of concentration is that of the longest way.
#[test]
fn flat_ground_at_the_foot_of_a_hill_joins_in_its_own_time() {
    let pieces = [Piece { band: 0, ..piece(1, 0, 500.0) }, Piece { band: 1, ..piece(1, 0, 500.0) }];
    let both = [(slow(0), falling_way(60.0, 0.001)), (slow(1), falling_way(70.0, 0.1))];
    let found = crossing(&falling(), &pieces, Ways::new(both.clone().into_iter().collect()));
    let [foot, hill] =
        both.map(|(sort, way)| crossing(&falling(), &pieces, Ways::new([(sort, way)].into_iter().collect())));
    let minutes = |found: &CrossingDesign| found.concentration.as_ref().map_or(5.0, |c| c.time.as_min());
    let intensity = |minutes: f64| 1000.0 / (minutes + 10.0_f64).powf(0.8) / 3.6e6;
    let foot_min = foot.belts.time(slow(0)).unwrap().as_min();
    assert!(foot_min > minutes(&hill), "the case is one");
    let by_hand = (intensity(minutes(&hill)) * 0.2 * 500.0).max(intensity(foot_min) * 0.2 * 1000.0);
    assert_relative_eq!(m3_s(&found), by_hand, max_relative = 1e-9);
    assert_relative_eq!(minutes(&found), minutes(&hill), max_relative = 1e-12);
}

// A patch of lawn above paving takes little time, as its water runs over the paving; the lawn below keeps its own.
#[test]
fn lawn_above_paving_hurries_no_lawn_below_it() {
    let pieces = [
        Piece { band: 0, ..piece(1, 0, 1000.0) },
        Piece { band: 1, ..piece(1, 1, 500.0) },
        Piece { band: 2, ..piece(1, 0, 40.0) },
    ];
    let lengths = [(slow(0), 100.0), (fast(1), 40.0), (slow(2), 45.0)];
    let (lawn, all) =
        (crossing(&falling(), &pieces[..2], ways(&lengths)), crossing(&falling(), &pieces, ways(&lengths)));
    assert_eq!(all.belts.time(slow(0)), lawn.belts.time(slow(0)));
    let more = 0.2 * 40.0 / (0.2 * 1000.0 + 0.9 * 500.0);
    assert!(m3_s(&all) >= m3_s(&lawn) && m3_s(&all) <= m3_s(&lawn) * (1.0 + more + 1e-9));
}

// A strip of lawn at the foot of paving: the paving's way is the longest.
#[test]
fn the_time_of_a_crossing_is_that_of_its_slowest_water() {
    let pieces = [Piece { band: 0, ..piece(1, 0, 100.0) }, Piece { band: 1, ..piece(1, 1, 900.0) }];
    let found = crossing(&falling(), &pieces, ways(&[(slow(0), 12.0), (fast(1), 500.0)]));
    assert_relative_eq!(found.concentration.as_ref().unwrap().length().as_m(), 500.0, max_relative = 1e-12);
    assert!(found.longest_is_fast);
}

#[test]
fn rain_at_the_lot_line_takes_the_least_time() {
    let water = CrossingWater { pieces: vec![piece(1, 0, 10.0)], ways: ways(&[]) };
    let found = flows(&falling(), lawn_and_roof(), &[water]);
    assert!(found.crossings[0].concentration.is_none());
    assert_relative_eq!(found.peak.time.as_min(), 5.0);
}

// HDS-2 section 5.3.1: the rational method is for areas up to 80 ha.
#[test]
fn a_large_area_is_worked_out_with_a_warning() {
    let water = CrossingWater { pieces: vec![piece(1, 0, 810_000.0)], ways: ways(&[(slow(1), 1500.0)]) };
    let found = design(&steady(36.0), lawn_and_roof(), &[water]);
    assert!(found.value.flows().is_some());
    assert_eq!(found.warnings[0].code, "area-beyond-rational-method");
    assert!(found.warnings[0].message.contains("81 ha"));
}

#[test]
fn the_second_opinion_on_the_whole_is_that_on_its_only_crossing() {
    let graphical = GraphicalBasis { rainfall_type: RainfallType::Ii, pond_share: PondShare::NONE };
    let basis =
        DesignBasis { graphical: Some(graphical), rain_depth: Some(Length::from_mm(150.0)), ..falling() };
    let pieces = vec![piece(1, 0, 100.0), piece(2, 1, 900.0)];
    let ways = ways(&[(slow(1), 12.0), (fast(2), 500.0)]);
    let found = flows(&basis, lawn_and_roof(), &[CrossingWater { pieces, ways }]);
    assert!(found.graphical.is_some());
    assert_eq!(found.graphical, found.crossings[0].graphical);
}

prop_compose! {
    /// Crossings with ground in up to six bands; ways grow longer from band to band, those of paving are no longer.
    fn waters()(
        parts in prop::collection::vec((
            prop::collection::vec((1..4_usize, 0..2_usize, 0..6_usize, 1.0..5e3f64), 1..8),
            prop::collection::vec((1.0..80.0f64, 0.2..1.0f64), 7),
        ), 1..4)
    ) -> Vec<CrossingWater> {
        parts
            .into_iter()
            .map(|(pieces, steps)| {
                let mut end_m = 0.0;
                let mut lengths = Vec::new();
                for (band, (step_m, share)) in steps.into_iter().enumerate() {
                    lengths.push((fast(band), end_m + step_m * share));
                    end_m += step_m;
                    lengths.push((slow(band), end_m));
                }
                let of = |(place, kind, band, m2)| Piece { band, ..piece(place, kind, m2) };
                CrossingWater { pieces: pieces.into_iter().map(of).collect(), ways: ways(&lengths) }
            })
            .collect()
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
    fn ground_farther_off_or_paved_never_lowers_a_flow(
        waters in waters(), kind in 0..2_usize, m2 in 1.0..5e3f64, paved in any::<prop::sample::Index>(),
        method in prop_oneof![
            Just(TimeMethod::Chain), Just(TimeMethod::KerbyKirpich), Just(TimeMethod::Lag), Just(TimeMethod::Airport)
        ],
    ) {
        let basis = DesignBasis { time_method: method, ..falling() };
        let peak = |waters: &[CrossingWater]| {
            let found = flows(&basis, lawn_and_roof(), waters);
            let each: Vec<f64> = found.crossings.iter().map(m3_s).collect();
            (found.peak.flow.as_m3_per_s(), each)
        };
        let (whole, each) = peak(&waters);
        prop_assert!(each.iter().all(|flow| whole >= flow * (1.0 - 1e-9)));
        prop_assert!(whole <= each.iter().sum::<f64>() * (1.0 + 1e-9));
        let mut larger = waters.clone();
        larger[0].pieces.push(Piece { band: 6, ..piece(1, kind, m2) });
        let (more, each_more) = peak(&larger);
        prop_assert!(more >= whole * (1.0 - 1e-9) && each_more[0] >= each[0] * (1.0 - 1e-9), "{whole} {more}");
        // In the formulas for the whole way paving changes what other ground's composites are by.
        let mut harder = waters.clone();
        let place = paved.index(harder[0].pieces.len());
        harder[0].pieces[place].kind = 1;
        let (harder, _) = peak(&harder);
        prop_assert!(harder >= whole * (1.0 - 1e-9) || method != TimeMethod::Chain, "{whole} {harder}");
    }

    #[test]
    fn more_rain_area_or_runoff_never_lowers_a_flow(waters in waters(), more in 1.0..3.0f64) {
        let peak = |curve: f64, kinds: Vec<GroundKind>, waters: &[CrossingWater]| {
            let rain = Rain::curve(IntensityCurve::in_mm_per_h_and_min(curve, 10.0, 0.8).unwrap(), None);
            let basis = DesignBasis { rain: Some(rain), ..DesignBasis::default() };
            flows(&basis, kinds, waters).peak.flow.as_m3_per_s()
        };
        let base = peak(1000.0, lawn_and_roof(), &waters) * (1.0 - 1e-9);
        prop_assert!(peak(1000.0 * more, lawn_and_roof(), &waters) >= base);
        let mut wetter = lawn_and_roof();
        wetter[0].coefficient = RunoffCoefficient::new((0.2 * more).min(1.0)).ok();
        prop_assert!(peak(1000.0, wetter, &waters) >= base);
        let mut larger = waters.clone();
        for piece in larger.iter_mut().flat_map(|water| &mut water.pieces) {
            piece.area = piece.area * more;
        }
        prop_assert!(peak(1000.0, lawn_and_roof(), &larger) >= base);
    }
}
