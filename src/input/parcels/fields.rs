//! Which field tells the lots apart.

use std::collections::HashSet;

/// Names of key fields in use, without separators, `id`, `no`, `num` and `number`.
const USUAL: [&str; 22] = [
    "",
    "p",
    "pin",
    "apn",
    "parcel",
    "parcels",
    "lot",
    "plot",
    "ain",
    "upi",
    "upin",
    "gpin",
    "parno",
    "taxlot",
    "taxmap",
    "maplot",
    "blocklot",
    "landparcel",
    "cadastral",
    "printkey",
    "sbl",
    "folio",
];
/// Endings that add nothing to a key field's name.
const ADDED: [&str; 5] = ["identifier", "number", "num", "id", "no"];
/// Share of lots that may lack a value.
const LACKING: f64 = 0.05;

/// A name without separators, in lower case.
pub(super) fn plain(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

/// Whether a field's name is one that key fields usually have.
pub(crate) fn is_usual(name: &str) -> bool {
    let plain = plain(name);
    let mut base = plain.as_str();
    for ending in ADDED {
        if let Some(shorter) = base.strip_suffix(ending) {
            base = shorter;
            break;
        }
    }
    // An ending alone ("number") is a name only if it is "id".
    if base.is_empty() { plain == "id" } else { USUAL.contains(&base) || USUAL.contains(&plain.as_str()) }
}

/// How the values of a field tell lots apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Values {
    /// Each lot has its own (nearly all have one).
    Unique,
    /// Some lots share one.
    Repeated,
    /// Too many lots have none.
    Lacking,
}

/// Looks at the values of one field.
pub(crate) fn values<'v>(all: impl Iterator<Item = Option<&'v str>>) -> Values {
    let (mut seen, mut count, mut lacking) = (HashSet::new(), 0_usize, 0_usize);
    let mut repeated = false;
    for value in all {
        count += 1;
        match value {
            Some(text) if !text.is_empty() => repeated |= !seen.insert(text.to_owned()),
            _ => lacking += 1,
        }
    }
    let real = crate::input::numbers::real;
    if repeated {
        Values::Repeated
    } else if count == 0 || real(lacking) > LACKING * real(count) {
        Values::Lacking
    } else {
        Values::Unique
    }
}

/// The field of this name: exactly, or in another case if that is clear.
pub(crate) fn find(fields: &[String], wanted: &str) -> Option<usize> {
    if let Some(exact) = fields.iter().position(|f| f == wanted) {
        return Some(exact);
    }
    let alike: Vec<usize> = (0..fields.len()).filter(|&i| fields[i].eq_ignore_ascii_case(wanted)).collect();
    if let [only] = alike[..] { Some(only) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_names_are_known_in_any_spelling() {
        for name in [
            "id",
            "ID",
            "pid",
            "PIN",
            "APN",
            "apn_id",
            "Parcel",
            "parcel_id",
            "PARCELNUMBER",
            "LOT_NO",
            "lot",
            "PRINT_KEY",
        ] {
            assert!(is_usual(name), "{name}");
        }
        for name in ["OBJECTID", "fid", "owner", "number", "acres", "MAP", "grid", "shape_area", "num"] {
            assert!(!is_usual(name), "{name}");
        }
    }

    #[test]
    fn values_must_tell_lots_apart() {
        assert_eq!(values([Some("007"), Some("7")].into_iter()), Values::Unique);
        assert_eq!(values([Some("7"), Some("7")].into_iter()), Values::Repeated);
        assert_eq!(values([Some("7"), None].into_iter()), Values::Lacking);
        assert_eq!(values(std::iter::empty()), Values::Lacking);
    }
}
