//! Pieces of a user's file in messages: short, in one line, and without control characters.

/// Characters of a name or a cell that a message shows.
const CELL: usize = 40;
/// Characters of what a reader of the form says.
const SENTENCE: usize = 160;

/// A name or a cell: its beginning.
pub(super) fn shown(text: &str) -> String {
    cut(text, CELL)
}

/// What is wrong with a text in TOML, and in which line of it, from 1; 0 where the reader names no place.
pub(super) fn toml_fault(error: &toml::de::Error, text: &str) -> (usize, String) {
    let line = error.span().map_or(0, |span| line_at(text, span.start));
    (line, cut(error.message(), SENTENCE))
}

/// The line, from 1, in which a byte lies.
pub(super) fn line_at(text: &str, byte: usize) -> usize {
    1 + text.bytes().take(byte).filter(|&b| b == b'\n').count()
}

/// `, line 5`, or nothing for line 0.
pub(super) fn place(line: usize) -> String {
    if line == 0 { String::new() } else { format!(", line {line}") }
}

fn cut(text: &str, most: usize) -> String {
    let plain = text.trim().chars().map(|c| if c.is_control() { ' ' } else { c });
    let mut kept = plain.clone();
    let beginning: String = kept.by_ref().take(most).collect();
    if kept.next().is_some() { format!("{beginning}...") } else { beginning }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_is_short_and_clean() {
        assert_eq!(shown(" a\u{1b}[31mb\n"), "a [31mb");
        assert_eq!(shown(&"x".repeat(40)), "x".repeat(40));
        assert_eq!(shown(&"x".repeat(41)), format!("{}...", "x".repeat(40)));
    }

    #[test]
    fn a_fault_of_the_form_is_one_line_with_its_place() {
        #[derive(Debug, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        struct One {
            #[serde(rename = "a")]
            _a: f64,
        }
        for (text, line) in
            [("a = 1\nb = \n", 2), ("a = \"\u{e9}\"\n", 1), ("\n\na = 1\n\"\\u001b[31m\" = 1\n", 4)]
        {
            let error = toml::from_str::<One>(text).unwrap_err();
            let (found, message) = toml_fault(&error, text);
            assert_eq!(found, line, "{message}");
            assert!(!message.is_empty() && !message.contains(char::is_control), "{message:?}");
        }
        let text = format!("a = 1\n{} = 1\n", "k".repeat(5000));
        let (_, message) = toml_fault(&toml::from_str::<One>(&text).unwrap_err(), &text);
        assert!(message.len() <= SENTENCE + 3, "{message}");
    }
}
