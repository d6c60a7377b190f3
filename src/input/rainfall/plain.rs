//! Our own layout: durations down, return periods across, the unit in the first cell.

use super::draft::{Draft, DraftRow, column};
use super::error::{Placed, RainFault};
use super::table::{RainColumn, RainLayout, RainSeries, RainSource, RainUnit};
use super::text::{Line, cells, duration, figure, first_words};
use crate::warning::Warning;

/// The header: the first line that is neither empty nor a remark, if its first cell begins as it must.
pub(super) fn start(lines: &[Line<'_>]) -> Option<usize> {
    let place = lines.iter().position(|line| !is_empty(line.text))?;
    let head = lines[place].text.trim_start().trim_start_matches('"').trim_start().to_ascii_lowercase();
    (head.starts_with("depth") || head.starts_with("intensity")).then_some(place)
}

fn is_empty(text: &str) -> bool {
    text.trim().is_empty() || text.trim_start().starts_with('#')
}

pub(super) fn read(lines: &[Line<'_>], start: usize, ends_whole: bool) -> Result<Draft, Placed> {
    let header = lines[start];
    let separator = [';', '\t'].into_iter().find(|&c| header.text.contains(c)).unwrap_or(',');
    let found = cells(header.text, separator);
    let unit = unit(&found[0], header.number)?;
    let columns = found[1..]
        .iter()
        .map(|cell| years(cell, header.number))
        .collect::<Result<Vec<RainColumn>, Placed>>()?;
    let mut rows: Vec<DraftRow> = Vec::new();
    for line in lines[start + 1..].iter().filter(|line| !is_empty(line.text)) {
        let found = cells(line.text, separator);
        rows.push(DraftRow::read(
            *line,
            &found[0],
            duration(&found[0], line.number)?,
            &found[1..],
            &columns,
        )?);
    }
    let remarks = lines.iter().filter_map(|line| line.text.trim_start().strip_prefix('#'));
    let says = remarks.map(first_words).filter(|text| !text.is_empty()).collect();
    let last_line = lines.last().map(|line| line.number);
    let cut = rows.last().filter(|row| !ends_whole && Some(row.line) == last_line);
    let warnings = cut.map(unended).into_iter().collect();
    let source = RainSource { layout: RainLayout::Plain, unit, series: RainSeries::NotStated, says };
    Ok(Draft { source, columns, rows, bounds: None, warnings })
}

/// A file that stops within its last figure may still make sense: 25 of 250.
fn unended(row: &DraftRow) -> Warning {
    Warning::new(
        "rain-table-unended",
        format!("no line break ends the rainfall table's last row {} (line {})", row.label, row.line),
        "nothing, if its last figure is whole",
    )
}

fn unit(cell: &str, line: usize) -> Result<RainUnit, Placed> {
    let words = cell.to_ascii_lowercase();
    match words.split_whitespace().collect::<Vec<_>>()[..] {
        ["depth", "mm"] => Ok(RainUnit::Mm),
        ["depth", "in"] => Ok(RainUnit::In),
        ["intensity", "mm/h"] => Ok(RainUnit::MmPerH),
        ["intensity", "in/h"] => Ok(RainUnit::InPerH),
        _ => {
            let reason = format!(
                "the first cell is \"{}\"; write depth mm, depth in, intensity mm/h or intensity in/h",
                first_words(cell)
            );
            Err(RainFault::Unit { reason }.at(line))
        }
    }
}

/// `10 yr`, `10 years` or `10`.
fn years(cell: &str, line: usize) -> Result<RainColumn, Placed> {
    let plain = cell.to_ascii_lowercase();
    let digits =
        ["years", "year", "yr"].into_iter().find_map(|word| plain.strip_suffix(word)).unwrap_or(&plain);
    let Some(years) = figure(digits.trim()) else {
        let reason = format!("\"{}\" is not a return period", first_words(cell));
        return Err(RainFault::Header { reason }.at(line));
    };
    column(cell, years.value, line)
}
