//! The line as `summary.json` and the table give it.

use super::beside::{KeepOutRow, UndercutRow};
use super::besides::{ChamberRow, GroundWaterRow};
use super::catches::{CatchRow, tell_catches};
use super::drain::{Drain, flattest};
use super::drain_words::section_words;
use super::outlets::{NotTried, Outlet, why_words};
use super::proof::ProofRow;
use super::said::Said;
use super::screen::{Units, drain as drain_lines};
use super::words::{grade_words, pipe_words, swale_words};
use crate::interceptor::drain::Arrangement;
use crate::interceptor::proof::Balance;
use crate::interceptor::{Coverage, LinePart, OutletVerdict, Sizing};
use crate::pipeline::{Assessment, PartDrain, PartOutlets, WiderSetback};
use crate::units::{Flow, Time};
use serde::Serialize;
use std::cmp::Ordering;

/// Ways to outlets that the screen has; all of them stand in the file.
const CANDIDATES: usize = 6;

/// The line that intercepts the run-on.
#[derive(Debug, Clone, Serialize)]
pub struct Line {
    /// Its parts.
    pub parts: Vec<Part>,
    /// Share of the run-on that crosses the stretches it runs along.
    pub caught_share: f64,
    /// Where the part with the most water drains to; nothing where no outlet is given or none serves.
    pub outlet: Option<Outlet>,
    /// Run-on before and after; nothing without a line.
    pub balance_m2: Option<Balance>,
    /// The water followed with the line in place; nothing without a line.
    pub proof: Option<ProofRow>,
    /// Wider setbacks with which it would catch more, where it misses the wanted share.
    pub wider_setbacks: Vec<WiderRow>,
}

/// What the line would do with a wider setback.
#[derive(Debug, Clone, Serialize)]
pub struct WiderRow {
    /// The setback.
    pub setback_m: f64,
    /// Share of the run-on that the line would catch, by a proof of its own.
    pub caught_share: f64,
    /// Its parts that can be built.
    pub parts: Vec<WiderPart>,
}

/// A part of the line with a wider setback.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct WiderPart {
    /// Number of the part of that line.
    pub part: usize,
    /// How it is built.
    pub arrangement: Arrangement,
    /// Share of its flow that it keeps off the lot.
    pub share: f64,
}

impl WiderRow {
    fn of(wider: &WiderSetback) -> Self {
        let part = |(place, part): (usize, &Option<(Arrangement, f64)>)| {
            part.map(|(arrangement, share)| WiderPart { part: place + 1, arrangement, share })
        };
        Self {
            setback_m: wider.setback.as_m(),
            caught_share: wider.caught_share,
            parts: wider.parts.iter().enumerate().filter_map(part).collect(),
        }
    }
}

