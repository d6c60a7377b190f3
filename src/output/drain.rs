//! The drain of a part as `summary.json` gives it: the arrangements side by side.

use super::drain_words::{against_words, needs, section_words, tie_in_words};
use super::said::Said;
use super::storms::Storms;
use crate::interceptor::LinePart;
use crate::interceptor::drain::{
    Against, Arrangement, Basin, Costed, DrainOption, Held, Intake, RULE, ReachPlace, ReachVerdict,
    SizedReach, SwaleWay, ThinStretch,
};
use crate::interceptor::materials::Stone;
use crate::interceptor::quantities::take_off;
use crate::interceptor::swale::SwaleSizing;
use crate::interceptor::trench::PipeCount;
use crate::pipeline::{AsNamed, Assessment, PartDrain};
use crate::units::{Flow, Length, Velocity, Volume};
use serde::Serialize;

/// The drain of one part.
#[derive(Debug, Clone, Serialize)]
pub struct Drain {
    /// The arrangement that is built: the one named, else recommended.
    pub arrangement: Option<Arrangement>,
    /// The recommended one; nothing where none can be built.
    pub recommended: Option<Arrangement>,
    /// The rule by which it is recommended.
    pub rule: &'static str,
    /// Those that can be worked out.
    pub options: Vec<Choice>,
    /// The others, with what they lack.
    pub not_possible: Vec<LackingRow>,
    /// Currency of the prices; in the file it stands with the bill.
    #[serde(skip)]
    pub currency: Option<String>,
    /// Where the pipe of the one that is built has less ground over it than asked for.
    pub thin_cover: Vec<ThinRow>,
    /// All of them in other storms.
    pub storms: Option<Storms>,
}

/// An arrangement that can't be worked out.
#[derive(Debug, Clone, Serialize)]
pub struct LackingRow {
    /// Which.
    pub arrangement: Arrangement,
    /// What it lacks.
    pub why: String,
}

/// A stretch of pipe with less ground over it than asked for.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ThinRow {
    /// Upper end, down the way.
    pub from_m: f64,
    /// Lower end.
    pub to_m: f64,
    /// Where least ground is over it.
    pub station_m: f64,
    /// How much; below 0 where it stands out.
    pub cover_m: f64,
    /// Whether that is below the part's own swale, under which its lead runs back.
    pub under_own_swale: bool,
}

/// What an arrangement would do where it is named for all parts.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct NamedRow {
    /// Share of the part's flow that it would keep off the lot.
    pub share: f64,
    /// Whether it could be built.
    pub can_be_built: bool,
    /// What would be dug for it; nothing where it couldn't be built.
    pub dug_m3: Option<f64>,
    /// Its price then, where the price list prices every item.
    pub price: Option<f64>,
    /// What isn't as in its row.
    #[serde(skip)]
    pub differs: NamedDiffers,
}

/// In what an arrangement does otherwise where it is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NamedDiffers {
    /// In the share that it keeps, or in whether it can be built.
    pub share: bool,
    /// In what is dug.
    pub dug: bool,
    /// In its price.
    pub price: bool,
}

impl NamedRow {
    /// Nothing where it is told beside it already.
    fn of(named: Option<AsNamed>, costed: &Costed) -> Option<Self> {
        let AsNamed { share, is_built, dug, price } = named?;
        let option = &costed.option;
        let other = |a: Option<f64>, b: Option<f64>, told: f64| match a.zip(b) {
            Some((a, b)) => (a - b).abs() > told,
            None => a.is_some() != b.is_some(),
        };
        let cubic = |dug: Option<Volume>| dug.map(Volume::as_m3);
        let differs = NamedDiffers {
            share: (share - option.share()).abs() > TOLD || is_built != option.built.is_ok(),
            dug: other(cubic(dug), cubic(costed.dug()), DUG_TOLD_M3),
            price: other(price, costed.price, PRICE_TOLD),
        };
        let is_told = differs.share || differs.dug || differs.price;
        is_told.then_some(Self { share, can_be_built: is_built, dug_m3: cubic(dug), price, differs })
    }
}

/// Shares that differ by no more are told as one: they are printed to a tenth of a percent.
const TOLD: f64 = 5e-4;

/// Diggings that differ by no more are told as one, m³: they are printed to a tenth.
const DUG_TOLD_M3: f64 = 0.05;

