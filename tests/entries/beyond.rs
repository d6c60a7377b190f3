//! Awkward rasters and parcel layers that the log doesn't have.

use serde_json::json;

use crate::common::bench::Bench;
use crate::common::lots::{At, Lots, WGS84, lot};
use crate::common::raster::{Band, Raster, RasterCrs};
use crate::common::scene::{
    FALL, NORTH, SIDE, WEST, answer_for_s, base_bench, base_numbers, bench_with, ground_m2, number, plane,
};

#[test]
fn depths_that_count_downwards_are_no_heights() {
    // EPSG:5715 is the depth below mean sea level.
    let bench = bench_with(&plane().crs(RasterCrs::Text("EPSG:26917+5715".to_owned())));
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(3, &["base.tif", "depth", "downwards"]);
}

#[test]
fn two_statements_on_the_unit_are_refused_until_one_is_told() {
    // NAVD88 height in survey feet (EPSG:6360), and a band in metres.
    let bench = bench_with(&plane().crs(RasterCrs::Text("EPSG:26917+6360".to_owned())).unit("m"));
    let said = ["base.tif", "US survey foot", "metre", "--elevation-unit"];
    bench.assess("base.tif", "base.geojson").lot("S").run().refused(4, &said);
    let told = ["--elevation-unit", "m"];
    base_numbers(&bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable());
}

#[test]
fn the_two_feet_are_no_contradiction() {
    // Most software writes "ft" for both.
    let feet = Raster::of(SIDE, SIDE, |row, _| (100.0 - number(row) * FALL) * 3937.0 / 1200.0);
    let bench = bench_with(&feet.crs(RasterCrs::Text("EPSG:26917+6360".to_owned())).unit("ft"));
    base_numbers(&answer_for_s(&bench));
}

#[test]
fn zeros_that_are_ground_stay_ground() {
    // Sea at 0 with a beach: the plane lowered so that its last rows would lie below.
    let coast = plane().with(|_, _, z| Some((z - 99.0).max(0.0))).nodata(None);
    let answer = answer_for_s(&bench_with(&coast));
    assert!(answer.warning("nodata-suspected").is_none(), "{}", answer.at("warnings"));
}

#[test]
fn zeros_are_ground_when_another_mark_is_told() {
    let bench = bench_with(&plane().with(|row, _, _| (row == 79).then_some(0.0)).nodata(None));
    let told = ["--elevation-nodata", "-9999"];
    let answer = bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable();
    assert!(answer.warning("nodata-suspected").is_none(), "{}", answer.at("warnings"));
    let answer = bench.assess("base.tif", "base.geojson").lot("S").out("untold").run().usable();
    answer.must_warn("nodata-suspected", &["80 cells", "such as 0"]);
}

#[test]
fn a_world_file_that_places_the_raster_elsewhere_is_said() {
    // Its six lines: sides and turns of a cell, then the middle of the first: half a cell off is a common mistake.
    for (x, y, off) in
        [("500000.0", "4830000.0", "0.71 map units"), ("500010.5", "4829989.5", "14.14 map units")]
    {
        let bench = base_bench();
        bench.write_text("base.tfw", &format!("1\n0\n0\n-1\n{x}\n{y}\n"));
        let answer = answer_for_s(&bench);
        base_numbers(&answer);
        answer.must_warn("world-file-disagrees", &["base.tfw", off]);
    }
    let bench = base_bench();
    bench.write_text("base.tfw", "1\n0\n0\n-1\n500000.5\n4829999.5\n");
    let answer = answer_for_s(&bench);
    assert!(answer.warning("world-file-disagrees").is_none(), "{}", answer.at("warnings"));
}

#[test]
fn a_raster_placed_by_its_world_file_alone_is_used() {
    let bench = Bench::new();
    bench.write_json("base.geojson", &Lots::base().geojson(WGS84));
    plane().crs(RasterCrs::None).options(&["PROFILE=BASELINE", "TFW=YES"]).write(&bench.path("base.tif"));
    let told = ["--elevation-crs", "EPSG:26917"];
    base_numbers(&bench.assess("base.tif", "base.geojson").lot("S").with(&told).run().usable());
}

