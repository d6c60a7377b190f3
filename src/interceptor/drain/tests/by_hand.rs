//! The plane of 2 % with 8 L/s that enter evenly over 32 m: 0.25 L/s a metre.
//!
//! Manning in SI, just full, S 0.02 (S^(1/2) 0.141421). 4 in smooth, D 0.101: A 0.0080118 m2, R 0.02525 m, R^(2/3) 0.086070.
//! Perforated, n 0.012: 1.01434 m/s, 8.127 L/s. Solid, n 0.011: 1.10655 m/s, 8.866 L/s. 3 in smooth, D 0.079: A 0.0049017, R 0.01975,
//! R^(2/3) 0.073070; perforated 0.86113 m/s, 4.221 L/s. Corrugated pipe of 4 in (n 0.018) carries some 5.5 L/s: not enough.

use super::super::super::quantities::{WorkSettings, Works, bill, take_off};
use super::*;
use approx::assert_relative_eq;

fn plane(l_per_s: f64) -> Vec<DrainOption> {
    options(&way_down(0.02), l_per_s, "bare-stone", &Catalogue::ordinary().unwrap())
}

// Inverts of the way's own test: 9.5184 at the head, 2 % down 32 m to 8.8784 and 4 m more to 8.7984.
#[test]
fn reaches_have_the_grades_inverts_and_flows_of_the_plane() {
    let all = plane(8.0);
    let option = of(&all, Arrangement::OnePipe);
    let [line, lead] = &option.reaches[..] else { panic!("one grade: line and lead") };
    assert_eq!((line.reach.place, lead.reach.place), (ReachPlace::Line, ReachPlace::Lead));
    for (sized, [from_m, to_m, from_invert_m, to_invert_m]) in
        [(line, [0.0, 32.0, 9.5184, 8.8784]), (lead, [32.0, 36.0, 8.8784, 8.7984])]
    {
        let reach = &sized.reach;
        assert_relative_eq!(reach.from_m, from_m, epsilon = 1e-3);
        assert_relative_eq!(reach.to_m, to_m, epsilon = 1e-3);
        assert_relative_eq!(reach.from_invert_m, from_invert_m, epsilon = 1e-3);
        assert_relative_eq!(reach.to_invert_m, to_invert_m, epsilon = 1e-3);
        assert_relative_eq!(reach.grade.get(), 0.02, max_relative = 1e-6);
        assert_relative_eq!(reach.flow.as_l_per_s(), 8.0, max_relative = 1e-9);
    }
    // Flows by station: 0.25 L/s a metre up to 32 m, then all.
    let growth = Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap();
    for (station_m, l_per_s) in [(0.0, 0.0), (4.0, 1.0), (16.0, 4.0), (31.0, 7.75), (32.0, 8.0), (36.0, 8.0)]
    {
        assert_relative_eq!(option.flow_at(&growth, station_m).as_l_per_s(), l_per_s, epsilon = 1e-9);
    }
}

#[test]
fn one_pipe_is_of_four_inches_and_two_are_of_three_with_one_of_four_to_the_outlet() {
    let all = plane(8.0);
    let one = of(&all, Arrangement::OnePipe);
    assert_eq!(one.reaches.iter().map(|sized| sized.pipe.key()).collect::<Vec<_>>(), ["100-smooth"; 2]);
    assert_relative_eq!(one.reaches[0].capacity.as_l_per_s(), 8.127, epsilon = 1e-3);
    assert_relative_eq!(one.reaches[1].capacity.as_l_per_s(), 8.866, epsilon = 1e-3);
    // 98 % full by flow is beyond 0.81 D, where water runs fastest: 1.140 x 1.01434 m/s.
    assert_relative_eq!(one.reaches[0].velocity.as_m_per_s(), 1.1563, epsilon = 1e-3);
    assert_relative_eq!(one.capacity().as_l_per_s(), 8.127, epsilon = 1e-3);
    let two = of(&all, Arrangement::TwoPipes);
    let sizes: Vec<_> = two.reaches.iter().map(|sized| (sized.pipe.key(), sized.pipes.count())).collect();
    assert_eq!(sizes, [("75-smooth".to_owned(), 2), ("100-smooth".to_owned(), 1)]);
    assert_relative_eq!(two.reaches[0].capacity.as_l_per_s(), 2.0 * 4.221, epsilon = 2e-3);
    // A little more than the one carries asks for the next size, and no more; of its two walls for the one with
    // the wider trench, whose top lets more in.
    let more = plane(8.2);
    assert_eq!(of(&more, Arrangement::OnePipe).reaches[0].pipe.key(), "150-corrugated");
}

