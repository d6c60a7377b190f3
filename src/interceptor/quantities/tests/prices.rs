use super::*;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn known() -> KnownItems {
    KnownItems::of(&catalogue(), &Materials::built_in())
}

fn csv(text: &str) -> Result<PriceList, PriceError> {
    PriceList::read(text, "own.csv", &known())
}

fn toml(text: &str) -> Result<PriceList, PriceError> {
    PriceList::read(text, "own.toml", &known())
}

// The plain line: 11 267.67 kg of stone = 12.42048 short tons (2000 x 0.45359237 kg); with 10 % 13.66253, at 45: 614.81. Dug 7.790 m3 = 10.18893
// yd3 (0.764554858 m3), at 30: 305.67. Two loads at 250: 500. Pipe 25 m = 82.0210 ft; with 5 % 26.25 m are 9 sticks of 3 m, 27 m = 88.5827 ft, at
// 2.10: 186.02.
#[test]
fn rows_are_in_the_units_of_their_prices() {
    let list = "item,unit,price USD,note\n# invented\nstone-57,short-ton,45,\"washed, delivered\"\nexcavation,yd3,30,\ntruckload,each,250,\n\
                pipe-100-smooth-perforated,ft,2.10,\n";
    let bill = billed(&[plain()], "loam", WorkSettings::usual(), Some(&csv(list).unwrap()));
    let row = |name: &str| bill.value.rows.iter().find(|row| row.item == name).unwrap();
    for (name, unit, quantity, amount) in [
        ("stone-57", "short-ton", 12.420_48, 614.81),
        ("excavation", "yd3", 10.188_93, 305.67),
        ("truckload", "each", 2.0, 500.0),
        ("pipe-100-smooth-perforated", "ft", 82.0210, 186.02),
    ] {
        assert_eq!(row(name).unit, unit);
        assert_relative_eq!(row(name).quantity, quantity, epsilon = 5e-5);
        assert_relative_eq!(row(name).amount.unwrap(), amount, epsilon = 0.005);
    }
    // 614.81 + 305.67 + 500 + 186.02.
    assert_relative_eq!(bill.value.total().unwrap(), 1606.50, epsilon = 0.02);
    assert_eq!(bill.value.currency.as_deref(), Some("USD"));
    // What has no price is said, but not the hauling, which the loads price.
    assert_eq!(bill.warnings.len(), 1);
    assert_eq!(bill.warnings[0].code, "prices-missing");
    assert!(bill.warnings[0].message.contains("fabric") && !bill.warnings[0].message.contains("spoil"));
}

#[test]
fn both_forms_say_the_same() {
    let table = csv("item,unit,price EUR\r\nstone-57,t,40\r\nsod,m2,6.5\r\n").unwrap();
    let list = toml(
        "currency = \"EUR\"\n[[price]]\nitem = \"stone-57\"\nunit = \"t\"\nprice = 40\n\
         [[price]]\nitem = \"sod\"\nunit = \"m2\"\nprice = 6.5\nnote = \"rolls\"\n",
    )
    .unwrap();
    for item in [Item::Stone("57".to_owned()), Item::Sod, Item::Seed] {
        let both = [&table, &list].map(|list| list.price(&item).map(|price| (price.unit, price.amount)));
        assert_eq!(both[0], both[1]);
    }
    assert_eq!(table.currency(), list.currency());
    assert!(list.price(&Item::Sod).is_some() && list.price(&Item::Seed).is_none());
    // A mark of the byte order, and quotes.
    assert!(csv("\u{feff}\"item\",\"unit\",\"price\"\n\"sod\",\"m2\",\"6.5\"\n").is_ok());
}

