//! One coordinate system, read from whatever text describes it.

use gdal::spatial_ref::{AxisMappingStrategy, SpatialRef};
use serde_json::Value;

/// Longitude and latitude on WGS 84.
const LONLAT: &str = "EPSG:4326";

/// A coordinate system that can't be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CrsError {
    /// The text isn't a coordinate system.
    #[error("\"{text}\" is not a coordinate system that the projection library knows ({reason})")]
    NotUnderstood {
        /// The text as given.
        text: String,
        /// The library's reason.
        reason: String,
    },
    /// No way leads from one system to the other.
    #[error("no operation leads from {from} to {to} ({reason})")]
    NoOperation {
        /// Label of the source.
        from: String,
        /// Label of the target.
        to: String,
        /// The library's reason.
        reason: String,
    },
    /// A point lies outside what the projection can express.
    #[error("the point {x}, {y} of {from} has no place in {to}")]
    OutsideDomain {
        /// First coordinate, as given.
        x: f64,
        /// Second coordinate, as given.
        y: f64,
        /// Label of the source.
        from: String,
        /// Label of the target.
        to: String,
    },
    /// The projection library doesn't find its own database.
    #[error("the projection library can't use its database proj.db: {reason}")]
    Installation {
        /// The library's reason, and the environment variables that point it elsewhere.
        reason: String,
    },
}

/// A unit of length as the coordinate system declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct LinearUnit {
    /// Name as declared.
    pub name: String,
    /// Metres in one unit, taken from the declared factor and never from the name.
    pub metres: f64,
}

/// The height axis of a compound coordinate system.
#[derive(Debug, Clone, PartialEq)]
pub struct VerticalAxis {
    /// Name of the vertical system.
    pub name: String,
    /// Its unit.
    pub unit: LinearUnit,
    /// Whether it counts downwards: depths, not heights.
    pub is_depth: bool,
}

/// What the horizontal axes measure.
#[derive(Debug, Clone, PartialEq)]
pub enum CrsKind {
    /// Angles on the earth.
    Geographic,
    /// Lengths on a map.
    Projected(LinearUnit),
    /// A building site's or an engineer's own grid, tied to nothing.
    Local,
    /// Anything else (earth-centred, vertical only, ...).
    Other,
}

/// A coordinate system, its vertical part set aside.
///
/// # Invariants
/// The horizontal part was understood by the projection library.
#[derive(Debug, Clone, PartialEq)]
pub struct CrsDefinition {
    label: String,
    kind: CrsKind,
    vertical: Option<VerticalAxis>,
    horizontal: String,
    geographic: Option<String>,
    area_of_use: Option<[f64; 4]>,
}

impl CrsDefinition {
    /// Reads an authority code, WKT, PROJJSON or a PROJ string.
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if the text is none of these.
    pub fn parse(text: &str) -> Result<Self, CrsError> {
        let failed = |reason: String| CrsError::NotUnderstood { text: text.to_owned(), reason };
        let reference = SpatialRef::from_definition(text.trim()).map_err(|e| failed(e.to_string()))?;
        Self::from_reference(&reference)
    }

    /// Longitude and latitude on WGS 84, as in GeoJSON.
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if the library's database is missing.
    pub fn lonlat() -> Result<Self, CrsError> {
        Self::parse(LONLAT)
    }