#[test]
fn a_picture_of_the_relief_in_8_bits_is_said_to_be_none() {
    // GDAL's whole numbers of 16 bits made 8 through a virtual raster.
    let bench =
        bench_with(&plane().with(|row, _, _| Some(200.0 - number(row))).band(Band::Whole).nodata(None));
    let text = virtual_raster("Byte", "", "base.tif");
    bench.write_text("shade.vrt", &text);
    let answer = bench.assess("shade.vrt", "base.geojson").lot("S").run().usable();
    answer.must_warn("elevations-of-8-bits", &["shade.vrt", "256"]);
}

#[test]
fn a_band_described_as_something_else_is_said() {
    let bench = base_bench();
    for (said, code) in [
        ("Slope (degrees)", "band-described-otherwise"),
        ("Height above ground", "band-described-otherwise"),
        ("Digital surface model", "band-is-surface"),
    ] {
        bench.write_text("other.vrt", &virtual_raster("Float32", said, "base.tif"));
        let run = bench.assess("other.vrt", "base.geojson").lot("S").with(&["--overwrite"]);
        run.run().usable().must_warn(code, &[said]);
    }
}

#[test]
fn a_virtual_raster_whose_source_is_gone_is_refused() {
    let bench = base_bench();
    bench.write_text("gone.vrt", &virtual_raster("Float32", "", "nowhere.tif"));
    bench.assess("gone.vrt", "base.geojson").lot("S").run().refused(3, &["gone.vrt"]);
}

/// A virtual raster over the base scene's.
fn virtual_raster(kind: &str, described: &str, source: &str) -> String {
    format!(
        "<VRTDataset rasterXSize=\"80\" rasterYSize=\"80\"><SRS>EPSG:26917</SRS>\
         <GeoTransform>{WEST},1,0,{NORTH},0,-1</GeoTransform><VRTRasterBand dataType=\"{kind}\" band=\"1\">\
         <Description>{described}</Description><SimpleSource><SourceFilename relativeToVRT=\"1\">{source}\
         </SourceFilename><SourceBand>1</SourceBand></SimpleSource></VRTRasterBand></VRTDataset>"
    )
}

/// The base lots in degrees of so many decimals.
fn rounded(decimals: i32) -> Bench {
    let factor = 10_f64.powi(decimals);
    let round = |v: f64| (v * factor).round() / factor;
    let lots = Lots::base().to(WGS84).moved(|at| At { x: round(at.x), y: round(at.y) });
    let bench = base_bench();
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    bench
}

#[test]
fn corners_in_degrees_of_few_decimals_are_said_with_their_metres() {
    // A degree of latitude is 111.195 km on the mean sphere; half the diagonal of a step is its 0.71th part.
    for (decimals, step, off) in [(5, "1.1 m", "0.8 m"), (4, "11.1 m", "7.9 m")] {
        answer_for_s(&rounded(decimals)).must_warn("corners-rounded", &["base.geojson", step, off]);
    }
    for decimals in [6, 7] {
        let answer = answer_for_s(&rounded(decimals));
        assert!(answer.warning("corners-rounded").is_none(), "{decimals}: {}", answer.at("warnings"));
    }
}

/// The base lots and fifteen more around them, none on whole metres, changed by `change`.
fn many(change: impl Fn(f64) -> f64) -> Bench {
    let mut lots = Lots::base();
    for place in 0..15 {
        let (west, south) = (-400.0 + 20.37 * number(place), -300.0 + 17.71 * number(place));
        lots.lots.push(lot(&format!("L{place}"), west, south, west + 11.13, south + 9.19));
    }
    let bench = base_bench();
    let lots = lots.moved(|at| At { x: change(at.x), y: change(at.y) });
    lots.write(&bench.path("lots.gpkg"), "GPKG", Some("EPSG:26917"));
    bench
}

