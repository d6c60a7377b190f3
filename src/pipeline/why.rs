//! Why a parcel's water comes to the lot, or doesn't.

use super::catchment::Routed;
use super::settings::Settings;
use crate::error::Error;
use crate::input::{InputError, Site};
use crate::lots::{
    Label, Leaving, LotDrainage, OntoLot, ParcelWater, Turning, TurningSearch, WayField, WayTree,
};
use std::collections::BTreeMap;

/// Parts of a parcel's known ground below this aren't told, as a share of it.
const TOLD: f64 = 1e-3;
/// Parcels farther from the lot than this aren't looked at, m.
const WITHIN_M: f64 = 1000.0;

/// What is to be said of one parcel.
#[derive(Debug, Clone)]
pub struct Explanation {
    /// Its place in the set of parcels.
    pub parcel: usize,
    /// Area of it on ground whose elevation is known, by the middles of cells, m².
    pub known_m2: f64,
    /// Why water of it comes to the lot; nothing where none does.
    pub comes: Option<Comes>,
    /// Why water of it doesn't; nothing where all does.
    pub goes: Option<Goes>,
}

/// Water that comes to the lot.
#[derive(Debug, Clone)]
pub struct Comes {
    /// Area whose rain does, m².
    pub area_m2: f64,
    /// The longest way from ground most of whose water comes; nothing for slivers at the lot line.
    pub way: Option<ExplainedWay>,
    /// Crossings by which it enters, by their places, with areas, m²; the largest first.
    pub crossings: Vec<(usize, f64)>,
    /// What would turn most of it away; nothing where nothing on the ground that was read would.
    pub decision: Option<Decision>,
}

/// Water that goes elsewhere.
#[derive(Debug, Clone)]
pub struct Goes {
    /// Area whose rain does, m².
    pub area_m2: f64,
    /// Where it goes when it leaves the parcel, with areas, m²; the largest first.
    pub to: Vec<(Leaving, f64)>,
    /// Where it ends, with areas, m²; the largest first.
    pub ends: Vec<(WayStop, f64)>,
    /// The way of most of it from where most of it leaves the parcel.
    pub way: ExplainedWay,
    /// What would send most of it to the lot; nothing where nothing on the ground that was read would.
    pub decision: Option<Decision>,
}

/// Where water leaves the ground that was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WayStop {
    /// Over the edge of the data.
    EdgeOfData,
    /// Into the storm inlet at this place of the ground's list.
    Inlet(usize),
    /// It goes on over ground that didn't have to be read.
    NotRead,
}

/// A way over the ground.
#[derive(Debug, Clone)]
pub struct ExplainedWay {
    /// Its cells, downwards.
    pub cells: Vec<usize>,
    /// Length, m.
    pub length_m: f64,
    /// Fall of the filled surface, m.
    pub fall_m: f64,
    /// Parcels gone through after the one that it starts on, the lot left out, in order.
    pub through: Vec<Label>,
}

/// The narrowest decision: the least change of elevation that would turn most of the water.
#[derive(Debug, Clone)]
pub struct Decision {
    /// The way out of the dammed water.
    pub turning: Turning,
    /// Whether water stands at its first cell when the hollow is full.
    pub in_pond: bool,
    /// Whether no one place carries half of the water, so that the least is of half of the places where it crosses.
    pub spread: bool,
    /// Whose ground the water would come to.
    pub towards: Label,
}

/// One parcel on routed ground.
struct Looked<'a> {
    routed: &'a Routed,
    label: Label,
    water: ParcelWater,
}

/// Explains the parcels that were asked for.
pub(super) fn explanations(
    site: &Site,
    routed: &Routed,
    drainage: &LotDrainage,
    settings: &Settings,
) -> Result<Vec<Explanation>, Error> {
    if settings.why.is_empty() {
        return Ok(Vec::new());
    }
    let onto = OntoLot { scene: routed.scene(), arrival: &routed.arrival };
    let ways = WayTree::of(&WayField { scene: routed.scene(), goal: &onto }, 0.0);
    let mut search = TurningSearch::on(routed.scene(), &routed.filled);
    let mut found = Vec::new();
    for parcel in asked_for(site, settings)? {
        let place = routed.ground.parcels.iter().position(|&one| one == parcel);
        let Some(label) = place.and_then(Label::of_place) else {
            found.push(Explanation { parcel, known_m2: 0.0, comes: None, goes: None });
            continue;
        };
        let water = ParcelWater::of(&routed.scene(), &routed.arrival, label)?;
        let looked = Looked { routed, label, water };
        let known_m2 = looked.known_m2();
        let comes = looked.comes(drainage, &ways, &mut search, known_m2);
        let goes = looked.goes(&mut search, known_m2);
        found.push(Explanation { parcel, known_m2, comes, goes });
    }
    Ok(found)
}

/// Places of the parcels that were asked for, each once.
///
/// # Errors
/// An id that no parcel has, that is the lot's own, or of a parcel too far away.
pub(super) fn asked_for(site: &Site, settings: &Settings) -> Result<Vec<usize>, InputError> {
    let mut places: Vec<usize> = Vec::new();
    for id in &settings.why {
        let place = site.parcels.other_than_subject(id, WITHIN_M / site.crs.metres_per_unit())?;
        if !places.contains(&place) {
            places.push(place);
        }
    }
    Ok(places)
}

