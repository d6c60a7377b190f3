//! From features to lots: key, kept fields, outline.

use super::areas::stating_field;
use super::fields::{self, Values};
use super::open::{Layer, dataset};
use super::wkb::{self, Shape};
use crate::input::error::InputError;
use crate::input::place::Bounds;
use crate::input::setup::{Gravity, take_messages};
use crate::input::{AxisOrder, ParcelOptions};
use crate::units::Area;
use crate::warning::{Warned, Warning};
use gdal::vector::{Feature, FieldValue, LayerAccess};
use geo::{BoundingRect, MapCoords, MultiPolygon};
use std::collections::BTreeMap;

/// One polygon feature, in the file's coordinate system.
#[derive(Debug, Clone)]
pub(crate) struct RawLot {
    /// Its key.
    pub(crate) id: String,
    /// Values of the fields to keep.
    pub(crate) kept: Vec<(String, String)>,
    /// Its outline; `None` if it lies too far away to matter.
    pub(crate) outline: Option<MultiPolygon<f64>>,
    /// Its extent.
    pub(crate) bounds: Bounds,
    /// The area that the table states.
    pub(crate) stated: Option<Area>,
}

/// All polygon features of a layer.
#[derive(Debug)]
pub(crate) struct RawLots {
    /// The lots, in the file's order.
    pub(crate) lots: Vec<RawLot>,
    /// Name of the field that the ids come from.
    pub(crate) id_field: String,
    /// Name of the field that states areas, if there is one.
    pub(crate) area_field: Option<String>,
    /// Features without a usable polygon, counted by what they have instead.
    pub(crate) skipped: Skipped,
}

/// A feature before the key is chosen.
struct Item {
    keys: Vec<Option<String>>,
    kept: Vec<(String, String)>,
    outline: Option<MultiPolygon<f64>>,
    bounds: Bounds,
    feature: usize,
}

/// Reads all features; outlines are kept only where they meet one of the `near` boxes (everywhere if there is none).
pub(crate) fn read(
    layer: &Layer,
    options: &ParcelOptions,
    near: &[Bounds],
) -> Result<Warned<RawLots>, InputError> {
    let keys = key_fields(layer, options)?;
    let stating = stating_field(&layer.fields);
    let wanted: Vec<usize> = keys.iter().copied().chain(stating.map(|(field, _)| field)).collect();
    let keep = keep_fields(layer, options)?;
    let mut skipped = BTreeMap::new();
    let (items, mut warnings) = features(layer, options, &wanted, &keep, near, &mut skipped)?;
    if items.is_empty() {
        return Err(no_polygons(layer, &skipped));
    }
    if !skipped.is_empty() {
        warnings.push(Warning::new(
            "features-skipped",
            format!("{}: skipped features without a polygon: {}", layer.path.display(), tally(&skipped)),
            "only polygons can be lots",
        ));
    }
    let (id_field, ids) = choose_key(layer, options, &keys, &items)?;
    let lacking = ids.iter().filter(|id| id.is_none()).count();
    if lacking > 0 {
        warnings.push(Warning::new(
            "ids-missing",
            format!(
                "{lacking} lots have no value in {id_field}; they are named after their place in the file"
            ),
            "complete the field, or name another one with --id-field",
        ));
    }
    let lots = items
        .into_iter()
        .zip(ids)
        .map(|(item, id)| RawLot {
            id: id.unwrap_or_else(|| format!("(feature {})", item.feature)),
            stated: stated(&item, keys.len(), stating),
            kept: item.kept,
            outline: item.outline,
            bounds: item.bounds,
        })
        .collect();
    let area_field = stating.map(|(field, _)| layer.fields[field].clone());
    Ok(Warned::new(RawLots { lots, id_field, area_field, skipped }, warnings))
}

/// The area that a feature's table states, its value standing at `place`.
fn stated(item: &Item, place: usize, stating: Option<(usize, Area)>) -> Option<Area> {
    let (_, unit) = stating?;
    let value: f64 = item.keys.get(place)?.as_ref()?.trim().parse().ok()?;
    value.is_finite().then(|| Area::from_m2(value * unit.as_m2()))
}

/// Reads all features near the `near` boxes without telling them apart: they are named after their place in the file.
pub(crate) fn read_plain(
    layer: &Layer,
    options: &ParcelOptions,
    near: &[Bounds],
) -> Result<Warned<Vec<RawLot>>, InputError> {
    let keep = keep_fields(layer, options)?;
    let mut skipped = BTreeMap::new();
    let (items, mut warnings) = features(layer, options, &[], &keep, near, &mut skipped)?;
    if items.is_empty() {
        return Err(no_polygons(layer, &skipped));
    }
    if !skipped.is_empty() {
        warnings.push(Warning::new(
            "features-skipped",
            format!("{}: skipped features without a polygon: {}", layer.path.display(), tally(&skipped)),
            "only polygons cover ground",
        ));
    }
    let lots = items.into_iter().map(|item| RawLot {
        id: format!("feature {}", item.feature),
        stated: None,
        kept: item.kept,
        outline: item.outline,
        bounds: item.bounds,
    });
    Ok(Warned::new(lots.collect(), warnings))
}

