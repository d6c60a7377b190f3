//! Sections by hand arithmetic.

use super::super::catalogue::{Catalogue, PipeSize};
use super::super::materials::{Finish, Materials};
use super::*;
use crate::units::{Grade, Length, Share};
use approx::assert_relative_eq;
use proptest::prelude::*;
use std::f64::consts::PI;

/// Round measures: inside 100 mm, outside 110 mm, 20 cm2 of holes in a metre.
const PIPE: &str = "[[pipe]]\nnominal_mm = 100\nnominal_in = 4\ninside_mm = 100\noutside_mm = 110\nwall = \"smooth\"\n\
    manning_n = 0.012\nsolid_n = 0.010\ninlet_cm2_per_m = 20\npiece_m = 3\npiece = \"stick\"\njoint = \"bell\"\nsource = \"test\"\n";

fn pipe() -> PipeSize {
    Catalogue::from_toml(PIPE, "test").unwrap().pipes()[0].clone()
}

fn finish(name: &str) -> Finish {
    Materials::built_in().finish(name).unwrap().clone()
}

fn rules(pipes: PipeCount, batter: f64) -> TrenchRules {
    TrenchRules { batter, ..TrenchRules::usual(pipes) }
}

fn trench(pipes: PipeCount, batter: f64, name: &str) -> StoneTrench {
    let materials = Materials::built_in();
    let fabric = materials.fabric_for(10.0).unwrap().value;
    StoneTrench::new(&pipe(), &rules(pipes, batter), &finish(name), fabric).unwrap()
}

fn m(value: f64) -> Length {
    Length::from_m(value)
}

// One pipe: 0.110 + 2 x 0.150 = 0.410 m. Two: 2 x 0.110 + 0.075 + 2 x 0.150 = 0.595 m.
#[test]
fn the_width_comes_from_outside_diameters_and_clearances() {
    assert_relative_eq!(trench(PipeCount::One, 0.0, "irrigated-lawn").width().as_m(), 0.410);
    assert_relative_eq!(trench(PipeCount::Two, 0.0, "irrigated-lawn").width().as_m(), 0.595);
    // Never narrower than the tool: 0.110 + 2 x 0.050 = 0.210 m, the tool 0.300 m.
    let narrow = TrenchRules { clearance: m(0.05), ..rules(PipeCount::One, 0.0) };
    let solid = SolidTrench::new(&pipe(), &narrow, &finish("irrigated-lawn")).unwrap();
    assert_relative_eq!(solid.width().as_m(), 0.300);
}

// Irrigated lawn: 25 mm of sod on 50 mm of sand. One pipe, upright walls, 0.600 m deep: stone 0.600 - 0.075 = 0.525 m high.
// Dug 0.410 x 0.600 = 0.2460 m2. Pipe pi/4 x 0.110^2 = 0.009503 m2. Stone 0.410 x 0.525 - 0.009503 = 0.215250 - 0.009503 = 0.205747 m2.
// Sand 0.410 x 0.050 = 0.0205, sod 0.410 x 0.025 = 0.01025 m2. Sum: 0.205747 + 0.009503 + 0.0205 + 0.01025 = 0.2460.
// Fabric, overlap 12 in = 0.3048 m: 2 x (0.410 + 0.525) + 0.3048 = 2.1748 m.
#[test]
fn a_section_by_hand() {
    let trench = trench(PipeCount::One, 0.0, "irrigated-lawn");
    let depth = m(0.6);
    assert_relative_eq!(trench.dug(depth).as_m2(), 0.2460, epsilon = 1e-12);
    assert_relative_eq!(trench.pipe_area().as_m2(), 0.009_503, epsilon = 5e-7);
    assert_relative_eq!(trench.stone_area(depth).as_m2(), 0.205_747, epsilon = 5e-7);
    assert_relative_eq!(trench.sand_area(depth).as_m2(), 0.0205, epsilon = 1e-12);
    assert_relative_eq!(trench.topsoil_area(depth).as_m2(), 0.0, epsilon = 1e-12);
    assert_relative_eq!(trench.sod_area(depth).as_m2(), 0.010_25, epsilon = 1e-12);
    assert_relative_eq!(trench.fabric_length(depth).as_m(), 2.174_8, epsilon = 1e-12);
    assert_relative_eq!(trench.surface_width(depth).as_m(), 0.410, epsilon = 1e-12);
    // Voids of stone 57, porosity 0.40: 0.0822988 m2.
    let stone = Materials::built_in().stone("57").unwrap().clone();
    assert_relative_eq!(trench.voids(depth, &stone).as_m2(), 0.082_299, epsilon = 5e-7);
    // Bore pi/4 x 0.100^2 = 0.007854 m2.
    assert_relative_eq!(trench.bore_area().as_m2(), 0.007_854, epsilon = 5e-7);
}

