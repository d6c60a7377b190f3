//! A drawing, in the page and as a file of its own.

use maud::{Markup, PreEscaped, html};

/// A drawing with its words.
pub(in crate::output::page) struct Picture {
    pub(super) kind: PictureKind,
    /// Width and height, in units of the drawing.
    pub(super) size: [f64; 2],
    /// For those who don't see it.
    pub(super) label: String,
    pub(super) drawn: Markup,
    pub(super) caption: String,
}

/// What a drawing shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::output::page) enum PictureKind {
    Profile,
    Section,
    Swale,
}

impl PictureKind {
    /// All of them.
    pub(in crate::output::page) const ALL: [Self; 3] = [Self::Profile, Self::Section, Self::Swale];

    /// As it is called in the name of a file.
    pub(in crate::output::page) const fn name(self) -> &'static str {
        match self {
            Self::Profile => "profile",
            Self::Section => "section",
            Self::Swale => "swale",
        }
    }

    /// Of its figure: sections stand side by side.
    const fn class(self) -> Option<&'static str> {
        match self {
            Self::Profile => None,
            Self::Section | Self::Swale => Some("section"),
        }
    }
}

impl Picture {
    pub(in crate::output::page) const fn kind(&self) -> PictureKind {
        self.kind
    }

    fn view_box(&self) -> String {
        let [width, height] = self.size;
        format!("0 0 {width:.0} {height:.0}")
    }

    /// In the page, which has the looks.
    pub(in crate::output::page) fn figure(&self) -> Markup {
        html! {
            figure class=[self.kind.class()] {
                svg class={ "drawing " (self.kind.name()) } viewBox=(self.view_box()) role="img" aria-label=(self.label) { (self.drawn) }
                figcaption { (self.caption) }
            }
        }
    }

    /// A file of its own, on white, with its looks in it and its words below.
    pub(in crate::output::page) fn file(&self) -> String {
        let [width, height] = self.size;
        let whole = html! {
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(self.view_box()) width=(format!("{width:.0}")) height=(format!("{height:.0}")) {
                title { (self.label) }
                desc { (self.caption) }
                style { (PreEscaped(include_str!("drawing.css"))) }
                rect width="100%" height="100%" fill="#fff" {}
                (self.drawn)
            }
        };
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n", whole.into_string())
    }
}
