//! The reader of rainfall tables: any bytes give a table or a refusal.
//!
//! `cargo +nightly fuzz run rain_table` (compiles GDAL once more).

#![no_main]

use libfuzzer_sys::fuzz_target;
use lotshed::input::read_rain_table;
use lotshed::units::{ReturnPeriod, Time};
use std::path::Path;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(found) = read_rain_table(Path::new("fuzz"), bytes) {
        let table = found.value;
        assert!(table.durations().len() >= 2);
        for period in table.periods() {
            let depths = table.durations().iter().map(|&duration| table.depth(duration, *period));
            let depths: Vec<f64> = depths.map(|rain| rain.expect("it is in the table").depth.as_m()).collect();
            assert!(depths.windows(2).all(|pair| pair[0] <= pair[1]));
        }
        // Outside its range a table refuses, and doesn't panic.
        let _ = table.depth(Time::from_s(f64::MAX), table.periods()[0]);
        if let Ok(rare) = ReturnPeriod::new(10_000.0) {
            let _ = table.intensity(table.durations()[0], rare);
        }
    }
});
