//! What holds of every drain and every balance, on ground without a known answer.

use super::askew::shares;
use super::drain::{cell, number, profile};
use crate::common::answer::{Answer, close};
use crate::common::bench::Bench;
use crate::common::lots::{At, WGS84};
use crate::common::raster::Raster;
use crate::common::rough::rough_lots;
use crate::common::scene::{NORTH, WEST, number as count};
use serde_json::Value;

const SIDE: usize = 240;

/// A slope with waves; each of these another ground.
fn ground(number: usize) -> Raster {
    let k = count(number);
    let phase = |i: f64| (12.989_8 * (k + 1.0) + 78.233 * i).sin() * 43_758.545_3 % 6.3;
    let (fall, across) = (0.02 + 0.012 * phase(1.0).sin().abs(), 0.02 * phase(2.0).sin());
    let (long, short) = (11.0 + 9.0 * phase(3.0).cos().abs(), 7.0 + 5.0 * phase(4.0).cos().abs());
    Raster::of(SIDE, SIDE, |row, col| {
        let (y, x) = (count(row), count(col));
        let waves = 0.3 * (x / long + phase(5.0)).sin() + 0.2 * (y / short + x / 23.0 + phase(6.0)).sin();
        120.0 - fall * y + across * x + waves
    })
}

/// Designs for lots in the middle of so many grounds, in rain strong enough that some of it is too much for
/// some.
fn answers() -> Vec<Answer> {
    let mut found = Vec::new();
    for place in 0..6 {
        let bench = Bench::new();
        ground(place).write(&bench.path("base.tif"));
        bench.write_json("base.geojson", &rough_lots().geojson(WGS84));
        // Deep inlets along the street between the second and the third row of lots.
        let rows = (0..4).map(|i| {
            let At { x, y } = At { x: WEST + 45.0 + 50.0 * count(i), y: NORTH - 86.0 };
            format!("I{i},{x},{y},113")
        });
        let inlets: Vec<String> = std::iter::once("id,x,y,invert".to_owned()).chain(rows).collect();
        bench.write_text("inlets.csv", &format!("{}\n", inlets.join("\n")));
        for (lot, rain) in [("C3", "60mm/h"), ("B2", "250mm/h"), ("C4", "15mm/h")] {
            let storm = ["--inlets", "inlets.csv", "--intensity", rain, "--coefficient", "0.4"];
            let run = bench.assess("base.tif", "base.geojson").lot(lot).with(&storm).out(lot);
            found.push(run.run().usable());
        }
    }
    found
}

// Laid as the ways to outlets are: 0.3 m of cover, 1.5 m of trench, 1 to 20 % of grade, the inlet's invert.
#[test]
fn limits_balance_and_capacity_hold_on_any_ground() {
    let (mut stations, mut reaches, mut balances, mut refusals, mut joints) = (0, 0, 0, 0, 0);
    let (mut recommended, mut steps) = (0, 0);
    for answer in answers() {
        stations += limits_hold(&answer);
        joints += no_pipe_gets_smaller(&answer);
        let parts = answer.list("interception_line.parts");
        for part in parts {
            let (carry, no) = reaches_carry(part);
            reaches += carry + no;
            refusals += no;
            recommended += usize::from(nothing_allowed_keeps_much_more(part));
            steps += usize::from(no_metre_has_more_than_a_cell_brings(part));
        }
        balances += usize::from(balance_holds(&answer));
    }
    assert!(stations > 300, "{stations} stations");
    assert!(reaches > 60 && refusals > 0, "{reaches} reaches, {refusals} of them too small, slow or fast");
    assert!(balances > 12, "{balances} balances");
    assert!(joints > 0, "no pipe joins another");
    assert!(recommended > 20, "{recommended} parts with a recommended drain");
    assert!(steps > 20, "{steps} parts with an intake");
}

