//! How much room there is beside a line: how near the lot line lies, and what no trench may be dug through.

use super::obstacles::ObstacleKind;
use crate::units::Length;
use geo::{BoundingRect, Coord, Distance, Euclidean, Line, LineString, LinesIter, MultiPolygon, Rect};

/// A line is looked at in pieces no longer than this, m. Ours: a line around a corner is a millimetre nearer within one.
const PIECE_M: f64 = 0.25;
/// Room that is missing by less than this isn't, m: less than shrinking a lot rounds.
const TOUCH_M: f64 = 1e-4;

/// What ends the room beside a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// The lot line.
    LotLine,
    /// A thing that no trench may be dug through.
    Thing(ObstacleKind),
}

impl Edge {
    /// What it is called.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::LotLine => "the lot line",
            Self::Thing(ObstacleKind::Building) => "a building",
            Self::Thing(ObstacleKind::Septic) => "a septic tank or field",
            Self::Thing(ObstacleKind::Well) => "a well",
            Self::Thing(_) => "what stands there",
        }
    }
}

/// Room beside a piece of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// From where along the line, m.
    pub from_m: f64,
    /// To where.
    pub to_m: f64,
    /// To its nearer side, m.
    pub room_m: f64,
    /// What ends it.
    pub edge: Edge,
}

/// Room beside a line, from its head down.
///
/// # Invariants
/// Pieces follow each other without gaps; beside a line without any there is room without end.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Nearness {
    pieces: Vec<Room>,
    /// Distance from the lot line that the line was asked to keep, where the lot leaves room for it.
    setback: Option<Length>,
}

/// Works that are wider than there is room for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TooWide {
    /// Where along the line.
    pub station: Length,
    /// Their width there, half of it to either side.
    pub width: Length,
    /// Room to the nearer side.
    pub room: Length,
    /// What ends it.
    pub edge: Edge,
    /// Setback that would leave room; nothing where another one doesn't help: something else is in the way, the line goes around
    /// something, or the lot is too narrow.
    pub setback: Option<Length>,
}

impl TooWide {
    /// How far they lie beyond the edge.
    #[must_use]
    pub fn over(&self) -> Length {
        self.width * 0.5 - self.room
    }
}

impl Nearness {
    /// Nothing is near.
    #[must_use]
    pub const fn free() -> Self {
        Self { pieces: Vec::new(), setback: None }
    }

    /// Of a line in a lot, among things that no trench may be dug through.
    ///
    /// # Units
    /// All in the working system's unit, of which each is `metres_per_unit` long.
    ///
    /// # Method
    /// The line is cut at its corners and into pieces of 0.25 m at the most; the room beside a piece is its distance, as a straight, to
    /// the outlines: that of its nearest place.
    pub(super) fn of<'a>(
        path: &LineString,
        lot: &MultiPolygon,
        things: impl Iterator<Item = (ObstacleKind, &'a MultiPolygon)>,
        metres_per_unit: f64,
    ) -> Self {
        let lot_line: Vec<Line> = lot.lines_iter().collect();
        let things: Vec<(ObstacleKind, Rect, &MultiPolygon)> =
            things.filter_map(|(kind, area)| Some((kind, area.bounding_rect()?, area))).collect();
        let room = |piece: Line| {
            let to_lot = lot_line.iter().map(|edge| Euclidean.distance(&piece, edge));
            let mut least = (to_lot.fold(f64::INFINITY, f64::min), Edge::LotLine);
            for (kind, rect, area) in &things {
                if Euclidean.distance(&piece, &rect.to_polygon()) < least.0 {
                    let away = Euclidean.distance(&piece, *area);
                    if away < least.0 {
                        least = (away, Edge::Thing(*kind));
                    }
                }
            }
            least
        };
        let mut pieces = Vec::new();
        let mut along_m = 0.0;
        for piece in short_pieces(path, PIECE_M / metres_per_unit) {
            let length_m = Euclidean.distance(piece.start, piece.end) * metres_per_unit;
            let (away, edge) = room(piece);
            pieces.push(Room {
                from_m: along_m,
                to_m: along_m + length_m,
                room_m: away * metres_per_unit,
                edge,
            });
            along_m += length_m;
        }
        Self { pieces, setback: None }
    }

