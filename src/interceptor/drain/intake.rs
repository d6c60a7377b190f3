//! Whether the water gets into the trench.

use super::super::materials::Top;
use super::growth::Growth;
use crate::units::{Area, Flow, Length};

/// What a stretch of trench takes and its pipes let in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// From here, m down the part.
    pub from_m: f64,
    /// To here.
    pub to_m: f64,
    /// Width of the trench at the ground.
    pub width: Length,
    /// What a metre of its surface takes: lower and upper end of what is published.
    pub takes: [Flow; 2],
    /// What the holes of the pipes let in along a metre.
    pub holes: Flow,
}

impl Stretch {
    /// What gets in along a metre at the most, by the lower (0) or the upper (1) end: what its surface takes
    /// or its holes let in.
    pub(super) fn most_per_m(&self, end: usize) -> Flow {
        if self.takes[end] < self.holes { self.takes[end] } else { self.holes }
    }
}

/// What comes to a metre of line, and what a metre of trench takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Intake {
    /// Width of the trench at the ground, where it is narrowest.
    pub width: Length,
    /// Greatest flow that comes to a metre of line.
    pub arrives_most: Flow,
    /// Flow that comes to a metre on average.
    pub arrives_mean: Flow,
    /// What a metre of its surface takes there: lower and upper end of what is published.
    pub takes: [Flow; 2],
    /// What the holes of the pipes let in along a metre, where that is least.
    pub holes: Flow,
    /// Stretches of the part, each with its own pipe.
    pub stretches: Vec<Stretch>,
    /// Share of the water that gets in: by the lower and the upper end; nothing of what comes where no stone lies.
    pub shares: [f64; 2],
    /// Share that gets in when silt and leaves have clogged the top; nothing where that isn't known of it.
    pub clogged_share: Option<f64>,
    /// Share that would get in with stone up to the surface of the same trench, by the lower end of what that takes.
    pub bare_share: f64,
    /// Width of bare stone up to the surface that would take the greatest flow, by the lower end of what bare stone takes.
    pub stone_width: Length,
}

/// Holds what arrives against what is taken, metre by metre; nothing where no stone lies.
///
/// # Method
/// Between neighbouring places the flow arrives evenly; of it as much gets in as the trench's surface takes (its width by
/// the intake of its top) and as the holes let in, whichever is less. Water comes across the line: what isn't taken where it
/// comes runs on over the trench, down the ground, and not along it to the next metre. Only a swale would hold it there. What the
/// holes let in is worked out in [`super::inlets`].
pub(super) fn intake(
    stretches: Vec<Stretch>,
    [top, bare_stone]: [&Top; 2],
    growth: &Growth,
    flow: Flow,
) -> Option<Intake> {
    let narrowest = stretches.iter().reduce(|a, b| if b.width < a.width { b } else { a })?;
    let holes = stretches.iter().map(|stretch| stretch.holes).reduce(|a, b| if b < a { b } else { a })?;
    let (width, takes) = (narrowest.width, narrowest.takes);
    let metre = Length::from_m(1.0);
    let arrives_most = flow * growth.greatest_per_m();
    let share = |takes: &dyn Fn(&Stretch) -> Flow| gets_in(&stretches, growth, flow, takes);
    let bare_m_s = bare_stone.takes(Area::from_m2(1.0)).least.as_m3_per_s();
    Some(Intake {
        width,
        arrives_most,
        arrives_mean: flow * (1.0 / growth.length_m()),
        takes,
        holes,
        shares: [0, 1].map(|end| share(&|stretch| stretch.takes[end])),
        clogged_share: top.clogged().map(|clogged| share(&|stretch| clogged * (stretch.width * metre))),
        bare_share: share(&|stretch| bare_stone.takes(stretch.width * metre).least),
        stone_width: Length::from_m(arrives_most.as_m3_per_s() / bare_m_s),
        stretches,
    })
}

impl Intake {
    /// Share of another flow, grown alike, that gets in: by the lower and the upper end.
    #[must_use]
    pub fn shares_of(&self, growth: &Growth, flow: Flow) -> [f64; 2] {
        [0, 1].map(|end| gets_in(&self.stretches, growth, flow, &|stretch| stretch.takes[end]))
    }
}

/// Share of a flow that gets in, by what a metre of surface takes and the holes along a metre let in.
fn gets_in(stretches: &[Stretch], growth: &Growth, flow: Flow, takes: &dyn Fn(&Stretch) -> Flow) -> f64 {
    let along = |stretch: &Stretch| {
        let (takes, holes) = (takes(stretch), stretch.holes);
        share_along(growth, flow, (stretch.from_m, stretch.to_m), if takes < holes { takes } else { holes })
    };
    let share: f64 = stretches.iter().map(along).sum();
    if share > 1.0 - 1e-9 { 1.0 } else { share }
}

/// Share of a flow that comes between two places and gets in there, where so much gets in along a metre.
pub(super) fn share_along(growth: &Growth, flow: Flow, (from_m, to_m): (f64, f64), most_per_m: Flow) -> f64 {
    let all_m3_s = flow.as_m3_per_s();
    if all_m3_s <= 0.0 {
        return growth.share_at(to_m) - growth.share_at(from_m);
    }
    let most = most_per_m.as_m3_per_s() / all_m3_s;
    let taken = growth.entering().map(|piece| {
        let length_m = piece.to_m.min(to_m) - piece.from_m.max(from_m);
        piece.per_m().min(most) * length_m.max(0.0)
    });
    taken.sum()
}