/// One part of the line.
#[derive(Debug, Clone, Serialize)]
pub struct Part {
    /// Number.
    pub id: usize,
    /// Ring of the lot line beside which it runs.
    pub ring: usize,
    /// Start of its stretch of the lot line.
    pub from_m: f64,
    /// End of its stretch.
    pub to_m: f64,
    /// Distance from the lot line that it keeps.
    pub setback_m: f64,
    /// Length.
    pub length_m: f64,
    /// Ground at the upper end.
    pub from_ground_m: Option<f64>,
    /// Ground at the lower end.
    pub to_ground_m: Option<f64>,
    /// Highest ground along it.
    pub highest_ground_m: Option<f64>,
    /// Lowest ground along it.
    pub lowest_ground_m: Option<f64>,
    /// Invert at the upper end on its way to the proposed outlet; nothing without one.
    pub from_invert_m: Option<f64>,
    /// Invert at the lower end.
    pub to_invert_m: Option<f64>,
    /// Where it is proposed to drain to.
    pub outlet: Option<Outlet>,
    /// Why it comes before the next one that serves; nothing where no other does.
    pub outlet_because: Option<String>,
    /// All ways to outlets that were looked at: those that serve first, of these the one that digs least, then by what is
    /// missing. The proposed one is the first, as it is built; the others are as they were looked for.
    pub outlets: Vec<Outlet>,
    /// Storm inlets that were given and aren't among them, by why.
    pub inlets_not_tried: NotTried,
    /// Numbers of the parts that drain into this one.
    pub joined: Vec<usize>,
    /// Where it, with its lead, comes nearer to something than it should.
    pub keep_outs: Vec<KeepOutRow>,
    /// Where its trench would cut the ground that carries something.
    pub undercuts: Vec<UndercutRow>,
    /// Area outside the lot whose water enters over its stretch.
    pub contributing_area_m2: f64,
    /// Area between lot line and line.
    pub strip_area_m2: f64,
    /// Area outside the lot whose water enters over other places of the lot line and comes to it.
    pub other_run_on_m2: f64,
    /// Ground of the lot outside the strip whose water comes to it.
    pub own_ground_m2: f64,
    /// Flow of all these in the design storm.
    pub flow_m3_s: Option<f64>,
    /// Duration of the rain that gives the flow, where it is known.
    pub duration_min: Option<f64>,
    /// Its intensity.
    pub intensity_mm_h: Option<f64>,
    /// The flattest grade of its drain; without one that it is sized at.
    pub grade: Option<f64>,
    /// Its drain, else the pipe alone, in words.
    pub section: Option<Said>,
    /// Flow of the part at which the first of its pipes, or the swale, is full; without a drain what the pipe carries.
    pub capacity_m3_s: Option<f64>,
    /// What it catches, beside what it takes to build.
    pub catches: Option<CatchRow>,
    /// The drain: its arrangements side by side; nothing without a flow or without an outlet by gravity.
    pub drain: Option<Drain>,
    /// Ground water that its stone may meet besides, in no flow; nothing without stone.
    pub ground_water: Option<GroundWaterRow>,
    /// The chamber that it ends in; nothing where it doesn't, or without a storm.
    pub chamber: Option<ChamberRow>,
    /// All that was looked at.
    pub sizing: Option<Sizing>,
    /// Ground along it, from the upper end.
    pub profile: Vec<ProfilePoint>,
    /// Whether area and flow are "at most"; the file has it as a warning.
    #[serde(skip)]
    pub coverage: Coverage,
}

/// Ground at one place of the line.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ProfilePoint {
    /// Along the part.
    pub station_m: f64,
    /// Ground; nothing where it is unknown.
    pub ground_m: Option<f64>,
}

impl Line {
    pub(super) fn of(assessment: &Assessment<'_>) -> Self {
        let run_on_m2 = assessment.drainage.run_on_m2;
        let lines = assessment.interception.parts.iter().zip(&assessment.outlets);
        let mut parts: Vec<Part> = lines
            .zip(&assessment.drains.parts)
            .map(|((part, outlets), drain)| Part::of(assessment, part, outlets, drain.as_ref()))
            .collect();
        let largest =
            parts.iter().reduce(|a, b| if b.contributing_area_m2 > a.contributing_area_m2 { b } else { a });
        let outlet = largest.and_then(|part| part.outlet.clone());
        let caught_m2: f64 = parts.iter().map(|part| part.contributing_area_m2).sum();
        let caught_share = if run_on_m2 > 0.0 { caught_m2 / run_on_m2 } else { 0.0 };
        let balance_m2 = assessment.proof.as_ref().map(|found| found.proof.balance);
        let proof = ProofRow::of(assessment);
        if let Some((proof, balance)) = proof.as_ref().zip(balance_m2) {
            let taken_m2: Vec<f64> = proof.taken.iter().map(|row| row.run_on_m2).collect();
            tell_catches(&mut parts, &taken_m2, balance);
        }
        let wider_setbacks = assessment.wider_setbacks.iter().map(WiderRow::of).collect();
        Self { parts, caught_share, outlet, balance_m2, proof, wider_setbacks }
    }
}

