//! Which class a lot is of, and why: rules that a town can read out, and change.

use super::lot::LotScreen;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The rules that count where the town has none of its own.
const DEFAULT: &str = include_str!("../../../docs/screening-rules.toml");

/// A figure of a lot that a rule may ask for; its name is that of the column in `lots.csv`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Ground outside the lot whose rain comes onto it, m².
    #[serde(rename = "run_on_area_m2")]
    RunOnArea,
    /// That, by the area of the lot.
    RunOnPerLotArea,
    /// Parcels that give at least a hundredth of it.
    Contributors,
    /// Share of the parcel that gives most.
    LargestContributorShare,
    /// Run-on that crosses the lot line within a few metres, m².
    #[serde(rename = "concentrated_area_m2")]
    ConcentratedArea,
    /// The largest crossing of that kind, m².
    #[serde(rename = "largest_concentrated_m2")]
    LargestConcentrated,
    /// Run-on that crosses spread over a width, m².
    #[serde(rename = "sheet_area_m2")]
    SheetArea,
    /// Run-on that follows the lot line, m².
    #[serde(rename = "along_area_m2")]
    AlongArea,
    /// The lot's own rain that first goes onto other parcels, m².
    #[serde(rename = "sheds_to_parcels_m2")]
    ShedsToParcels,
    /// Area of hollows on the lot, m².
    #[serde(rename = "pond_area_m2")]
    PondArea,
    /// Their greatest depth on the lot, m.
    #[serde(rename = "pond_depth_m")]
    PondDepth,
    /// Peak flow of the run-on in the storm that was given, m³/s.
    #[serde(rename = "flow_m3_s")]
    Flow,
    /// Share of the run-on whose catchment meets the edge of the elevations.
    EdgeLimitedShare,
    /// 1 where not all is known that comes onto the lot, else 0.
    Incomplete,
}

impl Measure {
    /// The figure of a lot; nothing where it has none.
    #[must_use]
    pub fn of(self, lot: &LotScreen) -> Option<f64> {
        let share = |part: f64| if lot.run_on_m2 > 0.0 { part / lot.run_on_m2 } else { 0.0 };
        #[expect(clippy::cast_precision_loss, reason = "a number of parcels")]
        let found = match self {
            Self::RunOnArea => lot.run_on_m2,
            Self::RunOnPerLotArea => lot.run_on_m2 / lot.area_m2,
            Self::Contributors => lot.contributors as f64,
            Self::LargestContributorShare => lot.largest.map_or(0.0, |(_, share)| share),
            Self::ConcentratedArea => lot.crossed.concentrated_m2,
            Self::LargestConcentrated => lot.crossed.largest_concentrated_m2,
            Self::SheetArea => lot.crossed.sheet_m2,
            Self::AlongArea => lot.crossed.along_m2,
            Self::ShedsToParcels => lot.shedding.parcels_m2,
            Self::PondArea => lot.ponding.area_m2,
            Self::PondDepth => lot.ponding.depth_m,
            Self::Flow => return lot.flow.map(crate::units::Flow::as_m3_per_s),
            Self::EdgeLimitedShare => share(lot.edge_limited_m2),
            Self::Incomplete => f64::from(u8::from(!lot.is_complete())),
        };
        Some(found)
    }
}

/// A bound on one figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// The figure.
    pub measure: Measure,
    /// It must be so much or more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<f64>,
    /// It must be less.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub below: Option<f64>,
}

/// What puts a lot into a class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Rule {
    name: String,
    class: String,
    /// All of them must hold.
    when: Vec<Limit>,
}

/// Classes from the most to the least pressing, and what puts a lot into each.
///
/// # Invariants
/// Every rule is of a class of the list, and has limits with one bound each.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    classes: Vec<String>,
    /// Class of lots for which no rule holds.
    otherwise: String,
    #[serde(rename = "rule")]
    list: Vec<Rule>,
}

/// The class of a lot, with all rules that hold.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Classed {
    /// The class.
    pub class: String,
    /// Rules that hold, those of its class first.
    pub reasons: Vec<ClassReason>,
}

