//! Words on the screen: all of them go to standard error.

use crate::failure::Failure;
use lotshed::input::{Inspection, Severity};
use lotshed::output::{OutputError, libraries};
use lotshed::warning::Warning;
use std::io::Write;

/// How much is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Voice {
    /// Errors only.
    Quiet,
    /// The table, warnings.
    Normal,
    /// Phases as well.
    Verbose,
}

/// Writes to standard error. Whoever reads may have gone: that is no reason to fail.
pub(crate) fn say(text: &str) {
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// Writes to standard output; a reader that has gone is no failure, a full disk is.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(cause) if cause.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(OutputError::Io { path: "standard output".into(), cause }.into())
        }
        _ => Ok(()),
    }
}

pub(crate) fn warnings(found: &[Warning], voice: Voice) {
    if voice == Voice::Quiet {
        return;
    }
    for warning in found {
        let kind = if warning.is_note() { "note" } else { "warning" };
        say(&format!("{kind}[{}]: {}\n  help: {}\n", warning.code, warning.message, warning.help));
    }
}

pub(crate) fn failure(failure: &Failure) {
    warnings(&failure.warnings, Voice::Normal);
    say(&format!("error: {}\n", failure.message));
    if let Some(help) = &failure.help {
        say(&format!("  help: {help}\n"));
    }
}

/// Version of the program and of the libraries that have a part in its numbers.
pub(crate) fn long_version() -> String {
    let libraries: Vec<String> =
        libraries().into_iter().map(|(name, version)| format!("{name} {version}")).collect();
    format!("{}\n{}", env!("CARGO_PKG_VERSION"), libraries.join("\n"))
}

/// What the inputs are, and all findings.
pub(crate) fn inspection(found: &Inspection) -> String {
    let mut lines = Vec::new();
    if let Some(facts) = &found.elevation {
        lines.push("Elevation".to_owned());
        for tile in &facts.tiles {
            let nodata = tile.nodata.as_deref().unwrap_or("none declared");
            lines.push(format!(
                "  {}: {}, {} x {} cells of {}, nodata {nodata}",
                tile.path, tile.driver, tile.rows, tile.cols, tile.band_type
            ));
        }
        lines.push(format!("  coordinate system: {} (unit: {})", facts.crs, facts.crs_unit));
        lines.push(format!(
            "  working grid: {} x {} cells of {:.3} x {:.3} m in {}",
            facts.rows, facts.cols, facts.cell_m, facts.cell_height_m, facts.working_crs
        ));
        lines.push(format!("  elevations in: {}", facts.vertical_unit));
        if let Some([west, south, east, north]) = facts.extent_lonlat {
            lines.push(format!(
                "  extent: {west:.6} to {east:.6} longitude, {south:.6} to {north:.6} latitude"
            ));
        }
    }
    if let Some(parcels) = &found.parcels {
        lines.push("Parcels".to_owned());
        lines.push(format!(
            "  {}: {}, layer {}, {} polygons, {} of them near the elevations",
            parcels.path, parcels.driver, parcels.layer, parcels.lots, parcels.lots_near
        ));
        lines.push(format!("  coordinate system: {}; ids from the field {}", parcels.crs, parcels.id_field));
    }
    lines.push(match found.findings.len() {
        0 => "No findings".to_owned(),
        n => format!("Findings: {n}, the worst first"),
    });
    for finding in &found.findings {
        let severity = match finding.severity {
            Severity::Refusal => "refusal",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        lines.push(format!("  {severity}[{}]: {}", finding.code, finding.message));
        if !finding.effect.is_empty() {
            lines.push(format!("    effect: {}", finding.effect));
        }
        if !finding.help.is_empty() {
            lines.push(format!("    help: {}", finding.help));
        }
    }
    lines.push(String::new());
    lines.join("\n")
}
