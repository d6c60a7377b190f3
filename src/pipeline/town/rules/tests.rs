use super::*;
use crate::lots::Label;
use crate::pipeline::town::lot::{Crossed, Ponding, Shedding};

fn lot(run_on_m2: f64, largest_concentrated_m2: f64, depth_m: f64) -> LotScreen {
    LotScreen {
        label: Label::UNPARCELLED,
        parcel: 0,
        area_m2: 500.0,
        run_on_m2,
        contributors: 2,
        largest: None,
        crossed: Crossed { count: 1, largest_concentrated_m2, ..Crossed::default() },
        shedding: Shedding::default(),
        ponding: Ponding { count: 1, area_m2: 30.0, depth_m },
        edge_limited_m2: 0.0,
        is_at_edge: false,
        without_elevation: 0.0,
        flow: None,
        classed: Classed::default(),
    }
}

const RULES: &str = r#"
classes = ["first", "second"]
otherwise = "rest"
[[rule]]
name = "much"
class = "second"
when = [{ measure = "run_on_per_lot_area", at_least = 2 }]
[[rule]]
name = "in one place, and little water stands"
class = "first"
when = [{ measure = "largest_concentrated_m2", at_least = 300 }, { measure = "pond_depth_m", below = 0.2 }]
[[rule]]
name = "much flow"
class = "first"
when = [{ measure = "flow_m3_s", at_least = 0 }]
"#;

// By hand: 1000 / 500 = 2 keeps "at least 2"; a flow that isn't known keeps nothing.
#[test]
fn a_lot_gets_the_first_class_of_which_all_limits_hold_and_every_reason_with_its_figure() {
    let rules = Rules::parse(RULES).unwrap();
    let class = |lot: &LotScreen| rules.judge(lot);
    assert_eq!(class(&lot(999.0, 299.0, 0.1)).class, "rest");
    assert_eq!(class(&lot(1000.0, 400.0, 0.2)).class, "second");
    let both = class(&lot(1000.0, 300.0, 0.1));
    assert_eq!(both.class, "first");
    let names: Vec<&str> = both.reasons.iter().map(|reason| reason.rule.as_str()).collect();
    assert_eq!(names, ["in one place, and little water stands", "much"]);
    let figures: Vec<f64> = both.reasons[0].figures.iter().map(|(_, figure)| *figure).collect();
    assert!(figures.iter().zip([300.0, 0.1]).all(|(a, b)| (a - b).abs() < 1e-12), "{figures:?}");
    assert_eq!((rules.rank(&both), rules.rank(&class(&lot(0.0, 0.0, 0.0)))), (0, 2));
}

#[test]
fn rules_that_say_nothing_or_two_things_are_refused_by_name() {
    for (from, to, words) in [
        ("class = \"second\"", "class = \"third\"", "\"much\" has the class \"third\""),
        ("at_least = 2 }", "at_least = 2, below = 3 }", "\"much\" needs limits"),
        ("{ measure = \"run_on_per_lot_area\", at_least = 2 }", "", "\"much\" needs limits"),
        ("run_on_per_lot_area", "run_on_per_lot", "run_on_per_lot"),
        ("name = \"much flow\"", "name = \"much\"", "two rules are named \"much\""),
        ("otherwise = \"rest\"", "otherwise = \"first\"", "stands twice"),
        ("at_least = 300", "at_last = 300", "at_last"),
    ] {
        let found = Rules::parse(&RULES.replace(from, to)).unwrap_err().to_string();
        assert!(found.contains(words), "{found}");
    }
}

#[test]
fn the_built_in_rules_can_be_read() {
    assert!(Rules::built_in().classes().count() > 2);
}
