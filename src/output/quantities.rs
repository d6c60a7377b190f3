//! Quantities: rows of `summary.json`, and `quantities.csv`.

use super::error::OutputError;
use crate::interceptor::quantities::{Bill as Rows, Row, Unit};
use crate::pipeline::Assessment;
use serde::Serialize;

/// Sum of the quantities, and what they leave out.
#[derive(Debug, Clone, Serialize)]
pub struct Bill {
    /// Currency of the price list, if it says one.
    pub currency: Option<String>,
    /// Sum of the rows with a price; nothing where none has one.
    pub total: Option<f64>,
    /// Items without a price.
    pub unpriced: Vec<String>,
    /// What is not in it.
    pub exclusions: &'static [&'static str],
    /// What to heed before anybody digs.
    pub cautions: &'static [&'static str],
}

impl Bill {
    pub(super) fn of(assessment: &Assessment<'_>) -> Option<Self> {
        assessment.drains.bill.as_ref().map(|bill| Self {
            currency: bill.currency.clone(),
            total: bill.total(),
            unpriced: bill.unpriced().into_iter().map(str::to_owned).collect(),
            exclusions: bill.exclusions,
            cautions: bill.cautions,
        })
    }
}

/// Rows of all parts together.
pub(super) fn rows(assessment: &Assessment<'_>) -> Vec<Row> {
    assessment.drains.bill.as_ref().map_or_else(Vec::new, |bill: &Rows| bill.rows.clone())
}

/// Columns of `quantities.csv` of one unit each, whatever a price list counts in: first SI, then US.
const MEASURES: [(&str, Unit); 9] = [
    ("count", Unit::Each),
    ("length_m", Unit::M),
    ("area_m2", Unit::M2),
    ("volume_m3", Unit::M3),
    ("mass_t", Unit::T),
    ("length_ft", Unit::Ft),
    ("area_ft2", Unit::Ft2),
    ("volume_yd3", Unit::Yd3),
    ("mass_short_ton", Unit::ShortTon),
];

/// `quantities.csv`; only its head where no drain is designed.
pub(super) fn quantities_csv(rows: &[Row]) -> Result<String, OutputError> {
    let fault = |cause: csv::Error| OutputError::Table { what: "quantities.csv", cause: cause.to_string() };
    let mut table = csv::Writer::from_writer(Vec::new());
    let head = ["item", "unit", "quantity", "waste_percent", "unit_price", "amount", "note"];
    table.write_record(head.into_iter().chain(MEASURES.map(|(name, _)| name))).map_err(fault)?;
    for row in rows {
        let number = |value: f64, unit: &str| match unit {
            "each" => format!("{value:.0}"),
            _ => format!("{value:.3}"),
        };
        let quantity = number(row.quantity, row.unit);
        let measures = MEASURES.map(|(_, unit)| {
            row.measured.in_unit(unit).map_or_else(String::new, |value| number(value, unit.name()))
        });
        let price = row.unit_price.map_or_else(String::new, |price| price.to_string());
        let amount = row.amount.map_or_else(String::new, |amount| format!("{amount:.2}"));
        let waste = row.waste_percent.to_string();
        let first = [row.item.as_str(), row.unit, &quantity, &waste, &price, &amount, &row.note];
        table.write_record(first.into_iter().chain(measures.iter().map(String::as_str))).map_err(fault)?;
    }
    let bytes = table
        .into_inner()
        .map_err(|cause| OutputError::Table { what: "quantities.csv", cause: cause.to_string() })?;
    String::from_utf8(bytes)
        .map_err(|cause| OutputError::Table { what: "quantities.csv", cause: cause.to_string() })
}
