//! The manual page on inputs names tests that exist.

use std::collections::BTreeSet;
use std::path::Path;

/// Names of all functions of Rust files below a folder.
fn functions(folder: &Path, found: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        if path.is_dir() {
            functions(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let text = std::fs::read_to_string(&path).expect("a source can be read");
            let names = text.split("fn ").skip(1).filter_map(|rest| rest.split(['(', '<']).next());
            found.extend(names.map(str::to_owned));
        }
    }
}

#[test]
fn every_test_named_on_the_page_exists_and_there_are_sixty() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut known = BTreeSet::new();
    functions(&root.join("tests"), &mut known);
    functions(&root.join("src"), &mut known);
    let page = std::fs::read_to_string(root.join("docs/inputs.md")).expect("the page is there");
    let rows: Vec<Vec<&str>> = page
        .lines()
        .filter(|line| line.starts_with("| ") && line.ends_with("` |"))
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    assert!(rows.len() >= 60, "{} inputs are listed", rows.len());
    for (place, row) in rows.iter().enumerate() {
        let [number, input, outcome, test] = row[..] else { panic!("{row:?} has other columns") };
        assert_eq!(number, (place + 1).to_string(), "the rows are numbered");
        assert!(!input.is_empty() && !outcome.is_empty(), "{row:?}");
        let test = test.trim_matches('`');
        assert!(known.contains(test), "{test}, named in row {number}, does not exist");
    }
}
