use super::*;
use crate::units::{Area, Volume};
use approx::assert_relative_eq;

fn with(text: &str) -> Result<Materials, MaterialError> {
    Materials::built_in().with_user(text, "own.toml")
}

// 1.4 short tons a cubic yard (common practice): 1.4 x 907.185 / 0.764555 = 1661.2 kg/m3. 103.0 lb/ft3 (measured, second hand): 103.0 x
// 16.0185 = 1649.9 kg/m3.
#[test]
fn stone_is_ordered_by_its_loose_mass() {
    let table = Materials::built_in();
    assert_eq!(table.stones().collect::<Vec<_>>(), ["3", "4", "57", "6", "67", "8"]);
    assert!(table.stones().all(|name| table.stone(name).unwrap().name() == name));
    let yard = |name| table.stone(name).unwrap().mass(Volume::from_yd3(1.0)).as_short_ton();
    for name in ["3", "57", "6", "67", "8"] {
        assert_relative_eq!(yard(name), 1.4, epsilon = 0.0005);
    }
    assert_relative_eq!(table.stone("4").unwrap().mass(Volume::from_ft3(1.0)).as_lb(), 103.0, epsilon = 0.05);
    assert_relative_eq!(table.stone("4").unwrap().porosity().get(), 0.374);
}

// ASTM D448 / AASHTO M 43 (from memory): the sieves that pass 90 to 100 % and about none.
#[test]
fn stone_has_the_sizes_of_its_number() {
    let table = Materials::built_in();
    for (name, sizes) in [
        ("3", [25.0, 50.0]),
        ("4", [19.0, 37.5]),
        ("57", [4.75, 25.0]),
        ("6", [9.5, 19.0]),
        ("67", [4.75, 19.0]),
        ("8", [2.36, 9.5]),
    ] {
        let found = table.stone(name).unwrap().sieve_mm();
        assert_relative_eq!(found[0], sizes[0]);
        assert_relative_eq!(found[1], sizes[1]);
    }
}

// 4 000 to 100 000 darcy = 1.09e4 to 2.73e5 ft/day (a thesis, second hand; 1 darcy = 2.733 ft/day).
#[test]
fn what_stone_conducts_is_a_wide_range() {
    let table = Materials::built_in();
    for name in ["3", "4", "57", "6", "67"] {
        let range = table.stone(name).unwrap().conductivity();
        assert_relative_eq!(range.least().as_ft_per_day(), 1.09e4, max_relative = 0.01);
        assert_relative_eq!(range.most().as_ft_per_day(), 2.73e5, max_relative = 0.01);
    }
    // 8 000 to 38 000 ft/day (Cedergren, from memory), rounded to 2 figures in m/day.
    let range = table.stone("8").unwrap().conductivity();
    assert_relative_eq!(range.least().as_ft_per_day(), 8_000.0, max_relative = 0.02);
    assert_relative_eq!(range.most().as_ft_per_day(), 38_000.0, max_relative = 0.04);
}

// FM 5-434, table 1-1 (from memory but for sand): 10 m3 of clay in the bank are 14.3 m3 loose.
#[test]
fn soil_swells_when_it_is_dug() {
    let table = Materials::built_in();
    let loose = |name| table.soil(name).unwrap().loose(Volume::from_m3(10.0)).as_m3();
    for (name, expected) in
        [("sand", 11.1), ("loam", 12.5), ("clay", 14.3), ("rock", 15.0), ("gravel", 11.5), ("silt", 13.5)]
    {
        assert_relative_eq!(loose(name), expected, max_relative = 1e-12);
    }
}

#[test]
fn soil_that_is_too_fine_for_fabric_is_said() {
    let table = Materials::built_in();
    // UFC 3-270-04 (second hand): not with soils of 85 % and more.
    assert!(table.fabric_for(84.9).unwrap().warnings.is_empty());
    assert_eq!(table.fabric_for(85.0).unwrap().warnings[0].code, "soil-too-fine-for-fabric");
    for wrong in [-1.0, 100.1, f64::NAN] {
        assert!(matches!(table.fabric_for(wrong), Err(MaterialError::Fines(_))));
    }
}

