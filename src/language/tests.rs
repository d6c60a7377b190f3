use super::*;
use fluent_bundle::FluentResource;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Messages of a language with the blanks that each names.
fn messages(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let read = FluentResource::try_new(language.messages().to_owned());
    let found = read.unwrap_or_else(|(_, errors)| panic!("{}: {errors:?}", language.tag()));
    drop(found);
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut last = String::new();
    for line in language.messages().lines() {
        if let Some((name, _)) = line.split_once(" =").filter(|_| line.starts_with(char::is_alphabetic)) {
            name.clone_into(&mut last);
            assert!(all.insert(last.clone(), BTreeSet::new()).is_none(), "{last} stands twice");
        }
        let blanks = line.split('$').skip(1).map(|rest| {
            rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '-').collect::<String>()
        });
        all.entry(last.clone()).or_default().extend(blanks);
    }
    all.remove("");
    all
}

/// Messages that the source asks for.
fn asked(folder: &Path, found: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            asked(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") && !path.ends_with("language/tests.rs") {
            let text = std::fs::read_to_string(&path).unwrap();
            for start in [".say(", ".fill("] {
                let names = text.split(start).skip(1).filter_map(|rest| rest.trim_start().strip_prefix('"'));
                found.extend(names.filter_map(|rest| rest.split('"').next()).map(str::to_owned));
            }
        }
    }
}

#[test]
fn all_languages_have_the_same_messages_with_the_same_blanks() {
    let english = messages(Language::English);
    assert!(english.len() > 20);
    for language in Language::ALL {
        assert_eq!(messages(language), english, "{}", language.tag());
    }
}

#[test]
fn every_message_that_is_asked_for_is_there_and_none_is_left_over() {
    let mut wanted = BTreeSet::new();
    asked(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/output"), &mut wanted);
    let there: BTreeSet<String> = messages(Language::English).into_keys().collect();
    assert_eq!(wanted, there);
}

#[test]
fn blanks_are_filled_and_a_missing_message_says_its_name() {
    let words = Words::of(Language::English);
    assert_eq!(words.fill("page-title", &[("lot", Blank::Text("A & B"))]), "Run-on of lot A & B");
    assert_eq!(words.say("no-such-message"), "<no-such-message>");
}
