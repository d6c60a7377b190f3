use super::*;
use proptest::prelude::*;

/// A line of two pieces at given depths.
fn line(depths: [f64; 3], batter: f64, finish: &str, middle: &[(f64, f64)]) -> DrainLine {
    let mut all = vec![(0.0, depths[0]), (10.0, depths[1]), (25.0, depths[2])];
    all.extend(middle);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let section = stone("100-smooth", &rules(PipeCount::Two, batter), finish);
    DrainLine::new(vec![Leg { section, cuts: cuts(&all) }], vec![], End::Daylight).unwrap()
}

const FINISHES: [&str; 5] =
    ["bare-stone", "irrigated-lawn", "irrigated-lawn-on-loam", "unirrigated-lawn", "unirrigated-seed"];

proptest! {
    // A station more on a straight piece changes nothing: the sums are exact.
    #[test]
    fn a_station_between_changes_nothing(
        a in 0.6..2.0f64, b in 0.6..2.0f64, c in 0.6..2.0f64, batter in 0.0..1.5f64,
        at in 0.5..9.5f64, which in 0..5usize,
    ) {
        let whole = take_off(&line([a, b, c], batter, FINISHES[which], &[]));
        let split = take_off(&line([a, b, c], batter, FINISHES[which], &[(at, a + (b - a) * at / 10.0)]));
        for (one, other) in [
            (whole.dug.as_m3(), split.dug.as_m3()),
            (whole.stone.as_m3(), split.stone.as_m3()),
            (whole.spoil.as_m3(), split.spoil.as_m3()),
            (whole.fabric.as_m2(), split.fabric.as_m2()),
            (whole.topsoil_back.as_m3(), split.topsoil_back.as_m3()),
        ] {
            prop_assert!((one - other).abs() <= 1e-10 * one.abs().max(1.0), "{one} {other}");
        }
    }

    // What is dug is put back or left over, and what fills the room is stone, pipes and layers.
    #[test]
    fn nothing_dug_gets_lost(
        a in 0.6..2.0f64, b in 0.6..2.0f64, c in 0.6..2.0f64, batter in 0.0..1.5f64, which in 0..5usize,
    ) {
        let taken = take_off(&line([a, b, c], batter, FINISHES[which], &[]));
        let pipes_m3 = 2.0 * std::f64::consts::PI * 0.055 * 0.055 * 25.0;
        // All of the room but the sod: the sod's own is 0.025 m under the surface, measured here between two lines.
        let lower = take_off(&line([a - 0.025, b - 0.025, c - 0.025], batter, "bare-stone", &[]));
        let sod_m3 = if ["bare-stone", "unirrigated-seed"].contains(&FINISHES[which]) {
            0.0
        } else {
            taken.dug.as_m3() - lower.dug.as_m3()
        };
        let filled = taken.stone.as_m3() + pipes_m3 + taken.sand.as_m3()
            + taken.topsoil_back.as_m3() + taken.topsoil_new.as_m3() + sod_m3;
        prop_assert!((filled - taken.dug.as_m3()).abs() < 1e-9, "{filled} {}", taken.dug.as_m3());
        let kept = if taken.sod_back.as_m2() > 0.0 { sod_m3 } else { 0.0 };
        let out = taken.spoil.as_m3() + taken.topsoil_back.as_m3() + kept;
        prop_assert!((out - taken.dug.as_m3()).abs() < 1e-9);
    }

    #[test]
    fn deeper_is_never_less(
        a in 0.6..2.0f64, b in 0.6..2.0f64, c in 0.6..2.0f64, batter in 0.0..1.5f64, more in 0.0..1.0f64,
    ) {
        let less = take_off(&line([a, b, c], batter, "irrigated-lawn", &[]));
        let more = take_off(&line([a, b + more, c], batter, "irrigated-lawn", &[]));
        prop_assert!(more.dug >= less.dug && more.stone >= less.stone && more.fabric >= less.fabric);
    }

    // No way longer than the spacing, none needed less: one cleanout fewer would leave such a way.
    #[test]
    fn cleanouts_keep_their_spacing(
        length in 1.0..200.0f64, bend in 0.05..0.95f64, spacing in 5.0..60.0f64, joins in any::<bool>(),
    ) {
        let section = stone("100-smooth", &rules(PipeCount::One, 0.0), "irrigated-lawn");
        let leg = Leg { section, cuts: cuts(&[(0.0, 0.6), (length, 0.6)]) };
        let bend = bend * length;
        let end = if joins { End::Joins(Box::new(pipe("100-smooth"))) } else { End::Structure };
        let line = DrainLine::new(vec![leg], vec![m(bend)], end).unwrap();
        let mut stations: Vec<f64> = line.cleanouts(m(spacing)).unwrap().iter().map(|s| s.as_m()).collect();
        prop_assert!(stations.contains(&0.0) && stations.iter().any(|s| (s - bend).abs() < 1e-9));
        let count = stations.len();
        // A structure is a way in; a wye isn't.
        if joins {
            prop_assert!((stations[count - 1] - length).abs() < 1e-9);
        } else {
            stations.push(length);
        }
        prop_assert!(stations.windows(2).all(|p| p[1] > p[0] && p[1] - p[0] <= spacing * (1.0 + 1e-6)));
        let enough = |way: f64| {
            (1..=200_u32).find(|&n| way <= f64::from(n) * spacing * (1.0 + 1e-8)).unwrap_or(0)
        };
        let least = enough(bend) + enough(length - bend) + u32::from(joins);
        prop_assert_eq!(count, usize::try_from(least).unwrap());
    }
}
