//! How soon a pipe that comes out in the open may lose its cover.

use super::limits::LimitsError;
use super::outfall::{OPEN_M, RunOut};
use super::{GroundPoint, Outfall, ProfileLimits, fits};

/// Halvings of the length that is looked for: 150 m to a tenth of a millimetre.
const HALVINGS: usize = 20;

/// The limits with the shortest run-out of a mouth in the open with which a pipe fits; with the longest
/// where none does.
///
/// # Method
/// Cover that runs out over [`OPEN_M`] where a pipe fits so, else over the least length up to `most_m`,
/// found by halving: the longer it is, the less depth is asked for anywhere. No more of it than
/// 10 m may stand out of the ground. A lead shorter than [`OPEN_M`]
/// has no room for more. On a plane of fall s a pipe of grade g gains s - g on the ground, so that the
/// depth D runs out over D / (s - g).
///
/// # Errors
/// As [`super::lay`].
pub fn with_run_out(
    ground: &[GroundPoint],
    limits: &ProfileLimits,
    most_m: f64,
) -> Result<ProfileLimits, LimitsError> {
    let most_m = limits.longest_run_out_m(most_m);
    let may_be_longer = matches!(limits.outfall(), Outfall::Open(_)) && most_m > OPEN_M;
    if !may_be_longer || fits(ground, limits)? {
        return Ok(*limits);
    }
    let long = |length_m: f64| limits.with_run_out(RunOut::Long(length_m));
    let (mut not_m, mut fitting_m) = (OPEN_M, most_m);
    if !fits(ground, &long(fitting_m))? {
        return Ok(long(fitting_m));
    }
    for _ in 0..HALVINGS {
        let middle_m = f64::midpoint(not_m, fitting_m);
        if fits(ground, &long(middle_m))? {
            fitting_m = middle_m;
        } else {
            not_m = middle_m;
        }
    }
    Ok(long(fitting_m))
}

#[cfg(test)]
mod tests {
    use super::super::Profile;
    use super::*;
    use crate::units::{Grade, Length};

    /// 40 m that fall so much by length, a place every metre.
    fn plane(fall: f64) -> Vec<GroundPoint> {
        (0..=40_u8)
            .map(f64::from)
            .map(|station_m| GroundPoint { station_m, ground_m: 100.0 - fall * station_m })
            .collect()
    }

    fn limits(ground: &[GroundPoint]) -> ProfileLimits {
        let mouth_m = ground[ground.len() - 1].ground_m;
        let m = Length::from_m;
        let grades = [0.005, 0.2].map(|grade| Grade::new(grade).unwrap());
        ProfileLimits::new(m(0.4), m(0.1), m(1.5), grades, Outfall::Open(mouth_m))
            .unwrap()
            .with_crown(m(0.125))
    }

    // The depth of 0.4 m runs out over 0.4 / (s - 0.005): at 3 % 16 m, at 2 % 26.667 m, and at 1.8 % 30.769
    // m; of these 0.125 / 0.4 stand out: 5, 8.333 and 9.615 m.
    #[test]
    fn a_plane_takes_its_depth_by_what_the_pipe_gains_on_it() {
        for (fall, over_m, bare_m) in
            [(0.03, 16.0, 5.0), (0.02, 26.666_667, 8.333_333), (0.018, 30.769_231, 9.615_385)]
        {
            let ground = plane(fall);
            let found = with_run_out(&ground, &limits(&ground), 40.0).unwrap();
            assert!((found.run_out_m() - over_m).abs() < 1e-3, "{fall}: {}", found.run_out_m());
            assert!((found.bare_m() - bare_m).abs() < 1e-3, "{fall}: {}", found.bare_m());
            let laid: Profile = super::super::lay(&ground, &found).unwrap().unwrap();
            let before = &laid.stations()[40 - 10];
            assert!((before.ground_m - before.invert_m - 10.0 * (fall - 0.005)).abs() < 1e-3, "{before:?}");
        }
    }

    // At 1.4 % it would take 44.4 m, but over 32 m 10 m of pipe stand out already: 0.4 - 32 x 0.009 = 0.112 m
    // are missing. With room for 15 m only 3 % don't serve either, while at 6 % the usual 10 m do, and nothing is changed.
    #[test]
    fn no_more_runs_out_than_there_is_room_and_need_for() {
        let gentle = plane(0.014);
        let found = with_run_out(&gentle, &limits(&gentle), 40.0).unwrap();
        let refused = super::super::lay(&gentle, &found).unwrap().unwrap_err();
        assert!((refused.shortfall_m - 0.112).abs() < 1e-9, "{refused:?}");
        let ground = plane(0.03);
        let short = with_run_out(&ground, &limits(&ground), 15.0).unwrap();
        assert!(!fits(&ground, &short).unwrap());
        let steep = plane(0.06);
        assert_eq!(with_run_out(&steep, &limits(&steep), 40.0).unwrap(), limits(&steep));
        let narrow = with_run_out(&ground, &limits(&ground), 6.0).unwrap();
        assert_eq!(narrow, limits(&ground), "a lead of 6 m");
    }
}