/// The same of prices, in the unit of the price list: they are printed to one.
const PRICE_TOLD: f64 = 0.5;

/// One way to build a part.
#[derive(Debug, Clone, Serialize)]
pub struct Choice {
    /// Which.
    pub arrangement: Arrangement,
    /// Pipes and trench in words.
    pub section: Said,
    /// Whether it keeps the whole flow off the lot.
    pub carries: bool,
    /// Share of the flow that it keeps off the lot.
    pub share: f64,
    /// The same by the upper end of what gets in.
    #[serde(skip)]
    pub share_most: f64,
    /// Share that gets in, by the lower and the upper end of what is published.
    pub taken_share: [f64; 2],
    /// Share that its pipes carry.
    pub carried_share: f64,
    /// Flow of the part at which the first of its pipes, or the swale, is full.
    pub capacity_m3_s: f64,
    /// Velocities that its pipes were held against.
    pub velocity_limits: Limits,
    /// Pipes from the head.
    pub reaches: Vec<ReachRow>,
    /// The pipe that leaves.
    pub outlet_reach: Option<ReachRow>,
    /// How it is tied in.
    pub tie_in: Option<Said>,
    /// Whether the water gets into the trench.
    pub intake: Option<IntakeRow>,
    /// The swale.
    pub swale: Option<SwaleRow>,
    /// Basins along the part.
    pub basins: Vec<BasinRow>,
    /// Grates at the end of a swale.
    pub end_grates: u32,
    /// What keeps it from keeping all.
    pub limited_by: Option<Held>,
    /// Where its stone ends down the way, where that is before the part does.
    pub stone_ends_m: Option<f64>,
    /// What must be added, or given up, for it to carry all.
    pub needs: Vec<Said>,
    /// What it would do, and take, where it is named for all parts, on ways laid for its pipes; nothing where
    /// that is the same.
    pub as_named: Option<NamedRow>,
    /// Why it isn't recommended though it can be built; nothing of the recommended one.
    pub not_recommended: Option<Said>,
    /// The same: on the screen it stands where the figures don't say it.
    #[serde(skip)]
    pub against: Option<Against>,
    /// Where its pipes lack cover; nothing where they keep it.
    pub cover_short: Option<CoverRow>,
    /// Why it can't be built.
    pub not_built: Option<String>,
    /// What is dug for it.
    pub dug_m3: Option<f64>,
    /// Its stone.
    pub stone_m3: Option<f64>,
    /// Water that the voids of its stone hold, those below the pipe with the rest.
    pub stone_voids_m3: Option<f64>,
    /// Flow in the full stone where it is least, by the lower and the upper end of what is published.
    pub stone_flow_m3_s: Option<[f64; 2]>,
    /// Its price, where the price list prices every item.
    pub price: Option<f64>,
}

/// The place at which most ground is missing over the pipes.
#[derive(Debug, Clone, Copy, Serialize)]
#[expect(clippy::struct_field_names, reason = "serialised names carry the unit")]
pub struct CoverRow {
    /// Station down the way.
    pub station_m: f64,
    /// Ground over the pipe.
    pub cover_m: f64,
    /// What is missing.
    pub short_m: f64,
}

/// Velocities.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Limits {
    /// At the least, just full.
    pub least_m_s: f64,
    /// At the most in the storm.
    pub most_m_s: f64,
}

/// A pipe of one grade.
#[derive(Debug, Clone, Serialize)]
pub struct ReachRow {
    /// Along the part or on the lead.
    pub place: &'static str,
    /// Upper end down the way.
    pub from_m: f64,
    /// Lower end.
    pub to_m: f64,
    /// Invert at the upper end.
    pub from_invert_m: f64,
    /// Invert at the lower end.
    pub to_invert_m: f64,
    /// Its grade.
    pub grade: f64,
    /// Flow at its lower end.
    pub flow_m3_s: f64,
    /// The pipe's name in catalogue and price lists.
    pub pipe: String,
    /// How many lie side by side.
    pub pipes: u32,
    /// Inside diameter.
    pub inside_m: f64,
    /// Manning's roughness that it is reckoned with.
    pub manning_n: f64,
    /// Flow of all of them just full.
    pub capacity_m3_s: f64,
    /// Velocity just full.
    pub full_velocity_m_s: f64,
    /// Greatest velocity in the storm.
    pub velocity_m_s: f64,
    /// Whether it serves.
    pub verdict: ReachVerdict,
}

