//! A larger pipe than the way was looked for with keeps its cover.

use super::super::*;
use super::{of, options, way_down};
use crate::interceptor::catalogue::Catalogue;
use approx::assert_relative_eq;

// 15 L/s at 2 %: 4 in smooth carries about 8 L/s, 6 in 0.3117 / 0.012 x 0.1502^(8/3) x 0.02^(1/2) = 0.0233 m3/s (Manning, full).
// Its top lies (0.1502 + 0.1594) / 2 = 0.1548 m over its invert, which so lies 0.3 + 0.1548 = 0.4548 m below the lawn:
// at x = 4 of 9.92 m, at 36 of 9.28 m, at 40 of 9.2 m.
#[test]
fn a_larger_pipe_is_laid_with_its_cover() {
    let way = way_down(0.02);
    let all = options(&way, 15.0, "bare-stone", &Catalogue::ordinary().unwrap());
    let option = of(&all, Arrangement::OnePipe);
    assert!(option.reaches.iter().all(|sized| sized.pipe.inside_mm == 150.2));
    assert!(option.thin.is_none());
    let profile = option.profile(way.profile().unwrap());
    for (station_m, invert_m) in [(0.0, 9.4652), (32.0, 8.8252), (36.0, 8.7452)] {
        assert_relative_eq!(profile.invert_at(station_m), invert_m, epsilon = 1e-4);
    }
}
