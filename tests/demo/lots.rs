//! Every lot of the neighbourhood as the subject.

use geo::Area;
use lotshed::demo::{Neighbourhood, neighbourhood, write};
use lotshed::input::{AxisOrder, ElevationOptions, ParcelOptions, Site, Subject, open_site};
use lotshed::lots::Leaving;
use lotshed::pipeline::{Assessment, Settings, Silent, assess};
use std::collections::BTreeMap;
use tempfile::TempDir;

pub(crate) struct Files {
    _folder: TempDir,
    pub(crate) elevation: ElevationOptions,
    pub(crate) parcels: ParcelOptions,
}

impl Files {
    pub(crate) fn of(place: &Neighbourhood) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let files = write(place, folder.path()).expect("the files can be written");
        let elevation = ElevationOptions {
            paths: vec![files.elevation],
            unit: None,
            crs: None,
            nodata: None,
            bridge_holes: Settings::new().bridge_holes,
        };
        let parcels = ParcelOptions {
            path: files.parcels,
            layer: None,
            id_field: None,
            crs: None,
            axes: AxisOrder::AsStored,
            keep_fields: Vec::new(),
        };
        Self { _folder: folder, elevation, parcels }
    }

    pub(crate) fn site(&self, lot: &str) -> Site {
        let subject = Subject::Id(lot.to_owned());
        open_site(&self.elevation, &self.parcels, &subject).expect("the files are sound").value
    }
}

/// Run-on by lot ("" for land without one).
pub(crate) fn by_lot(found: &Assessment<'_>) -> BTreeMap<String, f64> {
    let id = |label: lotshed::lots::Label| {
        let place = label.place().map(|place| found.routed.ground.parcels[place]);
        place.map_or_else(String::new, |place| found.site.parcels.parcels()[place].id.clone())
    };
    found.drainage.contributions.iter().map(|row| (id(row.label), row.area_m2)).collect()
}

fn close(what: &str, found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{what}: {found} for {expected}");
}

#[test]
fn every_lot_has_a_ledger_that_adds_up() {
    let place = neighbourhood();
    let files = Files::of(&place);
    for lot in &place.lots {
        let site = files.site(&lot.id);
        let found = assess(&site, &Settings::new(), &Silent).expect("an answer").value;
        let drainage = &found.drainage;
        let total = drainage.run_on_m2;
        let sum = |pick: fn(&lotshed::lots::Contribution) -> f64| -> f64 {
            drainage.contributions.iter().map(pick).sum()
        };
        close(&lot.id, sum(|row| row.area_m2), total);
        close(&lot.id, sum(|row| row.handed_over_m2), total);
        close(&lot.id, drainage.crossings.iter().map(|c| c.area_m2).sum(), total);
        for crossing in &drainage.crossings {
            close(&lot.id, crossing.origins.iter().map(|(_, m2)| m2).sum(), crossing.area_m2);
        }
        for row in &drainage.contributions {
            assert!(
                row.straight_m2 <= row.area_m2 * (1.0 + 1e-9) && row.area_m2 >= 0.0,
                "{}: {row:?}",
                lot.id
            );
            let own = row.label.place().map(|p| &site.parcels.parcels()[found.routed.ground.parcels[p]]);
            assert!(own.is_none_or(|own| own.id != lot.id), "{}: a lot is no neighbour of itself", lot.id);
            // A parcel can't send more than all of itself; straddling cells are taken at the scale of the middle.
            assert!(own.is_none_or(|own| row.area_m2 <= own.area_m2 * (1.0 + 1e-6)), "{}: {row:?}", lot.id);
        }
        // What the lot sheds is its own area, by the plane geometry of its outline and the scale of the map there.
        let shed: f64 = drainage.exits.iter().map(|exit| exit.area_m2).sum();
        let scale = found.routed.ground.cell.area_m2() / 0.25;
        let expected = lot.outline.unsigned_area() * scale;
        assert!((shed / expected - 1.0).abs() < 1e-5, "{}: sheds {shed} of {expected}", lot.id);
        assert!(drainage.exits.iter().all(|exit| exit.to != Leaving::OffTheData || exit.area_m2 >= 0.0));
    }
}