/// What arrives at a metre of line, and what that takes.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct IntakeRow {
    /// Width of the trench at the ground.
    pub width_m: f64,
    /// Greatest flow that comes to a metre.
    pub arrives_most_m3_s: f64,
    /// Mean flow that comes to a metre.
    pub arrives_mean_m3_s: f64,
    /// What a metre of its surface takes, lower and upper end.
    pub takes_m3_s: [f64; 2],
    /// What the holes along a metre let in.
    pub holes_m3_s: f64,
    /// Share that gets in when silt and leaves have clogged the top, where that is known of it.
    pub clogged_share: Option<f64>,
    /// Share that stone up to the surface of the same trench would take, by the lower end.
    pub bare_stone_share: f64,
    /// Width of bare stone that would take the greatest.
    pub bare_stone_width_m: f64,
}

/// A swale.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct SwaleRow {
    /// Its water.
    #[serde(flatten)]
    pub sizing: SwaleSizing,
    /// Flow that it carries by all rules.
    pub capacity_m3_s: f64,
    /// Depth of the shaped V.
    pub shaped_depth_m: f64,
    /// Its width.
    pub shaped_width_m: f64,
    /// Where it is deepest below the ground.
    pub deepest_station_m: f64,
    /// Its depth there.
    pub deepest_depth_m: f64,
    /// Its width there, the greatest.
    pub deepest_width_m: f64,
    /// How far the ground dips below its end.
    pub dip_m: Option<f64>,
}

/// A basin.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct BasinRow {
    /// Station down the way.
    pub station_m: f64,
    /// What comes to it.
    pub arrives_m3_s: f64,
    /// What it takes.
    pub takes_m3_s: f64,
}

impl Drain {
    pub(super) fn of(assessment: &Assessment<'_>, part: &LinePart, drain: &PartDrain) -> Self {
        let settings = &assessment.settings.drain;
        let stone = settings.materials.stone(&settings.stone).ok();
        let name = |place: Option<usize>| place.map(|place| drain.options[place].option.arrangement);
        Self {
            arrangement: name(drain.chosen),
            recommended: name(drain.recommended),
            rule: RULE,
            options: drain
                .options
                .iter()
                .zip(drain.against.iter().zip(&drain.as_named))
                .map(|(costed, beside)| Choice::of(part, costed, beside, (&drain.options, stone)))
                .collect(),
            not_possible: (drain.lacking.iter())
                .map(|&(arrangement, lacks)| LackingRow { arrangement, why: lacks.to_string() })
                .collect(),
            currency: assessment.drains.bill.as_ref().and_then(|bill| bill.currency.clone()),
            thin_cover: drain.thin_stretches.iter().map(ThinRow::of).collect(),
            storms: Storms::of(assessment, part.id - 1, drain),
        }
    }

    /// The arrangement that is built.
    pub(super) fn chosen(&self) -> Option<&Choice> {
        self.options.iter().find(|choice| Some(choice.arrangement) == self.arrangement)
    }
}

