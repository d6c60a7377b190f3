//! Points of a table of comma-separated values.
//!
//! The first line names the columns. Places are `lon` and `lat` in degrees on WGS 84, or `x` and `y` in the coordinate system of
//! the elevations. Semicolons and tabs separate as well; a decimal comma is refused, and so is a line that can't be
//! read: a point that is left out in silence may be the outlet.

use super::{Asked, PointFeature, Points, way};
use crate::crs::CrsDefinition;
use crate::input::Site;
use crate::input::beside::SideFile;
use crate::input::error::InputError;
use csv::{Position, ReaderBuilder, StringRecord, Trim};
use geo::Coord;
use std::path::Path;

/// The names of the columns of places, and what is taken for them.
const PLACES: [([&str; 2], Given); 2] = [(["lon", "lat"], Given::Degrees), (["x", "y"], Given::OnTheMap)];

/// What numbers of places are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Given {
    /// Longitude and latitude on WGS 84.
    Degrees,
    /// In the coordinate system of the elevations.
    OnTheMap,
}

/// One row: where it stands, its place as given, and its values.
#[derive(Debug, PartialEq)]
struct Row {
    line: usize,
    at: (f64, f64),
    values: Vec<Option<String>>,
}

pub(super) fn read(site: &Site, file: &SideFile, asked: Asked<'_>) -> Result<Points, InputError> {
    let path = &file.path;
    let refuse = |reason: String| refused(path, asked, reason);
    if file.layer.is_some() {
        return Err(refuse("a table has no layers".to_owned()));
    }
    let bytes = std::fs::read(path).map_err(|e| refuse(e.to_string()))?;
    let text = String::from_utf8(bytes).map_err(|e| {
        let lines = e.as_bytes()[..e.utf8_error().valid_up_to()].split(|&byte| byte == b'\n').count();
        refuse(format!("line {lines} is not in UTF-8; save it as UTF-8"))
    })?;
    let (given, rows) = parse(&text, asked.fields).map_err(refuse)?;
    let crs = match given {
        Given::Degrees => CrsDefinition::lonlat().map_err(|e| refuse(e.to_string()))?,
        Given::OnTheMap => site.survey.sources().crs.clone(),
    };
    let way = way(site, file, &crs, asked)?;
    let places: Vec<(f64, f64)> = rows.iter().map(|row| row.at).collect();
    let moved = way.points(&places).map_err(|e| refuse(e.to_string()))?;
    let feature = |(row, at): (Row, Option<(f64, f64)>)| {
        let (x, y) = at?;
        Some(PointFeature { at: Coord { x, y }, values: row.values, name: format!("line {}", row.line) })
    };
    // A place beyond the working system is beyond the ground as well.
    Ok(Points { features: rows.into_iter().zip(moved).filter_map(feature).collect(), vertical: None })
}

fn refused(path: &Path, asked: Asked<'_>, reason: String) -> InputError {
    InputError::Unreadable {
        path: path.to_owned(),
        reason,
        help: format!(
            "give a line of column names and a line a point, as lon,lat,{} or x,y,{0}",
            asked.fields.join(",")
        ),
    }
}

/// The rows of a table, each with the fields asked for.
fn parse(text: &str, fields: &[&str]) -> Result<(Given, Vec<Row>), String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().find(|line| !is_empty(line)).ok_or("it is empty")?;
    let separator = if header.contains(';') {
        b';'
    } else if header.contains('\t') {
        b'\t'
    } else {
        b','
    };
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .comment(Some(b'#'))
        .trim(Trim::All)
        .from_reader(text.as_bytes());
    let mut lines = Lines { text, at: 0, line: 1 };
    let names = reader.headers().map_err(|e| e.to_string())?.clone();
    let (given, x, y) = places(&names)?;
    let columns = fields.iter().map(|name| column(&names, name)).collect::<Result<Vec<_>, String>>()?;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| in_words(&e, &mut lines))?;
        let line = lines.of(record.position());
        let at =
            |place: usize| number(&record[place]).map_err(|e| format!("line {line}: {} {e}", &names[place]));
        let at = (at(x)?, at(y)?);
        if given == Given::Degrees && (at.0.abs() > 360.0 || at.1.abs() > 90.0) {
            return Err(format!("line {line}: {}, {} is no longitude and latitude", at.0, at.1));
        }
        let value =
            |place: &Option<usize>| Some(record[(*place)?].to_owned()).filter(|text| !text.is_empty());
        rows.push(Row { line, at, values: columns.iter().map(value).collect() });
    }
    Ok((given, rows))
}

fn is_empty(line: &str) -> bool {
    line.trim().is_empty() || line.starts_with('#')
}

