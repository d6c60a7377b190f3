//! `size`: from what was typed to a question without gaps, and its answer.

use crate::args::{SizeArgs, UnitsName};
use crate::failure::Failure;
use crate::render::{Voice, print, say, warnings};
use crate::resolve::{drain_grade, maybe, number};
use lotshed::formula::intensity_curve::IntensityCurve;
use lotshed::output::Units;
use lotshed::runoff::DesignBasis;
use lotshed::sizing::{self, FlowQuestion, Question, RainQuestion, Sheet, StormQuestion, Way};
use lotshed::units::{Area, CurveNumber, Flow, Grade, Length, RainIntensity, RunoffCoefficient, Time};
use std::str::FromStr;

pub(crate) fn size(args: &SizeArgs) -> Result<(), Failure> {
    let question = question(args)?;
    let sheet = sizing::size(&question).map_err(|cause| Failure::usage(cause.to_string()))?;
    if !args.quiet {
        warnings(&sheet.warnings, Voice::Normal);
        let units = match args.units {
            None | Some(UnitsName::Us) => Units::Us,
            Some(UnitsName::Si) => Units::Si,
        };
        say(&sizing::sheet_text(&sheet, units));
    }
    if args.json { print(&json(&sheet)?) } else { Ok(()) }
}

fn json(sheet: &Sheet) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(sheet)
        .map_err(|cause| Failure::internal(format!("the figures cannot be written as JSON: {cause}")))?;
    Ok(format!("{text}\n"))
}

fn refuse<T>(message: impl Into<String>) -> Result<T, Failure> {
    Err(Failure::usage(message.into()))
}

/// A quantity that must be above 0.
fn above_zero<T: FromStr + Default + PartialOrd>(
    option: &str,
    text: Option<&String>,
) -> Result<Option<T>, Failure>
where
    T::Err: ToString,
{
    match maybe::<T>(option, text)? {
        Some(value) if value <= T::default() => refuse(format!("--{option}: give more than 0")),
        value => Ok(value),
    }
}

/// What is asked; every number typed has a part in an answer, or the run is refused.
fn question(args: &SizeArgs) -> Result<Question, Failure> {
    let way = way(args)?;
    let rain = rain(args, way)?;
    let area = above_zero::<Area>("area", args.area.as_ref())?;
    let flow = flow(args, area, rain)?;
    let storm = storm(args, area)?;
    let grade = args.grade.as_ref().map(|text| drain_grade("grade", Some(text))).transpose()?;
    let slope = ground_slope(args)?;
    let least_time = number("least-time", args.least_time.as_ref(), DesignBasis::default().least_time)?;
    if least_time <= Time::ZERO {
        return refuse("--least-time: water takes some time; give more than 0");
    }
    if args.least_time.is_some() && (way.is_none() || rain.is_none()) {
        return refuse(
            "--least-time is for the time that water takes: --length with --fall or --slope, and a rain, are missing",
        );
    }
    if matches!(flow, Some(FlowQuestion::Given(_))) && grade.is_none() {
        return refuse("--flow alone sizes nothing: --grade is missing");
    }
    if rain.is_none() && flow.is_none() && storm.is_none() && grade.is_none() && slope.is_none() {
        return refuse(
            "nothing to work out: give --area, --coefficient and --intensity for a flow, --flow and --grade for a pipe, --rain-depth and --curve-number for a volume, or --slope",
        );
    }
    Ok(Question { slope, rain, least_time, flow, grade, storm })
}

fn ground_slope(args: &SizeArgs) -> Result<Option<Grade>, Failure> {
    match (&args.slope, &args.fall) {
        (Some(_), Some(_)) => {
            refuse("--slope and --fall say the same in two ways: give --length and --fall, or --slope")
        }
        (Some(_), None) => maybe("slope", args.slope.as_ref()),
        (None, None) => Ok(None),
        (None, Some(_)) => {
            let fall = above_zero::<Length>("fall", args.fall.as_ref())?;
            let length = above_zero::<Length>("length", args.length.as_ref())?;
            let Some((fall, length)) = fall.zip(length) else {
                return refuse("--length is missing: --fall is over a length");
            };
            let grade = Grade::new(fall / length);
            grade.map(Some).map_err(|cause| Failure::usage(format!("--fall by --length: {cause}")))
        }
    }
}