impl Choice {
    fn of(
        part: &LinePart,
        costed: &Costed,
        (&against, &as_named): (&Option<Against>, &Option<AsNamed>),
        (all, stone): (&[Costed], Option<&Stone>),
    ) -> Self {
        let option = &costed.option;
        let reaches: Vec<ReachRow> = option.reaches.iter().map(ReachRow::of).collect();
        let built = option.built.as_ref();
        let line = built.ok().and_then(|built| built.line.as_ref());
        Self {
            arrangement: option.arrangement,
            section: Said::of(|units| section_words(option, units)),
            carries: option.carries(),
            share: option.share(),
            share_most: option.kept_shares[1],
            taken_share: option.taken_shares,
            carried_share: option.carried_share(),
            capacity_m3_s: option.capacity().as_m3_per_s(),
            velocity_limits: Limits {
                least_m_s: option.limits.least.as_m_per_s(),
                most_m_s: option.limits.most.as_m_per_s(),
            },
            outlet_reach: reaches.last().cloned(),
            reaches,
            tie_in: Said::if_any(|units| tie_in_words(option, units)),
            intake: option.intake.as_ref().map(IntakeRow::of),
            swale: option.swale.as_ref().map(SwaleRow::of),
            basins: option.basins.iter().map(BasinRow::of).collect(),
            end_grates: option.end_grates,
            limited_by: option.held_by(),
            stone_ends_m: option.stone_ends.map(|end| end.at.as_m()),
            needs: Said::all_of(|units| needs(part, option, all, units)),
            as_named: NamedRow::of(as_named, costed),
            against,
            not_recommended: against
                .map(|against| Said::of(|units| against_words(against, part.setback, units))),
            cover_short: option.thin.map(|thin| CoverRow {
                station_m: thin.station.as_m(),
                cover_m: thin.over.as_m(),
                short_m: thin.short.as_m(),
            }),
            not_built: built.err().map(ToString::to_string),
            dug_m3: costed.dug().map(Volume::as_m3),
            stone_m3: built.ok().map(|_| line.map_or(0.0, |line| take_off(line).stone.as_m3())),
            stone_voids_m3: stone.and_then(|stone| option.stone_voids(stone)).map(Volume::as_m3),
            stone_flow_m3_s: stone
                .and_then(|stone| option.stone_flow(stone))
                .map(|flow| flow.map(Flow::as_m3_per_s)),
            price: costed.price,
        }
    }
}

impl ThinRow {
    fn of(thin: &ThinStretch) -> Self {
        Self {
            from_m: thin.from.as_m(),
            to_m: thin.to.as_m(),
            station_m: thin.station.as_m(),
            cover_m: thin.over.as_m(),
            under_own_swale: thin.under_swale,
        }
    }
}

impl ReachRow {
    fn of(sized: &SizedReach) -> Self {
        let reach = &sized.reach;
        Self {
            place: match reach.place {
                ReachPlace::Line => "line",
                ReachPlace::Lead => "lead",
            },
            from_m: reach.from_m,
            to_m: reach.to_m,
            from_invert_m: reach.from_invert_m,
            to_invert_m: reach.to_invert_m,
            grade: reach.grade.get(),
            flow_m3_s: reach.flow.as_m3_per_s(),
            pipe: sized.pipe.key(),
            pipes: PipeCount::count(sized.pipes),
            inside_m: sized.pipe.inside().as_m(),
            manning_n: sized.n.get(),
            capacity_m3_s: Flow::as_m3_per_s(sized.capacity),
            full_velocity_m_s: Velocity::as_m_per_s(sized.full_velocity),
            velocity_m_s: Velocity::as_m_per_s(sized.velocity),
            verdict: sized.verdict,
        }
    }
}

impl IntakeRow {
    fn of(intake: &Intake) -> Self {
        Self {
            width_m: intake.width.as_m(),
            arrives_most_m3_s: intake.arrives_most.as_m3_per_s(),
            arrives_mean_m3_s: intake.arrives_mean.as_m3_per_s(),
            takes_m3_s: intake.takes.map(Flow::as_m3_per_s),
            holes_m3_s: intake.holes.as_m3_per_s(),
            clogged_share: intake.clogged_share,
            bare_stone_share: intake.bare_share,
            bare_stone_width_m: intake.stone_width.as_m(),
        }
    }
}

impl SwaleRow {
    fn of(swale: &SwaleWay) -> Self {
        let deepest = swale.bed.deepest();
        Self {
            sizing: swale.sizing,
            capacity_m3_s: swale.capacity.as_m3_per_s(),
            shaped_depth_m: swale.bed.shaped().as_m(),
            shaped_width_m: swale.bed.shaped_width().as_m(),
            deepest_station_m: deepest.station.as_m(),
            deepest_depth_m: deepest.depth.as_m(),
            deepest_width_m: deepest.width.as_m(),
            dip_m: swale.dip.map(Length::as_m),
        }
    }
}

impl BasinRow {
    fn of(basin: &Basin) -> Self {
        Self {
            station_m: basin.station_m,
            arrives_m3_s: basin.arrives.as_m3_per_s(),
            takes_m3_s: basin.takes.as_m3_per_s(),
        }
    }
}

/// The grade that a part's drain is told by: the flattest of its reaches.
pub(super) fn flattest(option: &DrainOption) -> Option<f64> {
    option.reaches.iter().map(|sized| sized.reach.grade.get()).reduce(f64::min)
}
