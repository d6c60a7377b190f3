//! Where the line runs: beside a stretch of the lot line, inside the lot.

use crate::lots::{LotLine, LotRing, Stretch};
use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Area, Buffer, Coord, LineString, MultiPolygon};

/// Shortest line that is proposed, metres: less than a pace of trench catches nothing for sure.
const LEAST_LENGTH_M: f64 = 1.0;
/// Where the lot line points into the lot, the line bends once; sharper bends than this are cut off 1.73 setbacks
/// (1 / tan 30 degrees) from the corner; radians (60 degrees).
const SHARPEST_CORNER: f64 = std::f64::consts::FRAC_PI_3;
/// A stretch is followed when the line stays within this many setbacks of it. At a corner of the lot with the angle a
/// the line's own corner is 1 / sin(a / 2) setbacks away: 6 serves corners down to 19 degrees.
const REACH: f64 = 6.0;
/// Into sharper corners the line needn't go deeper than to this distance from their tip, metres.
const LEAST_REACH_M: f64 = 3.0;
/// Line and stretch are compared at places at least this far apart, metres.
const LEAST_STEP_M: f64 = 0.25;
/// Halvings of the setback when it doesn't fit: to less than a thousandth of it.
const HALVINGS: usize = 10;

/// A line beside a stretch.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Alignment {
    /// Clockwise along the stretch, in the working coordinate system.
    pub(super) path: LineString,
    /// Distance from the lot line that was kept, metres.
    pub(super) setback_m: f64,
}

/// The ground at least a setback inside the lot.
struct Inset {
    line: LotLine,
    setback_m: f64,
}

/// Makes the lines of one lot; the lot is inset once for all of its stretches.
pub(super) struct Aligner<'a> {
    lot: &'a LotLine,
    wanted: Option<Inset>,
    setback_m: f64,
}

impl<'a> Aligner<'a> {
    pub(super) fn new(lot: &'a LotLine, setback_m: f64) -> Self {
        Self { lot, wanted: Inset::of(lot, setback_m), setback_m }
    }

    /// The line beside a stretch at the setback wanted, or at the largest that fits.
    ///
    /// # Method
    /// The lot is shrunk by the setback; the line is the part of the shrunk outline between the places next to the
    /// stretch's ends. It is accepted when it follows the stretch: no place of the stretch far from the line, no
    /// place of the line far from the stretch. Where the lot is too narrow that fails, and the setback is reduced by
    /// halving the range; the lot line itself, at setback 0, always serves.
    pub(super) fn along(&self, stretch: &Stretch, ring: &LotRing) -> Alignment {
        let try_at = |inset: &Inset| self.follow(stretch, ring, inset);
        if let Some(path) = self.wanted.as_ref().and_then(try_at) {
            return Alignment { path, setback_m: self.setback_m };
        }
        let mut best = Alignment { path: on_the_line(stretch, ring), setback_m: 0.0 };
        let mut too_far_m = self.setback_m;
        for _ in 0..HALVINGS {
            let middle_m = f64::midpoint(best.setback_m, too_far_m);
            match Inset::of(self.lot, middle_m).as_ref().and_then(try_at) {
                Some(path) => best = Alignment { path, setback_m: middle_m },
                None => too_far_m = middle_m,
            }
        }
        best
    }

    fn follow(&self, stretch: &Stretch, ring: &LotRing, inset: &Inset) -> Option<LineString> {
        let (from, to) = (ring.point_at(stretch.from_m), ring.point_at(stretch.to_m));
        let (at_from, at_to) = (inset.line.nearest(from), inset.line.nearest(to));
        if at_from.ring != at_to.ring {
            return None;
        }
        let inner = &inset.line.rings()[at_from.ring];
        // Rings run clockwise. Around a hole the lot is on the other side, so where a hole's outline has merged with
        // the outer one the line runs against the stretch.
        let path = if inner.kind() == ring.kind() {
            between(inner, at_from.chainage_m, at_to.chainage_m, stretch, ring)
        } else {
            let mut path = between(inner, at_to.chainage_m, at_from.chainage_m, stretch, ring);
            path.0.reverse();
            path
        };
        self.follows(&path, stretch, ring, inset.setback_m).then_some(path)
    }

