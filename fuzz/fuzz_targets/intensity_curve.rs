//! The reader of rainfall curves: any text gives a curve of rain that weakens with its duration, or a refusal.

#![no_main]

use libfuzzer_sys::{Corpus, fuzz_target};
use lotshed::formula::intensity_curve::IntensityCurve;
use lotshed::units::Time;

/// Durations that are asked for, minutes: to 60 days, as rainfall tables go.
const MINUTES: [f64; 9] = [1.0, 2.0, 5.0, 10.0, 60.0, 61.0, 1440.0, 14_400.0, 86_400.0];

fuzz_target!(|bytes: &[u8]| -> Corpus {
    let Ok(text) = std::str::from_utf8(bytes) else { return Corpus::Reject };
    match text.parse::<IntensityCurve>() {
        Ok(curve) => {
            assert_eq!(curve.words().parse::<IntensityCurve>().as_ref(), Ok(&curve), "{}", curve.words());
            let mut before = f64::INFINITY;
            for duration in MINUTES.map(Time::from_min) {
                let found = curve.intensity(duration).as_m_per_s();
                assert!(found.is_finite() && found > 0.0, "{} at {duration:?}", curve.words());
                assert!(found <= before * (1.0 + 1e-12), "{} at {duration:?}", curve.words());
                assert!(curve.worked(duration).contains(" = "));
                before = found;
            }
        }
        Err(refused) => assert!(!refused.to_string().is_empty()),
    }
    Corpus::Keep
});
