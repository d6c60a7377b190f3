//! The map of a town: the ground shaded, the lots by their class, those of complaints ringed.

use crate::output::error::OutputError;
use crate::output::page::map::compass;
use crate::output::page::map::relief::Relief;
use crate::output::page::map::view::View;
use crate::output::screen::Units;
use crate::pipeline::{LotScreen, Rules, Screening};
use geo::{BoundingRect, Coord, MultiPolygon, Rect};
use maud::{Markup, html};

/// Colours from the most to the least pressing class; one hue that reads in grey print.
const COLOURS: [&str; 4] = ["#7a3b10", "#c4813d", "#e8cd9a", "#b7b1c2"];
/// Colour of lots for which no rule holds.
const REST: &str = "#ffffff";
/// Lots up to which all of them are drawn; of larger towns those for which a rule holds.
const ALL_DRAWN: usize = 20_000;
/// Lots at the top of the list that have their number on the map.
pub(super) const NUMBERED: usize = 10;

/// Colour of a class by its rank.
pub(super) fn colour(rules: &Rules, rank: usize) -> &'static str {
    if rank + 1 >= rules.classes().count() { REST } else { COLOURS[rank.min(COLOURS.len() - 1)] }
}

/// The map.
///
/// # Errors
/// A picture that can't be made.
pub(super) fn map(screening: &Screening<'_>, units: Units, label: &str) -> Result<Markup, OutputError> {
    let view = View::around(extent(screening), screening.site.crs.metres_per_unit());
    let ground = &screening.routed.ground;
    let relief = Relief::of(&ground.raw, ground.georef, &view)?;
    let (width, height) = (View::width(), view.height());
    let listed = || screening.listed.iter().map(|&place| &screening.lots[place]);
    let rules = &screening.settings.rules;
    Ok(html! {
        svg class="map" viewBox=(format!("0 0 {width:.0} {height:.0}")) role="img" aria-label=(label) {
            image href=(relief.url) width=(format!("{width:.1}")) height=(format!("{height:.1}")) preserveAspectRatio="none" {}
            @if screening.lots.len() <= ALL_DRAWN {
                g class="others" {
                    @for lot in screening.lots.iter().filter(|lot| shows(screening, lot, &view)) { path d=(view.area(outline(screening, lot))) {} }
                }
            }
            @for (rank, class) in rules.classes().enumerate() {
                g class="class" style=(format!("fill:{}", colour(rules, rank))) {
                    @if screening.listed.len() <= ALL_DRAWN || rank + 1 < rules.classes().count() {
                        @for lot in listed().filter(|lot| lot.classed.class == class) {
                            path d=(view.area(outline(screening, lot))) { title { (name(screening, lot)) } }
                        }
                    }
                }
            }
            @for (number, lot) in listed().take(NUMBERED).enumerate() {
                @if let Some(at) = middle(outline(screening, lot), &view) {
                    g class="number" transform=(format!("translate({:.1} {:.1})", at.x, at.y)) {
                        circle r="9" {}
                        text y="4" { (number + 1) }
                    }
                }
            }
            (compass::north(&screening.site.crs, &view))
            (compass::scale_bar(&view, units))
        }
    })
}

fn name(screening: &Screening<'_>, lot: &LotScreen) -> String {
    format!("{}: {}", screening.site.parcels.parcels()[lot.parcel].id, lot.classed.class)
}

fn outline<'a>(screening: &'a Screening<'_>, lot: &LotScreen) -> &'a MultiPolygon {
    &screening.site.parcels.parcels()[lot.parcel].outline
}

/// A place inside a lot, drawn.
fn middle(outline: &MultiPolygon, view: &View) -> Option<Coord> {
    use geo::InteriorPoint;
    outline.interior_point().map(|point| view.at(point.into()))
}

/// Whether a lot that isn't listed has a part on the map; those listed are drawn by their class.
fn shows(screening: &Screening<'_>, lot: &LotScreen, view: &View) -> bool {
    use geo::Intersects;
    let extent = outline(screening, lot).bounding_rect();
    !screening.is_of_all() && extent.is_some_and(|extent| extent.intersects(&view.ground))
}

/// Around the lots that are listed.
fn extent(screening: &Screening<'_>) -> Rect {
    let rects = screening.listed.iter().map(|&place| &screening.lots[place]);
    let rects = rects.filter_map(|lot| outline(screening, lot).bounding_rect());
    let both = |a: Rect, b: Rect| {
        Rect::new(
            (a.min().x.min(b.min().x), a.min().y.min(b.min().y)),
            (a.max().x.max(b.max().x), a.max().y.max(b.max().y)),
        )
    };
    rects.reduce(both).unwrap_or_else(|| Rect::new((0.0, 0.0), (1.0, 1.0)))
}
