//! The neighbourhood turned, mirrored and moved.
//!
//! Ground and lots are rebuilt cell for cell, so areas by lot must stay. Room is left for ties: on level ground and on
//! equally steep sides the compass decides, which a turn doesn't keep.

use crate::lots::{Files, by_lot};
use lotshed::demo::{Neighbourhood, neighbourhood};
use lotshed::pipeline::{Settings, Silent, assess};
use std::collections::BTreeMap;

fn areas(place: &Neighbourhood) -> BTreeMap<String, f64> {
    let files = Files::of(place);
    let site = files.site(place.subject);
    by_lot(&assess(&site, &Settings::new(), &Silent).expect("an answer").value)
}

fn compare(what: &str, place: &Neighbourhood, expected: &BTreeMap<String, f64>) {
    let found = areas(place);
    for lot in expected.keys().chain(found.keys()) {
        let [found, expected] = [&found, expected].map(|all| all.get(lot).copied().unwrap_or(0.0));
        let room = (0.005 * expected).max(1.0);
        assert!((found - expected).abs() <= room, "{what}, {lot:?}: {found} for {expected}");
    }
}

#[test]
fn turned_by_quarters_it_gives_the_same_areas() {
    let place = neighbourhood();
    let expected = areas(&place);
    for quarters in 1..4 {
        compare(&format!("turned by {quarters} quarters"), &place.turned(quarters), &expected);
    }
}

#[test]
fn mirrored_it_gives_the_same_areas() {
    let place = neighbourhood();
    compare("mirrored", &place.mirrored(), &areas(&place));
    compare("mirrored and turned", &place.mirrored().turned(1), &areas(&place));
}

#[test]
fn moved_it_gives_the_same_areas() {
    let place = neighbourhood();
    let expected = areas(&place);
    // The last one is no whole number of cells; the raster moves along.
    for (east, north) in [(1000.0, -500.0), (-240.0, 380.0), (0.3, 0.7)] {
        compare(&format!("moved by {east}, {north}"), &place.shifted(east, north), &expected);
    }
}