/// A rule that holds, with its figures.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassReason {
    /// Name of the rule.
    pub rule: String,
    /// The class that it puts lots into.
    pub class: String,
    /// Each limit with the lot's figure.
    pub figures: Vec<(Limit, f64)>,
}

/// Rules that can't be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct RulesError {
    message: String,
}

impl Rules {
    /// Reads rules in the form of `docs/screening-rules.toml`.
    ///
    /// # Errors
    /// [`RulesError`] with what is wrong.
    pub fn parse(text: &str) -> Result<Self, RulesError> {
        let refused = |message: String| RulesError { message };
        let rules: Self = toml::from_str(text).map_err(|cause| refused(cause.to_string()))?;
        let known: BTreeSet<&str> = rules.classes.iter().map(String::as_str).collect();
        if known.len() < rules.classes.len() || known.contains(rules.otherwise.as_str()) {
            return Err(refused("a class stands twice in classes and otherwise".to_owned()));
        }
        let mut names = BTreeSet::new();
        for rule in &rules.list {
            let name = &rule.name;
            if !names.insert(name) {
                return Err(refused(format!("two rules are named \"{name}\"")));
            }
            if !known.contains(rule.class.as_str()) {
                let known = rules.classes.join(", ");
                return Err(refused(format!(
                    "rule \"{name}\" has the class \"{}\", which isn't among classes: {known}",
                    rule.class
                )));
            }
            let has_one = |limit: &Limit| limit.at_least.is_some() != limit.below.is_some();
            let is_number = |limit: &Limit| limit.at_least.or(limit.below).is_some_and(f64::is_finite);
            if rule.when.is_empty() || !rule.when.iter().all(|limit| has_one(limit) && is_number(limit)) {
                return Err(refused(format!(
                    "rule \"{name}\" needs limits under when, each with a measure and either at_least or below"
                )));
            }
        }
        Ok(rules)
    }

    /// The default rules.
    ///
    /// # Panics
    /// Never: a test reads them.
    #[must_use]
    pub fn built_in() -> Self {
        Self::parse(DEFAULT).expect("the built-in rules are sound")
    }

    /// All classes, the most pressing first; that of lots without a rule last.
    pub fn classes(&self) -> impl Iterator<Item = &str> {
        self.classes.iter().chain([&self.otherwise]).map(String::as_str)
    }

    /// Names of the rules that put a lot into a class.
    pub fn names_of<'a>(&'a self, class: &'a str) -> impl Iterator<Item = &'a str> {
        self.list.iter().filter(move |rule| rule.class == class).map(|rule| rule.name.as_str())
    }

    /// Place of a lot's class, the most pressing first.
    #[must_use]
    pub fn rank(&self, classed: &Classed) -> usize {
        self.classes.iter().position(|class| *class == classed.class).unwrap_or(self.classes.len())
    }

    /// The class of a lot: the first of which a rule holds.
    pub(super) fn judge(&self, lot: &LotScreen) -> Classed {
        let mut reasons: Vec<ClassReason> = self.list.iter().filter_map(|rule| rule.holds(lot)).collect();
        let rank = |reason: &ClassReason| self.classes.iter().position(|class| *class == reason.class);
        reasons.sort_by_key(rank);
        let class = reasons.first().map_or_else(|| self.otherwise.clone(), |reason| reason.class.clone());
        Classed { class, reasons }
    }
}

impl Rule {
    fn holds(&self, lot: &LotScreen) -> Option<ClassReason> {
        let figures: Option<Vec<(Limit, f64)>> =
            self.when.iter().map(|limit| limit.holds(lot).map(|figure| (*limit, figure))).collect();
        Some(ClassReason { rule: self.name.clone(), class: self.class.clone(), figures: figures? })
    }
}

impl Limit {
    /// The figure, where it keeps the bound.
    fn holds(self, lot: &LotScreen) -> Option<f64> {
        let figure = self.measure.of(lot)?;
        let keeps = self.at_least.is_none_or(|least| figure >= least)
            && self.below.is_none_or(|bound| figure < bound);
        keeps.then_some(figure)
    }
}

#[cfg(test)]
mod tests;
