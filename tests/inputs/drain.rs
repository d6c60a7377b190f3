//! Drains of whole runs: on the scene with the ridge, whose run-on enters evenly over S's north edge, and on the demo.
//!
//! An inlet lies low enough 6 units east of S, so that the line along the contour falls 1 % to it.

use crate::common::answer::{Answer, close, within};
use crate::common::bench::{Bench, OUT, Outcome};
use crate::common::lots::At;
use crate::common::scene::{NORTH, WEST, bench_with, ridge};
use serde_json::Value;

const PART: &str = "interception_line.parts.0";
const STORM: [&str; 6] = ["--inlets", "inlets.csv", "--intensity", "100mm/h", "--coefficient", "0.35"];

pub(crate) fn scene() -> Bench {
    with_inlet(bench_with(&ridge()))
}

pub(crate) fn with_inlet(bench: Bench) -> Bench {
    let At { x, y } = At { x: WEST + 66.5, y: NORTH - 55.5 };
    bench.write_text("inlets.csv", &format!("id,x,y,invert\nA,{x},{y},97.5\n"));
    bench
}

pub(crate) fn run(bench: &Bench, words: &[&str]) -> Outcome {
    bench.assess("base.tif", "base.geojson").lot("S").with(&STORM).with(words).with(&["--overwrite"]).run()
}

pub(crate) fn option<'a>(answer: &'a Answer, arrangement: &str) -> &'a Value {
    let options = answer.list(&format!("{PART}.drain.options"));
    options.iter().find(|o| o["arrangement"] == arrangement).unwrap_or_else(|| panic!("no {arrangement}"))
}

pub(crate) fn number(value: &Value, field: &str) -> f64 {
    value[field].as_f64().unwrap_or_else(|| panic!("{field}: {value}"))
}

pub(crate) fn profile(answer: &Answer) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(answer.out.join("profile.csv")).expect("the file is there");
    text.lines().skip(1).map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

fn specification(answer: &Answer) -> String {
    std::fs::read_to_string(answer.out.join("specification.txt")).expect("the file is there")
}

pub(crate) fn cell(row: &[String], place: usize) -> f64 {
    row[place].parse().unwrap_or_else(|_| panic!("column {place} of {row:?}"))
}

// Even inflow: at a station the share of the flow is that of the length; beyond the part all of it.
#[test]
fn flow_grows_evenly_along_an_even_line_and_the_lead_has_all() {
    let answer = run(&scene(), &["--arrangement", "one-pipe"]).usable();
    let flow = answer.number(&format!("{PART}.flow_m3_s"));
    let length = answer.number(&format!("{PART}.length_m"));
    let rows = profile(&answer);
    let mut compared = 0;
    for row in &rows {
        let station = cell(row, 1);
        let expected = flow * (station / length).min(1.0);
        // A cell's width of inflow, and what comes to the ends, is 4 %.
        within("flow by station", cell(row, 8), expected, 0.04 * flow);
        compared += 1;
    }
    assert!(compared > 40, "{compared} stations");
    close("the lead has all", cell(rows.last().expect("rows"), 8), flow, 1e-3);
    let one = option(&answer, "one-pipe");
    let reaches = one["reaches"].as_array().expect("reaches");
    for reach in reaches {
        assert!(
            number(reach, "capacity_m3_s") >= number(reach, "flow_m3_s") || reach["verdict"] == "too-small"
        );
        let fall = number(reach, "from_invert_m") - number(reach, "to_invert_m");
        close(
            "grade",
            number(reach, "grade"),
            fall / (number(reach, "to_m") - number(reach, "from_m")),
            1e-6,
        );
    }
    let last = reaches.last().expect("a lead");
    assert_eq!(last["place"], "lead");
    close("flow of the lead", number(last, "flow_m3_s"), flow, 1e-9);
    assert_eq!(&one["outlet_reach"], last);
    // Manning just full in SI, with the row's own inside diameter and a solid pipe's n 0.011.
    let (d, s) = (number(last, "inside_m"), number(last, "grade"));
    let full = std::f64::consts::PI * d * d / 4.0 * (d / 4.0).powf(2.0 / 3.0) * s.sqrt() / 0.011;
    close("capacity of the lead", number(last, "capacity_m3_s"), full, 1e-6);
    close("capacity", answer.number(&format!("{PART}.capacity_m3_s")), number(one, "capacity_m3_s"), 1e-12);
    let (from, to) =
        (answer.number(&format!("{PART}.from_invert_m")), answer.number(&format!("{PART}.to_invert_m")));
    assert!(from > to, "{from} to {to}");
}

