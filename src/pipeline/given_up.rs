//! Pieces of stretches beside which no line can be dug.

use crate::interceptor::{LineSettings, given_up};
use crate::lots::{LotDrainage, LotLine, Stretch, amount_within};
use crate::warning::{Warned, Warning};

/// A stretch without the pieces whose line can neither be dug nor led around, and what then isn't caught.
pub(super) fn without_given_up(
    line: &LotLine,
    drainage: &LotDrainage,
    stretch: Stretch,
    options: &LineSettings<'_>,
) -> Warned<Vec<Stretch>> {
    let length_m = line.ring_lengths_m()[stretch.ring];
    let gone = given_up(line, &stretch, options);
    let inside = |m: &f64| *m > stretch.from_m && *m < stretch.to_m;
    let mut cuts: Vec<f64> =
        gone.iter().flat_map(|piece| [piece.from_m, piece.to_m]).filter(inside).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let warnings = gone.iter().map(|piece| {
        let without = Stretch { from_m: piece.from_m, to_m: piece.to_m, members: Vec::new(), ..stretch.clone() };
        let area_m2 = amount_within(&without, &drainage.inflows, length_m);
        Warning::new(
            "line-given-up",
            format!(
                "no line is proposed from {:.1} to {:.1} m of ring {} of the lot line: {} stands in its way, and no way around that stays on the lot and isn't much longer was found; the rain of {area_m2:.0} m² that enters there isn't caught",
                piece.from_m,
                piece.to_m,
                stretch.ring,
                options.obstacles.all()[piece.obstacle].name
            ),
            "lead that water past by hand (a swale, a raised bed, a wall), or agree with the neighbour on a line outside the lot",
        )
    });
    let warnings = warnings.collect();
    let is_gone = |piece: &Stretch| {
        let middle_m = f64::midpoint(piece.from_m, piece.to_m);
        // A piece beyond the ring's length starts anew.
        let turned = [middle_m, middle_m + length_m];
        gone.iter().any(|gone| turned.iter().any(|m| (gone.from_m..gone.to_m).contains(m)))
    };
    let pieces = stretch.divided(&cuts, &drainage.inflows, length_m);
    Warned::new(pieces.into_iter().filter(|piece| !is_gone(piece)).collect(), warnings)
}
