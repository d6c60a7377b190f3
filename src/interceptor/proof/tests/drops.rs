//! A count drop by drop on rough ground.

use super::*;

/// What becomes of one drop, told by following it alone.
#[derive(Clone, Copy, PartialEq)]
enum Where {
    Outside,
    Front,
    Inside,
}

struct Drops<'a> {
    world: &'a World,
    front: &'a dyn Fn(usize) -> bool,
    paths: &'a [LineString],
    takes: f64,
    comes_back: &'a [f64],
    caught: f64,
    left: f64,
    elsewhere: f64,
}

impl Drops<'_> {
    /// By a general library's intersection of lines, on the same middles.
    fn crossed(&self, from: usize, to: usize) -> Option<usize> {
        let at = |cell: usize| {
            let (x, y) = self.world.georef.centre(self.world.field.shape().cell(cell));
            Coord { x: x + 1e-5, y: y - 1e-5 }
        };
        let step = Line::new(at(from), at(to));
        let hit = |path: &LineString| path.lines().any(|line| line_intersection(line, step).is_some());
        let on_lot = [from, to].iter().any(|&c| self.world.lots.label(c) == label(0));
        self.paths.iter().position(|path| on_lot && hit(path))
    }

    fn follow(&mut self, cell: usize, amount: f64, state: Where) {
        if self.world.field.leaves(cell) {
            match state {
                Where::Outside => {}
                Where::Front => self.elsewhere += amount,
                Where::Inside => self.left += amount,
            }
            return;
        }
        for (to, share) in self.world.field.receivers(cell) {
            let part = amount * share;
            let on_lot = self.world.lots.label(to) == label(0);
            let counts = state != Where::Outside || on_lot;
            match self.crossed(cell, to) {
                Some(place) if counts => {
                    let back = self.comes_back[place];
                    self.caught += part * self.takes * (1.0 - back);
                    self.left += part * (1.0 - self.takes + self.takes * back);
                }
                _ if on_lot && !(self.front)(to) => self.follow(to, part, Where::Inside),
                _ if on_lot && state == Where::Outside => self.follow(to, part, Where::Front),
                _ => self.follow(to, part, state),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    // Lots on cell lines, so that no cell is shared and each drop starts on one side.
    #[test]
    fn every_drop_is_somewhere(
        z in prop::collection::vec(0.0_f64..1.0, 64),
        fall in 0.0_f64..0.5,
        takes in 0.0_f64..=1.0,
        y in 3.05_f64..5.95,
        out in 0_usize..64,
    ) {
        let surface = |row: usize, col: usize| z[row * 8 + col] - fall * number(row);
        let world = World::new(8, 8, surface, &[[2.0, 2.0, 6.0, 6.0], [0.0, 6.0, 8.0, 8.0], [6.0, 0.0, 8.0, 6.0]]);
        let paths = [path(&[(2.1, y), (4.0, 5.4), (5.9, y)])];
        let proof = world.prove(&[(paths[0].clone(), Discharge::Onto(out))], takes);
        let balance = proof.balance;
        prop_assert!(balance.before_m2 == 0.0 || balance.gap() < 1e-9, "{balance:?}");

        let refs: Vec<&LineString> = paths.iter().collect();
        let fence = Fence::new(&refs, 1.0, world.field.shape(), world.georef);
        let front = Front::new(&world.scene(), &world.line, &fence, &refs);
        let mut drops = Drops {
            world: &world, front: &|cell| front.has(cell), paths: &paths, takes,
            comes_back: &proof.comes_back, caught: 0.0, left: 0.0, elsewhere: 0.0,
        };
        for start in (0..64).filter(|&cell| world.lots.label(cell) != label(0)) {
            drops.follow(start, 1.0, Where::Outside);
        }
        for (found, counted) in
            [(balance.caught_m2, drops.caught), (balance.left_m2, drops.left), (balance.elsewhere_m2, drops.elsewhere)]
        {
            prop_assert!((found - counted).abs() < 1e-6, "{balance:?}: counted {counted}");
        }

        let taken: f64 = proof.taken.iter().map(Taken::total_m2).sum();
        let sums = proof.sinks.iter().fold([0.0; 2], |s, k| [s[0] + k.without_m2, s[1] + k.with_m2]);
        prop_assert!((sums[0] - taken).abs() < 1e-9 && (sums[1] - taken).abs() < 1e-9, "{sums:?} of {taken}");
        for row in &proof.received {
            prop_assert!(row.without_m2 <= taken + 1e-9 && row.with_m2 <= taken + 1e-9);
        }
    }

    // Lot lines through cells: the balance closes there too, and taking more never leaves more.
    #[test]
    fn the_balance_closes_on_shared_cells(
        z in prop::collection::vec(0.0_f64..1.0, 100),
        corner in (1.0_f64..3.0, 1.0_f64..3.0),
        size in (3.0_f64..5.0, 3.0_f64..5.0),
        inset in 0.1_f64..1.2,
        takes in 0.0_f64..=1.0,
        inlet in 11_usize..88,
    ) {
        let surface = |row: usize, col: usize| z[row * 10 + col];
        let (west, south, east, north) = (corner.0, corner.1, corner.0 + size.0, corner.1 + size.1);
        let world = World::with_inlets(
            10, 10, surface, &[[west, south, east, north], [0.0, north, 10.0, 10.0]], &[inlet],
        );
        let line = path(&[(west + inset, south + inset), (west + inset, north - inset), (east - inset, north - inset)]);
        let mut last: Option<f64> = None;
        for takes in [0.0, takes, 1.0] {
            let proof = world.prove(&[(line.clone(), Discharge::OffTheSurface)], takes);
            let balance = proof.balance;
            prop_assert!(balance.before_m2 == 0.0 || balance.gap() < 1e-9, "{balance:?}");
            let left_by_lot: f64 = proof.left_by_lot.iter().map(|row| row.1).sum();
            prop_assert!((left_by_lot - balance.left_m2).abs() < 1e-9);
            let by_reason = left_by_reason(&proof);
            prop_assert!((by_reason - balance.left_m2).abs() < 1e-9, "{by_reason}: {:?}", proof.missed);
            if takes == 0.0 {
                prop_assert!(balance.caught_m2 <= 0.0);
            }
            prop_assert!(last.is_none_or(|left| balance.left_m2 <= left + 1e-9));
            last = Some(balance.left_m2);
        }
    }
}
