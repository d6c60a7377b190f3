//! Across the trench, to scale: the same both ways.

use super::super::Page;
use super::measures::{down, line_down};
use super::picture::{Picture, PictureKind};
use crate::interceptor::materials::Finish;
use crate::interceptor::quantities::{Leg, Section};
use crate::language::Blank;
use crate::units::Length;
use maud::{Markup, html};

const WIDTH: f64 = 470.0;
/// Height of the deepest drawing.
const DEEP: f64 = 230.0;
/// Width of the widest trench.
const WIDE: f64 = 170.0;
const TOP: f64 = 34.0;
const BELOW: f64 = 40.0;
/// Middle of the trench.
const MIDDLE: f64 = 140.0;

/// Where a trench lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::output::page) enum Lies {
    /// Along the part, below the lawn.
    UnderLawn,
    /// Along the part, below a swale's bed, from which its depth counts.
    UnderSwale,
    /// On the way to the outlet.
    OnLead,
}

/// Which of a page's sections: an id may stand in a page only once.
#[derive(Debug, Clone, Copy)]
pub(in crate::output::page) struct Which {
    /// The part.
    pub(in crate::output::page) part: usize,
    /// Of the part's sections, from 1.
    pub(in crate::output::page) number: usize,
}

/// The section of a leg where its trench is deepest.
pub(in crate::output::page) fn section(page: &Page<'_>, which: Which, leg: &Leg, lies: Lies) -> Picture {
    let deepest = leg.cuts.deepest();
    let drawn = Drawn::of(&leg.section, deepest.depth);
    let (name, station) = (which.part.to_string(), page.units.length(deepest.station.as_m()));
    let blanks = [("part", Blank::Text(name.as_str())), ("station", Blank::Text(station.as_str()))];
    let height = drawn.y(drawn.depth_m) + BELOW;
    let caption = match lies {
        Lies::UnderLawn => page.words.fill("section-caption", &blanks),
        Lies::UnderSwale => page.words.fill("section-caption-swale", &blanks),
        Lies::OnLead => page.words.fill("section-caption-lead", &blanks),
    };
    let layers = html! {
        (stones(which))
        (drawn.ground())
        (drawn.trench(&leg.section, which))
        (drawn.pipes(&leg.section))
        (drawn.measures(page, &leg.section))
    };
    let label = page.words.fill("section-label", &blanks);
    Picture { kind: PictureKind::Section, size: [WIDTH, height], label, drawn: layers, caption }
}

/// The pattern that stands for stone; a page holds several.
fn stones(which: Which) -> Markup {
    html! {
        defs { pattern id=(stones_id(which)) width="14" height="12" patternUnits="userSpaceOnUse" {
            rect class="stones-ground" width="14" height="12" {}
            @for (x, y, rx, ry) in [(3.5, 3.0, 2.9, 2.1), (10.2, 2.6, 2.7, 1.9), (6.8, 8.4, 3.0, 2.2), (13.2, 8.6, 1.6, 1.8), (0.6, 8.8, 1.5, 1.7)] {
                ellipse class="stones-grain" cx=(x) cy=(y) rx=(rx) ry=(ry) {}
            }
        } }
    }
}

fn stones_id(Which { part, number }: Which) -> String {
    format!("stones-{part}-{number}")
}

/// Measures of the drawing.
struct Drawn {
    /// Units of the drawing a metre.
    scale: f64,
    depth_m: f64,
    bottom_m: f64,
    surface_m: f64,
}

impl Drawn {
    fn of(section: &Section, depth: Length) -> Self {
        let width = |height: Length| match section {
            Section::Stone(trench) => trench.surface_width(height).as_m(),
            Section::Solid(trench) => trench.surface_width(height).as_m(),
        };
        let (depth_m, bottom_m, surface_m) = (depth.as_m(), width(Length::ZERO), width(depth));
        Self { scale: (DEEP / depth_m).min(WIDE / surface_m), depth_m, bottom_m, surface_m }
    }

    /// Down from the ground.
    fn y(&self, below_m: f64) -> f64 {
        self.scale.mul_add(below_m, TOP)
    }

    /// Half the trench's width at a depth.
    fn half(&self, below_m: f64) -> f64 {
        let part = 1.0 - below_m / self.depth_m;
        self.scale * (self.surface_m - self.bottom_m).mul_add(part, self.bottom_m) / 2.0
    }

    fn ground(&self) -> Markup {
        let bottom = self.y(self.depth_m) + 14.0;
        html! {
            path class="soil" d=(format!("M20 {TOP}H{:.1}V{bottom:.1}H20Z", 2.0 * MIDDLE - 20.0)) {}
            path class="lawn" d=(format!("M20 {TOP}H{:.1}M{:.1} {TOP}H{:.1}", MIDDLE - self.half(0.0), MIDDLE + self.half(0.0), 2.0 * MIDDLE - 20.0)) {}
        }
    }