// Bottom 0.1071 + 2 x 0.15 = 0.4071 m. Invert 0.4016 m below the ground everywhere; wall 0.00305 m. Line: bed 0.1016, depth 0.50625 m,
// dug 0.4071 x 0.50625 x 32 = 6.5950 m3; stone that less pi 0.1071^2 / 4 x 32 = 0.2883: 6.3067 m3; fabric, open on top, (0.4071 + 2 x
// 0.50625) x 32 = 45.427 m2. Lead: depth 0.40465 m, dug 0.4071 x 0.40465 x 4 = 0.6589 m3; its bed goes on level from that of the stone, 0.1016 m
// under the pipe at first and 0.08 m less at its end: 0.4071 x (0.1016 + 0.0216) / 2 x 4 = 0.1003 m3 more are dug and filled with stone.
#[test]
fn volumes_are_those_of_the_section() {
    let all = plane(8.0);
    let built = of(&all, Arrangement::OnePipe).built.as_ref().unwrap();
    let taken = take_off(built.line.as_ref().unwrap());
    assert_relative_eq!(taken.dug.as_m3(), 6.5950 + 0.6589 + 0.1003, epsilon = 1e-3);
    assert_relative_eq!(taken.stone.as_m3(), 6.3067 + 0.1003, epsilon = 1e-3);
    assert_relative_eq!(taken.fabric.as_m2(), 45.427, epsilon = 1e-2);
    assert_relative_eq!(taken.length.as_m(), 36.0, epsilon = 1e-3);
    // Voids: porosity times 6.4070 m3. Flow in it: K i A with A 6.3067 / 32 m2 and i 0.02.
    let materials = Materials::built_in();
    let stone = materials.stone("57").unwrap();
    let one = of(&all, Arrangement::OnePipe);
    let voids = one.stone_voids(stone).unwrap().as_m3();
    assert_relative_eq!(voids, 6.4070 * stone.porosity().get(), epsilon = 1e-3);
    let [least, most] = one.stone_flow(stone).unwrap().map(Flow::as_m3_per_s);
    let [slow, fast] =
        [stone.conductivity().least(), stone.conductivity().most()].map(crate::units::Velocity::as_m_per_s);
    assert_relative_eq!(least, slow * 0.02 * 6.3067 / 32.0, max_relative = 1e-3);
    assert_relative_eq!(most, fast * 0.02 * 6.3067 / 32.0, max_relative = 1e-3);
    assert!(of(&all, Arrangement::Basins).stone_voids(stone).is_none());
    assert!(of(&all, Arrangement::Basins).stone_flow(stone).is_none());
    assert_eq!(built.line.as_ref().unwrap().bends().len(), 0, "the lead goes straight on");
}

