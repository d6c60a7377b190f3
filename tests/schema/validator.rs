//! The keywords of JSON Schema (draft 2020-12) that our schema uses; any other stops the test.
//!
//! A library for all of JSON Schema brings a few dozen crates along; these keywords take a page.

use serde_json::{Map, Value};

/// A schema whose `$ref`s point into its own `$defs`.
pub(crate) struct Schema {
    root: Value,
}

impl Schema {
    /// Reads a schema.
    pub(crate) fn new(text: &str) -> Self {
        Self { root: serde_json::from_str(text).expect("the schema is JSON") }
    }

    /// What is wrong with a document, each fault with its place.
    pub(crate) fn faults(&self, document: &Value) -> Vec<String> {
        let mut faults = Vec::new();
        self.check(&self.root, document, "", &mut faults);
        faults
    }

    fn check(&self, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
        let keywords = schema.as_object().unwrap_or_else(|| panic!("{at}: {schema} is no schema"));
        for (keyword, rule) in keywords {
            let fine = match keyword.as_str() {
                "$schema" | "$defs" | "title" | "description" => true,
                "$ref" => {
                    self.check(self.resolve(rule), value, at, faults);
                    true
                }
                "type" => has_type(rule, value),
                "const" => value == rule,
                "enum" => list(rule).contains(value),
                "anyOf" => list(rule).iter().any(|choice| {
                    let mut found = Vec::new();
                    self.check(choice, value, at, &mut found);
                    found.is_empty()
                }),
                "minimum" => value.as_f64().is_none_or(|v| v >= number(rule)),
                "exclusiveMinimum" => value.as_f64().is_none_or(|v| v > number(rule)),
                "maximum" => value.as_f64().is_none_or(|v| v <= number(rule)),
                "minLength" => value.as_str().is_none_or(|s| length(s) >= number(rule)),
                "maxLength" => value.as_str().is_none_or(|s| length(s) <= number(rule)),
                "minItems" => value.as_array().is_none_or(|a| count(a.len()) >= number(rule)),
                "maxItems" => value.as_array().is_none_or(|a| count(a.len()) <= number(rule)),
                "items" => {
                    for (place, item) in value.as_array().into_iter().flatten().enumerate() {
                        self.check(rule, item, &format!("{at}/{place}"), faults);
                    }
                    true
                }
                "required" => {
                    let missing = |name: &&Value| value.is_object() && value.get(text(name)).is_none();
                    faults.extend(
                        list(rule).iter().filter(missing).map(|name| format!("{at}: {name} missing")),
                    );
                    true
                }
                "properties" => {
                    for (name, item) in value.as_object().into_iter().flatten() {
                        if let Some(inner) = rule.get(name) {
                            self.check(inner, item, &format!("{at}/{name}"), faults);
                        }
                    }
                    true
                }
                "additionalProperties" => {
                    self.check_others(keywords, rule, value, at, faults);
                    true
                }
                other => panic!("{at}: the keyword {other} is not understood"),
            };
            if !fine {
                faults.push(format!("{at}: {value} breaks {keyword} {rule}"));
            }
        }
    }

    /// Properties that `properties` doesn't name.
    fn check_others(
        &self,
        keywords: &Map<String, Value>,
        rule: &Value,
        value: &Value,
        at: &str,
        faults: &mut Vec<String>,
    ) {
        let named = |name: &str| keywords.get("properties").is_some_and(|p| p.get(name).is_some());
        for (name, item) in value.as_object().into_iter().flatten().filter(|(name, _)| !named(name)) {
            match rule {
                Value::Bool(true) => {}
                Value::Bool(false) => faults.push(format!("{at}/{name}: not known")),
                schema => self.check(schema, item, &format!("{at}/{name}"), faults),
            }
        }
    }

    fn resolve(&self, reference: &Value) -> &Value {
        let place = text(reference).strip_prefix('#').expect("a reference into the schema itself");
        self.root.pointer(place).unwrap_or_else(|| panic!("{reference} leads nowhere"))
    }
}

fn has_type(rule: &Value, value: &Value) -> bool {
    let is = |name: &Value| match text(name) {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|v| v.fract() == 0.0),
        other => panic!("the type {other} is not understood"),
    };
    rule.as_array().map_or_else(|| is(rule), |all| all.iter().any(is))
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text"))
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap_or_else(|| panic!("{value} is no list"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn count(items: usize) -> f64 {
    f64::from(u32::try_from(items).expect("documents are small"))
}

fn length(text: &str) -> f64 {
    count(text.chars().count())
}
