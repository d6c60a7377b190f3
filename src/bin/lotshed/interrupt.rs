//! Ctrl-C leaves nothing half written.

use crate::render::say;
use lotshed::error::ExitClass;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// The folder in which files wait to be moved into place.
static STAGING: Mutex<Option<PathBuf>> = Mutex::new(None);

/// From now on Ctrl-C (and a request to end) removes what waits and exits with 130.
pub(crate) fn watch() {
    let handler = || {
        if let Ok(mut staging) = STAGING.lock()
            && let Some(path) = staging.take()
        {
            // Nothing more can be done if it can't be removed.
            let _ = std::fs::remove_dir_all(path);
        }
        say("interrupted: nothing was written\n");
        #[expect(clippy::exit, reason = "a signal ends the program, whatever it is doing")]
        std::process::exit(i32::from(ExitClass::Interrupted.status()));
    };
    // Fails only when a handler is set already.
    let _ = ctrlc::set_handler(handler);
}

/// Says which folder to remove when the program is interrupted, or that there is none any more.
pub(crate) fn staging(path: Option<&Path>) {
    if let Ok(mut staging) = STAGING.lock() {
        *staging = path.map(Path::to_owned);
    }
}
