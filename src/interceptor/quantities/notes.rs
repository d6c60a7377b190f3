//! What a row rests on, in words.

use super::super::catalogue::PipeSize;
use super::item::{Amount, Item};
use super::line::{DrainLine, Section, whole_up};
use super::take_off::TakeOff;
use super::works::Works;
use crate::units::Length;
use std::collections::BTreeMap;

/// What notes are made from.
pub(super) struct Notes<'a> {
    works: &'a Works<'a>,
    taken: &'a TakeOff,
    /// Pipes in the works, by key.
    pipes: BTreeMap<String, &'a PipeSize>,
}

impl<'a> Notes<'a> {
    pub(super) fn of(works: &'a Works<'a>, taken: &'a TakeOff) -> Self {
        let legs = works.lines.iter().flat_map(DrainLine::legs);
        let pipes = legs.map(|leg| (leg.section.pipe().key(), leg.section.pipe())).collect();
        Self { works, taken, pipes }
    }

    /// The pieces that pipe in the line is bought in: as many as hold its length and waste. `None` for what is bought as measured.
    pub(super) fn whole_pieces(&self, item: &Item, amount: Amount) -> Option<Pieces<'a>> {
        let (Item::PerforatedPipe(key) | Item::SolidPipe(key), Amount::Length(length)) = (item, amount)
        else {
            return None;
        };
        let pipe = *self.pipes.get(key)?;
        let waste = 1.0 + self.works.settings.waste.of(item) / 100.0;
        Some(Pieces { pipe, count: whole_up(length.as_m() * waste / pipe.piece_m) })
    }

    /// The note of a row; empty where the item's name says all.
    pub(super) fn note(&self, item: &Item, amount: Amount) -> String {
        let Self { works, taken, pipes } = self;
        match item {
            Item::Excavation => format!(
                "in the bank, {:.1} m of trench in plan; soil: {}",
                taken.length.as_m(),
                works.soil.description()
            ),
            Item::Spoil => format!(
                "loose: {:.2} m3 in the bank, swell {}; by volume or by the load, not both",
                taken.spoil.as_m3(),
                works.soil.swell()
            ),
            Item::Truckload => format!("of {:.1} m3 loose", works.settings.truck.as_m3()),
            Item::Fabric => fabrics(works),
            Item::Stone(_) => format!(
                "{:.2} m3 placed, {:.0} kg/m3 loose; {}",
                taken.stone.as_m3(),
                works.stone.loose_kg_m3(),
                works.stone.description()
            ),
            Item::PerforatedPipe(_) | Item::SolidPipe(_) => {
                self.whole_pieces(item, amount).map_or_else(String::new, Pieces::words)
            }
            Item::Wye(_) => "two pipes into one".to_owned(),
            Item::Cleanout(_) => "fitting and cap, at heads, bends and by spacing".to_owned(),
            Item::Riser(_) => "from the pipe's top to the ground".to_owned(),
            Item::TieIn(key) => pipes.get(key).map_or_else(String::new, |pipe| {
                format!(
                    "hole cored for an outside diameter of {:.0} mm plus the seal; one pipe",
                    pipe.outside().as_mm()
                )
            }),
            Item::Basin => "with its grate, set and tied in".to_owned(),
            Item::Backfill => "the soil that was dug".to_owned(),
            Item::TopsoilBack => "kept apart when it is dug".to_owned(),
            Item::SodBack => "lifted, kept moist, laid again".to_owned(),
            _ => String::new(),
        }
    }
}

/// Pieces of pipe as they are sold.
pub(super) struct Pieces<'a> {
    pipe: &'a PipeSize,
    count: u32,
}

impl Pieces<'_> {
    /// All of them together.
    pub(super) fn length(&self) -> Length {
        self.pipe.piece_length() * f64::from(self.count)
    }

    fn words(self) -> String {
        let Self { pipe, count } = self;
        let plural = if count == 1 { "" } else { "s" };
        format!("with waste {count} {}{plural} of {:.2} m", pipe.piece.name(), pipe.piece_m)
    }
}

/// Classes of fabric in the works.
fn fabrics(works: &Works<'_>) -> String {
    let mut found: Vec<String> = Vec::new();
    for leg in works.lines.iter().flat_map(DrainLine::legs) {
        let Section::Stone(trench) = &leg.section else { continue };
        let fabric = trench.fabric();
        let words = format!(
            "for soil with {}: opening up to {:.2} mm, permittivity {}/s or more",
            fabric.name(),
            fabric.opening().as_mm(),
            fabric.permittivity_per_s()
        );
        if !found.contains(&words) {
            found.push(words);
        }
    }
    found.join("; ")
}