#[test]
fn the_named_arrangement_is_built_and_the_others_stand_beside_it() {
    let bench = scene();
    for name in ["one-pipe", "two-pipes", "swale", "swale-over-drain", "basins"] {
        let answer = run(&bench, &["--arrangement", name]).usable();
        assert_eq!(answer.text(&format!("{PART}.drain.arrangement")), name);
        assert_eq!(answer.list(&format!("{PART}.drain.options")).len(), 5);
        assert!(answer.at("provenance.settings.analysis.drain.arrangement") == name);
        // The part itself is told by the arrangement that is built.
        let built = option(&answer, name);
        assert_eq!(answer.at(&format!("{PART}.section")), &built["section"]);
        assert!(
            answer.warning("line-dips").is_none() && answer.warning("ground-flatter-than-grade").is_none()
        );
        if built["carries"] == false {
            answer.must_warn("drain-carries-part", &["part 1"]);
        }
        assert!(answer.out.join("specification.txt").exists());
        assert!(!answer.list("specification").is_empty());
    }
    let near = run(&bench, &["--arrangement", "swale", "--setback", "0.2m"]).usable();
    near.must_warn("swale-beyond-lot", &["part 1", "0.2 m (0.7 ft) inside"]);
    let two = run(&bench, &["--arrangement", "two-pipes"]).usable();
    let rows = profile(&two);
    assert!(rows[0][9].starts_with("2 x ") && !rows[rows.len() - 1][9].contains('x'), "{rows:?}");
    let tie_in = option(&two, "two-pipes")["tie_in"].as_str().expect("a sentence").to_owned();
    assert!(tie_in.contains("one solid pipe") && tie_in.contains("outside diameter"), "{tie_in}");
    // S's north edge is level: no swale.
    assert_eq!(option(&two, "swale")["swale"]["verdict"], "too-flat");
    let recommended = run(&bench, &[]);
    assert!(recommended.stderr.contains("drain (recommended)"), "{}", recommended.stderr);
    let answer = recommended.usable();
    assert_eq!(
        answer.at(&format!("{PART}.drain.arrangement")),
        answer.at(&format!("{PART}.drain.recommended"))
    );
    run(&bench, &["--arrangement", "three-pipes"])
        .stderr
        .contains("two-pipes")
        .then_some(())
        .expect("it names them");
}

// Digging along the line: the trench's width times the area of its long side, by profile.csv.
#[test]
fn the_digging_is_that_of_the_profile() {
    let answer = run(&scene(), &["--arrangement", "one-pipe"]).usable();
    let part_m = answer.number(&format!("{PART}.length_m"));
    let rows = profile(&answer);
    let side: f64 = rows
        .windows(2)
        .filter(|pair| cell(&pair[1], 1) <= part_m)
        .map(|pair| 0.5 * (cell(&pair[0], 6) + cell(&pair[1], 6)) * (cell(&pair[1], 1) - cell(&pair[0], 1)))
        .sum();
    let one = option(&answer, "one-pipe");
    let width = number(&one["intake"], "width_m");
    // Stone fills the trench but for the pipe: the volume that it and the pipe take along the line.
    let first = &one["reaches"][0];
    assert_eq!(first["pipe"], one["reaches"][1]["pipe"], "one size, so that one width holds");
    let outside = { width - 0.3 };
    let pipe = std::f64::consts::PI * outside * outside / 4.0 * part_m;
    // The last metre, cut off at a station, is some 2 %.
    close("stone", number(one, "stone_m3") + pipe, side * width, 0.04);
    let rows = answer.list("quantities");
    let row = |item: &str| rows.iter().find(|row| row["item"] == item).unwrap_or_else(|| panic!("no {item}"));
    close("excavation", number(row("excavation"), "quantity"), number(one, "dug_m3"), 1e-9);
    let pipe_m: f64 = rows
        .iter()
        .filter(|row| row["item"].as_str().expect("a name").starts_with("pipe-"))
        .map(|row| number(row, "quantity"))
        .sum();
    close("pipe", pipe_m, answer.number(&format!("{PART}.outlet.length_m")), 1e-6);
    let csv = std::fs::read_to_string(answer.out.join("quantities.csv")).expect("the file is there");
    assert!(
        csv.starts_with("item,unit,quantity,waste_percent,unit_price,amount,note,count,")
            && csv.contains("\nexcavation,m3,"),
        "{csv}"
    );
    assert_eq!(csv.lines().count(), rows.len() + 1);
    assert!(answer.at("bill.total").is_null() && answer.list("bill.exclusions").len() > 5);
}

