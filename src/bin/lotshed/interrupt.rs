//! Ctrl-C leaves nothing half written.

use crate::render::say;
use lotshed::error::ExitClass;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// How far the result is.
#[derive(Debug)]
pub(crate) enum State {
    /// No file of it exists.
    Nothing,
    /// Its files wait in this folder.
    Waiting(PathBuf),
    /// It is in place.
    Written,
}

static STATE: Mutex<State> = Mutex::new(State::Nothing);
static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Another thread may be writing a file while the folder is removed, so it may take more than one attempt.
const ATTEMPTS: u32 = 200;
const PAUSE: Duration = Duration::from_millis(5);

/// From now on Ctrl-C (and a request to end) removes what waits and exits with 130.
pub(crate) fn watch() {
    let handler = || {
        INTERRUPTED.store(true, Ordering::SeqCst);
        let said = uninterrupted(|state| match std::mem::replace(state, State::Nothing) {
            State::Nothing => "interrupted: nothing was written\n".to_owned(),
            State::Written => "interrupted: the result had been written before\n".to_owned(),
            State::Waiting(folder) => {
                for _ in 0..ATTEMPTS {
                    if std::fs::remove_dir_all(&folder).is_ok() || !folder.exists() {
                        break;
                    }
                    std::thread::sleep(PAUSE);
                }
                if folder.exists() {
                    format!("interrupted: please remove {}\n", folder.display())
                } else {
                    "interrupted: nothing was written\n".to_owned()
                }
            }
        });
        say(&said);
        // At once: an orderly exit takes the geodata library down while other threads are still inside it.
        signal_hook::low_level::exit(i32::from(ExitClass::Interrupted.status()));
    };
    // Fails only when a handler is set already.
    let _ = ctrlc::set_handler(handler);
}

/// Does something that a signal must not cut in two, and notes how far the result is.
pub(crate) fn uninterrupted<T>(work: impl FnOnce(&mut State) -> T) -> T {
    // What the lock guards is whole at every moment, so a panic elsewhere doesn't spoil it.
    work(&mut STATE.lock().unwrap_or_else(PoisonError::into_inner))
}

/// A run that failed because a signal took its files away has nothing to say: the signal ends the program.
pub(crate) fn give_way() {
    while INTERRUPTED.load(Ordering::SeqCst) {
        std::thread::sleep(PAUSE);
    }
}
