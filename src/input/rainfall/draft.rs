//! From figures as written to depths: units, and what rounding does to intensities.

use super::error::{Placed, RainFault};
use super::table::{RainColumn, RainRow, RainSource, RainTable, RainUnit};
use super::text::{Figure, Line, figure, first_words, has_decimal_comma, in_words};
use crate::units::{Length, ReturnPeriod, Time};
use crate::warning::{Warned, Warning};

/// Intensities that rounding may have changed by more than this part are left out.
const COARSE: f64 = 0.1;
/// An hour's to a day's rain of the rarest storm below this makes one think of another unit, mm.
const LITTLE_MM: f64 = 20.0;

/// A table as it was written.
#[derive(Debug)]
pub(super) struct Draft {
    pub(super) source: RainSource,
    pub(super) columns: Vec<RainColumn>,
    pub(super) rows: Vec<DraftRow>,
    /// Lower and upper bound of the 90 % interval.
    pub(super) bounds: Option<[Vec<DraftRow>; 2]>,
    pub(super) warnings: Vec<Warning>,
}

/// One duration as it was written.
#[derive(Debug)]
pub(super) struct DraftRow {
    pub(super) label: String,
    pub(super) line: usize,
    pub(super) duration: Time,
    pub(super) figures: Vec<Figure>,
}

impl DraftRow {
    /// Reads the figures of a row, one for each column.
    pub(super) fn read(
        line: Line<'_>,
        label: &str,
        duration: Time,
        cells: &[String],
        columns: &[RainColumn],
    ) -> Result<Self, Placed> {
        if columns.is_empty() {
            return Err(RainFault::Header { reason: "it names no return period".to_owned() }.of_file());
        }
        let label = first_words(label.trim_end_matches(':'));
        let cells = match cells.split_last() {
            // A separator at the end of a line stands before nothing.
            Some((last, rest)) if last.is_empty() && rest.len() == columns.len() => rest,
            _ => cells,
        };
        let expected = columns.len();
        if cells.len() == 2 * expected && cells.iter().all(|cell| cell.bytes().all(|b| b.is_ascii_digit())) {
            let text = first_words(&format!("{},{}", cells[0], cells[1]));
            return Err(RainFault::DecimalComma { text }.at(line.number));
        }
        if cells.len() > expected {
            return Err(RainFault::TooManyCells { row: label, found: cells.len(), expected }.at(line.number));
        }
        let mut figures = Vec::with_capacity(expected);
        for (place, column) in columns.iter().enumerate() {
            let text = cells.get(place).map_or("", String::as_str);
            figures.push(read_cell(text, &label, column).map_err(|fault| fault.at(line.number))?);
        }
        Ok(Self { label, line: line.number, duration, figures })
    }

    fn depths(&self, unit: RainUnit) -> RainRow {
        RainRow {
            label: self.label.clone(),
            line: Some(self.line),
            duration: self.duration,
            depths: self.figures.iter().map(|f| unit.depth(f.value, self.duration)).collect(),
        }
    }
}

fn read_cell(text: &str, row: &str, column: &RainColumn) -> Result<Figure, RainFault> {
    let (row, column) = (row.to_owned(), column.label.clone());
    if text.is_empty() {
        return Err(RainFault::Missing { row, column });
    }
    if has_decimal_comma(text) {
        return Err(RainFault::DecimalComma { text: first_words(text) });
    }
    let found = figure(text).ok_or_else(|| RainFault::NotANumber {
        row: row.clone(),
        column: column.clone(),
        text: first_words(text),
    })?;
    // What services write where they have no figure.
    if found.value <= -9.0 && text.trim_start_matches('-').bytes().all(|b| b == b'9' || b == b'.') {
        return Err(RainFault::Missing { row, column });
    }
    if found.value < 0.0 {
        return Err(RainFault::NotPositive { row, column, found: found.value });
    }
    Ok(found)
}

/// A column, or why its number of years can't be used.
pub(super) fn column(label: &str, years: f64, line: usize) -> Result<RainColumn, Placed> {
    let period =
        ReturnPeriod::new(years).map_err(|bad| RainFault::Header { reason: bad.to_string() }.at(line))?;
    Ok(RainColumn { label: first_words(label), period })
}

impl Draft {
    /// Turns figures into depths and checks them.
    pub(super) fn finish(mut self) -> Result<Warned<RainTable>, Placed> {
        self.warnings.extend(self.short_table());
        if self.source.unit.is_intensity() {
            self.leave_out_coarse_rows()?;
        }
        let unit = self.source.unit;
        let mut rows: Vec<RainRow> = self.rows.iter().map(|row| row.depths(unit)).collect();
        if unit.is_intensity() {
            self.lift_over_rounding(&mut rows);
        }
        let mut table = RainTable::checked(self.source, &self.columns, &rows)?;
        if let Some([lower, upper]) = self.bounds {
            let rows_of = |which, rows: &[DraftRow]| {
                let kept = &rows[..table.durations().len().min(rows.len())];
                let rows: Vec<RainRow> = kept.iter().map(|row| row.depths(unit)).collect();
                table.grid_of_bounds(which, &self.columns, &rows)
            };
            let both = Box::new([rows_of("lower", &lower)?, rows_of("upper", &upper)?]);
            table.bounds = Some(both);
        }
        self.warnings.extend(little_rain(&table, &self.rows));
        Ok(Warned::new(table, self.warnings))
    }

