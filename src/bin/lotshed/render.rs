//! Words on the screen: all of them go to standard error.

use crate::failure::Failure;
use lotshed::output::libraries;
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

/// Writes to standard output; a reader that has gone is no failure.
pub(crate) fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

pub(crate) fn warnings(found: &[Warning], voice: Voice) {
    if voice == Voice::Quiet {
        return;
    }
    for warning in found {
        say(&format!("warning[{}]: {}\n  help: {}\n", warning.code, warning.message, warning.help));
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
