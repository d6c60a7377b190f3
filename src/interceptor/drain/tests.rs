//! Cases worked out by hand on a plane across a straight lot line, and what holds of every drain.

mod by_hand;
mod course;
mod cover;
mod handed;
mod holes;
mod hump;
mod kept;
mod laws;
mod loaded;
mod recommend;

use super::super::catalogue::{Catalogue, PipeSize, PipeWall};
use super::super::materials::Materials;
use super::super::obstacles::Obstacles;
use super::super::outlet::{OutletKind, OutletLimits, OutletPlace, OutletWay};
use super::super::propose::{CaughtStretch, LineSettings, propose};
use super::super::quantities::End;
use super::super::swale::SwaleRules;
use super::super::ways::{Land, ways_to_outlets};
use super::*;
use crate::lots::{LotLine, Stretch};
use crate::units::{Area, Flow, Grade, Length};
use geo::{Coord, MultiPolygon, polygon};

/// A part 0.6 m inside the north side of a lot of 40 x 20 m, from x = 4 to 36, and its way to an inlet 4 m beyond its end,
/// in the lot's corner; ground falls east by so much.
fn way_down(fall: f64) -> OutletWay {
    // A metre below the ground there.
    way_over(&move |x| 10.0 - fall * x, OutletKind::StormInlet, 9.0 - 40.0 * fall)
}

/// The same on ground that goes with x, to an outlet of a kind with an invert.
fn way_over(level: &dyn Fn(f64) -> f64, kind: OutletKind, invert_m: f64) -> OutletWay {
    way_laid_for(None, level, kind, invert_m)
}

/// The same laid for the pipe of a drain, else for 4 in without a wall.
fn way_laid_for(
    drain_pipe: Option<PipeSize>,
    level: &dyn Fn(f64) -> f64,
    kind: OutletKind,
    invert_m: f64,
) -> OutletWay {
    let ground = |p: Coord| Some(level(p.x));
    let lot: MultiPolygon =
        polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 20.), (x: 0., y: 20.)].into();
    let caught = CaughtStretch {
        stretch: Stretch { ring: 0, from_m: 4.0, to_m: 36.0, members: vec![] },
        contributing_area: Area::from_m2(500.0),
    };
    let obstacles = Obstacles::none();
    let settings = LineSettings::plain(&obstacles);
    let line = LotLine::new(&lot, 1.0).unwrap();
    let mut part = propose(&line, &[caught], &ground, &settings).unwrap().value.parts.remove(0);
    part.drain_pipe = drain_pipe;
    let limits = OutletLimits {
        min_cover: Length::from_m(0.3),
        max_depth: Length::from_m(1.5),
        min_grade: Grade::new(0.01).unwrap(),
        step: Length::from_m(1.0),
        metres_per_unit: 1.0,
        head_m: None,
        under: None,
    };
    let land = Land { height: &ground, obstacles: &obstacles, limits };
    let inlet = OutletPlace {
        kind,
        id: "A".to_owned(),
        at: Coord { x: 40.0, y: 19.4 },
        invert_m,
        rim_m: None,
        tailwater_m: None,
    };
    ways_to_outlets(&part, &[inlet], &land).unwrap().remove(0)
}

/// Our pipes with smooth walls.
fn smooth() -> Catalogue {
    let all = Catalogue::ordinary().unwrap();
    let smooth = all.pipes().iter().filter(|pipe| pipe.wall == PipeWall::Smooth);
    Catalogue::new(smooth.cloned().collect()).unwrap()
}

/// The built-in materials with a bare stone that takes as much as by a user's file, so that it limits what gets in.
fn materials() -> Materials {
    let stone =
        "[top.bare-stone]\ndescription = \"stone\"\nintake_mm_h = [1000, 137500]\nsource = \"by hand\"\n";
    Materials::built_in().with_user(stone, "by hand").unwrap()
}

/// All arrangements of a part whose water enters evenly.
fn options(way: &OutletWay, l_per_s: f64, finish: &str, catalogue: &Catalogue) -> Vec<DrainOption> {
    options_with(way, l_per_s, (finish, catalogue), &[], &End::Structure)
}

/// The same with what joins, and what its lower end meets.
fn options_with(
    way: &OutletWay,
    l_per_s: f64,
    (finish, catalogue): (&str, &Catalogue),
    joined: &[Joined],
    end: &End,
) -> Vec<DrainOption> {
    let growth = Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap();
    let flow = Flow::from_l_per_s(l_per_s);
    let part = DrainPart {
        flow,
        growth: &growth,
        way,
        profile: way.profile().unwrap(),
        joined,
        end,
        least_inside: Length::ZERO,
    };
    options_of(&part, (finish, catalogue), &materials())
}

/// All arrangements of a part.
fn options_of(
    part: &DrainPart<'_>,
    (finish, catalogue): (&str, &Catalogue),
    materials: &Materials,
) -> Vec<DrainOption> {
    let basis = basis(finish, catalogue, materials);
    Arrangement::ALL.into_iter().filter_map(|a| option(a, part, &basis).unwrap().ok()).collect()
}

/// A part's swale, or what it lacks.
fn swale_of(
    part: &DrainPart<'_>,
    catalogue: &Catalogue,
    materials: &Materials,
) -> Result<DrainOption, Lacking> {
    option(Arrangement::Swale, part, &basis("bare-stone", catalogue, materials)).unwrap()
}

fn basis<'a>(finish: &str, catalogue: &'a Catalogue, materials: &'a Materials) -> DrainBasis<'a> {
    let finish = materials.finish(finish).unwrap();
    DrainBasis {
        catalogue,
        finish,
        lead_finish: materials.finish("unirrigated-lawn").unwrap(),
        top: materials.top(finish.top()).unwrap(),
        bare_stone: materials.top("bare-stone").unwrap(),
        fabric: materials.fabric_for(30.0).unwrap().value,
        swale: SwaleRules::usual().unwrap(),
        min_grade: Grade::new(0.01).unwrap(),
    }
}

fn of(all: &[DrainOption], arrangement: Arrangement) -> &DrainOption {
    all.iter().find(|option| option.arrangement == arrangement).unwrap()
}
