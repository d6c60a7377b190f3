//! Which layout a table has, and reading it.

use super::draft::Draft;
use super::error::{Placed, RainFault, RainTableError};
use super::table::RainTable;
use super::text::{Line, decode, first_words, lines};
use super::{australian, canadian, plain, point_frequency};
use crate::input::error::InputError;
use crate::input::files::check_exists;
use crate::warning::Warned;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Larger files are not rainfall tables.
pub const LARGEST_TABLE_BYTES: usize = 4 * 1024 * 1024;

/// Longer lines belong to something else; the bound keeps the cells of one line few.
const LONGEST_LINE: usize = 16 * 1024;

/// Reads a rainfall table from a file.
///
/// # Errors
/// [`InputError`] if the file can't be opened or isn't a sound table.
pub fn open_rain_table(path: &Path) -> Result<Warned<RainTable>, InputError> {
    check_exists(path)?;
    let bytes = read_at_most(path, LARGEST_TABLE_BYTES).map_err(|e| InputError::Unreadable {
        path: path.to_owned(),
        reason: e.to_string(),
        help: "give a text file with a rainfall table".to_owned(),
    })?;
    Ok(read_rain_table(path, &bytes)?)
}

/// The bytes of a file, and one more than allowed where it is too large.
fn read_at_most(path: &Path, limit: usize) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let limit = u64::try_from(limit).unwrap_or(u64::MAX);
    File::open(path)?.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Reads a rainfall table from bytes; `path` only names it in messages.
///
/// # Method
/// The layout is told by the line that every one of its tables has; see `docs/rainfall.md`.
///
/// # Warnings
/// `rain-table-short`, `rain-table-unended`, `rain-rows-left-out`, `rain-rounding`, `rain-unit-doubtful`.
///
/// # Errors
/// [`RainTableError`] with the line and the cause.
pub fn read_rain_table(path: &Path, bytes: &[u8]) -> Result<Warned<RainTable>, RainTableError> {
    read(bytes).map_err(|Placed { line, fault }| RainTableError { path: path.to_owned(), line, fault })
}

fn read(bytes: &[u8]) -> Result<Warned<RainTable>, Placed> {
    if bytes.len() > LARGEST_TABLE_BYTES {
        let fault = RainFault::TooLarge { bytes: bytes.len(), limit: LARGEST_TABLE_BYTES };
        return Err(fault.of_file());
    }
    let text = decode(bytes);
    if text.trim().is_empty() {
        return Err(RainFault::Empty.of_file());
    }
    let lines = lines(&text);
    if let Some(line) = lines.iter().find(|line| line.text.len() > LONGEST_LINE) {
        return Err(RainFault::NoTable { begins: first_words(line.text) }.at(line.number));
    }
    let ends_whole = text.ends_with(['\n', '\r']);
    draft(&lines, ends_whole)?.finish().map_err(|placed| with_header_line(placed, &lines))
}

/// Columns in the wrong order stand in the first line that names both.
fn with_header_line(placed: Placed, lines: &[Line<'_>]) -> Placed {
    let RainFault::PeriodOrder { column, before } = &placed.fault else { return placed };
    let names_both = |line: &&Line<'_>| line.text.contains(column) && line.text.contains(before);
    let line = placed.line.or_else(|| lines.iter().find(names_both).map(|line| line.number));
    Placed { line, ..placed }
}

fn draft(lines: &[Line<'_>], ends_whole: bool) -> Result<Draft, Placed> {
    if let Some(start) = point_frequency::start(lines) {
        return point_frequency::read(lines, start, ends_whole);
    }
    if let Some(start) = australian::start(lines) {
        return australian::read(lines, start, ends_whole);
    }
    if let Some(start) = canadian::start(lines) {
        return canadian::read(lines, start, ends_whole);
    }
    if let Some(start) = plain::start(lines) {
        return plain::read(lines, start, ends_whole);
    }
    Err(decimal_comma(lines).unwrap_or_else(|| not_a_table(lines).of_file()))
}

/// Figures with commas between semicolons hide any layout.
fn decimal_comma(lines: &[Line<'_>]) -> Option<Placed> {
    let is_figure = |cell: &&str| {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        cell.trim().split_once(',').is_some_and(|(whole, part)| digits(whole) && digits(part))
    };
    let found = |line: &Line<'_>| {
        Some((line.text.split(';').skip(1).find(is_figure)?.trim().to_owned(), line.number))
    };
    let (text, number) = lines.iter().find_map(found)?;
    Some(RainFault::DecimalComma { text }.at(number))
}

/// Services answer with a sentence where they have no figures.
fn not_a_table(lines: &[Line<'_>]) -> RainFault {
    const SHORT_ANSWER: usize = 12;
    let begins =
        first_words(&lines.iter().take(SHORT_ANSWER).flat_map(|line| [line.text, " "]).collect::<String>());
    let plain = begins.to_ascii_lowercase();
    let tells = ["not within", "outside", "out of", "not available", "no data", "coverage", "project area"];
    if lines.len() <= SHORT_ANSWER && tells.iter().any(|words| plain.contains(words)) {
        RainFault::OutsideCoverage { says: begins }
    } else {
        RainFault::NoTable { begins }
    }
}