    /// Takes over what a data file declares.
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if the library can't describe its own object.
    pub fn from_reference(reference: &SpatialRef) -> Result<Self, CrsError> {
        let name = reference.name().unwrap_or_else(|| "unnamed".to_owned());
        let failed = |reason: String| CrsError::NotUnderstood { text: name.clone(), reason };
        let text = reference.to_projjson().map_err(|e| failed(e.to_string()))?;
        let whole: Value = serde_json::from_str(&text).map_err(|e| failed(e.to_string()))?;
        let (horizontal, vertical) = split(&whole);
        // Longitude first or latitude first makes no difference here, but the library's list of datum shifts does: between
        // NAD83 and the one it may choose another shift, a metre away, than between NAD83 and the other.
        if label(unbound(horizontal)) == "OGC:CRS84" {
            return Ok(Self { vertical: vertical.and_then(vertical_axis), ..Self::parse(LONLAT)? });
        }
        let core = unbound(horizontal);
        let area = if reference.is_compound() {
            SpatialRef::from_definition(&horizontal.to_string()).ok().and_then(|r| r.area_of_use())
        } else {
            reference.area_of_use()
        };
        Ok(Self {
            label: label(core),
            kind: kind(core),
            vertical: vertical.and_then(vertical_axis),
            horizontal: horizontal.to_string(),
            geographic: base(core).map(Value::to_string),
            area_of_use: area
                .map(|a| [a.west_lon_degree, a.south_lat_degree, a.east_lon_degree, a.north_lat_degree]),
        })
    }

    /// The same with another horizontal part, whose area of use is taken to be the same.
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if it isn't a system that the library knows.
    pub(super) fn with_horizontal(&self, part: &Value) -> Result<Self, CrsError> {
        let changed = Self::parse(&part.to_string())?;
        Ok(Self { vertical: self.vertical.clone(), area_of_use: self.area_of_use, ..changed })
    }

    /// Authority code (`EPSG:26917`) or, without one, the name.
    #[must_use]
    pub fn label(&self) -> &str {
        &self.label
    }

    /// What the horizontal axes measure.
    #[must_use]
    pub const fn kind(&self) -> &CrsKind {
        &self.kind
    }

    /// The height axis, if it is a compound system.
    #[must_use]
    pub const fn vertical(&self) -> Option<&VerticalAxis> {
        self.vertical.as_ref()
    }

    /// The horizontal part in PROJJSON.
    #[must_use]
    pub fn horizontal(&self) -> &str {
        &self.horizontal
    }

    /// The geographic system underneath, on the same datum.
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if there is none.
    pub fn geographic(&self) -> Result<Self, CrsError> {
        let none = || CrsError::NotUnderstood {
            text: self.label.clone(),
            reason: "it stands on no geographic system".to_owned(),
        };
        Self::parse(self.geographic.as_ref().ok_or_else(none)?)
    }

    /// West, south, east and north limits in degrees of where the system is meant to be used (west > east across 180).
    #[must_use]
    pub const fn area_of_use(&self) -> Option<[f64; 4]> {
        self.area_of_use
    }

    /// Well-known text of the horizontal part (version 1 where it can express the system).
    ///
    /// # Errors
    /// [`CrsError::NotUnderstood`] if the library can't write it.
    pub fn wkt(&self) -> Result<String, CrsError> {
        self.reference()?
            .to_wkt()
            .map_err(|e| CrsError::NotUnderstood { text: self.label.clone(), reason: e.to_string() })
    }

    /// The library's object, with x before y.
    pub(crate) fn reference(&self) -> Result<SpatialRef, CrsError> {
        let mut reference = SpatialRef::from_definition(&self.horizontal)
            .map_err(|e| CrsError::NotUnderstood { text: self.label.clone(), reason: e.to_string() })?;
        reference.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
        Ok(reference)
    }

    /// Whether both describe the same horizontal system.
    #[must_use]
    pub fn same_horizontal(&self, other: &Self) -> bool {
        if self.horizontal == other.horizontal {
            return true;
        }
        let (Ok(a), Ok(b)) = (self.reference(), other.reference()) else { return false };
        a == b
    }
}

/// Horizontal and vertical part.
fn split(whole: &Value) -> (&Value, Option<&Value>) {
    match whole.get("components").and_then(Value::as_array) {
        Some(parts) if !parts.is_empty() => (&parts[0], parts.get(1)),
        _ => (whole, None),
    }
}

/// The system inside a wrapper that carries datum shift parameters.
pub(super) fn unbound(system: &Value) -> &Value {
    system.get("source_crs").unwrap_or(system)
}

/// The geographic system underneath.
pub(super) fn base(core: &Value) -> Option<&Value> {
    match core.get("type").and_then(Value::as_str)? {
        "GeographicCRS" => Some(core),
        _ => core.get("base_crs").map(unbound),
    }
}

