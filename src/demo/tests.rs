use geo::{Area, BooleanOps, Contains, Validation};

use super::*;

#[test]
fn every_call_gives_the_same_neighbourhood() {
    assert_eq!(neighbourhood(), neighbourhood());
}

#[test]
fn lots_are_valid_disjoint_and_of_the_size_of_house_lots() {
    let hill = neighbourhood();
    assert_eq!(hill.lots.len(), 12);
    for lot in &hill.lots {
        assert!(lot.outline.is_valid(), "{}", lot.id);
        let area = lot.outline.signed_area();
        assert!((400.0..800.0).contains(&area), "{} has {area} m2, anticlockwise", lot.id);
    }
    for (index, lot) in hill.lots.iter().enumerate() {
        for other in &hill.lots[index + 1..] {
            let overlap = lot.outline.intersection(&other.outline).unsigned_area();
            assert!(overlap < 1e-6, "{} and {} overlap by {overlap} m2", lot.id, other.id);
        }
    }
}

#[test]
fn the_rear_line_has_no_gap() {
    let hill = neighbourhood();
    let lots: Vec<_> = hill.lots.iter().map(|lot| lot.outline.clone()).collect();
    let block = geo::unary_union(&lots);
    assert_eq!(block.0.len(), 1, "one block");
    assert!(block.0[0].interiors().is_empty(), "without a sliver inside");
    let sum: f64 = lots.iter().map(Area::unsigned_area).sum();
    assert!((block.unsigned_area() - sum).abs() < 1e-3);
}

#[test]
fn each_house_stands_on_its_own_lot_on_ground_that_is_nearly_level() {
    let hill = neighbourhood();
    for (house, lot) in hill.buildings.iter().zip(&hill.lots) {
        assert!(lot.outline.contains(house), "{}", lot.id);
        let shape = hill.elevation.shape();
        let inside: Vec<f32> = (0..shape.len())
            .map(|index| shape.cell(index))
            .filter(|cell| {
                let (x, y) = hill.georef.centre(*cell);
                house.contains(&geo::Point::new(x, y))
            })
            .map(|cell| *hill.elevation.at(cell))
            .collect();
        let low = inside.iter().copied().fold(f32::INFINITY, f32::min);
        let high = inside.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        // The crown is 1.5 % of at most 5 m; the same stretch of hillside would fall 0.4 m.
        assert!(inside.len() > 200 && high - low < 0.12, "{}: {low} to {high}", lot.id);
    }
}

#[test]
fn the_inlets_lie_at_the_low_points_of_the_gutters() {
    let hill = neighbourhood();
    assert_eq!(hill.inlets.len(), 2);
    for inlet in &hill.inlets {
        let (col, row) = hill.georef.to_grid(inlet.at.x, inlet.at.y);
        let ground = |down: f64, right: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the raster")]
            let cell = Cell { row: (row + down) as usize, col: (col + right) as usize };
            f64::from(*hill.elevation.at(cell))
        };
        assert!((ground(0.0, 0.0) - inlet.rim_m).abs() < 0.03, "{}", inlet.id);
        assert!(inlet.invert_m < inlet.rim_m - 1.0);
        // The street rises both ways along the gutter: 12 m of it, turned 17 degrees from the columns.
        let along = 24.0 * 17.0_f64.to_radians().cos();
        let rise = 24.0 * 17.0_f64.to_radians().sin();
        assert!(ground(rise, -along) > inlet.rim_m + 0.02, "{} to the west", inlet.id);
        assert!(ground(-rise, along) > inlet.rim_m + 0.02, "{} to the east", inlet.id);
    }
}

#[test]
fn four_quarter_turns_and_two_mirrorings_give_the_neighbourhood_back() {
    let hill = neighbourhood();
    let close = |made: &Neighbourhood| {
        assert_eq!(made.elevation, hill.elevation);
        assert_eq!(made.georef, hill.georef);
        for (lot, own) in made.lots.iter().zip(&hill.lots) {
            let differing = lot.outline.intersection(&own.outline).unsigned_area();
            assert!((differing - own.outline.unsigned_area()).abs() < 1e-5, "{}", own.id);
        }
    };
    close(&hill.turned(4));
    close(&hill.turned(1).turned(3));
    close(&hill.turned(2).turned(2));
    close(&hill.mirrored().mirrored());
}

#[test]
fn ground_turns_mirrors_and_moves_with_its_lots() {
    let hill = neighbourhood();
    let mean = |made: &Neighbourhood| -> Vec<f64> {
        made.buildings
            .iter()
            .map(|house| {
                let (west, east) = extent(house.exterior().coords().map(|at| at.x));
                let (south, north) = extent(house.exterior().coords().map(|at| at.y));
                let (col, row) = made.georef.to_grid(f64::midpoint(west, east), f64::midpoint(south, north));
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside")]
                let cell = Cell { row: row as usize, col: col as usize };
                f64::from(*made.elevation.at(cell))
            })
            .collect()
    };
    let own = mean(&hill);
    for made in [hill.turned(1), hill.turned(2), hill.turned(3), hill.mirrored(), hill.shifted(0.2, -13.7)] {
        for (height, expected) in mean(&made).iter().zip(&own) {
            // The middle may fall into the next cell: houses differ by far more than the pad's slope.
            assert!((height - expected).abs() < 0.02, "{height} for {expected}");
        }
        assert!(made.lots.iter().all(|lot| lot.outline.signed_area() > 0.0), "anticlockwise");
    }
}

fn extent(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}