impl Looked<'_> {
    fn known_m2(&self) -> f64 {
        let scene = self.routed.scene();
        let cells = self.water.course.cells().iter().map(|&cell| cell as usize);
        let own = cells.filter(|&cell| scene.lots.label(cell) == self.label);
        own.map(|cell| scene.lots.share(cell, self.label) * scene.cell.area_m2()).sum::<f64>() + 0.0
    }

    /// Share of a cell's water that comes to the lot.
    fn reaching(&self, cell: usize) -> f64 {
        if self.routed.is_subject(cell) {
            return 1.0;
        }
        self.routed.reach.place(cell).map_or(0.0, |place| self.routed.arrival.at_place(place))
    }

    fn is_ground(&self, cell: usize) -> bool {
        self.routed.field.is_valid(cell) && !self.routed.ground.roofs.covers(cell)
    }

    fn comes(
        &self,
        drainage: &LotDrainage,
        ways: &WayTree,
        search: &mut TurningSearch<'_>,
        known_m2: f64,
    ) -> Option<Comes> {
        let area_m2 = drainage.contributions.iter().find(|row| row.label == self.label)?.area_m2;
        if area_m2 <= TOLD * known_m2 {
            return None;
        }
        let is_goal =
            |cell: usize| self.is_ground(cell) && !self.routed.is_subject(cell) && self.reaching(cell) < 0.5;
        let is_open = |cell: usize| self.is_ground(cell) && !self.routed.is_subject(cell);
        let decision = self.decision(search, (&self.water.coming_m2, &self.water.enters), &is_goal, &is_open);
        Some(Comes { area_m2, way: self.longest_way(ways), crossings: self.crossings(drainage), decision })
    }

    fn crossings(&self, drainage: &LotDrainage) -> Vec<(usize, f64)> {
        let by = |(place, crossing): (usize, &crate::lots::Crossing)| {
            let own = crossing.origins.iter().find(|(label, _)| *label == self.label)?;
            Some((place, own.1))
        };
        let mut found: Vec<(usize, f64)> = drainage.crossings.iter().enumerate().filter_map(by).collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }

    /// The longest way from a cell most of whose water comes; without such a cell, from those of which the most does.
    fn longest_way(&self, ways: &WayTree) -> Option<ExplainedWay> {
        let reach = &self.routed.reach;
        let own = reach
            .cells()
            .iter()
            .enumerate()
            .filter(|&(_, &cell)| self.routed.ground.lots.label(cell as usize) == self.label);
        let starts: Vec<(usize, usize)> =
            own.filter_map(|(place, &cell)| Some((cell as usize, ways.start(place)?))).collect();
        let most = starts.iter().map(|&(cell, _)| self.reaching(cell)).fold(0.0, f64::max).min(0.5);
        let longest = starts
            .into_iter()
            .filter(|&(cell, _)| self.reaching(cell) >= most)
            .max_by(|a, b| ways.to_end_m(a.1).total_cmp(&ways.to_end_m(b.1)).then(b.0.cmp(&a.0)))?;
        let way = ways.way(longest.1);
        Some(self.explained(way.cells, way.length_m))
    }

    fn explained(&self, cells: Vec<usize>, length_m: f64) -> ExplainedWay {
        let level =
            |cell: Option<&usize>| cell.map_or(0.0, |&cell| f64::from(self.routed.filled.values()[cell]));
        let fall_m = level(cells.first()) - level(cells.last());
        let mut through: Vec<Label> = Vec::new();
        for label in cells.iter().map(|&cell| self.routed.ground.lots.label(cell)) {
            if label != self.label && label != self.routed.ground.subject && !through.contains(&label) {
                through.push(label);
            }
        }
        ExplainedWay { cells, length_m, fall_m, through }
    }

    fn goes(&self, search: &mut TurningSearch<'_>, known_m2: f64) -> Option<Goes> {
        let area_m2: f64 = self.water.leaves.iter().map(|leave| leave.2).sum();
        if area_m2 <= TOLD * known_m2 || known_m2 <= 0.0 {
            return None;
        }
        let is_goal = |cell: usize| self.is_ground(cell) && self.reaching(cell) >= 0.5;
        let is_open = |cell: usize| self.is_ground(cell);
        let steps: Vec<(usize, f64)> = self.water.leaves.iter().map(|&(cell, _, m2)| (cell, m2)).collect();
        let decision = self.decision(search, (&self.water.going_m2, &steps), &is_goal, &is_open);
        Some(Goes { area_m2, to: self.goes_to(), ends: self.ends(), way: self.way_away(), decision })
    }

    fn goes_to(&self) -> Vec<(Leaving, f64)> {
        let mut areas: BTreeMap<Leaving, f64> = BTreeMap::new();
        for &(_, to, m2) in &self.water.leaves {
            *areas.entry(to).or_default() += m2;
        }
        largest_first(areas)
    }

    fn ends(&self) -> Vec<(WayStop, f64)> {
        let mut areas: BTreeMap<WayStop, f64> = BTreeMap::new();
        for &(cell, m2) in &self.water.ends {
            let stop = match self.routed.scene().leaving_at(cell) {
                Leaving::IntoInlet(place) => WayStop::Inlet(place),
                _ if self.routed.ground.edge_side(cell).is_some() => WayStop::EdgeOfData,
                _ => WayStop::NotRead,
            };
            *areas.entry(stop).or_default() += m2;
        }
        largest_first(areas)
    }

    /// From the cell of the parcel that most of the water goes through, the way of most of it.
    fn way_away(&self) -> ExplainedWay {
        let cells = self.water.course.cells();
        let going = |place: usize| self.water.going_m2[place];
        let own =
            (0..cells.len()).filter(|&p| self.routed.ground.lots.label(cells[p] as usize) == self.label);
        let start = own.max_by(|&a, &b| going(a).total_cmp(&going(b)).then(b.cmp(&a)));
        let mut way: Vec<usize> = start.map(|place| cells[place] as usize).into_iter().collect();
        let mut length_m = 0.0;
        while let Some(&at) = way.last() {
            let away = |(to, part): (usize, f64)| (to, part * (1.0 - self.reaching(to)));
            let next = self.routed.field.receivers(at).into_iter().map(away);
            let Some((to, _)) = next.filter(|n| n.1 > 0.0).reduce(|a, b| if b.1 > a.1 { b } else { a })
            else {
                break;
            };
            length_m += self.routed.scene().step_length(at, to);
            way.push(to);
        }
        self.explained(way, length_m)
    }

    /// The least change that turns most of the water: at one place that carries half of it, or, along the line that it
    /// crosses by `steps`, at half of those.
    fn decision(
        &self,
        search: &mut TurningSearch<'_>,
        (passing_m2, steps): (&[f64], &[(usize, f64)]),
        is_goal: &impl Fn(usize) -> bool,
        is_open: &impl Fn(usize) -> bool,
    ) -> Option<Decision> {
        let half_m2 = 0.5 * steps.iter().map(|step| step.1).sum::<f64>();
        let cells = self.water.course.cells();
        let mut best: Option<Turning> = None;
        for (place, &cell) in cells.iter().enumerate() {
            let cell = cell as usize;
            if passing_m2[place] < half_m2 || half_m2 <= 0.0 || !self.is_ground(cell) || is_goal(cell) {
                continue;
            }
            let most_m = best.as_ref().map_or(f64::INFINITY, |best| best.rise_m);
            let turning = search.dammed_at(cell, most_m, is_goal, is_open);
            best = better(best, turning);
        }
        let gathered = best.map(|turning| (turning, false));
        let spread = self.along_the_line(search, steps, is_goal, is_open).map(|turning| (turning, true));
        let (turning, spread) = match (gathered, spread) {
            (Some(one), Some(other)) => {
                if other.0.rise_m < one.0.rise_m - SAME_M {
                    other
                } else {
                    one
                }
            }
            (one, other) => one.or(other)?,
        };
        let start = turning.cells[0];
        let depth_m = self.routed.filled.values()[start] - self.routed.ground.raw.values()[start];
        let towards = self.routed.ground.lots.label(*turning.cells.last().unwrap_or(&start));
        Some(Decision { turning, in_pond: f64::from(depth_m) > SAME_M, spread, towards })
    }

    /// Of the rises at all steps over a line the one that turns half of the water, if each is dammed up to it.
    fn along_the_line(
        &self,
        search: &mut TurningSearch<'_>,
        steps: &[(usize, f64)],
        is_goal: &impl Fn(usize) -> bool,
        is_open: &impl Fn(usize) -> bool,
    ) -> Option<Turning> {
        let total_m2: f64 = steps.iter().map(|step| step.1).sum();
        let mut found: Vec<(Turning, f64)> = Vec::new();
        for &(cell, m2) in steps.iter().filter(|&&(cell, _)| self.is_ground(cell) && !is_goal(cell)) {
            if let Some(turning) = search.dammed_at(cell, f64::INFINITY, is_goal, is_open) {
                found.push((turning, m2));
            }
        }
        found.sort_by(|a, b| a.0.rise_m.total_cmp(&b.0.rise_m).then(a.0.length_m.total_cmp(&b.0.length_m)));
        let mut turned_m2 = 0.0;
        found.into_iter().find_map(|(turning, m2)| {
            turned_m2 += m2;
            (turned_m2 >= 0.5 * total_m2).then_some(turning)
        })
    }
}

/// Rises closer to each other than this are the same, m.
const SAME_M: f64 = 5e-4;

fn better(best: Option<Turning>, other: Option<Turning>) -> Option<Turning> {
    match (best, other) {
        (Some(best), Some(other)) => Some(if other.is_before(&best) { other } else { best }),
        (best, other) => best.or(other),
    }
}

fn largest_first<T: Ord>(areas: BTreeMap<T, f64>) -> Vec<(T, f64)> {
    let mut all: Vec<(T, f64)> = areas.into_iter().filter(|one| one.1 > 0.0).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all
}
