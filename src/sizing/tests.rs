use super::*;
use crate::output::Units;
use crate::units::{Area, CurveNumber, Flow, Grade, Length, RainIntensity, RunoffCoefficient, Time};
use approx::assert_relative_eq;

fn nothing() -> Question {
    Question {
        slope: None,
        rain: None,
        least_time: Time::from_min(5.0),
        flow: None,
        grade: None,
        storm: None,
        graphical: None,
    }
}

fn figure<'a>(sheet: &'a Sheet, name: &str) -> &'a Figure {
    sheet.figures.iter().find(|f| f.name == name).unwrap_or_else(|| panic!("no {name}"))
}

fn codes(sheet: &Sheet) -> Vec<&str> {
    sheet.warnings.iter().map(|w| w.code).collect()
}

// By hand, hydrology checks 1.1: 0.35 x 4 in/h x 8600 ft2 / 43200 = 0.278 70 cfs.
#[test]
fn area_coefficient_and_intensity_give_the_flow() {
    let coefficient = RunoffCoefficient::new(0.35).unwrap();
    let sheet = size(&Question {
        rain: Some(RainQuestion::Steady(RainIntensity::from_in_per_h(4.0), None)),
        flow: Some(FlowQuestion::Rational(coefficient, Area::from_ft2(8600.0))),
        ..nothing()
    })
    .unwrap();
    let Value::Flow(flow) = figure(&sheet, "peak flow").value else { panic!("no flow") };
    assert_relative_eq!(flow.as_ft3_per_s(), 0.278_704, epsilon = 1e-6);
    assert!(codes(&sheet).is_empty() && sheet.drain.is_none());
    assert!(sheet_text(&sheet, Units::Us).contains("peak flow: 125 gpm"));
}

// TR-55 (1986), table 2-1: 2.05 in at 4.5 in and CN 75; 0.29 in at 1.8 in; 0 at 1.0 in and CN 40.
#[test]
fn rain_and_curve_number_give_the_runoff_and_say_where_the_method_ends() {
    for (rain, number, expected, found_codes) in [
        (4.5, 75.0, 2.05, vec![]),
        (1.8, 75.0, 0.29, vec!["runoff-below-method"]),
        (1.0, 40.0, 0.0, vec!["runoff-below-method"]),
        (15.0, 39.9, 5.33, vec!["curve-number-below-method"]),
    ] {
        let storm = StormQuestion {
            rain: StormRain::given(Length::from_in(rain)),
            ground: StormGround::Number(CurveNumber::new(number).unwrap(), None),
        };
        let sheet = size(&Question { storm: Some(storm), ..nothing() }).unwrap();
        let Value::Depth(depth) = figure(&sheet, "runoff depth").value else { panic!("no depth") };
        assert!((depth.as_in() - expected).abs() < 0.02, "{}", depth.as_in());
        assert_eq!(codes(&sheet), found_codes);
    }
}

// FHWA HDS-2 section 5.3.1: the rational method is meant for up to 80 ha.
#[test]
fn an_area_beyond_the_method_is_said() {
    let sheet = |ha| {
        let flow = FlowQuestion::Rational(RunoffCoefficient::new(0.35).unwrap(), Area::from_ha(ha));
        let rain = RainQuestion::Steady(RainIntensity::from_mm_per_h(50.0), None);
        size(&Question { rain: Some(rain), flow: Some(flow), ..nothing() }).unwrap()
    };
    assert!(codes(&sheet(80.0)).is_empty());
    assert_eq!(codes(&sheet(80.1)), ["area-beyond-rational-method"]);
}

// HDS-2 equation 2.5; NEH 630.15 equation 15-9 ends the sheet at 100 x 0.04^0.5 / 0.24 = 83.3 ft, so 83 ft are all sheet.
#[test]
fn a_short_way_in_steady_rain_takes_the_time_of_the_sheet() {
    let grade = Grade::new(0.04).unwrap();
    let way = Way { length: Length::from_ft(83.0), grade, over: WayGround::lawn() };
    let rain = RainIntensity::from_in_per_h(4.0);
    let ask = |least| {
        let rain = RainQuestion::Steady(rain, Some(way.clone()));
        size(&Question { rain: Some(rain), least_time: Time::from_min(least), ..nothing() }).unwrap()
    };
    let expected = 6.9 / 101.6_f64.powf(0.4) * (0.24 * 83.0 * 0.3048 / 0.2_f64).powf(0.6);
    let Value::Time(time) = figure(&ask(5.0), "time of concentration").value else { panic!("no time") };
    assert_relative_eq!(time.as_min(), expected, max_relative = 1e-9);
    assert_eq!(codes(&ask(60.0)), ["least-time-governs"]);
}

// Manning in feet by hand: 4 in (0.3333 ft) smooth would carry 92.5 gpm with n 0.012; 125 gpm asks for 6 in.
#[test]
fn flow_and_grade_give_pipes_and_swale() {
    let ask = |gpm| {
        let flow = Some(FlowQuestion::Given(Flow::from_gal_per_min(gpm)));
        size(&Question { flow, grade: Some(Grade::new(0.01).unwrap()), ..nothing() }).unwrap()
    };
    let sheet = ask(125.0);
    let drain = sheet.drain.as_ref().unwrap();
    let inch = drain.smooth_pipe.as_ref().unwrap().fit().unwrap().size.nominal_in;
    assert_relative_eq!(inch, 6.0);
    assert_eq!(drain.pipes.len(), 14);
    assert!(codes(&sheet).is_empty());
    assert_eq!(codes(&ask(1e5)), ["no-pipe-fits"]);
}