#[test]
fn prices_are_multiplied_and_what_has_none_is_said() {
    let bench = scene();
    bench.write_text(
        "prices.csv",
        "item,unit,price EUR\nexcavation,yd3,30\nstone-57,t,50\ntruckload,each,0\n",
    );
    let outcome = run(&bench, &["--arrangement", "one-pipe", "--prices", "prices.csv"]);
    assert!(outcome.stderr.contains("Total: ") && outcome.stderr.contains("EUR"), "{}", outcome.stderr);
    let answer = outcome.usable();
    answer.must_warn("prices-missing", &["fabric"]);
    // The load is priced, so that nothing lacks for spoil.
    let unpriced = answer.list("bill.unpriced");
    assert!(unpriced.iter().any(|item| item == "fabric"), "{unpriced:?}");
    assert!(!unpriced.iter().any(|item| item.as_str().expect("a name").contains("spoil")), "{unpriced:?}");
    let rows = answer.list("quantities");
    let row = |item: &str| rows.iter().find(|row| row["item"] == item).unwrap_or_else(|| panic!("no {item}"));
    let dug = row("excavation");
    assert_eq!(dug["unit"], "yd3");
    // A cubic yard is 0.764 554 9 m3 (NIST SP 811).
    let one = option(&answer, "one-pipe");
    close("yards", number(dug, "quantity"), number(one, "dug_m3") / 0.764_554_9, 1e-6);
    let stone = row("stone-57");
    close("tonnes", number(stone, "quantity"), number(one, "stone_m3") * 1.661, 1e-6);
    close("ordered", number(stone, "ordered"), 1.1 * number(stone, "quantity"), 1e-9);
    // Each amount is rounded to the cent, and the total is their sum.
    let cents = |amount: f64| (100.0 * amount).round() / 100.0;
    let total = cents(30.0 * number(dug, "quantity")) + cents(50.0 * number(stone, "ordered"));
    close("total", answer.number("bill.total"), total, 1e-9);
    assert_eq!(answer.text("bill.currency"), "EUR");
    assert!(one["price"].is_null(), "not every item has a price");
    assert!(answer.list("provenance.inputs").iter().any(|file| file["path"] == "prices.csv"));
}

#[test]
fn price_lists_that_can_not_be_used_are_refused_with_the_line() {
    let bench = scene();
    for (text, words) in [
        ("item,unit,price\ngold,m3,30\n", ["prices.csv, line 2", "gold"]),
        ("item,unit,price\nfabric,t,30\n", ["prices.csv, line 2", "not measured in"]),
        ("item,unit,price\nfabric,m2,cheap\n", ["prices.csv, line 2", "cheap"]),
        ("", ["prices.csv", "no price"]),
    ] {
        bench.write_text("prices.csv", text);
        refused(&bench, &["--prices", "prices.csv"], 3, &words);
    }
    refused(&bench, &["--prices", "nowhere.toml"], 3, &["nowhere.toml"]);
}

/// Refused, on a bench on which nothing was kept before.
fn refused(bench: &Bench, words: &[&str], code: i32, said: &[&str]) {
    run(bench, words).refused(code, said);
}