/// The columns of places.
fn places(names: &StringRecord) -> Result<(Given, usize, usize), String> {
    let mut found = None;
    for ([first, second], given) in PLACES {
        let (Some(x), Some(y)) = (column(names, first)?, column(names, second)?) else { continue };
        if found.is_some() {
            return Err("it has both lon and lat and x and y: which of them counts isn't said".to_owned());
        }
        found = Some((given, x, y));
    }
    found.ok_or_else(|| {
        let named: Vec<&str> = names.iter().collect();
        format!("it has no columns lon and lat, nor x and y; its first line is {}", named.join(", "))
    })
}

/// Place of the column with a name, in any case.
fn column(names: &StringRecord, name: &str) -> Result<Option<usize>, String> {
    let mut found = names.iter().enumerate().filter(|(_, found)| found.eq_ignore_ascii_case(name));
    let first = found.next().map(|(place, _)| place);
    match found.next() {
        Some(_) => Err(format!("two of its columns are named {name}")),
        None => Ok(first),
    }
}

fn number(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ if text.contains(',') => Err(format!("\"{text}\" has a decimal comma, where a point is read")),
        _ => Err(format!("\"{text}\" is no number")),
    }
}

/// Numbers of lines: the reader counts neither remarks nor what ends a line before a row.
struct Lines<'a> {
    text: &'a str,
    at: usize,
    line: usize,
}

impl Lines<'_> {
    /// The line of the first row from a place on; places rise from call to call.
    fn of(&mut self, place: Option<&Position>) -> usize {
        let byte = place.and_then(|place| usize::try_from(place.byte()).ok()).unwrap_or(self.at);
        self.go_on_to(byte);
        while let Some(end) =
            self.text[self.at..].find('\n').filter(|&end| is_empty(&self.text[self.at..][..end]))
        {
            self.go_on_to(self.at + end + 1);
        }
        self.line
    }

    fn go_on_to(&mut self, byte: usize) {
        self.line += self.text[self.at..byte].matches('\n').count();
        self.at = byte;
    }
}

/// What the reader finds, with the line.
fn in_words(error: &csv::Error, lines: &mut Lines<'_>) -> String {
    match error.kind() {
        csv::ErrorKind::UnequalLengths { pos, expected_len, len } => {
            let line = lines.of(pos.as_ref());
            format!("line {line} has {len} values, and the first line names {expected_len} columns")
        }
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> (Given, Vec<Row>) {
        parse(text, &["id", "rim"]).unwrap()
    }

    fn row(line: usize, at: (f64, f64), values: [&str; 2]) -> Row {
        let value = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        Row { line, at, values: values.into_iter().map(value).collect() }
    }

    #[test]
    fn columns_come_in_any_order_and_case_with_any_separator() {
        let expected = (Given::Degrees, vec![row(2, (-79.0, 42.0), ["a, b", "100.5"])]);
        assert_eq!(rows("ID,lat,LON,rim\n\"a, b\",42,-79,100.5\n"), expected);
        assert_eq!(rows("\u{feff}ID;lat;LON;rim\r\n a, b ;42;-79;100.5\r\n"), expected);
        assert_eq!(rows("ID\tlat\tLON\trim\na, b\t42\t-79\t100.5"), expected);
    }

    #[test]
    fn what_is_missing_is_nothing_and_remarks_are_no_rows() {
        let (given, found) = rows("# surveyed in spring\n\nx,y,id\n1.5,2.5,\n# east side\n3,4,b\n");
        assert_eq!(given, Given::OnTheMap);
        assert_eq!(found, [row(4, (1.5, 2.5), ["", ""]), row(6, (3.0, 4.0), ["b", ""])]);
    }

    #[test]
    fn what_cannot_be_read_is_refused_with_the_line() {
        let refused = |text: &str| parse(text, &["id"]).unwrap_err();
        for (text, words) in [
            ("", "it is empty"),
            ("# nothing\n", "it is empty"),
            ("id,easting,northing\na,1,2\n", "its first line is id, easting, northing"),
            ("id,lon\na,1\n", "no columns lon and lat"),
            ("lon,lat,x,y\n1,2,3,4\n", "which of them counts"),
            ("x,y,X\n1,2,3\n", "two of its columns are named x"),
            ("x;y;id\n1;2;a\n424000,5;3;b\n", "line 3: x \"424000,5\" has a decimal comma"),
            ("x,y,id\n1,two,a\n", "line 2: y \"two\" is no number"),
            ("x,y\n1,\n", "line 2: y \"\" is no number"),
            ("x,y\n1,inf\n", "line 2: y \"inf\" is no number"),
            (
                "x,y,id\r\n1,2,a\r\n\r\n# b\r\n1,2\r\n",
                "line 5 has 2 values, and the first line names 3 columns",
            ),
            ("lon,lat\n424000,4600000\n", "line 2: 424000, 4600000 is no longitude and latitude"),
        ] {
            let found = refused(text);
            assert!(found.contains(words), "{text:?}: {found}");
        }
    }
}
