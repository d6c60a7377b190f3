//! The GeoJSON layers: one file per kind, and one with everything for a viewer.

use super::beside;
use super::error::OutputError;
use super::features;
use super::inlet_access;
use super::likelihood_lines::likelihood_lines;
use super::proof;
use super::screen::Units;
use super::slow_ground;
use super::storms;
use super::wanted_shots::wanted_shots;
use crate::pipeline::Assessment;
use geojson::{Feature, FeatureCollection};
use serde::Serialize;

/// Features by kind, styled.
#[derive(Debug, Clone)]
pub struct Layers {
    lot: Vec<Feature>,
    contributors: Vec<Feature>,
    crossings: Vec<Feature>,
    contributing_area: Vec<Feature>,
    flow_paths: Vec<Feature>,
    ponds: Vec<Feature>,
    interception_line: Vec<Feature>,
    inlets: Vec<Feature>,
    received: Vec<Feature>,
    discharge_ways: Vec<Feature>,
    overflow_ways: Vec<Feature>,
    near: Vec<Feature>,
    inlet_cuts: Vec<Feature>,
    /// With repeats under elevation error.
    sureness: Option<Sureness>,
}

/// What the repeats show.
#[derive(Debug, Clone)]
struct Sureness {
    likelihood_lines: Vec<Feature>,
    wanted_shots: Vec<Feature>,
}

impl Layers {
    pub(super) fn of(assessment: &Assessment<'_>, units: Units) -> Result<Self, OutputError> {
        Ok(Self {
            lot: features::lot(assessment, units)?,
            contributors: features::contributors(assessment, units)?,
            crossings: features::crossings(assessment, units)?,
            contributing_area: features::contributing_area(assessment)?,
            flow_paths: [
                features::longest_ways(assessment, units)?,
                slow_ground::slow_ground(assessment, units)?,
                features::flow_paths(assessment, units)?,
            ]
            .concat(),
            ponds: features::ponds(assessment, units)?,
            interception_line: features::interception_line(assessment, units)?,
            inlets: features::inlets(assessment)?,
            received: proof::received(assessment, units)?,
            discharge_ways: proof::discharge_ways(assessment, units)?,
            overflow_ways: storms::overflow_ways(assessment)?,
            near: beside::near(assessment, units)?,
            inlet_cuts: inlet_access::inlet_cuts(assessment, units)?,
            sureness: Sureness::of(assessment, units)?,
        })
    }

    /// Names and texts of the files.
    ///
    /// # Errors
    /// [`OutputError::Json`].
    pub fn files(&self) -> Result<Vec<(&'static str, String)>, OutputError> {
        let text = |name: &'static str, features: Vec<Feature>| {
            to_json(name, &FeatureCollection { bbox: None, features, foreign_members: None })
                .map(|text| (name, text))
        };
        let none = Vec::new();
        // Areas first, so that a viewer draws lines on top of them.
        let all = [
            &self.contributors,
            &self.received,
            &self.contributing_area,
            &self.ponds,
            &self.lot,
            self.sureness.as_ref().map_or(&none, |found| &found.likelihood_lines),
            &self.flow_paths,
            &self.crossings,
            &self.interception_line,
            &self.discharge_ways,
            &self.overflow_ways,
            &self.inlet_cuts,
            &self.inlets,
            &self.near,
            self.sureness.as_ref().map_or(&none, |found| &found.wanted_shots),
        ];
        let mut files = vec![
            text("map.geojson", all.into_iter().flatten().cloned().collect())?,
            text("contributors.geojson", self.contributors.clone())?,
            text("crossings.geojson", self.crossings.clone())?,
            text("contributing-area.geojson", self.contributing_area.clone())?,
            text("flow-paths.geojson", self.flow_paths.clone())?,
            text("ponds.geojson", self.ponds.clone())?,
            text("interception-line.geojson", self.interception_line.clone())?,
        ];
        if let Some(found) = &self.sureness {
            files.push(text("likelihood-lines.geojson", found.likelihood_lines.clone())?);
            files.push(text("shots-wanted.geojson", found.wanted_shots.clone())?);
        }
        Ok(files)
    }
}

impl Sureness {
    /// Nothing without repeats.
    fn of(assessment: &Assessment<'_>, units: Units) -> Result<Option<Self>, OutputError> {
        if assessment.certainty.is_none() {
            return Ok(None);
        }
        let likelihood_lines = likelihood_lines(assessment)?;
        Ok(Some(Self { likelihood_lines, wanted_shots: wanted_shots(assessment, units)? }))
    }
}

/// JSON text with a final line end.
pub(super) fn to_json(what: &'static str, value: &impl Serialize) -> Result<String, OutputError> {
    let mut text = serde_json::to_string_pretty(value).map_err(|cause| OutputError::Json { what, cause })?;
    text.push('\n');
    Ok(text)
}
