//! `lots.csv` and `pairs.csv`.

use super::fields::{Field, of_lot, of_pair, pairs};
use crate::output::error::OutputError;
use crate::pipeline::Screening;
use serde_json::Value;

/// A line a lot, the most pressing first.
pub(super) fn lots_csv(screening: &Screening<'_>) -> Result<String, OutputError> {
    let lots = screening.listed.iter().map(|&place| of_lot(screening, &screening.lots[place]));
    table("lots.csv", "id", lots)
}

/// A line a pair, by receiver, then source.
pub(super) fn pairs_csv(screening: &Screening<'_>) -> Result<String, OutputError> {
    table("pairs.csv", "receiving_id", pairs(screening).map(|pair| of_pair(screening, pair)))
}

/// Names of the columns, and a line a row; the first name alone where there is no row.
fn table(
    what: &'static str,
    first: &str,
    rows: impl Iterator<Item = Vec<Field>>,
) -> Result<String, OutputError> {
    let fault = |cause: String| OutputError::Table { what, cause };
    let mut table = csv::Writer::from_writer(Vec::new());
    let mut rows = rows.peekable();
    let names: Vec<String> = match rows.peek() {
        Some(row) => row.iter().map(|(name, _)| name.clone()).collect(),
        None => vec![first.to_owned()],
    };
    table.write_record(&names).map_err(|cause| fault(cause.to_string()))?;
    for row in rows {
        let values = row.iter().map(|(_, value)| text(value));
        table.write_record(values).map_err(|cause| fault(cause.to_string()))?;
    }
    let bytes = table.into_inner().map_err(|cause| fault(cause.to_string()))?;
    String::from_utf8(bytes).map_err(|cause| fault(cause.to_string()))
}

fn text(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}
