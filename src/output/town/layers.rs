//! `lots.geojson` and `lots.gpkg`: the lots with all their figures; the package holds the pairs as well.

use super::fields::{Field, of_lot, of_pair, pairs};
use super::map::colour;
use crate::error::Error;
use crate::output::bundle::Bundle;
use crate::output::error::OutputError;
use crate::output::geometry::Writer;
use crate::output::handover::{Sheet, TOWN_PACKAGE, write_package};
use crate::output::mark::{Mark, Shape};
use crate::output::style;
use crate::pipeline::Screening;
use geojson::{Feature, FeatureCollection};
use serde_json::{Map, Value};

/// Writes both files.
pub(super) fn write(bundle: &Bundle, screening: &Screening<'_>) -> Result<(), Error> {
    let marks = lots(screening);
    let writer = Writer::new(&screening.site.crs);
    let features: Result<Vec<Option<Feature>>, OutputError> =
        marks.iter().map(|mark| mark.feature(writer)).collect();
    let all = FeatureCollection {
        bbox: None,
        features: features?.into_iter().flatten().collect(),
        foreign_members: None,
    };
    let text = serde_json::to_string_pretty(&all)
        .map_err(|cause| OutputError::Json { what: "lots.geojson", cause })?;
    bundle.write("lots.geojson", &(text + "\n"))?;
    let rows = pairs(screening).map(|pair| map(of_pair(screening, pair))).collect();
    let sheets = [Sheet { name: "pairs", rows }];
    write_package(bundle, TOWN_PACKAGE, &screening.site.crs, &marks.iter().collect::<Vec<_>>(), &sheets)?;
    Ok(())
}

/// The lots that were asked for, coloured by their class.
fn lots(screening: &Screening<'_>) -> Vec<Mark> {
    let rules = &screening.settings.rules;
    let mark = |&place: &usize| {
        let lot = &screening.lots[place];
        let mut properties = map(of_lot(screening, lot));
        style::line(&mut properties, "#4d4453", 1.0);
        style::fill(&mut properties, colour(rules, rules.rank(&lot.classed)), 0.7);
        let outline = &screening.site.parcels.parcels()[lot.parcel].outline;
        Mark::listed("lots", Shape::area(outline), properties)
    };
    screening.listed.iter().map(mark).collect()
}

fn map(fields: Vec<Field>) -> Map<String, Value> {
    fields.into_iter().collect()
}
