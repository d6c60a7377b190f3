//! The subject lot, and where its own rain goes.

use super::super::rows::{id, inlet};
use crate::lots::{Label, Leaving};
use crate::pipeline::Assessment;
use serde::Serialize;
use std::collections::BTreeMap;

/// The subject lot.
#[derive(Debug, Clone, Serialize)]
pub struct Lot {
    /// Its id.
    pub id: String,
    /// Other ids with the same outline.
    pub also: Vec<String>,
    /// Area of the whole polygon on the ground.
    pub area_m2: f64,
    /// Lengths of the rings of its line, outer rings first.
    pub line_lengths_m: Vec<f64>,
    /// Where its own rain goes when it first leaves it.
    pub sheds_to: Vec<ShedsTo>,
    /// Stretches of its line where water leaves it.
    pub leaves_at: Vec<LeavesAt>,
}

/// A stretch of the lot line where water leaves.
#[derive(Debug, Clone, Serialize)]
pub struct LeavesAt {
    /// Ring of the lot line.
    pub ring: usize,
    /// Start along it.
    pub from_m: f64,
    /// End along it.
    pub to_m: f64,
    /// Area of the lot whose rain leaves here.
    pub area_m2: f64,
    /// Area outside the lot whose rain has crossed it and leaves here.
    pub passing_area_m2: f64,
}

/// One receiver of the lot's own rain.
#[derive(Debug, Clone, Serialize)]
pub struct ShedsTo {
    /// The lot or inlet, or nothing.
    pub id: Option<String>,
    /// What kind of receiver.
    pub kind: Receiver,
    /// Area of the lot whose rain goes there.
    pub area_m2: f64,
}

/// Kind of a contributor or receiver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Receiver {
    /// A parcel.
    Parcel,
    /// Land without a parcel.
    Unparcelled,
    /// A storm inlet.
    Inlet,
    /// Beyond the edge of the data.
    OffTheData,
}

pub(super) fn lot(assessment: &Assessment<'_>) -> Lot {
    let subject = &assessment.site.parcels.parcels()[assessment.site.parcels.subject()];
    let mut by_receiver: BTreeMap<Leaving, f64> = BTreeMap::new();
    for exit in &assessment.drainage.exits {
        *by_receiver.entry(exit.to).or_default() += exit.area_m2;
    }
    let mut sheds_to: Vec<ShedsTo> = by_receiver
        .into_iter()
        .filter(|&(_, area_m2)| area_m2 > 0.0)
        .map(|(to, area_m2)| {
            let (id, kind) = receiver(assessment, to);
            ShedsTo { id, kind, area_m2 }
        })
        .collect();
    sheds_to.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
    let leaves_at = assessment
        .drainage
        .leaving
        .iter()
        .map(|stretch| LeavesAt {
            ring: stretch.ring,
            from_m: stretch.from_m,
            to_m: stretch.to_m,
            area_m2: stretch.own_m2,
            passing_area_m2: stretch.passing_m2,
        })
        .collect();
    Lot {
        id: subject.id.clone(),
        also: subject.also.clone(),
        area_m2: subject.area_m2,
        line_lengths_m: assessment.line.ring_lengths_m(),
        sheds_to,
        leaves_at,
    }
}

pub(in crate::output) fn receiver(assessment: &Assessment<'_>, to: Leaving) -> (Option<String>, Receiver) {
    match to {
        Leaving::OffTheData => (None, Receiver::OffTheData),
        Leaving::IntoInlet(place) => (Some(inlet(assessment, place).id.clone()), Receiver::Inlet),
        Leaving::Onto(label) => (id(assessment, label), kind(label)),
    }
}

pub(in crate::output) fn kind(label: Label) -> Receiver {
    if label.place().is_some() { Receiver::Parcel } else { Receiver::Unparcelled }
}
