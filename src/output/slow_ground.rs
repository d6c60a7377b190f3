//! Slow ground along the longest ways, on the map.

use super::mark::{Mark, Shape, properties};
use super::proof::cells_line;
use super::screen::Units;
use super::style;
use crate::pipeline::Assessment;
use crate::runoff::SlowGround;
use geo::{Coord, LineString};
use serde_json::json;

/// Why, in words.
pub(super) const fn words(why: SlowGround) -> &'static str {
    match why {
        SlowGround::Flat => "falls less than 0.1 %",
        SlowGround::OutlastsStorm => "takes longer than the rain of the peak lasts",
    }
}

/// Slow reaches of the longest way to each crossing, drawn downwards.
pub(super) fn slow_ground(assessment: &Assessment<'_>, units: Units) -> Vec<Mark> {
    let crossings = assessment.design.flows().map_or(&[][..], |flows| &flows.crossings);
    let mut found = Vec::new();
    for ((way, design), number) in assessment.ways.iter().zip(crossings).zip(1..) {
        let Some((way, time)) = way.as_ref().zip(design.concentration.as_ref()) else { continue };
        let path = cells_line(assessment, &way.cells);
        let whole_m = time.length().as_m();
        for slow in time.slow_reaches(design.peak.rain.duration) {
            let piece = piece(&path, slow.from_m / whole_m, slow.to_m / whole_m);
            let shape = Shape::line(&piece);
            let (length_m, minutes) = (slow.to_m - slow.from_m, slow.reach.time.as_min());
            let mut map = properties(json!({
                "crossing": number,
                "from_m": slow.from_m,
                "to_m": slow.to_m,
                "length_m": length_m,
                "grade": slow.reach.grade.get(),
                "grade_raised": slow.reach.raised,
                "time_min": minutes,
                "slow_ground": slow.why,
                "title": format!("Slow ground on the way to crossing {number}"),
                "description": format!("{} that {}; {minutes:.1} min.", units.length(length_m), words(slow.why)),
            }));
            style::line(&mut map, style::SLOW.0, style::SLOW.1);
            found.push(Mark::new("slow-ground", shape, map));
        }
    }
    found
}

/// A piece of a path, by shares of its length.
fn piece(path: &LineString, from: f64, to: f64) -> LineString {
    let length = |line: &geo::Line| (line.end.x - line.start.x).hypot(line.end.y - line.start.y);
    let whole: f64 = path.lines().map(|line| length(&line)).sum();
    let (from, to) = (from.clamp(0.0, 1.0) * whole, to.clamp(0.0, 1.0) * whole);
    let mut points: Vec<Coord> = Vec::new();
    let mut behind = 0.0;
    for line in path.lines() {
        let here = length(&line);
        let at = |along: f64| line.start + (line.end - line.start) * ((along - behind) / here);
        if here > 0.0 && behind + here > from && behind < to {
            if points.is_empty() {
                points.push(at(from.max(behind)));
            }
            points.push(at(to.min(behind + here)));
        }
        behind += here;
    }
    LineString::new(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    // An L of 3 and 4: 25 to 75 % of 7 are from 1.75 on the first leg to 2.25 on the second.
    #[test]
    fn a_piece_goes_round_the_corner() {
        let path: LineString = vec![(0.0, 0.0), (3.0, 0.0), (3.0, 4.0)].into();
        let found = piece(&path, 0.25, 0.75);
        assert_eq!(found, vec![(1.75, 0.0), (3.0, 0.0), (3.0, 2.25)].into());
        assert_eq!(piece(&path, 0.0, 1.0), path);
    }
}