#[test]
fn what_is_wrong_is_named_with_its_line() {
    let head = "item,unit,price\n";
    let row = |row: &str| csv(&format!("{head}# a remark\nsod,m2,5\n{row}\n")).unwrap_err();
    let item = |text: &str| text.to_owned();
    let unknown = row("gravel-57,t,40");
    assert_eq!((unknown.line, unknown.path.as_str()), (4, "own.csv"));
    assert!(unknown.to_string().contains("own.csv, line 4: there is no item \"gravel-57\""), "{unknown}");
    assert!(row("stone-99,t,40").to_string().contains("there are, among others, stone-3, stone-4"));
    assert_eq!(
        row("stone-57,ft,40").fault,
        PriceFault::Unit {
            item: item("stone-57"),
            unit: item("ft"),
            known: item("t, short-ton, m3, ft3, yd3"),
        }
    );
    for price in ["", "-1", "nan", "inf", "$40", "1.5 t", "4O"] {
        let refused = row(&format!("stone-57,t,{price}"));
        assert!(matches!(refused.fault, PriceFault::Price { .. }) && refused.line == 4, "{price}: {refused}");
    }
    assert_eq!(row("sod,ft2,1").fault, PriceFault::Twice { item: item("sod"), first: 3 });
    assert_eq!(row("seed,m2").fault, PriceFault::Cells { found: 2, expected: 3 });
    let both = csv(&format!("{head}spoil,m3,20\ntruckload,each,200\n")).unwrap_err();
    assert_eq!((both.line, both.fault), (3, PriceFault::Haul));
    for text in ["", "# nothing\n", head] {
        assert_eq!(csv(text).unwrap_err().fault, PriceFault::Empty);
    }
    for head in
        ["name,unit,price\n", "item,price\n", "item,unit,price,what,else\n", "item,unit,price in EUR\n"]
    {
        let refused = csv(&format!("{head}sod,m2,5\n")).unwrap_err();
        assert!(matches!(refused.fault, PriceFault::Head { .. }), "{head}");
    }
}

// A list with both is refused, so that no warning may ask for both.
#[test]
fn hauling_wants_one_price_of_two() {
    let bill = |list: &str| billed(&[plain()], "loam", WorkSettings::usual(), Some(&csv(list).unwrap()));
    let neither = bill("item,unit,price\nexcavation,m3,30\n").warnings;
    assert!(neither[0].message.contains("no price for spoil or truckload, fabric"), "{neither:?}");
    assert!(
        !neither[0].message.contains("spoil, truckload") && neither[0].help.contains("only one"),
        "{neither:?}"
    );
    for one in ["spoil,m3,20", "truckload,each,200"] {
        let one = bill(&format!("item,unit,price\n{one}\n")).warnings;
        assert!(!one[0].message.contains("spoil") && !one[0].message.contains("truckload"), "{one:?}");
    }
}

// A decimal comma makes one cell more; where the head has a note, it makes a note of digits.
#[test]
fn a_decimal_comma_is_never_cut_off() {
    for (head, row, fault) in [
        ("item,unit,price", "sod,m2,45,50", PriceFault::Cells { found: 4, expected: 3 }),
        ("item,unit,price,note", "sod,m2,45,50,rolls", PriceFault::Cells { found: 5, expected: 4 }),
        ("item,unit,price,note", "sod,m2,45", PriceFault::Cells { found: 3, expected: 4 }),
        ("item,unit,price,note", "sod,m2,45,50", PriceFault::Note { found: "45,50".to_owned() }),
        (
            "item,unit,price",
            "sod,m2,\"45,50\"",
            PriceFault::Price { item: "sod".to_owned(), found: "45,50".to_owned() },
        ),
    ] {
        let refused = csv(&format!("{head}\n# two lines down\n\n{row}\n")).unwrap_err();
        assert_eq!((refused.line, refused.fault), (4, fault), "{row}");
    }
}

