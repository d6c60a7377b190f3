//! Ground, trench and pipe along a part and its lead, in true levels, heights drawn larger than lengths.

use super::super::super::specification::STAKES_M;
use super::super::Page;
use super::axis::marks;
use super::picture::{Picture, PictureKind};
use crate::interceptor::OutletWay;
use crate::interceptor::drain::{CoursePlace, DrainOption, course, stakes};
use crate::language::Blank;
use crate::units::Length;
use maud::{Markup, html};
use std::fmt::Write;
use std::iter::once;

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 300.0;
/// Room for levels at the left, for lengths below, for words above.
const LEFT: f64 = 52.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 24.0;
const BELOW: f64 = 58.0;
/// Free height above and below what is drawn, in parts of it.
const AIR: f64 = 0.12;
/// A grade is written where its reach is drawn longer than this.
const WRITTEN: f64 = 54.0;

/// The profile of a part; nothing where no pipe is laid out.
pub(in crate::output::page) fn profile(
    page: &Page<'_>,
    part: usize,
    option: &DrainOption,
    way: &OutletWay,
) -> Option<Picture> {
    let places = course(option, way);
    let frame = Frame::of(&places)?;
    let part_m = way.length.as_m() - way.lead_length.as_m();
    let name = part.to_string();
    let exaggeration = format!("{:.0}", (frame.y / frame.x).max(1.0));
    let along = |level: fn(&CoursePlace) -> Option<f64>| frame.line(&places, level);
    let blanks = [("part", Blank::Text(name.as_str())), ("times", Blank::Text(exaggeration.as_str()))];
    let drawn = html! {
        (frame.grid(page))
        (frame.part_end(page, part_m))
        path class="soil" d=(frame.below(&places)) {}
        path class="bottom" d=(along(|at| at.bottom_m)) {}
        path class="pipe" d=(frame.pipe(option, &places)) {}
        path class="swale-bed" d=(along(|at| at.swale_bed_m)) {}
        path class="lawn" d=(along(|at| Some(at.ground_m))) {}
        (frame.grades(option))
        (frame.stakes(page, option, way))
    };
    Some(Picture {
        kind: PictureKind::Profile,
        size: [WIDTH, HEIGHT],
        label: page.words.fill("profile-label", &blanks[..1]),
        drawn,
        caption: page.words.fill("profile-caption", &blanks),
    })
}

/// From stations and levels to the drawing.
struct Frame {
    /// Units of the drawing a metre along.
    x: f64,
    /// And a metre of height.
    y: f64,
    length_m: f64,
    lowest_m: f64,
    highest_m: f64,
}

