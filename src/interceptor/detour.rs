//! A line led around what stands in its way.

use super::fewer_bends::with_fewer_bends;
use super::obstacles::{Obstacles, pieces_along, point_along};
use super::route::{Bar, Routes, Zone};
use geo::coordinate_position::{CoordPos, CoordinatePosition};
use geo::{Coord, Euclidean, Length, LineString, MultiPolygon};

/// Pieces in the way with less between them are one, m. Ours.
const JOIN_M: f64 = 2.0;
/// A detour starts so far before what is in the way, m.
const BEFORE_M: f64 = 0.1;
/// A detour is taken where it is no longer than so many times what it replaces, and so much more, m. Ours.
const LONGEST: (f64, f64) = (2.0, 20.0);

/// An end is moved aside out of ground that carries something by no more than this, m. Ours.
const FARTHEST_ASIDE_M: f64 = 3.0;
/// In steps of this, m.
const ASIDE_STEP_M: f64 = 0.05;

/// A piece of a line that can't be dug: through a building, a septic field or a well, with no way around on
/// the lot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Blocked {
    /// Place of the obstacle in the list.
    pub(super) obstacle: usize,
    /// Along the line, in its unit, from where it comes into what is kept clear of it.
    pub(super) from: f64,
    /// To where.
    pub(super) to: f64,
}

impl Obstacles {
    /// The line with a detour around each building and each ground to be kept clear of in its way; where
    /// there is none that isn't much longer and stays inside the lot, and where one of the line's ends lies
    /// in it, it goes straight on. An end that comes into such ground by no more than `past` stays out of it,
    /// and one that comes into a building, a septic field or a well does in any case.
    ///
    /// Where the least trench would cut the ground that carries something the line goes around that too, its
    /// ends aside from
    /// it, where that can be; else it is led around as if there were no such ground.
    pub(super) fn clear_of(&self, path: &LineString, past: f64) -> LineString {
        let mut led = Led::between(path, self.ends_clear(path, past));
        let join = JOIN_M / self.metres_per_unit();
        let Some(off_footings) = self.off_footings() else {
            self.lead_around(&mut led, &in_the_way(path, self.lines(), join));
            return led.finished();
        };
        let plain = in_the_way(path, self.lines(), join);
        for [from, to] in in_the_way(path, off_footings, join) {
            if let Some((ends, detour)) = self.off_footings_around(&led, [from, to], off_footings) {
                led.take(ends, &detour);
                continue;
            }
            let within: Vec<[f64; 2]> =
                plain.iter().copied().filter(|piece| piece[0] < to && piece[1] > from).collect();
            self.lead_around(&mut led, &within);
        }
        led.finished()
    }

    /// Leads a line around buildings and ground to be kept clear of at some of its pieces.
    fn lead_around(&self, led: &mut Led<'_>, pieces: &[[f64; 2]]) {
        let before = BEFORE_M / self.metres_per_unit();
        for [from, to] in pieces {
            let (from, to) = (from - before, to + before);
            if from <= led.done || to >= led.end {
                continue;
            }
            let Some(detour) = self.around(led.path, from, to) else { continue };
            led.take([from, to], &detour);
        }
    }

    /// A way out of the ground that carries something, and between which places of the line it lies: the
    /// shortest of those from and to the
    /// line before and after it, or places aside of the line's ends where they lie in it.
    fn off_footings_around(
        &self,
        led: &Led<'_>,
        [from, to]: [f64; 2],
        routes: &Routes,
    ) -> Option<([f64; 2], LineString)> {
        let before = BEFORE_M / self.metres_per_unit();
        let ends = [(from - before).max(led.done), (to + before).min(led.end)];
        // Two detours of one line don't meet.
        let is_new = from - before > led.done || led.is_at_start();
        let starts = self.free_places(led.path, ends[0], routes);
        let stops = self.free_places(led.path, ends[1], routes);
        let pairs = starts.iter().flat_map(|start| stops.iter().map(move |stop| (*start, *stop)));
        let ways = pairs.filter_map(|(start, stop)| self.good_way((start, stop), ends[1] - ends[0], routes));
        let shortest = ways.min_by(|a, b| Euclidean.length(a).total_cmp(&Euclidean.length(b)));
        shortest.filter(|_| is_new && ends[1] > ends[0]).map(|way| (ends, way))
    }

    /// The place of a line, or where that lies in ground that carries something the nearest to either side
    /// that doesn't and keeps the
    /// setback.
    fn free_places(&self, path: &LineString, along: f64, routes: &Routes) -> Vec<Coord> {
        let at = point_along(path, along);
        let holds = |area: &MultiPolygon, at: Coord| area.coordinate_position(&at) == CoordPos::Inside;
        if !self.carrying().iter().any(|area| holds(area, at)) {
            return vec![at];
        }
        let units = |m: f64| m / self.metres_per_unit();
        let across = across(path, along, units(BEFORE_M));
        let aside = |side: f64| {
            let steps = std::iter::successors(Some(ASIDE_STEP_M), |m| Some(m + ASIDE_STEP_M));
            let places =
                steps.take_while(|m| *m <= FARTHEST_ASIDE_M).map(|m| at + across * (side * units(m)));
            let is_free =
                |at: &Coord| self.keeps_setback(*at) && !barred(routes).any(|zone| holds(zone.area(), *at));
            places.into_iter().find(is_free)
        };
        [1.0, -1.0].into_iter().filter_map(aside).collect()
    }

