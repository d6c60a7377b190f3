use super::*;
use approx::assert_relative_eq;

#[test]
fn the_ordinary_sizes_are_read_and_sorted() {
    let catalogue = Catalogue::ordinary().unwrap();
    assert_eq!(catalogue.pipes().len(), 14);
    assert!(catalogue.pipes().windows(2).all(|p| p[0].inside_mm <= p[1].inside_mm));
    // A size is called by about its inside diameter: none is more than 5 % off its name.
    for pipe in catalogue.pipes() {
        let off = pipe.inside_mm / (pipe.nominal_in * 25.4) - 1.0;
        assert!(off.abs() < 0.05, "{} in: {off}", pipe.nominal_in);
        assert!(!pipe.source.is_empty());
    }
    assert_relative_eq!(catalogue.pipe("100-smooth").unwrap().nominal_in, 4.0);
    assert!(catalogue.pipe("100-green").is_none());
}

// ASTM D3034, SDR 35 (from memory): average outside diameter and least wall in inches; inside = outside less twice the wall.
#[test]
fn smooth_sizes_are_those_of_the_standard() {
    let catalogue = Catalogue::ordinary().unwrap();
    let mut compared = 0;
    for (key, outside_in, wall_in) in [
        ("100-smooth", 4.215, 0.120),
        ("150-smooth", 6.275, 0.180),
        ("200-smooth", 8.400, 0.240),
        ("250-smooth", 10.500, 0.300),
        ("300-smooth", 12.500, 0.360),
        ("375-smooth", 15.300, 0.437),
    ] {
        let pipe = catalogue.pipe(key).unwrap();
        assert_relative_eq!(pipe.outside().as_in(), outside_in, epsilon = 0.1 / 25.4);
        assert_relative_eq!(pipe.inside().as_in(), outside_in - 2.0 * wall_in, epsilon = 0.1 / 25.4);
        compared += 1;
    }
    assert_eq!(compared, 6);
}

// Two holes of 1/2 in every 5 in: 2 x pi / 4 x 1.27^2 cm2 in 0.127 m = 2.5335 / 0.127 = 19.95 cm2/m. Class 2 holes of AASHTO M 252
// and M 294 (second hand): at least 20 cm2/m up to 250 mm, 30 cm2/m for 300 to 450 mm.
#[test]
fn holes_are_those_of_the_standards() {
    for pipe in Catalogue::ordinary().unwrap().pipes() {
        let expected = match (pipe.wall, pipe.nominal_mm) {
            (PipeWall::Smooth, _) => 19.95,
            (PipeWall::Corrugated, ..=250.0) => 20.0,
            (PipeWall::Corrugated, _) => 30.0,
        };
        assert_relative_eq!(pipe.inlet_cm2_per_m, expected, epsilon = 0.001);
        assert_relative_eq!(pipe.inlet_area(Length::from_m(3.0)).as_cm2(), 3.0 * pipe.inlet_cm2_per_m);
    }
}

// A pipe of 100-smooth with other figures takes ours' place, one of another label is added: 14 and 15. Alone there is one.
#[test]
fn a_users_pipes_add_and_replace_or_are_all() {
    let ours = Catalogue::ordinary().unwrap();
    let replaced = ours.with_user(&pipe(&[("inside_mm", "99.0")]), "own.toml").unwrap();
    assert_eq!(replaced.pipes().len(), 14);
    assert_relative_eq!(replaced.pipe("100-smooth").unwrap().inside_mm, 99.0);
    assert!(replaced.pipe("150-smooth").is_some());
    let added = ours.with_user(&pipe(&[("label", "\"thick\"")]), "own.toml").unwrap();
    assert_eq!(added.pipes().len(), 15);
    assert!(added.pipe("100-smooth").is_some() && added.pipe("100-smooth-thick").is_some());
    let alone = ours.with_user(&format!("only = true\n{}", pipe(&[])), "own.toml").unwrap();
    assert_eq!(alone.pipes().len(), 1);
    let refused = ours.with_user(&pipe(&[("source", "\" \"")]), "own.toml").unwrap_err().to_string();
    assert!(refused.starts_with("own.toml: pipe 1 doesn't say"), "{refused}");
}

fn read(text: &str) -> Result<Catalogue, CatalogueFault> {
    Catalogue::from_toml(text, "own.toml").map_err(|error| error.fault)
}

