//! Words for findings: names, shares, and measures in both systems of units, the same everywhere.

use crate::units::{Area, Length};

/// A share in percent: to a tenth, and what isn't all never reads as all.
#[must_use]
pub(crate) fn percent(share: f64) -> String {
    let is_all = share >= 0.9999;
    let tenths = (share * 1000.0).round();
    let tenths = if is_all { tenths } else { tenths.min(999.0) };
    format!("{:.1} %", tenths / 10.0)
}

/// A thing by its kind and its id, which often begins with the kind: "storm inlet" and "Inlet 3" are storm
/// inlet 3.
#[must_use]
pub(crate) fn called(kind: &str, id: &str) -> String {
    let last = kind.rsplit(' ').next().unwrap_or(kind);
    let said = id.get(..last.len()).filter(|start| start.eq_ignore_ascii_case(last));
    let rest = said.and_then(|_| id.get(last.len()..)).map(|rest| rest.trim_start_matches([' ', '-', '_']));
    match rest {
        // "inletworks" is a name of its own.
        Some(rest) if !rest.is_empty() && !id[last.len()..].starts_with(char::is_alphabetic) => {
            format!("{kind} {rest}")
        }
        _ => format!("{kind} {id}"),
    }
}

/// A length to so many decimals.
#[must_use]
pub(crate) fn metres(m: f64, decimals: usize) -> String {
    format!("{m:.decimals$} m ({:.decimals$} ft)", Length::from_m(m).as_ft())
}

/// From one place along a way to another.
#[must_use]
pub(crate) fn span(from_m: f64, to_m: f64) -> String {
    let [from_ft, to_ft] = [from_m, to_m].map(|m| Length::from_m(m).as_ft());
    format!("{from_m:.1} to {to_m:.1} m ({from_ft:.1} to {to_ft:.1} ft)")
}

/// An area of ground.
#[must_use]
pub(crate) fn square_metres(m2: f64) -> String {
    format!("{m2:.0} m² ({:.0} sq ft)", Area::from_m2(m2).as_ft2())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_read_the_same_everywhere() {
        for (share, words) in [
            (0.0, "0.0 %"),
            (0.875_49, "87.5 %"),
            (0.875_51, "87.6 %"),
            (0.999_8, "99.9 %"),
            (1.0, "100.0 %"),
            (0.999_95, "100.0 %"),
        ] {
            assert_eq!(percent(share), words);
        }
    }

    #[test]
    fn an_id_that_says_its_kind_says_it_once() {
        for (kind, id, words) in [
            ("storm inlet", "inlet 1", "storm inlet 1"),
            ("storm inlet", "Inlet-7", "storm inlet 7"),
            ("storm inlet", "inlet7", "storm inlet 7"),
            ("storm inlet", "A", "storm inlet A"),
            ("storm inlet", "inlet", "storm inlet inlet"),
            ("ditch", "Ditches", "ditch Ditches"),
            ("parcel", "Parcelle 4", "parcel Parcelle 4"),
            ("parcel", "Ä", "parcel Ä"),
        ] {
            assert_eq!(called(kind, id), words);
        }
    }

    // 1 m = 3.280 84 ft; 1 m² = 10.7639 sq ft.
    #[test]
    fn measures_stand_in_both_systems() {
        assert_eq!(metres(1.5, 2), "1.50 m (4.92 ft)");
        assert_eq!(span(1.0, 2.0), "1.0 to 2.0 m (3.3 to 6.6 ft)");
        assert_eq!(square_metres(100.0), "100 m² (1076 sq ft)");
    }
}