pub(crate) fn pipe(nominal_mm: f64, inlet_cm2_per_m: f64) -> String {
    format!(
        "[[pipe]]\nnominal_mm = {nominal_mm:?}\nnominal_in = {:?}\ninside_mm = {nominal_mm:?}\noutside_mm = {:?}\nwall = \"smooth\"\nmanning_n = 0.012\nsolid_n = 0.011\ninlet_cm2_per_m = {inlet_cm2_per_m:?}\npiece_m = 3.0\npiece = \"stick\"\njoint = \"bell\"\nsource = \"invented for a test\"\n",
        nominal_mm / 25.0,
        nominal_mm + 10.0
    )
}

#[test]
fn a_catalogue_of_ones_own_adds_to_ours_or_is_all_of_it() {
    let bench = scene();
    // Ours are still there, so that none is larger than it must be.
    bench.write_text("pipes.toml", &pipe(400.0, 30.0));
    let answer = run(&bench, &["--catalogue", "pipes.toml", "--arrangement", "one-pipe"]).usable();
    let reaches = option(&answer, "one-pipe")["reaches"].as_array().expect("reaches");
    assert!(reaches.iter().all(|reach| reach["pipe"] != "400-smooth"), "{reaches:?}");
    bench.write_text("pipes.toml", &format!("only = true\n{}", pipe(400.0, 30.0)));
    let answer = run(&bench, &["--catalogue", "pipes.toml", "--arrangement", "one-pipe"]).usable();
    for reach in option(&answer, "one-pipe")["reaches"].as_array().expect("reaches") {
        assert_eq!(reach["pipe"], "400-smooth");
    }
    assert!(answer.list("provenance.inputs").iter().any(|file| file["path"] == "pipes.toml"));
    // Pipe without holes is no pipe for stone.
    bench.write_text("pipes.toml", &format!("only = true\n{}", pipe(400.0, 0.0)));
    let answer = run(&bench, &["--catalogue", "pipes.toml", "--arrangement", "one-pipe"]).usable();
    answer.must_warn("drain-not-built", &["one perforated pipe in stone"]);
    assert!(answer.list("quantities").is_empty() && answer.at("bill").is_null());
    // It takes nothing, and the files say what isn't there.
    close("taken", answer.number("interception_line.proof.taken.0.takes_share"), 0.0, 1e-12);
    close("caught", answer.number("interception_line.balance_m2.caught"), 0.0, 1e-12);
    let text = specification(&answer);
    assert!(text.contains("[ ] not built: ") && text.contains("Not in the quantities"), "{text}");
    assert!(text.contains("Bear in mind") && !text.contains("cored by"), "{text}");
    let found: Vec<&Value> =
        answer.list(&format!("{PART}.drain.options")).iter().map(|o| &o["arrangement"]).collect();
    assert_eq!(found, ["swale", "basins"]);
}

// 1600 m2 of run-on and more with 0.35 and 100 mm/h: some 16 L/s over 40 m, 0.4 a metre. Eight inches carry
// 35 L/s at 1 %; with 0.5 cm2 of holes in a metre, half of them open, under half a metre of stone, no more
// than 0.6 x 0.25e-4 x (2 x 9.8 x 0.5)^(1/2) = 0.05 L/s a metre get in.
#[test]
fn a_larger_pipe_is_laid_where_the_holes_of_the_smaller_do_not_let_the_water_in() {
    let bench = scene();
    let one_pipe = |pipes: &str| {
        bench.write_text("pipes.toml", &format!("only = true\n{pipes}"));
        run(&bench, &["--catalogue", "pipes.toml", "--arrangement", "one-pipe"]).usable()
    };
    let few = one_pipe(&pipe(200.0, 0.5));
    let option_of = |answer: &Answer| option(answer, "one-pipe").clone();
    assert_eq!(option_of(&few)["limited_by"], "holes");
    assert!(number(&option_of(&few), "share") < 0.2);
    let both = one_pipe(&(pipe(200.0, 0.5) + &pipe(250.0, 30.0)));
    for reach in option_of(&both)["reaches"].as_array().expect("reaches") {
        assert_eq!((&reach["pipe"], &reach["verdict"]), (&"250-smooth".into(), &"carries".into()));
    }
    close("share", number(&option_of(&both), "share"), 1.0, 1e-9);
    assert!(option_of(&both)["limited_by"].is_null());
    // With holes enough the smaller one serves.
    let enough = one_pipe(&(pipe(200.0, 30.0) + &pipe(250.0, 30.0)));
    assert_eq!(option_of(&enough)["reaches"][0]["pipe"], "200-smooth");
}

