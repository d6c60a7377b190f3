//! Whatever bytes come, the reader of rainfall tables gives a sound table or a refusal, soon.
//!
//! The fuzz target `fuzz/fuzz_targets/rain_table.rs` does the same where a nightly toolchain is at hand.

#![expect(clippy::unwrap_used, reason = "a property that fails may well panic")]

use lotshed::input::{RainTable, read_rain_table};
use lotshed::units::{ReturnPeriod, Time};
use proptest::prelude::*;
use std::fmt::Write;
use std::path::Path;
use std::time::{Duration, Instant};

/// Invented tables in each layout, with bounds, and with rounded intensities; the corpus of the fuzz target holds the same.
const SEEDS: [&[u8]; 8] = [
    include_bytes!("../fuzz/corpus/rain_table/plain.csv"),
    include_bytes!("../fuzz/corpus/rain_table/plain-intensity.csv"),
    include_bytes!("../fuzz/corpus/rain_table/point-frequency.csv"),
    include_bytes!("../fuzz/corpus/rain_table/chances.csv"),
    include_bytes!("../fuzz/corpus/rain_table/station.txt"),
    include_bytes!("../fuzz/corpus/rain_table/bounds.csv"),
    include_bytes!("../fuzz/corpus/rain_table/rounded.csv"),
    include_bytes!("../fuzz/corpus/rain_table/rates.csv"),
];
/// Far more than a small table needs, even on a busy machine.
const SOON: Duration = Duration::from_secs(5);

/// More than any message needs, however long the table's own words are.
const LONGEST_MESSAGE: usize = 500;

/// Reads, and holds a table that comes out against what every table must be.
fn read(bytes: &[u8]) -> Result<bool, TestCaseError> {
    let begun = Instant::now();
    let found = read_rain_table(Path::new("any.csv"), bytes);
    prop_assert!(begun.elapsed() < SOON, "{:?} for {} bytes", begun.elapsed(), bytes.len());
    match found {
        Ok(found) => sound(&found.value).map(|()| true),
        Err(error) => {
            let message = error.to_string();
            prop_assert!(message.starts_with("any.csv"));
            prop_assert!(message.chars().count() <= LONGEST_MESSAGE, "{message}");
            prop_assert!(!message.contains(char::is_control), "{message:?}");
            Ok(false)
        }
    }
}

fn sound(table: &RainTable) -> Result<(), TestCaseError> {
    let (durations, periods) = (table.durations(), table.periods());
    prop_assert!(durations.len() >= 2 && !periods.is_empty());
    prop_assert!(durations.windows(2).all(|pair| pair[0] < pair[1]));
    prop_assert!(periods.windows(2).all(|pair| pair[0] < pair[1]));
    for row in 0..durations.len() {
        for column in 0..periods.len() {
            let depth = table.at(row, column).unwrap();
            prop_assert!(depth.as_m() > 0.0 && depth.as_m().is_finite());
            prop_assert!(row == 0 || table.at(row - 1, column).unwrap() <= depth);
            prop_assert!(column == 0 || table.at(row, column - 1).unwrap() <= depth);
        }
    }
    Ok(())
}

/// One change to a table's bytes.
#[derive(Debug, Clone)]
enum Change {
    Put(usize, u8),
    Insert(usize, Vec<u8>),
    Cut(usize, usize),
    Repeat(usize, usize),
}

fn change() -> impl Strategy<Value = Change> {
    let pieces = prop::sample::select(vec![
        b",".to_vec(),
        b"\n".to_vec(),
        b"\"".to_vec(),
        b"-".to_vec(),
        b"0".to_vec(),
        b"999999999999".to_vec(),
        b"depth in".to_vec(),
        b"5-min:, ".to_vec(),
        b"by duration for ARI (years):, 1,2\n".to_vec(),
        b"Table 2a (mm)\n".to_vec(),
        b"\xC3".to_vec(),
        b";".to_vec(),
    ]);
    prop_oneof![
        (any::<usize>(), any::<u8>()).prop_map(|(at, byte)| Change::Put(at, byte)),
        (any::<usize>(), pieces).prop_map(|(at, piece)| Change::Insert(at, piece)),
        (any::<usize>(), 1..40_usize).prop_map(|(at, length)| Change::Cut(at, length)),
        (any::<usize>(), 1..80_usize).prop_map(|(at, length)| Change::Repeat(at, length)),
    ]
}

fn changed(seed: &[u8], changes: &[Change]) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    for change in changes {
        let length = bytes.len().max(1);
        match change {
            Change::Put(at, byte) => {
                if let Some(place) = bytes.get_mut(at % length) {
                    *place = *byte;
                }
            }
            Change::Insert(at, piece) => {
                let at = (at % length).min(bytes.len());
                bytes.splice(at..at, piece.iter().copied());
            }
            Change::Cut(at, count) => {
                let at = (at % length).min(bytes.len());
                bytes.drain(at..(at + count).min(bytes.len()));
            }
            Change::Repeat(at, count) => {
                let at = (at % length).min(bytes.len());
                let piece = bytes[at..(at + count).min(bytes.len())].to_vec();
                bytes.splice(at..at, piece);
            }
        }
    }
    bytes
}

