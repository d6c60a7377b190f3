//! Polygons from well-known binary, whatever shape the file wraps them in.
//!
//! The geodata library's own conversion knows no arcs and stops at empty parts, so the bytes are read here. Heights and
//! measures are dropped, arcs are replaced by chords, parts of collections are gathered.
//!
//! Source: OGC 06-103r4, Simple feature access, part 1, chapter 8; the codes of curves: SQL/MM part 3 (ISO 13249-3).

use geo::{Coord, LineString, MultiPolygon, Polygon};

/// Largest turn of an arc between two of its chords' ends. A chord of 2 degrees strays from an arc of 50 m by 8 mm.
const ARC_STEP: f64 = std::f64::consts::PI / 90.0;
/// Collections in collections in collections: no sensible file goes deeper.
const DEEPEST: usize = 8;

/// What a geometry turned out to be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    /// One or more polygons.
    Polygons(MultiPolygon<f64>),
    /// A polygon or collection without any point.
    Empty,
    /// Points, lines or surfaces in space, by name.
    Other(&'static str),
}

/// Reads a geometry; `None` if the bytes end early or make no sense.
pub(crate) fn read(bytes: &[u8]) -> Option<Shape> {
    let mut found = Found::default();
    Reader { bytes, big_endian: false }.geometry(&mut found, 0)?;
    Some(match (found.polygons.is_empty(), found.other) {
        (false, _) => Shape::Polygons(MultiPolygon::new(found.polygons)),
        (true, Some(name)) => Shape::Other(name),
        (true, None) => Shape::Empty,
    })
}

/// All parts of a geometry by kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Parts {
    /// Polygons.
    pub(crate) polygons: Vec<Polygon<f64>>,
    /// Lines; arcs as chords.
    pub(crate) lines: Vec<LineString<f64>>,
    /// Points.
    pub(crate) points: Vec<Coord<f64>>,
}

/// Reads the polygons, lines and points of a geometry; `None` if the bytes end early or make no sense.
pub(crate) fn read_parts(bytes: &[u8]) -> Option<Parts> {
    let mut found = Found::default();
    Reader { bytes, big_endian: false }.geometry(&mut found, 0)?;
    Some(Parts { polygons: found.polygons, lines: found.lines, points: found.points })
}

#[derive(Default)]
struct Found {
    polygons: Vec<Polygon<f64>>,
    lines: Vec<LineString<f64>>,
    points: Vec<Coord<f64>>,
    other: Option<&'static str>,
}

impl Found {
    /// Books the rings of one polygon; triangles (17) belong to surfaces in space.
    fn keep(&mut self, rings: Vec<Vec<Coord<f64>>>, code: u32) {
        if code == 17 {
            self.other.get_or_insert("surface in space");
            return;
        }
        let mut rings = rings.into_iter().filter(|r| !r.is_empty()).map(LineString::new);
        if let Some(outer) = rings.next() {
            self.polygons.push(Polygon::new(outer, rings.collect()));
        }
    }
}

struct Reader<'b> {
    bytes: &'b [u8],
    big_endian: bool,
}

/// Code of a geometry without its dimensions, and numbers per point.
struct Head {
    code: u32,
    numbers: usize,
}

