//! A basin beside an inlet behind a bank of known height, cut into the plane that falls south at 2 %.
//!
//! Around row 60 the plane lies at 98.8. The basin's floor is at 97.5, five rows of three columns; the inlet's cell at 97.0,
//! four columns east of it; the bank between them is lowest in row 60, at 98.0, over three cells.

use crate::common::answer::{Answer, close, within};
use crate::common::bench::Bench;
use crate::common::raster::Raster;
use crate::common::scene::{CLOSE, NORTH, WEST, bench_with, ground_m, ground_m2, number, plane};

const FLOOR_M: f64 = 97.5;
const BANK_M: f64 = 98.0;

fn basin(inlet_m: f64, notch_m: f64) -> Raster {
    plane().with(move |row, col, _| match (row, col) {
        (58..=62, 34..=36) => Some(FLOOR_M),
        (60, 37..=39) => Some(notch_m),
        (60, 40) => Some(inlet_m),
        _ => None,
    })
}

fn run(bench: &Bench) -> Answer {
    let (x, y) = (WEST + 40.5, NORTH - 60.5);
    bench.write_text("inlets.csv", &format!("id,x,y\nA,{x},{y}\n"));
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--inlets", "inlets.csv"]).run().usable()
}

/// Heights in the file are single precision.
const ROOM_M: f64 = 1e-5;

#[test]
fn what_ponds_before_it_spills_into_the_inlet() {
    let answer = run(&bench_with(&basin(97.0, BANK_M)));
    let first = "inlets.0.ponds_first";
    within("depth", answer.number(&format!("{first}.depth_m")), 0.5, ROOM_M);
    close("area", answer.number(&format!("{first}.pond_area_m2")), ground_m2(15.0), CLOSE);
    close("volume", answer.number(&format!("{first}.volume_m3")), ground_m2(7.5), CLOSE);
    within("top", answer.number(&format!("{first}.bank.top_m")), BANK_M, ROOM_M);
    within("cut", answer.number(&format!("{first}.bank.cut_m")), 0.5, ROOM_M);
    // From the basin's edge over three cells of bank, and half of the way down to the inlet: 97.5 is half way from 98 to 97.
    close("length", answer.number(&format!("{first}.bank.cut_length_m")), ground_m(3.5), CLOSE);
    within("sill", answer.number(&format!("{first}.bank.sill_m")), 0.0, ROOM_M);
    // Nine columns end in basin, bank and inlet, those of the ground beside them included, all with 58 rows above the basin;
    // rows 58 to 62 of two more fall in from the sides at the most.
    let area = answer.number("inlets.0.area_m2");
    let (least, most) = (ground_m2(9.0 * 58.0), ground_m2(11.0 * 63.0));
    assert!((least..=most).contains(&area), "{area} m², from {least} to {most}");
    assert_eq!(answer.at("inlets.0.takes_water"), true);
    // The plane's columns start at the edge of the data.
    assert_eq!(answer.at("inlets.0.complete"), false);
    within("distance", answer.number("inlets.0.distance_m"), 0.0, 1e-9);
    let map = answer.geojson("map.geojson");
    let banks: Vec<_> = map["features"]
        .as_array()
        .expect("features")
        .iter()
        .filter(|f| f["properties"]["kind"] == "inlet-bank")
        .collect();
    assert_eq!(banks.len(), 1);
    within("cut on the map", banks[0]["properties"]["cut_m"].as_f64().expect("a number"), 0.5, ROOM_M);
}

// The inlet stands 0.2 above the basin's floor: a cut to its own level, and 0.2 stay.
#[test]
fn the_ground_beside_is_lower_than_the_sill() {
    let answer = run(&bench_with(&basin(97.7, BANK_M)));
    let bank = "inlets.0.ponds_first.bank";
    within("cut", answer.number(&format!("{bank}.cut_m")), 0.3, ROOM_M);
    within("sill", answer.number(&format!("{bank}.sill_m")), 0.2, ROOM_M);
    within("depth", answer.number("inlets.0.ponds_first.depth_m"), 0.5, ROOM_M);
}

// No bank at all: the basin runs up to the inlet, which stands 0.3 above its floor.
#[test]
fn a_sill_without_a_bank_needs_no_cut() {
    let answer = run(&bench_with(&basin(97.8, FLOOR_M)));
    within("depth", answer.number("inlets.0.ponds_first.depth_m"), 0.3, ROOM_M);
    within("cut", answer.number("inlets.0.ponds_first.bank.cut_m"), 0.0, ROOM_M);
    within("sill", answer.number("inlets.0.ponds_first.bank.sill_m"), 0.3, ROOM_M);
}

// A ditch leads from the basin to the south at 97.8, lower than the bank: nothing of its water gets to the inlet.
#[test]
fn a_bank_holds_back_what_runs_off_another_way() {
    let ditched = basin(97.0, BANK_M)
        .with(|row, col, _| (row > 62 && col == 35).then(|| 97.8 - 0.01 * (number(row) - 63.0)));
    let answer = run(&bench_with(&ditched));
    assert!(answer.at("inlets.0.ponds_first").is_null());
    let beside = "inlets.0.beside";
    assert_eq!(answer.at(&format!("{beside}.held_back")), true);
    within("depth", answer.number(&format!("{beside}.pond.depth_m")), 0.3, ROOM_M);
    within("top", answer.number(&format!("{beside}.bank.top_m")), BANK_M, ROOM_M);
    within("cut", answer.number(&format!("{beside}.bank.cut_m")), 0.5, ROOM_M);
    let area = answer.number(&format!("{beside}.area_m2"));
    assert!(area >= ground_m2(3.0 * 63.0), "{area}");
    // Of the inlet's own column and of the bank's and what lies beside: not the basin's.
    assert!(answer.number("inlets.0.area_m2") < ground_m2(6.0 * 62.0));
}

#[test]
fn inlets_far_from_the_lot_are_not_looked_at() {
    let bench = bench_with(&plane());
    bench.write_text("inlets.csv", "id,x,y\nA,600000,4830000\n");
    let answer =
        bench.assess("base.tif", "base.geojson").lot("S").with(&["--inlets", "inlets.csv"]).run().usable();
    assert!(answer.list("inlets").is_empty());
}
