//! The design storm from what was typed.

use super::{maybe, number};
use crate::args::{AssessOptions, TimeName};
use crate::failure::Failure;
use crate::size::needs_unit;
use lotshed::formula::graphical_peak::RainfallType;
use lotshed::input::open_rain_table;
use lotshed::runoff::{ChannelFlow, CoverTable, DesignBasis, GraphicalBasis, GroundBasis, Rain, TimeMethod};
use lotshed::units::{Area, PondShare, RainIntensity, ReturnPeriod};
use lotshed::warning::Warned;
use std::path::{Path, PathBuf};

/// Years of the design storm where a table has them and nothing was typed.
const YEARS: f64 = 10.0;

/// Everything that flows rest on but the ground.
pub(super) fn design_basis(options: &AssessOptions) -> Result<Warned<DesignBasis>, Failure> {
    // A bare number of millimetres or inches would be taken for metres.
    needs_unit("rain-depth", options.rain_depth.as_ref(), "4.5in or 115mm")?;
    needs_rain(options)?;
    let mut warnings = Vec::new();
    let default = DesignBasis::default();
    let basis = DesignBasis {
        rain: rain(options)?.map(|found| found.unload(&mut warnings)),
        rain_depth: maybe("rain-depth", options.rain_depth.as_ref())?,
        time_method: match options.time_by {
            None | Some(TimeName::Chain) => TimeMethod::Chain,
            Some(TimeName::KerbyKirpich) => TimeMethod::KerbyKirpich,
            Some(TimeName::Lag) => TimeMethod::Lag,
            Some(TimeName::Airport) => TimeMethod::Airport,
        },
        least_time: number("least-time", options.least_time.as_ref(), default.least_time)?,
        graphical: graphical(options.rainfall_type.as_ref(), options.pond_share.as_ref())?,
        channel: maybe::<Area>("channel-from", options.channel_from.as_ref())?.map(ChannelFlow::usual),
    };
    if basis.least_time.as_s() <= 0.0 {
        return Err(Failure::usage("--least-time: water takes some time; give more than 0".to_owned()));
    }
    Ok(Warned::new(basis, warnings))
}

/// Refuses what says how a storm runs off where there is none.
fn needs_rain(options: &AssessOptions) -> Result<(), Failure> {
    if options.intensity.is_some() || options.rain_curve.is_some() || options.rainfall.is_some() {
        return Ok(());
    }
    let idle = [
        (options.return_period.is_some(), "--return-period"),
        (options.rain_depth.is_some(), "--rain-depth"),
        (options.rainfall_type.is_some(), "--rainfall-type"),
        (options.pond_share.is_some(), "--pond-share"),
        (options.time_by.is_some(), "--time-by"),
        (options.least_time.is_some(), "--least-time"),
        (options.channel_from.is_some(), "--channel-from"),
    ];
    match idle.into_iter().find(|(given, _)| *given) {
        Some((_, option)) => Err(Failure::usage(format!(
            "{option} is for a storm: --intensity, --rain-curve or --rainfall is missing"
        ))),
        None => Ok(()),
    }
}

/// What the graphical method needs, where it is asked for.
pub(crate) fn graphical(
    rainfall_type: Option<&String>,
    pond_share: Option<&String>,
) -> Result<Option<GraphicalBasis>, Failure> {
    let ponds = maybe::<PondShare>("pond-share", pond_share)?;
    match (maybe::<RainfallType>("rainfall-type", rainfall_type)?, ponds) {
        (None, None) => Ok(None),
        (None, Some(_)) => {
            Err(Failure::usage("--pond-share is for --rainfall-type, which is missing".to_owned()))
        }
        (Some(rainfall_type), ponds) => {
            Ok(Some(GraphicalBasis { rainfall_type, pond_share: ponds.unwrap_or(PondShare::NONE) }))
        }
    }
}

/// The rain, of which only one kind may be given.
fn rain(options: &AssessOptions) -> Result<Option<Warned<Rain>>, Failure> {
    let years = maybe::<ReturnPeriod>("return-period", options.return_period.as_ref())?;
    match (&options.intensity, &options.rain_curve, &options.rainfall) {
        (None, None, None) => Ok(None),
        (Some(text), None, None) => {
            let intensity: RainIntensity = text.parse().map_err(|e| wrong("intensity", &e))?;
            if intensity.as_m_per_s() <= 0.0 {
                return Err(Failure::usage(
                    "--intensity: a storm without rain sizes nothing; give more than 0".to_owned(),
                ));
            }
            Ok(Some(Warned::clean(Rain::steady(intensity, years))))
        }
        (None, Some(text), None) => {
            let curve = text.parse().map_err(|e| wrong("rain-curve", &e))?;
            Ok(Some(Warned::clean(Rain::curve(curve, years))))
        }
        (None, None, Some(path)) => rain_of_table(path, years).map(Some),
        _ => Err(Failure::usage(
            "--intensity, --rain-curve and --rainfall say the same in three ways: give one of them"
                .to_owned(),
        )),
    }
}

/// A column of a user's table.
pub(crate) fn rain_of_table(path: &Path, years: Option<ReturnPeriod>) -> Result<Warned<Rain>, Failure> {
    let mut warnings = Vec::new();
    let table = open_rain_table(path)?.unload(&mut warnings);
    let years = years.map_or_else(|| ReturnPeriod::new(YEARS), Ok).map_err(|e| wrong("return-period", &e))?;
    let rain = Rain::table(table, years).map_err(|e| wrong("return-period", &e))?;
    Ok(Warned::new(rain, warnings))
}

/// The built-in cover table with the user's, if there is one.
pub(crate) fn cover_table(path: Option<&PathBuf>) -> Result<CoverTable, Failure> {
    let Some(path) = path else { return Ok(CoverTable::built_in()) };
    let shown = path.display().to_string();
    let text = std::fs::read_to_string(path)
        .map_err(|cause| Failure::unreadable(format!("cannot read the cover table {shown}: {cause}")))?;
    let table = CoverTable::built_in().with_user(&text, &shown);
    table.map_err(|cause| lotshed::error::Error::from(cause).into())
}

/// What the ground sheds.
pub(super) fn ground_basis(options: &AssessOptions) -> Result<GroundBasis, Failure> {
    let table = cover_table(options.cover_table.as_ref())?;
    if let Some(class) = &options.default_cover {
        table.class(class).map_err(|cause| wrong("default-cover", &cause))?;
    }
    Ok(GroundBasis {
        coefficient: maybe("coefficient", options.coefficient.as_ref())?,
        curve_number: maybe("curve-number", options.curve_number.as_ref())?,
        default_cover: options.default_cover.clone(),
        soil_group: maybe("soil-group", options.soil_group.as_ref())?,
        table,
    })
}

/// What is wrong with the text of one option.
pub(crate) fn wrong(option: &str, cause: &impl ToString) -> Failure {
    Failure::usage(format!("--{option}: {}", cause.to_string()))
}