fn no_polygons(layer: &Layer, skipped: &Skipped) -> InputError {
    InputError::NoShapes { path: layer.path.clone(), what: "polygons", tally: tally(skipped) }
}

/// Counts of features that are no lots.
pub(crate) type Skipped = BTreeMap<NoLot, usize>;

/// What a feature has instead of a polygon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum NoLot {
    Point,
    Line,
    SurfaceInSpace,
    /// No shape at all.
    Null,
    /// A shape without a position.
    Empty,
    /// Bytes that make no sense.
    Damaged,
    /// A coordinate that is no number.
    NotANumber,
}

impl NoLot {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Line => "line",
            Self::SurfaceInSpace => "surface in space",
            Self::Null => "null",
            Self::Empty => "empty",
            Self::Damaged => "damaged",
            Self::NotANumber => "without numbers as coordinates",
        }
    }

    /// The name after a count.
    const fn counted(self, count: usize) -> &'static str {
        match (self, count) {
            (_, 1) => self.name(),
            (Self::Point, _) => "points",
            (Self::Line, _) => "lines",
            (Self::SurfaceInSpace, _) => "surfaces in space",
            _ => self.name(),
        }
    }
}

fn tally(skipped: &Skipped) -> String {
    if skipped.is_empty() {
        return "0 features".to_owned();
    }
    let counts: Vec<String> =
        skipped.iter().map(|(what, &count)| format!("{count} {}", what.counted(count))).collect();
    counts.join(", ")
}

/// The fields that may be the key: the one named, or all with usual names.
fn key_fields(layer: &Layer, options: &ParcelOptions) -> Result<Vec<usize>, InputError> {
    match &options.id_field {
        None => Ok((0..layer.fields.len()).filter(|&i| fields::is_usual(&layer.fields[i])).collect()),
        Some(wanted) => match fields::find(&layer.fields, wanted) {
            Some(index) => Ok(vec![index]),
            None => Err(InputError::IdField {
                path: layer.path.clone(),
                reason: format!("there is no field \"{wanted}\""),
                fields: layer.fields.clone(),
            }),
        },
    }
}

fn keep_fields(layer: &Layer, options: &ParcelOptions) -> Result<Vec<(String, usize)>, InputError> {
    let unknown = |field: &String| InputError::KeepField {
        path: layer.path.clone(),
        field: field.clone(),
        fields: layer.fields.clone(),
    };
    options
        .keep_fields
        .iter()
        .map(|field| Ok((field.clone(), fields::find(&layer.fields, field).ok_or_else(|| unknown(field))?)))
        .collect()
}

type Items = (Vec<Item>, Vec<Warning>);

fn features(
    layer: &Layer,
    options: &ParcelOptions,
    keys: &[usize],
    keep: &[(String, usize)],
    near: &[Bounds],
    skipped: &mut Skipped,
) -> Result<Items, InputError> {
    let broken =
        |reason: String| InputError::Incomplete { path: layer.path.clone(), at: String::new(), reason };
    let data = dataset(&layer.open, &layer.options).map_err(broken)?;
    let mut source = data.layer_by_name(&layer.name).map_err(|e| broken(e.to_string()))?;
    let promised = source.try_feature_count();
    take_messages();
    let (mut items, mut count, mut garbled) = (Vec::new(), 0_usize, 0_usize);
    for feature in source.features() {
        count += 1;
        let outline = match outline(&feature) {
            Ok(found) => swap(found, options.axes),
            Err(what) => {
                *skipped.entry(what).or_default() += 1;
                continue;
            }
        };
        let Some(bounds) = Bounds::of(&outline) else {
            *skipped.entry(NoLot::NotANumber).or_default() += 1;
            continue;
        };
        let text = |index: usize| text(&feature, index);
        let keys: Vec<Option<String>> = keys.iter().map(|&i| text(i)).collect();
        let kept: Vec<(String, String)> =
            keep.iter().map(|(name, i)| (name.clone(), text(*i).unwrap_or_default())).collect();
        let is_garbled = |value: &str| value.contains(char::REPLACEMENT_CHARACTER);
        garbled += usize::from(
            keys.iter().flatten().any(|v| is_garbled(v)) || kept.iter().any(|(_, v)| is_garbled(v)),
        );
        let is_near = near.is_empty() || near.iter().any(|n| n.meets(bounds));
        items.push(Item { keys, kept, outline: is_near.then_some(outline), bounds, feature: count });
    }
    let failure = take_messages().into_iter().find(|m| m.gravity == Gravity::Failure);
    let cut = promised.filter(|&p| p > count as u64);
    if let Some(promised) = cut {
        let reason = failure.map_or_else(String::new, |m| format!(": {}", m.text));
        return Err(broken(format!("only {count} of {promised} features can be read{reason}")));
    }
    let mut warnings = Vec::new();
    if let Some(message) = failure {
        warnings.push(Warning::new(
            "parcels-damaged",
            format!("{}: {}", layer.path.display(), message.text),
            "check the file; lots may be missing",
        ));
    }
    if garbled > 0 {
        warnings.push(Warning::new(
            "text-garbled",
            format!(
                "{}: the text of {garbled} lots isn't in the encoding that the file declares",
                layer.path.display()
            ),
            "correct the .cpg file, or save the parcels as GeoPackage",
        ));
    }
    Ok((items, warnings))
}

