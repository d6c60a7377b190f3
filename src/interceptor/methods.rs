//! Equations behind the line's sizes, with their sources.

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
