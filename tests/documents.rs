//! What the documents point to is there.

use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).expect("the file can be read")
}

/// Files below a folder with one of these endings.
fn files(folder: &Path, endings: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        if path.is_dir() {
            found.extend(files(&path, endings));
        } else if path.extension().and_then(|e| e.to_str()).is_some_and(|e| endings.contains(&e)) {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn documents() -> Vec<PathBuf> {
    let mut found = files(&root().join("docs"), &["md"]);
    found.extend(["README.md", "DEVELOPERS.md"].map(|name| root().join(name)));
    found
}

/// Paths in backticks that start at the root of the repository.
fn named_paths(text: &str) -> Vec<&str> {
    let inside = text.split('`').skip(1).step_by(2);
    inside
        .filter(|name| {
            ["src/", "tests/", "docs/", "benches/", "fixtures/", ".ci/"].iter().any(|f| name.starts_with(f))
                && !name.contains(['*', ' ', '$'])
                && !name.contains("SUBJECT")
        })
        .collect()
}

/// Whether a file, a folder, or the module file of a folder is there.
fn is_there(name: &str) -> bool {
    root().join(name.trim_end_matches('/')).exists()
}

#[test]
fn every_file_that_a_document_names_is_there() {
    let mut checked = 0;
    for document in documents() {
        let text = read(&document);
        for name in named_paths(&text) {
            assert!(is_there(name), "{} names {name}", document.display());
            checked += 1;
        }
    }
    assert!(checked > 100, "{checked} names were checked");
}

/// Headings as the links of a Markdown viewer name them.
fn anchors(text: &str) -> Vec<String> {
    let headings = text.lines().filter(|line| line.starts_with('#'));
    headings
        .map(|line| {
            let words = line.trim_start_matches('#').trim().to_lowercase();
            let kept = words.chars().filter(|c| c.is_alphanumeric() || *c == ' ' || *c == '-');
            kept.map(|c| if c == ' ' { '-' } else { c }).collect()
        })
        .collect()
}

#[test]
fn every_link_inside_a_document_leads_to_a_heading() {
    let mut checked = 0;
    for document in documents() {
        let text = read(&document);
        let known = anchors(&text);
        for link in text.split("](#").skip(1).filter_map(|rest| rest.split(')').next()) {
            assert!(known.iter().any(|a| a == link), "{}: no heading for #{link}", document.display());
            checked += 1;
        }
    }
    assert!(checked > 20, "{checked} links were checked");
}

/// Sources point to a part of a document as `docs/NAME.md`, "Heading".
#[test]
fn every_heading_that_a_source_names_is_there() {
    let mut checked = 0;
    for file in ["src", "tests", "benches"].iter().flat_map(|folder| files(&root().join(folder), &["rs"])) {
        // Comments may break a reference over two lines.
        let text = read(&file).replace("\n//! ", " ").replace("\n/// ", " ").replace("\n// ", " ");
        for rest in text.split("`docs/").skip(1) {
            let Some((name, after)) = rest.split_once('`') else { continue };
            let ending = Path::new(name).extension().and_then(|e| e.to_str()).unwrap_or_default();
            if !["md", "json"].contains(&ending) || name.contains("NAME") {
                continue;
            }
            let document = root().join("docs").join(name);
            assert!(document.exists(), "{} names docs/{name}", file.display());
            let heading = after.strip_prefix(", \"").and_then(|a| a.split('"').next());
            if let Some(heading) = heading {
                let found = read(&document)
                    .lines()
                    .any(|line| line.starts_with('#') && line.trim_start_matches('#').trim() == heading);
                assert!(found, "{} names \"{heading}\" in docs/{name}", file.display());
                checked += 1;
            }
        }
    }
    assert!(checked >= 2, "{checked} headings were checked");
}

#[test]
fn a_missing_file_or_heading_would_be_found() {
    assert_eq!(named_paths("see `src/nowhere.rs` and `cargo test`"), ["src/nowhere.rs"]);
    assert!(!is_there("src/nowhere.rs"));
    assert_eq!(anchors("## Manning's equation\ntext"), ["mannings-equation"]);
}

/// The architecture page is for reading in one go.
#[test]
fn the_architecture_stays_short() {
    let lines = read(&root().join("docs/architecture.md")).lines().count();
    assert!(lines <= 200, "{lines} lines");
}

#[test]
fn the_licence_is_stated_where_people_look_for_it() {
    let manifest = read(&root().join("Cargo.toml"));
    let stated = manifest.lines().find_map(|line| line.strip_prefix("license = ")).expect("a licence");
    let expression = stated.trim_matches('"');
    assert!(read(&root().join("LICENSE")).contains(expression), "LICENSE says {expression}");
    assert!(is_there("LICENSE-MIT") && is_there("LICENSE-APACHE"));
}
