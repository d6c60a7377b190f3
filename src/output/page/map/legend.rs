//! What the marks of the map mean, and which of them are shown.

use super::super::super::style;
use super::super::Page;
use crate::language::Blank;
use maud::{Markup, html};

/// Marks that are switched on and off together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::output::page) enum Layer {
    /// The shaded ground.
    Relief,
    /// Parcels by share, with their numbers.
    Contributors,
    /// Ground that drains onto the lot.
    Catchment,
    /// Ponds.
    Ponds,
    /// Lot lines.
    Lots,
    /// Buildings.
    Buildings,
    /// Ways of the water.
    Paths,
    /// Where water crosses the lot line.
    Crossings,
    /// The proposed line.
    Works,
    /// Why a parcel's water comes, or doesn't.
    Why,
    /// Storm inlets.
    Inlets,
}

impl Layer {
    const ALL: [Self; 11] = [
        Self::Contributors,
        Self::Catchment,
        Self::Paths,
        Self::Crossings,
        Self::Works,
        Self::Why,
        Self::Ponds,
        Self::Lots,
        Self::Buildings,
        Self::Inlets,
        Self::Relief,
    ];

    /// Its name in the page's style and script.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Relief => "relief",
            Self::Contributors => "contributors",
            Self::Catchment => "catchment",
            Self::Ponds => "ponds",
            Self::Lots => "lots",
            Self::Buildings => "buildings",
            Self::Paths => "paths",
            Self::Crossings => "crossings",
            Self::Works => "works",
            Self::Why => "why",
            Self::Inlets => "inlets",
        }
    }

    fn words(self, page: &Page<'_>) -> String {
        let words = page.words;
        match self {
            Self::Relief => words.say("legend-relief"),
            Self::Contributors => {
                let limits: Vec<String> =
                    style::share_limits().map(|share| format!("{:.0}", 100.0 * share)).collect();
                words.fill("legend-contributors", &[("limits", Blank::Text(&limits.join(", ")))])
            }
            Self::Catchment => words.say("legend-catchment"),
            Self::Ponds => words.say("legend-ponds"),
            Self::Lots => words.say("legend-lots"),
            Self::Buildings => words.say("legend-buildings"),
            Self::Paths => words.say("legend-paths"),
            Self::Crossings => words.say("legend-crossings"),
            Self::Works => words.say("legend-works"),
            Self::Why => words.say("legend-why"),
            Self::Inlets => words.say("legend-inlets"),
        }
    }

    /// Whether the map has any of its marks.
    fn is_drawn(self, page: &Page<'_>) -> bool {
        let found = page.assessment;
        match self {
            Self::Relief | Self::Lots => true,
            Self::Contributors | Self::Catchment => !found.drainage.contributions.is_empty(),
            Self::Ponds => !found.ponds.is_empty(),
            Self::Buildings => found.site.beside.buildings.is_some(),
            Self::Paths => !found.drainage.paths.is_empty(),
            Self::Crossings => !found.drainage.crossings.is_empty(),
            Self::Why => !found.explanations.is_empty(),
            Self::Works => !found.interception.parts.is_empty(),
            Self::Inlets => !found.site.beside.inlets.is_empty(),
        }
    }

    /// A small drawing of its mark.
    fn swatch(self) -> Markup {
        let number = |shape: &Markup, class: &str| html! { g class=(format!("number {class}")) transform="translate(32 12)" { (shape) text y="4.5" { "1" } } };
        html! {
            svg class="swatch" viewBox="0 0 44 24" aria-hidden="true" {
                @match self {
                    Self::Relief => {
                        path d="M0 0H44V24H0Z" fill="#e0e0e0" {}
                        path d="M0 24L16 4L26 16L34 8L44 20V24Z" fill="#a8a8a8" {}
                    }
                    Self::Contributors => {
                        @for (place, colour) in (0_u32..).zip(style::share_colours()) {
                            rect x=(place * 11) y="0" width="11" height="24" fill=(colour) fill-opacity="0.75" {}
                        }
                        (number(&html! { circle r="9" {} }, ""))
                    }
                    Self::Catchment => path class="catchment" d="M3 3H41V21H3Z" stroke=(style::PATH) {},
                    Self::Ponds => path class="pond" d="M4 12C8 2 36 2 40 12S8 22 4 12Z" fill=(style::POND) {},
                    Self::Lots => {
                        path class="lot-line" d="M2 12H22" {}
                        path class="subject" d="M25 4H41V20H25Z" stroke=(style::LOT.0) {}
                    }
                    Self::Buildings => path class="building" d="M10 5H34V19H10Z" {},
                    Self::Paths => {
                        path class="water" d="M2 12H30" stroke=(style::PATH) stroke-width="3" {}
                        path d="M42 12L28 6V18Z" fill=(style::PATH) {}
                    }
                    Self::Crossings => {
                        path class="crossing" d="M2 12H20" stroke=(style::CROSSING.0) stroke-width="7" {}
                        (number(&html! { rect x="-9" y="-9" width="18" height="18" {} }, "crossing-number"))
                    }
                    Self::Works => {
                        path class="line" d="M2 8H20" stroke=(style::LINE.0) {}
                        path class="lead" d="M2 18H20" stroke=(style::LINE.0) {}
                        (number(&html! { rect x="-7.5" y="-7.5" width="15" height="15" transform="rotate(45)" {} }, "part-number"))
                    }
                    Self::Why => {
                        path class="why" d="M2 12H42" stroke=(style::WHY) {}
                        path class="why-place" d="M27 7L37 17M27 17L37 7" stroke=(style::WHY) {}
                    }
                    Self::Inlets => rect class="inlet" x="16" y="6" width="12" height="12" fill=(style::INLET) {},
                }
            }
        }
    }
}

/// The legend: each mark with a box that shows or hides it.
pub(in crate::output::page) fn legend(page: &Page<'_>) -> Markup {
    html! {
        ul class="legend" {
            @for layer in Layer::ALL.into_iter().filter(|layer| layer.is_drawn(page)) {
                li {
                    label {
                        input type="checkbox" checked data-layer=(layer.name());
                        (layer.swatch())
                        span { (layer.words(page)) }
                    }
                }
            }
        }
    }
}