// Bare stone takes 1000 mm/h at the least: 0.4071 m2 a metre x 1 m/h = 0.11308 L/s, 0.4523 of 0.25. Holes: 19.95 cm2, half open; the
// invert lies 0.4016 m below the ground, the pipe's top 0.10405 above it, so that 0.29755 m of stone stand over the pipe: 0.6 x 0.0009975 x
// (2 x 9.80665 x 0.29755)^(1/2) = 1.4458 L/s. A strip that takes 0.25 L/s a metre: 0.25e-3 x 3600 = 0.9 m.
#[test]
fn what_gets_in_is_the_lesser_of_top_and_holes() {
    let all = plane(8.0);
    let option = of(&all, Arrangement::OnePipe);
    let intake = option.intake.as_ref().unwrap();
    assert_relative_eq!(intake.arrives_most.as_l_per_s(), 0.25, max_relative = 1e-9);
    assert_relative_eq!(intake.arrives_mean.as_l_per_s(), 0.25, max_relative = 1e-9);
    assert_relative_eq!(intake.takes[0].as_l_per_s(), 0.113_08, epsilon = 1e-5);
    assert_relative_eq!(intake.holes.as_l_per_s(), 1.4458, epsilon = 1e-4);
    assert_relative_eq!(intake.shares[0], 0.4523, epsilon = 1e-4);
    assert_relative_eq!(intake.shares[1], 1.0);
    assert_relative_eq!(intake.stone_width.as_m(), 0.9, max_relative = 1e-9);
    assert!(!option.carries());
    assert_relative_eq!(option.share(), intake.shares[0]);
    // Thin sod takes 33 mm/h at the least, 85 at the most: 0.4071 x 33 / 3600 = 0.0037318 L/s, 0.014927 of 0.25, and 85 / 33 times that.
    // The same trench with stone up to the surface would take the 0.4523 from above; nothing is known of clogged sod.
    let lawn = options(&way_down(0.02), 8.0, "irrigated-lawn", &Catalogue::ordinary().unwrap());
    let intake = of(&lawn, Arrangement::OnePipe).intake.as_ref().unwrap();
    assert_relative_eq!(intake.shares[0], 0.014_927, epsilon = 1e-5);
    assert_relative_eq!(intake.shares[1], 85.0 / 33.0 * 0.014_927, epsilon = 1e-4);
    assert_relative_eq!(intake.bare_share, 0.4523, epsilon = 1e-4);
    assert!(intake.clogged_share.is_none());
}

// V of 3:1, K 1.82466. Depth at 1 %, n 0.06: (0.008 x 0.06 / 0.182466)^(3/8) = 0.10777 m. Most by depth, 0.3 m: 0.182466 x 0.3^(8/3) / 0.06 = 0.12265
// m3/s; by velocity, 4 ft/s at 2 % and n 0.035, more. Shaped 0.10777 + 0.075 = 0.18277 m deep: 3 x 0.18277^2 x 32 = 3.2068 m3.
#[test]
fn the_swale_carries_it_and_is_recommended_since_it_digs_least() {
    let all = plane(8.0);
    let swale = of(&all, Arrangement::Swale);
    let water = swale.swale.as_ref().unwrap();
    assert_relative_eq!(water.sizing.water().depth.as_m(), 0.107_77, epsilon = 1e-4);
    assert_relative_eq!(water.capacity.as_l_per_s(), 122.65, epsilon = 0.05);
    assert!(swale.carries() && water.dip.is_none());
    assert_relative_eq!(swale.built.as_ref().unwrap().beside.dug.as_m3(), 3.2068, epsilon = 5e-3);
    assert!(swale.reaches.iter().all(|sized| sized.reach.place == ReachPlace::Lead));
    // 8 L/s: one grate of 19 L/s.
    assert_eq!(swale.end_grates, 1);
    // What the stone doesn't take runs in the swale over it.
    assert!(of(&all, Arrangement::SwaleOverDrain).carries());
    // 32 m: four basins of 3 m at the most, with 0.75 L/s each.
    assert_relative_eq!(of(&all, Arrangement::Basins).share(), 4.0 * 0.75 / 8.0, max_relative = 1e-6);
    let costed: Vec<Costed> = all.into_iter().map(|option| Costed { option, price: None }).collect();
    let best = recommend(&costed, Length::from_m(0.6), None).place.unwrap();
    assert_eq!(costed[best].option.arrangement, Arrangement::Swale);
    assert_relative_eq!(costed[best].dug().unwrap().as_m3(), 3.2068 + 0.6589, epsilon = 1e-2);
    // The V is 0.10777 + 0.075 m deep with sides of 3:1, 1.097 m wide: 0.55 m inside the lot there is room for it, 0.54 m inside not, for
    // neither of the two.
    let best_at = |setback_m| {
        let best = recommend(&costed, Length::from_m(setback_m), None).place.unwrap();
        costed[best].option.arrangement
    };
    assert_eq!(best_at(0.55), Arrangement::Swale);
    assert!(!matches!(best_at(0.2), Arrangement::Swale | Arrangement::SwaleOverDrain));
    assert!(best_at(0.54) != Arrangement::Swale);
}

