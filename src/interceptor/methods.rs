//! Equations behind the line's sizes, and what it may meet besides, with their sources.

use crate::runoff::Citation;

/// Pipe and swale.
pub const SIZING: [Citation; 2] = [
    Citation {
        gives: "pipe of the line",
        equation: "Q = pi D^2 / 4 (D / 4)^(2/3) S^(1/2) / n, just full, in SI; the smallest that carries the flow",
        source: "FHWA, Hydraulic Design Series 2, 2nd edition (2002), example 2.3; n and D of the catalogue's row",
    },
    Citation {
        gives: "swale of the line",
        equation: "normal depth by Q = A R^(2/3) S^(1/2) / n with n 0.06 (long grass), velocity with n 0.035 (mown)",
        source: "n: US FAA and Denver UDFCD (1990), second hand; greatest velocity: SCS-TP-61 (1954), second hand; 3:1 sides, 0.3 m of water, 0.5 % of fall: common practice, no source",
    },
];

/// Ground water that a trench may also meet.
pub const GROUND_WATER: [Citation; 4] = [
    Citation {
        gives: "ground water of the line, not in its flow",
        equation: "inflow into 1000 ft by soil, 10 % more from 2 % of fall, 20 % over 5 %, 30 % over 12 %",
        source: "NRCS, National Engineering Handbook, section 16 (handbook form, from memory, to be confirmed)",
    },
    Citation {
        gives: "the same by seepage, where the soil's conductivity is known",
        equation: "the greater of Q = K S H L and Q = K H^2 / (2 x 3.8 H) L, water up to the ground",
        source: "Dupuit and Forchheimer; Moulton, FHWA-TS-80-224 (1980) (handbook forms, from memory, to be confirmed)",
    },
    Citation {
        gives: "how far it draws ground water down",
        equation: "L = 3.8 H",
        source: "Moulton, FHWA-TS-80-224 (1980) (handbook form, from memory, to be confirmed)",
    },
    Citation {
        gives: "water that wet ground gives off after rain",
        equation: "Q = D A / day, D 3/8 to 1/2 in",
        source: "drainage coefficient of mineral soil: NRCS, National Engineering Handbook, part 650, chapter 14 (from memory, to be confirmed)",
    },
];

/// Room of a chamber.
pub const CHAMBER: [Citation; 1] = [Citation {
    gives: "room of a chamber",
    equation: "V = C A P - q t, the largest over blocks of rain up to a day",
    source: "balance of volumes; the way of trying durations: common practice, from memory",
}];
