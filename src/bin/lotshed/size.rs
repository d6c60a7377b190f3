//! `size`: from what was typed to a question without gaps, and its answer.

mod ground;
mod rain;

use crate::args::{SizeArgs, TablesForm, UnitsName};
use crate::failure::Failure;
use crate::render::{Voice, print, say, warnings};
use crate::resolve::{cover_table, drain_grade, graphical, maybe, number};
use ground::Covers;
use lotshed::interceptor::catalogue::Catalogue;
use lotshed::interceptor::materials::Materials;
use lotshed::output::Units;
use lotshed::runoff::{CoverTable, DesignBasis};
use lotshed::sizing::{
    self, FlowQuestion, GraphicalQuestion, Question, RainQuestion, Sheet, StormGround, StormQuestion,
    StormRain, Way, WayGround,
};
use lotshed::units::{Area, CurveNumber, Flow, Grade, Length, ReturnPeriod, RunoffCoefficient, Time};
use lotshed::warning::{Warned, Warning};
use rain::Rains;
use std::str::FromStr;

pub(crate) fn size(args: &SizeArgs) -> Result<(), Failure> {
    if let Some(form) = args.tables {
        return tables(args, form);
    }
    let mut found = Vec::new();
    let question = question(args)?.unload(&mut found);
    let mut sheet = sizing::size(&question).map_err(|cause| Failure::usage(cause.to_string()))?;
    sheet.warn_first(found);
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

/// The cover table, the user's in it.
fn tables(args: &SizeArgs, form: TablesForm) -> Result<(), Failure> {
    let alone =
        SizeArgs { tables: args.tables, cover_table: args.cover_table.clone(), ..SizeArgs::default() };
    if *args != alone {
        return refuse(
            "--tables prints a table and nothing else: leave the other options out, but for --cover-table",
        );
    }
    match (form, &args.cover_table) {
        (TablesForm::Text, file) => print(&cover_table(file.as_ref())?.print()),
        (TablesForm::Toml, None) => print(CoverTable::built_in_text()),
        (TablesForm::Catalogue, None) => print(Catalogue::ordinary_text()),
        (TablesForm::Materials, None) => print(Materials::built_in_text()),
        (TablesForm::Toml | TablesForm::Catalogue | TablesForm::Materials, Some(_)) => {
            refuse("--tables toml, catalogue and materials print a built-in file: leave --cover-table out")
        }
    }
}

fn json(sheet: &Sheet) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(sheet)
        .map_err(|cause| Failure::internal(format!("the figures cannot be written as JSON: {cause}")))?;
    Ok(format!("{text}\n"))
}

fn usage(message: impl Into<String>) -> Failure {
    Failure::usage(message.into())
}