// What the stone doesn't take, 8 L/s x (1 - 0.4523), runs y deep in the V at 1 %: y = (Q 0.06 / 0.182466)^(3/8); the bed lies y + 0.075 m
// below the lawn, and over the pipe there is as much ground as asked for, from the bed. Dug: the trench of 0.4071 x 0.50625 m from the bed,
// the V, 3 (y + 0.075)^2, and the two triangles over the trench beside its point, 0.20355^2 / 3.
#[test]
fn a_pipe_under_a_swale_is_covered_from_its_bed() {
    let way = way_down(0.02);
    let all = plane(8.0);
    let option = of(&all, Arrangement::SwaleOverDrain);
    let bed_m = (0.008 * (1.0 - 0.4523) * 0.06 / 0.182_466_f64).powf(0.375) + 0.075;
    assert_relative_eq!(option.swale.as_ref().unwrap().bed.shaped().as_m(), bed_m, epsilon = 1e-4);
    let profile = option.profile(way.profile().unwrap());
    let mut on_line = 0;
    for (lower, at) in profile.stations().iter().zip(way.profile().unwrap().stations()) {
        let over = if at.station_m <= 32.0 + 1e-6 { bed_m } else { 0.0 };
        assert_relative_eq!(lower.ground_m, at.ground_m - over, epsilon = 1e-4);
        if at.station_m < 31.5 {
            on_line += 1;
            let [_, cover] = option.trench_at(at.station_m).unwrap();
            // 4 in smooth has 0.10405 m from its invert to its top, the pipe that the way is laid with 0.1016 m.
            assert!(cover.as_m() >= 0.3 - 0.10405 + 0.1016 - 1e-6, "{cover:?} at {}", at.station_m);
        }
    }
    assert!(on_line > 30);
    let built = option.built.as_ref().unwrap();
    let v_m2 = 3.0 * bed_m * bed_m + 0.203_55 * 0.203_55 / 3.0;
    assert_relative_eq!(built.beside.dug.as_m3(), 32.0 * v_m2, epsilon = 5e-3);
    let taken = take_off(built.line.as_ref().unwrap());
    assert!(taken.dug.as_m3() >= 0.4071 * 0.506_25 * 32.0 - 1e-3, "{taken:?}");
}