    fn short_table(&self) -> Option<Warning> {
        let whole = self.source.layout.usual_end()?;
        let last = self.rows.last().filter(|row| row.duration < whole)?;
        Some(Warning::new(
            "rain-table-short",
            format!(
                "the rainfall table ends with row {} (line {}), where tables of its layout go on to {}",
                last.label,
                last.line,
                in_words(whole)
            ),
            "if it was cut short, download it again; storms longer than its last row have its last intensity, and without 24 hours sheet flow is timed by the design rain and volumes are missing",
        ))
    }

    /// Leaves out the rows from the first on in which rounding swallows the figure: rain of long durations in whole
    /// millimetres per hour says nothing.
    fn leave_out_coarse_rows(&mut self) -> Result<(), Placed> {
        let is_coarse = |f: &Figure| f.half_step > COARSE * f.value;
        let Some(first) = self.rows.iter().position(|row| row.figures.iter().any(is_coarse)) else {
            return Ok(());
        };
        self.check_zeros(first)?;
        let row = &self.rows[first];
        if first < 2 {
            let place = row.figures.iter().position(is_coarse).unwrap_or_default();
            let (column, found) = (self.columns[place].label.clone(), row.figures[place].value);
            return Err(RainFault::TooCoarse { row: row.label.clone(), column, found }.at(row.line));
        }
        self.warnings.push(Warning::new(
            "rain-rows-left-out",
            format!(
                "the rainfall table's intensities are rounded too coarsely from row {} (line {}) on; it is read up to {}",
                row.label,
                row.line,
                self.rows[first - 1].label
            ),
            "download depths in place of intensities if longer durations are needed",
        ));
        self.rows.truncate(first);
        Ok(())
    }

    /// A zero is rounding only where the row above it lets the intensity be that small.
    fn check_zeros(&self, first: usize) -> Result<(), Placed> {
        for (number, row) in self.rows.iter().enumerate().skip(first) {
            for (place, zero) in row.figures.iter().enumerate().filter(|(_, f)| f.value <= 0.0) {
                let least = number.checked_sub(1).map_or(f64::INFINITY, |above| {
                    let above = &self.rows[above];
                    let figure = above.figures[place];
                    (figure.value - figure.half_step) * (above.duration / row.duration)
                });
                if least > zero.half_step {
                    let (row_label, column) = (row.label.clone(), self.columns[place].label.clone());
                    let fault = RainFault::NotPositive { row: row_label, column, found: 0.0 };
                    return Err(fault.at(row.line));
                }
            }
        }
        Ok(())
    }

    /// Depth over the rounded intensity of a longer duration may come out lower; within the rounding it is lifted.
    fn lift_over_rounding(&mut self, rows: &mut [RainRow]) {
        let unit = self.source.unit;
        let slack = |row: &DraftRow, place: usize| unit.depth(row.figures[place].half_step, row.duration);
        let mut lifted = Vec::new();
        for number in 1..rows.len() {
            for place in 0..self.columns.len() {
                let (before, found) = (rows[number - 1].depths[place], rows[number].depths[place]);
                let room = slack(&self.rows[number - 1], place) + slack(&self.rows[number], place);
                if found < before && before - found <= room {
                    rows[number].depths[place] = before;
                    lifted.push(format!("{} in {}", self.columns[place].label, rows[number].label));
                }
            }
        }
        if !lifted.is_empty() {
            self.warnings.push(Warning::new(
                "rain-rounding",
                format!(
                    "rounded intensities give less rain than in a shorter time ({}); the shorter time's depth was taken",
                    lifted.join(", ")
                ),
                "download depths in place of intensities",
            ));
        }
    }
}

fn little_rain(table: &RainTable, rows: &[DraftRow]) -> Option<Warning> {
    let last = table.periods().len() - 1;
    let hours = |t: &Time| t.as_h();
    let (row, time) =
        (0..).zip(table.durations()).filter(|(_, time)| (1.0..=24.0).contains(&hours(time))).last()?;
    let depth: Length = table.at(row, last)?;
    (depth.as_mm() < LITTLE_MM).then(|| {
        Warning::new(
            "rain-unit-doubtful",
            format!(
                "the rarest storm of the rainfall table brings no more than {:.1} mm in {:.0} h (line {}), if its unit is {}",
                depth.as_mm(),
                time.as_h(),
                rows[row].line,
                table.source().unit.name()
            ),
            "check the unit at the head of the table",
        )
    })
}