#[test]
fn materials_of_ones_own_add_to_ours_and_are_named_in_the_result() {
    let bench = scene();
    let top = "[top.gravel]\ndescription = \"gravel\"\nintake_mm_h = [500, 900]\nsource = \"measured\"\n";
    let finish = "[finish.walk]\ndescription = \"a walk of gravel\"\nsurface = \"stone\"\nsod_mm = 0\ntopsoil_mm = 0\ntopsoil = \"back\"\nsand_mm = 0\nwrap = \"full\"\ntop = \"gravel\"\nsource = \"ours\"\n";
    bench.write_text("own.toml", &format!("{top}{finish}"));
    let words = ["--materials", "own.toml", "--finish", "walk", "--arrangement", "one-pipe"];
    let answer = run(&bench, &words).usable();
    let intake = &option(&answer, "one-pipe")["intake"];
    let least = intake["takes_m3_s"][0].as_f64().expect("a number");
    close("500 mm/h", least, 0.5 / 3600.0 * number(intake, "width_m"), 1e-9);
    assert!(answer.list("provenance.inputs").iter().any(|file| file["path"] == "own.toml"));
    assert!(specification(&answer).contains("[ ] finish: a walk of gravel"));
    // The same as a key of a job file.
    let job = "elevation = [\"base.tif\"]\nparcels = \"base.geojson\"\nlot = \"S\"\nmaterials = \"own.toml\"\nfinish = \"walk\"\nout = \"job\"\n";
    bench.write_text("job.toml", job);
    bench.program(&["assess", "job.toml"]).out("job").run().usable();
    // What is wrong is said with file and entry.
    let bench = scene();
    bench.write_text("own.toml", &top.replace("500", "-5"));
    refused(&bench, &["--materials", "own.toml"], 3, &["own.toml", "top.gravel"]);
    bench.write_text("own.toml", &finish.replace("gravel\"\nsource", "moss\"\nsource"));
    refused(&bench, &["--materials", "own.toml"], 3, &["own.toml", "finish.walk"]);
    refused(&bench, &["--materials", "nowhere.toml"], 3, &["nowhere.toml"]);
    refused(&bench, &["--finish", "walk"], 2, &["--finish"]);
}

#[test]
fn catalogues_that_can_not_be_used_are_refused() {
    let bench = scene();
    for (text, words) in [
        ("[[pipe]]\nnominal_mm = 100\n".to_owned(), ["pipes.toml", "missing field"]),
        (String::new(), ["pipes.toml", "no pipe"]),
        (pipe(400.0, -1.0), ["pipes.toml", "inlet_cm2_per_m"]),
    ] {
        bench.write_text("pipes.toml", &text);
        refused(&bench, &["--catalogue", "pipes.toml"], 3, &words);
    }
    refused(&bench, &["--catalogue", "nowhere.toml"], 3, &["nowhere.toml"]);
    refused(&bench, &["--finish", "marble"], 2, &["--finish", "irrigated-lawn"]);
    refused(&bench, &["--trench-soil", "cheese"], 2, &["--trench-soil", "loam"]);
    refused(&bench, &["--stone", "99"], 2, &["--stone", "57"]);
    refused(&bench, &["--fines", "150%"], 2, &["--fines"]);
    refused(&bench, &["--arrangement", "three-pipes"], 2, &["two-pipes"]);
}