/// The flow that sizes a part and the proof tell one story: the proof follows the water by passes of its own.
///
/// Of run-on the part is sized for no less than the proof finds at it. Of the lot's own ground both find the same, but that the
/// proof counts whole cells where sizing has the strip's outline: they differ by no more than a cell along the line and around its
/// ends, half a cell to either side.
#[test]
fn a_part_is_sized_for_the_water_that_the_proof_finds_at_it() {
    let place = neighbourhood();
    let files = Files::of(&place);
    let (mut parts, mut with_own) = (0, 0);
    for lot in &place.lots {
        let site = files.site(&lot.id);
        let found = assess(&site, &Settings::new(), &Silent).expect("an answer").value;
        // Without a storm a part takes all that comes to it.
        let taken = found.proof.iter().flat_map(|proof| &proof.proof.taken);
        let cell_m = found.routed.ground.cell.longer_m();
        for (part, taken) in found.interception.parts.iter().zip(taken) {
            let run_on_m2 = part.contributing_area.as_m2() + part.other_run_on.as_m2();
            assert!(run_on_m2 >= taken.run_on_m2 - 1e-6, "{}: {run_on_m2} for {taken:?}", lot.id);
            let own_m2 = part.strip_area.as_m2() + part.own_ground.as_m2();
            let room_m2 = cell_m * (part.length.as_m() + 4.0 * cell_m);
            assert!((own_m2 - taken.own_m2).abs() <= room_m2, "{}: {own_m2} for {taken:?}", lot.id);
            parts += 1;
            with_own += usize::from(part.own_ground.as_m2() > part.strip_area.as_m2());
        }
    }
    assert!(parts > 10 && with_own > 0, "{with_own} of {parts} have more ground of the lot than the strip");
}

/// Share of the water of one cell that passes the lot, pushed down cell by cell from that cell alone.
fn share_arriving(found: &Assessment<'_>, start: usize) -> f64 {
    let mut amounts = BTreeMap::from([(start, 1.0)]);
    let (mut arrived, filled) = (0.0, found.routed.filled.values());
    let mut steps = 0;
    while let Some((&cell, _)) = amounts.iter().max_by(|a, b| filled[*a.0].total_cmp(&filled[*b.0])) {
        let amount = amounts.remove(&cell).expect("it is there");
        for (next, part) in found.routed.field.receivers(cell) {
            if found.routed.is_subject(next) {
                arrived += amount * part;
            } else if amount * part > 1e-9 {
                *amounts.entry(next).or_insert(0.0) += amount * part;
            }
        }
        steps += 1;
        assert!(steps < 1_000_000, "water from {start} comes to an end");
    }
    arrived
}

#[test]
fn a_lot_is_incomplete_where_water_from_the_edge_reaches_it() {
    let place = neighbourhood();
    let files = Files::of(&place);
    let (mut complete, mut incomplete) = (0, 0);
    for lot in &place.lots {
        let site = files.site(&lot.id);
        let whole = Settings { first_margin: lotshed::units::Length::from_m(1000.0), ..Settings::new() };
        let found = assess(&site, &whole, &Silent).expect("an answer").value;
        let shape = found.routed.ground.raw.shape();
        assert_eq!(shape, place.elevation.shape(), "all of the raster was read");
        let rim = (0..shape.len()).filter(|&i| shape.is_rim(shape.cell(i)) && !found.routed.is_subject(i));
        let cells: f64 = rim.map(|i| share_arriving(&found, i)).sum();
        if cells > 0.01 {
            assert!(!found.completeness.is_complete(), "{}: {cells} cells of the edge reach it", lot.id);
            incomplete += 1;
        }
        if cells < 1e-4 {
            assert!(found.completeness.edge_limited_m2 <= 0.0, "{}: {:?}", lot.id, found.completeness);
            complete += 1;
        }
    }
    assert!(complete > 0, "some lots have their whole catchment on the raster");
    assert_eq!(complete + incomplete, 12, "no lot is a borderline case");
}

#[test]
fn three_to_nine_parcels_contribute_to_the_wet_lot() {
    let place = neighbourhood();
    let files = Files::of(&place);
    let site = files.site(place.subject);
    let found = assess(&site, &Settings::new(), &Silent).expect("an answer").value;
    let areas = by_lot(&found);
    let parcels = areas.iter().filter(|(id, area)| !id.is_empty() && **area > 1.0).count();
    assert!((3..=9).contains(&parcels), "{areas:?}");
    assert!(found.completeness.is_complete());
}