// Two pipes, walls 1 horizontal to 2 vertical, 0.800 m deep, unirrigated: 25 mm of sod on 150 mm of topsoil; stone 0.625 m high.
// Bottom 0.595. Dug (0.595 + 0.5 x 0.8) x 0.8 = 0.7960. Stone with pipes (0.595 + 0.5 x 0.625) x 0.625 = 0.5671875; pipes 0.019007; stone
// 0.548180. Topsoil from 0.625 to 0.775 high: (0.595 + 0.3875) x 0.775 - 0.5671875 = 0.7614375 - 0.5671875 = 0.19425. Sod 0.7960 -
// 0.7614375 = 0.0345625. Surface 0.595 + 0.8 = 1.395 m. Fabric: bottom 0.595, walls 2 x 0.625 x 1.118034 = 1.397542, top 0.595 + 0.625 =
// 1.220, overlap 0.3048: 3.517342 m.
#[test]
fn a_battered_section_with_two_pipes_by_hand() {
    let trench = trench(PipeCount::Two, 0.5, "unirrigated-lawn");
    let depth = m(0.8);
    assert_relative_eq!(trench.dug(depth).as_m2(), 0.7960, epsilon = 1e-12);
    assert_relative_eq!(trench.stone_area(depth).as_m2(), 0.548_180, epsilon = 1e-6);
    assert_relative_eq!(trench.topsoil_area(depth).as_m2(), 0.194_25, epsilon = 1e-12);
    assert_relative_eq!(trench.sod_area(depth).as_m2(), 0.034_562_5, epsilon = 1e-12);
    assert_relative_eq!(trench.surface_width(depth).as_m(), 1.395, epsilon = 1e-12);
    assert_relative_eq!(trench.fabric_length(depth).as_m(), 3.517_342, epsilon = 5e-7);
}

// Bare stone is open on top: 0.410 + 2 x 0.600 = 1.610 m. In a trench of 0.210 m for a pipe of 0.110 m the overlap is the width: with
// sod 0.6 m deep, stone 0.525 m: 2 x (0.210 + 0.525) + 0.210 = 1.680 m.
#[test]
fn the_wrap_follows_finish_and_width() {
    let open = trench(PipeCount::One, 0.0, "bare-stone");
    assert_relative_eq!(open.fabric_length(m(0.6)).as_m(), 1.610, epsilon = 1e-12);
    let narrow = TrenchRules { clearance: m(0.05), least_width: m(0.2), ..rules(PipeCount::One, 0.0) };
    let materials = Materials::built_in();
    let fabric = materials.fabric_for(10.0).unwrap().value;
    let narrow = StoneTrench::new(&pipe(), &narrow, &finish("irrigated-lawn"), fabric).unwrap();
    assert_relative_eq!(narrow.fabric_length(m(0.6)).as_m(), 1.680, epsilon = 1e-12);
    // With walls 1 to 2 the stone's top is 0.210 + 0.525 = 0.735 m wide, and the overlap whole: bottom 0.210, walls 2 x 0.525 x 1.118034 =
    // 1.173936, top 0.735, overlap 0.3048: 2.423736 m.
    let narrow = TrenchRules { clearance: m(0.05), least_width: m(0.2), ..rules(PipeCount::One, 0.5) };
    let narrow = StoneTrench::new(&pipe(), &narrow, &finish("irrigated-lawn"), fabric).unwrap();
    assert_relative_eq!(narrow.fabric_length(m(0.6)).as_m(), 2.423_736, epsilon = 1e-6);
}