// Bare stone takes 20 000 mm/h at the least, thin sod 33: as many times as much.
#[test]
fn the_finish_decides_what_gets_in() {
    let bench = scene();
    let bare = run(&bench, &["--arrangement", "one-pipe"]).usable();
    let lawn = run(&bench, &["--arrangement", "one-pipe", "--finish", "irrigated-lawn"]).usable();
    let takes = |answer: &Answer| {
        let intake = &option(answer, "one-pipe")["intake"];
        intake["takes_m3_s"][0].as_f64().expect("a number") / number(intake, "width_m")
    };
    close("bare stone and thin sod", takes(&bare) / takes(&lawn), 20_000.0 / 33.0, 1e-9);
    assert!(number(option(&lawn, "one-pipe"), "share") < number(option(&bare, "one-pipe"), "share"));
    lawn.must_warn("drain-carries-part", &["top of its trench"]);
    // What limits it stands in the proof and on the screen; what each remedy would take, in its needs.
    let one = option(&lawn, "one-pipe");
    assert_eq!(one["limited_by"], "top");
    assert!(lawn.text("interception_line.proof.taken.0.limited_by").starts_with("the top of its trench"));
    assert!(lawn.stderr.contains("limited by the top of its trench"), "{}", lawn.stderr);
    let needs: Vec<&str> = one["needs"].as_array().expect("needs").iter().filter_map(Value::as_str).collect();
    let bare_percent = 100.0 * number(&one["intake"], "bare_stone_share");
    close("bare stone", bare_percent, 100.0 * number(option(&bare, "one-pipe"), "share"), 1e-3);
    let told =
        format!("stone up to the surface of the same trench, kept clean, would take {bare_percent:.1} %");
    assert!(needs.contains(&told.as_str()), "{needs:?}");
    let basins = option(&lawn, "basins");
    let (count, share) = (basins["basins"].as_array().map_or(0, Vec::len), number(basins, "share"));
    let told = format!(
        "{count} basins on a solid pipe would keep {:.1} % off the lot",
        (share * 1000.0).floor() / 10.0
    );
    assert!(needs.contains(&told.as_str()), "{needs:?}");
    assert!(lawn.list("quantities").iter().any(|row| row["item"] == "sod-back"));
    assert!(lawn.list("quantities").iter().any(|row| row["item"] == "sand"));
}

#[test]
fn without_a_storm_or_an_outlet_nothing_is_designed_and_that_is_said() {
    let bench = scene();
    bench.write_text("prices.csv", "item,unit,price\nexcavation,m3,30\n");
    let words = ["--overwrite", "--prices", "prices.csv"];
    let no_storm = bench
        .assess("base.tif", "base.geojson")
        .lot("S")
        .with(&["--inlets", "inlets.csv"])
        .with(&words)
        .run()
        .usable();
    no_storm.must_warn("drain-not-designed", &["no storm is given"]);
    assert!(no_storm.at(&format!("{PART}.drain")).is_null());
    assert!(no_storm.warning("ground-flatter-than-grade").is_none(), "the pipe's profile answers it");
    assert!(!no_storm.out.join("specification.txt").exists());
    let csv = std::fs::read_to_string(no_storm.out.join("quantities.csv")).expect("the file is there");
    assert_eq!(csv.lines().count(), 1);
    let no_outlet = run(&bench, &["--max-depth", "0.4m", "--arrangement", "one-pipe"]).usable();
    no_outlet.must_warn("drain-not-designed", &["no outlet by gravity"]);
    no_outlet.must_warn("ground-flatter-than-grade", &["part 1"]);
    assert!(no_outlet.list("specification").is_empty());
}

// The example list leaves nothing of the demo without a price, so that its arrangements stand side by side with theirs.
#[test]
fn the_demo_is_priced_by_the_example_list() {
    let bench = Bench::new();
    assert_eq!(bench.program(&["demo", "--out", OUT]).out("demo").run().code, Some(0));
    for name in ["prices-example.toml", "prices-example.csv"] {
        let list = format!("{}/docs/{name}", env!("CARGO_MANIFEST_DIR"));
        let words = "assess --elevation demo/elevation.tif --parcels demo/parcels.geojson --buildings demo/buildings.geojson --inlets demo/inlets.geojson --default-cover lawn-good --soil-group C --rainfall demo/rainfall.csv --catch 0.9 --overwrite --out";
        let words: Vec<&str> = words.split(' ').chain([OUT, "--lot", "Alder 4", "--prices", &list]).collect();
        let outcome = bench.program(&words).run();
        let said = outcome.stderr.clone();
        let answer = outcome.usable();
        assert!(answer.warning("prices-missing").is_none(), "{said}");
        assert_eq!(answer.list("bill.unpriced").len(), 0);
        let rows = answer.list("quantities");
        let amounts = rows.iter().filter_map(|row| row["amount"].as_f64());
        close("total", answer.number("bill.total"), amounts.sum(), 1e-9);
        // Spoil goes by the load.
        assert!(rows.iter().all(|row| row["amount"].is_number() || row["item"] == "spoil"), "{rows:?}");
        let mut compared = 0;
        for part in answer.list("interception_line.parts") {
            for option in part["drain"]["options"].as_array().expect("options") {
                if option["not_built"].is_null() {
                    let price = format!("{:.0} USD by the price list", number(option, "price"));
                    assert!(said.contains(&price), "{price} in {said}");
                    compared += 1;
                }
            }
        }
        assert!(compared >= 4, "{compared} arrangements with a price");
    }
}