/// A field as text. Whole numbers in fields of real numbers lose their zeros: `29148`, not `29148.000000`.
pub(crate) fn text(feature: &Feature<'_>, index: usize) -> Option<String> {
    // A field that isn't there reads as empty text, but as the number 0.
    let plain = feature.field_as_string(index).ok().flatten().filter(|text| !text.is_empty())?;
    match feature.field(index) {
        Ok(Some(FieldValue::RealValue(number))) if number.fract() == 0.0 && number.abs() < 1e15 => {
            Some(format!("{number:.0}"))
        }
        _ => Some(plain),
    }
}

/// The polygons of a feature, or what it has instead.
fn outline(feature: &Feature<'_>) -> Result<MultiPolygon<f64>, NoLot> {
    // Asking for the first of several tells a slot without a shape from a shape.
    let Ok(geometry) = feature.geometry_by_index(0) else { return Err(NoLot::Null) };
    let Ok(bytes) = geometry.iso_wkb() else { return Err(NoLot::Damaged) };
    match wkb::read(&bytes) {
        Some(Shape::Polygons(polygons)) => Ok(polygons),
        Some(Shape::Empty) => Err(NoLot::Empty),
        Some(Shape::Other("point")) => Err(NoLot::Point),
        Some(Shape::Other("line")) => Err(NoLot::Line),
        Some(Shape::Other(_)) => Err(NoLot::SurfaceInSpace),
        None => Err(NoLot::Damaged),
    }
}

fn swap(outline: MultiPolygon<f64>, axes: AxisOrder) -> MultiPolygon<f64> {
    match axes {
        AxisOrder::AsStored => outline,
        AxisOrder::Swapped => outline.map_coords(|c| geo::Coord { x: c.y, y: c.x }),
    }
}

type Keys = (String, Vec<Option<String>>);

/// Settles the key: the field named, else the first usual one whose values are unique, else the ids of the features.
fn choose_key(
    layer: &Layer,
    options: &ParcelOptions,
    keys: &[usize],
    items: &[Item],
) -> Result<Keys, InputError> {
    let column = |k: usize| -> Vec<Option<String>> {
        items.iter().map(|i| i.keys[k].clone().filter(|v| !v.trim().is_empty())).collect()
    };
    if options.id_field.is_some() {
        return Ok((layer.fields[keys[0]].clone(), column(0)));
    }
    let mut faults = Vec::new();
    for (k, &index) in keys.iter().enumerate() {
        match fields::values(items.iter().map(|i| i.keys[k].as_deref())) {
            Values::Unique => return Ok((layer.fields[index].clone(), column(k))),
            Values::Repeated => faults.push(format!("{} has repeated values", layer.fields[index])),
            Values::Lacking => faults.push(format!("{} is often empty", layer.fields[index])),
        }
    }
    if let Some(ids) = super::geojson::feature_ids(layer, items.iter().map(|i| i.feature)) {
        return Ok(("id of the feature".to_owned(), ids));
    }
    let mut reason = if faults.is_empty() {
        "no field has a name that keys usually have".to_owned()
    } else {
        format!("no field tells the lots apart ({})", faults.join(", "))
    };
    let fitting = fitting_fields(layer, options)?;
    if !fitting.is_empty() {
        reason = format!("{reason}; each lot has its own value in {}", fitting.join(", "));
    }
    let shown = if layer.fields.is_empty() { vec!["none at all".to_owned()] } else { layer.fields.clone() };
    Err(InputError::IdField { path: layer.path.clone(), reason, fields: shown })
}

/// The fields that would do as a key, whatever their names.
fn fitting_fields(layer: &Layer, options: &ParcelOptions) -> Result<Vec<String>, InputError> {
    let all: Vec<usize> = (0..layer.fields.len()).collect();
    let nowhere = [Bounds { west: 1.0, south: 1.0, east: 0.0, north: 0.0 }];
    let (items, _) = features(layer, options, &all, &[], &nowhere, &mut BTreeMap::new())?;
    let fits = |k: &usize| fields::values(items.iter().map(|i| i.keys[*k].as_deref())) == Values::Unique;
    Ok(all.iter().filter(|k| fits(k)).map(|&k| layer.fields[k].clone()).collect())
}

impl Bounds {
    /// The extent of an outline; `None` if a coordinate is no number.
    fn of(outline: &MultiPolygon<f64>) -> Option<Self> {
        use geo::CoordsIter;
        let finite = outline.coords_iter().all(|c| c.x.is_finite() && c.y.is_finite());
        let rect = outline.bounding_rect().filter(|_| finite)?;
        Some(Self { west: rect.min().x, south: rect.min().y, east: rect.max().x, north: rect.max().y })
    }
}