impl Reader<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (head, rest) = self.bytes.split_first_chunk::<N>()?;
        self.bytes = rest;
        Some(*head)
    }

    fn whole(&mut self) -> Option<u32> {
        let bytes = self.take::<4>()?;
        Some(if self.big_endian { u32::from_be_bytes(bytes) } else { u32::from_le_bytes(bytes) })
    }

    fn number(&mut self) -> Option<f64> {
        let bytes = self.take::<8>()?;
        Some(if self.big_endian { f64::from_be_bytes(bytes) } else { f64::from_le_bytes(bytes) })
    }

    fn head(&mut self) -> Option<Head> {
        self.big_endian = self.take::<1>()?[0] == 0;
        let code = self.whole()?;
        // ISO adds thousands for heights and measures, an older habit sets the top bits.
        let (plain, old) = (code & 0x0fff_ffff, code >> 28);
        let iso = plain / 1000;
        let more = match iso {
            0 => usize::from(old & 8 != 0) + usize::from(old & 4 != 0),
            1 | 2 => 1,
            _ => 2,
        };
        Some(Head { code: plain % 1000, numbers: 2 + more })
    }

    fn points(&mut self, numbers: usize) -> Option<Vec<Coord<f64>>> {
        let count = self.whole()?;
        let mut points = Vec::new();
        for _ in 0..count {
            points.push(self.point(numbers)?);
        }
        Some(points)
    }

    fn point(&mut self, numbers: usize) -> Option<Coord<f64>> {
        let (x, y) = (self.number()?, self.number()?);
        for _ in 2..numbers {
            self.number()?;
        }
        Some(Coord { x, y })
    }

    fn geometry(&mut self, found: &mut Found, depth: usize) -> Option<()> {
        let head = self.head()?;
        match head.code {
            1 => {
                found.points.push(self.point(head.numbers)?);
                found.other.get_or_insert("point");
            }
            2 | 8 => {
                let points = self.points(head.numbers)?;
                found.lines.push(LineString::new(if head.code == 8 { chords(&points) } else { points }));
                found.other.get_or_insert("line");
            }
            3 | 17 => {
                let rings = self.whole()?;
                let mut all = Vec::new();
                for _ in 0..rings {
                    all.push(self.points(head.numbers)?);
                }
                found.keep(all, head.code);
            }
            10 => {
                let rings = self.whole()?;
                let mut all = Vec::new();
                for _ in 0..rings {
                    all.push(self.curve(0)?);
                }
                found.keep(all, head.code);
            }
            4..=7 | 9 | 11 | 12 | 15 | 16 if depth < DEEPEST => {
                let parts = self.whole()?;
                if matches!(head.code, 15 | 16) {
                    found.other.get_or_insert("surface in space");
                    return Some(());
                }
                for _ in 0..parts {
                    self.geometry(found, depth + 1)?;
                }
            }
            _ => return None,
        }
        Some(())
    }

    /// A ring made of lines and arcs.
    fn curve(&mut self, depth: usize) -> Option<Vec<Coord<f64>>> {
        let head = self.head()?;
        match head.code {
            2 => self.points(head.numbers),
            8 => Some(chords(&self.points(head.numbers)?)),
            9 if depth < DEEPEST => {
                let parts = self.whole()?;
                let mut all: Vec<Coord<f64>> = Vec::new();
                for _ in 0..parts {
                    let part = self.curve(depth + 1)?;
                    let joined = usize::from(all.last().is_some() && all.last() == part.first());
                    all.extend_from_slice(&part[joined.min(part.len())..]);
                }
                Some(all)
            }
            _ => None,
        }
    }
}

/// Points along a string of arcs, each given by its start, a point on it, and its end.
fn chords(given: &[Coord<f64>]) -> Vec<Coord<f64>> {
    let mut out: Vec<Coord<f64>> = given.first().copied().into_iter().collect();
    for arc in given.windows(3).step_by(2) {
        let (start, middle, end) = (arc[0], arc[1], arc[2]);
        if let Some((centre, turn)) = circle(start, middle, end) {
            let steps = crate::input::numbers::count((turn.abs() / ARC_STEP).ceil()).clamp(1, 720);
            for step in 1..steps {
                let share = crate::input::numbers::real(step) / crate::input::numbers::real(steps);
                let (sin, cos) = (turn * share).sin_cos();
                let (dx, dy) = (start.x - centre.x, start.y - centre.y);
                out.push(Coord { x: centre.x + dx * cos - dy * sin, y: centre.y + dx * sin + dy * cos });
            }
        } else {
            out.push(middle);
        }
        out.push(end);
    }
    out
}