#[test]
fn the_seeds_are_sound_tables() {
    for seed in SEEDS {
        assert!(read(seed).unwrap(), "{}", String::from_utf8_lossy(seed));
    }
}

/// What the fuzz target found first, and the like of it: messages that repeated the words of a file whole, with marks that
/// terminals obey.
#[test]
fn what_fuzzing_found_is_read_or_refused() {
    let long =
        |head: &str, piece: &str, tail: &str| format!("{head}{}{tail}", piece.repeat(4000)).into_bytes();
    for bytes in [
        b"# An i(mm)nvented table\ndepth mm,2 yr,10 yr,100 yr\n5 min,7.1,10.4,15.0\n24 h,55,80,\x9c121\n"
            .to_vec(),
        b"depth mm;2\x0b yr\n5 min;\x1b[2J\n".to_vec(),
        long("depth mm;2 yr\n5 min;6,", "5", "\n"),
        long("depth mm,2 yr\n5 min,6", "5", ",5\n"),
        long("depth mm,2 yr\n5", " ", "min,\n"),
        long("depth mm,2", " ", "yr\n5 min,\n"),
    ] {
        assert!(!read(&bytes).unwrap(), "{}", String::from_utf8_lossy(&bytes));
    }
}

/// Text made to be slow: few lines, many cells; many lines, few cells.
#[test]
fn large_files_are_read_or_refused_soon() {
    const LARGE: usize = 4 * 1024 * 1024 - 64;
    for piece in [
        ",",
        "\n",
        "\"",
        "5 min,1\n",
        "Duration,Duration in min,\n",
        "by duration for\n",
        "Table 2a (mm)\n",
        "\u{e9}",
    ] {
        for head in ["", "depth mm,2\n", "by duration for ARI (years):, 1\n"] {
            let text = format!("{head}{}", piece.repeat(LARGE / piece.len()));
            assert!(!read(text.as_bytes()).unwrap(), "{head}{piece}");
        }
    }
    // A hundred thousand rows that rise.
    let rows = |first: u32| -> String {
        let mut text = String::from("depth mm,2\n");
        for minute in first..=100_000 {
            writeln!(text, "{minute} min,{}.0", 101 + minute / 100).unwrap();
        }
        text
    };
    assert!(!read(rows(1).as_bytes()).unwrap(), "101 mm in a minute");
    assert!(read(rows(6).as_bytes()).unwrap());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read(&bytes)?;
    }

    #[test]
    fn changed_tables(seed in 0..SEEDS.len(), changes in prop::collection::vec(change(), 1..6)) {
        read(&changed(SEEDS[seed], &changes))?;
    }

    /// Random sound tables of ours come back, and never rain less in a longer or rarer storm.
    #[test]
    fn tables_of_ours_rise(
        steps in prop::collection::vec((1.02..2.0_f64, 0.0..1.0_f64), 1..8),
        columns in prop::collection::vec(1.0..1.6_f64, 1..5),
        asked in prop::collection::vec((0.0..1.0_f64, 0.0..1.0_f64), 2),
    ) {
        let mut text = String::from("depth mm,1");
        for place in 0..columns.len() {
            write!(text, ",{}", 1 << (place + 1)).unwrap();
        }
        let (mut minutes, mut mm) = (10.0_f64, 10.0_f64);
        for (longer, more) in std::iter::once(&(1.0, 0.0)).chain(&steps) {
            minutes *= longer;
            // Never more than twice the rain, which fits in at most twice the time.
            mm *= 1.0 + more * (longer - 1.0).min(0.9);
            write!(text, "\n{minutes:.6} min,{mm:.6}").unwrap();
            let mut depth = mm;
            for factor in &columns {
                depth *= factor;
                write!(text, ",{depth:.6}").unwrap();
            }
        }
        let table = read_rain_table(Path::new("ours.csv"), text.as_bytes()).map_err(|e| TestCaseError::fail(e.to_string()))?.value;
        let last = table.periods()[columns.len()].get();
        let at = |(d, p): (f64, f64)| {
            let duration = Time::from_s(table.durations()[0].as_s() * 0.5 + d * 0.99 * (table.durations()[steps.len()].as_s() - table.durations()[0].as_s() * 0.5));
            table.depth(duration, ReturnPeriod::new(last.powf(p)).unwrap()).unwrap().depth.as_m()
        };
        let (a, b) = (asked[0], asked[1]);
        let low = at((a.0.min(b.0), a.1.min(b.1)));
        let high = at((a.0.max(b.0), a.1.max(b.1)));
        prop_assert!(high >= low * (1.0 - 1e-12), "{low} then {high} in\n{text}");
    }
}
