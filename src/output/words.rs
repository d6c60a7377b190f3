//! Words for grades, pipes and swales, wherever they are shown.

use super::screen::Units;
use crate::interceptor::catalogue::{PipeSize, PipeWall};
use crate::interceptor::pipe::PipeSizing;
use crate::interceptor::swale::{SwaleRules, SwaleSizing};
use crate::units::Grade;

/// A grade in the four notations of the trade.
pub(crate) fn grade_words(grade: Grade) -> String {
    let grade = grade.get();
    let inch_per_foot = grade * 12.0;
    format!(
        "{:.2} % ({inch_per_foot:.3} in per ft, {:.2} in per 10 ft, 1:{:.0})",
        grade * 100.0,
        inch_per_foot * 10.0,
        1.0 / grade
    )
}

/// A pipe by its size, and its label if it has one.
pub(crate) fn pipe_name(size: &PipeSize) -> String {
    let comma = if size.label.is_empty() { "" } else { ", " };
    format!("{} in ({} mm) {}{comma}{}", size.nominal_in, size.nominal_mm, wall(size.wall), size.label)
}

/// The pipe that fits, or that none does.
pub(crate) fn pipe_words(sizing: &PipeSizing, units: Units) -> String {
    match sizing {
        PipeSizing::Fits(pipe) => pipe_name(&pipe.size),
        PipeSizing::NoneFits { best } => format!(
            "none fits; the largest, {}, carries {}",
            pipe_name(&best.size),
            units.flow(best.capacity.as_m3_per_s())
        ),
    }
}

/// The inside of a pipe.
pub(crate) const fn wall(wall: PipeWall) -> &'static str {
    match wall {
        PipeWall::Smooth => "smooth",
        PipeWall::Corrugated => "corrugated",
    }
}

/// A swale, and which rule it fails.
pub(crate) fn swale_words(sizing: &SwaleSizing, rules: &SwaleRules, units: Units) -> String {
    let water = sizing.water();
    let size = format!(
        "or a grassed V-swale with {}:1 sides at {:.2} %: water {} deep and {} wide, {}",
        rules.shape.side(),
        water.grade.get() * 100.0,
        units.depth(water.depth.as_m()),
        units.length(water.top_width.as_m()),
        units.velocity(water.velocity.as_m_per_s())
    );
    match sizing {
        SwaleSizing::Fits(_) => size,
        SwaleSizing::TooDeep(_) => {
            format!("{size}: deeper than {}, so not by itself", units.depth(rules.deepest.as_m()))
        }
        SwaleSizing::TooFast(_) => format!("{size}: faster than grass bears"),
        SwaleSizing::TooSteep(_) => format!("{size}: steeper than grass is used for"),
        SwaleSizing::TooFlat(_) => format!(
            "no swale: the ground is too flat for it, it falls less than {:.2} % from end to end",
            rules.flattest.get() * 100.0
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interceptor::catalogue::Catalogue;

    #[test]
    fn a_label_tells_pipes_of_one_size_apart() {
        let ordinary = Catalogue::ordinary().unwrap();
        let plain = ordinary.pipe("100-smooth").unwrap().clone();
        assert_eq!(pipe_name(&plain), "4 in (100 mm) smooth");
        let thick = PipeSize { label: "thick".to_owned(), ..plain };
        assert_eq!(pipe_name(&thick), "4 in (100 mm) smooth, thick");
    }
}