// FAO, training manual 5 (second hand): sandy loam 20 to 30 mm/h; 15 lawns 0.4 to 10.0 cm/h (Hamilton and Waddington 1999); new sod
// 33 and 85 mm/h (Partsch, Jarrett and Watschke 1993). Half a square
// metre takes 0.5 x 30 / 1000 / 3600 m3/s = 0.004167 L/s.
#[test]
fn what_the_surface_takes_is_a_range() {
    let table = Materials::built_in();
    for (name, least, most) in
        [("sod-on-sandy-loam", 20.0, 30.0), ("turf-over-topsoil", 4.0, 100.0), ("thin-sod", 33.0, 85.0)]
    {
        let top = table.top(name).unwrap();
        assert_relative_eq!(top.least().as_mm_per_h(), least, max_relative = 1e-12);
        assert_relative_eq!(top.most().as_mm_per_h(), most, max_relative = 1e-12);
    }
    let taken = table.top("sod-on-sandy-loam").unwrap().takes(Area::from_m2(0.5));
    assert_relative_eq!(taken.most.as_l_per_s(), 0.004_167, epsilon = 5e-7);
    // 3 300 m/day = 137 500 mm/h; 2 000 and 80 cm/h (Bean, Hunt and Bidelman 2007).
    let bare = table.top("bare-stone").unwrap();
    assert_relative_eq!(bare.most().as_mm_per_h(), 137_500.0, max_relative = 1e-9);
    assert_relative_eq!(bare.least().as_mm_per_h(), 20_000.0, max_relative = 1e-9);
    assert_relative_eq!(bare.clogged().unwrap().as_mm_per_h(), 800.0, max_relative = 1e-9);
    assert!(table.top("thin-sod").unwrap().clogged().is_none());
}

#[test]
fn unirrigated_lawns_have_the_deeper_cover() {
    let table = Materials::built_in();
    let thickness = |name| table.finish(name).unwrap().thickness().as_mm().round();
    assert!(thickness("unirrigated-lawn") > thickness("irrigated-lawn"));
    assert_relative_eq!(thickness("bare-stone"), 0.0);
    for name in table.finishes() {
        let finish = table.finish(name).unwrap();
        assert_eq!(finish.wrap() == Wrap::Open, finish.surface() == Surface::Stone, "{name}");
    }
}

#[test]
fn a_users_table_adds_and_overrides() {
    let own = "[soil.loam]\ndescription = \"ours\"\nswell = 1.3\nsource = \"measured\"\n\
               [finish.gravel-walk]\ndescription = \"walk\"\nsurface = \"stone\"\nsod_mm = 0\ntopsoil_mm = 0\n\
               topsoil = \"back\"\nsand_mm = 0\nwrap = \"full\"\ntop = \"bare-stone\"\nsource = \"ours\"\n";
    let table = with(own).unwrap();
    assert_relative_eq!(table.soil("loam").unwrap().swell(), 1.3);
    assert_relative_eq!(table.soil("clay").unwrap().swell(), 1.43);
    assert_eq!(table.finish("gravel-walk").unwrap().wrap(), Wrap::Full);
    // A list of fabrics takes the place of ours.
    let fabric = "[[fabric]]\nname = \"one\"\nfines_up_to_percent = 100\nopening_mm = 0.2\npermittivity_per_s = 0.3\n\
                  overlap_mm = 200\nsource = \"ours\"\n";
    assert_eq!(with(fabric).unwrap().fabric_for(10.0).unwrap().value.name(), "one");
    let refused = table.grass("moss").unwrap_err().to_string();
    assert!(refused.contains("grass-mixture"), "{refused}");
    // What is printed as the form can be read as one.
    assert_eq!(with(Materials::built_in_text()).unwrap(), Materials::built_in());
}