// The inlet lies so high that the pipe of 2 % reaches it as it is laid below the lawn, and not below the swale's bed.
#[test]
fn a_swale_over_a_pipe_that_finds_no_fall_below_it_is_not_built() {
    let way = way_over(&|x| 10.0 - 0.02 * x, OutletKind::StormInlet, 8.75);
    let all = options(&way, 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
    assert!(of(&all, Arrangement::OnePipe).built.is_ok());
    let over = of(&all, Arrangement::SwaleOverDrain);
    assert_eq!(over.built, Err(NotBuilt::UnderSwale));
}

// Ground of 0.2 %: the pipe falls 1 %, and grass would hold water.
#[test]
fn ground_too_flat_rules_a_swale_out() {
    let all = options(&way_down(0.002), 8.0, "bare-stone", &Catalogue::ordinary().unwrap());
    let swale = of(&all, Arrangement::Swale);
    assert_relative_eq!(swale.share(), 0.0);
    assert!(!swale.carries());
    assert_relative_eq!(
        of(&all, Arrangement::OnePipe).reaches[0].reach.grade.get(),
        0.01,
        max_relative = 1e-6
    );
}

#[test]
fn a_part_that_ends_at_its_outlet_is_tied_in_by_one_solid_pipe() {
    let way = way_down(0.02);
    let profile = way.profile().unwrap();
    let all = reaches(profile, 36.0, &|m| m / 36.0, Flow::from_l_per_s(9.0)).unwrap();
    let [line, lead] = &all[..] else { panic!("line and its last half metre") };
    assert_eq!(lead.place, ReachPlace::Lead);
    assert_relative_eq!(lead.to_m - lead.from_m, 0.5, epsilon = 1e-3);
    assert_relative_eq!(lead.flow.as_l_per_s(), 9.0);
    assert_relative_eq!(line.flow.as_l_per_s(), 9.0 * 35.5 / 36.0, epsilon = 1e-3);
}

#[test]
fn a_cover_that_does_not_hold_the_finish_is_told_and_not_built() {
    // 0.2 m of topsoil and 0.1 m of stone over the pipe need more than the 0.3 m of cover leave with a wider pipe.
    let all = options(&way_down(0.02), 8.2, "unirrigated-seed", &Catalogue::ordinary().unwrap());
    let one = of(&all, Arrangement::OnePipe);
    assert_eq!(one.reaches[0].pipe.key(), "150-corrugated");
    assert!(matches!(one.built, Err(NotBuilt::Depth(_))), "{:?}", one.built);
}

#[test]
fn a_catalogue_without_holes_leaves_the_arrangements_without_stone() {
    let mut pipes = Catalogue::ordinary().unwrap().pipes().to_vec();
    for pipe in &mut pipes {
        pipe.inlet_cm2_per_m = 0.0;
    }
    let all = options(&way_down(0.02), 8.0, "bare-stone", &Catalogue::new(pipes).unwrap());
    let found: Vec<Arrangement> = all.iter().map(|option| option.arrangement).collect();
    assert_eq!(found, [Arrangement::Swale, Arrangement::Basins]);
}

// 20 L/s at 15 %. 4 in smooth, perforated: 1.01434 x 7.5^(1/2) = 2.778 m/s just full, 22.3 L/s; nearly full 1.13 times as fast. The widest
// corrugated pipe, 15 in, n 0.020: full 4.04 m/s and 0.46 m3/s, at 4 % of that half as fast. All above the 5 ft/s (1.524 m/s) that
// loam bears without protection. Fabric lies between it and the stone, all round or on bottom and sides below bare stone: by NRCS
// standard 606 that protects, and the 15 ft/s (4.572 m/s) of a protected pipe count.
#[test]
fn in_fabric_a_pipe_may_run_faster_than_bare_soil_bears() {
    let way = way_down(0.15);
    for finish in ["bare-stone", "irrigated-lawn"] {
        let all = options(&way, 20.0, finish, &Catalogue::ordinary().unwrap());
        let one = of(&all, Arrangement::OnePipe);
        assert_eq!(
            (one.reaches[0].verdict, one.reaches[0].pipe.key()),
            (ReachVerdict::Carries, "100-smooth".to_owned()),
            "{finish}"
        );
        assert!(one.reaches[0].velocity.as_ft_per_s() > 5.0);
    }
}

// 70 L/s at 20 %, the steepest that is laid, with smooth pipe up to 8 in alone. 6 in, perforated (0.1502 m, n 0.012): (0.1502 / 4)^(2/3) =
// 0.1121; x 0.2^(1/2) / 0.012 = 4.18 m/s just full, 74 L/s; at 70 / 74 = 0.95 of that flow, by the part-full curve of a circle (Chow 1959,
// figure 6-5, from memory), about 1.14 times as fast: 4.76 m/s, above 15 ft/s (4.572 m/s). 8 in (0.2012 m: 5.08 m/s full, 161 L/s), at 0.43
// of that about 0.96 times as fast: 4.9 m/s. None keeps it: the smallest that carries it is taken, and that it runs too fast is said.
#[test]
fn water_faster_than_a_protected_pipe_bears_is_said() {
    let way = way_down(0.2);
    let ordinary = Catalogue::ordinary().unwrap();
    let smooth =
        ordinary.pipes().iter().filter(|pipe| pipe.wall == PipeWall::Smooth && pipe.nominal_mm <= 200.0);
    let all = options(&way, 70.0, "bare-stone", &Catalogue::new(smooth.cloned().collect()).unwrap());
    let one = of(&all, Arrangement::OnePipe);
    assert_eq!(
        (one.reaches[0].verdict, one.reaches[0].pipe.key()),
        (ReachVerdict::TooFast, "150-smooth".to_owned())
    );
    assert!(!one.carries());
}

// `docs/methods.md`, "Drain of a part": the table there is worked out again, and the program's answer held against it.
#[test]
fn the_reach_of_the_documents_is_the_programs() {
    let text = include_str!("../../../../docs/methods.md");
    let table = text.split("<!-- reach by hand -->").nth(1).unwrap().split("<!-- /").next().unwrap();
    let all = plane(8.0);
    let option = of(&all, Arrangement::OnePipe);
    let mut compared = 0;
    for (row, sized) in table.lines().filter(|line| line.starts_with("| l")).zip(&option.reaches) {
        let cells: Vec<f64> = row.split('|').skip(2).filter_map(|cell| cell.trim().parse().ok()).collect();
        let [d, n, percent, from_m, to_m, flow, carries] = cells[..] else { panic!("{row}") };
        let area = std::f64::consts::PI * d * d / 4.0;
        let by_hand = 1000.0 * area * (d / 4.0).powf(2.0 / 3.0) * (percent / 100.0).sqrt() / n;
        assert_relative_eq!(by_hand, carries, epsilon = 2e-3);
        assert_relative_eq!(sized.capacity.as_l_per_s(), carries, epsilon = 2e-3);
        assert_relative_eq!(sized.pipe.inside().as_m(), d, epsilon = 5e-5);
        assert_relative_eq!(sized.reach.grade.get() * 100.0, percent, epsilon = 5e-3);
        assert_relative_eq!(sized.reach.from_invert_m, from_m, epsilon = 1e-3);
        assert_relative_eq!(sized.reach.to_invert_m, to_m, epsilon = 1e-3);
        assert_relative_eq!(sized.reach.flow.as_l_per_s(), flow, epsilon = 5e-3);
        compared += 1;
    }
    assert_eq!(compared, 2);
}

// 2 L/s of another part come in at 16 m. Half way down, at 20 m: 0.25 x 20 + 2 = 7 L/s; at 16 m 6, at 15 m 3.75. The pipe of 6 in that 10 L/s
// ask for has 2 L/s less to spare for the part's own 8 L/s, which are all in it at the lower end of line and lead.
#[test]
fn what_joins_is_in_the_pipe_and_takes_its_room() {
    let way = way_down(0.02);
    let catalogue = smooth();
    let joined = [Joined { station_m: 16.0, flow: Flow::from_l_per_s(2.0), size: Length::ZERO }];
    let all = options_with(&way, 8.0, ("bare-stone", &catalogue), &joined, &End::Structure);
    let growth = Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap();
    let one = of(&all, Arrangement::OnePipe);
    for (station_m, l_per_s) in [(15.0, 3.75), (16.0, 6.0), (20.0, 7.0), (36.0, 10.0)] {
        assert_relative_eq!(one.flow_at(&growth, station_m).as_l_per_s(), l_per_s, epsilon = 1e-9);
    }
    let d = one.reaches[0].pipe.inside().as_m();
    assert!(d > 0.14 && d < 0.16, "{d}");
    let full = std::f64::consts::PI * d * d / 4.0 * (d / 4.0).powf(2.0 / 3.0) * 0.02_f64.sqrt() / 0.012;
    assert_relative_eq!(one.capacity().as_l_per_s(), 1000.0 * full - 2.0, max_relative = 1e-6);
    // Basins take no more than their grates let in, whatever the pipe could carry.
    let basins = of(&all, Arrangement::Basins);
    let grates = usual_grate().unwrap() * f64::from(u32::try_from(basins.basins.len()).unwrap());
    assert!(basins.capacity() <= grates, "{:?}", basins.capacity());
}

// 3 L/s of its own: 3 in smooth carries 4.221 L/s. A pipe of 6 in that brings 0.1 L/s at 20 m goes on in none that is called less, of
// either kind of wall (150 mm), though 3.1 L/s would fit; without it 3 in is enough. Where it comes in at the lead, the part keeps 3 in.
#[test]
fn below_a_joint_no_pipe_is_smaller_than_what_came_in() {
    let way = way_down(0.02);
    let catalogue = Catalogue::ordinary().unwrap();
    let sizes = |joined: &[Joined], arrangement| -> Vec<f64> {
        let all = options_with(&way, 3.0, ("bare-stone", &catalogue), joined, &End::Structure);
        of(&all, arrangement).reaches.iter().map(|sized| sized.pipe.nominal_mm).collect()
    };
    let comes_in =
        |station_m: f64| [Joined { station_m, flow: Flow::from_l_per_s(0.1), size: Length::from_mm(150.0) }];
    assert_eq!(sizes(&[], Arrangement::OnePipe), [75.0, 75.0]);
    for arrangement in [Arrangement::OnePipe, Arrangement::TwoPipes, Arrangement::Basins] {
        assert_eq!(sizes(&comes_in(20.0), arrangement), [150.0, 150.0], "{arrangement:?}");
    }
    assert_eq!(sizes(&comes_in(34.0), Arrangement::OnePipe), [75.0, 150.0]);
}

/// Ground of 2 % down to x = 37 and a bank of 1:4 below it, at the foot of which the pipe comes out: at x = 40, 36 m down the way, at
/// 10 - 0.74 - 0.75 = 8.51 m.
fn bank(x: f64) -> f64 {
    10.0 - 0.02 * x.min(37.0) - 0.25 * (x - 37.0).max(0.0)
}

// The trench ends where pipe and sod fill it: there the invert lies the inside diameter, one wall and the sod below the ground. The pipe
// goes on to its mouth, 36 m in all.
#[test]
fn a_drain_that_ends_in_the_open_is_dug_as_far_as_pipe_and_sod_fill_it() {
    let way = way_over(&bank, OutletKind::Daylight, 8.51);
    let catalogue = Catalogue::ordinary().unwrap();
    let all = options_with(&way, 8.0, ("bare-stone", &catalogue), &[], &End::Daylight);
    let sod_m = Materials::built_in().finish("unirrigated-lawn").unwrap().sod().as_m();
    for arrangement in [Arrangement::OnePipe, Arrangement::TwoPipes, Arrangement::Basins] {
        let option = of(&all, arrangement);
        let built = option.built.as_ref().unwrap_or_else(|cause| panic!("{arrangement:?}: {cause}"));
        let line = built.line.as_ref().unwrap();
        let last = line.legs().last().unwrap();
        let ends_m = last.cuts.to().as_m();
        assert!(ends_m < 35.9 && line.beyond().as_m() > 0.1, "{ends_m}");
        assert_relative_eq!(line.length().as_m() + line.beyond().as_m(), 36.0, epsilon = 1e-6);
        let pipe = last.section.pipe();
        let wall_m = 0.5 * (pipe.outside().as_m() - pipe.inside().as_m());
        let over_invert_m = bank(4.0 + ends_m) - way.profile().unwrap().invert_at(ends_m);
        assert_relative_eq!(over_invert_m, pipe.inside().as_m() + wall_m + sod_m, epsilon = 1e-6);
        assert!(option.trench_at(35.99).is_none() && option.is_beyond_trench(35.99));
    }
    let built = |end| {
        let all = options_with(&way, 8.0, ("bare-stone", &catalogue), &[], &end);
        of(&all, Arrangement::OnePipe).built.is_ok()
    };
    assert!(!built(End::Structure), "nothing ends early that is tied in");
}

// Ground that falls 6 % at the end and a pipe that falls less: its top comes out by itself within an end piece or so. The lead's last
// bend, 1 m before the mouth, lies beyond the trench and is a fitting all the same.
#[test]
fn an_end_piece_is_short_and_its_bends_are_counted() {
    let foot = |x: f64| 10.0 - 0.02 * x.min(31.0) - 0.06 * (x - 31.0).max(0.0);
    let mut way = way_over(&foot, OutletKind::Ditch, foot(40.0));
    let mouth = way.path.0.pop().unwrap();
    way.path.0.extend([Coord { x: mouth.x - 1.0, y: mouth.y }, Coord { x: mouth.x - 1.0, y: mouth.y - 1.0 }]);
    let catalogue = Catalogue::ordinary().unwrap();
    let all = options_with(&way, 8.0, ("bare-stone", &catalogue), &[], &End::Daylight);
    let built = of(&all, Arrangement::OnePipe).built.as_ref().unwrap();
    let line = built.line.as_ref().unwrap();
    assert!((1.0..=6.0).contains(&line.beyond().as_m()), "{:?}", line.beyond());
    assert_eq!((line.bends().len(), line.bends_beyond()), (0, 1));
    let materials = Materials::built_in();
    let works = Works {
        lines: std::slice::from_ref(line),
        beside: &[],
        soil: materials.soil("loam").unwrap(),
        stone: materials.stone("57").unwrap(),
        settings: WorkSettings::usual(),
    };
    let rows = bill(&works, None).unwrap().value;
    let bends = rows.rows.iter().find(|row| row.item.starts_with("bend-"));
    assert_relative_eq!(bends.expect("a bend").quantity, 1.0);
}

// Where the cover runs out over the part itself stone ends there, and what comes beyond it doesn't count as taken.
#[test]
fn stone_ends_where_it_is_not_covered_any_more() {
    let foot = |x: f64| 10.0 - 0.02 * x.min(31.0) - 0.06 * (x - 31.0).max(0.0);
    let way = way_over(&foot, OutletKind::Ditch, foot(40.0));
    let catalogue = Catalogue::ordinary().unwrap();
    let all = options_with(&way, 8.0, ("bare-stone", &catalogue), &[], &End::Daylight);
    let one = of(&all, Arrangement::OnePipe);
    assert!(one.built.is_ok(), "{:?}", one.built);
    let ends_m = one.line().last().unwrap().reach.to_m;
    assert!(ends_m < 32.0 - 0.1 && ends_m > 20.0, "{ends_m}");
    // 1000 mm/h by the trench of each pipe, 0.3 m wider than that, of 0.25 L/s a metre, and nothing beyond.
    let width_m = |sized: &SizedReach| 0.001 * sized.pipe.outside_mm + 0.3;
    let taken = one.line().map(|sized| width_m(sized) / 3.6 * (sized.reach.to_m - sized.reach.from_m) / 8.0);
    assert_relative_eq!(one.taken_shares[0], taken.sum::<f64>(), epsilon = 1e-6);
    // The upper end would take all: what comes above the end of the stone gets in.
    assert_relative_eq!(one.taken_shares[1], ends_m / 32.0, epsilon = 1e-6);
    let growth = Growth::new(vec![(0.0, 0.0), (32.0, 1.0)]).unwrap();
    let flow = Flow::from_l_per_s(8.0);
    let profile = way.profile().unwrap();
    let part = DrainPart {
        flow,
        growth: &growth,
        way: &way,
        profile,
        joined: &[],
        end: &End::Daylight,
        least_inside: Length::ZERO,
    };
    assert_relative_eq!(loaded(one, &part).unwrap().taken_shares[1], ends_m / 32.0, epsilon = 1e-6);
}
