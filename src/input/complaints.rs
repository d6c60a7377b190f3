//! Complaints: which lots they are about, by id or by place.

use super::beside::points::{Asked, PointFeature, open_points};
use super::error::InputError;
use super::files::{check_exists, ending};
use super::parcels::ParcelSet;
use super::{SideFile, Site};
use crate::warning::Warned;
use csv::{ReaderBuilder, StringRecord, Trim};
use geo::{Contains, Coord, Point};

/// Columns that hold the id of a lot, in any case; the first that is there counts.
const LOT_COLUMNS: [&str; 4] = ["lot", "parcel", "pid", "id"];
/// Columns that hold the complaint's own number.
const NAME_COLUMNS: [&str; 3] = ["complaint", "case", "number"];
/// What is asked of complaints that are points.
const ASKED: Asked<'static> = Asked { kind: "complaints", fields: &NAME_COLUMNS };

/// One complaint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// Its own number where the file has one, else its place in the file.
    pub name: String,
    /// Place of its lot in the set of parcels; nothing where there is none.
    pub parcel: Option<usize>,
    /// The lot as the file names it; empty for a complaint by place.
    pub id: String,
}

/// Reads complaints: points of any format or a table with columns lon and lat, or x and y; or a table with a column of lots'
/// ids.
///
/// # Errors
/// [`InputError`] as for points; for a table without either.
pub fn open_complaints(site: &Site, file: &SideFile) -> Result<Warned<Vec<Complaint>>, InputError> {
    check_exists(&file.path)?;
    if ending(&file.path) == "csv"
        && let Some(found) = by_id(&site.parcels, file)?
    {
        return Ok(Warned::clean(found));
    }
    let mut warnings = Vec::new();
    let points = open_points(site, file, ASKED)?.unload(&mut warnings);
    let found = points.features.into_iter().map(|point| at_place(&site.parcels, point)).collect();
    Ok(Warned::new(found, warnings))
}

fn at_place(parcels: &ParcelSet, point: PointFeature) -> Complaint {
    let Coord { x, y } = point.at;
    let covers = |place: &usize| parcels.parcels()[*place].outline.contains(&Point::new(x, y));
    let parcel = parcels.within(x, y, x, y).into_iter().find(covers);
    let name = point.values.into_iter().flatten().next().unwrap_or(point.name);
    Complaint { name, parcel, id: String::new() }
}

/// Complaints of a table with ids; nothing if it has no column of them.
fn by_id(parcels: &ParcelSet, file: &SideFile) -> Result<Option<Vec<Complaint>>, InputError> {
    let refused = |reason: String| InputError::Unreadable {
        path: file.path.clone(),
        reason,
        help: "give a line of column names and a line a complaint, as complaint,lot or complaint,lon,lat"
            .to_owned(),
    };
    let text = std::fs::read_to_string(&file.path).map_err(|cause| refused(cause.to_string()))?;
    let rows = parse(&text).map_err(refused)?;
    let place = |id: &str| {
        let is_it = |lot: &super::Parcel| lot.id == id || lot.also.iter().any(|other| other.as_str() == id);
        parcels.parcels().iter().position(is_it)
    };
    Ok(rows
        .map(|rows| rows.into_iter().map(|(name, id)| Complaint { name, parcel: place(&id), id }).collect()))
}

/// Names and ids of a table; nothing if it has no column of ids, or has places.
fn parse(text: &str) -> Result<Option<Vec<(String, String)>>, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let separator = match header {
        Some(header) if header.contains(';') => b';',
        Some(header) if header.contains('\t') => b'\t',
        _ => b',',
    };
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .comment(Some(b'#'))
        .trim(Trim::All)
        .from_reader(text.as_bytes());
    let names = reader.headers().map_err(|cause| cause.to_string())?.clone();
    let Some(lot) = LOT_COLUMNS.iter().find_map(|name| column(&names, name)) else { return Ok(None) };
    if column(&names, "lon").is_some() || column(&names, "x").is_some() {
        return Ok(None);
    }
    let name = NAME_COLUMNS.iter().find_map(|name| column(&names, name));
    let mut rows = Vec::new();
    for (number, record) in reader.records().enumerate() {
        let record = record.map_err(|cause| cause.to_string())?;
        let id = record[lot].to_owned();
        if id.is_empty() {
            return Err(format!("complaint {} has no value in the column {}", number + 1, &names[lot]));
        }
        let own = name.map(|name| record[name].to_owned()).filter(|name| !name.is_empty());
        rows.push((own.unwrap_or_else(|| format!("complaint {}", number + 1)), id));
    }
    Ok(Some(rows))
}

fn column(names: &StringRecord, name: &str) -> Option<usize> {
    names.iter().position(|found| found.eq_ignore_ascii_case(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_of_ids_is_read_with_or_without_numbers_of_its_own() {
        let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        let rows = |text: &str| parse(text).unwrap().unwrap();
        assert_eq!(rows("Lot\nA-1\nB-2\n"), [pair("complaint 1", "A-1"), pair("complaint 2", "B-2")]);
        assert_eq!(rows("case;PARCEL\n17;007\n"), [pair("17", "007")]);
        assert_eq!(rows("# spring\ncomplaint,lot\n,12\n"), [pair("complaint 1", "12")]);
    }

    #[test]
    fn a_table_of_places_is_left_to_the_reader_of_points_and_an_empty_id_is_refused() {
        assert_eq!(parse("complaint,id,lon,lat\n1,A,-79,42\n").unwrap(), None);
        assert_eq!(parse("complaint,x,y\n1,5,6\n").unwrap(), None);
        assert!(parse("complaint,lot\n1,\n").unwrap_err().contains("complaint 1 has no value"));
    }
}
