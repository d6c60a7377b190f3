//! Equations behind a design, with their sources, so that each number can be held against a book.

use super::basis::DesignBasis;
use super::design::LotDesign;
use super::rain::Source;
use super::travel::{Segment, SegmentKind, SheetRule, TimeMethod};
use serde::Serialize;

/// An equation and where it is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Citation {
    /// What it gives.
    pub gives: &'static str,
    /// The equation.
    pub equation: &'static str,
    /// Its source.
    pub source: &'static str,
}

pub(crate) const RATIONAL: Citation = Citation {
    gives: "peak flow",
    equation: "Q = C i A",
    source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), equation 5.28",
};
pub(crate) const COMPOSITE: Citation = Citation {
    gives: "composite runoff coefficient",
    equation: "C = sum(C A) / sum(A)",
    source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), example 5.5",
};
pub(crate) const PARTIAL: Citation = Citation {
    gives: "peak before all of the ground has joined in",
    equation: "Q = (C1 A1 t2 / t1 + C2 A2) i2",
    source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), equations 5.30 and 5.31",
};
pub(crate) const JOINED: Citation = Citation {
    gives: "peak before all of the ground has joined in",
    equation: "Q = largest of i(t) sum(C A of the ground whose own time is t or less)",
    source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), equations 5.30 and 5.31, for two areas; what has joined by the times of the ground itself: ours",
};
pub(crate) const LOG_LOG: Citation = Citation {
    gives: "intensity between the durations of the rainfall table",
    equation: "log depth linear in log duration",
    source: "common practice, no source",
};
pub(crate) const SHEET: Citation = Citation {
    gives: "time of sheet flow",
    equation: "T = 0.007 (n L)^0.8 / (P2^0.5 s^0.4), in h, ft and in",
    source: "USDA SCS, TR-55 (1986), equation 3-3",
};
pub(crate) const SHEET_BY_INTENSITY: Citation = Citation {
    gives: "time of sheet flow",
    equation: "t = 6.9 / i^0.4 (n L / S^0.5)^0.6, in min, mm/h and m",
    source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), equation 2.5",
};
pub(crate) const SHEET_LENGTH: Citation = Citation {
    gives: "longest sheet flow",
    equation: "the shorter of 100 ft and 100 S^0.5 / n ft",
    source: "USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), page 15-7 and equation 15-9",
};
pub(crate) const SHALLOW: Citation = Citation {
    gives: "velocity of shallow concentrated flow",
    equation: "V = k s^0.5",
    source: "USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), table 15-3",
};
const CHANNEL: Citation = Citation {
    gives: "velocity of channel flow",
    equation: "V = R^(2/3) S^(1/2) / n, in SI",
    source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), example 2.3",
};
const KERBY_KIRPICH: Citation = Citation {
    gives: "time of concentration",
    equation: "t = 0.828 (L N)^0.467 S^-0.235 over land, 0.0078 L^0.77 S^-0.385 beyond, in min and ft",
    source: "TxDOT research report 0-4696-2 (2005), pages 29 and 30",
};
const LAG: Citation = Citation {
    gives: "time of concentration",
    equation: "Tc = L^0.8 (S + 1)^0.7 / (1140 Y^0.5), in h, ft, in and %",
    source: "USDA NRCS, National Engineering Handbook, Part 630, chapter 15 (2010), equation 15-4b",
};
const AIRPORT: Citation = Citation {
    gives: "time of concentration",
    equation: "t = 1.8 (1.1 - C) L^0.5 / S^(1/3), in min, ft and %",
    source: "US FAA, advisory circular 150/5320-5 (from memory)",
};
pub(crate) const CURVE_NUMBER: Citation = Citation {
    gives: "runoff volume",
    equation: "Q = (P - 0.2 S)^2 / (P + 0.8 S), S = 25400 / CN - 254, in mm, for each kind of ground",
    source: "USDA SCS, TR-55 (1986), equations 2-1 to 2-4; runoff weighted as in NEH Part 630, chapter 10, example 10-5",
};

const RARE: Citation = Citation {
    gives: "runoff coefficient of a storm rarer than 10 years",
    equation: "C Cf, at most 1",
    source: "Dhakal and others, Journal of Irrigation and Drainage Engineering 139(6) (2013), table 3, first column, after design manuals (Denver, 1969), which suit mostly paved ground: factors measured on grassed ground are larger; the cap from memory",
};
pub(crate) const GRAPHICAL: Citation = Citation {
    gives: "peak flow, second opinion",
    equation: "q = qu A Q F, log qu = C0 + C1 log Tc + C2 (log Tc)^2, in cfs, square miles, in and h",
    source: "USDA SCS, TR-55 (1986), chapter 4 and appendix F, the graphical method",
};
const HYDROGRAPH: Citation = Citation {
    gives: "course of the flood",
    equation: "a triangle with the peak Q and the storm's volume V: base 2 V / Q, rise 3/8 of it",
    source: "USDA NRCS, National Engineering Handbook, Part 630, chapter 16, triangular unit hydrograph (from memory), with the peak of the rational method put in by us",
};

/// The equations that a design rests on.
#[must_use]
pub fn methods_used(basis: &DesignBasis, flows: &LotDesign) -> Vec<Citation> {
    let times = || flows.crossings.iter().flat_map(|c| c.concentration.iter().chain(&c.joined_concentration));
    let segments = || times().flat_map(|time| &time.segments);
    // Formulas that stand beside the one that counts are cited as well.
    let by = |method: TimeMethod| {
        times().any(|time| time.method == method || time.others.iter().any(|other| other.0 == method))
    };
    let chain = times().next().is_some();
    let sheet = |wanted: SheetRule| {
        chain && segments().any(|s| matches!(s.kind, SegmentKind::Sheet { rule, .. } if rule == wanted))
    };
    let has = |of: fn(&Segment) -> bool| chain && segments().any(of);
    let peaks = || flows.crossings.iter().map(|c| &c.peak).chain([&flows.peak]);
    let in_table = basis.rain.as_ref().is_some_and(|rain| matches!(rain.source(), Source::Table(_)));
    let raised = flows.by_kind.keys().any(|&kind| flows.kinds[kind].factor.is_some_and(|f| f > 1.0));
    let all = [
        (true, RATIONAL),
        (flows.by_kind.len() > 1, COMPOSITE),
        (peaks().any(super::JoinedPeak::is_partial), JOINED),
        (in_table, LOG_LOG),
        (sheet(SheetRule::TwoYearDay), SHEET),
        (sheet(SheetRule::Intensity), SHEET_BY_INTENSITY),
        (chain, SHEET_LENGTH),
        (has(|s| matches!(s.kind, SegmentKind::Shallow(_))), SHALLOW),
        (has(|s| matches!(s.kind, SegmentKind::Channel(_))), CHANNEL),
        (by(TimeMethod::KerbyKirpich), KERBY_KIRPICH),
        (by(TimeMethod::Lag), LAG),
        (by(TimeMethod::Airport), AIRPORT),
        (raised, RARE),
        (flows.volume.is_some(), CURVE_NUMBER),
        (flows.hydrograph.is_some(), HYDROGRAPH),
        (flows.graphical.is_some(), GRAPHICAL),
    ];
    all.into_iter().filter(|&(used, _)| used).map(|(_, citation)| citation).collect()
}