impl Part {
    pub(super) fn of(
        assessment: &Assessment<'_>,
        part: &LinePart,
        outlets: &PartOutlets,
        drain: Option<&PartDrain>,
    ) -> Self {
        let place = part.id - 1;
        let built = drain.and_then(PartDrain::chosen);
        let ground = |place: Option<usize>| place.and_then(|place| part.stations[place].ground_m);
        let pipe = part.sizing.as_ref().and_then(|s| s.pipe.fit());
        let as_built = |row: Outlet| match (outlets.proposed(), built) {
            (Some(proposed), Some(option)) if option.built.is_ok() => row.built(&proposed.way, option),
            _ => row,
        };
        let outlet = Outlet::proposed(assessment, outlets).map(as_built);
        let mut ways = Outlet::all_of(assessment, outlets);
        // The proposed one is the first, and no table may say else of it than its design.
        if let (Some(first), Some(outlet)) = (ways.first_mut(), &outlet) {
            first.clone_from(outlet);
        }
        let inverts_m = outlet.as_ref().and_then(|outlet| outlet.part_inverts_m);
        Self {
            id: part.id,
            ring: part.ring,
            from_m: part.from_m,
            to_m: part.to_m,
            setback_m: part.setback.as_m(),
            length_m: part.length.as_m(),
            from_ground_m: part.from_ground_m(),
            to_ground_m: part.to_ground_m(),
            highest_ground_m: ground(part.highest),
            lowest_ground_m: ground(part.lowest),
            from_invert_m: inverts_m.map(|ends| ends[0]),
            to_invert_m: inverts_m.map(|ends| ends[1]),
            outlet,
            outlet_because: why_words(outlets),
            outlets: ways,
            inlets_not_tried: NotTried::of(&outlets.untried),
            joined: outlets.joined.clone(),
            keep_outs: outlets.approaches.iter().map(|near| KeepOutRow::of(assessment, near)).collect(),
            undercuts: outlets.undercuts.iter().map(|cut| UndercutRow::of(assessment, cut)).collect(),
            contributing_area_m2: part.contributing_area.as_m2(),
            strip_area_m2: part.strip_area.as_m2(),
            other_run_on_m2: part.other_run_on.as_m2(),
            own_ground_m2: part.own_ground.as_m2(),
            flow_m3_s: part.flow().map(Flow::as_m3_per_s),
            duration_min: part.peak.as_ref().and_then(|peak| peak.rain.duration).map(Time::as_min),
            intensity_mm_h: part.peak.as_ref().map(|peak| peak.rain.intensity.as_mm_per_h()),
            grade: built.and_then(flattest).or(part.sizing.as_ref().map(|s| s.grade.get())),
            section: built
                .map(|option| Said::of(|units| section_words(option, units)))
                .or(part.sizing.as_ref().map(|s| Said::of(|units| pipe_words(&s.pipe, units)))),
            capacity_m3_s: built
                .map(|option| option.capacity().as_m3_per_s())
                .or(pipe.map(|p| p.capacity.as_m3_per_s())),
            catches: None,
            drain: drain.map(|drain| Drain::of(assessment, part, drain)),
            ground_water: assessment
                .ground_water
                .get(place)
                .and_then(Option::as_ref)
                .map(|found| GroundWaterRow::of(assessment, found)),
            chamber: assessment.chambers.get(place).and_then(Option::as_ref).map(ChamberRow::of),
            sizing: part.sizing.clone(),
            profile: part
                .stations
                .iter()
                .map(|s| ProfilePoint { station_m: s.station_m, ground_m: s.ground_m })
                .collect(),
            coverage: part.coverage(),
        }
    }

    /// Sentences for the table.
    pub(super) fn words(&self, units: Units) -> Vec<String> {
        let mut words = self.course_words(units);
        words.extend(self.outlet_words(units));
        words.extend(self.candidates(units));
        if !self.joined.is_empty() {
            let numbers: Vec<String> = self.joined.iter().map(usize::to_string).collect();
            let pipe = self.outlet.as_ref().map_or(String::new(), |outlet| {
                format!(": its pipe is {} inside", units.depth(outlet.pipe_inside_m))
            });
            let (parts, drain) = if numbers.len() == 1 { ("part", "drains") } else { ("parts", "drain") };
            words.push(format!("{parts} {} {drain} into it{pipe}", numbers.join(", ")));
        }
        if let Some(drain) = &self.drain {
            words.extend(drain_lines::words(drain, units));
        }
        let currency = self.drain.as_ref().and_then(|drain| drain.currency.as_deref());
        words.extend(self.catches.as_ref().map(|row| row.words(units, currency)));
        words.extend(self.chamber.as_ref().map(|chamber| chamber.words(units)));
        words.extend(self.ground_water.as_ref().map(|water| water.words(units)));
        words
    }