// Stone 0.075 under and 0.100 over a pipe of 0.110, 0.075 of sod and sand: 0.360 m. Invert 0.075 + (0.110 - 0.100) / 2 = 0.080 m above the
// bottom. 0.600 m deep the cover is 0.600 - 0.075 - 0.110 = 0.415 m. The solid pipe lies on the bottom: 0.005 m, 0.110 + 0.025 = 0.135 m.
#[test]
fn what_is_too_shallow_is_refused() {
    let stone = trench(PipeCount::One, 0.0, "irrigated-lawn");
    assert_relative_eq!(stone.least_depth().as_m(), 0.360, epsilon = 1e-12);
    assert_relative_eq!(stone.bottom_below_invert().as_m(), 0.080, epsilon = 1e-12);
    assert_relative_eq!(stone.cover(m(0.6)).as_m(), 0.415, epsilon = 1e-12);
    assert!(stone.check_depth(m(0.360)).is_ok());
    assert!(stone.check_depth(m(0.359)).is_err());
    assert!(stone.check_depth(m(f64::NAN)).is_err());
    let solid = SolidTrench::new(&pipe(), &rules(PipeCount::Two, 0.0), &finish("irrigated-lawn")).unwrap();
    assert_relative_eq!(solid.least_depth().as_m(), 0.135, epsilon = 1e-12);
    assert_relative_eq!(solid.bottom_below_invert().as_m(), 0.005, epsilon = 1e-12);
    assert_relative_eq!(solid.cover(m(0.5)).as_m(), 0.390, epsilon = 1e-12);
    assert!(solid.check_depth(m(0.135)).is_ok() && solid.check_depth(m(0.134)).is_err());
    // One pipe, whatever the rules say of the line.
    assert_relative_eq!(solid.width().as_m(), 0.410, epsilon = 1e-12);
}

#[test]
fn measures_and_pipes_that_can_not_be_are_refused() {
    let usual = TrenchRules::usual(PipeCount::One);
    let materials = Materials::built_in();
    let fabric = materials.fabric_for(10.0).unwrap().value;
    for wrong in [
        TrenchRules { clearance: m(-0.1), ..usual },
        TrenchRules { gap: m(f64::NAN), ..usual },
        TrenchRules { least_width: m(6.0), ..usual },
        TrenchRules { stone_below: m(f64::INFINITY), ..usual },
        TrenchRules { stone_above: m(-1.0), ..usual },
        TrenchRules { batter: -0.5, ..usual },
        TrenchRules { batter: 4.0, ..usual },
    ] {
        let refused = StoneTrench::new(&pipe(), &wrong, &finish("irrigated-lawn"), fabric);
        assert!(matches!(refused, Err(TrenchError::Measure(_))), "{wrong:?}");
        assert!(SolidTrench::new(&pipe(), &wrong, &finish("irrigated-lawn")).is_err());
    }
    let whole = PipeSize { inlet_cm2_per_m: 0.0, ..pipe() };
    let refused = StoneTrench::new(&whole, &usual, &finish("irrigated-lawn"), fabric).unwrap_err();
    assert_eq!(refused, TrenchError::NoHoles { pipe: "100-smooth".to_owned() });
    assert!(SolidTrench::new(&whole, &usual, &finish("irrigated-lawn")).is_ok());
}

// A size's fields are open, so that the trench has to ask.
#[test]
fn pipes_that_can_not_be_are_refused_by_every_trench() {
    let materials = Materials::built_in();
    let fabric = materials.fabric_for(10.0).unwrap().value;
    let (usual, lawn) = (TrenchRules::usual(PipeCount::One), finish("irrigated-lawn"));
    for (wrong, what) in [
        (PipeSize { outside_mm: f64::NAN, ..pipe() }, "outside_mm"),
        (PipeSize { outside_mm: -110.0, ..pipe() }, "outside_mm"),
        (PipeSize { outside_mm: 99.0, ..pipe() }, "outside_mm"),
        (PipeSize { inside_mm: f64::NAN, ..pipe() }, "inside_mm"),
        (PipeSize { inside_mm: -100.0, ..pipe() }, "inside_mm"),
        (PipeSize { inlet_cm2_per_m: f64::NAN, ..pipe() }, "inlet_cm2_per_m"),
        (PipeSize { inlet_cm2_per_m: -20.0, ..pipe() }, "inlet_cm2_per_m"),
        (PipeSize { piece_m: 0.0, ..pipe() }, "piece_m"),
    ] {
        for refused in [
            StoneTrench::new(&wrong, &usual, &lawn, fabric).map(|_| ()),
            SolidTrench::new(&wrong, &usual, &lawn).map(|_| ()),
        ] {
            assert!(matches!(refused, Err(TrenchError::Pipe { cause, .. }) if cause.what == what), "{what}");
        }
    }
}

// A solid pipe lies in soil up to the lawn: a surface of stone would leave bare soil that no row of a bill mends.
#[test]
fn stone_is_no_surface_over_soil() {
    let refused = SolidTrench::new(&pipe(), &TrenchRules::usual(PipeCount::One), &finish("bare-stone"));
    assert_eq!(refused, Err(TrenchError::StoneSurface));
}