/// Centre and signed turn (counter-clockwise above 0) of the arc through three points; `None` if they lie on a line.
fn circle(start: Coord<f64>, middle: Coord<f64>, end: Coord<f64>) -> Option<(Coord<f64>, f64)> {
    if start == end {
        // A full circle: the middle point lies opposite.
        let centre = Coord { x: f64::midpoint(start.x, middle.x), y: f64::midpoint(start.y, middle.y) };
        return (start != middle).then_some((centre, std::f64::consts::TAU));
    }
    let (bx, by) = (middle.x - start.x, middle.y - start.y);
    let (cx, cy) = (end.x - start.x, end.y - start.y);
    let cross = bx * cy - by * cx;
    let (b2, c2) = (bx * bx + by * by, cx * cx + cy * cy);
    if cross.abs() < 1e-9 * b2.max(c2) {
        return None;
    }
    let (ux, uy) = ((cy * b2 - by * c2) / (2.0 * cross), (bx * c2 - cx * b2) / (2.0 * cross));
    let angle = |x: f64, y: f64| (y - uy).atan2(x - ux);
    let mut turn = angle(cx, cy) - angle(0.0, 0.0);
    // The sense of the turn is that of the triangle.
    if cross > 0.0 && turn < 0.0 {
        turn += std::f64::consts::TAU;
    } else if cross < 0.0 && turn > 0.0 {
        turn -= std::f64::consts::TAU;
    }
    Some((Coord { x: start.x + ux, y: start.y + uy }, turn))
}

#[cfg(test)]
mod tests {
    use super::*;
    use gdal::vector::Geometry;
    use geo::Area;

    fn shape(text: &str) -> Shape {
        read(&Geometry::from_wkt(text).unwrap().iso_wkb().unwrap()).unwrap()
    }

    fn area(text: &str) -> f64 {
        match shape(text) {
            Shape::Polygons(all) => all.unsigned_area(),
            other => panic!("{other:?}"),
        }
    }

    // Areas: closed forms.
    #[test]
    fn parts_holes_heights_and_measures_are_read() {
        assert!((area("POLYGON((0 0,10 0,10 10,0 10,0 0),(2 2,4 2,4 4,2 4,2 2))") - 96.0).abs() < 1e-12);
        assert!(
            (area("MULTIPOLYGON Z(((0 0 5,1 0 5,1 1 5,0 1 5,0 0 5)),((2 0 5,4 0 5,4 1 5,2 0 5)))") - 2.0)
                .abs()
                < 1e-12
        );
        assert!((area("POLYGON ZM((0 0 1 2,1 0 1 2,1 1 1 2,0 0 1 2))") - 0.5).abs() < 1e-12);
        assert!((area("GEOMETRYCOLLECTION(POINT(1 1),POLYGON((0 0,1 0,1 1,0 0)))") - 0.5).abs() < 1e-12);
    }

    // A circle of radius 10: pi r2 = 314.159; chords of 2 degrees lose 0.02 %.
    #[test]
    fn arcs_become_chords() {
        let circle = area("CURVEPOLYGON(CIRCULARSTRING(-10 0,0 10,10 0,0 -10,-10 0))");
        assert!((circle / (std::f64::consts::PI * 100.0) - 1.0).abs() < 3e-4, "{circle}");
        let half = area("CURVEPOLYGON(COMPOUNDCURVE(CIRCULARSTRING(-10 0,0 10,10 0),(10 0,-10 0)))");
        assert!((half / (std::f64::consts::PI * 50.0) - 1.0).abs() < 3e-4, "{half}");
    }

    // Parts of a collection by kind; a compound curve (9) of one line is that line.
    #[test]
    fn lines_and_points_are_read_beside_polygons() {
        let read = |text: &str| read_parts(&Geometry::from_wkt(text).unwrap().iso_wkb().unwrap()).unwrap();
        let all = read("GEOMETRYCOLLECTION(POINT(1 2),LINESTRING Z(0 0 9,3 4 9),POLYGON((0 0,1 0,1 1,0 0)))");
        assert_eq!((all.polygons.len(), all.lines.len(), all.points.len()), (1, 1, 1));
        assert_eq!(all.points[0], Coord { x: 1.0, y: 2.0 });
        assert_eq!(all.lines[0].0[1], Coord { x: 3.0, y: 4.0 });
        assert_eq!(read("MULTILINESTRING((0 0,1 0),(2 0,3 0))").lines.len(), 2);
    }

    #[test]
    fn what_is_no_polygon_is_named() {
        assert_eq!(shape("POINT(1 2)"), Shape::Other("point"));
        assert_eq!(shape("POLYGON EMPTY"), Shape::Empty);
        assert_eq!(shape("MULTIPOLYGON EMPTY"), Shape::Empty);
        assert_eq!(shape("TIN(((0 0 0,1 0 0,0 1 0,0 0 0)))"), Shape::Other("surface in space"));
        assert_eq!(read(&[1, 3, 0, 0, 0, 9]), None);
    }
}
