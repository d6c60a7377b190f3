//! `assessment.gpkg`: a layer for each kind of mark, in the working coordinate system, with typed fields and without looks.

use super::super::bundle::Bundle;
use super::super::error::OutputError;
use super::super::mark::{Mark, Shape};
use super::super::style::is_look;
use crate::crs::WorkingCrs;
use gdal::errors::GdalError;
use gdal::spatial_ref::{AxisMappingStrategy, SpatialRef};
use gdal::vector::{
    Defn, Feature, FieldDefn, Geometry, Layer, LayerOptions, OGRFieldType, OGRwkbGeometryType, ToGdal,
};
use gdal::{DriverManager, config};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::path::Path;

/// Name of the file.
pub(super) const FILE: &str = "assessment.gpkg";
/// Tables say when they were changed last: the same result has the same bytes.
pub(super) const NO_DATE: (&str, &str) = ("OGR_CURRENT_DATE", "1970-01-01T00:00:00.000Z");

/// What a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Whole,
    Number,
    /// Text; lists as JSON.
    Text,
}

/// Rows without a place.
pub(in crate::output) struct Sheet {
    /// Name of the table.
    pub(in crate::output) name: &'static str,
    /// Its rows.
    pub(in crate::output) rows: Vec<Map<String, Value>>,
}

/// Writes a file of marks, one layer a kind, and of sheets.
///
/// # Errors
/// [`OutputError::Package`].
pub(in crate::output) fn write_package(
    bundle: &Bundle,
    file: &str,
    crs: &WorkingCrs,
    marks: &[&Mark],
    sheets: &[Sheet],
) -> Result<(), OutputError> {
    let mut kinds: BTreeMap<(&str, &str), Vec<&Mark>> = BTreeMap::new();
    for mark in marks {
        kinds.entry((mark.kind, geometry_name(&mark.shape))).or_default().push(mark);
    }
    let written = config::set_thread_local_config_option(NO_DATE.0, NO_DATE.1)
        .and_then(|()| write_layers(&bundle.staging().join(file), crs, &kinds, sheets));
    // Whatever came of it: the option is the thread's, not the file's.
    let cleared = config::clear_thread_local_config_option(NO_DATE.0);
    written.and(cleared).map_err(|cause| OutputError::Package { path: bundle.place(file), cause })
}

fn write_layers(
    path: &Path,
    crs: &WorkingCrs,
    kinds: &BTreeMap<(&str, &str), Vec<&Mark>>,
    sheets: &[Sheet],
) -> Result<(), GdalError> {
    let reference = reference(crs)?;
    let mut dataset = DriverManager::get_driver_by_name("GPKG")?.create_vector_only(path)?;
    let mut all = dataset.start_transaction()?;
    for ((kind, geometry), marks) in kinds {
        let several = kinds.keys().filter(|(other, _)| other == kind).count() > 1;
        let name = if several { format!("{kind}-{geometry}") } else { (*kind).to_owned() };
        let ty = geometry_type(&marks[0].shape);
        let layer =
            all.create_layer(LayerOptions { name: &name, srs: Some(&reference), ty, options: None })?;
        let rows = marks.iter().map(|mark| (Some(&mark.shape), &mark.properties));
        fill(&layer, &rows.collect::<Vec<_>>())?;
    }
    for sheet in sheets {
        let ty = OGRwkbGeometryType::wkbNone;
        let layer = all.create_layer(LayerOptions { name: sheet.name, srs: None, ty, options: None })?;
        fill(&layer, &sheet.rows.iter().map(|row| (None, row)).collect::<Vec<_>>())?;
    }
    all.commit()?;
    dataset.close()
}

/// Gives a layer its fields and rows.
fn fill(layer: &Layer<'_>, rows: &[(Option<&Shape>, &Map<String, Value>)]) -> Result<(), GdalError> {
    let fields = fields(rows.iter().map(|(_, row)| *row));
    for (name, kind) in &fields {
        FieldDefn::new(name, kind.field_type())?.add_to_layer(layer)?;
    }
    let definition = Defn::from_layer(layer);
    for (shape, row) in rows {
        let mut feature = Feature::new(&definition)?;
        if let Some(geometry) = shape.map(geometry_of).transpose()?.flatten() {
            feature.set_geometry(geometry)?;
        }
        for (name, kind) in &fields {
            kind.set(&mut feature, definition.field_index(name)?, row.get(*name))?;
        }
        feature.create(layer)?;
    }
    Ok(())
}