    /// The same of a line that keeps the setback that was asked for.
    #[must_use]
    pub(super) const fn at_setback(mut self, setback: Length) -> Self {
        self.setback = Some(setback);
        self
    }

    /// So much room all along, for tests.
    #[cfg(test)]
    pub(crate) fn even(room_m: f64, length_m: f64) -> Self {
        let all = Room { from_m: 0.0, to_m: length_m, room_m, edge: Edge::LotLine };
        Self { pieces: vec![all], setback: Some(Length::from_m(room_m)) }
    }

    /// The same from the other end.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let length_m = self.pieces.last().map_or(0.0, |last| last.to_m);
        let turned =
            |piece: &Room| Room { from_m: length_m - piece.to_m, to_m: length_m - piece.from_m, ..*piece };
        Self { pieces: self.pieces.iter().rev().map(turned).collect(), setback: self.setback }
    }

    /// Pieces of the line, from its head.
    #[must_use]
    pub fn pieces(&self) -> &[Room] {
        &self.pieces
    }

    /// The least room between two places.
    #[must_use]
    pub fn least_room(&self, from_m: f64, to_m: f64) -> Length {
        let within = self.pieces.iter().filter(|piece| piece.from_m < to_m && piece.to_m > from_m);
        Length::from_m(within.map(|piece| piece.room_m).fold(f64::INFINITY, f64::min))
    }

    /// Whether works so wide have room between two places.
    #[must_use]
    pub fn has_room(&self, width: Length, [from_m, to_m]: [f64; 2]) -> bool {
        0.5 * width.as_m() <= self.least_room(from_m, to_m).as_m() + TOUCH_M
    }

    /// Where works lie farthest beyond the room that there is; nothing where they fit. `widest` is their widest place within a piece,
    /// nothing beside them.
    #[must_use]
    pub fn too_wide(&self, widest: &dyn Fn(&Room) -> Option<(Length, Length)>) -> Option<TooWide> {
        let mut worst: Option<TooWide> = None;
        for piece in &self.pieces {
            let Some((station, width)) = widest(piece) else { continue };
            let room = Length::from_m(piece.room_m);
            let found = TooWide { station, width, room, edge: piece.edge, setback: None };
            let least = worst.map_or(Length::from_m(TOUCH_M), |worst| worst.over() + Length::from_m(1e-9));
            if found.over() > least {
                worst = Some(TooWide { setback: self.wider(piece, width), ..found });
            }
        }
        worst
    }

    /// A setback that leaves room for works where the line keeps its own, and nothing else is nearer.
    fn wider(&self, piece: &Room, width: Length) -> Option<Length> {
        let keeps = |setback: &Length| piece.room_m >= setback.as_m() - 1e-3;
        self.setback.filter(keeps).filter(|_| piece.edge == Edge::LotLine).map(|_| width * 0.5)
    }
}

/// Straight pieces of a line, no longer than so much.
fn short_pieces(path: &LineString, longest: f64) -> impl Iterator<Item = Line> + '_ {
    path.lines().flat_map(move |leg| {
        let (a, way) = (leg.start, leg.delta());
        let count = (way.x.hypot(way.y) / longest).ceil().max(1.0);
        let at = move |k: f64| Coord { x: a.x + way.x * (k / count), y: a.y + way.y * (k / count) };
        let mut k = 0.0;
        std::iter::from_fn(move || {
            let piece = Line::new(at(k), at(k + 1.0));
            k += 1.0;
            (k <= count).then_some(piece)
        })
    })
}

#[cfg(test)]
#[path = "nearness_tests.rs"]
mod tests;
