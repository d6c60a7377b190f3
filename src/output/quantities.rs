//! Quantities: rows of `summary.json`, and `quantities.csv`.

use super::error::OutputError;
use crate::interceptor::quantities::{Bill as Rows, Row};
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

/// `quantities.csv`; only its head where no drain is designed.
pub(super) fn quantities_csv(rows: &[Row]) -> Result<String, OutputError> {
    let fault = |cause: csv::Error| OutputError::Table { what: "quantities.csv", cause: cause.to_string() };
    let mut table = csv::Writer::from_writer(Vec::new());
    table
        .write_record(["item", "unit", "quantity", "waste_percent", "unit_price", "amount", "note"])
        .map_err(fault)?;
    for row in rows {
        let quantity =
            if row.unit == "each" { format!("{:.0}", row.quantity) } else { format!("{:.3}", row.quantity) };
        let price = row.unit_price.map_or_else(String::new, |price| price.to_string());
        let amount = row.amount.map_or_else(String::new, |amount| format!("{amount:.2}"));
        let waste = row.waste_percent.to_string();
        table
            .write_record([row.item.as_str(), row.unit, &quantity, &waste, &price, &amount, &row.note])
            .map_err(fault)?;
    }
    let bytes = table
        .into_inner()
        .map_err(|cause| OutputError::Table { what: "quantities.csv", cause: cause.to_string() })?;
    String::from_utf8(bytes)
        .map_err(|cause| OutputError::Table { what: "quantities.csv", cause: cause.to_string() })
}
