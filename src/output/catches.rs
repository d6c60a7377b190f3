//! What a part of the line catches, beside what it takes to build: the figures alone, by which a part that is long for its water is seen.

use super::line::Part;
use super::screen::Units;
use super::screen::drain::money;
use crate::interceptor::proof::Balance;
use crate::wording::percent;
use serde::Serialize;

/// What a part catches and takes.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct CatchRow {
    /// Ground outside the lot whose rain it takes, by the proof.
    pub run_on_m2: f64,
    /// Share of the run-on.
    pub share_of_run_on: f64,
    /// Flow that it keeps off the lot in the design storm, the strip's and the lot's own with it; nothing without a drain that can be built.
    pub kept_m3_s: Option<f64>,
    /// Length of the part.
    pub line_m: f64,
    /// Length of the way from its end to the proposed outlet; nothing without one.
    pub lead_m: Option<f64>,
    /// What is dug for its drain; nothing without one that can be built.
    pub dug_m3: Option<f64>,
    /// The drain's price if it is built alone, where the price list prices every item.
    pub price: Option<f64>,
    /// The same of all parts together; nothing where there is only one.
    pub of_all: Option<OfAll>,
}

/// A part's share of what all parts do and take.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct OfAll {
    /// Of the run-on that they take.
    pub run_on_share: f64,
    /// Of their length with the ways to their outlets.
    pub length_share: f64,
    /// Of their prices, each built alone; nothing unless all have one.
    pub price_share: Option<f64>,
}

/// Tells each part what it catches; `taken_m2` is by part.
pub(super) fn tell_catches(parts: &mut [Part], taken_m2: &[f64], balance: Balance) {
    let mut rows: Vec<CatchRow> =
        parts.iter().zip(taken_m2).map(|(part, m2)| CatchRow::of(part, *m2, balance)).collect();
    if rows.len() > 1 {
        let run_on_m2: f64 = rows.iter().map(|row| row.run_on_m2).sum();
        let length_m: f64 = rows.iter().map(CatchRow::length_m).sum();
        let price: Option<f64> = rows.iter().map(|row| row.price).sum();
        for row in &mut rows {
            row.of_all = Some(OfAll {
                run_on_share: if run_on_m2 > 0.0 { row.run_on_m2 / run_on_m2 } else { 0.0 },
                length_share: row.length_m() / length_m,
                price_share: row
                    .price
                    .zip(price)
                    .map(|(own, all)| own / all)
                    .filter(|share| share.is_finite()),
            });
        }
    }
    for (part, row) in parts.iter_mut().zip(rows) {
        part.catches = Some(row);
    }
}

impl CatchRow {
    fn of(part: &Part, run_on_m2: f64, balance: Balance) -> Self {
        let drain = part.drain.as_ref().and_then(|drain| drain.chosen());
        let built = drain.filter(|choice| choice.not_built.is_none());
        Self {
            run_on_m2,
            share_of_run_on: run_on_m2 / balance.before_m2.max(f64::MIN_POSITIVE),
            kept_m3_s: built.zip(part.flow_m3_s).map(|(choice, flow_m3_s)| choice.share * flow_m3_s),
            line_m: part.length_m,
            lead_m: part.outlet.as_ref().map(|outlet| outlet.lead_m),
            dug_m3: built.and_then(|choice| choice.dug_m3),
            price: built.and_then(|choice| choice.price),
            of_all: None,
        }
    }

    fn length_m(&self) -> f64 {
        self.line_m + self.lead_m.unwrap_or(0.0)
    }

    /// For the screen.
    pub(super) fn words(&self, units: Units, currency: Option<&str>) -> String {
        let flow = self.kept_m3_s.map(|m3_s| format!("{} of flow", units.flow(m3_s)));
        let lead = self.lead_m.map(|m| format!("{} of way to the outlet", units.length(m)));
        let dug = self.dug_m3.map(|m3| format!("{} dug", units.earth(m3)));
        let price =
            self.price.map(|price| format!("{} if built alone", money(&format!("{price:.0}"), currency)));
        let of_all = self.of_all.map(|of| {
            let price =
                of.price_share.map_or(String::new(), |share| format!(", {} of the price", percent(share)));
            let (run_on, length) = (percent(of.run_on_share), percent(of.length_share));
            format!("of all parts {run_on} of what they catch, {length} of the length{price}")
        });
        let share = percent(self.share_of_run_on);
        let catches = format!("catches {share} of the run-on, the rain of {}", units.area(self.run_on_m2));
        let takes = std::iter::once(format!("{} of line", units.length(self.line_m))).chain(lead);
        let takes: Vec<String> = takes.chain(dug).chain(price).collect();
        let said = std::iter::once(catches).chain(flow).collect::<Vec<_>>().join(", ");
        [Some(said), Some(format!("takes {}", takes.join(", "))), of_all]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("; ")
    }
}
