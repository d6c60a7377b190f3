//! Entries 38 to 42 and 49: files of parcels, and files written.

use std::path::Path;

use crate::common::answer::Files;
use crate::common::bench::OUT;
use crate::common::layers::{self, Layer, house};
use crate::common::lots::{Lots, WGS84};
use crate::common::scene::{UTM, answer_for_s, base_bench, base_numbers};
use crate::tests::Entry;

pub(crate) fn entries() -> Vec<Entry> {
    let entry = |number, title, outcome, hold| Entry { number, title, outcome, hold };
    vec![
        entry(38, "text that is not UTF-8", "decoded, warning", latin_1),
        entry(
            39,
            "part of a shapefile missing",
            "rebuilt in memory, or 3 with the part's name",
            missing_part,
        ),
        entry(40, "archive", "looked into; 3 with the layers", archive),
        entry(41, "GeoPackage with a log beside it", "read, never written to", write_ahead),
        entry(42, "overwriting", "files of others stay", overwriting),
        entry(49, "two runs", "the same bytes", two_runs),
    ]
}

fn latin_1() {
    let bench = base_bench();
    let mut lots = Lots::base();
    "Mu~oz".clone_into(&mut lots.lots[0].id);
    lots.write(&bench.path("lots.shp"), "ESRI Shapefile", Some(UTM));
    let table = bench.path("lots.dbf");
    let mut bytes = std::fs::read(&table).expect("there is a table");
    // No code page in the header, and one byte of Latin-1.
    bytes[29] = 0;
    let at = bytes.iter().rposition(|&byte| byte == b'~').expect("the letter is there");
    bytes[at] = 0xf1;
    std::fs::write(&table, bytes).expect("it can be changed");
    // The writer may or may not have left one.
    let _ = std::fs::remove_file(bench.path("lots.cpg"));
    let answer = bench.assess("base.tif", "lots.shp").lot("S").run().usable();
    answer.must_warn("text-encoding-assumed", &[]);
    let ids: Vec<&str> = answer.list("contributors").iter().filter_map(|row| row["id"].as_str()).collect();
    assert_eq!(ids, ["Mu\u{f1}oz"]);
}

fn missing_part() {
    let bench = base_bench();
    Lots::base().write(&bench.path("lots.shp"), "ESRI Shapefile", Some(UTM));
    std::fs::remove_file(bench.path("lots.shx")).expect("there is an index");
    let answer = bench.assess("base.tif", "lots.shp").lot("S").run().usable();
    base_numbers(&answer);
    answer.must_warn("shapefile-part-missing", &["lots.shx"]);
    assert!(!bench.path("lots.shx").exists(), "it is rebuilt in memory only");
    std::fs::remove_file(bench.path("lots.prj")).expect("there is a system");
    bench.assess("base.tif", "lots.shp").lot("S").out("p").run().refused(4, &[".prj", "--parcels-crs"]);
    std::fs::remove_file(bench.path("lots.dbf")).expect("there is a table");
    bench.assess("base.tif", "lots.shp").lot("S").out("q").run().refused(3, &["lots.dbf"]);
}

fn archive() {
    let bench = base_bench();
    let inside = |name: &str| format!("/vsizip/{}/{name}", bench.path("lots.zip").display());
    let lots = Lots::base().to(WGS84);
    lots.write(Path::new(&inside("Parcels 2025/lots.geojson")), "GeoJSON", Some(WGS84));
    std::fs::copy(bench.path("base.geojson"), bench.path("readme.pdf")).expect("it can be copied");
    base_numbers(&bench.assess("base.tif", "lots.zip").lot("S").run().usable());
    lots.write(Path::new(&inside("other/plans.geojson")), "GeoJSON", Some(WGS84));
    let outcome = bench.assess("base.tif", "lots.zip").lot("S").out("both").run();
    outcome.refused(3, &["lots", "plans", "--parcels-layer"]);
}

fn write_ahead() {
    let bench = base_bench();
    let path = bench.path("lots.gpkg");
    Lots::base().write(&path, "GPKG", Some(UTM));
    // Bytes 18 and 19 of an SQLite file tell the journal's mode; 2 is write-ahead (SQLite file format, section 1.3.3).
    let mut bytes = std::fs::read(&path).expect("it is there");
    (bytes[18], bytes[19]) = (2, 2);
    std::fs::write(&path, bytes).expect("it can be changed");
    let mut rights = std::fs::metadata(&path).expect("it is there").permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&path, rights).expect("it can be made read-only");
    // Every run of a bench checks that nothing beside its result has changed or come up.
    base_numbers(&bench.assess("base.tif", "lots.gpkg").lot("S").run().usable());
}

fn overwriting() {
    let bench = base_bench();
    answer_for_s(&bench);
    let precious = bench.path(OUT).join("precious.gpkg");
    let layer =
        Layer { name: "precious", field: "note", features: vec![(house([1.0, 1.0, 2.0, 2.0]), "mine")] };
    layers::write(&precious, &[layer]);
    let before = std::fs::read(&precious).expect("it is there");
    assert_eq!(bench.assess("base.tif", "base.geojson").lot("S").run().code, Some(7));
    bench.assess("base.tif", "base.geojson").lot("S").with(&["--overwrite"]).run().usable();
    assert_eq!(std::fs::read(&precious).expect("it is still there"), before);
    // A GeoPackage of the result's own name that we did not write is not ours to replace.
    let other = base_bench();
    std::fs::create_dir(other.path(OUT)).expect("the folder can be made");
    std::fs::copy(&precious, other.path(OUT).join("assessment.gpkg")).expect("it can be copied");
    let outcome = other.assess("base.tif", "base.geojson").lot("S").with(&["--overwrite"]).run();
    assert_eq!(outcome.code, Some(7), "{}", outcome.stderr);
    let kept = std::fs::read(other.path(OUT).join("assessment.gpkg")).expect("it is still there");
    assert_eq!(kept, before, "layers of others are never lost");
}

fn two_runs() {
    let bench = base_bench();
    let first = answer_for_s(&bench);
    // Long enough for a clock's second to change.
    std::thread::sleep(std::time::Duration::from_millis(1100));
    let second = bench.assess("base.tif", "base.geojson").lot("S").out("second").run().usable();
    Files::of(&first.out).same_as(&Files::of(&second.out), "a second run");
}