    /// The proposed outlet, else what is nearest to one; and where that is a chamber, what would make a way
    /// by gravity of the one that misses least.
    fn outlet_words(&self, units: Units) -> Vec<String> {
        // As the drain is built; the list has all as they were looked for, one like the other.
        let Some(first) = self.outlet.as_ref().or(self.outlets.first()) else { return Vec::new() };
        let label = match self.outlet.as_ref().map(|outlet| outlet.verdict) {
            Some(Some(OutletVerdict::Pump)) => "no outlet by gravity; last resort",
            Some(_) => "outlet",
            None => "no outlet by gravity; nearest to one",
        };
        let is_pumped = self.outlet.as_ref().is_some_and(|o| o.verdict == Some(OutletVerdict::Pump));
        let missed = self.outlets.iter().filter(|o| o.shortfall_m.is_some() && o.through.is_none());
        let least =
            missed.min_by(|a, b| a.shortfall_m.partial_cmp(&b.shortfall_m).unwrap_or(Ordering::Equal));
        let nearest = least.filter(|_| is_pumped).map(|o| format!("nearest to gravity: {}", o.words(units)));
        let because = self.outlet_because.as_ref().map(|why| format!("  {why}"));
        [format!("{label}: {}", first.words(units))].into_iter().chain(because).chain(nearest).collect()
    }

    /// The ways that were looked at, where there are several.
    fn candidates(&self, units: Units) -> Vec<String> {
        if self.outlets.len() < 2 {
            return Vec::new();
        }
        let heads = ["ways to outlets", "length", "available", "needed", "trench", "verdict"];
        let shown = self.outlets.iter().take(CANDIDATES).map(|outlet| outlet.cells(units));
        let rows: Vec<[String; 6]> = [heads.map(str::to_owned)].into_iter().chain(shown).collect();
        let first = rows.iter().map(|row| row[0].chars().count()).max().unwrap_or(0);
        let line = |[what, length, drop, needed, trench, verdict]: &[String; 6]| {
            format!("  {what:<first$} {length:>10} {drop:>10} {needed:>9} {trench:>9}  {verdict}")
        };
        let mut words: Vec<String> = rows.iter().map(line).collect();
        let more = self.outlets.len().saturating_sub(CANDIDATES);
        if more > 0 {
            words.push(format!("  and {more} more in summary.json"));
        }
        words.extend(self.inlets_not_tried.words(units).map(|text| format!("  {text}")));
        words
    }

    fn course_words(&self, units: Units) -> Vec<String> {
        let mut words = Vec::new();
        if let Some(((from, to), (high, low))) =
            self.from_ground_m.zip(self.to_ground_m).zip(self.highest_ground_m.zip(self.lowest_ground_m))
        {
            words.push(format!(
                "ground at its ends {}; along it from {}",
                units.levels(from, "and", to),
                units.levels(high, "to", low)
            ));
        }
        let (Some(sizing), Some(flow)) = (&self.sizing, self.flow_m3_s) else { return words };
        let most = if self.coverage == Coverage::AtMost { "of at most " } else { "" };
        let lasts = self.duration_min.map_or(String::new(), |min| format!("{min:.1} min of "));
        let rain = self.intensity_mm_h.map_or(String::new(), |mm_h| units.intensity(mm_h));
        if self.drain.is_some() {
            words.push(format!("flow {most}{} in {lasts}{rain}", units.flow(flow)));
            return words;
        }
        words.push(format!(
            "flow {most}{} in {lasts}{rain}, at a grade of {}",
            units.flow(flow),
            grade_words(sizing.grade)
        ));
        let capacity = self.capacity_m3_s.map_or(String::new(), |c| format!(", carries {}", units.flow(c)));
        words.push(format!("pipe: {}{capacity}", pipe_words(&sizing.pipe, units)));
        words.push(swale_words(&sizing.swale, &sizing.swale_rules, units));
        words
    }
}
