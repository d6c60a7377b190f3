//! The written files, read back by GDAL.

use gdal::Dataset;

use crate::common::answer::within;
use crate::common::raster::{Raster, RasterCrs};
use crate::common::scene::{FALL, answer_for_s, base_bench, bench_with, plane};

#[test]
fn every_raster_is_a_cloud_optimized_geotiff_with_its_unit() {
    let bench = base_bench();
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--rasters"]).run().usable();
    let wanted = [
        ("filled", "metre"),
        ("pond-depth", "metre"),
        ("direction", "degree"),
        ("upstream-area", "square metre"),
        ("share-reaching-lot", "1"),
    ];
    for (name, unit) in wanted {
        let path = answer.out.join("rasters").join(format!("{name}.tif"));
        let file = Dataset::open(&path).unwrap_or_else(|error| panic!("{name}.tif: {error}"));
        let layout = gdal::Metadata::metadata_item(&file, "LAYOUT", "IMAGE_STRUCTURE");
        assert_eq!(layout.as_deref(), Some("COG"), "{name}.tif must be a Cloud Optimized GeoTIFF");
        let band = file.rasterband(1).expect("there is one band");
        assert_eq!(band.unit(), unit, "{name}.tif: unit");
        assert!(
            !gdal::Metadata::description(&band).unwrap_or_default().is_empty(),
            "{name}.tif says what it holds"
        );
        assert!(band.no_data_value().is_some(), "{name}.tif declares its holes");
    }
}

#[test]
fn directions_are_azimuths_of_the_way_down() {
    let bench = base_bench();
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--rasters"]).run().usable();
    let path = answer.out.join("rasters/direction.tif");
    let file = Dataset::open(&path).expect("the raster opens");
    let band = file.rasterband(1).expect("there is one band");
    let (cols, rows) = band.size();
    let centre = (isize::try_from(cols / 2).expect("small"), isize::try_from(rows / 2).expect("small"));
    let value = band.read_as::<f64>(centre, (1, 1), (1, 1), None).expect("the cell can be read").data()[0];
    // The plane falls due south: 180 degrees clockwise from north.
    within("direction at the centre", value, 180.0, 0.01);
}

#[test]
fn the_filled_surface_of_a_pit_is_level_at_its_lowest_way_out() {
    // A pit of 3 by 3 cells, 1 m deep, at rows 44 to 46, columns 30 to 32, on the plane that falls south: its lowest
    // way out is over row 47, whose ground is 100 - 47 * 0.02 = 99.06.
    let pit = plane()
        .with(|row, col, value| ((44..47).contains(&row) && (30..33).contains(&col)).then_some(value - 1.0));
    let bench = bench_with(&pit);
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&["--rasters"]).run().usable();
    let file = Dataset::open(answer.out.join("rasters/filled.tif")).expect("the raster opens");
    let transform = file.geo_transform().expect("it has a placement");
    let band = file.rasterband(1).expect("there is one band");
    // The window may be smaller than the raster: find the pit's centre by its place.
    let place = |east: f64, north: f64| {
        let col = ((east - transform[0]) / transform[1]).floor();
        let row = ((north - transform[3]) / transform[5]).floor();
        #[expect(clippy::cast_possible_truncation, reason = "a cell of a raster of 80 by 80")]
        let whole = (col as isize, row as isize);
        whole
    };
    let middle = place(500_031.5, 4_830_000.0 - 45.5);
    let value = band.read_as::<f64>(middle, (1, 1), (1, 1), None).expect("the cell can be read").data()[0];
    within("filled surface in the pit", value, 100.0 - 47.0 * FALL, 1e-4);

    let ponds = answer.geojson("ponds.geojson");
    let features = ponds["features"].as_array().expect("a list");
    assert_eq!(features.len(), 1, "there is one pond: {ponds}");
    // Deepest at row 46: 100 - 0.92 - 1 = 98.08, below the way out by 0.98 m.
    let depth = features[0]["properties"]["depth_m"].as_f64().expect("depth_m is a number");
    within("depth_m of the pond", depth, 0.98, 1e-3);
    // Nine cells; the depths by row are 0.94, 0.96 and 0.98 m on three cells each.
    let volume = features[0]["properties"]["volume_m3"].as_f64().expect("volume_m3 is a number");
    within(
        "volume_m3 of the pond",
        volume,
        crate::common::scene::ground_m2(3.0 * (0.94 + 0.96 + 0.98)),
        0.01,
    );
}

#[test]
fn a_raster_of_another_zone_is_used_in_its_own_system() {
    // The same numbers in the zone to the west are a place 6 degrees further west: nothing but the label changes.
    let raster: Raster = plane().crs(RasterCrs::Code(26916));
    let bench = bench_with(&raster);
    let mut lots = crate::common::lots::Lots::base();
    "EPSG:26916".clone_into(&mut lots.crs);
    bench.write_json("base.geojson", &lots.geojson(crate::common::lots::WGS84));
    let answer = answer_for_s(&bench);
    crate::common::scene::base_numbers(&answer);
    assert!(answer.text("elevation.crs").contains("26916"), "{}", answer.at("elevation.crs"));
}
