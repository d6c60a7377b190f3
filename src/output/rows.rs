//! Labels as people and files name them.

use super::proof::ReceivedRow;
use super::summary::Receiver;
use crate::input::{Inlet, Parcel};
use crate::lots::Label;
use crate::pipeline::Assessment;
use crate::wording::called;

/// The parcel behind a label; nothing for land without a lot.
pub(super) fn parcel<'a>(assessment: &'a Assessment<'_>, label: Label) -> Option<&'a Parcel> {
    let place = label.place()?;
    let index = *assessment.routed.ground.parcels.get(place)?;
    assessment.site.parcels.parcels().get(index)
}

/// Id of the parcel behind a label.
pub(super) fn id(assessment: &Assessment<'_>, label: Label) -> Option<String> {
    parcel(assessment, label).map(|p| p.id.clone())
}

/// The inlet at a place of the ground's list.
pub(super) fn inlet<'a>(assessment: &'a Assessment<'_>, place: usize) -> &'a Inlet {
    &assessment.site.beside.inlets[assessment.routed.ground.inlets.inlet(place)]
}

/// Who receives water, for a sentence.
pub(super) fn receiver_words(row: &ReceivedRow) -> String {
    match row.kind {
        Receiver::Inlet => called("storm inlet", row.id.as_deref().unwrap_or_default()),
        _ => whose(row.id.as_deref()),
    }
}

/// Name for a sentence.
#[must_use]
pub fn whose(id: Option<&str>) -> String {
    id.map_or_else(|| "land without a parcel".to_owned(), |id| called("parcel", id))
}
