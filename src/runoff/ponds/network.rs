//! How water goes from pond to pond, worked out once for a lot and then solved for any storm.
//!
//! Rain runs down the cells until it comes to a pond. What goes on from there is a share of what came in, and runs down
//! to the next pond. Every step out of a pond is a node; the water on it is what fell above it below any other pond, and
//! parts of the water of nodes further up, times the pond's share. So the cells are walked once, and a storm is solved
//! on the nodes.

use super::PondCells;
use crate::lots::{Arrival, Scene};

/// Nodes that a cell's water comes from, and the part of each; more than these are drawn together into one. Small
/// test grounds have few ponds, so there it happens earlier.
const MOST_PARTS: usize = if cfg!(test) { 2 } else { 8 };

/// Water that falls directly, without passing a pond.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Direct {
    /// Area, m²: the water of a storm of 1 m everywhere.
    pub(super) area_m2: f64,
    /// Runoff of the named storm, m³.
    volume_m3: f64,
}

/// Which of the two the network is solved for.
#[derive(Debug, Clone, Copy)]
pub(super) enum Rain {
    /// The named storm.
    Storm,
    /// A depth of runoff everywhere, m.
    Uniform(f64),
}

impl Direct {
    fn of(self, rain: Rain) -> f64 {
        match rain {
            Rain::Storm => self.volume_m3,
            Rain::Uniform(depth_m) => self.area_m2 * depth_m,
        }
    }
}

/// Water as a sum: what fell directly, and parts of nodes.
#[derive(Debug, Clone, Default)]
pub(super) struct Load {
    pub(super) direct: Direct,
    /// By node, rising.
    pub(super) parts: Vec<(u32, f64)>,
}

impl Load {
    fn add(&mut self, other: &Self, factor: f64) {
        self.direct.area_m2 += other.direct.area_m2 * factor;
        self.direct.volume_m3 += other.direct.volume_m3 * factor;
        for &(node, part) in &other.parts {
            match self.parts.binary_search_by_key(&node, |&(n, _)| n) {
                Ok(at) => self.parts[at].1 += part * factor,
                Err(at) => self.parts.insert(at, (node, part * factor)),
            }
        }
    }

    pub(super) fn value(&self, rain: Rain, nodes: &[f64]) -> f64 {
        let parts = self.parts.iter().map(|&(node, part)| part * nodes[node as usize]);
        self.direct.of(rain) + parts.sum::<f64>()
    }
}

/// Water at one place; all that it is made of comes from nodes before it.
#[derive(Debug)]
pub(super) struct Node {
    pub(super) load: Load,
    /// The pond whose share of it goes on; none where waters are only drawn together.
    pub(super) pond: Option<usize>,
}

/// The ponds above a lot and the ways between them.
#[derive(Debug)]
pub(super) struct Network {
    pub(super) nodes: Vec<Node>,
    /// What comes into each pond.
    pub(super) inflows: Vec<Load>,
    pub(super) capacities_m3: Vec<f64>,
}

impl Network {
    /// Walks the cells down once, donors before receivers. `runoff_m3` is what each cell sheds outside the lot.
    pub(super) fn of(scene: &Scene<'_>, arrival: &Arrival, ponds: &PondCells, runoff_m3: &[f64]) -> Self {
        let cells = scene.reach.cells();
        let mut loads: Vec<Load> = vec![Load::default(); cells.len()];
        let capacities_m3 = ponds.capacities_m3.clone();
        let mut network =
            Self { nodes: Vec::new(), inflows: vec![Load::default(); capacities_m3.len()], capacities_m3 };
        for (place, &cell) in cells.iter().enumerate() {
            let cell = cell as usize;
            let mut load = std::mem::take(&mut loads[place]);
            // As in the descent: slivers of the lot's own cells are entries of their own, and what arrives stays.
            if arrival.at_place(place) <= 0.0 || scene.is_subject(cell) {
                continue;
            }
            let own = Load {
                direct: Direct {
                    area_m2: scene.share_outside(cell) * scene.cell.area_m2(),
                    volume_m3: runoff_m3[place],
                },
                parts: Vec::new(),
            };
            let pond = ponds.at(place);
            if let Some(pond) = pond {
                network.inflows[pond].add(&own, 1.0);
            }
            load.add(&own, 1.0);
            network.draw_together(&mut load);
            for (receiver, part) in scene.field.receivers(cell) {
                let next = scene.reach.place(receiver).filter(|&p| arrival.at_place(p) > 0.0);
                let Some(next) = next.filter(|_| !scene.is_subject(receiver)) else { continue };
                let into = ponds.at(next);
                let mut handed = Load::default();
                handed.add(&load, part);
                if pond.is_some() && into != pond {
                    handed = network.node(handed, pond);
                }
                if let Some(into) = into.filter(|_| into != pond) {
                    network.inflows[into].add(&handed, 1.0);
                }
                loads[next].add(&handed, 1.0);
            }
        }
        network
    }

    /// Puts water on a node and gives what is carried on: all of the node.
    fn node(&mut self, load: Load, pond: Option<usize>) -> Load {
        let Ok(number) = u32::try_from(self.nodes.len()) else { return load };
        self.nodes.push(Node { load, pond });
        Load { direct: Direct::default(), parts: vec![(number, 1.0)] }
    }

    fn draw_together(&mut self, load: &mut Load) {
        if load.parts.len() > MOST_PARTS {
            let parts = Load { direct: Direct::default(), parts: std::mem::take(&mut load.parts) };
            load.parts = self.node(parts, None).parts;
        }
    }
}
