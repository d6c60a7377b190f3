//! Lines with which drawings tell their measures.

use maud::{Markup, html};

/// Half the length of a measure's end marks.
const END: f64 = 4.0;

/// A measure downwards, its words at the right.
pub(super) fn down(x: f64, from: f64, to: f64, words: &str) -> Markup {
    html! {
        (line_down(x, from, to))
        text class="tick" x=(format!("{:.1}", x + 8.0)) y=(format!("{:.1}", f64::midpoint(from, to) + 4.0)) { (words) }
    }
}

/// The same without words.
pub(super) fn line_down(x: f64, from: f64, to: f64) -> Markup {
    let start = x - END;
    html! { path class="measure" d=(format!("M{start:.1} {from:.1}h8M{start:.1} {to:.1}h8M{x:.1} {from:.1}V{to:.1}")) {} }
}

/// A measure across, its words above.
pub(super) fn across(y: f64, from: f64, to: f64, words: &str) -> Markup {
    let start = y - END;
    html! {
        path class="measure" d=(format!("M{from:.1} {start:.1}v8M{to:.1} {start:.1}v8M{from:.1} {y:.1}H{to:.1}")) {}
        text class="tick" x=(format!("{:.1}", f64::midpoint(from, to))) y=(format!("{:.1}", y - 8.0)) text-anchor="middle" { (words) }
    }
}
