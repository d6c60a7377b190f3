//! Lines, cells, numbers and durations of a table.

use super::error::{Placed, RainFault};
use crate::units::Time;

/// One line and its number from 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line<'a> {
    pub(super) number: usize,
    pub(super) text: &'a str,
}

/// Text of a file: UTF-8 (a mark at its start is dropped), else Latin-1, which older services still write.
pub(super) fn decode(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().copied().map(char::from).collect(),
    }
}

/// All lines, with either ending.
pub(super) fn lines(text: &str) -> Vec<Line<'_>> {
    (1..).zip(text.lines()).map(|(number, text)| Line { number, text: text.trim_end_matches('\r') }).collect()
}

/// The cells of a line, trimmed; quotes around a cell are taken off, doubled quotes inside stand for one.
pub(super) fn cells(line: &str, separator: char) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let last = found.len() - 1;
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                found[last].push('"');
            }
            '"' => quoted = !quoted,
            c if c == separator && !quoted => found.push(String::new()),
            c => found[last].push(c),
        }
    }
    for cell in &mut found {
        let trimmed = cell.trim();
        if trimmed.len() < cell.len() {
            *cell = trimmed.to_owned();
        }
    }
    found
}

/// The first words of a text, short enough for a message, without the control characters that a file may hold.
pub(super) fn first_words(text: &str) -> String {
    let words: String = text
        .split_whitespace()
        .flat_map(|word| [word, " "])
        .collect::<String>()
        .chars()
        .filter(|c| !c.is_control())
        .take(120)
        .collect();
    words.trim().to_owned()
}

/// A figure and how far it may be off by its own rounding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    pub(super) value: f64,
    pub(super) half_step: f64,
}

/// A figure in plain digits with at most one point; none where the text is anything else.
pub(super) fn figure(text: &str) -> Option<Figure> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, "0"));
    let all_digits =
        |part: &str| !part.is_empty() && part.len() < 16 && part.bytes().all(|b| b.is_ascii_digit());
    // ".55" is how some print 0.55; "55." is what is left of a cut figure.
    if !((whole.is_empty() || all_digits(whole)) && all_digits(decimals)) {
        return None;
    }
    let value = text.parse::<f64>().ok()?;
    let places = if digits.contains('.') { decimals.len() } else { 0 };
    let half_step = 0.5 * 0.1_f64.powi(i32::try_from(places).ok()?);
    Some(Figure { value, half_step })
}

/// Whether a text is a number but for a comma where the point belongs.
pub(super) fn has_decimal_comma(text: &str) -> bool {
    text.split_once(',').is_some_and(|(whole, rest)| {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        digits(whole) && digits(rest)
    })
}

/// A duration as tables write it: `5 min`, `5-min:`, `24-hr:`, `1 hour`, `1.5 h`, `2 d`, `60-day:`.
pub(super) fn duration(text: &str, line: usize) -> Result<Time, Placed> {
    let refuse = || RainFault::Duration { text: first_words(text) }.at(line);
    let plain = text.trim().trim_end_matches(':').trim_end();
    let end = plain.find(|c: char| !(c.is_ascii_digit() || c == '.')).ok_or_else(refuse)?;
    let number = figure(&plain[..end]).ok_or_else(refuse)?.value;
    let unit = plain[end..].trim_start_matches(['-', ' ']).to_ascii_lowercase();
    let time = match unit.as_str() {
        "min" | "mins" | "minute" | "minutes" => Time::from_min(number),
        "h" | "hr" | "hrs" | "hour" | "hours" => Time::from_h(number),
        "d" | "day" | "days" => Time::from_h(24.0 * number),
        _ => return Err(refuse()),
    };
    if time.as_s() > 0.0 { Ok(time) } else { Err(refuse()) }
}

/// A duration in words.
pub(super) fn in_words(time: Time) -> String {
    let minutes = time.as_min();
    if minutes < 90.0 {
        format!("{} min", shortest(minutes))
    } else if minutes < 48.0 * 60.0 {
        format!("{} h", shortest(minutes / 60.0))
    } else {
        format!("{} d", shortest(minutes / 1440.0))
    }
}

/// A number with at most two decimals, without the zeros at its end.
pub(super) fn shortest(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
