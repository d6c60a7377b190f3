use super::*;
use crate::units::{RunoffCoefficient, SoilGroup};
use approx::assert_relative_eq;

#[test]
fn every_class_of_the_built_in_table_names_its_sources() {
    let table = CoverTable::built_in();
    assert!(table.names().count() > 30);
    for name in table.names() {
        let class = table.class(name).unwrap();
        for figure in [CoverFigure::Coefficient, CoverFigure::CurveNumber, CoverFigure::Times] {
            let has = match figure {
                CoverFigure::Coefficient => class.coefficient.is_some(),
                CoverFigure::CurveNumber => class.curve_number.is_some(),
                CoverFigure::Times => class.has_surface(),
            };
            assert_eq!(!class.from.of(figure).is_empty(), has, "{name}: {figure:?}");
        }
        assert!(class.coefficient.is_some() || class.curve_number.is_some(), "{name}");
    }
    assert!(table.print().contains("lawn-good"));
}

#[test]
fn soil_and_slope_choose_the_figure_and_none_is_made_up() {
    let table = CoverTable::built_in();
    let lawn = table.class("lawn-good").unwrap();
    let c = |grade, soil| lawn.coefficient(SlopeClass::of(grade), soil).map(RunoffCoefficient::get);
    assert_eq!(c(0.019, Some(SoilGroup::B)), Some(0.07));
    assert_eq!(c(0.02, Some(SoilGroup::D)), Some(0.21));
    assert_eq!(c(0.07, Some(SoilGroup::D)), Some(0.21));
    assert_eq!(c(0.070_01, Some(SoilGroup::D)), Some(0.30));
    assert_eq!(c(0.2, Some(SoilGroup::C)), Some(0.30));
    assert_eq!(c(0.01, None), None);
    assert!(lawn.needs_soil());
    assert_eq!(lawn.curve_number(None), None);
    let roof = table.class("roof").unwrap();
    assert_relative_eq!(roof.curve_number(None).unwrap().get(), 98.0);
    assert!(roof.is_fast());
    assert_eq!(
        table.class("bare-ground").unwrap().coefficient(SlopeClass::of(0.01), Some(SoilGroup::A)),
        None
    );
}

#[test]
fn each_figure_has_its_own_source_where_the_table_says_so() {
    let text = "[sources]\na = \"A\"\nb = \"B\"\n[class.moss]\ndescription = \"moss\"\ncoefficient = 0.4\ncurve_number = [1, 2, 3, 4]\nfrom = { coefficient = \"a\", curve_number = \"b\" }\n[class.turf]\ndescription = \"turf\"\ncoefficient = 0.4\nfrom = [\"a\", \"b\"]\n";
    let table = CoverTable::built_in().with_user(text, "own.toml").unwrap();
    let source = |class, figure| table.source_of(table.class(class).unwrap(), figure);
    assert_eq!(source("moss", CoverFigure::Coefficient), "A");
    assert_eq!(source("moss", CoverFigure::CurveNumber), "B");
    assert_eq!(source("turf", CoverFigure::Coefficient), "A; B", "two sources of one figure");
    assert!(source("lawn-good", CoverFigure::CurveNumber).contains("table 2-2a"));
    assert!(source("lawn-good", CoverFigure::Coefficient).contains("Indiana"));
    assert!(source("lawn-good", CoverFigure::Times).contains("table 3-1"));
}

#[test]
fn a_users_table_adds_and_overrides() {
    let text = "[sources]\nown = \"measured\"\n[class.roof]\ndescription = \"green roof\"\ncoefficient = 0.4\nfrom = [\"own\"]\n[class.moss]\ndescription = \"moss\"\n";
    let table = CoverTable::built_in().with_user(text, "own.toml").unwrap();
    let roof = table.class("roof").unwrap();
    assert_relative_eq!(roof.coefficient(SlopeClass::Flat, None).unwrap().get(), 0.4);
    assert!(!roof.is_fast() && roof.curve_number(Some(SoilGroup::A)).is_none());
    assert_eq!(table.source_of(roof, CoverFigure::Coefficient), "measured");
    assert_eq!(table.class("moss").unwrap().description(), "moss");
}

#[test]
fn what_is_wrong_with_a_users_table_is_named_with_its_place() {
    let refused = |text: &str| CoverTable::built_in().with_user(text, "own.toml").unwrap_err().to_string();
    let class = |more: &str| format!("[class.moss]\ndescription = \"moss\"\n{more}\n");
    for (text, said) in [
        (class("colour = \"green\""), "colour"),
        (class("coefficient = 1.4"), "line 3"),
        (class("curve_number = [30, 58, 71]"), "line 3"),
        (class("from = [\"nobody\"]"), "nobody"),
        (class("[codes]\n21 = \"lawns\""), "21 for the cover class \"lawns\", which there is not; there are"),
        (class("[codes]\n21 = \"roof\"\n\"+21\" = \"moss\""), "21 more than once"),
        (class("[class.\" fern\"]\ndescription = \"fern\""), "\" fern\" has a name"),
        (class("[class.\"\"]\ndescription = \"fern\""), "\"\" has a name"),
    ] {
        assert!(refused(&text).contains(said), "{text}: {}", refused(&text));
        assert!(refused(&text).contains("own.toml"));
    }
    let unknown = CoverTable::built_in().class("lawns").unwrap_err().to_string();
    assert!(unknown.contains("lawn-good"), "{unknown}");
}