// A cubic metre is 1.307 951 yd3, a foot 0.3048 m, a short ton 0.907 184 74 t (NIST SP 811). Whatever the price list counts in, each row stands in
// SI and in US units, in columns of one unit each.
#[test]
fn every_quantity_stands_in_both_systems() {
    let bench = scene();
    bench.write_text("prices.csv", "item,unit,price EUR\nexcavation,yd3,30\nstone-57,t,50\n");
    let read = |answer: &Answer| -> (Vec<String>, Vec<Vec<String>>) {
        let text = std::fs::read(answer.out.join("quantities.csv")).expect("the file is there");
        let mut table = ::csv::Reader::from_reader(&text[..]);
        let head = table.headers().expect("a head").iter().map(str::to_owned).collect();
        let rows = table.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect());
        (head, rows.collect())
    };
    let priced = read(&run(&bench, &["--arrangement", "one-pipe", "--prices", "prices.csv"]).usable());
    let plain = read(&run(&bench, &["--arrangement", "one-pipe"]).usable());
    let head = &priced.0;
    assert_eq!(
        head[7..].join(","),
        "count,length_m,area_m2,volume_m3,mass_t,length_ft,area_ft2,volume_yd3,mass_short_ton"
    );
    let value = |row: &[String], name: &str| {
        let place = head.iter().position(|column| column == name).expect("the column");
        row[place].parse::<f64>().ok()
    };
    let mut compared = 0;
    for (priced, plain) in priced.1.iter().zip(&plain.1) {
        assert_eq!(priced[7..], plain[7..], "whatever it is priced by");
        for (si, us, one) in [
            ("length_m", "length_ft", 0.3048),
            ("area_m2", "area_ft2", 0.3048 * 0.3048),
            ("volume_m3", "volume_yd3", 0.764_554_858),
            ("mass_t", "mass_short_ton", 0.907_184_74),
        ] {
            let pair = (value(priced, si), value(priced, us));
            assert_eq!(pair.0.is_some(), pair.1.is_some());
            if let (Some(si), Some(us)) = pair {
                within(&priced[0], us * one, si, 0.002);
                compared += 1;
            }
        }
        assert!(value(priced, "count").is_some() || priced[7..].iter().any(|cell| !cell.is_empty()));
        // Without prices the row's own quantity is in SI.
        let own = plain[2].parse::<f64>().expect("a number");
        let same = |name: &str| value(plain, name).is_some_and(|found| (found - own).abs() < 1e-9);
        assert!(["count", "length_m", "area_m2", "volume_m3", "mass_t"].into_iter().any(same), "{plain:?}");
    }
    assert!(compared > 6, "{compared}");
}

// Each reach says the roughness that it is reckoned with: along the line the catalogue's of perforated pipe, on the lead that of solid pipe.
#[test]
fn reaches_say_their_roughness() {
    let outcome = run(&scene(), &["--arrangement", "one-pipe"]);
    let said = outcome.stderr.clone();
    let answer = outcome.usable();
    let reaches = option(&answer, "one-pipe")["reaches"].as_array().expect("reaches");
    let mut seen = 0;
    for reach in reaches {
        let smooth = reach["pipe"].as_str().expect("a name").ends_with("smooth");
        let expected = match (reach["place"].as_str().expect("a place"), smooth) {
            ("line", true) => 0.012,
            ("lead", true) => 0.011,
            ("line", false) => 0.018,
            _ => 0.015,
        };
        close("n", number(reach, "manning_n"), expected, 1e-12);
        assert!(said.contains(&format!(", n {expected}, ")), "{said}");
        seen += 1;
    }
    assert!(seen >= 2, "{seen}");
}
