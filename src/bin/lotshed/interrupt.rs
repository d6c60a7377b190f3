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
        // Waits while files are being moved into place.
        let waiting = STAGING.lock().ok().and_then(|mut staging| staging.take());
        if let Some(path) = waiting {
            // Nothing more can be done if it can't be removed.
            let _ = std::fs::remove_dir_all(path);
            say("interrupted: nothing was written\n");
        } else {
            say("interrupted\n");
        }
        #[expect(clippy::exit, reason = "a signal ends the program, whatever it is doing")]
        std::process::exit(i32::from(ExitClass::Interrupted.status()));
    };
    // Fails only when a handler is set already.
    let _ = ctrlc::set_handler(handler);
}

/// Does something that must not be interrupted half way, and after which there is no folder to remove.
pub(crate) fn unbroken<T>(work: impl FnOnce() -> T) -> T {
    let lock = STAGING.lock();
    let result = work();
    if let Ok(mut staging) = lock {
        *staging = None;
    }
    result
}

/// Says which folder to remove when the program is interrupted, or that there is none any more.
pub(crate) fn staging(path: Option<&Path>) {
    if let Ok(mut staging) = STAGING.lock() {
        *staging = path.map(Path::to_owned);
    }
}
