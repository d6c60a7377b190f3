//! Coordinate systems whose numbers contradict the code beside them.

use super::error::{InputError, InputKind};
use crate::crs::CrsDefinition;
use crate::warning::{Warned, Warning};
use std::path::Path;

/// A declared system as it will be used: where its numbers contradict its code, the numbers count and the code goes.
pub(super) fn honest(
    path: &Path,
    kind: InputKind,
    crs: CrsDefinition,
) -> Result<Warned<CrsDefinition>, InputError> {
    let differences = crs.contradictions();
    if differences.is_empty() {
        return Ok(Warned::new(crs, Vec::new()));
    }
    let readings: Vec<String> = differences
        .iter()
        .map(|d| format!("{} {} in the file, {} in the registry", d.what, d.first, d.second))
        .collect();
    let warning = Warning::new(
        "crs-keys-disagree",
        format!(
            "{} names {} but describes something else ({}); the file's own numbers are used",
            path.display(),
            crs.label(),
            readings.join("; ")
        ),
        format!("pass {} {} to use what is registered under the code", kind.crs_option(), crs.label()),
    );
    let bare = crs.without_code().map_err(|e| InputError::crs(path, kind, e))?;
    Ok(Warned::new(bare, vec![warning]))
}