// D 0.1 m, S 1 %: R^(2/3) = 0.025^(2/3) = 0.0854988; V n = 0.00854988. Perforated n 0.012: V 0.712490 m/s, Q = V pi/4 0.01 = 5.59588 L/s;
// solid n 0.010: 6.71506 L/s.
// Holes of 10 m of line: 0.02 m2, half open, 0.2 m of water: 0.60 x 0.01 x (2 x 9.80665 x 0.2)^(1/2) = 0.006 x 1.980571 = 11.88342 L/s.
#[test]
fn two_pipes_share_the_line_and_one_leaves() {
    let grade = Grade::new(0.01).unwrap();
    let (one, two) =
        (trench(PipeCount::One, 0.0, "irrigated-lawn"), trench(PipeCount::Two, 0.0, "irrigated-lawn"));
    assert_relative_eq!(one.line_capacity(grade).as_l_per_s(), 5.595_88, epsilon = 5e-5);
    assert_relative_eq!(two.line_capacity(grade).as_l_per_s(), 2.0 * 5.595_88, epsilon = 1e-4);
    for trench in [&one, &two] {
        assert_relative_eq!(trench.outlet_capacity(grade).as_l_per_s(), 6.715_06, epsilon = 5e-5);
    }
    let half = Share::new(0.5).unwrap();
    assert_relative_eq!(one.inlet_capacity(m(10.0), half, m(0.2)).as_l_per_s(), 11.883_42, epsilon = 5e-5);
    assert_relative_eq!(two.inlet_capacity(m(10.0), half, m(0.2)).as_l_per_s(), 23.766_85, epsilon = 1e-4);
    // 3 300 m/day x 1 % x 0.205747 m2 / 86 400 s = 7.858e-5 m3/s.
    let stone = Materials::built_in().stone("57").unwrap().clone();
    let seeping = one.stone_capacity(m(0.6), &stone, grade);
    assert_relative_eq!(seeping.least.as_l_per_s(), 0.078_58, epsilon = 5e-6);
    assert!(seeping.most > seeping.least);
}

proptest! {
    // What is dug is filled: stone, pipes, sand, topsoil and sod, or backfill, pipe and sod.
    #[test]
    fn the_parts_fill_the_trench(
        more in 0.0..2.0f64, batter in 0.0..2.0f64, two in any::<bool>(), which in 0..5usize,
    ) {
        let pipes = if two { PipeCount::Two } else { PipeCount::One };
        let materials = Materials::built_in();
        let name = materials.finishes().nth(which).unwrap();
        let trench = trench(pipes, batter, name);
        let depth = trench.least_depth() + m(more);
        let parts = [
            trench.stone_area(depth), trench.pipe_area(), trench.sand_area(depth),
            trench.topsoil_area(depth), trench.sod_area(depth),
        ];
        prop_assert!(parts.iter().all(|part| part.as_m2() >= -1e-12));
        let sum: f64 = parts.iter().map(|part| part.as_m2()).sum();
        prop_assert!((sum - trench.dug(depth).as_m2()).abs() < 1e-12);
        // The dug area by its own closed form: a trapezoid's mean width times its depth.
        let (w, d) = (trench.width().as_m(), depth.as_m());
        prop_assert!((trench.dug(depth).as_m2() - (w + (w + 2.0 * batter * d)) / 2.0 * d).abs() < 1e-12);
        prop_assert!((trench.pipe_area().as_m2() - pipes.times() * PI * 0.055 * 0.055).abs() < 1e-15);
        if name == "bare-stone" {
            return Ok(());
        }
        let solid = SolidTrench::new(&pipe(), &rules(pipes, batter), &finish(name)).unwrap();
        let under = m(0.1 * more);
        let filled = solid.backfill_area(depth + under, under) + solid.stone_area(under);
        let depth = depth + under;
        let sum = filled + solid.pipe_area() + solid.sod_area(depth);
        prop_assert!((sum.as_m2() - solid.dug(depth).as_m2()).abs() < 1e-12);
    }

    // The fabric is at least as long as what it wraps is round.
    #[test]
    fn the_wrap_goes_round_the_stone(more in 0.0..2.0f64, batter in 0.0..2.0f64) {
        let trench = trench(PipeCount::One, batter, "irrigated-lawn");
        let depth = trench.least_depth() + m(more);
        let (w, h) = (0.410, depth.as_m() - 0.075);
        let corners = [(0.0, 0.0), (w, 0.0), (w + batter * h, h), (-batter * h, h)];
        let round: f64 = (0..4).map(|i| {
            let (a, b): ((f64, f64), (f64, f64)) = (corners[i], corners[(i + 1) % 4]);
            (b.0 - a.0).hypot(b.1 - a.1)
        }).sum();
        prop_assert!((trench.fabric_length(depth).as_m() - round - 0.304_8).abs() < 1e-12);
    }
}
