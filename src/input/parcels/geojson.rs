//! What GeoJSON says outside its features' properties: the old `crs` member and the ids of features.

use super::open::Layer;
use crate::warning::Warning;
use serde::Deserialize;
use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

/// The old member that names the coordinate system.
#[derive(Deserialize)]
struct Outside {
    #[serde(default, deserialize_with = "present")]
    crs: Option<serde_json::Value>,
    #[serde(default)]
    features: Vec<OnlyId>,
}

#[derive(Deserialize)]
struct OnlyId {
    #[serde(default)]
    id: serde_json::Value,
}

/// Keeps a member that is there but null apart from one that is absent.
fn present<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Option<serde_json::Value>, D::Error> {
    serde_json::Value::deserialize(from).map(Some)
}

fn outside(path: &Path) -> Option<Outside> {
    let mut reader = BufReader::new(File::open(path).ok()?);
    if reader.fill_buf().ok()?.starts_with(&[0xef, 0xbb, 0xbf]) {
        reader.consume(3);
    }
    serde_json::from_reader(reader).ok()
}

/// A note if the file carries the old member.
pub(crate) fn old_member(layer: &Layer) -> Option<Warning> {
    if layer.driver != "GeoJSON" {
        return None;
    }
    let member = outside(&layer.path)?.crs?;
    let label = layer.crs.as_ref().map_or("none at all", |c| c.label());
    let name = member.pointer("/properties/name").and_then(serde_json::Value::as_str).unwrap_or("null");
    Some(Warning::new(
        "geojson-crs-member",
        format!(
            "{} has a crs member (\"{name}\"), as GeoJSON did before 2016; read as {label}",
            layer.path.display()
        ),
        "save it as GeoJSON of RFC 7946 (longitude and latitude, no crs member)",
    ))
}

/// Ids of the features that were read (counted from 1), if all have one and they differ.
pub(crate) fn feature_ids(layer: &Layer, read: impl Iterator<Item = usize>) -> Option<Vec<Option<String>>> {
    if layer.driver != "GeoJSON" {
        return None;
    }
    let all = outside(&layer.path)?.features;
    let ids: Vec<Option<String>> = read
        .map(|feature| match &all.get(feature - 1)?.id {
            serde_json::Value::String(text) => Some(text.clone()),
            serde_json::Value::Number(number) => Some(number.to_string()),
            _ => None,
        })
        .collect();
    let unique = super::fields::values(ids.iter().map(Option::as_deref)) == super::fields::Values::Unique;
    unique.then_some(ids)
}
