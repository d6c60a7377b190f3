//! The reader of cover tables: any text adds sound covers to the built-in ones, or gets a refusal that names the file.

#![no_main]

use libfuzzer_sys::{Corpus, fuzz_target};
use lotshed::runoff::{CoverFigure, CoverTable, SlopeClass};
use lotshed::units::SoilGroup;
use std::sync::LazyLock;

static BUILT_IN: LazyLock<CoverTable> = LazyLock::new(CoverTable::built_in);

const SOILS: [Option<SoilGroup>; 5] =
    [None, Some(SoilGroup::A), Some(SoilGroup::B), Some(SoilGroup::C), Some(SoilGroup::D)];

fuzz_target!(|bytes: &[u8]| -> Corpus {
    let Ok(text) = std::str::from_utf8(bytes) else { return Corpus::Reject };
    match BUILT_IN.with_user(text, "fuzz") {
        Ok(table) => {
            check(&table);
            check_codes(&table, text);
            assert_eq!(table.with_user(text, "fuzz").as_ref(), Ok(&table), "a second time changes nothing");
        }
        Err(refused) => assert!(refused.to_string().contains("fuzz"), "{refused}"),
    }
    Corpus::Keep
});

fn check(table: &CoverTable) {
    let printed = table.print();
    for name in BUILT_IN.names() {
        assert!(table.class(name).is_ok(), "{name}");
    }
    for name in table.names() {
        assert!(printed.contains(name));
        let class = table.class(name).unwrap_or_else(|e| panic!("{e}"));
        for figure in [CoverFigure::Coefficient, CoverFigure::CurveNumber, CoverFigure::Times] {
            assert!(BUILT_IN.class(name).is_err() || !table.source_of(class, figure).is_empty());
        }
        for soil in SOILS {
            for grade in [0.0, 0.02, 0.05, 0.07, 1.0, f64::NAN] {
                let coefficient = class.coefficient(SlopeClass::of(grade), soil);
                assert!(coefficient.is_none_or(|c| c.get() > 0.0 && c.get() <= 1.0));
                assert!(
                    coefficient.is_some()
                        || soil.is_none()
                        || class.coefficient(SlopeClass::Flat, soil).is_none()
                );
            }
            assert!(class.curve_number(soil).is_none_or(|n| n.get() > 0.0 && n.get() <= 100.0));
            // Whether the soil changes anything is told beforehand.
            assert!(class.depends_on_soil() || class.curve_number(soil) == class.curve_number(None));
        }
    }
}

/// Every code that is written stands for what is written beside it.
fn check_codes(table: &CoverTable, text: &str) {
    let written: toml::Table = text.parse().expect("it was read before");
    let codes = written.get("codes").and_then(toml::Value::as_table);
    for (key, class) in codes.into_iter().flatten() {
        let found = table.class_of_code(key.parse().expect("it was read before"));
        assert_eq!(found, class.as_str(), "{key}");
        assert!(found.is_some_and(|class| table.class(class).is_ok()), "{key}");
    }
}
