//! The shortest way among zones.
//!
//! Shortest ways among polygons bend at their corners only. The corners of all zones, moved out by a hair, are the places between
//! which straight legs are looked at; a search by length walked plus straight distance left (Hart, Nilsson and Raphael
//! 1968, from memory) takes the shortest chain of legs.

mod zone;

pub(crate) use zone::pieces_within;
pub use zone::{Bar, Zone, length_within};

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Buffer, Coord, Euclidean, Length, LineString, MultiPolygon};
use zone::length;

/// Corners lie so far outside their zones, m: less than a crew can set out.
const OFF_M: f64 = 0.02;
/// Length in a zone that counts as none, m.
const TOUCH_M: f64 = 1e-3;
/// Most corners that are looked at for one way: those over which the way would be shortest. Ours.
const MOST_CORNERS: usize = 240;
/// Ways around ground to be kept clear are taken where they are no longer than so many times the way through it, and so much more, m. Ours.
const LONGEST: (f64, f64) = (2.0, 20.0);
/// What a metre counts through a zone that should be kept clear.
const CLEAR_COSTS: f64 = 10.0;

/// Zones, and the ground that a way should stay on.
#[derive(Debug, Clone, PartialEq)]
pub struct Routes {
    zones: Vec<Zone>,
    corners: Vec<Coord>,
    home: Option<(MultiPolygon, f64)>,
    metres_per_unit: f64,
}

impl Routes {
    /// Ways among zones.
    ///
    /// # Units
    /// Areas in the working system's unit, of which each is `metres_per_unit` long on the ground.
    #[must_use]
    pub fn new(zones: Vec<Zone>, metres_per_unit: f64) -> Self {
        let corners = zones.iter().flat_map(|zone| outside(zone, metres_per_unit)).collect();
        Self { zones, corners, home: None, metres_per_unit }
    }

    /// The same, where a metre outside an area counts as `costs` metres; ways may bend at the corners of `inset`, which lies in it.
    #[must_use]
    pub fn at_home(mut self, area: MultiPolygon, inset: &MultiPolygon, costs: f64) -> Self {
        use geo::CoordsIter;
        self.corners.extend(inset.coords_iter());
        self.home = Some((area, costs));
        self
    }

    /// The same with more zones.
    #[must_use]
    pub fn also_off(mut self, zones: Vec<Zone>) -> Self {
        self.corners.extend(zones.iter().flat_map(|zone| outside(zone, self.metres_per_unit)));
        self.zones.extend(zones);
        self
    }

    /// The zones.
    #[must_use]
    pub fn zones(&self) -> &[Zone] {
        &self.zones
    }

    /// Whether a way leads through ground with a bar.
    #[must_use]
    pub fn crosses(&self, path: &LineString, bar: Bar) -> bool {
        let within =
            |zone: &Zone| path.0.windows(2).map(|leg| zone.length_within(leg[0], leg[1])).sum::<f64>();
        let barred = self.zones.iter().filter(|zone| zone.bar() == bar);
        barred.map(within).any(|units| units * self.metres_per_unit > TOUCH_M)
    }

    /// The shortest way, with its bends; nothing where solid ground shuts every way.
    ///
    /// # Method
    /// See the module. Zones to be kept clear of are solid at first, those in which an end lies left out; where no way is found, or one
    /// that is far longer, they are costly.
    #[must_use]
    pub fn way(&self, from: Coord, to: Coord) -> Option<LineString> {
        let around = self.search(from, to, false);
        let metres = |way: &LineString| Euclidean.length(way) * self.metres_per_unit;
        let straight_m = length(from, to) * self.metres_per_unit;
        let is_short = |way: &LineString, least_m: f64| metres(way) <= LONGEST.0 * least_m + LONGEST.1;
        if around.as_ref().is_some_and(|around| is_short(around, straight_m)) {
            return around;
        }
        let through = self.search(from, to, true);
        match (around, through) {
            (Some(around), Some(through)) if is_short(&around, metres(&through)) => Some(around),
            (around, through) => through.or(around),
        }
    }

