//! Several complaints, one cause: complaints whose water comes from the same ground.

use super::PairRow;
use super::lot::LotScreen;
use crate::input::Complaint;
use crate::lots::Label;
use std::collections::{BTreeMap, BTreeSet};

/// A source below this share of a lot's run-on joins no complaints. Ours.
const LEAST_SHARE: f64 = 0.1;

/// Complaints that hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// The lots, by label.
    pub lots: Vec<Label>,
    /// Parcels, and land without one, that give at least a tenth of the run-on of one of them, those that most lots have
    /// upstream first. Lots of the group itself may be among them: their neighbours lie further down.
    pub sources: Vec<CommonSource>,
}

/// Ground that several lots get water from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CommonSource {
    /// The parcel, or land without one.
    pub source: Label,
    /// How many lots of the group get at least a tenth of their run-on from it.
    pub lots: usize,
    /// What all of them get from it, m².
    pub area_m2: f64,
}

/// Groups the lots of complaints: two belong together when a parcel gives at least a tenth of the run-on of both, or one of
/// them gives it to the other. Land without a parcel joins none: it is all streets of the town. The largest groups first.
pub(super) fn causes(lots: &[LotScreen], pairs: &[PairRow], complaints: &[Complaint]) -> Vec<Cause> {
    let asked: BTreeSet<usize> = complaints.iter().filter_map(|complaint| complaint.parcel).collect();
    let concerned: BTreeMap<Label, f64> =
        lots.iter().filter(|lot| asked.contains(&lot.parcel)).map(|lot| (lot.label, lot.run_on_m2)).collect();
    let weighty: Vec<&PairRow> = pairs
        .iter()
        .filter(|pair| {
            let run_on_m2 = concerned.get(&pair.receiving);
            run_on_m2.is_some_and(|m2| pair.area_m2 > 0.0 && pair.area_m2 >= LEAST_SHARE * m2)
        })
        .collect();
    let mut groups = Groups::default();
    for &lot in concerned.keys() {
        groups.head(lot);
    }
    for pair in weighty.iter().filter(|pair| pair.source != Label::UNPARCELLED) {
        groups.join(pair.receiving, pair.source);
    }
    let mut by_head: BTreeMap<Label, Vec<Label>> = BTreeMap::new();
    for &lot in concerned.keys() {
        by_head.entry(groups.head(lot)).or_default().push(lot);
    }
    let mut found: Vec<Cause> =
        by_head.into_values().map(|lots| Cause { sources: sources(&lots, &weighty), lots }).collect();
    found.sort_by(|a, b| b.lots.len().cmp(&a.lots.len()).then(a.lots.cmp(&b.lots)));
    found
}

fn sources(lots: &[Label], weighty: &[&PairRow]) -> Vec<CommonSource> {
    let mut found: BTreeMap<Label, CommonSource> = BTreeMap::new();
    for pair in weighty.iter().filter(|pair| lots.contains(&pair.receiving)) {
        let source = pair.source;
        let row = found.entry(source).or_insert(CommonSource { source, lots: 0, area_m2: 0.0 });
        row.lots += 1;
        row.area_m2 += pair.area_m2;
    }
    let mut found: Vec<CommonSource> = found.into_values().collect();
    found.sort_by(|a, b| {
        b.lots.cmp(&a.lots).then(b.area_m2.total_cmp(&a.area_m2)).then(a.source.cmp(&b.source))
    });
    found
}

/// Labels that hang together.
#[derive(Default)]
struct Groups(BTreeMap<Label, Label>);

impl Groups {
    fn head(&mut self, label: Label) -> Label {
        let above = *self.0.entry(label).or_insert(label);
        if above == label {
            return label;
        }
        let head = self.head(above);
        self.0.insert(label, head);
        head
    }

    fn join(&mut self, a: Label, b: Label) {
        let (a, b) = (self.head(a), self.head(b));
        self.0.insert(a.max(b), a.min(b));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pipeline::town::lot::{Crossed, Ponding, Shedding};
    use crate::pipeline::town::rules::Classed;

    fn label(place: usize) -> Label {
        Label::of_place(place).unwrap()
    }

    fn lot(place: usize, run_on_m2: f64) -> LotScreen {
        LotScreen {
            label: label(place),
            parcel: place,
            area_m2: 500.0,
            run_on_m2,
            contributors: 0,
            largest: None,
            crossed: Crossed::default(),
            shedding: Shedding::default(),
            ponding: Ponding::default(),
            edge_limited_m2: 0.0,
            is_at_edge: false,
            without_elevation: 0.0,
            flow: None,
            classed: Classed::default(),
        }
    }

    fn pair(receiving: usize, source: Label, area_m2: f64) -> PairRow {
        let receiving = label(receiving);
        PairRow { receiving, source, area_m2, straight_m2: 0.0, handed_over_m2: 0.0, crossing_m: 0.0 }
    }

    // By hand: 0 and 1 both get a tenth and more from 5; 2 gets it from 1; 3 shares with the others only a street and a trace
    // of 5; 4 is no complaint.
    #[test]
    fn complaints_with_a_common_parcel_or_one_above_the_other_hang_together() {
        let lots: Vec<LotScreen> = (0..6).map(|place| lot(place, 1000.0)).collect();
        let street = Label::UNPARCELLED;
        let pairs = [
            pair(0, street, 600.0),
            pair(0, label(5), 400.0),
            pair(1, label(5), 100.0),
            pair(1, street, 900.0),
            pair(2, label(1), 300.0),
            pair(3, label(5), 99.0),
            pair(3, street, 901.0),
            pair(4, label(5), 1000.0),
        ];
        let complaint =
            |place: usize| Complaint { name: place.to_string(), parcel: Some(place), id: String::new() };
        let found = causes(&lots, &pairs, &[0, 1, 2, 3].map(complaint));
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].lots, [0, 1, 2].map(label));
        let rows: Vec<_> = found[0].sources.iter().map(|s| (s.source, s.lots, s.area_m2)).collect();
        assert_eq!(rows, [(street, 2, 1500.0), (label(5), 2, 500.0), (label(1), 1, 300.0)]);
        assert_eq!(found[1].lots, [label(3)]);
    }
}