// Chosen by where water crosses the lot line, lines with wide setbacks are passed by more.
#[test]
fn no_more_passes_a_line_than_is_allowed_or_it_is_told() {
    let (mut lines, mut reached) = (0, 0);
    for place in 0..4 {
        let bench = Bench::new();
        ground(place).write(&bench.path("base.tif"));
        bench.write_json("base.geojson", &rough_lots().geojson(WGS84));
        for (lot, setback, catch) in [("C3", "0.6m", "0.95"), ("B2", "2m", "0.9"), ("C4", "4m", "0.8")] {
            let words = ["--setback", setback, "--catch", catch];
            let run = bench.assess("base.tif", "base.geojson").lot(lot).with(&words).out(lot);
            let answer = run.run().usable();
            if answer.list("interception_line.parts").is_empty() {
                continue;
            }
            lines += 1;
            // Without a storm nothing that crosses a part passes it; some may come back from an outlet.
            let [before, caught, beside, edge, elsewhere] = shares(&answer);
            let allowed = (1.0 - catch.parse::<f64>().expect("a number")) * before;
            let passes = beside + edge + elsewhere;
            let back = answer.number("interception_line.proof.missed.back_m2");
            let room = 1e-6 * before;
            assert!(
                (caught + passes + back - before).abs() <= room,
                "{lot} {place}: {caught} and {passes} of {before}"
            );
            let is_out_of_reach = answer.warning("share-beyond-setback").is_some();
            let told =
                answer.warning("line-given-up").is_some() || answer.warning("setback-reduced").is_some();
            if is_out_of_reach {
                assert!(edge + elsewhere > allowed, "{lot} {place}: {edge}, {elsewhere}, {allowed} allowed");
                let of_the_rest =
                    (1.0 - catch.parse::<f64>().expect("a number")) * (before - edge - elsewhere);
                assert!(
                    beside <= of_the_rest + room || told,
                    "{lot} {place}: {beside}, {of_the_rest} allowed"
                );
            } else {
                assert!(passes <= allowed + room || told, "{lot} {place}: {passes}, {allowed} allowed");
                reached += usize::from(passes <= allowed + room);
            }
        }
    }
    assert!(lines > 8 && reached > 4, "{lines} lines, of which {reached} reach the share");
}

/// Every station of every drain: the invert never rises, cover and depth are kept; cover runs out before a mouth in the open only.
fn limits_hold(answer: &Answer) -> usize {
    let rows = profile(answer);
    let mut held = 0;
    for part in answer.list("interception_line.parts") {
        let id = part["id"].to_string();
        let Some(outlet) = part["outlet"].as_object() else { continue };
        let (length, kind) = (number(&part["outlet"], "length_m"), outlet["kind"].as_str().unwrap_or(""));
        let mine: Vec<&Vec<String>> = rows.iter().filter(|row| row[0] == id && !row[5].is_empty()).collect();
        for pair in mine.windows(2) {
            let run = cell(pair[1], 1) - cell(pair[0], 1);
            let fall = cell(pair[0], 5) - cell(pair[1], 5);
            // Printed to a millimetre.
            assert!(
                fall >= 0.01 * run - 1.1e-3 && fall <= 0.2 * run + 1.1e-3,
                "fall {fall} over {run}: {pair:?}"
            );
        }
        // The bed of the trenches, over all of their sections: printed to a millimetre.
        let beds: Vec<f64> = mine.iter().filter(|row| !row[10].is_empty()).map(|row| cell(row, 10)).collect();
        assert!(beds.windows(2).all(|pair| pair[1] <= pair[0] + 1.1e-3), "part {id}: {beds:?}");
        // On gentle ground the cover runs out over more than 10 m, which is said.
        let runs_out_m = outlet["runs_out"]["cover_m"].as_f64();
        assert!(runs_out_m.is_none() || answer.warning("cover-runs-out").is_some());
        let open_m = runs_out_m.unwrap_or(0.0).max(10.0) + 1e-6;
        for row in &mine {
            held += 1;
            if row[6].is_empty() {
                continue;
            }
            let in_the_open = ["daylight", "ditch", "kerb"].contains(&kind) && length - cell(row, 1) < open_m;
            let covered = cell(row, 7) >= 0.3 - 2e-3;
            assert!(in_the_open || covered, "cover: {row:?}, {kind}, {length} m");
            assert!(cell(row, 6) <= 1.5 + 2e-3, "trench: {row:?}");
            assert!(cell(row, 5) >= cell(row, 10) - 2e-3, "the trench holds the invert: {row:?}");
        }
        if kind == "storm-inlet" {
            let last = mine.last().map_or(f64::INFINITY, |row| cell(row, 5));
            assert!(last >= number(&part["outlet"], "invert_m") - 1.1e-3, "{part}");
        }
    }
    held
}

/// No pipe is called smaller than the one above it, and none that leaves smaller than one that has come in: how many come in.
fn no_pipe_gets_smaller(answer: &Answer) -> usize {
    let parts = answer.list("interception_line.parts");
    let leaves_mm = |part: &Value| {
        let drain = &part["drain"];
        let mut options = drain["options"].as_array().into_iter().flatten();
        let chosen = options.find(|option| option["arrangement"] == drain["arrangement"])?;
        let sizes: Vec<f64> = chosen["reaches"].as_array()?.iter().map(nominal_mm).collect();
        assert!(sizes.windows(2).all(|pair| pair[1] >= pair[0]), "{sizes:?}");
        sizes.last().copied()
    };
    let mut joints = 0;
    for part in parts {
        let Some(below_mm) = leaves_mm(part) else { continue };
        for id in part["joined"].as_array().into_iter().flatten() {
            let above = parts.iter().find(|other| other["id"] == *id).expect("a part");
            let Some(above_mm) = leaves_mm(above) else { continue };
            assert!(above_mm <= below_mm, "part {id} of {above_mm} mm goes on in {below_mm} mm: {part}");
            joints += 1;
        }
    }
    joints
}

