//! What a line is kept clear of: buildings, and ground or things that the user names.

use super::route::{Bar, Routes, Zone, length_within, pieces_within};
use crate::units::Length;
use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
use geo::coordinate_position::{CoordPos, CoordinatePosition};
use geo::{Buffer, Coord, Distance, Euclidean, Geometry, LineString, MultiPolygon, Simplify};
use serde::Serialize;
use std::f64::consts::{FRAC_PI_4, FRAC_PI_8};

/// Distance that a line keeps from the walls of buildings where it can, m (2 ft). Ours.
const BESIDE_BUILDINGS_M: f64 = 0.6;
/// Half the width that a line without a distance of its own counts as, m.
const THIN_M: f64 = 0.05;
/// What a metre counts where a trench as deep as allowed would cut the ground below a footing. Ours.
const UNDER_COSTS: f64 = 2.0;
/// What a metre of lead counts outside the lot: the lead stays inside where that is less than half as long again. Ours.
const AWAY_COSTS: f64 = 1.5;
/// The same for the line itself, which leaves the lot for nothing.
const LINE_AWAY_COSTS: f64 = 1000.0;
/// The line's detours stay at least so far inside the lot, m; of a smaller setback its half. Ours: less than a crew can set out.
const HAIR_M: f64 = 0.02;
/// Length outside that counts as none, m.
const TOUCH_M: f64 = 1e-3;
/// Corners of outlines that stray less than this are left out of ways, m.
const SMOOTH_M: f64 = 0.1;

/// What stands or lies there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ObstacleKind {
    /// A building.
    Building,
    /// Ground over which others have rights.
    Easement,
    /// A septic tank or its field.
    Septic,
    /// A well.
    Well,
    /// A tree with its roots.
    Tree,
    /// A wall.
    Wall,
    /// A footing.
    Footing,
    /// A pipe or cable.
    Utility,
    /// Anything else.
    Other,
}

impl ObstacleKind {
    /// By its usual name; anything else is another kind.
    #[must_use]
    pub fn of_name(name: &str) -> Self {
        match name.trim().to_ascii_lowercase().as_str() {
            "building" => Self::Building,
            "easement" => Self::Easement,
            "septic" => Self::Septic,
            "well" => Self::Well,
            "tree" => Self::Tree,
            "wall" => Self::Wall,
            "footing" => Self::Footing,
            "utility" => Self::Utility,
            _ => Self::Other,
        }
    }

    /// Distance that is kept where none is given. Septic fields and wells 3 m (10 ft), trees 1.5 m (5 ft), things 0.6 m (2 ft): common
    /// practice, no source; local codes ask for more.
    #[must_use]
    pub const fn usual_distance(self) -> Length {
        match self {
            Self::Easement => Length::ZERO,
            Self::Septic | Self::Well => Length::from_m(3.0),
            Self::Tree => Length::from_m(1.5),
            Self::Building | Self::Wall | Self::Footing | Self::Utility | Self::Other => {
                Length::from_m(BESIDE_BUILDINGS_M)
            }
        }
    }

    /// Whether no trench may be dug through it, whatever that costs: a building, a septic field, a well.
    #[must_use]
    pub const fn is_shut(self) -> bool {
        matches!(self, Self::Building | Self::Septic | Self::Well)
    }

    /// Whether the ground beside it carries it, 1:1 down from its base.
    #[must_use]
    pub const fn is_carried(self) -> bool {
        matches!(self, Self::Building | Self::Wall | Self::Footing | Self::Tree)
    }
}

/// One thing that a line is kept clear of.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacle {
    /// What it is.
    pub kind: ObstacleKind,
    /// Its name in messages, such as `septic (feature 3)`.
    pub name: String,
    /// Its place, in the working system.
    pub shape: Geometry,
    /// Distance that is kept.
    pub distance: Length,
    /// Depth of its base below the ground; 0 where it isn't known, which is on the safe side.
    pub base: Length,
}

