//! What must be said of where a part drains to, and of what stands beside it.

use super::open::Back;
use super::water_findings::drowned;
use super::{DownstreamEnd, PartOutlets, PassedOver, Search, WayDrain, WayOut};
use crate::interceptor::{Approach, LinePart, OutletKind, OutletPlace, OutletVerdict, Undercut};
use crate::warning::{Warning, named};
use crate::wording::{called, metres, percent, span};

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
        warnings.extend(keeps_more(part, outlets));
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

/// A way that isn't taken though a drain on it would keep more.
fn keeps_more(part: &LinePart, outlets: &PartOutlets) -> Option<Warning> {
    let (way, against) = outlets.keeps_more()?;
    let (own, other) = outlets.proposed()?.drain.zip(way.drain)?;
    let dug =
        |drain: WayDrain| drain.dug.map_or("nothing".to_owned(), |dug| format!("{:.1} m³", dug.as_m3()));
    let why = match against {
        PassedOver::LeadOverOthers => "its lead runs over other parcels",
        PassedOver::Overflows => "standing full it would drive water out of the line",
        PassedOver::AboveOthers => "from there the water runs over other parcels",
        PassedOver::OnOthers => "it lies on another parcel",
        PassedOver::ComesBack => "from there water comes back to the lot",
        PassedOver::Chamber => "it only stores the water",
        PassedOver::InTheOpen => "it ends in the open",
        PassedOver::LedTogether => "parts of the line are led to one outlet",
        PassedOver::Digging | PassedOver::Together | PassedOver::KeepsLess => {
            "that is little more for its digging"
        }
    };
    Some(Warning::new(
        "outlet-keeps-more",
        format!(
            "the drain of part {} of the line keeps {} of its flow; one to {} would keep {}, with {} dug instead of {}, but {why}",
            part.id,
            percent(own.share),
            place_words(&outlets.places[way.way.outlet]),
            percent(other.share),
            dug(other),
            dug(own)
        ),
        "see drain_share in interception_line.parts.outlets, and name that outlet (--outlet) where it may be used",
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

pub(super) fn place_words(place: &OutletPlace) -> String {
    match place.kind {
        OutletKind::StormInlet => called("storm inlet", &place.id),
        OutletKind::Ditch => called("ditch", &place.id),
        OutletKind::Kerb => format!("the gutter of {}", called("kerb", &place.id)),
        OutletKind::NamedPlace => "the place named".to_owned(),
        OutletKind::Daylight => format!("daylight {}", place.id),
        OutletKind::OtherPart | OutletKind::Chamber => "the outlet".to_owned(),
    }
}
