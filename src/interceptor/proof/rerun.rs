//! The water of the lot followed downwards with the line in place.

use super::{CrossedPart, LinedGround, Stepped};

/// What a part takes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Taken {
    /// Ground outside the lot whose rain it takes, m².
    pub run_on_m2: f64,
    /// Ground of the lot itself whose rain it takes, m².
    pub own_m2: f64,
}

impl Taken {
    /// Both.
    #[must_use]
    pub fn total_m2(&self) -> f64 {
        self.run_on_m2 + self.own_m2
    }
}

/// Run-on that isn't kept off the lot, by why, m²: with what is caught and what goes elsewhere all of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Missed {
    /// By part, what crosses it and isn't taken.
    pub past_m2: Vec<f64>,
    /// What comes onto the lot beside the line, behind the setback, and crosses no part.
    pub beside_m2: f64,
    /// What comes onto the lot beside the line and leaves it again within the setback: no line there could
    /// take it.
    pub edge_m2: f64,
    /// What is taken and comes back from where it is let out.
    pub back_m2: f64,
}

/// What the pass finds.
pub(super) struct Rerun {
    /// By part.
    pub(super) taken: Vec<Taken>,
    /// Where the water that is taken would have gone on from, m² by place of the course.
    pub(super) removed_m2: Vec<f64>,
    /// By part, all water that crosses it.
    pub(super) crossing: Vec<Vec<CrossedPart>>,
    /// Run-on that has touched the strip in front of the line only.
    pub(super) elsewhere_m2: f64,
    /// By part, run-on that crosses it and isn't taken.
    pub(super) past_m2: Vec<f64>,
    /// Run-on that has come behind the setback beside the line and crosses no part.
    pub(super) beside_m2: f64,
    /// Run-on that has come onto the lot's other ground within the setback only and crosses no part.
    pub(super) edge_m2: f64,
}

/// Water that hasn't met the line yet, m².
#[derive(Debug, Clone, Copy, Default)]
struct Load {
    /// Run-on that has been in front of the line only.
    front: f64,
    /// Run-on that has come onto the lot's other ground, no farther than the setback.
    edge: f64,
    /// Run-on that has come behind the setback there.
    inside: f64,
    /// The lot's own rain.
    own: f64,
}

/// Donors before receivers. What a part can't take has passed it and isn't offered to another.
pub(super) fn rerun(ground: &LinedGround<'_>) -> Rerun {
    let scene = ground.basis.scene;
    let cells = ground.course.cells();
    let mut run = Rerun {
        taken: vec![Taken::default(); ground.basis.parts.len()],
        removed_m2: vec![0.0; cells.len()],
        crossing: vec![Vec::new(); ground.basis.parts.len()],
        elsewhere_m2: 0.0,
        past_m2: vec![0.0; ground.basis.parts.len()],
        beside_m2: 0.0,
        edge_m2: 0.0,
    };
    let mut loads = vec![Load::default(); cells.len()];
    for entry in ground.basis.entries {
        let Some(place) = ground.course.place(entry.into) else { continue };
        let water = Load { front: entry.area_m2, ..Load::default() };
        run.hand_on(ground.entry(entry.from, entry.into), water, (place, entry.into), &mut loads);
    }
    let cell_m2 = scene.cell.area_m2();
    for (place, &cell) in cells.iter().enumerate() {
        let cell = cell as usize;
        let mut load = loads[place];
        load.own += scene.lots.share(cell, scene.subject) * cell_m2;
        if scene.field.leaves(cell) {
            run.elsewhere_m2 += load.front;
            run.edge_m2 += load.edge;
            run.beside_m2 += load.inside;
            continue;
        }
        for (to, share) in scene.field.receivers(cell) {
            let Some(next) = ground.course.place(to) else { continue };
            run.hand_on(ground.step(cell, to), load.times(share), (next, to), &mut loads);
        }
    }
    run
}

impl Rerun {
    fn hand_on(&mut self, stepped: Stepped, water: Load, (next, cell): (usize, usize), loads: &mut [Load]) {
        let to = &mut loads[next];
        match stepped {
            Stepped::Crosses { part, station_m, takes } => {
                let taken = water.times(takes);
                self.taken[part].run_on_m2 += taken.run_on();
                self.taken[part].own_m2 += taken.own;
                self.past_m2[part] += water.run_on() * (1.0 - takes);
                self.removed_m2[next] += taken.run_on() + taken.own;
                let area_m2 = water.run_on() + water.own;
                if area_m2 > 0.0 {
                    self.crossing[part].push(CrossedPart { cell, station_m, area_m2, takes });
                }
            }
            Stepped::Inside { behind_setback: true } => {
                to.inside += water.run_on();
                to.own += water.own;
            }
            Stepped::Inside { behind_setback: false } => {
                to.edge += water.front + water.edge;
                to.inside += water.inside;
                to.own += water.own;
            }
            Stepped::Goes => {
                to.front += water.front;
                to.edge += water.edge;
                to.inside += water.inside;
                to.own += water.own;
            }
        }
    }
}

impl Load {
    fn run_on(&self) -> f64 {
        self.front + self.edge + self.inside
    }

    fn times(self, share: f64) -> Self {
        Self {
            front: self.front * share,
            edge: self.edge * share,
            inside: self.inside * share,
            own: self.own * share,
        }
    }
}
