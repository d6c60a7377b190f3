//! The README says what the program does: its commands run, its outputs and its tables are the program's own.
//!
//! After a change of the texts, `LOTSHED_WRITE=1 cargo test --release --test readme` writes them anew; look at the
//! difference before it goes in.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::Mutex;

/// Sections are written one after the other: tests run side by side.
static WRITING: Mutex<()> = Mutex::new(());

fn readme() -> String {
    std::fs::read_to_string(path()).expect("README.md can be read")
}

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")
}

/// Runs a line of shell in a folder, as a reader would who has the program on the PATH.
fn shell(folder: &Path, line: &str) -> Output {
    let program = Path::new(env!("CARGO_BIN_EXE_lotshed")).parent().expect("the program lies in a folder");
    let path = std::env::var_os("PATH").unwrap_or_default();
    let places = std::iter::once(program.to_owned()).chain(std::env::split_paths(&path));
    Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", std::env::join_paths(places).expect("the folders' names can stand in PATH"))
        .output()
        .expect("there is a shell")
}

/// Fenced blocks of one language, lines that end with a backslash joined with the next.
fn blocks(text: &str, language: &str) -> Vec<String> {
    let fence = format!("\n```{language}\n");
    text.split(&fence)
        .skip(1)
        .map(|rest| rest.split("\n```").next().unwrap_or_default().replace("\\\n", " "))
        .collect()
}

/// What stands between two markers.
fn section<'a>(text: &'a str, name: &str) -> &'a str {
    let (start, end) = (format!("<!-- {name} -->\n"), format!("<!-- /{name} -->"));
    let from = text.find(&start).expect("README.md has the section's first marker") + start.len();
    let length = text[from..].find(&end).expect("README.md has the section's last marker");
    &text[from..from + length]
}

/// Holds a section against what it must be, or writes it when asked to.
fn hold(name: &str, wanted: &str) {
    let _turn = WRITING.lock();
    let text = readme();
    let found = section(&text, name);
    if std::env::var_os("LOTSHED_WRITE").is_some() && found != wanted {
        let (start, end) = (format!("<!-- {name} -->\n"), format!("<!-- /{name} -->"));
        let old = format!("{start}{found}{end}");
        let new = format!("{start}{wanted}{end}");
        std::fs::write(path(), text.replace(&old, &new)).expect("README.md can be written");
        return;
    }
    let differing = found.lines().zip(wanted.lines()).find(|(a, b)| a != b);
    assert!(
        found == wanted,
        "the section {name} of README.md isn't what the program says: see the head of tests/readme.rs\n{differing:#?}"
    );
}

/// Command lines of the README that start with the program's name.
fn commands() -> Vec<String> {
    let text = readme();
    let lines =
        blocks(&text, "sh").into_iter().flat_map(|b| b.lines().map(str::to_owned).collect::<Vec<_>>());
    lines.filter(|line| line.starts_with("lotshed ")).collect()
}

#[test]
fn every_command_of_the_readme_runs_in_the_order_of_the_text() {
    let folder = tempfile::tempdir().unwrap();
    for block in blocks(&readme(), "toml") {
        let name = block.lines().next().and_then(|line| line.strip_prefix("# ")).expect("names its file");
        std::fs::write(folder.path().join(name), &block).unwrap();
    }
    let commands = commands();
    assert!(commands.len() >= 5, "the README shows how to use the program: {commands:?}");
    for line in commands {
        let output = shell(folder.path(), &line);
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{line}\n{said}");
    }
}

#[test]
fn a_command_that_is_wrong_would_be_noticed() {
    let folder = tempfile::tempdir().unwrap();
    assert!(!shell(folder.path(), "lotshed assess --elevatoin ground.tif").status.success());
}

#[test]
fn the_demo_says_what_the_readme_shows() {
    let folder = tempfile::tempdir().unwrap();
    let output = shell(folder.path(), "lotshed demo");
    assert!(output.status.success());
    let said = String::from_utf8(output.stderr).unwrap();
    // The cautions at its end have a section of their own.
    let shown = said.split("\nBear in mind\n").next().unwrap_or_default();
    hold("demo", &format!("```text\n{}\n```\n", shown.trim_end()));
}

#[test]
fn the_readme_shows_all_cautions() {
    let lines: Vec<String> = lotshed::output::CAUTIONS.iter().map(|line| format!("- {line}\n")).collect();
    hold("cautions", &lines.concat());
}

