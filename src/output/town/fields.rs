//! The figures of one lot, and of one pair, in the order of their columns: the same in every file.

use super::rounded;
use crate::lots::Label;
use crate::pipeline::{ClassReason, Limit, LotScreen, Measure, PairRow, Screening};
use serde_json::{Value, json};

/// Decimals of areas, m².
const AREA: i32 = 2;
/// Decimals of shares.
const SHARE: i32 = 4;

/// One field of a row.
pub(super) type Field = (String, Value);

/// All fields of a lot.
pub(super) fn of_lot(screening: &Screening<'_>, lot: &LotScreen) -> Vec<Field> {
    let parcel = &screening.site.parcels.parcels()[lot.parcel];
    let id = |found: Option<(Label, f64)>| found.and_then(|(label, _)| screening.id(label));
    let m2 = |value: f64| json!(rounded(value, AREA));
    let share = |value: f64| json!(rounded(value, SHARE));
    let measure = |measure: Measure| measure.of(lot);
    let shed = &lot.shedding;
    let mut fields = vec![
        ("id", json!(parcel.id)),
        ("same_outline", json!(parcel.also.join("; "))),
        ("class", json!(lot.classed.class)),
        ("reasons", json!(reasons(&lot.classed.reasons))),
        ("lot_area_m2", m2(lot.area_m2)),
        ("run_on_area_m2", m2(lot.run_on_m2)),
        ("run_on_per_lot_area", json!(measure(Measure::RunOnPerLotArea).map(|v| rounded(v, 3)))),
        ("complete", json!(if lot.is_complete() { "yes" } else { "no, at least" })),
        ("contributors", json!(lot.contributors)),
        ("largest_contributor", json!(id(lot.largest))),
        ("largest_contributor_share", json!(lot.largest.map(|(_, part)| rounded(part, SHARE)))),
        ("crossings", json!(lot.crossed.count)),
        ("concentrated_area_m2", m2(lot.crossed.concentrated_m2)),
        ("largest_concentrated_m2", m2(lot.crossed.largest_concentrated_m2)),
        ("sheet_area_m2", m2(lot.crossed.sheet_m2)),
        ("along_area_m2", m2(lot.crossed.along_m2)),
        ("sheds_to_parcels_m2", m2(shed.parcels_m2)),
        ("sheds_most_to", json!(id(shed.largest))),
        ("sheds_to_unparcelled_m2", m2(shed.unparcelled_m2)),
        ("sheds_to_inlets_m2", m2(shed.inlets_m2)),
        ("sheds_off_data_m2", m2(shed.off_data_m2)),
        ("ponds", json!(lot.ponding.count)),
        ("pond_area_m2", m2(lot.ponding.area_m2)),
        ("pond_depth_m", json!(rounded(lot.ponding.depth_m, 3))),
        ("edge_limited_area_m2", m2(lot.edge_limited_m2)),
        ("edge_limited_share", json!(measure(Measure::EdgeLimitedShare).map(|v| rounded(v, SHARE)))),
        ("without_elevation_share", share(lot.without_elevation)),
    ];
    if let Some(flow) = lot.flow {
        fields.push(("flow_m3_s", json!(rounded(flow.as_m3_per_s(), 5))));
    }
    if screening.complaints.is_some() {
        fields.push(("complaints", json!(complaints(screening, lot))));
    }
    let kept = parcel.kept.iter().map(|(name, value)| (name.clone(), json!(value)));
    fields.into_iter().map(|(name, value)| (name.to_owned(), value)).chain(kept).collect()
}

/// All fields of a pair.
pub(super) fn of_pair(screening: &Screening<'_>, pair: &PairRow) -> Vec<Field> {
    let kind = |label: Label| if label == Label::UNPARCELLED { "unparcelled" } else { "parcel" };
    let m2 = |value: f64| json!(rounded(value, AREA));
    let run_on_m2 = screening.lot(pair.receiving).map(|lot| lot.run_on_m2);
    let share = run_on_m2.filter(|&m2| m2 > 0.0).map(|m2| rounded(pair.area_m2 / m2, SHARE));
    [
        ("receiving_id", json!(screening.id(pair.receiving))),
        ("receiving_kind", json!(kind(pair.receiving))),
        ("source_id", json!(screening.id(pair.source))),
        ("source_kind", json!(kind(pair.source))),
        ("area_m2", m2(pair.area_m2)),
        ("share_of_run_on", json!(share)),
        ("straight_area_m2", m2(pair.straight_m2)),
        ("through_others_area_m2", m2(pair.area_m2 - pair.straight_m2)),
        ("handed_over_area_m2", m2(pair.handed_over_m2)),
        ("crossing_length_m", m2(pair.crossing_m)),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into()
}

/// Pairs that the tables list: those onto the lots asked for, without what would read as nothing.
pub(super) fn pairs<'a>(screening: &'a Screening<'_>) -> impl Iterator<Item = &'a PairRow> {
    let least_m2 = 0.5 * 10_f64.powi(-AREA);
    let mut asked: Vec<Label> = screening.listed.iter().map(|&place| screening.lots[place].label).collect();
    asked.sort_unstable();
    screening.pairs.iter().filter(move |pair| {
        (screening.is_of_all() || asked.binary_search(&pair.receiving).is_ok())
            && (pair.area_m2 >= least_m2 || pair.handed_over_m2 >= least_m2)
    })
}

/// Numbers of the complaints about a lot.
pub(super) fn complaints(screening: &Screening<'_>, lot: &LotScreen) -> String {
    let all = screening.complaints.iter().flatten().filter(|found| found.parcel == Some(lot.parcel));
    let names: Vec<&str> = all.map(|found| found.name.as_str()).collect();
    names.join("; ")
}

/// Rules that hold, with their figures.
pub(super) fn reasons(all: &[ClassReason]) -> String {
    let in_words: Vec<String> = all.iter().map(reason).collect();
    in_words.join("; ")
}

/// One rule that holds: its name, and each figure beside its limit.
pub(super) fn reason(reason: &ClassReason) -> String {
    let figures: Vec<String> =
        reason.figures.iter().map(|(limit, figure)| in_words(*limit, *figure)).collect();
    format!("{} ({})", reason.rule, figures.join(", "))
}

fn in_words(limit: Limit, figure: f64) -> String {
    let name = serde_json::to_value(limit.measure).ok();
    let name = name.as_ref().and_then(Value::as_str).unwrap_or_default();
    let bound = match (limit.at_least, limit.below) {
        (Some(least), _) => format!("at least {least}"),
        (None, Some(below)) => format!("below {below}"),
        (None, None) => String::new(),
    };
    // As many digits as the column has.
    let figure = rounded(figure, if figure.abs() >= 10.0 { 1 } else { 3 });
    format!("{name} {figure}, {bound}")
}