    fn search(&self, from: Coord, to: Coord, relaxed: bool) -> Option<LineString> {
        let bars: Vec<Bar> = self
            .zones
            .iter()
            .map(|zone| match zone.bar() {
                Bar::Clear if relaxed || zone.holds(from) || zone.holds(to) => Bar::Costly(CLEAR_COSTS),
                bar => bar,
            })
            .collect();
        let cost = |a: Coord, b: Coord| self.cost(&bars, a, b);
        let nodes = self.nodes(&bars, from, to);
        let found = shortest(&nodes, &cost)?;
        Some(LineString::new(found.into_iter().map(|place| nodes[place]).collect()))
    }

    /// From, to, and the corners in order of what a way over them would be at the least.
    fn nodes(&self, bars: &[Bar], from: Coord, to: Coord) -> Vec<Coord> {
        let solid = |at: Coord| {
            self.zones.iter().zip(bars).any(|(zone, bar)| !matches!(bar, Bar::Costly(_)) && zone.holds(at))
        };
        let over = |at: Coord| length(from, at) + length(at, to);
        let mut corners: Vec<Coord> = self.corners.clone();
        corners.sort_by(|a, b| over(*a).total_cmp(&over(*b)));
        let free = corners.into_iter().filter(|&at| !solid(at)).take(MOST_CORNERS);
        [from, to].into_iter().chain(free).collect()
    }

    /// What a leg counts; nothing through solid ground.
    fn cost(&self, bars: &[Bar], from: Coord, to: Coord) -> Option<f64> {
        let mut cost = length(from, to);
        for (zone, bar) in self.zones.iter().zip(bars) {
            let within = zone.length_within(from, to);
            match bar {
                Bar::Costly(times) => cost += (times - 1.0) * within,
                Bar::Solid | Bar::Clear if within * self.metres_per_unit > TOUCH_M => return None,
                Bar::Solid | Bar::Clear => {}
            }
        }
        if let Some((home, times)) = &self.home {
            cost += (times - 1.0) * (length(from, to) - length_within(home, from, to)).max(0.0);
        }
        Some(cost)
    }
}

/// Corners of a zone, moved out by a hair.
fn outside(zone: &Zone, metres_per_unit: f64) -> Vec<Coord> {
    let style =
        BufferStyle::new(OFF_M / metres_per_unit).line_join(LineJoin::Miter(std::f64::consts::FRAC_PI_4));
    let grown = zone.area().buffer_with_style(style);
    Zone::new(grown, zone.bar()).map_or_else(Vec::new, |zone| zone.corners().collect())
}

/// Places of the cheapest chain from the first node to the second.
fn shortest(nodes: &[Coord], cost: &dyn Fn(Coord, Coord) -> Option<f64>) -> Option<Vec<usize>> {
    let goal = nodes[1];
    let mut least = vec![f64::INFINITY; nodes.len()];
    let mut before = vec![0; nodes.len()];
    let mut closed = vec![false; nodes.len()];
    least[0] = 0.0;
    loop {
        let open = (0..nodes.len()).filter(|&i| !closed[i] && least[i].is_finite());
        let next = open.min_by(|&a, &b| {
            (least[a] + length(nodes[a], goal)).total_cmp(&(least[b] + length(nodes[b], goal)))
        })?;
        if next == 1 {
            break;
        }
        closed[next] = true;
        for other in (0..nodes.len()).filter(|&other| !closed[other]) {
            // Looking at a leg costs more than asking whether it could help at all.
            if least[next] + length(nodes[next], nodes[other]) >= least[other] {
                continue;
            }
            if let Some(leg) = cost(nodes[next], nodes[other])
                && least[next] + leg < least[other]
            {
                least[other] = least[next] + leg;
                before[other] = next;
            }
        }
    }
    let mut chain = vec![1];
    while let Some(&place) = chain.last().filter(|&&place| place != 0) {
        chain.push(before[place]);
    }
    chain.reverse();
    Some(chain)
}

#[cfg(test)]
mod tests;