fn way(args: &SizeArgs) -> Result<Option<Way>, Failure> {
    let slope = ground_slope(args)?;
    match (above_zero::<Length>("length", args.length.as_ref())?, slope) {
        (Some(length), Some(grade)) => Ok(Some(Way { length, grade })),
        (Some(_), None) => refuse("--fall or --slope is missing: --length alone gives no time"),
        (None, _) => Ok(None),
    }
}

fn rain(args: &SizeArgs, way: Option<Way>) -> Result<Option<RainQuestion>, Failure> {
    let intensity = above_zero::<RainIntensity>("intensity", args.intensity.as_ref())?;
    let curve = maybe::<IntensityCurve>("rain-curve", args.rain_curve.as_ref())?;
    let duration = above_zero::<Time>("duration", args.duration.as_ref())?;
    match (intensity, curve, duration, way) {
        (Some(_), Some(_), _, _) => {
            refuse("--intensity and --rain-curve say the same in two ways: give one of them")
        }
        (Some(_), None, Some(_), _) => refuse(
            "--duration says nothing beside --intensity, which holds for every duration: give --rain-curve, or leave it out",
        ),
        (None, Some(_), Some(_), Some(_)) => {
            refuse("--duration and --length say how long the rain lasts in two ways: give one of them")
        }
        (None, Some(_), None, None) => {
            refuse("--rain-curve: --duration is missing, or --length with --fall or --slope")
        }
        (None, None, Some(_), _) => refuse("--rain-curve is missing: --duration alone is no rain"),
        (None, None, None, Some(_)) if args.fall.is_none() => refuse(
            "--intensity or --rain-curve is missing: the time that water takes down --length hangs on the rain",
        ),
        (None, None, None, _) => Ok(None),
        (Some(_), None, None, None)
            if args.coefficient.is_none() && args.area.is_none() && args.flow.is_none() =>
        {
            refuse(
                "--area and --coefficient are missing (for a flow), or --length with --fall or --slope (for a time)",
            )
        }
        (Some(intensity), None, None, way) => Ok(Some(RainQuestion::Steady(intensity, way))),
        (None, Some(curve), Some(duration), None) => Ok(Some(RainQuestion::Lasting(curve, duration))),
        (None, Some(curve), None, Some(way)) => Ok(Some(RainQuestion::Down(curve, way))),
    }
}

fn flow(
    args: &SizeArgs,
    area: Option<Area>,
    rain: Option<RainQuestion>,
) -> Result<Option<FlowQuestion>, Failure> {
    let flow = above_zero::<Flow>("flow", args.flow.as_ref())?;
    let coefficient = maybe::<RunoffCoefficient>("coefficient", args.coefficient.as_ref())?;
    match (flow, coefficient, area) {
        (Some(_), Some(_), _) => {
            refuse("--flow and --coefficient say the flow in two ways: give one of them")
        }
        (Some(_), None, _) if args.intensity.is_some() || args.rain_curve.is_some() => {
            refuse("--flow and a rain say the flow in two ways: give one of them")
        }
        (Some(_), None, Some(_)) if args.curve_number.is_none() => refuse(
            "--area has no use beside --flow: give one of them, or --rain-depth and --curve-number for a volume",
        ),
        (Some(flow), None, _) => Ok(Some(FlowQuestion::Given(flow))),
        (None, Some(_), None) => refuse("--area is missing: --coefficient is of an area"),
        (None, Some(_), Some(_)) if rain.is_none() => {
            refuse("--intensity or --rain-curve is missing: without rain no flow")
        }
        (None, Some(coefficient), Some(area)) => Ok(Some(FlowQuestion::Rational(coefficient, area))),
        (None, None, Some(_)) if rain.is_some() => {
            refuse("--coefficient is missing: how much of the rain runs off")
        }
        (None, None, Some(_)) if args.curve_number.is_none() => refuse(
            "--coefficient and --intensity are missing (for a flow), or --curve-number and --rain-depth (for a volume)",
        ),
        (None, None, _) => Ok(None),
    }
}

fn storm(args: &SizeArgs, area: Option<Area>) -> Result<Option<StormQuestion>, Failure> {
    let rain = above_zero::<Length>("rain-depth", args.rain_depth.as_ref())?;
    let number = maybe::<CurveNumber>("curve-number", args.curve_number.as_ref())?;
    match (rain, number) {
        (None, None) => Ok(None),
        (Some(rain), Some(number)) => Ok(Some(StormQuestion { rain, number, area })),
        (Some(_), None) => refuse("--curve-number is missing: how much of --rain-depth runs off"),
        (None, Some(_)) => refuse("--rain-depth is missing: --curve-number is for the runoff of a storm"),
    }
}