#[test]
#[expect(clippy::cast_possible_truncation, reason = "what is lost is what is tested")]
fn corners_kept_in_32_bits_are_said_with_their_step() {
    // The raster is grown so that all lots count as near: 24 binary digits step by a half at 4.8 million.
    let big =
        Raster::of(1000, 1000, |row, _| 110.0 - number(row) * FALL).at(WEST - 500.0, NORTH + 420.0, 1.0, 1.0);
    let bench = many(|v| f64::from(v as f32));
    big.write(&bench.path("big.tif"));
    let answer = bench.assess("big.tif", "lots.gpkg").lot("S").run().usable();
    answer.must_warn("corners-rounded", &["32 bits", "0.5 m"]);
    let bench = many(|v| v);
    big.write(&bench.path("big.tif"));
    let answer = bench.assess("big.tif", "lots.gpkg").lot("S").run().usable();
    assert!(answer.warning("corners-rounded").is_none(), "{}", answer.at("warnings"));
}

/// The base lots and one more beside S, with a field that states their areas times `factor`.
fn with_acres(factor: f64) -> Bench {
    let mut lots = Lots::base();
    lots.lots.push(lot("E", 60.0, 10.0, 70.0, 40.0));
    let mut file = lots.geojson(WGS84);
    // 800, 1200 and 300 square units; an acre is 4046.8564224 m2 (by definition of the foot).
    for (feature, units) in
        file["features"].as_array_mut().expect("a list").iter_mut().zip([800.0, 1200.0, 300.0])
    {
        feature["properties"]["GIS_ACRES"] = json!(factor * ground_m2(units) / 4_046.856_422_4);
    }
    let bench = base_bench();
    bench.write_json("base.geojson", &file);
    bench
}

#[test]
fn areas_of_the_table_that_contradict_the_outlines_are_said() {
    // Square feet taken for square metres of another map would be 10.76 times; 1.91 is Web Mercator at 43.6 degrees.
    answer_for_s(&with_acres(1.91)).must_warn("area-field-differs", &["GIS_ACRES", "1.91 times larger"]);
    answer_for_s(&with_acres(0.1)).must_warn("area-field-differs", &["10.00 times smaller"]);
    let answer = answer_for_s(&with_acres(1.03));
    base_numbers(&answer);
    assert!(answer.warning("area-field-differs").is_none(), "{}", answer.at("warnings"));
}

#[test]
fn a_byte_order_mark_before_geojson_does_no_harm() {
    let bench = base_bench();
    bench.write_text("base.geojson", &format!("\u{feff}{}", Lots::base().geojson(WGS84)));
    base_numbers(&answer_for_s(&bench));
}

#[test]
fn lots_inside_geometry_collections_are_found() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    for feature in lots["features"].as_array_mut().expect("a list") {
        let inner = feature["geometry"].take();
        feature["geometry"] = json!({ "type": "GeometryCollection", "geometries": [inner] });
    }
    bench.write_json("base.geojson", &lots);
    base_numbers(&answer_for_s(&bench));
}

#[test]
fn heights_and_rings_left_open_do_no_harm() {
    let bench = base_bench();
    let mut lots = Lots::base().geojson(WGS84);
    for feature in lots["features"].as_array_mut().expect("a list") {
        let ring = feature["geometry"]["coordinates"][0].as_array_mut().expect("a ring");
        ring.pop();
        for at in ring.iter_mut() {
            at.as_array_mut().expect("a position").push(json!(99.5));
        }
    }
    bench.write_json("base.geojson", &lots);
    base_numbers(&answer_for_s(&bench));
}

#[test]
fn a_longitude_without_its_sign_is_refused_with_the_distance() {
    let bench = base_bench();
    let east = Lots::base().to(WGS84).moved(|at| At { x: -at.x, y: at.y });
    bench.write_json("east.geojson", &east.geojson(WGS84));
    bench.assess("base.tif", "east.geojson").lot("S").run().refused(5, &["do not overlap", "km apart"]);
}

#[test]
fn longitudes_from_0_to_360_are_brought_home() {
    let bench = base_bench();
    let round = Lots::base().to(WGS84).moved(|at| At { x: at.x + 360.0, y: at.y });
    bench.write_json("round.geojson", &round.geojson(WGS84));
    let outcome = bench.assess("base.tif", "round.geojson").lot("S").run();
    if outcome.code == Some(0) {
        base_numbers(&outcome.usable());
    } else {
        outcome.refused(5, &["do not overlap"]);
    }
}
