//! Station tables of the Canadian national service: amounts by return period (its table 2a).

use super::draft::{Draft, DraftRow, column};
use super::error::{Placed, RainFault};
use super::table::{RainColumn, RainLayout, RainSeries, RainSource, RainUnit};
use super::text::{Line, duration, first_words};

/// Lines of the head that are kept to say where a table comes from.
const HEAD_LINES: usize = 12;

/// The title of the table of amounts.
pub(super) fn start(lines: &[Line<'_>]) -> Option<usize> {
    lines.iter().position(|line| title(line.text, "table 2a"))
}

fn title(text: &str, wanted: &str) -> bool {
    text.trim_start().get(..wanted.len()).is_some_and(|head| head.eq_ignore_ascii_case(wanted))
}

/// From the title on: a line of whole numbers of years, then rows as `5 min  7.2  9.9 ...`, up to the next table.
pub(super) fn read(lines: &[Line<'_>], start: usize, ends_whole: bool) -> Result<Draft, Placed> {
    let table = &lines[start..];
    let length =
        table.iter().skip(1).position(|line| title(line.text, "table")).map_or(table.len(), |n| n + 1);
    let table = &table[..length];
    let title = table[0];
    if !table.iter().take(3).any(|line| line.text.contains("(mm)")) {
        return Err(
            RainFault::Unit { reason: "the title of table 2a doesn't say (mm)".to_owned() }.at(title.number)
        );
    }
    let head = table.iter().position(|line| header(line.text).is_some());
    let Some(head) = head else {
        let reason = "no line of return periods follows the title of table 2a".to_owned();
        return Err(RainFault::Header { reason }.at(title.number));
    };
    let line = table[head].number;
    let columns = header(table[head].text)
        .unwrap_or_default()
        .into_iter()
        .map(|years| column(&format!("{years}"), years, line))
        .collect::<Result<Vec<RainColumn>, Placed>>()?;
    let rows = table[head + 1..]
        .iter()
        .filter(|line| line.text.trim_start().starts_with(|c: char| c.is_ascii_digit()))
        .map(|line| row(*line, &columns))
        .collect::<Result<Vec<DraftRow>, Placed>>()?;
    let last_line = lines[lines.len() - 1].number;
    if let Some(row) = rows.last().filter(|row| row.line == last_line && !ends_whole) {
        return Err(RainFault::CutOff { row: row.label.clone() }.at(row.line));
    }
    let says = lines[..start]
        .iter()
        .map(|line| first_words(line.text))
        .filter(|text| text.chars().any(char::is_alphanumeric))
        .take(HEAD_LINES)
        .collect();
    let source = RainSource {
        layout: RainLayout::Canadian,
        unit: RainUnit::Mm,
        // Fitted to the largest amounts of each year.
        series: RainSeries::AnnualMaximum,
        says,
    };
    Ok(Draft { source, columns, rows, bounds: None, warnings: Vec::new() })
}

/// The return periods of a line that names at least two whole numbers and otherwise only words.
fn header(text: &str) -> Option<Vec<f64>> {
    let is_number = |word: &&str| word.bytes().all(|b| b.is_ascii_digit());
    let is_word = |word: &str| !word.starts_with(|c: char| c.is_ascii_digit());
    let mut words = text.split_whitespace();
    words.clone().next().filter(|first| is_word(first))?;
    let years: Vec<f64> = words.clone().filter(is_number).filter_map(|word| word.parse().ok()).collect();
    let others_are_words = words.all(|word| is_number(&word) || is_word(word));
    (years.len() >= 2 && others_are_words).then_some(years)
}

/// A duration of two words, the amounts, and at most the number of years behind them.
fn row(line: Line<'_>, columns: &[RainColumn]) -> Result<DraftRow, Placed> {
    let words: Vec<&str> = line.text.split_whitespace().collect();
    let label = words.iter().take(2).copied().collect::<Vec<_>>().join(" ");
    let time = duration(&label, line.number)?;
    let mut figures: Vec<String> = words.iter().skip(2).map(|&word| word.to_owned()).collect();
    let is_count = |text: &String| text.bytes().all(|b| b.is_ascii_digit());
    if figures.len() == columns.len() + 1 && figures.last().is_some_and(is_count) {
        figures.pop();
    }
    DraftRow::read(line, &label, time, &figures, columns)
}
