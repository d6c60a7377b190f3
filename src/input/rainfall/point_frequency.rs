//! Point precipitation frequency estimates of the United States' national service.

use super::draft::{Draft, DraftRow, column};
use super::error::{Placed, RainFault};
use super::table::{RainColumn, RainLayout, RainSeries, RainSource, RainUnit};
use super::text::{Line, cells, duration, first_words};

/// The cell that heads every block of figures.
const HEADER: &str = "by duration for";

/// The first line of figures' header.
pub(super) fn start(lines: &[Line<'_>]) -> Option<usize> {
    lines.iter().position(|line| is_header(line.text))
}

fn is_header(text: &str) -> bool {
    let plain = text.trim_start().trim_start_matches('"').trim_start();
    plain.get(..HEADER.len()).is_some_and(|head| head.eq_ignore_ascii_case(HEADER))
}

/// A block of figures.
struct Block {
    columns: Vec<RainColumn>,
    is_annual: bool,
    rows: Vec<DraftRow>,
    /// Where the line after it stands.
    end: usize,
}

pub(super) fn read(lines: &[Line<'_>], start: usize, ends_whole: bool) -> Result<Draft, Placed> {
    let head = &lines[..start];
    let unit = unit(head, lines[start].number)?;
    let mean = block(lines, start)?;
    let mut end = mean.end;
    let (mut lower, mut upper) = (None, None);
    while let Some(next) = lines[end..].iter().position(|line| is_header(line.text)).map(|n| n + end) {
        let title = title_above(lines, end, next);
        let found = block(lines, next)?;
        end = found.end;
        check_same_columns(&mean.columns, &found.columns, lines[next].number)?;
        match title {
            Some("lower") if lower.is_none() => lower = Some(found.rows),
            Some("upper") if upper.is_none() => upper = Some(found.rows),
            _ => {
                let reason = "a further block of figures is neither lower nor upper bounds".to_owned();
                return Err(RainFault::Header { reason }.at(lines[next].number));
            }
        }
    }
    check_end(lines, end, ends_whole, &mean.rows)?;
    let series = series(head, mean.is_annual, lines[start].number)?;
    let bounds = match (lower, upper) {
        (Some(lower), Some(upper)) => Some([lower, upper]),
        (None, None) => None,
        (lower, _) => {
            let which = if lower.is_none() { "lower" } else { "upper" };
            return Err(RainFault::BoundsDiffer { which }.of_file());
        }
    };
    let says = head.iter().map(|line| first_words(line.text)).filter(|text| !text.is_empty()).collect();
    let source = RainSource { layout: RainLayout::PointFrequency, unit, series, says };
    Ok(Draft { source, columns: mean.columns, rows: mean.rows, bounds, warnings: Vec::new() })
}

/// The unit in the title, which the line on the kind of data must not contradict.
fn unit(head: &[Line<'_>], header_line: usize) -> Result<RainUnit, Placed> {
    let title = head.iter().find(|line| !line.text.trim().is_empty());
    let Some(title) = title else {
        return Err(
            RainFault::Unit { reason: "no title line stands above the figures".to_owned() }.at(header_line)
        );
    };
    let inside =
        title.text.rsplit_once('(').and_then(|(_, rest)| rest.split_once(')')).map(|(unit, _)| unit.trim());
    let found = match inside.map(str::to_ascii_lowercase).as_deref() {
        Some("inches") => RainUnit::In,
        Some("millimeters") => RainUnit::Mm,
        Some("inches/hour") => RainUnit::InPerH,
        Some("millimeters/hour") => RainUnit::MmPerH,
        _ => {
            let reason =
                format!("the title \"{}\" names none in brackets that is known", first_words(title.text));
            return Err(RainFault::Unit { reason }.at(title.number));
        }
    };
    if let Some((line, kind)) = stated(head, "data type") {
        let is_intensity = match kind.as_str() {
            "precipitation depth" => false,
            "precipitation intensity" => true,
            _ => {
                let reason =
                    format!("the data type \"{}\" is neither depth nor intensity", first_words(&kind));
                return Err(RainFault::Unit { reason }.at(line));
            }
        };
        if is_intensity != found.is_intensity() {
            let reason = format!("the data type is {kind}, but the title counts in {}", found.name());
            return Err(RainFault::Unit { reason }.at(line));
        }
    }
    Ok(found)
}

/// What stands behind a name and a colon, in lower case.
fn stated(head: &[Line<'_>], name: &str) -> Option<(usize, String)> {
    head.iter().find_map(|line| {
        let (found, rest) = line.text.trim().trim_matches('"').split_once(':')?;
        found.trim().eq_ignore_ascii_case(name).then(|| (line.number, rest.trim().to_ascii_lowercase()))
    })
}

fn series(head: &[Line<'_>], is_annual: bool, header_line: usize) -> Result<RainSeries, Placed> {
    let by_header = if is_annual { RainSeries::AnnualMaximum } else { RainSeries::PartialDuration };
    let by_head = stated(head, "time series type").map(|(_, kind)| kind);
    let contradicts = match by_head.as_deref() {
        Some(kind) if kind.starts_with("partial") => is_annual,
        Some(kind) if kind.starts_with("annual") => !is_annual,
        _ => false,
    };
    if contradicts {
        let reason = "the head and the header name different series of storms".to_owned();
        return Err(RainFault::Header { reason }.at(header_line));
    }
    Ok(by_header)
}

fn block(lines: &[Line<'_>], start: usize) -> Result<Block, Placed> {
    let header = lines[start];
    let (columns, is_annual) = header_columns(header)?;
    let mut rows: Vec<DraftRow> = Vec::new();
    let mut end = start + 1;
    while let Some(line) = lines.get(end).filter(|line| !line.text.trim().is_empty()) {
        let found = cells(line.text, ',');
        let label = &found[0];
        rows.push(DraftRow::read(*line, label, duration(label, line.number)?, &found[1..], &columns)?);
        end += 1;
    }
    Ok(Block { columns, is_annual, rows, end })
}

fn header_columns(header: Line<'_>) -> Result<(Vec<RainColumn>, bool), Placed> {
    let found = cells(header.text, ',');
    let title = found[0].to_ascii_lowercase();
    let is_annual = title.contains("aep");
    if !is_annual && !title.contains("ari") {
        let reason = format!("\"{}\" names neither ARI nor AEP", first_words(&found[0]));
        return Err(RainFault::Header { reason }.at(header.number));
    }
    let columns = found[1..].iter().map(|cell| years(cell, is_annual, header.number));
    Ok((columns.collect::<Result<_, _>>()?, is_annual))
}

/// `'1/100` in an annual series (the apostrophe keeps spreadsheets from reading a date), `100` in the other.
fn years(cell: &str, is_annual: bool, line: usize) -> Result<RainColumn, Placed> {
    let plain = cell.trim_start_matches('\'').trim();
    let digits = if is_annual { plain.strip_prefix("1/") } else { Some(plain) };
    let number = digits.filter(|d| !d.is_empty() && d.len() < 7 && d.bytes().all(|b| b.is_ascii_digit()));
    let Some(years) = number.and_then(|d| d.parse::<f64>().ok()) else {
        let reason = format!("\"{}\" is not a return period", first_words(cell));
        return Err(RainFault::Header { reason }.at(line));
    };
    column(plain, years, line)
}

fn title_above<'a>(lines: &[Line<'_>], from: usize, header: usize) -> Option<&'a str> {
    let title = lines[from..header].iter().rev().find(|line| !line.text.trim().is_empty())?;
    let plain = title.text.to_ascii_lowercase();
    ["lower", "upper"].into_iter().find(|word| plain.contains(word))
}

fn check_same_columns(mean: &[RainColumn], bounds: &[RainColumn], line: usize) -> Result<(), Placed> {
    if mean == bounds {
        return Ok(());
    }
    let reason = "the bounds have other return periods than the estimates".to_owned();
    Err(RainFault::Header { reason }.at(line))
}

/// A file that stops in a row may have lost digits of its last figure.
fn check_end(lines: &[Line<'_>], end: usize, ends_whole: bool, rows: &[DraftRow]) -> Result<(), Placed> {
    if ends_whole || end < lines.len() {
        return Ok(());
    }
    let row = rows.last().map_or_else(String::new, |row| row.label.clone());
    Err(RainFault::CutOff { row }.at(lines[lines.len() - 1].number))
}
