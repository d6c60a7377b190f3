//! Whose water it is: the run-on by origin, straight and handed over.

use super::arrival::Arrival;
use super::entries::Entry;
use super::labels::Label;
use super::scene::Scene;

/// What one lot (or land without a lot) gives to the run-on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// The lot.
    pub label: Label,
    /// Area of it whose rain reaches the subject lot, wherever it enters, m².
    pub area_m2: f64,
    /// Of that, what crosses no other lot line before the subject's, m².
    pub straight_m2: f64,
    /// Area whose rain crosses from it onto the subject lot, whoever's rain it was, m².
    pub handed_over_m2: f64,
}

/// All contributions, the largest first; ties by label. The areas, and the areas handed over, each add up to the
/// area of the entries (rounding apart).
#[must_use]
pub fn contributions(scene: &Scene<'_>, arrival: &Arrival, entries: &[Entry]) -> Vec<Contribution> {
    let mut rows: Vec<Contribution> = Vec::new();
    for (label, area_m2) in origins(scene, arrival) {
        row(&mut rows, label).area_m2 += area_m2;
    }
    for entry in entries {
        row(&mut rows, entry.by).handed_over_m2 += entry.area_m2;
        row(&mut rows, entry.by).straight_m2 += entry.straight_m2;
    }
    let mut rows: Vec<Contribution> =
        rows.into_iter().filter(|r| r.area_m2 > 0.0 || r.handed_over_m2 > 0.0).collect();
    rows.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2).then(a.label.cmp(&b.label)));
    rows
}

/// Area by lot whose rain arrives, by label; only lots that give something.
#[must_use]
pub fn origins(scene: &Scene<'_>, arrival: &Arrival) -> Vec<(Label, f64)> {
    origins_weighted(scene, arrival, |_| 1.0)
}

/// As [`origins`], each cell's area times a number of its own: with a depth of runoff in metres, cubic metres by lot.
#[must_use]
pub fn origins_weighted(
    scene: &Scene<'_>,
    arrival: &Arrival,
    weight: impl Fn(usize) -> f64,
) -> Vec<(Label, f64)> {
    let mut areas: Vec<(Label, f64)> = Vec::new();
    for (place, &cell) in scene.reach.cells().iter().enumerate() {
        let arriving = arrival.at_place(place) * scene.cell.area_m2() * weight(cell as usize);
        if arriving <= 0.0 {
            continue;
        }
        for (label, share) in scene.lots.parts(cell as usize).filter(|&(l, _)| l != scene.subject) {
            let number = label.number();
            if areas.len() <= number {
                areas.resize(number + 1, (Label::UNPARCELLED, 0.0));
            }
            areas[number] = (label, areas[number].1 + share * arriving);
        }
    }
    areas.retain(|&(_, area)| area > 0.0);
    areas
}

fn row(rows: &mut Vec<Contribution>, label: Label) -> &mut Contribution {
    let number = label.number();
    while rows.len() <= number {
        let label = Label::of_number(rows.len());
        rows.push(Contribution { label, area_m2: 0.0, straight_m2: 0.0, handed_over_m2: 0.0 });
    }
    &mut rows[number]
}
