//! The neighbourhood screened as a town: every lot gets what it gets when it is assessed alone.

use crate::lots::Files;
use lotshed::demo::neighbourhood;
use lotshed::flow::Routing;
use lotshed::input::{Site, Subject, open_site};
use lotshed::lots::{Label, Leaving};
use lotshed::pipeline::{Assessment, Rules, ScreenSettings, Screening, Settings, Silent, assess, screen};
use std::collections::BTreeMap;

fn screened(site: &Site) -> Screening<'_> {
    let bridge_holes = Settings::new().bridge_holes;
    let settings = ScreenSettings { bridge_holes, storm: None, rules: Rules::built_in() };
    screen(site, &settings, None, &Silent).expect("an answer").value
}

/// Area, straight and handed over by source ("" for land without a lot), in cells: the scale of the map is that of the lot
/// in the one and that of the town's middle in the other.
type Book = BTreeMap<String, [f64; 3]>;

fn book_of(all: &Screening<'_>, lot: &str) -> Book {
    let cell_m2 = all.routed.ground.cell.area_m2();
    let id = |label: Label| all.id(label).unwrap_or_default().to_owned();
    let rows = all.pairs.iter().filter(|pair| id(pair.receiving) == lot);
    rows.map(|pair| {
        let figures = [pair.area_m2, pair.straight_m2, pair.handed_over_m2];
        (id(pair.source), figures.map(|m2| m2 / cell_m2))
    })
    .collect()
}

fn alone(found: &Assessment<'_>) -> Book {
    let ground = &found.routed.ground;
    let cell_m2 = ground.cell.area_m2();
    let id = |label: Label| {
        let place = label.place().map(|place| ground.parcels[place]);
        place.map_or_else(String::new, |place| found.site.parcels.parcels()[place].id.clone())
    };
    let rows = found.drainage.contributions.iter();
    rows.map(|row| {
        let figures = [row.area_m2, row.straight_m2, row.handed_over_m2];
        (id(row.label), figures.map(|m2| m2 / cell_m2))
    })
    .collect()
}

#[test]
fn every_lot_gets_what_it_gets_alone() {
    let place = neighbourhood();
    let files = Files::of(&place);
    let town = open_site(&files.elevation, &files.parcels, &Subject::Town).expect("sound files").value;
    let all = screened(&town);
    assert_eq!(all.lots.len(), place.lots.len());
    for lot in &place.lots {
        let site = files.site(&lot.id);
        let settings = Settings { routing: Routing::Single, ..Settings::new() };
        let one = assess(&site, &settings, &Silent).expect("an answer").value;
        let (found, wanted) = (book_of(&all, &lot.id), alone(&one));
        let none = [0.0; 3];
        for source in found.keys().chain(wanted.keys()) {
            let [a, b] = [&found, &wanted].map(|book| book.get(source).copied().unwrap_or(none));
            let same = a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-5);
            assert!(same, "{} from {source:?}: {a:?} cells, alone {b:?}", lot.id);
        }
        let screened = all.lots.iter().find(|row| all.id(row.label) == Some(&lot.id)).expect("it is there");
        assert_eq!(screened.crossed.count, one.drainage.crossings.len(), "{}", lot.id);
        // A bank at the edge of the data is tried for one lot only.
        let mut completeness = one.completeness.clone();
        completeness.cut_by_sink = false;
        assert_eq!(screened.is_complete(), completeness.is_complete(), "{}", lot.id);
        let shed = &screened.shedding;
        let onto_lots: f64 = one
            .drainage
            .exits
            .iter()
            .filter(|exit| matches!(exit.to, Leaving::Onto(label) if label != Label::UNPARCELLED))
            .map(|exit| exit.area_m2 / one.routed.ground.cell.area_m2())
            .sum();
        assert!((shed.parcels_m2 / all.routed.ground.cell.area_m2() - onto_lots).abs() < 1e-5, "{}", lot.id);
    }
}
