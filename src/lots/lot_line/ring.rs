//! One ring of a lot line.

use super::{LotLineError, NORTH_TIE_M};
use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line, LineString};

/// On which side of its ring the lot lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RingKind {
    /// The ring goes around the lot.
    Outer,
    /// The ring goes around ground that is not the lot's.
    Hole,
}

/// One closed ring of the lot line.
///
/// # Invariants
/// Clockwise, closed, at least three different vertices, no two equal in a row, encloses an area; chainage rises
/// strictly from 0 to the length.
#[derive(Debug, Clone, PartialEq)]
pub struct LotRing {
    kind: RingKind,
    points: Vec<Coord>,
    chainage_m: Vec<f64>,
    metres_per_unit: f64,
}

impl LotRing {
    pub(super) fn new(
        source: &LineString,
        kind: RingKind,
        number: usize,
        metres_per_unit: f64,
    ) -> Result<Self, LotLineError> {
        if let Some(bad) = source.0.iter().find(|p| !(p.x.is_finite() && p.y.is_finite())) {
            return Err(LotLineError::NotFinite { ring: number, x: bad.x, y: bad.y });
        }
        let mut points = source.0.clone();
        points.dedup();
        while points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        let twice_area = twice_signed_area(&points);
        // Rounding of coordinates leaves up to some 1e-16 of the square of the extent; nobody owns such a lot.
        let extent = points.iter().map(|p| distance(*p, points[0])).fold(0.0, f64::max);
        if points.len() < 3 || twice_area.abs() <= 1e-12 * extent * extent {
            let first = source.0.first().copied().unwrap_or_default();
            return Err(LotLineError::NoArea { ring: number, x: first.x, y: first.y });
        }
        if twice_area > 0.0 {
            points.reverse();
        }
        let start = start_vertex(&points, NORTH_TIE_M / metres_per_unit);
        points.rotate_left(start);
        points.push(points[0]);

        let mut chainage_m = Vec::with_capacity(points.len());
        let mut run_m = 0.0;
        chainage_m.push(run_m);
        for pair in points.windows(2) {
            run_m += distance(pair[0], pair[1]) * metres_per_unit;
            chainage_m.push(run_m);
        }
        Ok(Self { kind, points, chainage_m, metres_per_unit })
    }

    /// On which side the lot lies.
    #[must_use]
    pub const fn kind(&self) -> RingKind {
        self.kind
    }

    /// Vertices clockwise from the start; the last equals the first.
    #[must_use]
    pub fn points(&self) -> &[Coord] {
        &self.points
    }

    /// Chainage of each vertex in metres; the last is the length.
    #[must_use]
    pub fn chainages_m(&self) -> &[f64] {
        &self.chainage_m
    }

