//! Drawings of the line.

use super::{Shown, run};
use scraper::{Html, Selector};
use std::collections::BTreeSet;

/// Least and greatest place along the drawing of each closed piece of a path.
fn spans(data: &str) -> Vec<[f64; 2]> {
    let piece = |piece: &str| {
        let points = piece.split(['M', 'L']).filter(|point| !point.trim().is_empty());
        let along =
            points.map(|point| point.split_whitespace().next().expect("x").parse().expect("a number"));
        along.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], x: f64| [low.min(x), high.max(x)])
    };
    data.split('Z').filter(|text| !text.is_empty()).map(piece).collect()
}

// Stone of part 1 of Alder 2 ends between two stations, and the pipe goes on: no piece of it is left out.
#[test]
fn the_pipe_of_a_profile_has_no_gap() {
    let shown = Shown::demo("si");
    let file = |name: &str| shown.out.join(name).to_str().expect("a plain name").to_owned();
    let [elevation, parcels, inlets, rainfall] =
        ["elevation.tif", "parcels.geojson", "inlets.geojson", "rainfall.csv"].map(file);
    let mut arguments = vec!["assess", "--elevation", &elevation, "--parcels", &parcels];
    arguments.extend(["--inlets", &inlets, "--rainfall", &rainfall, "--lot", "Alder 2"]);
    arguments.extend(["--default-cover", "lawn-good", "--soil-group", "C", "--overwrite"]);
    let out = file("again");
    arguments.extend(["--out", &out]);
    run(&arguments);
    let page = std::fs::read_to_string(shown.out.join("again").join("report.html")).expect("the page");
    let page = Html::parse_document(&page);
    let pipes = Selector::parse("svg.profile path.pipe").expect("a selector");
    let mut pieces = 0;
    for pipe in page.select(&pipes) {
        let found = spans(pipe.value().attr("d").expect("a path"));
        assert!(!found.is_empty());
        for pair in found.windows(2) {
            assert!((pair[1][0] - pair[0][1]).abs() <= 0.11, "a gap from {} to {}", pair[0][1], pair[1][0]);
        }
        pieces += found.len();
    }
    assert!(pieces > 3, "{pieces} pieces");
}

// In rain that asks for two sizes along part 1 of Alder 2 it has two sections, each with a pattern for its stone.
#[test]
fn every_id_of_the_page_stands_once() {
    let shown = Shown::demo("si");
    let file = |name: &str| shown.out.join(name).to_str().expect("a plain name").to_owned();
    let [elevation, parcels, inlets] = ["elevation.tif", "parcels.geojson", "inlets.geojson"].map(file);
    let out = file("ids");
    let mut arguments = vec!["assess", "--elevation", &elevation, "--parcels", &parcels, "--inlets", &inlets];
    arguments.extend(["--lot", "Alder 2", "--intensity", "6in/h", "--coefficient", "0.8"]);
    arguments.extend(["--arrangement", "one-pipe", "--overwrite", "--out", &out]);
    run(&arguments);
    let page = std::fs::read_to_string(shown.out.join("ids").join("report.html")).expect("the page");
    let page = Html::parse_document(&page);
    let with_id = Selector::parse("[id]").expect("a selector");
    let ids: Vec<&str> = page.select(&with_id).filter_map(|mark| mark.value().attr("id")).collect();
    let once: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(once.len(), ids.len(), "an id stands twice in {ids:?}");
    let count = |marks: &str| page.select(&Selector::parse(marks).expect("a selector")).count();
    assert!(count("svg.section pattern") > count("svg.profile"), "no part has several sections");
    // Each section is filled with its own pattern.
    for section in page.select(&Selector::parse("svg.section").expect("a selector")) {
        let Some(pattern) = section.select(&Selector::parse("pattern").expect("a selector")).next() else {
            continue;
        };
        let fill = format!("url(#{})", pattern.value().attr("id").expect("an id"));
        let filled = section.select(&Selector::parse("g[fill]").expect("a selector")).next().expect("filled");
        assert_eq!(filled.value().attr("fill"), Some(&*fill));
    }
}
