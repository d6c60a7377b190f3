//! What tells two coordinate systems apart, number by number.

use super::definition::{base, length_unit, unbound};
use super::{CrsDefinition, CrsError, LinearUnit};
use serde_json::Value;
use std::collections::BTreeMap;

/// Numbers that differ by a smaller share are the same: a few millimetres on a false easting of 500 km, and the flattening
/// of GRS 80 against that of WGS 84.
const SAME: f64 = 1e-8;
/// Smaller differences (m, radians) are rounding around zero.
const NOTHING: f64 = 1e-9;
/// The two feet differ by 2 millionths.
const FEET: f64 = 3e-6;
/// Radians in a degree.
const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// One statement in which two systems differ.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// What it is about, as `false easting`.
    pub what: String,
    /// What the first system says, with its unit.
    pub first: String,
    /// What the second system says, with its unit.
    pub second: String,
    /// Difference as a share of the larger number; infinite where no numbers are compared.
    share: f64,
}

/// A number in the unit in which it is given.
#[derive(Debug, Clone)]
struct Stated {
    value: f64,
    unit: String,
    /// In metres, radians, or as it is.
    plain: f64,
}

impl CrsDefinition {
    /// In which numbers of projection, ellipsoid and unit the two differ; names are not compared.
    #[must_use]
    pub fn differences(&self, other: &Self) -> Vec<Difference> {
        let (Ok(first), Ok(second)) = (self.json(), other.json()) else { return Vec::new() };
        let (first, second) = (unbound(&first), unbound(&second));
        let mut found = Vec::new();
        let (one, two) = (method(first), method(second));
        if one != two {
            let text = |method: Option<String>| method.unwrap_or_else(|| "none".to_owned());
            found.push(Difference {
                what: "projection".to_owned(),
                first: text(one),
                second: text(two),
                share: f64::INFINITY,
            });
        }
        let (mut one, mut two) = (numbers(first), numbers(second));
        let names: Vec<String> = one.keys().chain(two.keys()).cloned().collect();
        for what in names {
            let (first, second) = (one.remove(&what), two.remove(&what));
            // A parameter that isn't mentioned has no effect: shifts are 0, factors are 1.
            let neutral = if what.contains("scale factor") { 1.0 } else { 0.0 };
            let plain = |stated: &Option<Stated>| stated.as_ref().map_or(neutral, |s| s.plain);
            let (a, b) = (plain(&first), plain(&second));
            let share = (a - b).abs() / a.abs().max(b.abs()).max(f64::MIN_POSITIVE);
            if share > SAME && (a - b).abs() > NOTHING {
                let text =
                    |stated: Option<Stated>| stated.map_or_else(|| "nothing".to_owned(), |s| s.in_words());
                found.push(Difference { what, first: text(first), second: text(second), share });
            }
        }
        found
    }

    /// Units of length of two systems that are the same but for the kind of foot.
    #[must_use]
    pub fn kinds_of_foot(&self, other: &Self) -> Option<(LinearUnit, LinearUnit)> {
        let unit = |system: &Self| system.json().ok().and_then(|json| length_unit(unbound(&json)));
        let (own, theirs) = (unit(self)?, unit(other)?);
        let is_foot = |unit: &LinearUnit| (unit.metres / 0.3048 - 1.0).abs() < FEET;
        let kinds = is_foot(&own) && is_foot(&theirs) && (own.metres / theirs.metres - 1.0).abs() > SAME;
        (kinds && self.differences(other).iter().all(|d| d.share < FEET)).then_some((own, theirs))
    }

    /// In what a definition with a registered code differs from what is registered under it; empty if in nothing, and
    /// if it has no code.
    #[must_use]
    pub fn contradictions(&self) -> Vec<Difference> {
        if !self.label().contains(':') {
            return Vec::new();
        }
        match Self::parse(self.label()) {
            Ok(registered) if !registered.same_horizontal(self) => self.differences(&registered),
            _ => Vec::new(),
        }
    }

    /// The same system without its code, so that nothing looks its numbers up by it.
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if the library can't read its own text.
    pub fn without_code(&self) -> Result<Self, CrsError> {
        let mut whole = self.json()?;
        let core = if whole.get("source_crs").is_some() { &mut whole["source_crs"] } else { &mut whole };
        let name = core.get("name").and_then(Value::as_str).unwrap_or("unnamed");
        let name = format!("{name} (not as registered)");
        if let Some(members) = core.as_object_mut() {
            members.remove("id");
            members.insert("name".to_owned(), Value::String(name));
            if let Some(conversion) = members.get_mut("conversion").and_then(Value::as_object_mut) {
                conversion.remove("id");
            }
        }
        self.with_horizontal(&whole)
    }

    fn json(&self) -> Result<Value, CrsError> {
        serde_json::from_str(self.horizontal())
            .map_err(|e| CrsError::NotUnderstood { text: self.label().to_owned(), reason: e.to_string() })
    }
}

impl Stated {
    fn in_words(&self) -> String {
        format!("{} {}", self.value, self.unit).trim_end().to_owned()
    }
}

/// Name of the projection's method.
fn method(core: &Value) -> Option<String> {
    core.pointer("/conversion/method/name").and_then(Value::as_str).map(str::to_lowercase)
}

