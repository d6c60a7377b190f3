//! Ways worked out by hand on a straight line of 40 m.

use super::super::propose::{CaughtStretch, LineSettings, propose};
use super::*;
use crate::interceptor::{OutletKind, OutletVerdict};
use crate::lots::{LotLine, Stretch};
use crate::units::Area;
use approx::assert_relative_eq;
use geo::{MultiPolygon, polygon};

/// A part 0.6 m inside the north side of a lot of 40 x 20 m, from x = 4 to 36.
fn part(ground: &dyn Fn(Coord) -> Option<f64>) -> LinePart {
    let lot: MultiPolygon =
        polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 20.), (x: 0., y: 20.)].into();
    let caught = CaughtStretch {
        stretch: Stretch { ring: 0, from_m: 4.0, to_m: 36.0, members: vec![] },
        contributing_area: Area::from_m2(500.0),
    };
    let obstacles = Obstacles::none();
    let settings = LineSettings::plain(&obstacles);
    let line = LotLine::new(&lot, 1.0).unwrap();
    propose(&line, &[caught], ground, &settings).unwrap().value.parts.remove(0)
}

fn limits(max_depth_m: f64) -> OutletLimits {
    OutletLimits {
        min_cover: Length::from_m(0.3),
        max_depth: Length::from_m(max_depth_m),
        min_grade: Grade::new(0.01).unwrap(),
        step: Length::from_m(1.0),
        metres_per_unit: 1.0,
        head_m: None,
        under: None,
    }
}

fn ways(
    part: &LinePart,
    outlets: &[OutletPlace],
    height: &dyn Fn(Coord) -> Option<f64>,
    max_depth_m: f64,
) -> Result<Vec<OutletWay>, LimitsError> {
    let obstacles = Obstacles::none();
    ways_to_outlets(part, outlets, &Land { height, obstacles: &obstacles, limits: limits(max_depth_m) })
}

/// An inlet in the lot's north-east corner, 4 m beyond the line's end.
fn inlet(invert_m: f64) -> OutletPlace {
    OutletPlace {
        kind: OutletKind::StormInlet,
        id: "A".to_owned(),
        at: Coord { x: 40.0, y: 19.4 },
        invert_m,
        rim_m: Some(9.2),
        tailwater_m: None,
    }
}

// Ground falls 2 % to the east, from 9.92 at x = 4 to 9.2 at the inlet. Invert 0.3 + 0.1016 m below it: 9.5184 at the head, 8.7984 at the
// inlet, 36 m on; the trench 0.5032 m deep all along. Available from the head to 8.5: 1.0184 m, needed 0.36 m.
#[test]
fn a_line_down_a_plane_to_an_inlet_at_the_corner() {
    let ground = |p: Coord| Some(10.0 - 0.02 * p.x);
    let found = ways(&part(&ground), &[inlet(8.5)], &ground, 1.5).unwrap();
    let [down, up] = &found[..] else { panic!("one outlet, two ends") };
    assert_eq!((down.end, down.verdict()), (DrainedEnd::Lower, Some(OutletVerdict::Gravity)));
    assert_relative_eq!(down.length.as_m(), 36.0, epsilon = 1e-3);
    assert_relative_eq!(down.lead_length.as_m(), 4.0, epsilon = 1e-3);
    assert_relative_eq!(down.drop_available_m.unwrap(), 1.0184, epsilon = 1e-3);
    assert_relative_eq!(down.drop_needed_m, 0.36, epsilon = 1e-4);
    let profile = down.profile().unwrap();
    assert_eq!(profile.grades().len(), 1);
    assert_relative_eq!(profile.grades()[0].grade, 0.02, max_relative = 1e-6);
    assert_relative_eq!(profile.grades()[0].from_invert_m, 9.5184, epsilon = 1e-3);
    assert_relative_eq!(profile.grades()[0].to_invert_m, 8.7984, epsilon = 1e-3);
    assert_relative_eq!(profile.deepest().cut_m, 0.5032, epsilon = 1e-3);
    // The other way round the pipe falls 1 % against the rising ground: from 8.8784 below x = 36, 32 m to x = 4 and 36 m back.
    // At x = 4 it lies 8.5584, 1.3616 m below 9.92; back at the inlet 8.1984, lower than 8.5.
    assert_eq!((up.end, up.verdict()), (DrainedEnd::Upper, Some(OutletVerdict::DoesNotReach)));
    let LaidWay::DoesNotFit(refused) = &up.laid else { panic!("it doesn't fit") };
    assert_relative_eq!(refused.shortfall_m, 0.3016, epsilon = 1e-3);
}

// The same lot, the inlet's invert at 9.0: 0.2016 m above the pipe's end on the slope. The pipe may fall 1 % only:
// 9.5184 - 0.36 = 9.1584, but its cover near the inlet holds it at 8.7984.
#[test]
fn an_outlet_that_is_not_low_enough_gives_the_shortfall() {
    let ground = |p: Coord| Some(10.0 - 0.02 * p.x);
    let found = ways(&part(&ground), &[inlet(9.0)], &ground, 1.5).unwrap();
    let LaidWay::DoesNotFit(refused) = &found[0].laid else { panic!("it fits") };
    assert_eq!(found[0].verdict(), Some(OutletVerdict::DoesNotReach));
    assert_relative_eq!(refused.shortfall_m, 0.2016, epsilon = 1e-3);
    assert_relative_eq!(refused.remedies().outlet_invert_m.unwrap(), 8.7984, epsilon = 1e-3);
}

// Level ground at 10, inlet at 8: from 9.5984 the pipe falls to 9.2384, the trench is 0.8632 m deep. In 0.8 m it's too deep.
#[test]
fn a_trench_that_may_not_be_deep_enough_is_told() {
    let ground = |_: Coord| Some(10.0);
    let found = ways(&part(&ground), &[inlet(8.0)], &ground, 0.8).unwrap();
    assert_eq!(found[0].verdict(), Some(OutletVerdict::TooDeep));
    let LaidWay::DoesNotFit(refused) = &found[0].laid else { panic!("it fits") };
    assert_relative_eq!(refused.remedies().greatest_cut_m.unwrap(), 0.8632, epsilon = 1e-3);
    let deeper = ways(&part(&ground), &[inlet(8.0)], &ground, 0.864).unwrap();
    assert_eq!(deeper[0].verdict(), Some(OutletVerdict::Gravity));
}

#[test]
fn unknown_ground_gives_no_verdict() {
    let ground = |p: Coord| (p.x < 38.0).then_some(10.0);
    let found = ways(&part(&|_| Some(10.0)), &[inlet(8.0)], &ground, 1.5).unwrap();
    assert_eq!(found[0].verdict(), None);
    assert_eq!(found[0].drop_available_m, None);
}
