//! A fault of ours is caught, told as ours, and leaves nothing half written.

use crate::failure::Failure;
use std::any::Any;
use std::panic::{self, PanicHookInfo, UnwindSafe};
use std::sync::{Mutex, PoisonError};

/// What the last panic said. Some are caught further in, where there is another way: those are nobody's business.
static LAST: Mutex<String> = Mutex::new(String::new());

/// Does the work; a panic becomes a failure that says what to send. What was begun is dropped on the way, and with it the
/// files that were not yet in place.
pub(crate) fn guarded(work: impl FnOnce() -> Result<(), Failure> + UnwindSafe) -> Result<(), Failure> {
    panic::set_hook(Box::new(keep));
    panic::catch_unwind(work).unwrap_or_else(|_| {
        let said = LAST.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let mut failure = Failure::internal(format!("this is our fault, not your files': {said}"));
        failure.help = Some(format!(
            "what was begun has been removed; please report it with the command as typed, this message, and \"lotshed {}\"",
            env!("CARGO_PKG_VERSION")
        ));
        Err(failure)
    })
}

fn keep(info: &PanicHookInfo<'_>) {
    let text = said(info.payload());
    let place = info.location().map_or_else(String::new, |at| format!(" at {}:{}", at.file(), at.line()));
    *LAST.lock().unwrap_or_else(PoisonError::into_inner) = format!("{text}{place}");
}

/// The words of a panic.
fn said(payload: &dyn Any) -> &str {
    let fixed = payload.downcast_ref::<&str>().copied();
    fixed.or_else(|| payload.downcast_ref::<String>().map(String::as_str)).unwrap_or("no message")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_told_as_our_fault_with_its_place() {
        let rows: Vec<u8> = Vec::new();
        let failure = guarded(|| {
            assert!(!rows.is_empty(), "the rows are gone");
            Ok(())
        })
        .unwrap_err();
        assert_eq!(failure.class.status(), 1);
        assert!(
            failure.message.contains("the rows are gone") && failure.message.contains("guard.rs"),
            "{failure:?}"
        );
        assert!(failure.help.is_some_and(|help| help.contains("report it")));
        let _ = panic::take_hook();
    }
}
