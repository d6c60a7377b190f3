//! Why a parcel is in or out, on ground whose deciding places are known on paper.

use crate::common::answer::{Answer, close, within};
use crate::common::bench::Bench;
use crate::common::lots::{At, Lots, Transform, WGS84, lot};
use crate::common::raster::Raster;
use crate::common::scene::{FALL, NORTH, SIDE, UTM, WEST, bench_with, ground_m, ground_m2, number, plane};
use serde_json::Value;

/// Datum of a row.
fn datum(row: usize) -> f64 {
    100.0 - FALL * number(row)
}

/// Level of the gap, and its row and column.
const GAP: (f64, usize, usize) = (99.60, 35, 37);

/// A valley five columns wide whose bed, column 40, falls south at 2 %; its sides rise 10 %. Ridges of 2 m stand at columns
/// 37 and 43, beyond them the ground falls away. The western ridge has a gap one cell wide.
fn valley() -> Raster {
    Raster::of(SIDE, SIDE, |row, col| match col {
        38..=42 => datum(row) + 0.1 * (number(col) - 40.0).abs(),
        37 if (row, col) == (GAP.1, GAP.2) => GAP.0,
        37 | 43 => datum(row) + 2.0,
        0..37 => datum(row) - 1.0 - 0.2 * (37.0 - number(col)),
        _ => datum(row) - 1.0 - 0.2 * (number(col) - 43.0),
    })
}

fn explained(bench: &Bench, parcel: &str, more: &[&str]) -> Answer {
    let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--why", parcel, "--overwrite"]);
    run.with(more).run().usable()
}

fn only(answer: &Answer) -> &Value {
    let rows = answer.list("explanations");
    assert_eq!(rows.len(), 1);
    &rows[0]
}

fn figure(value: &Value, path: &str) -> f64 {
    value.pointer(&format!("/{}", path.replace('.', "/"))).and_then(Value::as_f64).expect(path)
}

fn said(answer: &Answer) -> String {
    only(answer)["message"].to_string()
}

// Water of N falls straight down the columns onto S: 20 units of way for the topmost row of cells' middles, 19.5
// to the line and half a unit past it, 0.02 m a row. Nothing stands beside it: the slope alone decides.
#[test]
fn on_a_plane_the_slope_alone_decides() {
    let answer = explained(&bench_with(&plane()), "N", &["--elevation-rmse", "0.05m", "--realisations", "8"]);
    let row = only(&answer);
    close("area", figure(row, "comes.area_m2"), ground_m2(800.0), 1e-3);
    assert!(row["goes"].is_null(), "{row}");
    close("length", figure(row, "comes.way.length_m"), ground_m(20.0), 1e-6);
    within("fall", figure(row, "comes.way.fall_m"), 20.0 * FALL, 1e-4);
    assert_eq!(row["comes"]["way"]["through"], Value::Array(Vec::new()));
    assert_eq!(row["comes"]["crossings"][0]["crossing"], 1);
    let decision = &row["comes"]["decision"];
    assert_eq!((&decision["kind"], &decision["spread"]), (&"open-slope".into(), &true.into()));
    within("rise", figure(decision, "rise_m"), 0.0, 1e-4);
    assert!(decision["within_error"].is_null());
    // From either side: half of the 40 columns turn over ways of up to 10 units along the line, whose middles
    // lie 10 columns apart from the first one that passes beside the lot.
    close("furrow", figure(decision, "length_m"), ground_m(10.0), 1e-6);
    assert!(said(&answer).contains("the slope alone"), "{}", said(&answer));
}