impl Obstacle {
    /// Distance at which the bottom of a trench, so wide to either side, meets the line 1:1 down from its
    /// base.
    pub(super) fn cut_by(&self, depth: Length, half_width: Length) -> Length {
        depth - self.base + half_width
    }
}

/// Depths of the trenches that there may be, and half the width of the narrowest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Digs {
    /// Of the shallowest.
    pub least: Length,
    /// Of the deepest.
    pub most: Length,
    /// To either side of the middle of the narrowest one.
    pub half_width: Length,
}

/// A stretch of a line nearer to an obstacle than it should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Approach {
    /// Place of the obstacle in the list.
    pub obstacle: usize,
    /// From where along the line, m.
    pub from_m: f64,
    /// To where, m.
    pub to_m: f64,
    /// Length of the line that lies so near, m: gaps between left out.
    pub length_m: f64,
    /// Least distance, m; 0 where the line crosses it.
    pub nearest_m: f64,
    /// The middle of the first piece.
    pub at: Coord,
}

/// All that lines of a lot are kept clear of, with the ways among it.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacles {
    all: Vec<Obstacle>,
    /// Ground to be kept clear, by obstacle.
    clear: Vec<MultiPolygon>,
    /// Ground through which no trench may be dug, by obstacle.
    shut: Vec<Option<MultiPolygon>>,
    pub(super) leads: Routes,
    /// Trenches of other pipes, which leads keep off but for their own ends.
    pub(super) trenches: Vec<MultiPolygon>,
    lines: Routes,
    /// Ways of the line out of the ground that carries something, too; nothing where none does beyond what
    /// is kept clear.
    off_footings: Option<Routes>,
    /// Ground that carries something, down to the least trench.
    carrying: Vec<MultiPolygon>,
    /// The lot at its setback.
    inset: MultiPolygon,
    /// The lot, shrunk by a hair; nothing where none is known.
    within: Option<MultiPolygon>,
    metres_per_unit: f64,
}

impl Obstacles {
    /// Nothing in the way, and no lot to stay in.
    #[must_use]
    pub fn none() -> Self {
        let empty = || Routes::new(Vec::new(), 1.0);
        Self {
            all: Vec::new(),
            clear: Vec::new(),
            shut: Vec::new(),
            leads: empty(),
            trenches: Vec::new(),
            lines: empty(),
            off_footings: None,
            carrying: Vec::new(),
            inset: MultiPolygon::new(Vec::new()),
            within: None,
            metres_per_unit: 1.0,
        }
    }

