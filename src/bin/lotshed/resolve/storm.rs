//! The design storm from what was typed.

use super::{maybe, number};
use crate::args::{AssessOptions, TimeName};
use crate::failure::Failure;
use lotshed::formula::graphical_peak::RainfallType;
use lotshed::input::open_rain_table;
use lotshed::runoff::{ChannelFlow, CoverTable, DesignBasis, GraphicalBasis, GroundBasis, Rain, TimeMethod};
use lotshed::units::{Area, PondShare, RainIntensity, ReturnPeriod};
use lotshed::warning::Warned;

/// Years of the design storm where a table has them and nothing was typed.
const YEARS: f64 = 10.0;

/// Everything that flows rest on but the ground.
pub(super) fn design_basis(options: &AssessOptions) -> Result<Warned<DesignBasis>, Failure> {
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
        graphical: graphical(options)?,
        channel: maybe::<Area>("channel-from", options.channel_from.as_ref())?.map(ChannelFlow::usual),
    };
    if basis.least_time.as_s() <= 0.0 {
        return Err(Failure::usage("--least-time: water takes some time; give more than 0".to_owned()));
    }
    Ok(Warned::new(basis, warnings))
}

/// The second opinion on the peak.
fn graphical(options: &AssessOptions) -> Result<Option<GraphicalBasis>, Failure> {
    let ponds = maybe::<PondShare>("pond-share", options.pond_share.as_ref())?;
    match (maybe::<RainfallType>("rainfall-type", options.rainfall_type.as_ref())?, ponds) {
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
        (None, None, Some(path)) => {
            let mut warnings = Vec::new();
            let table = open_rain_table(path)?.unload(&mut warnings);
            let years =
                years.map_or_else(|| ReturnPeriod::new(YEARS), Ok).map_err(|e| wrong("return-period", &e))?;
            let rain = Rain::table(table, years).map_err(|e| wrong("return-period", &e))?;
            Ok(Some(Warned::new(rain, warnings)))
        }
        _ => Err(Failure::usage(
            "--intensity, --rain-curve and --rainfall say the same in three ways: give one of them"
                .to_owned(),
        )),
    }
}

/// What the ground sheds.
pub(super) fn ground_basis(options: &AssessOptions) -> Result<GroundBasis, Failure> {
    let mut table = CoverTable::built_in();
    if let Some(path) = &options.cover_table {
        let shown = path.display().to_string();
        let text = std::fs::read_to_string(path)
            .map_err(|cause| Failure::unreadable(format!("cannot read the cover table {shown}: {cause}")))?;
        table = table.with_user(&text, &shown).map_err(lotshed::error::Error::from)?;
    }
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

fn wrong(option: &str, cause: &impl ToString) -> Failure {
    Failure::usage(format!("--{option}: {}", cause.to_string()))
}