#[test]
fn what_can_not_be_is_refused_with_its_entry() {
    let soil = |name: &str, swell: &str, source: &str| {
        format!("[soil.{name}]\ndescription = \"d\"\nswell = {swell}\nsource = \"{source}\"\n")
    };
    assert!(with(&soil("mud", "1.2", "test")).is_ok());
    for swell in ["0.9", "2.1", "nan"] {
        let refused = with(&soil("mud", swell, "test")).unwrap_err().to_string();
        assert!(refused.contains("own.toml: soil.mud: swell"), "{refused}");
    }
    assert!(matches!(with(&soil("mud", "1.2", " ")), Err(MaterialError::Source { .. })));
    assert!(matches!(with(&soil("\"Wet mud\"", "1.2", "test")), Err(MaterialError::Name { .. })));
    assert!(matches!(with(&soil("mud", "\"much\"", "test")), Err(MaterialError::Form { .. })));
    let faster = soil("mud", "1.2\nsurface_velocity_ft_s = [3.0, 2.0]", "test");
    assert!(matches!(with(&faster), Err(MaterialError::Figure { .. })));
    assert!(matches!(with("[gravel.a]\n"), Err(MaterialError::Form { .. })));
    let finish = "[finish.a]\ndescription = \"d\"\nsurface = \"seed\"\nsod_mm = 0\ntopsoil_mm = 100\ntopsoil = \"new\"\n\
                  sand_mm = 0\nwrap = \"full\"\ntop = \"moss\"\nsource = \"s\"\n";
    let refused = with(finish).unwrap_err().to_string();
    assert!(
        refused.contains("own.toml: finish.a names the top \"moss\"") && refused.contains("thin-sod"),
        "{refused}"
    );
    for (from, to) in [("sod_mm = 0", "sod_mm = 25"), ("topsoil_mm = 100", "topsoil_mm = -1")] {
        let refused = with(&finish.replace(from, to).replace("moss", "thin-sod"));
        assert!(matches!(refused, Err(MaterialError::Figure { .. })), "{to}: {refused:?}");
    }
    let stone = "[stone.a]\ndescription = \"d\"\nsieve_mm = [5, 25]\nporosity = 0.4\nloose_kg_m3 = 1600\n\
                 conductivity_m_day = [10, 20]\nsource = \"s\"\n";
    assert!(with(stone).is_ok());
    for (from, to) in [
        ("0.4", "0.9"),
        ("1600", "160"),
        ("[5, 25]", "[25, 5]"),
        ("[10, 20]", "[20, 10]"),
        ("[10, 20]", "[0, 20]"),
    ] {
        let refused = with(&stone.replace(from, to));
        assert!(matches!(refused, Err(MaterialError::Figure { .. })), "{to}: {refused:?}");
    }
}

#[test]
fn what_the_form_lacks_is_said_in_one_short_line() {
    let long = format!("\"\\u001b[31m{}\" = 1\n", "k".repeat(900));
    for (text, beginning) in [
        (format!("# ours\n{long}"), "own.toml, line 2: unknown field"),
        (
            format!("[soil.mud]\n{long}"),
            "own.toml, line 2: soil.mud: lacks description, swell, source; there is no key",
        ),
        ("[soil.mud]\nswell = \n".to_owned(), "own.toml, line 2: "),
        (
            "[soil.\"\\u001b[31m\"]\ndescription = \"d\"\nswell = 1.2\nsource = \"s\"\n".to_owned(),
            "own.toml: \"soil.",
        ),
    ] {
        let message = with(&text).unwrap_err().to_string();
        assert!(message.starts_with(beginning), "{message}");
        assert!(message.len() < 250 && !message.contains(char::is_control), "{message:?}");
    }
    let message = Materials::built_in().stone("5\u{1b}[31m7").unwrap_err().to_string();
    assert!(!message.contains(char::is_control), "{message:?}");
}