// Water dammed on the bed of row r stands at 100 - 0.02 r; out through the gap it must rise to 99.60 m: 0.02 r - 0.40.
// Of 5 x 20 cells of N half has come together by row 30 or so, with a lag of the sides of a row or two: the
// highest such row is the narrowest place. A dam just below it turns N's water when its crest is higher than the gap,
// and doesn't when it is lower. The dam follows the edge of the ground that isn't lower than the bed there: 0.1 m a column
// are 5 rows.
#[test]
fn the_gap_in_a_ridge_decides_and_its_height_is_told() {
    let answer = explained(&bench_with(&valley()), "N", &["--elevation-rmse", "0.1m", "--realisations", "8"]);
    let decision = &only(&answer)["comes"]["decision"];
    assert_eq!((&decision["kind"], &decision["spread"]), (&"ridge".into(), &false.into()), "{decision}");
    let cell = |lon: &str, lat: &str| {
        let at = At { x: figure(decision, lon), y: figure(decision, lat) };
        let At { x, y } = Transform::new(WGS84, UTM).apply(at);
        (NORTH - y - 0.5, x - WEST - 0.5)
    };
    let (row, col) = cell("lon", "lat");
    within("row of the gap", row, number(GAP.1), 0.1);
    within("column of the gap", col, number(GAP.2), 0.1);
    let (row, col) = cell("dam_lon", "dam_lat");
    within("the dam lies on the bed", col, 40.0, 0.1);
    assert!((28.9..34.1).contains(&row), "dam in row {row}");
    let rise_m = 0.02 * row.round() - 0.40;
    within("rise", figure(decision, "rise_m"), rise_m, 1e-4);
    assert_eq!(decision["within_error"], false);
    assert!(said(&answer).contains("times the error of the elevations"), "{}", said(&answer));
    let rough = explained(&bench_with(&valley()), "N", &["--elevation-rmse", "0.3m", "--realisations", "8"]);
    assert_eq!(only(&rough)["comes"]["decision"]["within_error"], true);
    assert!(said(&rough).contains("cannot carry the decision"), "{}", said(&rough));

    let area = |answer: &Answer| figure(only(answer), "comes.area_m2");
    let dammed = |crest_m: f64| {
        let first = |from_bed: f64| row + 1.0 + 5.0 * from_bed;
        let is_dam = |at: usize, col: usize| {
            let (at, from_bed) = (number(at), (number(col) - 40.0).abs());
            from_bed < 2.5 && (first(from_bed) - 0.5..first(from_bed) + 5.5).contains(&at)
        };
        let ground = valley().with(|at, col, z| is_dam(at, col).then_some(z.max(crest_m)));
        area(&explained(&bench_with(&ground), "N", &[]))
    };
    let before = area(&answer);
    assert!(dammed(GAP.0 - 0.03) > 0.9 * before, "a lower dam runs over");
    assert!(dammed(GAP.0 + 0.03) < 0.55 * before, "a higher one turns half of it or more");
}

// East of S's column E drains straight south, beside S: nothing of it comes, and only the slope keeps it there.
#[test]
fn a_parcel_beside_the_lot_is_out() {
    let bench = bench_with(&plane());
    let mut lots = Lots::base();
    lots.lots.push(lot("E", 62.0, 10.0, 72.0, 30.0));
    bench.write_json("base.geojson", &lots.geojson(WGS84));
    let answer = explained(&bench, "E", &[]);
    let row = only(&answer);
    assert!(row["comes"].is_null(), "{row}");
    close("area", figure(row, "goes.area_m2"), ground_m2(200.0), 1e-3);
    assert_eq!(row["goes"]["to"][0]["kind"], "unparcelled");
    assert_eq!(row["goes"]["ends"][0]["kind"], "off-the-data");
    assert_eq!(row["goes"]["decision"]["kind"], "open-slope");
}

#[test]
fn ids_that_cannot_be_explained_are_refused() {
    let bench = bench_with(&plane());
    let run = |id: &str| {
        let run = bench.assess("base.tif", "base.geojson").lot("S").with(&["--why", id]);
        run.run()
    };
    run("NN").refused(6, &["NN", "similar ones are N"]);
    run("S").refused(6, &["the lot itself"]);
}
