//! Pipes of two parts that meet over each other's ground: noted, and told where they come too near to each
//! other.

use super::crossing::{BETWEEN_M, Clash, Pipe, SAME_M, clash, crossings};
use super::shared::CROSSING_M;
use super::{LaidLine, PartOutlets, Search};
use crate::error::Error;
use crate::interceptor::InterceptionLine;
use crate::warning::Warning;
use crate::wording::metres;

/// Where a part's proposed pipe meets that of another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Meeting {
    /// One passes over the other.
    Crosses {
        /// Number of the other part.
        other: usize,
        /// Down this part's way, m.
        station_m: f64,
        /// Inverts there, m: this part's, and the other's.
        inverts_m: [f64; 2],
        /// Ground between bottom and top, m; below 0 where they would meet.
        between_m: f64,
    },
    /// Both lie within a trench's width.
    Beside {
        /// Number of the other part.
        other: usize,
        /// Over which length, m.
        length_m: f64,
    },
    /// The other's swale leaves less ground over this part's lead than is asked for.
    UnderSwale {
        /// Number of the other part.
        other: usize,
        /// Down this part's way, m.
        station_m: f64,
        /// Ground over the pipe there; below 0 where the swale comes below its top, m.
        cover_m: f64,
    },
}

impl Meeting {
    /// Whether two pipes cross with less ground between them than 0.15 m.
    #[must_use]
    pub fn is_too_near(&self) -> bool {
        matches!(self, Self::Crosses { between_m, .. } if *between_m < BETWEEN_M - SAME_M)
    }
}

impl Search<'_> {
    /// Says of which parts the pipes cross with too little ground between them, and why nothing was found for
    /// it.
    pub(super) fn pipes_cross(
        &self,
        line: &InterceptionLine,
        ways: &LaidLine,
    ) -> Result<Vec<Warning>, Error> {
        let mut warnings = Vec::new();
        for a in 0..ways.found.len() {
            for b in a + 1..ways.found.len() {
                let both = ways.found[a].proposed().zip(ways.found[b].proposed());
                let Some(clash) = both.and_then(|(a, b)| clash(a, b)) else { continue };
                let refused = self.refused(line, ways, [a, b])?;
                warnings.push(told(clash, [line.parts[a].id, line.parts[b].id], &refused));
            }
        }
        Ok(warnings)
    }

    /// Notes where proposed pipes cross, or lie in one trench.
    pub(super) fn note_meetings(&self, line: &InterceptionLine, found: &mut [PartOutlets]) {
        for a in 0..found.len() {
            for b in a + 1..found.len() {
                let Some((one, other)) = found[a].proposed().zip(found[b].proposed()) else { continue };
                let pipes = Pipe::of(one).zip(Pipe::of(other));
                let crossed = pipes.map_or_else(Vec::new, |(one, other)| crossings(&one, &other));
                let length_m = Some(self.shared_m(one, other)).filter(|m| *m > CROSSING_M);
                for (mine, place, other) in [(0, a, line.parts[b].id), (1, b, line.parts[a].id)] {
                    let meets = crossed.iter().map(|crossing| Meeting::Crosses {
                        other,
                        station_m: crossing.stations_m[mine],
                        inverts_m: [crossing.lie[mine].invert_m, crossing.lie[1 - mine].invert_m],
                        between_m: crossing.between_m,
                    });
                    found[place].meetings.extend(meets);
                    found[place]
                        .meetings
                        .extend(length_m.map(|length_m| Meeting::Beside { other, length_m }));
                }
            }
        }
    }
}

fn told(clash: Clash, [a, b]: [usize; 2], refused: &str) -> Warning {
    let [at_a, at_b] = clash.stations_m.map(|station_m| metres(station_m, 1));
    let between = if clash.between_m > 0.0 {
        format!("with {} of ground between them", metres(clash.between_m, 2))
    } else {
        format!("at one level: {} are missing for them to pass each other", metres(-clash.between_m, 2))
    };
    Warning::new(
        "pipes-cross",
        format!(
            "the pipe of part {a} of the line crosses that of part {b}, at {at_a} of its way and {at_b} of the other's, {between}; {refused}"
        ),
        "allow a deeper trench (--max-depth), a flatter grade (--min-grade) or less cover (--min-cover), or give another outlet (--outlet)",
    )
}
