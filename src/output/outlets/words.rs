//! Ways to outlets in words, for the screen.

use super::super::screen::Units;
use super::Outlet;
use crate::interceptor::{Backflow, DrainedEnd, OutletKind, OutletVerdict, Receiving};
use crate::pipeline::{PartOutlets, PassedOver, WayOut};
use crate::wording::called;

/// Cover that gives way over less of a way before its mouth is that of any guarded end piece, m. Ours.
const GIVES_WAY_M: f64 = 1.0;

/// What an outlet is, in words.
pub(in crate::output) fn outlet_name(kind: OutletKind, id: &str) -> String {
    match kind {
        OutletKind::StormInlet => called("storm inlet", id),
        OutletKind::NamedPlace => "the place named, in the open".to_owned(),
        OutletKind::Ditch => called("ditch", id),
        OutletKind::Kerb => format!("the gutter of {}", called("kerb", id)),
        OutletKind::Daylight => format!("daylight {id}"),
        OutletKind::OtherPart => format!("the pipe of part {id}"),
        OutletKind::Chamber => "a chamber".to_owned(),
    }
}

/// Why the proposed outlet comes before the next one that serves, before one that is nearer, and why a place
/// that is named isn't taken.
pub(in crate::output) fn why_words(outlets: &PartOutlets) -> Option<String> {
    let name = |way: &WayOut| {
        let place = &outlets.places[way.way.outlet];
        outlet_name(place.kind, &place.id)
    };
    let next = outlets.passed_over();
    let is_other = |(nearer, _): &(&WayOut, _)| {
        next.is_none_or(|(next, _)| next.way.outlet != nearer.way.outlet)
            && nearer.way.kind != OutletKind::NamedPlace
    };
    let nearer = outlets.passed_over_nearer().filter(is_other);
    let before = |(way, against)| format!("{}, {}", name(way), against_words(against));
    let chosen: Vec<String> = (next.into_iter().map(before))
        .chain(nearer.map(|nearer| format!("the nearer {}", before(nearer))))
        .collect();
    let chosen = (!chosen.is_empty()).then(|| format!("chosen before {}", chosen.join(", and before ")));
    let is_told = |way: &WayOut| next.is_some_and(|(next, _)| next.way.outlet == way.way.outlet);
    let named =
        outlets.named_not_taken().into_iter().filter(|(way, _)| !is_told(way)).map(|(way, against)| {
            format!("{} isn't taken: it is one {}", name(way), refusal_words(way, against))
        });
    let all: Vec<String> = chosen.into_iter().chain(named).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

/// Why a way to a place that is named isn't taken, after "one".
fn refusal_words(way: &WayOut, against: Option<PassedOver>) -> &'static str {
    match (way.way.verdict(), against) {
        _ if way.shut_by.is_some() => "to which no way leads around what may not be dug through",
        (None, _) => "on the way to which the ground is unknown",
        (Some(OutletVerdict::TooDeep), _) => "to which the trench would be deeper than it may",
        (Some(OutletVerdict::DoesNotReach), _) => "that the pipe does not reach, since it lies too high",
        (Some(_), Some(against)) => against_words(against),
        (Some(_), None) => "that serves, but another goes before it with regard to the rest of the line",
    }
}

/// What speaks against an outlet that serves.
const fn against_words(against: PassedOver) -> &'static str {
    match against {
        PassedOver::Digging => "which serves as well and takes more digging",
        PassedOver::Together => "which serves as well, but takes more digging of all parts together",
        PassedOver::KeepsLess => "on the way to which a drain would keep less of the flow",
        PassedOver::InTheOpen => "which ends in the open",
        PassedOver::LeadOverOthers => "whose lead runs over other parcels",
        PassedOver::Overflows => "which, standing full, would drive water out of the line",
        PassedOver::AboveOthers => "from which the water runs over other parcels",
        PassedOver::OnOthers => "which lies on another parcel",
        PassedOver::ComesBack => "from which water comes back to the lot",
        PassedOver::Chamber => "which only stores the water",
        PassedOver::LedTogether => {
            "which for itself would come first, but parts of the line are led to one outlet"
        }
    }
}

impl Outlet {
    fn what(&self) -> String {
        outlet_name(self.kind, &self.id)
    }

    /// Cells of the table of candidates: route, length, drop available, fall needed, deepest trench, verdict.
    pub(in crate::output) fn cells(&self, units: Units) -> [String; 6] {
        let end = match self.end {
            DrainedEnd::Lower => "lower end",
            DrainedEnd::Upper => "upper end",
        };
        let height = |m: Option<f64>| m.map_or_else(|| "-".to_owned(), |m| units.one_height(m));
        let verdict = match self.verdict {
            _ if self.through.is_some() => {
                format!("through {}", self.through.as_deref().unwrap_or_default())
            }
            None => "ground unknown".to_owned(),
            Some(OutletVerdict::Gravity) => {
                let but = self.back_words().map_or(String::new(), |words| format!(", but {words}"));
                format!("gravity{but}{}", self.cover_words(units))
            }
            Some(OutletVerdict::Pump) => "store or pump".to_owned(),
            Some(OutletVerdict::TooDeep) => format!("too deep{}", self.short_words(units)),
            Some(OutletVerdict::DoesNotReach) => format!("does not reach{}", self.short_words(units)),
        };
        [
            format!("{}, {end}", self.what()),
            units.one_length(self.length_m),
            height(self.drop_available_m),
            height(Some(self.drop_needed_m)),
            height(self.deepest_cut_m),
            verdict,
        ]
    }