impl Frame {
    fn of(places: &[CoursePlace]) -> Option<Self> {
        let length_m = places.last()?.station_m;
        let levels =
            places.iter().flat_map(|at| [Some(at.ground_m), at.bottom_m, at.invert_m, at.swale_bed_m]);
        let (low_m, high_m) = levels
            .flatten()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), level| (low.min(level), high.max(level)));
        let air_m = AIR * (high_m - low_m).max(0.2);
        let (lowest_m, highest_m) = (low_m - air_m, high_m + air_m);
        let (x, y) = ((WIDTH - LEFT - RIGHT) / length_m, (HEIGHT - TOP - BELOW) / (highest_m - lowest_m));
        (x.is_finite() && y.is_finite()).then_some(Self { x, y, length_m, lowest_m, highest_m })
    }

    fn at(&self, station_m: f64, level_m: f64) -> (f64, f64) {
        (self.x.mul_add(station_m, LEFT), self.y.mul_add(self.highest_m - level_m, TOP))
    }

    /// A level along the way, in pieces where it isn't known.
    fn line(&self, places: &[CoursePlace], level: fn(&CoursePlace) -> Option<f64>) -> String {
        let mut data = String::new();
        let mut drawing = false;
        for place in places {
            if let Some(level_m) = level(place) {
                let (x, y) = self.at(place.station_m, level_m);
                let letter = if drawing { 'L' } else { 'M' };
                // Writing to a string can't fail.
                let _ = write!(data, "{letter}{x:.1} {y:.1}");
                drawing = true;
            } else {
                drawing = false;
            }
        }
        data
    }

    /// The ground, closed below the drawing.
    fn below(&self, places: &[CoursePlace]) -> String {
        let base = HEIGHT - BELOW;
        let ground = self.line(places, |at| Some(at.ground_m));
        format!("{ground}L{:.1} {base}L{LEFT} {base}Z", self.at(self.length_m, self.lowest_m).0)
    }

    /// From the invert to the inside of the crown, reach by reach.
    fn pipe(&self, option: &DrainOption, places: &[CoursePlace]) -> String {
        let mut data = String::new();
        if option.built.is_err() {
            return data;
        }
        for sized in &option.reaches {
            let reach = &sized.reach;
            // A reach may end between two places, as where stone does.
            let within = places.iter().filter(|at| at.station_m > reach.from_m && at.station_m < reach.to_m);
            let within = within.filter_map(|at| Some((at.station_m, at.invert_m?)));
            let inverts: Vec<(f64, f64)> = once((reach.from_m, reach.from_invert_m))
                .chain(within)
                .chain(once((reach.to_m, reach.to_invert_m)))
                .collect();
            let crown_m = sized.pipe.inside().as_m();
            let crowns = inverts.iter().rev().map(|&(station, invert_m)| (station, invert_m + crown_m));
            let around = inverts.iter().copied().chain(crowns);
            for (number, (station_m, level_m)) in around.enumerate() {
                let (x, y) = self.at(station_m, level_m);
                let letter = if number == 0 { 'M' } else { 'L' };
                let _ = write!(data, "{letter}{x:.1} {y:.1}");
            }
            data.push('Z');
        }
        data
    }

    /// Levels at the left and lengths below, in the units asked for.
    fn grid(&self, page: &Page<'_>) -> Markup {
        let unit_m = page.units.length_unit_m();
        let base = HEIGHT - BELOW;
        html! {
            @for level in marks(self.lowest_m / unit_m, self.highest_m / unit_m, 6.0) {
                @let y = self.at(0.0, level * unit_m).1;
                path class="rule" d=(format!("M{LEFT} {y:.1}H{:.1}", WIDTH - RIGHT)) {}
                text class="tick" x=(LEFT - 5.0) y=(format!("{:.1}", y + 4.0)) text-anchor="end" { (format!("{level:.1}")) }
            }
            @for station in marks(0.0, self.length_m / unit_m, 8.0) {
                @let x = self.at(station * unit_m, self.lowest_m).0;
                path class="rule" d=(format!("M{x:.1} {base}v4")) {}
                text class="tick" x=(format!("{x:.1}")) y=(base + 16.0) text-anchor="middle" { (format!("{station:.0}")) }
            }
            path class="frame" d=(format!("M{LEFT} {TOP}V{base}H{:.1}", WIDTH - RIGHT)) {}
            text class="tick" x=(LEFT - 5.0) y=(TOP - 8.0) text-anchor="end" { (page.units.length_unit()) }
            text class="tick" x=(WIDTH - RIGHT) y=(base + 30.0) text-anchor="end" { (page.units.length_unit()) }
        }
    }

    /// Where the line ends and the lead begins.
    fn part_end(&self, page: &Page<'_>, part_m: f64) -> Markup {
        let x = self.at(part_m, self.lowest_m).0;
        let has_lead = self.length_m - part_m > 0.01;
        html! {
            @if has_lead {
                path class="part-end" d=(format!("M{x:.1} {TOP}V{:.1}", HEIGHT - BELOW)) {}
                text class="tick" x=(format!("{:.1}", x - 4.0)) y=(TOP - 8.0) text-anchor="end" { (page.words.say("profile-line")) }
                text class="tick" x=(format!("{:.1}", x + 4.0)) y=(TOP - 8.0) { (page.words.say("profile-lead")) }
            }
        }
    }

    /// The grade of each reach that has room for it.
    fn grades(&self, option: &DrainOption) -> Markup {
        let y = HEIGHT - BELOW - 6.0;
        html! {
            @for sized in &option.reaches {
                @let (from, to) = (self.at(sized.reach.from_m, 0.0).0, self.at(sized.reach.to_m, 0.0).0);
                @if to - from > WRITTEN {
                    text class="grade" x=(format!("{:.1}", f64::midpoint(from, to))) y=(y) text-anchor="middle" { (format!("{:.2} %", 100.0 * sized.reach.grade.get())) }
                }
            }
        }
    }

    /// Depth to dig at each stake, where there is room for the number.
    fn stakes(&self, page: &Page<'_>, option: &DrainOption, way: &OutletWay) -> Markup {
        let found = stakes(option, way, Length::from_m(STAKES_M));
        let mut free = f64::NEG_INFINITY;
        let mut drawn = Vec::new();
        for stake in &found {
            let Some(cut_m) = stake.cut_from_ground_m() else { continue };
            let (x, ground) = self.at(stake.station_m, stake.ground_m);
            let bottom = stake
                .bottom_m
                .or(stake.swale_bed_m)
                .map_or(ground, |bottom_m| self.at(stake.station_m, bottom_m).1);
            let has_room = x >= free;
            if has_room {
                free = x + 34.0;
            }
            drawn.push((x, ground, bottom, has_room.then(|| page.units.depth_number(cut_m))));
        }
        html! {
            @for (x, ground, bottom, number) in drawn {
                path class="stake" d=(format!("M{x:.1} {ground:.1}V{bottom:.1}")) {}
                @if let Some(number) = number {
                    text class="tick" x=(format!("{x:.1}")) y=(HEIGHT - 12.0) text-anchor="middle" { (number) }
                }
            }
            text class="tick" x=(LEFT - 16.0) y=(HEIGHT - 12.0) text-anchor="end" { (page.units.depth_unit()) }
        }
    }
}
