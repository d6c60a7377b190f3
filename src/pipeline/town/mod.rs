//! All lots of a raster at once: the stages on the whole of it, and what is said of each lot.

mod causes;
mod findings;
mod lot;
mod ponding;
mod routed;
mod rules;

pub use causes::{Cause, CommonSource};
pub use lot::{Crossed, LotScreen, Ponding, Shedding};
pub use routed::RoutedTown;
pub use rules::{ClassReason, Classed, Limit, Measure, Rules, RulesError};

use super::ground::Ground;
use super::progress::{Phase, Progress};
use super::settings::Settings;
use crate::error::Error;
use crate::input::{Complaint, Site};
use crate::lots::{Label, Ledger, LotLines, Pair, lot_lines};
use crate::units::{Area, RainIntensity, RunoffCoefficient};
use crate::warning::Warned;
use causes::causes;
use geo::MultiPolygon;
use serde::Serialize;

/// What a screening is asked to do, every choice resolved.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScreenSettings {
    /// Inner holes up to this area are bridged.
    #[serde(rename = "bridge_holes_m2")]
    pub bridge_holes: Area,
    /// The storm that flows are said for; none without it.
    pub storm: Option<ScreenStorm>,
    /// What makes a lot one of which class.
    pub rules: Rules,
}

/// A storm that is the same for every lot, so that lots can be compared.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ScreenStorm {
    /// How hard it rains.
    #[serde(rename = "intensity_m_s")]
    pub intensity: RainIntensity,
    /// Share of the rain that runs off.
    pub coefficient: RunoffCoefficient,
}

/// What one lot, or land without a lot, gives to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairRow {
    /// Who receives.
    pub receiving: Label,
    /// Who gives.
    pub source: Label,
    /// Ground of the source whose rain comes onto the receiver, m².
    pub area_m2: f64,
    /// Of that, what crosses no other lot line before, m².
    pub straight_m2: f64,
    /// Ground whose rain crosses from the source onto the receiver, whoever's it was, m².
    pub handed_over_m2: f64,
    /// Length of the receiver's lot line over which it does, m.
    pub crossing_m: f64,
}

/// Everything that is said of a town.
#[derive(Debug)]
pub struct Screening<'a> {
    /// The inputs.
    pub site: &'a Site,
    /// What was asked.
    pub settings: ScreenSettings,
    /// Routed ground.
    pub routed: RoutedTown,
    /// All lots with ground, by label.
    pub lots: Vec<LotScreen>,
    /// Places in `lots` of those that were asked for, the most pressing class first, and within it the largest run-on.
    pub listed: Vec<usize>,
    /// By receiver, then source.
    pub pairs: Vec<PairRow>,
    /// Complaints with their lots; none where the town was screened without.
    pub complaints: Option<Vec<Complaint>>,
    /// Complaints that share where their water comes from, those of most lots first.
    pub causes: Vec<Cause>,
}

/// Screens all lots of a site.
///
/// # Errors
/// One variant per stage.
pub fn screen<'a>(
    site: &'a Site,
    settings: &ScreenSettings,
    complaints: Option<Vec<Complaint>>,
    progress: &dyn Progress,
) -> Result<Warned<Screening<'a>>, Error> {
    let of_ground = Settings { bridge_holes: settings.bridge_holes, ..Settings::default() };
    let whole = site.survey.whole();
    progress.phase(Phase::Read, whole.shape.len());
    let ground = Ground::read(site, &of_ground, whole)?;
    let routed = RoutedTown::of(ground, progress)?;
    progress.phase(Phase::Trace, whole.shape.len());
    let ledger = routed.ledger(site);
    let outlines: Vec<&MultiPolygon<f64>> = routed.ground.outlines(site);
    let lines = lot_lines(&routed.town(), &ledger, &outlines, site.crs.metres_per_unit())?;
    let lots = lot::lots(site, &routed, &ledger, &lines, settings);
    let pairs = pair_rows(&routed, &ledger, &lines);
    let listed = listed(&lots, complaints.as_deref(), &settings.rules);
    let causes = complaints.as_deref().map_or_else(Vec::new, |found| causes(&lots, &pairs, found));
    let mut warnings = routed.ground.roofs.warnings();
    warnings.extend(findings::findings(site, &lots, complaints.as_deref()));
    let screening =
        Screening { site, settings: settings.clone(), routed, lots, listed, pairs, complaints, causes };
    Ok(Warned::new(screening, warnings))
}

impl Screening<'_> {
    /// The lot with a label, if it has ground.
    #[must_use]
    pub fn lot(&self, label: Label) -> Option<&LotScreen> {
        let place = self.lots.binary_search_by_key(&label, |lot| lot.label).ok()?;
        Some(&self.lots[place])
    }

    /// Id of the parcel with a label; nothing for land without one.
    #[must_use]
    pub fn id(&self, label: Label) -> Option<&str> {
        let place = *self.routed.ground.parcels.get(label.place()?)?;
        Some(self.site.parcels.parcels()[place].id.as_str())
    }

    /// Whether all lots were asked for, not those of complaints only.
    #[must_use]
    pub const fn is_of_all(&self) -> bool {
        self.complaints.is_none()
    }
}

/// The lots asked for: all, or those of complaints.
fn listed(lots: &[LotScreen], complaints: Option<&[Complaint]>, rules: &Rules) -> Vec<usize> {
    let asked = |lot: &LotScreen| {
        complaints.is_none_or(|all| all.iter().any(|complaint| complaint.parcel == Some(lot.parcel)))
    };
    let mut found: Vec<usize> = (0..lots.len()).filter(|&place| asked(&lots[place])).collect();
    found.sort_by(|&a, &b| {
        let (a, b) = (&lots[a], &lots[b]);
        (rules.rank(&a.classed).cmp(&rules.rank(&b.classed)))
            .then(b.run_on_m2.total_cmp(&a.run_on_m2))
            .then(a.label.cmp(&b.label))
    });
    found
}

fn pair_rows(routed: &RoutedTown, ledger: &Ledger, lines: &[LotLines]) -> Vec<PairRow> {
    let cell = routed.ground.cell;
    let row = |(receiving, source, pair): (Label, Label, Pair)| {
        let handed_m = receiving.place().and_then(|place| lines[place].handed_m.get(&source));
        PairRow {
            receiving,
            source,
            area_m2: pair.area.m2(cell),
            straight_m2: pair.straight.m2(cell),
            handed_over_m2: pair.handed_over.m2(cell),
            crossing_m: handed_m.copied().unwrap_or(0.0),
        }
    };
    ledger.pairs().map(row).collect()
}