fn label(core: &Value) -> String {
    let registered = core.get("id").and_then(|id| {
        let number = id.get("code")?;
        let number = number.as_str().map_or_else(|| number.to_string(), str::to_owned);
        Some(format!("{}:{number}", id.get("authority")?.as_str()?))
    });
    let name = || core.get("name").and_then(Value::as_str).unwrap_or("unnamed").to_owned();
    registered.unwrap_or_else(name)
}

fn kind(core: &Value) -> CrsKind {
    match core.get("type").and_then(Value::as_str).unwrap_or_default() {
        "GeographicCRS" | "DerivedGeographicCRS" => CrsKind::Geographic,
        "ProjectedCRS" | "DerivedProjectedCRS" => {
            length_unit(core).map_or(CrsKind::Other, CrsKind::Projected)
        }
        "EngineeringCRS" => CrsKind::Local,
        _ => CrsKind::Other,
    }
}

fn vertical_axis(part: &Value) -> Option<VerticalAxis> {
    let core = unbound(part);
    let name = core.get("name").and_then(Value::as_str).unwrap_or("unnamed").to_owned();
    let direction = core.get("coordinate_system")?.get("axis")?.get(0)?.get("direction");
    let is_depth = direction.and_then(Value::as_str) == Some("down");
    Some(VerticalAxis { name, unit: length_unit(core)?, is_depth })
}

pub(super) fn length_unit(core: &Value) -> Option<LinearUnit> {
    let unit = core.get("coordinate_system")?.get("axis")?.get(0)?.get("unit")?;
    match unit.as_str() {
        Some("metre") => Some(LinearUnit { name: "metre".to_owned(), metres: 1.0 }),
        Some(_) => None,
        None => Some(LinearUnit {
            name: unit.get("name")?.as_str()?.to_owned(),
            metres: unit.get("conversion_factor")?.as_f64()?,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Units: EPSG registry 12, read through PROJ; factors of the two feet: NIST SP 811, B.6.
    #[test]
    fn units_come_from_the_declared_factor() {
        let unit = |text: &str| match CrsDefinition::parse(text).unwrap().kind() {
            CrsKind::Projected(unit) => unit.metres,
            other => panic!("{other:?}"),
        };
        assert!((unit("EPSG:26917") - 1.0).abs() < 1e-15);
        assert!((unit("EPSG:2264") - 1200.0 / 3937.0).abs() < 1e-15);
        assert!((unit("EPSG:2269") - 0.3048).abs() < 1e-15);
        assert_eq!(*CrsDefinition::parse("EPSG:4269").unwrap().kind(), CrsKind::Geographic);
    }

    #[test]
    fn a_compound_system_gives_its_two_parts() {
        let both = CrsDefinition::parse("EPSG:26917+5703").unwrap();
        assert_eq!(both.label(), "EPSG:26917");
        assert_eq!(both.vertical().unwrap().name, "NAVD88 height");
        assert!((both.vertical().unwrap().unit.metres - 1.0).abs() < 1e-15);
        assert!(!both.vertical().unwrap().is_depth);
        // EPSG:5715 is the depth below mean sea level (EPSG registry).
        assert!(CrsDefinition::parse("EPSG:26917+5715").unwrap().vertical().unwrap().is_depth);
        assert!(both.same_horizontal(&CrsDefinition::parse("EPSG:26917").unwrap()));
        assert!(!both.same_horizontal(&CrsDefinition::parse("EPSG:26918").unwrap()));
    }

    #[test]
    fn a_site_grid_and_nonsense_are_told_apart() {
        let site = CrsDefinition::parse("LOCAL_CS[\"Site grid (ft)\",UNIT[\"Foot\",0.3048]]").unwrap();
        assert_eq!(*site.kind(), CrsKind::Local);
        assert!(matches!(CrsDefinition::parse("EPSG:notacode"), Err(CrsError::NotUnderstood { .. })));
    }
}