    /// Obstacles near a lot.
    ///
    /// # Units
    /// Shapes in the working system's unit, of which each is `metres_per_unit` long.
    ///
    /// # Method
    /// Ways never lead through a building, a septic field or a well; they keep the distance of each thing
    /// where they can; where the deepest trench would cut the ground that carries something, a metre counts
    /// twice; leads
    /// count a metre outside the lot one and a half times. The line itself keeps out of the ground that the
    /// least trench
    /// would cut where it can.
    #[must_use]
    pub fn new(
        all: Vec<Obstacle>,
        lot: &MultiPolygon,
        setback: Length,
        digging: Digs,
        metres_per_unit: f64,
    ) -> Self {
        let units = |m: f64| m / metres_per_unit;
        let clear: Vec<MultiPolygon> =
            all.iter().map(|it| grown(&it.shape, units(it.distance.as_m()), units(THIN_M))).collect();
        let shut: Vec<Option<MultiPolygon>> =
            all.iter().map(|it| it.kind.is_shut().then(|| grown(&it.shape, 0.0, units(THIN_M)))).collect();
        let under = |it: &Obstacle, depth: Length| {
            let reach_m = it.cut_by(depth, digging.half_width).as_m();
            (it.kind.is_carried() && reach_m > it.distance.as_m())
                .then(|| grown(&it.shape, units(reach_m), units(THIN_M)))
        };
        let mut zones = Vec::new();
        for ((it, clear), shut) in all.iter().zip(&clear).zip(&shut) {
            zones.extend(shut.clone().and_then(|shut| Zone::new(shut, Bar::Solid)));
            zones.extend(Zone::new(clear.clone(), Bar::Clear));
            zones.extend(under(it, digging.most).and_then(|area| Zone::new(area, Bar::Costly(UNDER_COSTS))));
        }
        let carrying: Vec<MultiPolygon> = all.iter().filter_map(|it| under(it, digging.least)).collect();
        let hair_m = HAIR_M.min(0.5 * setback.as_m());
        let inset = grown(&Geometry::MultiPolygon(lot.clone()), -units(setback.as_m()), 0.0);
        let kept_out = carrying.iter().filter_map(|area| Zone::new(area.clone(), Bar::Clear));
        let solid = zones.iter().filter(|zone| !matches!(zone.bar(), Bar::Costly(_))).cloned();
        let off_footings: Vec<Zone> = solid.chain(kept_out).collect();
        let off_footings = (!carrying.is_empty()).then(|| {
            Routes::new(off_footings, metres_per_unit).at_home(inset.clone(), &inset, LINE_AWAY_COSTS)
        });
        let routes = Routes::new(zones, metres_per_unit);
        Self {
            all,
            clear,
            shut,
            leads: routes.clone().at_home(lot.clone(), &inset, AWAY_COSTS),
            trenches: Vec::new(),
            lines: routes.at_home(inset.clone(), &inset, LINE_AWAY_COSTS),
            off_footings,
            carrying,
            inset,
            within: Some(grown(&Geometry::MultiPolygon(lot.clone()), -units(hair_m), 0.0)),
            metres_per_unit,
        }
    }

    /// The obstacles.
    #[must_use]
    pub fn all(&self) -> &[Obstacle] {
        &self.all
    }

    /// Ways of the line itself.
    pub(super) const fn lines(&self) -> &Routes {
        &self.lines
    }

    /// Ways of the line itself out of the ground that the least trench would cut below what it carries;
    /// nothing where there
    /// is none.
    pub(super) const fn off_footings(&self) -> Option<&Routes> {
        self.off_footings.as_ref()
    }

    /// Ground that the least trench would cut below what it carries, beyond what is kept clear.
    pub(super) fn carrying(&self) -> &[MultiPolygon] {
        &self.carrying
    }

    /// Whether a place keeps the setback.
    pub(super) fn keeps_setback(&self, at: Coord) -> bool {
        self.inset.coordinate_position(&at) != CoordPos::Outside
    }

    /// Whether a way leaves the lot.
    pub(super) fn leaves_lot(&self, path: &LineString) -> bool {
        let Some(lot) = &self.within else { return false };
        let whole: f64 = path.0.windows(2).map(|leg| (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y)).sum();
        let inside: f64 = path.0.windows(2).map(|leg| length_within(lot, leg[0], leg[1])).sum();
        (whole - inside) * self.metres_per_unit > TOUCH_M
    }

    pub(super) const fn metres_per_unit(&self) -> f64 {
        self.metres_per_unit
    }

