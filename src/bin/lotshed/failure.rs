//! A failed run: what to say and how to exit.

use lotshed::demo::DemoError;
use lotshed::error::{Error, ExitClass};
use lotshed::input::InputError;
use lotshed::output::OutputError;
use lotshed::warning::Warning;

/// What went wrong, in words, with its exit class.
#[derive(Debug)]
pub(crate) struct Failure {
    pub(crate) class: ExitClass,
    pub(crate) message: String,
    pub(crate) help: Option<String>,
    /// Warnings that came up before.
    pub(crate) warnings: Vec<Warning>,
}

impl Failure {
    pub(crate) fn usage(message: String) -> Self {
        Self { class: ExitClass::Usage, message, help: None, warnings: Vec::new() }
    }

    pub(crate) fn unreadable(message: String) -> Self {
        Self { class: ExitClass::Unreadable, message, help: None, warnings: Vec::new() }
    }

    pub(crate) fn internal(message: String) -> Self {
        Self { class: ExitClass::Internal, message, help: None, warnings: Vec::new() }
    }

    pub(crate) fn strict(warnings: Vec<Warning>) -> Self {
        Self {
            class: ExitClass::Strict,
            message: format!(
                "{} under --strict: nothing was kept",
                match warnings.len() {
                    1 => "a warning".to_owned(),
                    n => format!("{n} warnings"),
                }
            ),
            help: Some("see to the warnings above, or run without --strict".to_owned()),
            warnings,
        }
    }
}

impl From<Error> for Failure {
    fn from(error: Error) -> Self {
        // What lies behind it, said once: some messages hold their cause already.
        let mut message = error.to_string();
        let mut cause = std::error::Error::source(&error);
        while let Some(behind) = cause {
            let text = behind.to_string();
            if !message.contains(&text) {
                message = format!("{message}: {text}");
            }
            cause = behind.source();
        }
        Self { class: error.exit_class(), message, help: error.help(), warnings: Vec::new() }
    }
}

impl From<InputError> for Failure {
    fn from(error: InputError) -> Self {
        Error::from(error).into()
    }
}

impl From<OutputError> for Failure {
    fn from(error: OutputError) -> Self {
        Error::from(error).into()
    }
}

impl From<DemoError> for Failure {
    fn from(error: DemoError) -> Self {
        Error::from(error).into()
    }
}
