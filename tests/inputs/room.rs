//! Room for what is dug beside the line: up to the lot line, and to what no trench may be dug through.
//!
//! The scene with the ridge: S's north side lies along y = 40 units from the scene's south-west corner, the line 0.6 m inside it unless
//! told otherwise. A trench is as wide as its pipes' outsides, 0.15 m to either side of them and 0.075 m between two.

use super::drain::{number, option, run, scene, with_inlet};
use super::random_lots::ground;
use crate::common::answer::{Answer, within};
use crate::common::bench::Bench;
use crate::common::lots::{At, Transform, WGS84};
use crate::common::rough::rough_lots;
use crate::common::scene::{NORTH, SCALE, UTM, WEST, bench_with, number as of_index, ridge};
use geo::{Area, BooleanOps, Buffer, Coord, LineString, MultiPolygon, Polygon};
use serde_json::{Value, json};

const PART: &str = "interception_line.parts.0";

/// Outside diameters of our pipes by their names, m.
const OUTSIDES: [(&str, f64); 14] = [
    ("75-smooth", 0.0826),
    ("75-corrugated", 0.093),
    ("100-smooth", 0.1071),
    ("100-corrugated", 0.119),
    ("150-smooth", 0.1594),
    ("150-corrugated", 0.177),
    ("200-smooth", 0.2134),
    ("200-corrugated", 0.236),
    ("250-smooth", 0.2667),
    ("250-corrugated", 0.295),
    ("300-smooth", 0.3175),
    ("300-corrugated", 0.363),
    ("375-smooth", 0.3886),
    ("375-corrugated", 0.448),
];

/// Width of the trench of a reach.
fn trench_m(reach: &Value) -> f64 {
    let name = reach["pipe"].as_str().expect("a name");
    let outside_m =
        OUTSIDES.iter().find(|pipe| name.starts_with(pipe.0)).map_or_else(|| panic!("{name}"), |pipe| pipe.1);
    let pipes = number(reach, "pipes");
    pipes * outside_m + 0.3 + 0.075 * (pipes - 1.0)
}

/// The widest of trench and swale along the part.
fn widest_m(option: &Value) -> f64 {
    let reaches = option["reaches"].as_array().expect("a list").iter();
    let trenches = reaches.filter(|reach| reach["place"] == "line").map(trench_m);
    trenches.chain(option["swale"]["deepest_width_m"].as_f64()).fold(0.0, f64::max)
}

/// Parts of the line as drawn, in the raster's system.
fn drawn(answer: &Answer) -> Vec<LineString> {
    let file = answer.geojson("interception-line.geojson");
    let to_raster = Transform::new(WGS84, UTM);
    let at = |at: &Value| {
        let [x, y] = [0, 1].map(|place| at[place].as_f64().expect("a number"));
        let At { x, y } = to_raster.apply(At { x, y });
        Coord { x, y }
    };
    let parts = file["features"].as_array().expect("features").iter();
    let parts = parts.filter(|feature| feature["properties"]["part"] == "line");
    parts
        .map(|part| part["geometry"]["coordinates"].as_array().expect("positions").iter().map(at).collect())
        .collect()
}

// Named, two pipes of 150 mm smooth carry it, 0.1594 m outside: with their stone 0.6938 m wide, 0.3469 m to either side. 0.3 m inside the lot they
// lie 0.0469 m beyond it, and that is said, with the setback that leaves room; with that one nothing of the kind is.
#[test]
fn two_pipes_wider_than_the_setback_leaves_room_for_are_told_and_not_recommended() {
    let near = run(&scene(), &["--arrangement", "two-pipes", "--setback", "0.3m"]).usable();
    let two = option(&near, "two-pipes");
    let beyond = &two["beyond"];
    within("widest", widest_m(two), 0.6938, 1e-9);
    within("width_m", number(beyond, "width_m"), 0.6938, 1e-6);
    within("over_m", number(beyond, "over_m"), 0.0469, 1e-3);
    within("setback_m", number(beyond, "setback_m"), 0.3469, 1e-6);
    near.must_warn("trench-beyond-lot", &["part 1", "0.30 m (0.98 ft) off", "--setback 0.35m"]);
    let wider = run(&scene(), &["--arrangement", "two-pipes", "--setback", "0.35m"]).usable();
    assert!(option(&wider, "two-pipes")["beyond"].is_null() && wider.warning("trench-beyond-lot").is_none());
    // Nobody who hasn't named them gets them.
    let free = run(&scene(), &["--setback", "0.3m"]).usable();
    let chosen = free.text(&format!("{PART}.drain.arrangement")).to_owned();
    let built = option(&free, &chosen);
    assert!(built["beyond"].is_null() && widest_m(built) <= 0.6, "{built}");
}

// 0.1 m inside there is room for 0.2 m, less than any trench: an answer, with the least setback that helps. The narrowest, of 75 mm smooth,
// is 0.3826 m wide: 0.20 m to the centimetre above, if no other is said.
#[test]
fn where_nothing_has_room_that_is_the_answer() {
    let bench = scene();
    let answer = run(&bench, &["--setback", "0.1m"]).usable();
    // What is found, and what helps.
    let words = answer.warning("drain-not-built").expect("it is said");
    assert!(words.contains("beside the lot line") && !words.contains("no pipe of the catalogue"), "{words}");
    let setback = words.split("--setback ").nth(1).and_then(|rest| rest.split(')').next()).expect("a figure");
    let wider = run(&bench, &["--setback", setback]).usable();
    assert!(wider.warning("drain-not-built").is_none(), "{words}");
}

