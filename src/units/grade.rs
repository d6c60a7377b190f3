//! A grade from text, in the notations of the trade.

use super::{Grade, Length};
use std::str::FromStr;

impl FromStr for Grade {
    type Err = String;
    /// `1%`, `0.01`, `1:100` (fall to length), `1/8in/ft` or `1in/10ft` (a length by a length, both with units).
    fn from_str(text: &str) -> Result<Self, String> {
        let plain = text.trim();
        let number = if let Some(percent) = plain.strip_suffix('%') {
            number(percent).map(|percent| percent / 100.0)
        } else if let Some((fall, length)) = plain.split_once(':') {
            number(fall).zip(number(length)).map(|(fall, length)| fall / length)
        } else if let Some((fall, length)) = plain.rsplit_once('/').filter(|_| has_unit(plain)) {
            measure(fall).zip(measure(length)).map(|(fall, length)| fall / length)
        } else {
            number(plain)
        };
        let grade = number.ok_or_else(|| {
            format!("\"{text}\" is not a grade; write it as 1%, 0.01, 1:100, 1/8in/ft or 1in/10ft")
        })?;
        Self::new(grade).map_err(|e| e.to_string())
    }
}

fn has_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_ascii_alphabetic())
}

fn number(text: &str) -> Option<f64> {
    text.trim().parse().ok()
}

/// A length with its unit: `1in`, `1/8in`, `10ft`, or a unit alone for one of it.
fn measure(text: &str) -> Option<Length> {
    let text = text.trim();
    let (digits, unit) = text.split_at(text.find(|c: char| c.is_ascii_alphabetic())?);
    let unit: Length = format!("1{unit}").parse().ok()?;
    let count = match digits.trim().split_once('/') {
        Some((over, under)) => number(over)? / number(under)?,
        None if digits.trim().is_empty() => 1.0,
        None => number(digits)?,
    };
    Some(unit * count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn grade(text: &str) -> f64 {
        text.parse::<Grade>().unwrap_or_else(|e| panic!("{e}")).get()
    }

    // By hand: an eighth of an inch in 12 in is 1/96; an inch in 10 ft of 12 in each is 1/120; 2 cm in 1 m is 1/50.
    #[test]
    fn every_notation_of_the_trade_is_read() {
        for (text, expected) in [
            ("1%", 0.01),
            (" 2.5 %", 0.025),
            ("0.01", 0.01),
            ("1:100", 0.01),
            ("1 : 48", 1.0 / 48.0),
            ("1/8in/ft", 1.0 / 96.0),
            ("1/8 in/ft", 1.0 / 96.0),
            ("0.125in/ft", 1.0 / 96.0),
            ("1/4in/1ft", 1.0 / 48.0),
            ("1in/10ft", 1.0 / 120.0),
            ("in/8ft", 1.0 / 96.0),
            ("2cm/m", 0.02),
            ("3ft/150ft", 0.02),
        ] {
            assert_relative_eq!(grade(text), expected, max_relative = 1e-12);
        }
    }

    #[test]
    fn what_is_no_grade_is_refused_with_the_notations_or_the_range() {
        for text in ["one", "", "1/8", "1/8in", "in", "1:x", "1in/10", "1furlong/10ft", "%", "1/8/8in/ft"] {
            let refused = text.parse::<Grade>().unwrap_err();
            assert!(refused.contains("1/8in/ft"), "{text}: {refused}");
        }
        for text in ["0", "0%", "-1%", "1:0", "0:100", "100:1", "20in/ft", "-1in/ft", "nan", "inf"] {
            let refused = text.parse::<Grade>().unwrap_err();
            assert!(refused.contains("above 0 up to 1"), "{text}: {refused}");
        }
    }
}
