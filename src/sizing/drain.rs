//! Pipes and swale at a grade.

use super::{Figure, Sheet, SizingError, Value, Worked};
use crate::formula::circular_pipe::{full_flow, full_velocity};
use crate::interceptor::catalogue::{Catalogue, PipeWall};
use crate::interceptor::pipe::{PipeSizing, RatedPipe, smallest_pipe_of};
use crate::interceptor::swale::{SwaleRules, SwaleSizing, size_swale};
use crate::output::words::pipe_name;
use crate::units::{Flow, Grade, ManningN};
use crate::warning::Warning;
use serde::Serialize;

/// Where Manning's equation is from.
const MANNING: &str =
    "FHWA, Hydraulic Design Series 2, 2nd edition (2002), example 2.3; foot's constant 3.28084^(1/3)";

/// Manning's constant in feet.
const FOOT_CONSTANT: f64 = 1.4859;

/// One pipe of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PipeRow {
    /// The pipe with what it carries just full.
    #[serde(flatten)]
    pub pipe: RatedPipe,
    /// Whether that is at least the flow; nothing without one.
    pub carries_the_flow: Option<bool>,
    /// Roughness of the same pipe without holes, as a lead to an outlet is sized with.
    pub solid_n: ManningN,
    /// What it carries so, just full.
    #[serde(rename = "solid_capacity_m3_s")]
    pub solid_capacity: Flow,
}

/// Pipes and swale.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drain {
    /// Grade that it is laid at.
    pub grade: Grade,
    /// Flow to be carried, if known.
    #[serde(rename = "flow_m3_s")]
    pub flow: Option<Flow>,
    /// Smallest smooth pipe that carries it.
    pub smooth_pipe: Option<PipeSizing>,
    /// Smallest corrugated pipe that does.
    pub corrugated_pipe: Option<PipeSizing>,
    /// Every pipe, smallest first.
    pub pipes: Vec<PipeRow>,
    /// The swale on ground of that grade.
    pub swale: Option<SwaleSizing>,
}

/// Sizes a drain.
pub(super) fn drain(sheet: &mut Sheet, flow: Option<Flow>, grade: Grade) -> Result<Drain, SizingError> {
    let catalogue = Catalogue::ordinary()?;
    sheet.figures.push(Figure::plain("grade of the drain", Value::Grade(grade)));
    if let Some(flow) = flow {
        sheet.figures.push(Figure::plain("flow to be carried", Value::Flow(flow)));
    }
    let smallest = |wall| flow.and_then(|flow| smallest_pipe_of(wall, flow, grade, &catalogue));
    let (smooth_pipe, corrugated_pipe) = (smallest(PipeWall::Smooth), smallest(PipeWall::Corrugated));
    for sizing in [&smooth_pipe, &corrugated_pipe].into_iter().flatten() {
        sheet.figures.push(capacity(sizing, grade));
    }
    sheet.warnings.extend(too_much(smooth_pipe.as_ref(), corrugated_pipe.as_ref()));
    let pipes = catalogue.pipes().iter().map(|size| {
        let capacity = full_flow(size.inside(), size.manning_n, grade);
        let full_velocity = full_velocity(size.inside(), size.manning_n, grade);
        let pipe = RatedPipe { size: size.clone(), capacity, full_velocity };
        PipeRow {
            pipe,
            carries_the_flow: flow.map(|flow| capacity >= flow),
            solid_n: size.solid_n,
            solid_capacity: full_flow(size.inside(), size.solid_n, grade),
        }
    });
    let swale = flow.map(|flow| size_swale(flow, grade, None, &SwaleRules::usual()?)).transpose()?;
    Ok(Drain { grade, flow, smooth_pipe, corrugated_pipe, pipes: pipes.collect(), swale })
}

/// Flow of the pipe chosen, or of the one that carries most, just full.
fn capacity(sizing: &PipeSizing, grade: Grade) -> Figure {
    let (PipeSizing::Fits(pipe) | PipeSizing::NoneFits { best: pipe }) = sizing;
    let (d, n, s) = (pipe.size.inside(), pipe.size.manning_n.get(), grade.get());
    let worked = |constant: &str, d: f64, places: usize, q: String| {
        format!(
            "Q = {constant} / n x (pi D^2 / 4) x (D / 4)^(2/3) x S^(1/2) = {constant} / {n} x (pi x {d:.places$}^2 / 4) x ({d:.places$} / 4)^(2/3) x {s:.5}^(1/2) = {q}"
        )
    };
    Figure::worked(
        format!("{} pipe, perforated, just full", pipe_name(&pipe.size)),
        Value::Flow(pipe.capacity),
        Worked {
            us: worked(
                &FOOT_CONSTANT.to_string(),
                d.as_ft(),
                4,
                format!("{:.4} cfs", pipe.capacity.as_ft3_per_s()),
            ),
            si: worked("1", d.as_m(), 4, format!("{:.5} m3/s", pipe.capacity.as_m3_per_s())),
        },
        format!("{MANNING}; the catalogue's pipe: {}", pipe.size.source),
    )
}

fn too_much(smooth: Option<&PipeSizing>, corrugated: Option<&PipeSizing>) -> Option<Warning> {
    let mut all = [smooth, corrugated].into_iter().flatten().peekable();
    all.peek()?;
    all.all(|sizing| sizing.fit().is_none()).then(|| {
        Warning::new(
            "no-pipe-fits",
            "no pipe of the catalogue carries the flow at this grade",
            "ask for a steeper grade, share the flow between pipes, or have a larger one sized",
        )
    })
}
