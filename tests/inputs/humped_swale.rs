//! A swale through higher ground, in a whole run: the scene with the ridge, whose line runs along the contour, and a
//! bank of earth across it, 0.4 m high and 12 units wide, half way along S's north edge. Water keeps off the bank, so
//! that the line's parts climb no more than its foot.

use crate::common::bench::Bench;
use crate::common::raster::Raster;
use crate::common::scene::{FALL, SIDE, bench_with, number as of_index};
use crate::drain::{cell, number, option, profile, with_inlet};

fn scene() -> Bench {
    let ridge = |row: usize| 100.0 - (of_index(row) + 0.5 - 10.0).abs() * FALL;
    let bank = |col: usize| 0.4 * (1.0 - (of_index(col) + 0.5 - 40.0).abs() / 6.0).max(0.0);
    with_inlet(bench_with(&Raster::of(SIDE, SIDE, |row, col| ridge(row) + bank(col))))
}

// Depths by station are those of `profile.csv`: width 6 d with sides of 3:1, and between stations a prismoid,
// 3 (a^2 + a b + b^2) / 3 a metre.
#[test]
fn the_deepest_place_is_told_wherever_a_swale_is() {
    let run = |arrangement: &str| {
        let words = ["--arrangement", arrangement, "--setback", "0.4m"];
        crate::drain::run(&scene(), &words).usable()
    };
    for arrangement in ["swale", "swale-over-drain"] {
        let answer = run(arrangement);
        let rows = profile(&answer);
        let beds = rows.iter().filter(|row| row[0] == "1" && !row[11].is_empty());
        let depths: Vec<(f64, f64)> = beds.map(|row| (cell(row, 1), cell(row, 4) - cell(row, 11))).collect();
        let deepest = depths.iter().copied().fold((0.0, 0.0), |a, b| if b.1 > a.1 + 1e-3 { b } else { a });
        let built = option(&answer, arrangement);
        let swale = &built["swale"];
        let shaped_m = number(swale, "shaped_depth_m");
        assert!(deepest.1 > shaped_m + 0.05, "{arrangement}: {deepest:?}, shaped {shaped_m}");
        assert!((number(swale, "deepest_depth_m") - deepest.1).abs() < 2e-3, "{swale}");
        assert!((number(swale, "deepest_station_m") - deepest.0).abs() < 1.5, "{swale}");
        assert!((number(swale, "deepest_width_m") - 6.0 * deepest.1).abs() < 12e-3, "{swale}");
        let prismoids = depths.windows(2).map(|pair| {
            let [(from_m, a), (to_m, b)] = [pair[0], pair[1]];
            (to_m - from_m) * (a * a + a * b + b * b)
        });
        let v_m3: f64 = prismoids.sum();
        let length_m = depths[depths.len() - 1].0;
        assert!(v_m3 > 1.01 * 3.0 * shaped_m * shaped_m * length_m, "{v_m3}");
        assert!(number(built, "dug_m3") > 0.99 * v_m3, "{arrangement}: {v_m3} of {}", built["dug_m3"]);
        answer.must_warn("swale-beyond-lot", &["part 1", "where it cuts through higher ground"]);
        let needs = built["needs"].as_array().expect("needs");
        let room =
            needs.iter().filter_map(|need| need.as_str()).find(|need| need.contains("wider than twice"));
        assert!(room.is_some_and(|need| need.contains("of its way")), "{needs:?}");
        let checklist =
            std::fs::read_to_string(answer.out.join("specification.txt")).expect("the file is there");
        assert!(checklist.contains("cut through higher ground up to"), "{checklist}");
        assert!(built["section"].as_str().expect("words").contains("cut through higher ground up to"));
    }
    // Nobody who hasn't named it gets one that doesn't fit.
    let free = crate::drain::run(&scene(), &["--setback", "0.4m"]).usable();
    let chosen = free.text("interception_line.parts.0.drain.arrangement").to_owned();
    assert!(!chosen.starts_with("swale"), "{chosen}");
}