    /// That its cover gives way before its mouth, where that is told.
    fn cover_words(&self, units: Units) -> String {
        let gives_way = self.cover_gives_way_m.filter(|m| *m >= GIVES_WAY_M);
        gives_way
            .map_or(String::new(), |m| format!(", cover gives way for {} at the mouth", units.one_length(m)))
    }

    fn short_words(&self, units: Units) -> String {
        self.shortfall_m.map_or(String::new(), |m| format!(", by {}", units.one_height(m)))
    }

    /// One line of the table.
    pub(in crate::output) fn words(&self, units: Units) -> String {
        let what = self.what();
        let end = match self.end {
            DrainedEnd::Lower => "from its lower end",
            DrainedEnd::Upper => "the other way round",
        };
        let round =
            if self.lead_bends > 0 && !self.through_building { " around what is in the way" } else { "" };
        let lead = if self.lead_m < 0.005 {
            String::new()
        } else {
            format!(" with a lead of {}{round}", units.length(self.lead_m))
        };
        let way = format!("{what}, {end}, {}{lead}", units.length(self.length_m));
        let water = self.water_words(units).map_or(String::new(), |words| format!("; {words}"));
        format!("{way}: {}{water}", self.verdict_words(units))
    }

    /// What standing water at the outlet does, and where water goes that comes out in the open.
    fn water_words(&self, units: Units) -> Option<String> {
        let case = self.tailwaters.iter().find(|case| case.receiving != Receiving::Free);
        let standing = case.and_then(|case| {
            let water = match case.receiving {
                Receiving::Given => "with the water given there",
                Receiving::OtherPipe => "with the water in the pipe that it joins",
                Receiving::Rim | Receiving::Free => "with water at its rim",
            };
            let does = match (case.overflow, case.backflow) {
                (Some(_), _) if self.is_far_too_small() => {
                    "it runs over: the pipe is far too small".to_owned()
                }
                (Some(over), _) => {
                    format!("it runs over, up to {} above the ground", units.depth(over.above_ground_m))
                }
                (None, Backflow::Surface) => "water comes back above ground".to_owned(),
                // A pipe that joins another always has that one's water in its end.
                (None, Backflow::InPipe) if case.receiving == Receiving::OtherPipe => return None,
                (None, Backflow::InPipe) => "water stands in the pipe, below ground".to_owned(),
                (None, Backflow::None) => return None,
            };
            Some(format!("{water} {does}"))
        });
        let down = self.downstream.as_ref().filter(|down| !down.parcels.is_empty());
        let onto = down.map(|down| format!("from there water runs over {}", down.parcels.join(", ")));
        let back = self.back_words();
        let words: Vec<String> = standing.into_iter().chain(onto).chain(back).collect();
        (!words.is_empty()).then(|| words.join("; "))
    }

    /// Whether it runs over by far though nothing stands at its outlet.
    fn is_far_too_small(&self) -> bool {
        let free = self.tailwaters.iter().find(|case| case.receiving == Receiving::Free);
        free.and_then(|case| case.overflow).is_some_and(|over| over.is_far())
    }

    /// What comes back, where it is enough to be told: a percent by rounding.
    fn back_words(&self) -> Option<String> {
        let percent = (self.comes_back_share? * 100.0).round();
        (percent >= 1.0).then(|| format!("{percent:.0} % comes back"))
    }

    fn verdict_words(&self, units: Units) -> String {
        if let Some(through) = &self.through {
            return format!("no way around {through}, which it runs through");
        }
        let short = self.shortfall_m.map_or(String::new(), |m| format!(", by {}", units.depth(m)));
        let held = self.refused.as_ref().map_or(String::new(), |refused| refused.words(units));
        let would_do = self.remedies.map_or(String::new(), |remedies| remedies.words(units));
        match self.verdict {
            None => "ground on the way is unknown".to_owned(),
            Some(OutletVerdict::TooDeep) => format!("too deep{short}{held}{would_do}"),
            Some(OutletVerdict::DoesNotReach) => format!("does not reach{short}{held}{would_do}"),
            Some(verdict @ (OutletVerdict::Gravity | OutletVerdict::Pump)) => {
                let grades: Vec<String> =
                    self.grades.iter().map(|reach| format!("{:.2} %", reach.grade * 100.0)).collect();
                let deepest =
                    self.deepest_cut_m.map_or(String::new(), |m| format!(", trench to {}", units.depth(m)));
                let lift = self
                    .lift_m
                    .map_or(String::new(), |m| format!(", then lifted by {} or more", units.depth(m)));
                let how =
                    if verdict == OutletVerdict::Pump { "to store or pump; reached" } else { "by gravity" };
                let cover = self.cover_words(units);
                format!("{how} at {}{deepest}{lift}{cover}", grades.join(", then "))
            }
        }
    }
}
