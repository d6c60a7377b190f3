//! What a user is told of a line that misses its share, by the program as it is run.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

pub(super) struct Demo {
    _folder: TempDir,
    files: PathBuf,
}

/// A result: its folder, and what stood on the screen.
pub(super) struct Result {
    out: PathBuf,
    said: String,
}

impl Demo {
    pub(super) fn written() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let files = folder.path().join("demo");
        run(&["demo", "--out", text(&files)]);
        Self { _folder: folder, files }
    }

    pub(super) fn assess(&self, lot: &str, more: &[&str]) -> Result {
        let file = |name: &str| text(&self.files.join(name)).to_owned();
        let out = self.files.join("result");
        let [elevation, parcels, buildings] =
            ["elevation.tif", "parcels.geojson", "buildings.geojson"].map(file);
        let [inlets, rainfall] = ["inlets.geojson", "rainfall.csv"].map(file);
        let mut arguments = vec!["assess", "--elevation", &elevation, "--parcels", &parcels];
        arguments.extend(["--buildings", &buildings, "--rainfall", &rainfall, "--lot", lot]);
        arguments.extend(["--default-cover", "lawn-good", "--soil-group", "C", "--units", "si"]);
        arguments.extend(["--out", text(&out), "--overwrite"]);
        if !more.contains(&"--inlets") {
            arguments.extend(["--inlets", &inlets]);
        }
        arguments.extend(more);
        let said = run(&arguments);
        Result { out, said }
    }
}

impl Result {
    pub(super) fn summary(&self) -> Value {
        serde_json::from_str(&self.read("summary.json")).expect("JSON")
    }

    fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.out.join(name)).expect("the file is there")
    }
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain name")
}

fn run(arguments: &[&str]) -> String {
    let program = env!("CARGO_BIN_EXE_lotshed");
    let output = Command::new(program).args(arguments).output().expect("the program starts");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{said}");
    said
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn caught_share(summary: &Value) -> f64 {
    let balance = &summary["interception_line"]["balance_m2"];
    number(&balance["caught"]) / number(&balance["before"])
}

fn warning<'a>(summary: &'a Value, code: &str) -> Option<&'a str> {
    list(&summary["warnings"]).iter().find(|found| found["code"] == code)?["message"].as_str()
}

// A swale has no room at 0.6 m by some centimetres. What a wider setback is said to catch is what the program finds when it is asked for,
// and the arrangement that lacked the room says why it isn't recommended.
#[test]
fn a_wider_setback_does_what_is_said_of_it() {
    let demo = Demo::written();
    let narrow = demo.assess("Alder 3", &["--catch", "1"]);
    let summary = narrow.summary();
    let line = &summary["interception_line"];
    let wider = list(&line["wider_setbacks"]);
    assert!(!wider.is_empty(), "a swale lacks the room");
    let options = list(&line["parts"][2]["drain"]["options"]);
    let swale = options.iter().find(|option| option["arrangement"] == "swale").expect("it is there");
    let why = swale["not_recommended"].as_str().expect("a reason");
    assert!(why.contains("land beyond the lot line") && narrow.said.contains(why), "{why}");
    assert!(narrow.read("report.html").contains(why));
    for found in wider {
        let setback = format!("{}m", number(&found["setback_m"]));
        let asked = demo.assess("Alder 3", &["--catch", "1", "--setback", &setback]).summary();
        let (said, is) = (number(&found["caught_share"]), caught_share(&asked));
        assert!((said - is).abs() < 1e-9, "{setback}: {said} for {is}");
        assert!(is > caught_share(&summary) + 0.005);
        for part in list(&found["parts"]) {
            let place = usize::try_from(part["part"].as_u64().expect("a number")).expect("small") - 1;
            let drain = &asked["interception_line"]["parts"][place]["drain"];
            assert_eq!(part["arrangement"], drain["arrangement"]);
        }
        let text = warning(&summary, "wider-setback-catches-more").expect("it is said");
        assert!(text.contains("instead of 0.6 m"), "{text}");
    }
}

// Each lot of the demo catches less than the 95 % wanted, some by a point or two. The reasons add up to what is missing.
#[test]
fn what_is_missing_is_told_by_reason() {
    let demo = Demo::written();
    let mut short_by_little = 0;
    for lot in ["Alder 1", "Alder 2", "Alder 3", "Alder 4", "Alder 5", "Linden 1", "Linden 6"] {
        let summary = demo.assess(lot, &[]).summary();
        let line = &summary["interception_line"];
        let (balance, missed) = (&line["balance_m2"], &line["proof"]["missed"]);
        let past: f64 = list(&missed["past_parts_m2"]).iter().map(number).sum();
        let reasons = ["beside_m2", "edge_m2", "back_m2"].map(|reason| number(&missed[reason]));
        let told = past + reasons.iter().sum::<f64>();
        let missing = number(&balance["before"]) - number(&balance["caught"]) - number(&balance["elsewhere"]);
        assert!((told - missing).abs() < 1e-6 * number(&balance["before"]), "{lot}: {told} of {missing}");
        let caught = caught_share(&summary);
        let behind =
            1.0 - (number(&missed["edge_m2"]) + number(&balance["elsewhere"])) / number(&balance["before"]);
        let is_beyond = behind < 0.95 && caught < 0.945;
        // Where the setback leaves less, of what comes behind it.
        let is_less = caught < if behind < 0.95 { 0.95 * behind } else { 0.95 } - 0.005;
        assert_eq!(warning(&summary, "line-catches-less").is_some(), is_less, "{lot}: {caught} of {behind}");
        assert_eq!(warning(&summary, "share-beyond-setback").is_some(), is_beyond, "{lot}: {behind}");
        assert!(caught >= 0.945 || is_less || is_beyond, "{lot} is short and nothing is said: {caught}");
        assert!(number(&missed["beside_m2"]) <= 0.05 * number(&balance["before"]), "{lot}: {missed}");
        short_by_little += usize::from((0.9..0.945).contains(&caught));
    }
    assert!(short_by_little > 0, "none is short by so little that it wasn't told once");
}