/// The coordinate system: by its code where it has one, since its text hangs on where it was read from.
fn reference(crs: &WorkingCrs) -> Result<SpatialRef, GdalError> {
    let found = match crs.label().split_once(':') {
        Some(("EPSG", code)) => code.parse().ok().map(SpatialRef::from_epsg),
        _ => None,
    };
    let mut found = found.unwrap_or_else(|| SpatialRef::from_wkt(crs.wkt()))?;
    found.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    Ok(found)
}

/// Fields of a layer's rows in order, with what each must hold.
fn fields<'a>(rows: impl Iterator<Item = &'a Map<String, Value>>) -> BTreeMap<&'a str, Kind> {
    let mut found: BTreeMap<&str, Kind> = BTreeMap::new();
    for (name, value) in rows.flatten().filter(|(name, _)| !is_look(name)) {
        let kind = match value {
            Value::Null => continue,
            Value::Bool(_) => Kind::Whole,
            Value::Number(number) if number.is_u64() || number.is_i64() => Kind::Whole,
            Value::Number(_) => Kind::Number,
            Value::String(_) | Value::Array(_) | Value::Object(_) => Kind::Text,
        };
        found.entry(name).and_modify(|before| *before = before.with(kind)).or_insert(kind);
    }
    found
}

impl Kind {
    /// What holds both.
    const fn with(self, other: Self) -> Self {
        match (self, other) {
            (Self::Text, _) | (_, Self::Text) => Self::Text,
            (Self::Number, _) | (_, Self::Number) => Self::Number,
            (Self::Whole, Self::Whole) => Self::Whole,
        }
    }

    const fn field_type(self) -> OGRFieldType::Type {
        match self {
            Self::Whole => OGRFieldType::OFTInteger64,
            Self::Number => OGRFieldType::OFTReal,
            Self::Text => OGRFieldType::OFTString,
        }
    }

    fn set(self, feature: &mut Feature<'_>, field: usize, value: Option<&Value>) -> Result<(), GdalError> {
        let Some(value) = value.filter(|value| !value.is_null()) else {
            return feature.set_field_null(field);
        };
        match (self, value) {
            (Self::Whole, Value::Bool(yes)) => feature.set_field_integer64(field, i64::from(*yes)),
            (Self::Whole, _) => feature.set_field_integer64(field, value.as_i64().unwrap_or(i64::MAX)),
            (Self::Number, _) => feature.set_field_double(field, value.as_f64().unwrap_or(f64::NAN)),
            (Self::Text, Value::String(text)) => feature.set_field_string(field, text),
            (Self::Text, _) => feature.set_field_string(field, &value.to_string()),
        }
    }
}

const fn geometry_name(shape: &Shape) -> &'static str {
    match shape {
        Shape::Point(_) => "points",
        Shape::Lines(_) => "lines",
        Shape::Area(_) => "areas",
    }
}

const fn geometry_type(shape: &Shape) -> OGRwkbGeometryType::Type {
    match shape {
        Shape::Point(_) => OGRwkbGeometryType::wkbPoint,
        Shape::Lines(_) => OGRwkbGeometryType::wkbMultiLineString,
        Shape::Area(_) => OGRwkbGeometryType::wkbMultiPolygon,
    }
}

/// Nothing where there is nothing to draw.
fn geometry_of(shape: &Shape) -> Result<Option<Geometry>, GdalError> {
    match shape {
        Shape::Point(at) => geo::Point::from(*at).to_gdal().map(Some),
        Shape::Lines(lines) if lines.0.is_empty() => Ok(None),
        Shape::Lines(lines) => lines.to_gdal().map(Some),
        Shape::Area(area) if area.0.is_empty() => Ok(None),
        Shape::Area(area) => area.to_gdal().map(Some),
    }
}
