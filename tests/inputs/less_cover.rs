//! Less ground over the pipes is allowed, not asked for: whatever can be built with more stays possible.

use super::random_lots::ground;
use crate::common::answer::Answer;
use crate::common::bench::Bench;
use crate::common::lots::WGS84;
use crate::common::rough::rough_lots;

/// Share of the run-on that the line catches, by its proof.
fn caught(answer: &Answer) -> f64 {
    let of = |name: &str| answer.number(&format!("interception_line.balance_m2.{name}"));
    of("caught") / of("before")
}

// A smaller cover catches no less, or what was wanted, 0.95: each within half a point of the run-on, from which on laying deeper is worth it.
#[test]
fn a_smaller_allowed_cover_never_catches_less() {
    let (mut compared, mut deeper) = (0, 0);
    for (place, finish) in
        [(0, "irrigated-lawn"), (1, "unirrigated-lawn"), (2, "bare-stone"), (3, "unirrigated-lawn")]
    {
        let bench = Bench::new();
        ground(place).write(&bench.path("base.tif"));
        bench.write_json("base.geojson", &rough_lots().geojson(WGS84));
        for lot in ["C3", "B2"] {
            let run = |cover: &str| {
                let words = [
                    "--intensity",
                    "90mm/h",
                    "--coefficient",
                    "0.4",
                    "--finish",
                    finish,
                    "--min-cover",
                    cover,
                ];
                bench
                    .assess("base.tif", "base.geojson")
                    .lot(lot)
                    .with(&words)
                    .out(&format!("{lot}-{cover}"))
                    .run()
                    .usable()
            };
            let [less, more] = ["0.15m", "0.3m"].map(run);
            if less.at("interception_line.balance_m2").is_null() {
                continue;
            }
            compared += 1;
            let [own, other] = [caught(&less), caught(&more)];
            assert!(
                own >= other.min(0.95) - 0.0051,
                "{place} {lot} {finish}: {own} with less cover, {other} with more"
            );
            if let Some(told) = less.warning("laid-deeper-than-asked") {
                deeper += 1;
                assert!(told.contains("more than the 0.15 m"), "{told}");
            }
        }
    }
    assert!(compared > 5, "{compared} compared, {deeper} laid deeper");
}