    /// Length in true metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.chainage_m[self.chainage_m.len() - 1]
    }

    /// The same place, at least 0 and below the length.
    #[must_use]
    pub fn wrap_m(&self, chainage_m: f64) -> f64 {
        let length_m = self.length_m();
        let wrapped_m = chainage_m.rem_euclid(length_m);
        // A tiny negative number wraps to the length itself.
        if wrapped_m >= length_m { 0.0 } else { wrapped_m }
    }

    /// Number of the segment on which a wrapped chainage lies.
    fn segment_at(&self, wrapped_m: f64) -> usize {
        let after = self.chainage_m.partition_point(|&c| c <= wrapped_m);
        after.saturating_sub(1).min(self.points.len() - 2)
    }

    /// The point at a chainage, which may lie beyond the ring's ends.
    #[must_use]
    pub fn point_at(&self, chainage_m: f64) -> Coord {
        let wrapped_m = self.wrap_m(chainage_m);
        let i = self.segment_at(wrapped_m);
        let share = (wrapped_m - self.chainage_m[i]) / (self.chainage_m[i + 1] - self.chainage_m[i]);
        let (a, b) = (self.points[i], self.points[i + 1]);
        a + (b - a) * share.min(1.0)
    }

    /// Unit vector clockwise along the ring at a chainage (at a vertex: along the segment that starts there).
    #[must_use]
    pub fn direction_at(&self, chainage_m: f64) -> Coord {
        let i = self.segment_at(self.wrap_m(chainage_m));
        let (a, b) = (self.points[i], self.points[i + 1]);
        (b - a) / distance(a, b)
    }

    /// Unit vector into the lot, at right angles to [`Self::direction_at`].
    #[must_use]
    pub fn inward_normal_at(&self, chainage_m: f64) -> Coord {
        let along = self.direction_at(chainage_m);
        // The ring runs clockwise: what it encloses is on its right.
        let right = Coord { x: along.y, y: -along.x };
        match self.kind {
            RingKind::Outer => right,
            RingKind::Hole => right * -1.0,
        }
    }

    /// The line from one chainage clockwise to another, with the vertices between them.
    ///
    /// `to_m` past the ring's length, or below `from_m`, runs over the start; a full turn or more gives one turn.
    #[must_use]
    pub fn substring(&self, from_m: f64, to_m: f64) -> LineString {
        let length_m = self.length_m();
        let start_m = self.wrap_m(from_m);
        let span_m = if to_m < from_m { self.wrap_m(to_m - from_m) } else { (to_m - from_m).min(length_m) };
        let end_m = start_m + span_m;
        let mut line = vec![self.point_at(start_m)];
        for turn_m in [0.0, length_m] {
            let vertices = self.points.iter().zip(&self.chainage_m).skip(usize::from(turn_m > 0.0));
            line.extend(
                vertices.filter(|(_, c)| **c + turn_m > start_m && **c + turn_m < end_m).map(|(p, _)| *p),
            );
        }
        line.push(self.point_at(end_m));
        line.dedup();
        if line.len() == 1 {
            line.push(line[0]);
        }
        LineString::new(line)
    }

    /// Chainage of the place on the ring next to a point, and its distance in true metres.
    ///
    /// Of equally near places the one with the smallest chainage.
    #[must_use]
    pub fn nearest(&self, point: Coord) -> (f64, f64) {
        let (mut best_m, mut best_squared) = (0.0, f64::INFINITY);
        for (i, pair) in self.points.windows(2).enumerate() {
            let share = share_of_projection(pair[0], pair[1], point);
            let foot = pair[0] + (pair[1] - pair[0]) * share;
            let squared = (foot.x - point.x).powi(2) + (foot.y - point.y).powi(2);
            if squared < best_squared {
                best_squared = squared;
                best_m = self.chainage_m[i] + share * (self.chainage_m[i + 1] - self.chainage_m[i]);
            }
        }
        (self.wrap_m(best_m), best_squared.sqrt() * self.metres_per_unit)
    }

    /// Where a straight way crosses the ring last before it ends.
    ///
    /// `None` when the way doesn't touch the ring. Where the way runs along the ring, the end of that stretch counts.
    #[must_use]
    pub fn last_crossing(&self, outside: Coord, inside: Coord) -> Option<f64> {
        self.last_crossing_with_share(outside, inside).map(|(_, chainage_m)| chainage_m)
    }

    /// Share of the way at the last crossing, and its chainage.
    pub(super) fn last_crossing_with_share(&self, outside: Coord, inside: Coord) -> Option<(f64, f64)> {
        let way = Line::new(outside, inside);
        let mut last: Option<(f64, f64)> = None;
        for (i, pair) in self.points.windows(2).enumerate() {
            if boxes_apart(pair[0], pair[1], outside, inside) {
                continue;
            }
            let touched = match line_intersection(way, Line::new(pair[0], pair[1])) {
                None => continue,
                Some(LineIntersection::SinglePoint { intersection, .. }) => [intersection; 2],
                Some(LineIntersection::Collinear { intersection }) => [intersection.start, intersection.end],
            };
            for point in touched {
                let share = share_of_projection(outside, inside, point);
                if last.is_none_or(|(best, _)| share > best) {
                    let along = share_of_projection(pair[0], pair[1], point);
                    let chainage_m =
                        self.chainage_m[i] + along * (self.chainage_m[i + 1] - self.chainage_m[i]);
                    last = Some((share, self.wrap_m(chainage_m)));
                }
            }
        }
        last
    }
}

fn distance(a: Coord, b: Coord) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

/// Share of the way from `a` to `b` at which it comes nearest to `point`.
fn share_of_projection(a: Coord, b: Coord, point: Coord) -> f64 {
    let (along, to_point) = (b - a, point - a);
    let squared = along.x * along.x + along.y * along.y;
    if squared == 0.0 {
        return 0.0;
    }
    ((along.x * to_point.x + along.y * to_point.y) / squared).clamp(0.0, 1.0)
}

fn boxes_apart(a: Coord, b: Coord, c: Coord, d: Coord) -> bool {
    a.x.max(b.x) < c.x.min(d.x)
        || c.x.max(d.x) < a.x.min(b.x)
        || a.y.max(b.y) < c.y.min(d.y)
        || c.y.max(d.y) < a.y.min(b.y)
}

/// Twice the area of an open ring, positive when it runs counter-clockwise.
///
/// Taken about the first vertex: projected coordinates are so large that the plain formula would lose the area's
/// digits in their squares.
fn twice_signed_area(points: &[Coord]) -> f64 {
    let Some(&origin) = points.first() else { return 0.0 };
    points
        .windows(2)
        .map(|pair| {
            let (a, b) = (pair[0] - origin, pair[1] - origin);
            a.x * b.y - b.x * a.y
        })
        .sum()
}

/// Number of the northernmost vertex, of those within `tie` the westernmost, of those the northernmost.
fn start_vertex(points: &[Coord], tie: f64) -> usize {
    let top = points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let mut best: Option<(usize, Coord)> = None;
    for (i, p) in points.iter().enumerate().filter(|(_, p)| p.y >= top - tie) {
        if best.is_none_or(|(_, b)| p.x.total_cmp(&b.x).then(b.y.total_cmp(&p.y)).is_lt()) {
            best = Some((i, *p));
        }
    }
    best.map_or(0, |(i, _)| i)
}
