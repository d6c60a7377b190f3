//! What the reader of a screening must know.

use super::lot::LotScreen;
use crate::input::{Complaint, Site};
use crate::warning::{Warning, named};

/// Lots of which not all is known, and complaints without a lot.
pub(super) fn findings(site: &Site, lots: &[LotScreen], complaints: Option<&[Complaint]>) -> Vec<Warning> {
    let mut found = Vec::new();
    let cut = lots.iter().filter(|lot| !lot.is_complete()).count();
    if cut > 0 {
        found.push(Warning::new(
            "lots-cut-by-edge",
            format!(
                "the catchments of {cut} of {} lots meet the edge of the elevations: their run-on is at least what is said",
                lots.len()
            ),
            "add elevations uphill of the lots that matter",
        ));
    }
    let without = site.parcels.parcels().len() - lots.len();
    if without > 0 {
        found.push(Warning::new(
            "lots-without-elevation",
            format!("{without} lots near the elevations have no ground on them and are left out"),
            "add elevations if one of these lots matters",
        ));
    }
    let lost = |complaint: &&Complaint| {
        complaint.parcel.is_none_or(|parcel| lots.iter().all(|lot| lot.parcel != parcel))
    };
    let lost: Vec<&str> =
        complaints.unwrap_or_default().iter().filter(lost).map(|c| c.name.as_str()).collect();
    if !lost.is_empty() {
        found.push(Warning::new(
            "complaints-without-lot",
            format!("{} complaints belong to no lot with elevations: {}", lost.len(), named(&lost)),
            "correct their ids or places; ids are compared as text",
        ));
    }
    found
}
