//! Maps in feet: two kinds of foot, and numbers in another unit than the label says.

use crate::common::answer::close;
use crate::common::bench::Bench;
use crate::common::elsewhere::Elsewhere;
use crate::common::lots::{At, Transform, WGS84};
use crate::common::raster::RasterCrs;

/// Oregon North in international feet; a place inside its area of use.
const OREGON: Elsewhere = Elsewhere { crs: "EPSG:2269", west: 7_644_000.0, north: 683_000.0, cell: 3.0 };

#[test]
fn a_raster_in_international_feet_gives_true_square_metres() {
    let bench = Bench::new();
    OREGON.raster().write(&bench.path("feet.tif"));
    bench.write_json("lots.geojson", &OREGON.lots().geojson(WGS84));
    let answer =
        bench.assess("feet.tif", "lots.geojson").lot("S").with(&["--elevation-unit", "ft"]).run().usable();
    OREGON.expect(&answer);
    // Cells of 3 international feet of 0.3048 m, up to the projection's scale (within 0.02 % here).
    close("elevation.cell_m", answer.number("elevation.cell_m"), 3.0 * 0.3048, 1e-3);
}

#[test]
fn a_map_in_feet_without_a_word_on_heights_is_refused() {
    // Nothing says whether the heights are feet as well.
    let bench = Bench::new();
    OREGON.raster().write(&bench.path("feet.tif"));
    bench.write_json("lots.geojson", &OREGON.lots().geojson(WGS84));
    let outcome = bench.assess("feet.tif", "lots.geojson").lot("S").run();
    outcome.refused(4, &["feet.tif", "--elevation-unit"]);
}

#[test]
fn parcels_in_survey_feet_on_a_raster_in_international_feet_are_placed_right_and_noted() {
    // The very same projection with the other foot: positions differ by 2 millionths, 15 feet here.
    let survey = "+proj=lcc +lat_0=43.6666666666667 +lon_0=-120.5 +lat_1=46 +lat_2=44.3333333333333 \
                  +x_0=2500000.0001424 +y_0=0 +datum=NAD83 +units=us-ft +no_defs +type=crs";
    let bench = Bench::new();
    OREGON.raster().write(&bench.path("feet.tif"));
    OREGON.lots().to(survey).write(&bench.path("lots.gpkg"), "GPKG", Some(survey));
    let answer =
        bench.assess("feet.tif", "lots.gpkg").lot("S").with(&["--elevation-unit", "ft"]).run().usable();
    OREGON.expect(&answer);
    // 7,674,500 ft from the origin, each longer by 1200/3937 - 0.3048 = 6.096e-7 m: 4.68 m.
    answer.must_warn("feet-differ", &["lots.gpkg", "feet.tif", "survey foot", "0.3048", "4.7 m"]);
}

/// North Carolina in metres; its numbers in survey feet are 3.28 times as large.
const CAROLINA_M: &str = "EPSG:32119";
const CAROLINA_FT: &str = "EPSG:2264";

/// The base scene in North Carolina, raster in metres.
const CAROLINA: Elsewhere = Elsewhere { crs: CAROLINA_M, west: 640_000.0, north: 225_000.0, cell: 1.0 };

#[test]
fn parcels_labelled_in_metres_with_numbers_in_feet_are_refused_with_the_unit_that_fits() {
    let bench = Bench::new();
    CAROLINA.raster().write(&bench.path("metres.tif"));
    let mislabelled = CAROLINA.lots().to(CAROLINA_FT);
    mislabelled.write(&bench.path("lots.gpkg"), "GPKG", Some(CAROLINA_M));
    bench.assess("metres.tif", "lots.gpkg").lot("S").run().refused(4, &["lots.gpkg", "feet"]);
    let told = ["--parcels-crs", CAROLINA_FT];
    CAROLINA.expect(&bench.assess("metres.tif", "lots.gpkg").lot("S").with(&told).run().usable());
}

#[test]
fn a_raster_labelled_in_metres_with_numbers_in_feet_is_refused_with_the_unit_that_fits() {
    let corner = Transform::new(CAROLINA_M, CAROLINA_FT).apply(At { x: CAROLINA.west, y: CAROLINA.north });
    let feet = Elsewhere { crs: CAROLINA_FT, west: corner.x, north: corner.y, cell: 3.0 };
    let bench = Bench::new();
    feet.raster().crs(RasterCrs::Text(CAROLINA_M.to_owned())).write(&bench.path("feet.tif"));
    bench.write_json("lots.geojson", &feet.lots().geojson(WGS84));
    bench.assess("feet.tif", "lots.geojson").lot("S").run().refused(4, &["feet.tif", "feet"]);
    let told = ["--elevation-crs", CAROLINA_FT, "--elevation-unit", "m"];
    feet.expect(&bench.assess("feet.tif", "lots.geojson").lot("S").with(&told).run().usable());
}
