//! Surfaces on which the catchment reaches far beyond the window of the surface as given.

use crate::certainty::{hits, repeated, south_west_is_lower};
use crate::common::bench::Bench;
use crate::common::lots::{Lots, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::number;

/// Row and column of the fork.
const FORK: (usize, usize) = (199, 40);
const ROWS: usize = 240;

/// The fork of `certainty.rs` below a slot of 200 rows: N lies along its first 60, 139 cells above the fork and 145 above
/// S. As given the fork sends all of it past S, 5 cm lower, so that the window, which takes in 60 m around S, has nothing of
/// N in it. Where the error turns the fork N's water comes, as often as the integral says, and the window has to grow.
#[test]
fn the_window_grows_where_a_surface_needs_more() {
    let raster = Raster::of(ROWS, 80, |row, col| {
        let aside = number(col.abs_diff(FORK.1));
        match row.checked_sub(FORK.0).map(number) {
            None if col == FORK.1 => 180.0 - 0.5 * number(row),
            Some(0.0) if col == FORK.1 => 80.5,
            Some(steps) if steps > 0.0 && (aside - steps).abs() < 0.5 => {
                80.5 - steps - if col < FORK.1 { 0.0 } else { 0.05 }
            }
            // Walls far above the slot, so that nothing else is a way; they fall to it.
            _ => 230.0 + aside,
        }
    });
    let bench = Bench::new();
    raster.write(&bench.path("base.tif"));
    let lots = Lots::of(vec![lot("N", 20.0, 20.0, 60.0, 80.0), lot("S", 10.0, -150.0, 39.0, -125.0)]);
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let options = ["--elevation-rmse", "0.1m", "--parcel-error", "0m", "--rasters"];
    let answer = repeated(&bench, &options);
    assert!(answer.list("contributors").iter().all(|row| row["id"] != "N"));
    let rows = |name: &str| {
        let file = gdal::Dataset::open(answer.out.join("rasters").join(name)).expect("the raster opens");
        file.raster_size().1
    };
    assert_eq!(rows("likelihood.tif"), ROWS, "all of the slot");
    assert!(answer.number("certainty.cut_realisations") < 0.5);
    let expected = south_west_is_lower(-0.05, 0.1);
    let (hits, of) = hits(&answer, "N");
    let room = 3.0 * (expected * (1.0 - expected) / of).sqrt();
    assert!((hits / of - expected).abs() < room, "{hits} of {of}, expected {expected} +- {room}");
}
