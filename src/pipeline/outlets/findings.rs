//! What must be said of where a part drains to, and of what stands beside it.

use super::open::Back;
use super::{DownstreamEnd, PartOutlets, Search, WayOut};
use crate::interceptor::{
    Approach, Backflow, LinePart, OutletKind, OutletPlace, OutletVerdict, Overflow, Receiving, Undercut,
};
use crate::units::Flow;
use crate::warning::{Warning, named};
use crate::wording::{called, metres, span};

/// A named place so far below the ground is meant as a structure, or lies in a ditch that the raster doesn't
/// show, m. Ours.
const BELOW_M: f64 = 0.5;

impl Search<'_> {
    pub(super) fn findings(&self, part: &LinePart, outlets: &PartOutlets) -> Vec<Warning> {
        let mut warnings = Vec::new();
        if outlets.by_gravity().is_none() && self.has_outlets() {
            warnings.push(no_gravity(part, outlets));
        }
        warnings.extend(outlets.approaches.iter().map(|near| self.too_near(part, near)));
        warnings.extend(
            outlets.undercuts.iter().map(|cut| self.undercut(part, cut, outlets.proposed().is_some())),
        );
        warnings.extend(given_in_vain(part, outlets));
        warnings.extend(self.below_ground(outlets));
        let Some(proposed) = outlets.proposed() else { return warnings };
        warnings.extend(self.over_parcels(part, proposed));
        warnings.extend(self.onto_parcels(part, proposed));
        warnings.extend(drowned(part, proposed, &outlets.places[proposed.way.outlet]));
        warnings
    }

    /// Whether the user gave any outlet; that none is reached then needs to be said.
    fn has_outlets(&self) -> bool {
        let beside = &self.site.beside;
        self.settings.outlet.is_some() || !beside.inlets.is_empty() || !beside.ditches.is_empty()
    }

    fn ids(&self, parcels: &[usize]) -> String {
        let ids: Vec<&str> =
            parcels.iter().map(|&place| self.site.parcels.parcels()[place].id.as_str()).collect();
        named(&ids)
    }

    fn over_parcels(&self, part: &LinePart, proposed: &WayOut) -> Option<Warning> {
        (!proposed.parcels.is_empty()).then(|| {
            Warning::new(
                "outlet-over-other-parcels",
                format!(
                    "the way from part {} of the line to its outlet runs over {}",
                    part.id,
                    self.ids(&proposed.parcels)
                ),
                "get their owners' written consent first, or name another outlet",
            )
        })
    }

    /// Water that is let out in the open and runs onto other parcels.
    fn onto_parcels(&self, part: &LinePart, proposed: &WayOut) -> Option<Warning> {
        let down = proposed.downstream.as_ref().filter(|down| !down.parcels.is_empty())?;
        let end = match down.end {
            DownstreamEnd::Inlet(place) => {
                let inlet = &self.site.beside.inlets[self.routed.ground.inlets.inlet(place)];
                format!(", and on into {}", called("storm inlet", &inlet.id))
            }
            DownstreamEnd::Edge | DownstreamEnd::Unknown => String::new(),
        };
        Some(Warning::new(
            "discharge-onto-other-parcels",
            format!(
                "water that part {} of the line lets out in the open runs over {}{end}",
                part.id,
                self.ids(&down.parcels)
            ),
            "get their owners' written consent first, have the effect on them checked, or name another outlet",
        ))
    }

    /// A place named well below the ground, where neither an inlet nor a ditch is known.
    fn below_ground(&self, outlets: &PartOutlets) -> Option<Warning> {
        let named = outlets.places.iter().find(|place| place.kind == OutletKind::NamedPlace)?;
        let ground_m = (self.height)(named.at)?;
        let below_m = ground_m - named.invert_m;
        (below_m > BELOW_M).then(|| {
            Warning::new(
                "named-outlet-in-the-open",
                format!(
                    "the invert of --outlet, {:.2} m, lies {below_m:.2} m below the ground there, but no inlet or ditch is given at the place: the pipe is taken to come out in the open, at a bank that the elevation data don't show",
                    named.invert_m
                ),
                "give the structure with --inlets or the ditch with --ditches, if that is what it is",
            )
        })
    }

    fn too_near(&self, part: &LinePart, near: &Approach) -> Warning {
        let thing = &self.obstacles.all()[near.obstacle];
        let wanted_m = thing.distance.as_m();
        let place = format!("part {} of the line, with its lead,", part.id);
        let from = format!("from {} of its way", span(near.from_m, near.to_m));
        if near.nearest_m > 0.0 {
            return Warning::new(
                "line-near-keep-out",
                format!(
                    "{place} comes within {} of {} instead of {}, {from}, over {}",
                    metres(near.nearest_m, 2),
                    thing.name,
                    metres(wanted_m, 2),
                    metres(near.length_m, 1)
                ),
                "ask for another setback or outlet, or have somebody who knows it agree to the distance",
            );
        }
        Warning::new(
            "line-over-keep-out",
            format!("{place} crosses {}, {from}, over {}", thing.name, metres(near.length_m, 1)),
            "get the consent of whoever has a right there and find out how deep it lies, or name another outlet",
        )
    }

    fn undercut(&self, part: &LinePart, cut: &Undercut, is_laid: bool) -> Warning {
        let thing = &self.obstacles.all()[cut.obstacle];
        let least = if is_laid { "" } else { " at the least" };
        Warning::new(
            "trench-undercuts",
            format!(
                "the {} of part {} of the line, {} deep{least} and {} wide at {} of its way, cuts the ground that carries {}: its middle lies {} off and would have to lie {} off",
                cut.by.name(),
                part.id,
                metres(cut.cut_m, 2),
                metres(cut.width_m, 2),
                metres(cut.station_m, 1),
                thing.name,
                metres(cut.distance_m, 2),
                metres(cut.needed_m, 2)
            ),
            "keep the distance, lay the line shallower there, say how deep the base lies (field base of --keep-out), or have it checked by a licensed engineer",
        )
    }
}