/// All numbers of a system, by name.
fn numbers(core: &Value) -> BTreeMap<String, Stated> {
    let mut all = BTreeMap::new();
    let parameters = core.pointer("/conversion/parameters").and_then(Value::as_array);
    for parameter in parameters.into_iter().flatten() {
        let name = parameter.get("name").and_then(Value::as_str).unwrap_or_default().to_lowercase();
        let unit = parameter.get("unit").cloned().unwrap_or_default();
        if let Some(value) = parameter.get("value").and_then(Value::as_f64) {
            all.insert(name, stated(value, &unit));
        }
    }
    if let Some(LinearUnit { name, metres }) = length_unit(core) {
        let unit = format!("m ({name})");
        all.insert("unit of length".to_owned(), Stated { value: metres, unit, plain: metres });
    }
    let Some(base) = base(core) else { return all };
    let datum = base.get("datum").or_else(|| base.get("datum_ensemble"));
    if let Some(ellipsoid) = datum.and_then(|d| d.get("ellipsoid")) {
        let length = |member: &str| with_unit(ellipsoid.get(member)?, "metre");
        let long = length("semi_major_axis").or_else(|| length("radius"));
        let short = length("semi_minor_axis");
        let given = ellipsoid.get("inverse_flattening").and_then(Value::as_f64);
        let derived = || Some(long.as_ref()?.plain / (long.as_ref()?.plain - short.as_ref()?.plain));
        if let Some(value) = given.or_else(derived) {
            all.insert("inverse flattening".to_owned(), stated(value, &Value::Null));
        }
        all.extend(long.map(|long| ("semi-major axis".to_owned(), long)));
    }
    let meridian = datum.and_then(|d| d.pointer("/prime_meridian/longitude"));
    all.extend(meridian.and_then(|m| with_unit(m, "degree")).map(|m| ("prime meridian".to_owned(), m)));
    all
}

/// A number, or an object of a number and its unit.
fn with_unit(member: &Value, default: &str) -> Option<Stated> {
    match member.as_f64() {
        Some(value) => Some(stated(value, &Value::String(default.to_owned()))),
        None => Some(stated(member.get("value")?.as_f64()?, member.get("unit")?)),
    }
}

fn stated(value: f64, unit: &Value) -> Stated {
    let (name, factor) = match unit.as_str() {
        Some("degree") => ("degree", DEGREE),
        Some("metre") => ("m", 1.0),
        Some(_) => ("", 1.0),
        None => (
            unit.get("name").and_then(Value::as_str).unwrap_or_default(),
            unit.get("conversion_factor").and_then(Value::as_f64).unwrap_or(1.0),
        ),
    };
    Stated { value, unit: name.to_owned(), plain: value * factor }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> CrsDefinition {
        CrsDefinition::parse(text).unwrap()
    }

    /// UTM zone 17 north with another false easting under its own code.
    fn shifted() -> CrsDefinition {
        let text = parse("EPSG:26917").horizontal().replace("500000", "500100");
        parse(&text)
    }

    // EPSG method 9807: UTM has a false easting of 500,000 m.
    #[test]
    fn a_changed_parameter_contradicts_the_code_until_the_code_is_dropped() {
        let found = shifted().contradictions();
        let texts: Vec<(&str, &str, &str)> =
            found.iter().map(|d| (d.what.as_str(), d.first.as_str(), d.second.as_str())).collect();
        assert_eq!(texts, [("false easting", "500100 m", "500000 m")]);
        let bare = shifted().without_code().unwrap();
        assert_eq!(bare.label(), "NAD83 / UTM zone 17N (not as registered)");
        assert!(bare.contradictions().is_empty());
        assert_eq!(bare.differences(&shifted()), []);
    }

    #[test]
    fn what_is_registered_contradicts_nothing() {
        for code in
            ["EPSG:26917", "EPSG:2264", "EPSG:2269", "EPSG:4269", "EPSG:4807", "EPSG:3857", "EPSG:27700"]
        {
            assert_eq!(parse(code).contradictions(), [], "{code}");
        }
    }

    // EPSG registry: 2269 is Oregon North in international feet, 32126 the same projection in metres.
    #[test]
    fn the_two_feet_are_told_apart_and_nothing_else_is_taken_for_them() {
        let international = parse("EPSG:2269");
        let survey = parse(
            "+proj=lcc +lat_0=43.6666666666667 +lon_0=-120.5 +lat_1=46 +lat_2=44.3333333333333 \
             +x_0=2500000.0001424 +y_0=0 +datum=NAD83 +units=us-ft +no_defs +type=crs",
        );
        let (own, theirs) = international.kinds_of_foot(&survey).unwrap();
        assert!((own.metres - 0.3048).abs() < 1e-12 && (theirs.metres - 1200.0 / 3937.0).abs() < 1e-12);
        assert_eq!(international.kinds_of_foot(&international), None);
        assert_eq!(international.kinds_of_foot(&parse("EPSG:32126")), None);
        // Another zone in the other foot differs by more than its foot.
        assert_eq!(international.kinds_of_foot(&parse("EPSG:2264")), None);
    }
}