    /// Pieces of a line that must be given up, in its unit, rising.
    pub(super) fn blocked(&self, path: &LineString) -> Vec<Blocked> {
        let units = |m: f64| m / self.metres_per_unit();
        let whole = Euclidean.length(path);
        let mut found = Vec::new();
        let shut = self.shut_pieces(path);
        for [from, to] in in_the_way(path, self.lines(), units(JOIN_M)) {
            let within: Vec<Blocked> = shut
                .iter()
                .filter(|piece| piece.is_through && piece.from < to && piece.to > from)
                .map(|piece| Blocked { obstacle: piece.obstacle, from: piece.from, to: piece.to })
                .collect();
            let (from, to) = (from - units(BEFORE_M), to + units(BEFORE_M));
            let is_passed = from > 0.0 && to < whole && self.around(path, from, to).is_some();
            if !is_passed {
                found.extend(within);
            }
        }
        found.sort_by(|a, b| a.from.total_cmp(&b.from));
        found
    }

    /// Where the line starts and ends, in its unit, when its ends stay out of what they mustn't come into.
    fn ends_clear(&self, path: &LineString, past: f64) -> [f64; 2] {
        let whole = Euclidean.length(path);
        let (mut start, mut end) = (0.0_f64, whole);
        let shut = self.shut_pieces(path).into_iter().filter(|piece| piece.is_through);
        let shut = shut.map(|piece| ([piece.from, piece.to], whole));
        let off_footings = self.off_footings().map_or_else(Vec::new, |routes| in_the_way(path, routes, 0.0));
        let clear = in_the_way(path, self.lines(), 0.0).into_iter().chain(off_footings);
        let clear = clear.map(|piece| (piece, past));
        for ([from, to], most) in shut.chain(clear) {
            if from <= 0.0 && to <= most {
                start = start.max(to);
            }
            if to >= whole * (1.0 - 1e-9) && whole - from <= most {
                end = end.min(from);
            }
        }
        if end > start { [start, end] } else { [0.0, whole] }
    }

    /// A way around what lies between two places of a line, inside the lot and not much longer.
    fn around(&self, path: &LineString, from: f64, to: f64) -> Option<LineString> {
        self.good_way((point_along(path, from), point_along(path, to)), to - from, self.lines())
    }

    /// A way that goes through nothing that is to be kept clear, stays in the lot and isn't much longer than
    /// what it replaces, with few bends.
    fn good_way(&self, (from, to): (Coord, Coord), replaced: f64, routes: &Routes) -> Option<LineString> {
        let longest = LONGEST.0 * replaced + LONGEST.1 / self.metres_per_unit();
        let is_free = |way: &LineString| {
            !(routes.crosses(way, Bar::Solid) || routes.crosses(way, Bar::Clear) || self.leaves_lot(way))
        };
        let detour = routes.way(from, to).filter(is_free)?;
        let is_short = |way: &LineString| Euclidean.length(way) <= longest;
        let simpler = with_fewer_bends(&detour, &is_free);
        [simpler, detour].into_iter().find(is_short)
    }
}

/// A line as it is led so far.
struct Led<'a> {
    path: &'a LineString,
    found: Vec<Coord>,
    start: f64,
    /// Along the line, in its unit, up to where it is led.
    done: f64,
    /// Where it ends.
    end: f64,
    is_ended: bool,
}

impl<'a> Led<'a> {
    const fn between(path: &'a LineString, [start, end]: [f64; 2]) -> Self {
        Self { path, found: Vec::new(), start, done: start, end, is_ended: false }
    }

    fn is_at_start(&self) -> bool {
        self.found.is_empty()
    }

    /// Goes on to a place of the line, and from there by a detour to another.
    fn take(&mut self, [from, to]: [f64; 2], detour: &LineString) {
        if from > self.start {
            self.go_on(from);
        }
        self.found.extend(&detour.0);
        self.done = to;
        self.is_ended = to >= self.end;
    }

    fn go_on(&mut self, to: f64) {
        if self.is_at_start() {
            self.found.push(point_along(self.path, self.start));
        }
        self.found.extend(between(self.path, self.done, to));
    }

    fn finished(mut self) -> LineString {
        if !self.is_ended {
            let end = self.end;
            self.go_on(end);
            self.found.push(point_along(self.path, end));
        }
        self.found.dedup();
        LineString::new(self.found)
    }
}

/// Ground that isn't merely costly.
fn barred(routes: &Routes) -> impl Iterator<Item = &Zone> {
    routes.zones().iter().filter(|zone| !matches!(zone.bar(), Bar::Costly(_)))
}

/// A unit across a line at a place, to its left.
fn across(path: &LineString, along: f64, reach: f64) -> Coord {
    let (a, b) = (point_along(path, (along - reach).max(0.0)), point_along(path, along + reach));
    let length = (b.x - a.x).hypot(b.y - a.y);
    if length > 0.0 {
        Coord { x: (a.y - b.y) / length, y: (b.x - a.x) / length }
    } else {
        Coord { x: 0.0, y: 0.0 }
    }
}

/// Pieces of a line, in its unit, within ground that isn't merely costly.
fn in_the_way(path: &LineString, routes: &Routes, join: f64) -> Vec<[f64; 2]> {
    let mut pieces: Vec<[f64; 2]> = Vec::new();
    for zone in barred(routes) {
        pieces.extend(pieces_along(path, zone.area()));
    }
    pieces.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut joined: Vec<[f64; 2]> = Vec::new();
    for piece in pieces {
        match joined.last_mut() {
            Some(last) if piece[0] <= last[1] + join => last[1] = last[1].max(piece[1]),
            _ => joined.push(piece),
        }
    }
    joined
}

/// Corners of a line between two places along it.
fn between(path: &LineString, from: f64, to: f64) -> Vec<Coord> {
    let mut behind = 0.0;
    let mut found = Vec::new();
    for leg in path.0.windows(2) {
        behind += (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
        if behind > from && behind < to {
            found.push(leg[1]);
        }
    }
    found
}

#[cfg(test)]
#[path = "detour_tests.rs"]
mod tests;