fn area(properties: &Value, [west, south, east, north]: [f64; 4]) -> Value {
    let to_degrees = Transform::new(UTM, WGS84);
    let ring = [[west, south], [east, south], [east, north], [west, north], [west, south]];
    let ring: Vec<[f64; 2]> = ring
        .iter()
        .map(|[x, y]| to_degrees.apply(At { x: WEST + x, y: NORTH - 80.0 + y }))
        .map(|at| [at.x, at.y])
        .collect();
    json!({ "type": "Feature", "properties": properties, "geometry": { "type": "Polygon", "coordinates": [ring] } })
}

// A tree 2 units inside the lot, of which 1.5 m are kept clear, with a septic field behind it: the line turns out towards the lot line, where
// 0.35 to 0.5 m are left, room for one pipe and not for a swale 1 m wide. Without the field it turns into the lot, and has all the room there is.
#[test]
fn a_detour_towards_the_lot_line_leaves_less_room() {
    let bench = with_inlet(bench_with(&ridge()));
    let tree = area(&json!({ "kind": "tree", "distance": "1.5m", "base": "3m" }), [39.9, 37.9, 40.1, 38.1]);
    let field = area(&json!({ "kind": "septic", "distance": "0.6m" }), [21.0, 12.0, 59.0, 36.0]);
    let of = |things: &[&Value], words: &[&str]| {
        bench.write_json("keep.geojson", &json!({ "type": "FeatureCollection", "features": things }));
        run(&bench, &[&["--keep-out", "keep.geojson"], words].concat()).usable()
    };
    let answer = of(&[&tree, &field], &[]);
    let highest =
        |answer: &Answer| drawn(answer)[0].0.iter().map(|at| at.y - (NORTH - 80.0)).fold(0.0, f64::max);
    assert!(highest(&answer) > 39.45 && highest(&answer) < 39.7, "{}", highest(&answer));
    let room_m = (40.0 - highest(&answer)) / SCALE;
    let swale = &option(&answer, "swale")["beyond"];
    assert!(swale["by"] == "swale", "{}", option(&answer, "swale"));
    within("room_m", number(swale, "room_m"), room_m, 0.02);
    assert!(swale["setback_m"].is_null() && number(swale, "station_m") > 10.0, "{swale}");
    let chosen = answer.text(&format!("{PART}.drain.arrangement")).to_owned();
    let built = option(&answer, &chosen);
    assert!(0.5 * widest_m(built) <= room_m + 0.02, "{built}");
    let inner = of(&[&tree], &[]);
    assert!(highest(&inner) < 39.4 + 0.01, "{}", highest(&inner));
    let least = drawn(&inner)[0].0.iter().map(|at| at.y - (NORTH - 80.0)).fold(f64::INFINITY, f64::min);
    assert!(least < 36.5, "{least}");
}

// The works are the ground within half their width of the line, by the buffer of a general library: they stay in the lot, or it is told, with
// the part.
#[test]
fn works_stay_in_the_lot_along_any_line_or_it_is_said() {
    let (mut built, mut said) = (0, 0);
    for place in 0..5 {
        let bench = Bench::new();
        ground(place).write(&bench.path("base.tif"));
        bench.write_json("base.geojson", &rough_lots().geojson(WGS84));
        let trees: Vec<Value> = (0..24)
            .map(|i| {
                let (x, y) = (
                    22.0 + 36.3 * of_index(i % 6) + 7.0 * of_index(place),
                    38.4 - 40.0 * of_index(i / 6) + 3.1 * of_index(i % 5),
                );
                area(&json!({ "kind": "tree", "distance": "1.2m" }), [x, y, x + 0.3, y + 0.3])
            })
            .collect();
        bench.write_json("keep.geojson", &json!({ "type": "FeatureCollection", "features": trees }));
        for (lot, setback, words) in
            [("C3", "0.3m", &["--arrangement", "two-pipes"][..]), ("B2", "0.25m", &[]), ("C4", "0.5m", &[])]
        {
            let storm = [
                "--intensity",
                "120mm/h",
                "--coefficient",
                "0.5",
                "--keep-out",
                "keep.geojson",
                "--setback",
                setback,
            ];
            let answer = bench
                .assess("base.tif", "base.geojson")
                .lot(lot)
                .with(&storm)
                .with(words)
                .out(lot)
                .run()
                .usable();
            let lines = drawn(&answer);
            for (part, line) in answer.list("interception_line.parts").iter().zip(lines) {
                let drain = &part["drain"];
                let mut options = drain["options"].as_array().into_iter().flatten();
                let Some(chosen) = options.find(|it| it["arrangement"] == drain["arrangement"]) else {
                    continue;
                };
                if !chosen["not_built"].is_null() {
                    continue;
                }
                built += 1;
                let beyond_m2 =
                    works(&line, widest_m(chosen) * SCALE).difference(&outline(lot)).unsigned_area();
                if chosen["beyond"].is_null() {
                    // Positions of seven decimals lie within a centimetre.
                    assert!(
                        beyond_m2 < 0.02 * line.0.len() as f64 + 0.03,
                        "{lot} {place}: {beyond_m2} m2 of {part}"
                    );
                } else {
                    said += 1;
                    assert!(
                        answer.warning("trench-beyond-lot").or(answer.warning("swale-beyond-lot")).is_some()
                    );
                }
            }
        }
    }
    assert!(built > 10, "{built} built, {said} said to lie beyond");
}

fn works(line: &LineString, width: f64) -> MultiPolygon {
    line.buffer(0.5 * width)
}

/// Outline of one of the lots, in the raster's system.
fn outline(lot: &str) -> MultiPolygon {
    let lots = rough_lots();
    let found = lots.lots.iter().find(|other| other.id == lot).expect("the lot");
    let ring: Vec<Coord> = found.polygons[0][0].iter().map(|at| Coord { x: at.x, y: at.y }).collect();
    Polygon::new(LineString::new(ring), vec![]).into()
}