/// One option as `lotshed assess --help` describes it.
struct Described {
    group: String,
    names: String,
    what: Vec<String>,
}

/// Reads the long help: groups end with a colon, options start with a dash, their texts stand below them.
fn described(help: &str) -> Vec<Described> {
    let mut group = String::new();
    let mut options: Vec<Described> = Vec::new();
    for line in help.lines() {
        let text = line.trim();
        let is_heading = !line.starts_with(' ') && text.ends_with(':');
        if is_heading {
            group = text.trim_end_matches(':').to_lowercase();
        } else if text.starts_with('-') && !text.starts_with("- ") {
            options.push(Described { group: group.clone(), names: text.to_owned(), what: Vec::new() });
        } else if let (Some(option), false) = (options.last_mut(), text.is_empty()) {
            option.what.push(text.to_owned());
        }
    }
    options
}

/// A text that starts small, unless its first word is an abbreviation.
fn in_a_sentence(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => first.to_lowercase().chain(letters).collect(),
        _ => text.to_owned(),
    }
}

/// The table of options in the README's form.
fn options_table(help: &str) -> String {
    let mut rows = "| group | option | what |\n| --- | --- | --- |\n".to_owned();
    for option in described(help).into_iter().filter(|o| o.group != "options") {
        let (what, values) = match option.what.iter().position(|line| line == "Possible values:") {
            Some(at) => (option.what[..at].join(" "), option.what[at + 1..].join(" ")),
            None => (option.what.join(" "), String::new()),
        };
        let values: Vec<String> = values
            .split("- ")
            .filter(|value| !value.trim().is_empty())
            .map(|value| {
                let (name, meaning) = value.split_once(':').unwrap_or((value, ""));
                format!("`{}` ({})", name.trim(), in_a_sentence(meaning.trim()))
            })
            .collect();
        let values = if values.is_empty() { String::new() } else { format!(": {}", values.join(", ")) };
        let names = option.names.replace('|', "\\|");
        rows.extend([format!("| {} | `{names}` | {what}{values} |\n", option.group)]);
    }
    rows
}

#[test]
fn the_readme_lists_every_option_of_assess_as_its_help_does() {
    let folder = tempfile::tempdir().unwrap();
    let output = shell(folder.path(), "lotshed assess --help");
    let help = String::from_utf8(output.stdout).unwrap();
    assert!(described(&help).len() > 20, "the help is understood:\n{help}");
    hold("options", &options_table(&help));
}

#[test]
fn the_readme_lists_every_option_of_screen_as_its_help_does() {
    let folder = tempfile::tempdir().unwrap();
    let help = String::from_utf8(shell(folder.path(), "lotshed screen --help").stdout).unwrap();
    assert!(described(&help).len() > 12, "the help is understood:\n{help}");
    hold("screen-options", &options_table(&help));
}

#[test]
fn the_readme_lists_every_option_of_size_as_its_help_does() {
    let folder = tempfile::tempdir().unwrap();
    let help = String::from_utf8(shell(folder.path(), "lotshed size --help").stdout).unwrap();
    assert!(described(&help).len() > 12, "the help is understood:\n{help}");
    hold("size-options", &options_table(&help));
}

#[test]
fn the_first_command_of_size_says_what_the_readme_shows() {
    let folder = tempfile::tempdir().unwrap();
    let line = commands().into_iter().find(|line| line.starts_with("lotshed size ")).expect("it is shown");
    let output = shell(folder.path(), &line);
    assert!(output.status.success());
    let said = String::from_utf8(output.stderr).unwrap();
    // The cautions at its end have a section of their own.
    let shown = said.split("\nBear in mind\n").next().unwrap_or_default();
    hold("size", &format!("```text\n{}\n```\n", shown.trim_end()));
}

#[test]
fn every_file_that_the_readme_links_to_is_there() {
    let text = readme();
    let targets: Vec<&str> = text.split("](").skip(1).filter_map(|rest| rest.split(')').next()).collect();
    assert!(!targets.is_empty());
    for target in targets.into_iter().filter(|target| !target.contains("://")) {
        let file = target.split('#').next().unwrap_or_default();
        assert!(path().with_file_name(file).exists(), "README.md links to {file}");
    }
}
