//! What every result says of its own limits.

use super::screen::Units;

/// The cautions, one sentence or two each, in the order in which they are shown.
pub const CAUTIONS: [&str; 5] = [
    "Elevation data and parcel maps are not a survey: lot lines on such maps can be off by a metre or more. The result is evidence about a surface on a date, not a finding of fault.",
    "Only surface water on the mapped ground is seen: not ground water, irrigation, sump pumps or buried pipes.",
    "Before digging, have public utilities located and find the private lines that nobody marks. Trenches deeper than 1.5 m (5 ft), or any that may cave in, need protection under the local rules. Keep away from footings, retaining walls, trees, septic fields and wells.",
    "Never discharge into a sanitary sewer. A discharge to a street, ditch, storm sewer or another lot needs its owner's written consent; the capacity of what receives it is unknown here.",
    "Sizing is a preliminary estimate: local codes and a licensed professional decide.",
];

/// The same with these units first.
pub(super) fn cautions_in(units: Units) -> [String; 5] {
    let in_order = |caution: &str| match units {
        Units::Si => caution.to_owned(),
        Units::Us => caution.replace("1.5 m (5 ft)", "5 ft (1.5 m)"),
    };
    CAUTIONS.map(in_order)
}