// Part 1 of Alder 2 comes out a metre beyond its end, so that its cover runs out along the part; part 2 joins its
// pipe and keeps its own.
#[test]
fn cover_that_runs_out_is_told_and_protected() {
    let demo = Demo::written();
    let result = demo.assess("Alder 2", &[]);
    let (summary, checks) = (result.summary(), result.read("specification.txt"));
    let parts = list(&summary["interception_line"]["parts"]);
    let thin = list(&parts[0]["drain"]["thin_cover"]);
    let last = thin.last().expect("it comes out in the open");
    let end_m = number(&parts[0]["outlet"]["length_m"]);
    assert!((number(&last["to_m"]) - end_m).abs() < 1e-6 && number(&last["cover_m"]) < 0.0);
    assert!(list(&parts[1]["drain"]["thin_cover"]).is_empty(), "it joins the first's pipe");
    assert_eq!(checks.matches("[ ] thin cover: less than 0.30 m").count(), 1);
    let text = warning(&summary, "cover-less-than-asked").expect("it is told");
    assert!(text.contains("part 1") && text.contains("none at the least"), "{text}");
}

// The inlet named by its place is that inlet: one place, with the invert named.
#[test]
fn a_named_inlet_is_one_place() {
    let demo = Demo::written();
    let inlets: Value = serde_json::from_str(
        &std::fs::read_to_string(demo.files.join("inlets.geojson")).expect("the file is there"),
    )
    .expect("JSON");
    let inlet = &inlets["features"][0];
    let at = list(&inlet["geometry"]["coordinates"]);
    let named = format!("{},{},4.5m", at[0], at[1]);
    let summary = demo.assess("Alder 4", &["--outlet", &named]).summary();
    for part in list(&summary["interception_line"]["parts"]) {
        let ways = list(&part["outlets"]);
        let to_it: Vec<&Value> = ways.iter().filter(|way| way["id"] == inlet["properties"]["id"]).collect();
        assert_eq!(to_it.len(), 2, "by either end: {to_it:?}");
        assert!(to_it.iter().all(|way| way["kind"] == "storm-inlet" && way["invert_m"] == 4.5));
        // The proposed way's row is that of the design.
        assert_eq!(ways[0], part["outlet"]);
    }
}

// Inlets beside Alder 4's: the one 80 m off is tried, and the one without an invert is counted.
#[test]
fn every_inlet_given_is_tried_or_counted() {
    let demo = Demo::written();
    let [lon, lat] = [-90.482_033_939, 47.300_710_151];
    // Metres to the west and to the south; 111.2 km a degree, and 75.5 km at 47.3 degrees of latitude.
    let rows = [("near", [0.0, 0.0], "1.2"), ("far", [80.0, 0.0], "1.2"), ("dry", [30.0, 0.0], "")];
    let row = |(id, [west_m, south_m], depth): &(&str, [f64; 2], &str)| {
        format!("{id},{},{},{depth}\n", lon - west_m / 75_500.0, lat - south_m / 111_200.0)
    };
    let table: String = rows.iter().map(row).collect();
    let path = demo.files.join("own.csv");
    std::fs::write(&path, format!("id,lon,lat,depth\n{table}")).expect("it can be written");
    let result = demo.assess("Alder 4", &["--inlets", text(&path)]);
    for part in list(&result.summary()["interception_line"]["parts"]) {
        let ways = list(&part["outlets"]);
        for id in ["near", "far"] {
            assert!(ways.iter().any(|way| way["id"] == id), "{id} has no row");
        }
        let not_tried = &part["inlets_not_tried"];
        let counts = ["beyond", "after_nearest", "without_invert"].map(|field| not_tried[field].as_u64());
        assert_eq!(counts, [Some(0), Some(0), Some(1)]);
    }
    assert!(
        result.said.contains("storm inlets not tried: 1 without an invert or a depth"),
        "{}",
        result.said
    );
}

// Linden 2's way out leads over lots below it: nobody digs there without their owners.
#[test]
fn a_lead_over_neighbours_asks_for_their_permission() {
    let demo = Demo::written();
    let result = demo.assess("Linden 2", &[]);
    let (summary, checks) = (result.summary(), result.read("specification.txt"));
    let crossed: Vec<&Value> = list(&summary["interception_line"]["parts"])
        .iter()
        .flat_map(|part| list(&part["outlet"]["parcels"]))
        .collect();
    assert!(!crossed.is_empty(), "its lead runs over no other lot");
    let permissions: Vec<&str> = checks.lines().filter(|line| line.starts_with("[ ] permission: ")).collect();
    for parcel in crossed {
        let id = parcel.as_str().expect("an id");
        assert!(
            permissions.iter().any(|line| line.contains(id) && line.contains("agreed in writing")),
            "{id}"
        );
    }
    assert!(warning(&summary, "outlet-over-other-parcels").is_some());
    assert!(result.read("report.html").contains("nobody digs there before the owner has agreed in writing"));
}