#[test]
fn a_cell_in_quotes_may_hold_commas_in_every_column() {
    let head = "\"item\",\"unit\",\"price EUR\",\"note\"\n";
    let list = csv(&format!("{head}\"sod\" ,\"m2\",\"6.5\",\"thick, \"\"green\"\", cut\"\n")).unwrap();
    assert_eq!(list.price(&Item::Sod).map(|price| (price.unit, price.amount)), Some((Unit::M2, 6.5)));
    assert_eq!(list.currency(), Some("EUR"));
    let refused = csv(&format!("{head}\"sod, green\",m2,6.5,\n")).unwrap_err();
    assert!(refused.to_string().contains("there is no item \"sod, green\""), "{refused}");
}

#[test]
fn a_name_that_is_like_none_gets_a_few_to_choose_from() {
    let refused = csv("item,unit,price\nrope,m,1\n").unwrap_err();
    let PriceFault::Item { near, .. } = refused.fault else { panic!("{refused}") };
    assert_eq!(near.len(), 5);
    assert!(near.iter().all(|name| !name.contains(char::is_numeric)), "{near:?}");
}

#[test]
fn a_currency_is_a_word() {
    for wrong in ["", "E R", "12", "\\u001b[31m", "a-very-long-one"] {
        let text = format!("currency = \"{wrong}\"\n[[price]]\nitem = \"sod\"\nunit = \"m2\"\nprice = 1\n");
        let refused = toml(&text).unwrap_err();
        assert!(matches!(refused.fault, PriceFault::Currency { .. }) && refused.line == 1, "{refused}");
        assert!(!refused.to_string().contains(char::is_control), "{refused:?}");
    }
}

#[test]
fn a_list_in_toml_names_lines_too() {
    let sod = "# prices\ncurrency = \"EUR\"\n\n[[price]]\nitem = \"sod\"\nunit = \"m2\"\nprice = 5.0\n";
    let refused = |more: &str| toml(&format!("{sod}\n[[price]]\n{more}\n")).unwrap_err();
    let unknown = refused("item = \"gravel\"\nunit = \"t\"\nprice = 1");
    assert_eq!(unknown.line, 10);
    assert!(unknown.to_string().contains("own.toml, line 10: there is no item \"gravel\""), "{unknown}");
    let twice = refused("item = \"sod\"\nunit = \"m2\"\nprice = 1");
    assert_eq!((twice.line, twice.fault), (10, PriceFault::Twice { item: "sod".to_owned(), first: 5 }));
    assert!(matches!(refused("item = \"seed\"\nunit = \"m2\"\nprice = -1").fault, PriceFault::Price { .. }));
    assert!(matches!(refused("item = \"seed\"\nprice = 1").fault, PriceFault::Form { .. }));
    assert!(matches!(
        refused("item = \"seed\"\nunit = \"m2\"\nprice = 1\ncolour = 1").fault,
        PriceFault::Form { .. }
    ));
    assert_eq!(toml("currency = \"EUR\"\n").unwrap_err().fault, PriceFault::Empty);
    // What the reader of the form says comes in one short line, with the place.
    let broken = refused(&format!(
        "item = \"seed\"\nunit = \"m2\"\nprice = 1\n\"\\u001b[31m{}\" = 1",
        "k".repeat(900)
    ));
    assert_eq!(broken.line, 13, "{broken}");
    let message = broken.to_string();
    assert!(message.len() < 250 && !message.contains(char::is_control), "{message:?}");
}