    /// A layer between two depths, as wide as the trench there.
    fn layer(&self, class: &str, from_m: f64, to_m: f64) -> Markup {
        let (top, bottom) = (self.y(from_m), self.y(to_m));
        let (wide, narrow) = (self.half(from_m), self.half(to_m));
        html! {
            path class=(class) d=(format!(
                "M{:.1} {top:.1}H{:.1}L{:.1} {bottom:.1}H{:.1}Z", MIDDLE - wide, MIDDLE + wide, MIDDLE + narrow, MIDDLE - narrow
            )) {}
        }
    }

    /// The finish, and what fills the trench below it.
    fn trench(&self, section: &Section, which: Which) -> Markup {
        let finish: &Finish = section.finish();
        let sod_m = finish.sod().as_m();
        let soil_m = sod_m + finish.topsoil().as_m();
        let sand_m = soil_m + finish.sand().as_m();
        let fill = match section {
            Section::Stone(_) => "stone",
            Section::Solid(_) => "backfill",
        };
        let from_m = if matches!(section, Section::Stone(_)) { sand_m } else { sod_m };
        html! {
            g fill=(format!("url(#{})", stones_id(which))) { (self.layer(fill, from_m, self.depth_m)) }
            @if sod_m > 0.0 { (self.layer("sod", 0.0, sod_m)) }
            @if matches!(section, Section::Stone(_)) {
                @if soil_m > sod_m { (self.layer("topsoil", sod_m, soil_m)) }
                @if sand_m > soil_m { (self.layer("sand", soil_m, sand_m)) }
                (self.layer("fabric", from_m, self.depth_m))
            }
            (self.layer("dug", 0.0, self.depth_m))
        }
    }

    /// Outside and inside of the pipe, or of both.
    fn pipes(&self, section: &Section) -> Markup {
        let pipe = section.pipe();
        let (outside_m, inside_m) = (pipe.outside().as_m(), pipe.inside().as_m());
        let cover_m = section.cover(Length::from_m(self.depth_m)).as_m();
        let apart_m = match section {
            Section::Stone(trench) if trench.pipes().count() == 2 => outside_m + trench.gap().as_m(),
            _ => 0.0,
        };
        let sides: &[f64] = if apart_m > 0.0 { &[-0.5, 0.5] } else { &[0.0] };
        let y = format!("{:.1}", self.y(cover_m + outside_m / 2.0));
        html! {
            @for side in sides {
                @let x = format!("{:.1}", (side * apart_m).mul_add(self.scale, MIDDLE));
                circle class="pipe-wall" cx=(x) cy=(y) r=(format!("{:.1}", self.scale * outside_m / 2.0)) {}
                circle class="pipe-bore" cx=(x) cy=(y) r=(format!("{:.1}", self.scale * inside_m / 2.0)) {}
            }
        }
    }

    /// Width, depth, cover, and the pipe by its size.
    fn measures(&self, page: &Page<'_>, section: &Section) -> Markup {
        let units = page.units;
        let cover_m = section.cover(Length::from_m(self.depth_m)).as_m();
        let outside_m = section.pipe().outside().as_m();
        let (left, right) = (MIDDLE - self.half(self.depth_m), MIDDLE + self.half(self.depth_m));
        let bottom = self.y(self.depth_m);
        let below_m = self.depth_m - cover_m - outside_m;
        let beside = MIDDLE + self.half(0.0) + 22.0;
        let pipe_y = self.y(cover_m + outside_m / 2.0);
        html! {
            (down(beside, TOP, self.y(cover_m), &units.width(cover_m)))
            (down(beside + 2.0, self.y(cover_m), self.y(cover_m + outside_m), &page.words.fill("section-pipe", &[("size", Blank::Text(&units.width(outside_m)))])))
            @if below_m > 0.005 { (down(beside, self.y(cover_m + outside_m), bottom, &units.width(below_m))) }
            (line_down(16.0_f64.max(MIDDLE - self.half(0.0) - 24.0), TOP, bottom))
            text class="tick" x=(format!("{:.1}", 18.0_f64.max(MIDDLE - self.half(0.0) - 28.0))) y=(TOP - 10.0) { (page.words.fill("section-depth", &[("depth", Blank::Text(&units.width(self.depth_m)))])) }
            path class="measure" d=(format!("M{left:.1} {:.1}v8M{right:.1} {:.1}v8M{left:.1} {:.1}H{right:.1}", bottom + 6.0, bottom + 6.0, bottom + 10.0)) {}
            text class="tick" x=(MIDDLE) y=(format!("{:.1}", bottom + 28.0)) text-anchor="middle" { (units.width(self.bottom_m)) }
            path class="measure" d=(format!("M{:.1} {pipe_y:.1}H{:.1}", MIDDLE + self.scale * outside_m / 2.0, beside - 4.0)) {}
        }
    }
}
