//! `report.html`: the result on paper and on a phone, one file that needs nothing else.
//!
//! Markup is made with `maud`, which escapes every text that is put into it.

mod arrangements;
mod audience;
mod changes;
mod crossings;
mod data;
mod drawing;
mod first;
mod inlets;
mod line;
pub(super) mod map;
mod part;
mod text;
mod why;
mod works;

pub use audience::Audience;

use super::error::OutputError;
use super::screen::Units;
use super::summary::Summary;
use crate::interceptor::LinePart;
use crate::language::{Blank, Words};
use crate::pipeline::Assessment;
use audience::Section;
use drawing::PictureKind;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What a browser may load for the page: what stands in it.
pub(super) const POLICY: &str =
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'";
/// Looks of the page, its map and its drawings.
pub(super) const STYLES: [&str; 3] =
    [include_str!("page.css"), include_str!("map/map.css"), include_str!("drawing/drawing.css")];

/// What a page is made from.
pub(super) struct Page<'a> {
    pub(super) assessment: &'a Assessment<'a>,
    pub(super) summary: &'a Summary,
    pub(super) words: &'a Words,
    pub(super) units: Units,
    pub(super) audience: Audience,
}

impl Page<'_> {
    fn title(&self) -> String {
        self.words.fill("page-title", &[("lot", Blank::Text(&self.summary.lot.id))])
    }

    /// The text of `report.html`.
    ///
    /// # Errors
    /// A picture that can't be made.
    pub(super) fn html(&self) -> Result<String, OutputError> {
        let title = self.title();
        let numbered = first::shown(&self.summary.contributors).len();
        let map = map::map(self.assessment, self.units, numbered)?;
        let whole = html! {
            (DOCTYPE)
            html lang=(self.words.language().tag()) {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    // Nothing is fetched, whatever a text from an input file may hold.
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    title { (title) }
                    style { @for sheet in STYLES { (PreEscaped(sheet)) } }
                }
                body {
                    main {
                        (first::first_page(self, &title, &map))
                        @for (section, make) in SECTIONS {
                            @if self.audience.reads(section) { (make(self)) }
                        }
                        (data::cautions(self))
                    }
                    script { (PreEscaped(include_str!("page.js"))) }
                }
            }
        };
        Ok(whole.into_string() + "\n")
    }

    /// Names and texts of the drawings as files of their own.
    pub(super) fn drawings(&self) -> Vec<(String, String)> {
        let parts = self.assessment.interception.parts.iter().enumerate();
        let named = |(place, part): (usize, &LinePart)| {
            let (id, pictures) = (part.id, line::drawings(self, place, part.id).into_iter());
            let numbered = pictures.enumerate();
            numbered
                .map(move |(place, picture)| (drawing_name(id, place + 1, picture.kind()), picture.file()))
        };
        parts.flat_map(named).collect()
    }

    /// The text of `report.txt`.
    pub(super) fn text(&self) -> String {
        text::report_txt(self, &self.title())
    }
}

/// Name of a drawing's file in the folder of the drawings.
fn drawing_name(part: usize, number: usize, kind: PictureKind) -> String {
    format!("part-{part}-{number}-{}.svg", kind.name())
}

/// Whether a file's name is one that a drawing gets.
pub(super) fn is_drawing(name: &str) -> bool {
    let middle = name.strip_prefix("part-").and_then(|rest| rest.strip_suffix(".svg"));
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|letter| letter.is_ascii_digit());
    let names: Vec<&str> = middle.map_or_else(Vec::new, |middle| middle.splitn(3, '-').collect());
    let [part, number, kind] = names[..] else { return false };
    is_number(part) && is_number(number) && PictureKind::ALL.iter().any(|one| one.name() == kind)
}

/// Makes a section; empty markup where there is nothing to say.
type Make = fn(&Page<'_>) -> Markup;

/// Sections in their order.
const SECTIONS: [(Section, Make); 11] = [
    (Section::Crossings, crossings::crossings),
    (Section::Why, why::why),
    (Section::Certainty, data::certainty),
    (Section::Line, line::line),
    (Section::Line, inlets::inlets),
    (Section::Changes, changes::changes),
    (Section::Bill, works::bill),
    (Section::Checklist, works::checklist),
    (Section::Data, data::ground),
    (Section::Methods, data::methods),
    (Section::Provenance, data::provenance),
];

/// A section with its heading.
pub(super) fn section(heading: &str, inside: &Markup) -> Markup {
    html! { section { h2 { (heading) } (inside) } }
}

/// A table that scrolls by itself where the page is too narrow for it.
pub(super) fn table(class: &str, inside: &Markup) -> Markup {
    html! { div class="scrolls" { table class=(class) { (inside) } } }
}