    /// The first obstacle, by its place in the list, through which a way leads though no trench may be dug
    /// there.
    #[must_use]
    pub fn shut_by(&self, path: &LineString) -> Option<usize> {
        let through = |area: &MultiPolygon| {
            let within = path.0.windows(2).map(|leg| {
                let length = (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
                pieces_within(area, leg[0], leg[1]).iter().map(|[a, b]| (b - a) * length).sum::<f64>()
            });
            within.sum::<f64>() * self.metres_per_unit > TOUCH_M
        };
        self.shut.iter().position(|area| area.as_ref().is_some_and(through))
    }

    /// Pieces of a way, in its unit, within the ground of an obstacle through which no trench may be dug, and
    /// within what is kept clear around it; none of other obstacles.
    pub(super) fn shut_pieces(&self, path: &LineString) -> Vec<ShutPiece> {
        let mut found = Vec::new();
        for (obstacle, (shut, clear)) in self.shut.iter().zip(&self.clear).enumerate() {
            let Some(shut) = shut else { continue };
            let through = pieces_along(path, shut);
            found.extend(pieces_along(path, clear).into_iter().map(|[from, to]| {
                let is_through = through.iter().any(|[a, b]| *a < to && *b > from);
                ShutPiece { obstacle, from, to, is_through }
            }));
        }
        found
    }

    /// Where a line comes nearer to obstacles than it should.
    #[must_use]
    pub fn approaches(&self, path: &LineString) -> Vec<Approach> {
        let near = self.clear.iter().enumerate().filter_map(|(obstacle, area)| {
            let pieces = pieces_along(path, area);
            let length_m = pieces.iter().map(|[a, b]| b - a).sum::<f64>() * self.metres_per_unit;
            let (first, last) = (pieces.first()?, pieces.last()?);
            let nearest_m = Euclidean
                .distance(&Geometry::LineString(path.clone()), &self.all[obstacle].shape)
                * self.metres_per_unit;
            (length_m > 1e-3).then(|| Approach {
                obstacle,
                from_m: first[0] * self.metres_per_unit,
                to_m: last[1] * self.metres_per_unit,
                length_m,
                nearest_m,
                at: point_along(path, f64::midpoint(first[0], first[1])),
            })
        });
        near.collect()
    }
}

/// A piece of a way beside or through something that no trench may be dug through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ShutPiece {
    /// Place of the obstacle in the list.
    pub(super) obstacle: usize,
    /// Along the way, in its unit, from where it comes into what is kept clear of it.
    pub(super) from: f64,
    /// To where.
    pub(super) to: f64,
    /// Whether it leads through the thing itself.
    pub(super) is_through: bool,
}

/// Pieces of a way within an area, in its unit; those that meet at a corner are one.
pub(super) fn pieces_along(path: &LineString, area: &MultiPolygon) -> Vec<[f64; 2]> {
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut behind = 0.0;
    for leg in path.0.windows(2) {
        let length = (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
        for piece in pieces_within(area, leg[0], leg[1]) {
            let [from, to] = piece.map(|share| behind + share * length);
            match found.last_mut() {
                Some(last) if from <= last[1] => last[1] = last[1].max(to),
                _ => found.push([from, to]),
            }
        }
        behind += length;
    }
    found
}

/// A shape with the ground around it; lines and points are at least `thin` wide to each side.
pub(super) fn grown(shape: &Geometry, by: f64, thin: f64) -> MultiPolygon {
    match shape {
        Geometry::MultiPolygon(area) if by == 0.0 => area.clone(),
        Geometry::MultiPolygon(area) => {
            let style = BufferStyle::new(by).line_join(LineJoin::Miter(FRAC_PI_4));
            area.buffer_with_style(style)
        }
        Geometry::MultiLineString(_) => {
            let style = BufferStyle::new(by.max(thin))
                .line_join(LineJoin::Miter(FRAC_PI_4))
                .line_cap(LineCap::Square);
            shape.buffer_with_style(style)
        }
        // Round ones have their corners outside the circle asked for.
        other => {
            let style = BufferStyle::new(by.max(thin) / FRAC_PI_8.cos()).line_cap(LineCap::Round(FRAC_PI_4));
            other.buffer_with_style(style)
        }
    }
}

/// An outline with fewer corners, for ways.
#[must_use]
pub fn simplified(area: &MultiPolygon, metres_per_unit: f64) -> MultiPolygon {
    area.simplify(SMOOTH_M / metres_per_unit)
}

/// The place so far along a line, in its own unit.
pub(super) fn point_along(path: &LineString, along: f64) -> Coord {
    let mut left = along;
    for leg in path.0.windows(2) {
        let length = (leg[1].x - leg[0].x).hypot(leg[1].y - leg[0].y);
        if left <= length && length > 0.0 {
            return leg[0] + (leg[1] - leg[0]) * (left.max(0.0) / length);
        }
        left -= length;
    }
    path.0[path.0.len() - 1]
}

#[cfg(test)]
#[path = "obstacles_tests.rs"]
mod tests;