fn refuse<T>(message: impl Into<String>) -> Result<T, Failure> {
    Err(usage(message))
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

/// Refuses a bare number: a pad on the tailgate is in feet, and elsewhere bare numbers are metres.
pub(crate) fn needs_unit(option: &str, text: Option<&String>, example: &str) -> Result<(), Failure> {
    let is_bare = |text: &&str| !text.contains(|c: char| c.is_ascii_alphabetic() || "'\"".contains(c));
    match text.map(|text| text.trim()).filter(is_bare) {
        Some(bare) => refuse(format!("--{option}: {bare} has no unit; write it as {example}")),
        None => Ok(()),
    }
}

/// What is asked; every number typed has a part in an answer, or the run is refused.
fn question(args: &SizeArgs) -> Result<Warned<Question>, Failure> {
    needs_unit("area", args.area.as_ref(), "8600ft2 or 800m2")?;
    needs_unit("length", args.length.as_ref(), "150ft or 45m")?;
    needs_unit("fall", args.fall.as_ref(), "3ft or 0.9m")?;
    needs_unit("rain-depth", args.rain_depth.as_ref(), "4.5in or 115mm")?;
    let slope = ground_slope(args)?;
    let covers = ground::covers(args, slope)?;
    let way = way(args, slope, covers.as_ref())?;
    let has_way = way.is_some();
    let Rains { peak: rain, day, years, mut warnings } = rain::rains(args, way)?;
    let area = above_zero::<Area>("area", args.area.as_ref())?;
    let flow = flow(args, area, covers.as_ref(), Weather { has_peak: rain.is_some(), years })?;
    let storm = storm(args, area, covers.as_ref(), day)?.unload(&mut warnings);
    let least_time = least_time(args, has_way && rain.is_some())?;
    let graphical = graphical_question(args, storm.as_ref(), rain.as_ref())?;
    let grade = args.grade.as_ref().map(|text| drain_grade("grade", Some(text))).transpose()?;
    let by_covers = matches!(flow, Some(FlowQuestion::Covers(..)));
    if let Some(covers) = &covers {
        covers.check_soil(by_covers, storm.is_some())?;
    }
    if args.return_period.is_some() && args.rainfall.is_none() && !by_covers {
        return refuse(
            "--return-period has no use: it is for the column of --rainfall and for the coefficients of --cover; a --coefficient stays as typed, and curve numbers hold for every storm",
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
    Ok(Warned::new(Question { slope, rain, least_time, flow, grade, storm, graphical }, warnings))
}

/// The storm's peak by the graphical method.
fn graphical_question(
    args: &SizeArgs,
    storm: Option<&StormQuestion>,
    rain: Option<&RainQuestion>,
) -> Result<Option<GraphicalQuestion>, Failure> {
    let basis = graphical(args.rainfall_type.as_ref(), args.pond_share.as_ref())?;
    let Some(basis) = basis else { return Ok(None) };
    let has_ground = storm.is_some_and(|storm| !matches!(storm.ground, StormGround::Number(_, None)));
    if !has_ground {
        return refuse(
            "--rainfall-type is for the peak of a storm: --rain-depth is missing, or --curve-number with --area, or --cover",
        );
    }
    let time = above_zero::<Time>("duration", args.duration.as_ref())?;
    let way_takes_time = matches!(rain, Some(RainQuestion::Steady(_, Some(_)) | RainQuestion::Down(..)));
    if time.is_none() && !way_takes_time {
        return refuse(
            "--rainfall-type: the time of concentration is missing: --duration, or --length with --fall or --slope and a rain",
        );
    }
    Ok(Some(GraphicalQuestion { basis, time }))
}

fn least_time(args: &SizeArgs, has_time: bool) -> Result<Time, Failure> {
    let least = number("least-time", args.least_time.as_ref(), DesignBasis::default().least_time)?;
    if least <= Time::ZERO {
        return refuse("--least-time: water takes some time; give more than 0");
    }
    if args.least_time.is_some() && !has_time {
        return refuse(
            "--least-time is for the time that water takes: --length with --fall or --slope, and a rain, are missing",
        );
    }
    Ok(least)
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

fn way(args: &SizeArgs, slope: Option<Grade>, covers: Option<&Covers>) -> Result<Option<Way>, Failure> {
    match (above_zero::<Length>("length", args.length.as_ref())?, slope) {
        (Some(length), Some(grade)) => {
            let over = covers.map_or_else(WayGround::lawn, Covers::way_ground);
            Ok(Some(Way { length, grade, over }))
        }
        (Some(_), None) => refuse("--fall or --slope is missing: --length alone gives no time"),
        (None, _) => Ok(None),
    }
}

/// What a flow must know of the rain.
#[derive(Clone, Copy)]
struct Weather {
    has_peak: bool,
    years: Option<ReturnPeriod>,
}

fn flow(
    args: &SizeArgs,
    area: Option<Area>,
    covers: Option<&Covers>,
    weather: Weather,
) -> Result<Option<FlowQuestion>, Failure> {
    let flow = above_zero::<Flow>("flow", args.flow.as_ref())?;
    let coefficient = maybe::<RunoffCoefficient>("coefficient", args.coefficient.as_ref())?;
    match (flow, covers) {
        (Some(_), _) if coefficient.is_some() => {
            refuse("--flow and --coefficient say the flow in two ways: give one of them")
        }
        (Some(_), _) if weather.has_peak => {
            refuse("--flow and a rain say the flow in two ways: give one of them")
        }
        (Some(_), Some(_)) if args.rain_depth.is_none() => {
            refuse("--cover has no use beside --flow: give one of them, or --rain-depth for a volume")
        }
        (Some(_), None) if area.is_some() && args.curve_number.is_none() => refuse(
            "--area has no use beside --flow: give one of them, or --rain-depth and --curve-number for a volume",
        ),
        (Some(flow), _) => Ok(Some(FlowQuestion::Given(flow))),
        (None, Some(covers)) => flow_of_covers(args, covers, weather),
        (None, None) => rational(args, coefficient, area, weather.has_peak),
    }
}

fn flow_of_covers(
    args: &SizeArgs,
    covers: &Covers,
    weather: Weather,
) -> Result<Option<FlowQuestion>, Failure> {
    match (weather.has_peak, &args.rain_depth) {
        (true, _) => Ok(Some(FlowQuestion::Covers(covers.coefficients()?, weather.years))),
        (false, Some(_)) => Ok(None),
        (false, None) => refuse(
            "--intensity, --rain-curve or --rainfall is missing (for the flow of --cover), or --rain-depth (for its volume)",
        ),
    }
}

fn rational(
    args: &SizeArgs,
    coefficient: Option<RunoffCoefficient>,
    area: Option<Area>,
    has_rain: bool,
) -> Result<Option<FlowQuestion>, Failure> {
    match (coefficient, area) {
        (Some(_), None) => refuse("--area is missing: --coefficient is of an area"),
        (Some(_), Some(_)) if !has_rain => {
            refuse("--intensity, --rain-curve or --rainfall is missing: without rain no flow")
        }
        (Some(coefficient), Some(area)) => Ok(Some(FlowQuestion::Rational(coefficient, area))),
        (None, Some(_)) if has_rain => {
            refuse("--coefficient is missing: how much of the rain runs off; or --cover in place of both")
        }
        (None, Some(_)) if args.curve_number.is_none() => refuse(
            "--coefficient and --intensity are missing (for a flow), or --curve-number and --rain-depth (for a volume)",
        ),
        (None, _) => Ok(None),
    }
}

/// The whole storm; its rain is typed, or that of a table.
fn storm(
    args: &SizeArgs,
    area: Option<Area>,
    covers: Option<&Covers>,
    day: Option<StormRain>,
) -> Result<Warned<Option<StormQuestion>>, Failure> {
    let typed = above_zero::<Length>("rain-depth", args.rain_depth.as_ref())?.map(StormRain::given);
    let number = maybe::<CurveNumber>("curve-number", args.curve_number.as_ref())?;
    let question = |rain, ground| Ok(Warned::clean(Some(StormQuestion { rain, ground })));
    match (typed, number, covers, day) {
        (Some(rain), None, Some(covers), _) => question(rain, StormGround::Covers(covers.curve_numbers()?)),
        (None, None, Some(covers), Some(day)) => Ok(if_known(day, covers)),
        (Some(rain), Some(number), _, _) | (None, Some(number), _, Some(rain)) => {
            question(rain, StormGround::Number(number, area))
        }
        (Some(_), None, None, _) => {
            refuse("--curve-number or --cover is missing: how much of --rain-depth runs off")
        }
        (None, Some(_), _, None) if args.rainfall.is_some() => refuse(
            "--rain-depth is missing: the rainfall table has no 24-hour rain, and --curve-number is for the runoff of a storm",
        ),
        (None, Some(_), _, None) => {
            refuse("--rain-depth is missing: --curve-number is for the runoff of a storm")
        }
        (None, None, _, _) => Ok(Warned::clean(None)),
    }
}

/// The volume of a table's 24-hour rain, which nobody asked for by itself: where a figure is missing it is left out.
fn if_known(rain: StormRain, covers: &Covers) -> Warned<Option<StormQuestion>> {
    match covers.curve_numbers() {
        Ok(numbers) => Warned::clean(Some(StormQuestion { rain, ground: StormGround::Covers(numbers) })),
        Err(cause) => {
            let warning = Warning::new(
                "volume-left-out",
                format!("no runoff volume of the 24-hour rain: {}", cause.message),
                "the peak does not hang on it",
            );
            Warned::new(None, vec![warning])
        }
    }
}
