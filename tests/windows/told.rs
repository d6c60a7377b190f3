//! What an assessment says, by the lots' ids so that it doesn't depend on the window.

use approx::assert_relative_eq;
use lotshed::input::Site;
use lotshed::lots::{Label, Leaving, Manner};
use lotshed::pipeline::{Assessment, Settings, Silent, assess};
use lotshed::units::{Area, Length};
use std::collections::BTreeMap;

/// Areas by the ids of lots; `None` is land without a lot.
type ByLot = BTreeMap<Option<String>, f64>;

#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) window_cells: usize,
    pub run_on_m2: f64,
    contributions: BTreeMap<Option<String>, [f64; 3]>,
    other_routing: ByLot,
    crossings: Vec<CrossingTold>,
    sheds: BTreeMap<String, f64>,
    pub(crate) complete: bool,
    pub(crate) edge_limited_m2: f64,
    bank_change: f64,
    ponds: Vec<[f64; 3]>,
}

#[derive(Debug)]
struct CrossingTold {
    place: [f64; 3],
    ring: usize,
    manner: Manner,
    complete: bool,
    origins: ByLot,
}

pub(crate) fn tell(site: &Site, first_margin: Length) -> Told {
    let settings = Settings { first_margin, bridge_holes: Area::from_m2(40.0), ..Settings::new() };
    let found = assess(site, &settings, &Silent).expect("an answer").value;
    let id = |label: Label| {
        label.place().map(|place| site.parcels.parcels()[found.routed.ground.parcels[place]].id.clone())
    };
    let by_lot = |rows: &[(Label, f64)]| rows.iter().map(|&(label, m2)| (id(label), m2)).collect();
    let mut sheds = BTreeMap::new();
    for exit in &found.drainage.exits {
        let to = match exit.to {
            Leaving::Onto(label) => id(label).unwrap_or_else(|| "no lot".to_owned()),
            Leaving::IntoInlet(place) => {
                site.beside.inlets[found.routed.ground.inlets.inlet(place)].id.clone()
            }
            Leaving::OffTheData => "off the data".to_owned(),
        };
        *sheds.entry(to).or_insert(0.0) += exit.area_m2;
    }
    let crossings = found.drainage.crossings.iter().map(|crossing| CrossingTold {
        place: [crossing.from_m, crossing.to_m, crossing.area_m2],
        ring: crossing.ring,
        manner: crossing.manner,
        complete: crossing.complete,
        origins: by_lot(&crossing.origins),
    });
    Told {
        window_cells: found.routed.ground.window.shape.len(),
        run_on_m2: found.drainage.run_on_m2,
        contributions: found
            .drainage
            .contributions
            .iter()
            .map(|c| (id(c.label), [c.area_m2, c.straight_m2, c.handed_over_m2]))
            .collect(),
        other_routing: by_lot(&found.other_routing),
        crossings: crossings.collect(),
        sheds,
        complete: found.completeness.is_complete(),
        edge_limited_m2: found.completeness.edge_limited_m2,
        bank_change: found.completeness.bank_change_m2,
        ponds: ponds(&found),
    }
}

fn ponds(found: &Assessment<'_>) -> Vec<[f64; 3]> {
    found.ponds.iter().map(|p| [p.pond.level_m, p.pond.area_m2, p.pond.volume_m3]).collect()
}

/// Sums of some thousand areas differ by their order at most.
const SUMS: f64 = 1e-9;

fn same(what: &str, small: f64, whole: f64) {
    let room = SUMS * whole.abs().max(1.0);
    assert!((small - whole).abs() <= room, "{what}: {small} in the window, {whole} in the whole raster");
}

fn same_areas(what: &str, small: &ByLot, whole: &ByLot) {
    assert_eq!(small.keys().collect::<Vec<_>>(), whole.keys().collect::<Vec<_>>(), "{what}: the same lots");
    for (lot, area) in small {
        same(&format!("{what} {lot:?}"), *area, whole[lot]);
    }
}

pub(crate) fn assert_same(small: &Told, whole: &Told) {
    same("run-on", small.run_on_m2, whole.run_on_m2);
    same_areas("other routing", &small.other_routing, &whole.other_routing);
    for (place, name) in ["area", "straight", "handed over"].into_iter().enumerate() {
        let pick = |told: &Told| told.contributions.iter().map(|(k, v)| (k.clone(), v[place])).collect();
        same_areas(name, &pick(small), &pick(whole));
    }
    assert_eq!(
        small.crossings.len(),
        whole.crossings.len(),
        "{:?} and {:?}",
        small.crossings,
        whole.crossings
    );
    for (a, b) in small.crossings.iter().zip(&whole.crossings) {
        assert_eq!((a.ring, a.manner, a.complete), (b.ring, b.manner, b.complete));
        // Chainages are kept to the micrometre.
        assert_relative_eq!(a.place[0], b.place[0], epsilon = 2e-6);
        assert_relative_eq!(a.place[1], b.place[1], epsilon = 2e-6);
        same("area of a crossing", a.place[2], b.place[2]);
        same_areas("origins of a crossing", &a.origins, &b.origins);
    }
    assert_eq!(small.sheds.len(), whole.sheds.len(), "{:?} and {:?}", small.sheds, whole.sheds);
    for (lot, area) in &small.sheds {
        same(&format!("shed to {lot}"), *area, whole.sheds[lot]);
    }
    assert_eq!(small.complete, whole.complete, "complete: {small:?} and {whole:?}");
    same("edge-limited area", small.edge_limited_m2, whole.edge_limited_m2);
    same("change by a bank", small.bank_change, whole.bank_change);
    assert_eq!(small.ponds.len(), whole.ponds.len(), "ponds: {:?} and {:?}", small.ponds, whole.ponds);
    for (a, b) in small.ponds.iter().flatten().zip(whole.ponds.iter().flatten()) {
        same("level, area or volume of a pond", *a, *b);
    }
}
