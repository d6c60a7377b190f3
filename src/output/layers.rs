//! The GeoJSON layers: one file per kind, and one with everything for a viewer.

use super::beside;
use super::error::OutputError;
use super::features;
use super::geometry::Writer;
use super::inlet_access;
use super::likelihood_lines::likelihood_lines;
use super::mark::Mark;
use super::proof;
use super::screen::Units;
use super::slow_ground;
use super::storms;
use super::wanted_shots::wanted_shots;
use super::why::why_marks;
use crate::crs::WorkingCrs;
use crate::pipeline::Assessment;
use geojson::FeatureCollection;
use serde::Serialize;

/// Features by kind, styled.
#[derive(Debug, Clone)]
pub struct Layers {
    lot: Vec<Mark>,
    contributors: Vec<Mark>,
    crossings: Vec<Mark>,
    contributing_area: Vec<Mark>,
    flow_paths: Vec<Mark>,
    ponds: Vec<Mark>,
    interception_line: Vec<Mark>,
    inlets: Vec<Mark>,
    received: Vec<Mark>,
    discharge_ways: Vec<Mark>,
    overflow_ways: Vec<Mark>,
    near: Vec<Mark>,
    inlet_cuts: Vec<Mark>,
    why: Vec<Mark>,
    /// With repeats under elevation error.
    sureness: Option<Sureness>,
}

/// What the repeats show.
#[derive(Debug, Clone)]
struct Sureness {
    likelihood_lines: Vec<Mark>,
    wanted_shots: Vec<Mark>,
}

impl Layers {
    pub(super) fn of(assessment: &Assessment<'_>, units: Units) -> Result<Self, OutputError> {
        Ok(Self {
            lot: features::lot(assessment, units),
            contributors: features::contributors(assessment, units),
            crossings: features::crossings(assessment, units),
            contributing_area: features::contributing_area(assessment),
            flow_paths: [
                features::longest_ways(assessment, units),
                slow_ground::slow_ground(assessment, units),
                features::flow_paths(assessment, units),
            ]
            .concat(),
            ponds: features::ponds(assessment, units),
            interception_line: features::interception_line(assessment, units),
            inlets: features::inlets(assessment),
            received: proof::received(assessment, units),
            discharge_ways: proof::discharge_ways(assessment, units),
            overflow_ways: storms::overflow_ways(assessment),
            near: beside::near(assessment, units),
            inlet_cuts: inlet_access::inlet_cuts(assessment, units),
            why: why_marks(assessment, units)?,
            sureness: Sureness::of(assessment, units)?,
        })
    }

    /// Names and texts of the files.
    ///
    /// # Errors
    /// [`OutputError::Json`]; [`OutputError::Place`].
    pub fn files(&self, crs: &WorkingCrs) -> Result<Vec<(&'static str, String)>, OutputError> {
        let writer = Writer::new(crs);
        let mut files = vec![
            collection("map.geojson", self.all(), writer)?,
            collection("contributors.geojson", &self.contributors, writer)?,
            collection("crossings.geojson", &self.crossings, writer)?,
            collection("contributing-area.geojson", &self.contributing_area, writer)?,
            collection("flow-paths.geojson", &self.flow_paths, writer)?,
            collection("ponds.geojson", &self.ponds, writer)?,
            collection("interception-line.geojson", &self.interception_line, writer)?,
        ];
        if let Some(found) = &self.sureness {
            files.push(collection("likelihood-lines.geojson", &found.likelihood_lines, writer)?);
            files.push(collection("shots-wanted.geojson", &found.wanted_shots, writer)?);
        }
        Ok(files)
    }

    /// All marks, areas first, so that a viewer draws lines on top of them.
    pub(super) fn all(&self) -> impl Iterator<Item = &Mark> {
        let (lines, shots): (&[Mark], &[Mark]) = match &self.sureness {
            Some(found) => (&found.likelihood_lines, &found.wanted_shots),
            None => (&[], &[]),
        };
        let all: [&[Mark]; 16] = [
            &self.contributors,
            &self.received,
            &self.contributing_area,
            &self.ponds,
            &self.lot,
            lines,
            &self.flow_paths,
            &self.crossings,
            &self.interception_line,
            &self.discharge_ways,
            &self.overflow_ways,
            &self.inlet_cuts,
            &self.inlets,
            &self.near,
            shots,
            &self.why,
        ];
        all.into_iter().flatten()
    }
}

/// A file's name and text.
fn collection<'a>(
    name: &'static str,
    marks: impl IntoIterator<Item = &'a Mark>,
    writer: Writer<'_>,
) -> Result<(&'static str, String), OutputError> {
    let mut features = Vec::new();
    for mark in marks {
        features.extend(mark.feature(writer)?);
    }
    to_json(name, &FeatureCollection { bbox: None, features, foreign_members: None }).map(|text| (name, text))
}

impl Sureness {
    /// Nothing without repeats.
    fn of(assessment: &Assessment<'_>, units: Units) -> Result<Option<Self>, OutputError> {
        if assessment.certainty.is_none() {
            return Ok(None);
        }
        let likelihood_lines = likelihood_lines(assessment)?;
        Ok(Some(Self { likelihood_lines, wanted_shots: wanted_shots(assessment, units) }))
    }
}

/// JSON text with a final line end.
pub(super) fn to_json(what: &'static str, value: &impl Serialize) -> Result<String, OutputError> {
    let mut text = serde_json::to_string_pretty(value).map_err(|cause| OutputError::Json { what, cause })?;
    text.push('\n');
    Ok(text)
}
