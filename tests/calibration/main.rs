//! explorer
mod world;
use rayon::prelude::*;
use world::{Kind, told};

fn run(kind: Kind, ranges: &[f64], rmse: (f64, f64), n: u64, m: usize) {
    let start = std::time::Instant::now();
    let all: Vec<_> = (0..n).into_par_iter().map(|w| told(kind, ranges, rmse, m, w)).collect();
    println!("== {kind:?} ranges {ranges:?} rmse {rmse:?}: {n} worlds, {:.1} s", start.elapsed().as_secs_f64());
    let mut bins = vec![(0usize, 0.0, 0usize, Vec::<f64>::new()); 10];
    for t in &all {
        let mut res = [0.0; 10];
        for &(p, hit) in &t.claims {
            let b = ((p * 10.0) as usize).min(9);
            bins[b].0 += 1; bins[b].1 += p; bins[b].2 += hit as usize;
            res[b] += f64::from(u8::from(hit)) - p;
        }
        for b in 0..10 { bins[b].3.push(res[b]); }
    }
    for (i, (c, s, h, r)) in bins.iter().enumerate() {
        let sum: f64 = r.iter().sum();
        let se = r.iter().map(|x| x * x).sum::<f64>().sqrt();
        println!("  bin {i}: {c:5} stated {:.3} seen {:.3}  z {:.2}", s / *c as f64, *h as f64 / *c as f64, sum / se);
    }
    let brier: f64 = all.iter().flat_map(|t| &t.claims).map(|&(p, h)| (p - f64::from(u8::from(h))).powi(2)).sum();
    let inside = |x: &([f64; 2], f64)| x.0[0] - 1e-6 <= x.1 && x.1 <= x.0[1] + 1e-6;
    let cov = |list: Vec<&([f64; 2], f64)>| { let n = list.len(); let k = list.iter().filter(|x| inside(x)).count();
        let lo = list.iter().filter(|x| x.1 < x.0[0]-1e-6).count();
        let w: f64 = list.iter().map(|x| x.0[1]-x.0[0]).sum::<f64>() / n as f64;
        format!("{:.3} of {n} (below {:.3}) width {w:.1}", k as f64 / n as f64, lo as f64 / n as f64) };
    println!("  brier {:.4}  run-on {}", brier / all.iter().map(|t| t.claims.len()).sum::<usize>() as f64, cov(all.iter().map(|t| &t.run_on).collect()));
    println!("  areas {}; low>0 {}", cov(all.iter().flat_map(|t| &t.areas).collect()), cov(all.iter().flat_map(|t| &t.areas).filter(|x| x.0[0] > 0.0).collect()));
    println!("  shares {}; high>0.01 {}", cov(all.iter().flat_map(|t| &t.shares).collect()), cov(all.iter().flat_map(|t| &t.shares).filter(|x| x.0[1] > 0.01).collect()));
}

#[test]
fn explore() {
    let n = std::env::var("WORLDS").map_or(200, |v| v.parse().unwrap());
    let rm: Vec<f64> = std::env::var("RMSE").map_or(vec![0.02, 0.10], |v| v.split(',').map(|x| x.parse().unwrap()).collect());
    let m = std::env::var("REALS").map_or(96, |v| v.parse().unwrap());
    for kind in [Kind::Plane, Kind::Rolling, Kind::Rough] {
        for ranges in [&[0.0, 5.0, 20.0, 60.0]] {
            run(kind, ranges, (rm[0], rm[1]), n, m);
        }
    }
}
