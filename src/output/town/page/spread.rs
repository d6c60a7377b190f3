//! How run-on is spread over the lots, as bars.

use super::Page;
use crate::output::page::section;
use crate::pipeline::Measure;
use maud::{Markup, html};

/// Upper ends of the bars' ranges, run-on by lot area; the last bar has the rest.
const ENDS: [f64; 7] = [0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0];
/// Width of the picture, of a bar with its gap, and height of the highest bar.
const SIZE: [f64; 3] = [640.0, 78.0, 140.0];

/// Bars of all lots.
pub(super) fn spread(page: &Page<'_>) -> Markup {
    let words = page.words;
    let mut counts = [0_usize; ENDS.len() + 1];
    for &place in &page.screening.listed {
        let ratio = Measure::RunOnPerLotArea.of(&page.screening.lots[place]).unwrap_or(0.0);
        counts[ENDS.partition_point(|&end| end <= ratio)] += 1;
    }
    let [width, step, high] = SIZE;
    let most = counts.iter().copied().max().unwrap_or(0).max(1);
    #[expect(clippy::cast_precision_loss, reason = "a number of lots")]
    let bars = counts.iter().enumerate().map(|(place, &count)| {
        (place as f64 * step + 6.0, high * count as f64 / most as f64, count, range(place))
    });
    let inside = html! {
        p class="quiet" { (words.say("town-spread-note")) }
        svg class="bars" viewBox=(format!("0 0 {width:.0} {:.0}", high + 44.0)) role="img" aria-label=(words.say("town-spread-label")) {
            @for (x, tall, count, range) in bars {
                rect x=(format!("{x:.1}")) y=(format!("{:.1}", high + 18.0 - tall)) width=(format!("{:.1}", step - 12.0)) height=(format!("{tall:.1}")) {}
                text x=(format!("{:.1}", x + 0.5 * (step - 12.0))) y=(format!("{:.1}", high + 13.0 - tall)) text-anchor="middle" { (count) }
                text x=(format!("{:.1}", x + 0.5 * (step - 12.0))) y=(format!("{:.1}", high + 35.0)) text-anchor="middle" { (range) }
            }
            path d=(format!("M0 {:.1}H{width:.1}", high + 18.0)) {}
        }
    };
    section(&words.say("town-spread-heading"), &inside)
}

/// The range of a bar.
fn range(place: usize) -> String {
    match (place.checked_sub(1).map(|before| ENDS[before]), ENDS.get(place)) {
        (None, Some(end)) => format!("below {end}"),
        (Some(start), Some(end)) => format!("{start} to {end}"),
        (start, None) => format!("{} or more", start.unwrap_or(0.0)),
    }
}
