//! The geodata library, set up once: small cache, quiet, and its messages kept for our errors.

use super::error::InputError;
use crate::crs::check_installation;
use gdal::config;
use gdal::errors::CplErrType;
use std::cell::RefCell;
use std::sync::OnceLock;

/// Block cache in megabytes. The library's own default is a share of the machine's memory, which a container's limit
/// doesn't allow for.
const CACHE_MB: &str = "64";

thread_local! {
    static MESSAGES: RefCell<Vec<Message>> = const { RefCell::new(Vec::new()) };
}

/// How grave a message of the library is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Gravity {
    /// The library went on.
    Warning,
    /// The library gave up on something.
    Failure,
}

/// One message of the library.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Message {
    /// How grave it is.
    pub(crate) gravity: Gravity,
    /// What it says.
    pub(crate) text: String,
}

/// Sets the library up on first use.
///
/// # Errors
/// [`InputError::Installation`] if the projection database isn't found.
pub(crate) fn set_up() -> Result<(), InputError> {
    static DONE: OnceLock<Result<(), InputError>> = OnceLock::new();
    DONE.get_or_init(|| {
        config::set_error_handler(|class, _, text| {
            let gravity = match class {
                CplErrType::Warning => Gravity::Warning,
                CplErrType::Failure | CplErrType::Fatal => Gravity::Failure,
                CplErrType::None | CplErrType::Debug => return,
            };
            MESSAGES.with_borrow_mut(|all| all.push(Message { gravity, text: text.to_owned() }));
        });
        if std::env::var_os("GDAL_CACHEMAX").is_none() {
            set("GDAL_CACHEMAX", CACHE_MB);
        }
        // Vertical systems of older GeoTIFF files are left out unless asked for.
        set("GTIFF_REPORT_COMPD_CS", "YES");
        // Only a path that the user typed may lead to the network; this build has no network anyway.
        set("PROJ_NETWORK", "OFF");
        check_installation(first_failure).map_err(|source| InputError::Installation { source })
    })
    .clone()
}

fn set(key: &str, value: &str) {
    // Fails only on a zero byte, and these are literals.
    let _ = config::set_config_option(key, value);
}

/// Takes the messages that this thread's calls left behind.
pub(crate) fn take_messages() -> Vec<Message> {
    MESSAGES.take()
}

/// The first failure among this thread's messages, else `fallback`; empties the list.
///
/// The first is nearest to the cause; later ones only say that something above it failed as well.
pub(crate) fn first_failure(fallback: &str) -> String {
    take_messages()
        .into_iter()
        .find(|m| m.gravity == Gravity::Failure && !m.text.is_empty())
        .map_or_else(|| fallback.to_owned(), |m| m.text)
}
