//! How the line is built, from what was typed.

use super::{maybe, wrong};
use crate::args::{ArrangementName, AssessOptions};
use crate::failure::Failure;
use lotshed::interceptor::drain::Arrangement;
use lotshed::interceptor::quantities::{KnownItems, PriceList};
use lotshed::pipeline::DrainSettings;
use miette::Diagnostic;
use std::path::Path;

/// Arrangement, materials, pipes and prices.
pub(super) fn drain_settings(options: &AssessOptions) -> Result<DrainSettings, Failure> {
    let mut settings = DrainSettings::default();
    if let Some(path) = &options.materials {
        let (text, shown) = text_of("table of materials", path)?;
        settings.materials = settings.materials.with_user(&text, &shown).map_err(|cause| unusable(&cause))?;
    }
    let materials = settings.materials.clone();
    settings.arrangement = options.arrangement.map(arrangement);
    if let Some(name) = &options.finish {
        materials.finish(name).map_err(|cause| wrong("finish", &cause))?;
        name.trim().clone_into(&mut settings.finish);
    }
    if let Some(name) = &options.trench_soil {
        materials.soil(name).map_err(|cause| wrong("trench-soil", &cause))?;
        name.trim().clone_into(&mut settings.trench_soil);
    }
    if let Some(name) = &options.stone {
        materials.stone(name).map_err(|cause| wrong("stone", &cause))?;
        name.trim().clone_into(&mut settings.stone);
    }
    settings.fines = maybe("fines", options.fines.as_ref())?;
    if let Some(path) = &options.catalogue {
        let (text, shown) = text_of("catalogue of pipes", path)?;
        settings.catalogue = settings.catalogue.with_user(&text, &shown).map_err(|cause| unusable(&cause))?;
    }
    if let Some(path) = &options.prices {
        let (text, shown) = text_of("price list", path)?;
        let known = KnownItems::of(&settings.catalogue, &materials);
        settings.prices = Some(PriceList::read(&text, &shown, &known).map_err(|cause| unusable(&cause))?);
    }
    Ok(settings)
}

const fn arrangement(name: ArrangementName) -> Arrangement {
    match name {
        ArrangementName::OnePipe => Arrangement::OnePipe,
        ArrangementName::TwoPipes => Arrangement::TwoPipes,
        ArrangementName::Swale => Arrangement::Swale,
        ArrangementName::SwaleOverDrain => Arrangement::SwaleOverDrain,
        ArrangementName::Basins => Arrangement::Basins,
    }
}

fn text_of(what: &str, path: &Path) -> Result<(String, String), Failure> {
    let shown = path.display().to_string();
    let text = std::fs::read_to_string(path)
        .map_err(|cause| Failure::unreadable(format!("cannot read the {what} {shown}: {cause}")))?;
    Ok((text, shown))
}

/// A file that can be read, but not used.
fn unusable(cause: &(impl Diagnostic + ToString)) -> Failure {
    let help = cause.help().map(|help| help.to_string());
    Failure { help, ..Failure::unreadable(cause.to_string()) }
}