/// A place in the open that the user gave, in reach, and not proposed since its water comes back.
fn given_in_vain(part: &LinePart, outlets: &PartOutlets) -> Option<Warning> {
    let given = |way: &&WayOut| way.way.kind.is_open() && way.way.kind != OutletKind::Daylight;
    let way = outlets.ways.iter().filter(given).find(|way| way.serves() && way.back() != Back::Little)?;
    let is_proposed = outlets.proposed().is_some_and(|proposed| std::ptr::eq(proposed, way));
    let back = way.comes_back.filter(|_| !is_proposed)?;
    Some(Warning::new(
        "outlet-comes-back",
        format!(
            "part {} of the line reaches {} by gravity, but {:.0} % of what is let out there comes back to the lot, so another outlet is proposed",
            part.id,
            place_words(&outlets.places[way.way.outlet]),
            back * 100.0
        ),
        "name an outlet that lies lower, or on the other side of the lot",
    ))
}

fn no_gravity(part: &LinePart, outlets: &PartOutlets) -> Warning {
    let pump = outlets.proposed().is_some_and(|found| found.way.verdict() == Some(OutletVerdict::Pump));
    let then = if pump {
        ": a chamber that stores the water, or from which it is pumped, is what is left"
    } else {
        ""
    };
    Warning::new(
        "no-outlet-by-gravity",
        format!("no outlet was found that part {} of the line reaches by gravity{then}", part.id),
        "see what would make each fit in interception_line.parts.outlets; else a pump or storage is needed",
    )
}

fn place_words(place: &OutletPlace) -> String {
    match place.kind {
        OutletKind::StormInlet => called("storm inlet", &place.id),
        OutletKind::Ditch => called("ditch", &place.id),
        OutletKind::Kerb => format!("the gutter of {}", called("kerb", &place.id)),
        OutletKind::NamedPlace => "the place named".to_owned(),
        OutletKind::Daylight | OutletKind::OtherPart | OutletKind::Chamber => "the outlet".to_owned(),
    }
}

/// A pipe that runs over by far though nothing stands at its outlet: how high the water would have to stand is no level that
/// there can be.
fn far_too_small(part: &LinePart, proposed: &WayOut) -> Option<Warning> {
    let free = proposed.tailwaters.iter().find(|case| case.receiving == Receiving::Free)?;
    let over = free.overflow.filter(Overflow::is_far)?;
    let [full, comes] = proposed.tightest?;
    let flow = |flow: Flow| format!("{:.1} L/s ({:.0} gpm)", flow.as_l_per_s(), flow.as_gal_per_min());
    Some(Warning::new(
        "line-overflows",
        format!(
            "the pipe of part {} of the line is far too small: at its tightest it is full at {}, and {} come; it runs over from {} of its way, whatever stands at its outlet",
            part.id,
            flow(full),
            flow(comes),
            span(over.from_m, over.to_m)
        ),
        "have a larger pipe laid (--catalogue gives sizes of your own), two parts with an outlet each, or a swale",
    ))
}

/// Standing water at the outlet: above the pipe's end it slows it, above the ground over the line it comes out.
fn drowned(part: &LinePart, proposed: &WayOut, place: &OutletPlace) -> Vec<Warning> {
    let small = far_too_small(part, proposed);
    let is_small = small.is_some();
    let mut warnings: Vec<Warning> = small.into_iter().collect();
    for case in &proposed.tailwaters {
        if let Some(over) = case.overflow.filter(|_| !is_small) {
            let water = match (case.receiving, case.level_m) {
                (Receiving::Given, Some(level_m)) => {
                    format!("with water at {} in {}", metres(level_m, 2), place_words(place))
                }
                (Receiving::Rim, Some(level_m)) => {
                    format!("with {} full to its rim at {}", place_words(place), metres(level_m, 2))
                }
                _ => "even with a free outfall".to_owned(),
            };
            warnings.push(Warning::new(
                "line-overflows",
                format!(
                    "{water} the pipe of part {} of the line runs over from {} of its way, up to {} above the ground",
                    part.id,
                    span(over.from_m, over.to_m),
                    metres(over.above_ground_m, 2)
                ),
                "find out how high the water stands there in the storm (field tailwater); else a larger or deeper pipe, or another outlet",
            ));
        }
        // Whether an inlet stands full to its rim isn't known; that it may is said where it overflows.
        if let (Receiving::Given, Backflow::InPipe | Backflow::Surface, Some(level_m)) =
            (case.receiving, case.backflow, case.level_m)
        {
            let end_m = proposed.way.profile().and_then(|profile| Some(profile.stations().last()?.invert_m));
            warnings.push(Warning::new(
                "outlet-drowned",
                format!(
                    "water in {} stands at {} in the storm, {} above the end of the pipe of part {} of the line",
                    place_words(place),
                    metres(level_m, 2),
                    metres(level_m - end_m.unwrap_or(level_m), 2),
                    part.id
                ),
                "the pipe then carries less than it says, and water may come back up it: have it checked, or name another outlet",
            ));
        }
    }
    warnings
}
