//! Where a result comes from.

use crate::input::InputDigest;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// Versions of what had a part in the numbers.
pub type Libraries = BTreeMap<&'static str, String>;

/// Inputs, settings and versions.
#[derive(Debug, Clone, Serialize)]
pub struct Provenance {
    /// Files, as typed, with their SHA-256.
    pub inputs: Vec<InputDigest>,
    /// Every option that has a part in the result, resolved.
    pub settings: Value,
    /// Versions.
    pub libraries: Libraries,
}

/// Versions of the libraries in use.
#[must_use]
pub fn libraries() -> Libraries {
    let proj = proj::ProjBuilder::new()
        .lib_info()
        .map_or_else(|_| "unknown".to_owned(), |info| info.version);
    BTreeMap::from([("gdal", gdal::version::VersionInfo::release_name()), ("proj", proj)])
}
