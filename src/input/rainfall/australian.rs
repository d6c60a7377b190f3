//! Design rainfall depths of the Australian national service, by annual exceedance probability.

use super::draft::{Draft, DraftRow, column};
use super::error::{Placed, RainFault};
use super::table::{RainColumn, RainLayout, RainSeries, RainSource, RainUnit};
use super::text::{Line, cells, duration, figure, first_words};

/// The header: durations in words and in minutes, then probabilities.
pub(super) fn start(lines: &[Line<'_>]) -> Option<usize> {
    lines.iter().position(|line| {
        let found = cells(line.text, ',');
        found[0].eq_ignore_ascii_case("duration")
            && found.get(1).is_some_and(|cell| cell.eq_ignore_ascii_case("duration in min"))
    })
}

pub(super) fn read(lines: &[Line<'_>], start: usize, ends_whole: bool) -> Result<Draft, Placed> {
    let header = lines[start];
    let columns = cells(header.text, ',')[2..]
        .iter()
        .filter(|cell| !cell.is_empty())
        .map(|cell| by_chance(cell, header.number))
        .collect::<Result<Vec<RainColumn>, Placed>>()?;
    let mut rows: Vec<DraftRow> = Vec::new();
    for line in lines[start + 1..].iter().take_while(|line| !line.text.trim().is_empty()) {
        let found = cells(line.text, ',');
        let time = duration(&found[0], line.number)?;
        let minutes = found.get(1).and_then(|cell| figure(cell)).map_or(f64::NAN, |f| f.value);
        // Both count minutes; a missing number agrees with nothing.
        let agree = (time.as_min() / minutes - 1.0).abs() < 0.01;
        if !agree {
            let text = found.iter().take(2).map(String::as_str).collect::<Vec<_>>().join(", ");
            return Err(RainFault::Duration { text: first_words(&text) }.at(line.number));
        }
        rows.push(DraftRow::read(*line, &found[0], time, &found[2..], &columns)?);
    }
    let is_last = start + 1 + rows.len() == lines.len();
    if let Some(row) = rows.last().filter(|_| is_last && !ends_whole) {
        return Err(RainFault::CutOff { row: row.label.clone() }.at(row.line));
    }
    let head = &lines[..start];
    let unit = unit(head);
    let says = head.iter().map(|line| first_words(line.text)).filter(|text| !text.is_empty()).collect();
    let source = RainSource { layout: RainLayout::Australian, unit, series: RainSeries::AnnualMaximum, says };
    Ok(Draft { source, columns, rows, bounds: None, warnings: Vec::new() })
}

/// Depths in millimetres, unless the head says that rates are given.
fn unit(head: &[Line<'_>]) -> RainUnit {
    let is_rate = head.iter().any(|line| line.text.to_ascii_lowercase().contains("mm/h"));
    if is_rate { RainUnit::MmPerH } else { RainUnit::Mm }
}

/// `1%` is the storm that one year in a hundred has or exceeds. Marks behind the sign are notes.
fn by_chance(cell: &str, line: usize) -> Result<RainColumn, Placed> {
    let plain = cell.trim_end_matches(['#', '*']).trim();
    let percent = plain.strip_suffix('%').and_then(|digits| figure(digits.trim())).map(|f| f.value);
    let Some(percent) = percent.filter(|&p| p > 0.0 && p < 100.0) else {
        let reason = format!("\"{}\" is not an annual exceedance probability in percent", first_words(cell));
        return Err(RainFault::Header { reason }.at(line));
    };
    column(plain, 100.0 / percent, line)
}
