//! Every sentence that people read on the page, in one place: one file of messages a language.
//!
//! The files are in the Fluent format (`*.ftl`), which translators' tools read. A test holds that all languages have
//! the same messages with the same blanks, and that every message that the source asks for is there.

use fluent_bundle::{FluentArgs, FluentBundle, FluentResource, FluentValue};
use std::fmt;
use unic_langid::LanguageIdentifier;

/// A language that the page can be in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    /// English.
    English,
}

impl Language {
    /// All of them.
    pub const ALL: [Self; 1] = [Self::English];

    /// Its tag (BCP 47), as pages state it.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
        }
    }

    const fn messages(self) -> &'static str {
        match self {
            Self::English => concat!(include_str!("en.ftl"), include_str!("en-town.ftl")),
        }
    }
}

/// The messages of one language.
pub struct Words {
    language: Language,
    bundle: FluentBundle<FluentResource>,
}

impl fmt::Debug for Words {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.debug_struct("Words").field("language", &self.language).finish_non_exhaustive()
    }
}

impl Words {
    /// Reads the messages of a language.
    #[must_use]
    pub fn of(language: Language) -> Self {
        // What can't be read of the file is left out; the tests hold that nothing is.
        let messages = match FluentResource::try_new(language.messages().to_owned()) {
            Ok(messages) | Err((messages, _)) => messages,
        };
        let tag: LanguageIdentifier = language.tag().parse().unwrap_or_default();
        let mut bundle = FluentBundle::new(vec![tag]);
        // Marks of direction around what is filled in: no language here needs them, and they'd be copied along.
        bundle.set_use_isolating(false);
        bundle.add_resource_overriding(messages);
        Self { language, bundle }
    }

    /// The language.
    #[must_use]
    pub const fn language(&self) -> Language {
        self.language
    }

    /// A message without blanks.
    #[must_use]
    pub fn say(&self, message: &str) -> String {
        self.fill(message, &[])
    }

    /// A message with its blanks filled in. One that isn't there reads as its name between angle brackets.
    #[must_use]
    pub fn fill(&self, message: &str, blanks: &[(&str, Blank<'_>)]) -> String {
        let pattern = self.bundle.get_message(message).and_then(|found| found.value());
        let Some(pattern) = pattern else { return format!("<{message}>") };
        let mut args = FluentArgs::with_capacity(blanks.len());
        for (name, blank) in blanks {
            args.set(*name, blank.value());
        }
        let mut errors = Vec::new();
        self.bundle.format_pattern(pattern, Some(&args), &mut errors).into_owned()
    }
}

/// What is filled in.
#[derive(Debug, Clone, Copy)]
pub enum Blank<'a> {
    /// Words, or a number that is rounded and has its unit.
    Text(&'a str),
    /// A number of things, by which a language chooses its plural.
    Count(usize),
}

impl Blank<'_> {
    fn value(&self) -> FluentValue<'_> {
        match self {
            Self::Text(text) => FluentValue::from(*text),
            Self::Count(count) => FluentValue::from(*count),
        }
    }
}

#[cfg(test)]
mod tests;