/// What a pipe is called, before its wall.
fn nominal_mm(reach: &Value) -> f64 {
    let name = reach["pipe"].as_str().expect("a name");
    name.split('-').next().and_then(|size| size.parse().ok()).expect("a size")
}

/// Reaches that carry their flow, and those that say that they don't serve.
fn reaches_carry(part: &Value) -> (usize, usize) {
    let (mut carry, mut no) = (0, 0);
    for option in part["drain"]["options"].as_array().into_iter().flatten() {
        let reaches = option["reaches"].as_array().expect("a list");
        for reach in reaches {
            let fits = number(reach, "capacity_m3_s") >= number(reach, "flow_m3_s");
            assert_eq!(fits, reach["verdict"] != "too-small", "{reach}");
            if reach["verdict"] == "carries" {
                carry += 1;
            } else {
                no += 1;
            }
        }
        if option["carries"] == true {
            assert!(reaches.iter().all(|reach| reach["verdict"] == "carries"), "{option}");
            assert!(number(option, "capacity_m3_s") >= number(part, "flow_m3_s") * (1.0 - 1e-9), "{option}");
        }
    }
    (carry, no)
}

/// What may be built on the lot keeps no more than a tenth of the flow more than what is recommended: whether anything is.
fn nothing_allowed_keeps_much_more(part: &Value) -> bool {
    let drain = &part["drain"];
    let room_m = 2.0 * number(part, "setback_m");
    let options = drain["options"].as_array().into_iter().flatten();
    let allowed = options.filter(|option| {
        let is_too_wide = option["swale"]["deepest_width_m"].as_f64().is_some_and(|wide_m| wide_m > room_m);
        option["not_built"].is_null() && !is_too_wide
    });
    let shares: Vec<(&Value, f64)> =
        allowed.map(|option| (&option["arrangement"], number(option, "share"))).collect();
    let most = shares.iter().map(|found| found.1).fold(0.0, f64::max);
    let own = shares.iter().find(|found| *found.0 == drain["recommended"]);
    assert_eq!(own.is_some(), most > 0.0, "{shares:?}, recommended: {}", drain["recommended"]);
    let Some((_, own)) = own else { return false };
    assert!(*own > 0.0 && *own >= most - 0.1 - 1e-9, "{shares:?}, recommended: {}", drain["recommended"]);
    true
}

/// At no metre of the part does more arrive than all of its water over a cell, a metre here.
fn no_metre_has_more_than_a_cell_brings(part: &Value) -> bool {
    let mut options = part["drain"]["options"].as_array().into_iter().flatten();
    let Some(intake) = options.find_map(|option| option["intake"].as_object()) else { return false };
    let most = intake["arrives_most_m3_s"].as_f64().expect("a number");
    let least_m = number(part, "length_m").min(1.0);
    assert!(most * least_m <= number(part, "flow_m3_s") * (1.0 + 1e-6), "{most} of {part}");
    true
}

/// What is caught, left and elsewhere is what there was, each measured by itself; so is what is taken, by
/// where it goes.
fn balance_holds(answer: &Answer) -> bool {
    if answer.at("interception_line.balance_m2").is_null() {
        return false;
    }
    assert!(answer.warning("balance-open").is_none());
    let of = |name: &str| answer.number(&format!("interception_line.balance_m2.{name}"));
    close("balance", of("caught") + of("left") + of("elsewhere"), of("before"), 1e-9);
    close("before", of("before"), answer.number("run_on.area_m2"), 1e-9);
    for name in ["caught", "left", "elsewhere"] {
        assert!(of(name) >= -1e-9 * of("before"), "{name}: {}", of(name));
    }
    let left = answer.sum("interception_line.proof.left", "area_m2");
    close("left by whose it is", left, of("left"), 1e-6 + 1e-9 * of("before"));
    // What the parts take is run-on that is caught, what of it comes back, and the strip's and the lot's own.
    let taken = answer.sum("interception_line.proof.taken", "run_on_m2");
    assert!(taken >= of("caught") - 1e-6 * of("before"), "{taken} taken, {} caught", of("caught"));
    true
}