/// The examples price every row of a bill of ordinary pipe, and the page on prices names every kind of item.
#[test]
fn the_documents_show_lists_that_can_be_read() {
    let ordinary = Catalogue::ordinary().unwrap();
    let known = KnownItems::of(&ordinary, &Materials::built_in());
    let toml = include_str!("../../../../docs/prices-example.toml");
    let table = include_str!("../../../../docs/prices-example.csv");
    // One that any reader of such tables takes: as many cells in every row, and no remarks.
    let mut rows = ::csv::Reader::from_reader(table.as_bytes());
    assert!(rows.records().all(|row| row.is_ok_and(|row| known.get(&row[0]).is_some())));
    let lists = [("prices-example.toml", toml), ("prices-example.csv", table)]
        .map(|(path, text)| PriceList::read(text, path, &known).unwrap());
    let materials = Materials::built_in();
    let fabric = materials.fabric_for(30.0).unwrap().value;
    for (key, finish) in [("100-corrugated", "irrigated-lawn"), ("100-smooth", "unirrigated-lawn")] {
        let pipe = ordinary.pipe(key).unwrap();
        let (finish, rules) = (materials.finish(finish).unwrap(), TrenchRules::usual(PipeCount::Two));
        let upper = Section::Stone(StoneTrench::new(pipe, &rules, finish, fabric).unwrap());
        let lower = Section::Solid(SolidTrench::new(pipe, &rules, finish).unwrap());
        let legs = vec![
            Leg { section: upper, cuts: cuts(&[(0.0, 0.7), (60.0, 0.9)]) },
            Leg { section: lower, cuts: cuts(&[(60.0, 0.9), (70.0, 0.9)]) },
        ];
        let line = DrainLine::new(legs, vec![m(30.0)], End::Structure).unwrap();
        for list in &lists {
            let bill = billed(std::slice::from_ref(&line), "loam", WorkSettings::usual(), Some(list));
            assert!(bill.warnings.is_empty(), "{:?}", bill.warnings);
        }
    }
    // All that ordinary pipe can ask for: of hauling one way, and reducers to larger pipe of the same wall, as sizing takes them.
    let larger = |from: &str, to: &str| {
        let [from, to] = [from, to].map(|key| ordinary.pipe(key).unwrap());
        from.wall == to.wall && from.inside_mm < to.inside_mm
    };
    let is_billed = |item: &Item| match item {
        Item::Spoil => false,
        Item::Stone(size) => size == "57" || size == "4",
        Item::Reducer { from, to } => larger(from, to),
        _ => true,
    };
    for list in &lists {
        for item in known.names().filter_map(|name| known.get(name)).filter(|item| is_billed(item)) {
            assert!(list.price(item).is_some(), "{}", item.name());
        }
    }
    let page = include_str!("../../../../docs/prices.md");
    let rows: Vec<[&str; 2]> = page
        .lines()
        .filter_map(|line| {
            let mut cells = line.strip_prefix("| `")?.split(" | ");
            Some([cells.next()?.trim_end_matches('`'), cells.next()?])
        })
        .collect();
    let mut kinds = std::collections::BTreeSet::new();
    for name in known.names() {
        let kind = ordinary
            .pipes()
            .iter()
            .rev()
            .fold(name.to_owned(), |name, pipe| name.replace(&pipe.key(), "PIPE"));
        let kind = if kind.starts_with("stone-") { "stone-SIZE" } else { &kind };
        let units = known.get(name).unwrap().unit_names();
        assert!(rows.contains(&[kind, &units]), "{kind}: {units}");
        kinds.insert(kind.to_owned());
    }
    // Nor does the page name a kind that there is not.
    assert_eq!(rows.len(), kinds.len());
}

proptest! {
    // Whatever is typed is read or refused, and what is refused is short enough to read.
    #[test]
    fn any_text_is_read_or_refused(
        cells in proptest::collection::vec("[a-z57,\"\\-\u{e9}\u{20ac} ]{0,30}", 0..6), price in ".{0,12}",
    ) {
        let text = format!("item,unit,price\n{}\nsod,m2,{price}\n", cells.join("\n"));
        let entry = format!("currency = \"{}\"\n[[price]]\nitem = \"{price}\"\nunit = \"m2\"\nprice = 1", cells.join(" "));
        for (text, read) in [(&text, csv(&text)), (&text, toml(&text)), (&entry, toml(&entry))] {
            if let Err(refused) = read {
                let message = refused.to_string();
                prop_assert!(refused.line <= text.lines().count().max(1));
                prop_assert!(message.len() < 1000 && !message.contains(char::is_control), "{message:?}");
            }
        }
    }
}
