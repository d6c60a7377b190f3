//! What the lot itself sheds, and where that water first leaves it.

use super::entries::Entry;
use super::labels::Label;
use super::scene::Scene;

/// Where the lot's own rain goes when it first leaves the lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Leaving {
    /// Onto another lot, or onto land without a lot.
    Onto(Label),
    /// Into the storm inlet at this place of the scene's list.
    IntoInlet(usize),
    /// Over the edge of the data.
    OffTheData,
}

/// One step by which the lot's own rain leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exit {
    /// The lot's cell.
    pub from: usize,
    /// Where the water goes.
    pub to: Leaving,
    /// Area of the lot whose rain leaves here, m².
    pub area_m2: f64,
    /// Area outside the lot whose rain has crossed the lot and leaves it here, m².
    pub passing_m2: f64,
}

/// All exits, in the order of the reach, and then the parts of the lot that lie in other lots' cells.
#[must_use]
pub fn exits(scene: &Scene<'_>, entries: &[Entry]) -> Vec<Exit> {
    let cells = scene.reach.cells();
    let cell_m2 = scene.cell.area_m2();
    let mut load = vec![0.0; cells.len()];
    let mut passing = vec![0.0; cells.len()];
    for entry in entries {
        if let Some(place) = scene.reach.place(entry.into) {
            passing[place] += entry.area_m2;
        }
    }
    let mut found = Vec::new();
    for (place, &cell) in cells.iter().enumerate() {
        let cell = cell as usize;
        if !scene.is_subject(cell) {
            enter_from_fringe(scene, cell, &mut load, &mut found);
            continue;
        }
        let area_m2 = load[place] + scene.lots.share(cell, scene.subject) * cell_m2;
        if scene.field.leaves(cell) {
            let to = scene.leaving_at(cell);
            found.push(Exit { from: cell, to, area_m2, passing_m2: passing[place] });
        }
        for (receiver, part) in scene.field.receivers(cell) {
            if !scene.is_subject(receiver) {
                let to = Leaving::Onto(scene.lots.label(receiver));
                found.push(Exit {
                    from: cell,
                    to,
                    area_m2: area_m2 * part,
                    passing_m2: passing[place] * part,
                });
            } else if let Some(next) = scene.reach.place(receiver) {
                load[next] += area_m2 * part;
                passing[next] += passing[place] * part;
            }
        }
    }
    // Parts of the lot in cells from which nothing comes back to it. Where there is no elevation nothing is known.
    let sheds_away = |&cell: &usize| scene.field.is_valid(cell) && scene.reach.place(cell).is_none();
    found.extend(scene.lots.fringe_of(scene.subject).filter(sheds_away).map(|cell| Exit {
        from: cell,
        to: Leaving::Onto(scene.lots.label(cell)),
        area_m2: scene.lots.share(cell, scene.subject) * cell_m2,
        passing_m2: 0.0,
    }));
    found
}

/// The part of the lot that lies in another lot's cell runs on to where that cell's water goes.
fn enter_from_fringe(scene: &Scene<'_>, cell: usize, load: &mut [f64], found: &mut Vec<Exit>) {
    if !scene.lots.is_shared(cell) {
        return;
    }
    let area_m2 = scene.lots.share(cell, scene.subject) * scene.cell.area_m2();
    if area_m2 <= 0.0 {
        return;
    }
    let mut stays = 1.0;
    for (receiver, part) in scene.field.receivers(cell) {
        if scene.is_subject(receiver)
            && let Some(next) = scene.reach.place(receiver)
        {
            load[next] += area_m2 * part;
            stays -= part;
        }
    }
    if stays > 0.0 {
        found.push(Exit {
            from: cell,
            to: Leaving::Onto(scene.lots.label(cell)),
            area_m2: area_m2 * stays,
            passing_m2: 0.0,
        });
    }
}