#[test]
fn what_is_wrong_is_said_with_the_file_in_one_short_line() {
    let long = format!("\"\\u001b[31m{}\" = 1", "k".repeat(900));
    for (text, beginning) in [
        (String::new(), "own.toml: the pipe catalogue has no pipe"),
        (pipe(&[("source", "\" \"")]), "own.toml: pipe 1 doesn't say where its figures come from"),
        (pipe(&[("inside_mm", "0.0")]), "own.toml: pipe 1: inside_mm is 0"),
        (pipe(&[("colour", "1")]), "own.toml, line 14: the pipe catalogue could not be read: unknown field"),
        (
            format!("{}{long}\n", pipe(&[])),
            "own.toml, line 14: the pipe catalogue could not be read: unknown field",
        ),
        (pipe(&[("label", "\"\\u001b[31m\"")]), "own.toml: pipe 1 has the label"),
    ] {
        let error = Catalogue::from_toml(&text, "own.toml").unwrap_err();
        let message = error.to_string();
        assert!(message.starts_with(beginning), "{message}");
        assert!(message.len() < 300 && !message.contains(char::is_control), "{message:?}");
    }
    let help = Catalogue::from_toml("pipe = 1", "own.toml").unwrap_err();
    assert!(miette::Diagnostic::help(&help).is_some_and(|help| help.to_string().contains("inlet_cm2_per_m")));
}

/// One pipe as text, with lines in place of its own.
fn pipe(changed: &[(&str, &str)]) -> String {
    let mut lines = vec![
        ("nominal_mm", "100"),
        ("nominal_in", "4.0"),
        ("inside_mm", "100.0"),
        ("outside_mm", "110.0"),
        ("wall", "\"smooth\""),
        ("manning_n", "0.012"),
        ("solid_n", "0.011"),
        ("inlet_cm2_per_m", "20.0"),
        ("piece_m", "3.0"),
        ("piece", "\"stick\""),
        ("joint", "\"bell\""),
        ("source", "\"test\""),
    ];
    for &(key, value) in changed {
        lines.retain(|(known, _)| *known != key);
        if !value.is_empty() {
            lines.push((key, value));
        }
    }
    let lines: Vec<String> = lines.into_iter().map(|(key, value)| format!("{key} = {value}\n")).collect();
    format!("[[pipe]]\n{}", lines.concat())
}

#[test]
fn a_catalogue_that_is_none_is_refused_with_the_reason() {
    assert_eq!(read(""), Err(CatalogueFault::Empty));
    assert!(read(&pipe(&[])).is_ok());
    assert_eq!(
        read(&pipe(&[("inside_mm", "0.0")])),
        Err(CatalogueFault::Figure {
            number: 1,
            cause: OutOfRange { what: "inside_mm", found: 0.0, range: "10 to 5000" }
        })
    );
    for changed in [
        ("manning_n", "12.0"),
        ("colour", "\"green\""),
        ("piece", "\"rope\""),
        ("joint", "\"glue\""),
        ("outside_mm", ""),
        ("solid_n", ""),
        ("inlet_cm2_per_m", ""),
        ("piece_m", ""),
    ] {
        let refused = read(&pipe(&[changed]));
        assert!(matches!(refused, Err(CatalogueFault::Form { .. })), "{changed:?}: {refused:?}");
    }
}

#[test]
fn figures_that_can_not_be_are_named_with_their_pipe() {
    for (figure, value) in [
        ("nominal_mm", "0.0"),
        ("nominal_in", "nan"),
        ("outside_mm", "100.0"),
        ("outside_mm", "99.0"),
        ("outside_mm", "201.0"),
        ("outside_mm", "nan"),
        ("inlet_cm2_per_m", "-1.0"),
        ("inlet_cm2_per_m", "inf"),
        ("piece_m", "0.0"),
    ] {
        let text = format!("{}{}", pipe(&[("nominal_mm", "75")]), pipe(&[(figure, value)]));
        let refused = read(&text).unwrap_err();
        assert!(
            matches!(refused, CatalogueFault::Figure { number: 2, ref cause } if cause.what == figure),
            "{figure} {value}: {refused}"
        );
        assert!(refused.to_string().contains(figure));
    }
}

#[test]
fn a_size_is_there_once() {
    let twice = format!("{}{}", pipe(&[]), pipe(&[("inside_mm", "101.0")]));
    let refused = read(&twice).unwrap_err();
    assert_eq!(refused, CatalogueFault::Twice { first: 1, second: 2, name: "100-smooth".to_owned() });
    for changed in [("wall", "\"corrugated\""), ("label", "\"thick\"")] {
        let two = format!("{}{}", pipe(&[]), pipe(&[changed]));
        assert_eq!(read(&two).unwrap().pipes().len(), 2);
    }
    let labelled = read(&pipe(&[("label", "\"thick\"")])).unwrap();
    // What is put out tells it from the plain one, which has no label.
    let label =
        |catalogue: &Catalogue| serde_json::to_value(&catalogue.pipes()[0]).unwrap().get("label").cloned();
    assert_eq!(label(&labelled), Some("thick".into()));
    assert_eq!(label(&read(&pipe(&[])).unwrap()), None);
    assert_eq!(labelled.pipes()[0].key(), "100-smooth-thick");
    let refused = read(&pipe(&[("label", "\"thick, grey\"")])).unwrap_err();
    assert_eq!(refused, CatalogueFault::Label { number: 1, label: "thick, grey".to_owned() });
}