#[test]
fn a_users_grass_takes_its_names_from_others() {
    let grass = |name: &str, grasses: &str, ft_s: &str| {
        format!(
            "[grass.{name}]\ngrasses = [{grasses}]\nresistant_ft_s = [{ft_s}]\neasily_eroded_ft_s = [1.0]\nsource = \"s\"\n"
        )
    };
    let ft_s = |table: &Materials, name: &str| {
        let lining = table.grass(name).unwrap().lining();
        let grade = crate::units::Grade::new(0.02).unwrap();
        lining
            .permissible(grade, crate::formula::grass_velocity::Erodibility::Resistant)
            .unwrap()
            .as_ft_per_s()
    };
    // "sod-grass" stands for tall fescue in our table, and comes before "z" in the alphabet; bermudagrass is an entry of it.
    let table = with(&grass("z", "\"tall-fescue\", \"bermudagrass\"", "1.5")).unwrap();
    for name in ["z", "tall-fescue", "bermudagrass"] {
        assert_relative_eq!(ft_s(&table, name), 1.5, max_relative = 1e-12);
    }
    assert_relative_eq!(ft_s(&table, "bahia"), 7.0, max_relative = 1e-12);
    assert!(!table.grass("sod-grass").unwrap().grasses().contains(&"tall-fescue".to_owned()));
    // An entry of the user's own takes a name that ours stood for.
    assert_relative_eq!(ft_s(&with(&grass("bahia", "", "1.5")).unwrap(), "bahia"), 1.5, max_relative = 1e-12);
    for wrong in ["\"Tall fescue\"", "\"\"", "\"a b\""] {
        assert!(matches!(with(&grass("z", wrong, "1.5")), Err(MaterialError::Name { .. })), "{wrong}");
    }
    for twice in ["\"z\"", "\"moss\", \"moss\""] {
        assert!(matches!(with(&grass("z", twice, "1.5")), Err(MaterialError::Alias { .. })), "{twice}");
    }
    let two = format!("{}{}", grass("y", "\"moss\"", "1.5"), grass("z", "\"moss\"", "2.5"));
    let refused = with(&two).unwrap_err().to_string();
    assert!(refused.contains("grass.z stands for moss, which grass.y"), "{refused}");
}

#[test]
fn fabrics_that_leave_soil_out_are_refused() {
    let fabric = |end: &str| {
        format!(
            "[[fabric]]\nname = \"f\"\n{end}\nopening_mm = 0.2\npermittivity_per_s = 0.3\noverlap_mm = 200\nsource = \"s\"\n"
        )
    };
    let list = |ends: &[&str]| with(&ends.iter().map(|end| fabric(end)).collect::<String>());
    let all = "fines_up_to_percent = 100";
    assert!(list(&["fines_below_percent = 20", all]).is_ok());
    for (ends, number) in [
        (&["fines_up_to_percent = 90"][..], 1),
        (&["fines_below_percent = 100"], 1),
        (&["fines_up_to_percent = 50", "fines_below_percent = 50", all], 2),
        (&["fines_up_to_percent = 101"], 1),
        (&["fines_up_to_percent = nan"], 1),
        (&["", all], 1),
        (&["fines_up_to_percent = 50\nfines_below_percent = 50", all], 1),
    ] {
        let refused = list(ends);
        assert!(
            matches!(refused, Err(MaterialError::Fabric { number: found, .. }) if found == number),
            "{ends:?}: {refused:?}"
        );
    }
}

// All that is wrong with a file is said in one error, so that it is mended in one go.
#[test]
fn all_that_is_wrong_is_said_at_once() {
    let with = |text: &str| Materials::built_in().with_user(text, "own.toml").unwrap_err().to_string();
    let lacking = with(
        "[stone.local]\ndescription = \"ours\"\nporosity = \"much\"\nsieves = 3\n[soil.mud]\nswell = 1.2\n[[fabric]]\nname = \"a\"\n",
    );
    for words in [
        "stone.local: lacks sieve_mm, loose_kg_m3, conductivity_m_day, source; porosity is not a number; there is no key sieves",
        "soil.mud: lacks description, source",
        "fabric 1: lacks opening_mm, permittivity_per_s, overlap_mm, source",
    ] {
        assert!(lacking.contains(words), "{words} in {lacking}");
    }
    let figures = with(
        "[soil.mud]\ndescription = \"\"\nswell = 3\ndrain_velocity_ft_s = 99\nsource = \"test\"\n[soil.mire]\ndescription = \"\"\nswell = 0.5\nsource = \"test\"\n[soil.bog]\ndescription = \"\"\nswell = 1.5\nsource = \" \"\n",
    );
    for words in
        ["soil.mud: swell", "velocity in a drain in ft/s", "soil.mire: swell", "soil.bog doesn't say"]
    {
        assert!(figures.contains(words), "{words} in {figures}");
    }
}
