//! The rain that was typed.

use super::{above_zero, refuse};
use crate::args::SizeArgs;
use crate::failure::Failure;
use crate::resolve::{maybe, rain_of_table, wrong};
use lotshed::formula::intensity_curve::IntensityCurve;
use lotshed::runoff::{Rain, Source};
use lotshed::sizing::{RainQuestion, StormRain, Way};
use lotshed::units::{RainIntensity, ReturnPeriod, Time};
use lotshed::warning::Warning;

/// The rain of the peak and, from a table, that of the whole storm.
#[derive(Default)]
pub(super) struct Rains {
    pub(super) peak: Option<RainQuestion>,
    /// Of 24 hours.
    pub(super) day: Option<StormRain>,
    pub(super) years: Option<ReturnPeriod>,
    pub(super) warnings: Vec<Warning>,
}

/// Rain by how it changes with its duration.
enum Typed {
    Steady(RainIntensity),
    /// With the option that gave it.
    Falling(Rain, &'static str),
}

pub(super) fn rains(args: &SizeArgs, way: Option<Way>) -> Result<Rains, Failure> {
    let years = maybe::<ReturnPeriod>("return-period", args.return_period.as_ref())?;
    let mut found = Rains { years, ..Rains::default() };
    let typed = typed(args, &mut found)?;
    let duration = above_zero::<Time>("duration", args.duration.as_ref())?;
    found.peak = match typed {
        None => none(args, duration, way.is_some())?,
        Some(Typed::Steady(intensity)) => Some(steady(args, intensity, duration, way)?),
        Some(Typed::Falling(rain, option)) => falling(args, rain, option, duration, way)?,
    };
    Ok(found)
}

/// The rain, of which only one kind may be given.
fn typed(args: &SizeArgs, found: &mut Rains) -> Result<Option<Typed>, Failure> {
    let given: Vec<&str> = [
        (args.intensity.is_some(), "--intensity"),
        (args.rain_curve.is_some(), "--rain-curve"),
        (args.rainfall.is_some(), "--rainfall"),
    ]
    .into_iter()
    .filter_map(|(is_given, option)| is_given.then_some(option))
    .collect();
    if given.len() > 1 {
        let ways = if given.len() == 2 { "two" } else { "three" };
        return refuse(format!("{} say the same in {ways} ways: give one of them", given.join(" and ")));
    }
    if let Some(intensity) = above_zero::<RainIntensity>("intensity", args.intensity.as_ref())? {
        return Ok(Some(Typed::Steady(intensity)));
    }
    if let Some(curve) = maybe::<IntensityCurve>("rain-curve", args.rain_curve.as_ref())? {
        return Ok(Some(Typed::Falling(Rain::curve(curve, None), "--rain-curve")));
    }
    let Some(path) = &args.rainfall else { return Ok(None) };
    let rain = rain_of_table(path, found.years)?.unload(&mut found.warnings);
    found.years = rain.years();
    if args.rain_depth.is_none() {
        found.day = StormRain::of_day(&rain).map(|day| day.unload(&mut found.warnings));
    }
    Ok(Some(Typed::Falling(rain, "--rainfall")))
}

fn none(args: &SizeArgs, duration: Option<Time>, has_way: bool) -> Result<Option<RainQuestion>, Failure> {
    // The graphical method takes a day's rain and the time of concentration.
    if duration.is_some() && args.rainfall_type.is_none() {
        return refuse("--rain-curve or --rainfall is missing: --duration alone is no rain");
    }
    if has_way && args.fall.is_none() {
        return refuse(
            "--intensity, --rain-curve or --rainfall is missing: the time that water takes down --length hangs on the rain",
        );
    }
    Ok(None)
}

fn steady(
    args: &SizeArgs,
    intensity: RainIntensity,
    duration: Option<Time>,
    way: Option<Way>,
) -> Result<RainQuestion, Failure> {
    if duration.is_some() {
        return refuse(
            "--duration says nothing beside --intensity, which holds for every duration: give --rain-curve or --rainfall, or leave it out",
        );
    }
    let has_ground = args.coefficient.is_some() || args.area.is_some() || !args.cover.is_empty();
    if way.is_none() && !has_ground && args.flow.is_none() {
        return refuse(
            "--area and --coefficient, or --cover, are missing (for a flow), or --length with --fall or --slope (for a time)",
        );
    }
    Ok(RainQuestion::Steady(intensity, way))
}

fn falling(
    args: &SizeArgs,
    rain: Rain,
    option: &str,
    duration: Option<Time>,
    way: Option<Way>,
) -> Result<Option<RainQuestion>, Failure> {
    match (duration, way) {
        (Some(_), Some(_)) => {
            refuse("--duration and --length say how long the rain lasts in two ways: give one of them")
        }
        (Some(duration), None) => {
            if let (Source::Table(table), Some(years)) = (rain.source(), rain.years()) {
                table.depth(duration, years).map_err(|cause| wrong("duration", &cause))?;
            }
            Ok(Some(RainQuestion::Lasting(rain, duration)))
        }
        (None, Some(way)) => Ok(Some(RainQuestion::Down(rain, way))),
        (None, None) if is_for_the_storm_only(args) => Ok(None),
        (None, None) => {
            let volume = if args.cover.is_empty() { "" } else { " (for a volume alone: --rain-depth)" };
            refuse(format!("{option}: --duration is missing, or --length with --fall or --slope{volume}"))
        }
    }
}

/// Whether a table gives the depth of a storm and nothing else.
fn is_for_the_storm_only(args: &SizeArgs) -> bool {
    args.rainfall.is_some()
        && args.rain_depth.is_none()
        && args.curve_number.is_some()
        && args.coefficient.is_none()
}