    /// Whether line and stretch lie beside each other all along, and the line keeps its setback.
    fn follows(&self, path: &LineString, stretch: &Stretch, ring: &LotRing, setback_m: f64) -> bool {
        let scale = self.lot.metres_per_unit();
        let reach = (REACH * setback_m).max(LEAST_REACH_M) / scale;
        let step = setback_m.max(LEAST_STEP_M) / scale;
        let edge = ring.substring(stretch.from_m, stretch.to_m);
        // Rounding in the shrinking is far below a millimetre.
        let keeps_off = |p: Coord| self.lot.nearest(p).distance_m >= setback_m - 1e-3;
        samples(&edge, step).all(|p| distance_to(path, p) <= reach)
            && samples(path, step)
                .all(|p| distance_to(&edge, p) <= reach + LEAST_LENGTH_M / scale && keeps_off(p))
    }
}

impl Inset {
    fn of(lot: &LotLine, setback_m: f64) -> Option<Self> {
        inset(lot, setback_m).map(|line| Self { line, setback_m: setback_m.max(0.0) })
    }
}

/// Shrinks the lot; `None` when nothing is left of it.
pub(super) fn inset(lot: &LotLine, setback_m: f64) -> Option<LotLine> {
    if setback_m <= 0.0 {
        return Some(lot.clone());
    }
    let distance = setback_m / lot.metres_per_unit();
    let style = BufferStyle::new(-distance).line_join(LineJoin::Miter(SHARPEST_CORNER));
    let mut left: MultiPolygon = lot.lot().buffer_with_style(style);
    // Crumbs of rounding are no ground to dig in.
    left.0.retain(|p| p.unsigned_area() > 1e-6 * distance * distance);
    LotLine::new(&left, lot.metres_per_unit()).ok()
}

/// The part of a ring between two chainages, made as long as the least line.
fn between(inner: &LotRing, from_m: f64, to_m: f64, stretch: &Stretch, outer: &LotRing) -> LineString {
    let length_m = inner.length_m();
    let mut span_m = inner.wrap_m(to_m - from_m);
    // Both ends of a stretch at a corner of the lot fall on one corner of the inner ring, as do the ends of a stretch
    // all around: a difference of nothing or of a whole turn, which only the stretch can tell apart.
    let tiny_m = 1e-3 * length_m.min(LEAST_LENGTH_M);
    if span_m < tiny_m || span_m > length_m - tiny_m {
        span_m = if stretch.length_m() > outer.length_m() / 2.0 { length_m } else { 0.0 };
    }
    let least_m = LEAST_LENGTH_M.min(length_m / 2.0);
    let more_m = ((least_m - span_m) / 2.0).max(0.0);
    inner.substring(from_m - more_m, from_m + span_m + more_m)
}

/// The stretch itself, made as long as the least line.
fn on_the_line(stretch: &Stretch, ring: &LotRing) -> LineString {
    between(ring, stretch.from_m, stretch.to_m, stretch, ring)
}

/// Vertices of a line and places between them, no farther apart than a step.
fn samples(line: &LineString, step: f64) -> impl Iterator<Item = Coord> + '_ {
    line.0.windows(2).flat_map(move |pair| {
        let (a, b) = (pair[0], pair[1]);
        let length = (b.x - a.x).hypot(b.y - a.y);
        let parts = (length / step).ceil().max(1.0);
        let mut k = 0.0;
        std::iter::from_fn(move || {
            let share = k / parts;
            k += 1.0;
            (share <= 1.0).then(|| a + (b - a) * share)
        })
    })
}

fn distance_to(line: &LineString, point: Coord) -> f64 {
    let mut best = f64::INFINITY;
    for pair in line.0.windows(2) {
        let (along, to) = (pair[1] - pair[0], point - pair[0]);
        let squared = along.x * along.x + along.y * along.y;
        let share =
            if squared > 0.0 { ((along.x * to.x + along.y * to.y) / squared).clamp(0.0, 1.0) } else { 0.0 };
        let off = to - along * share;
        best = best.min(off.x.hypot(off.y));
    }
    best
}

#[cfg(test)]
#[path = "alignment_tests.rs"]
mod tests;
