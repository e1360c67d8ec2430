//! `bench_chance`: how long a probability of conformity takes, in nanoseconds. Run it with
//! `--release` on a quiet machine; where it is not quiet, the fastest run says most:
//!
//! ```text
//! cargo run --release -p quarterturn-core --no-default-features --example bench_chance
//! ```
//!
//! Points by lot in and about a zone of radius 1 for several ellipses of uncertainty. The target
//! for the disc is 5 µs.

#[path = "common/lot.rs"]
mod lot;

use lot::Lot;
use quarterturn_core::chance::{Bivariate, GrowingBy, in_disc, in_growing_disc};
use std::hint::black_box;
use std::ops::Range;
use std::time::Instant;

fn main() {
    println!("{:<52} {:>10} {:>10}", "probability", "fastest ns", "median ns");
    for (name, long, short, reach) in [
        ("disc, u = R/10, inside", 0.1, 0.1, 0.0..0.7),
        ("disc, u = R/10, everywhere", 0.1, 0.1, 0.0..1.3),
        ("disc, u = R/10 and R/20, everywhere", 0.1, 0.05, 0.0..1.3),
        ("disc, u = R/40, near the boundary", 0.025, 0.025, 0.95..1.05),
        ("disc, u = R/4, everywhere", 0.25, 0.25, 0.0..1.3),
        ("disc, u = R, everywhere", 1.0, 1.0, 0.0..1.3),
        ("disc, thin ellipse R/10 by R/10000", 0.1, 1e-4, 0.0..1.3),
    ] {
        let points = points(long, short, reach);
        line(name, &points, 200, |of| in_disc(of, 1.0));
    }
    let near = points(0.1, 0.05, 0.0..1.3);
    let by = GrowingBy { departure: 0.1, standard: 0.05, with: [0.0; 2], most: 0.4 };
    line("growing disc, u = R/10 and R/20", &near, 5, |of| in_growing_disc(of, 0.9, &by));
    let thin = points(0.1, 1e-4, 0.0..1.3);
    line("growing disc, thin ellipse", &thin, 5, |of| in_growing_disc(of, 0.9, &by));
}

/// Two hundred points at a distance within `reach`, with an ellipse turned anyhow.
fn points(long: f64, short: f64, reach: Range<f64>) -> Vec<Bivariate> {
    let mut lot = Lot(1);
    let mut points = Vec::new();
    while points.len() < 200 {
        let mean = [0; 2].map(|_| reach.end * lot.next());
        let r = libm::hypot(mean[0], mean[1]);
        if r > reach.end || r < reach.start {
            continue;
        }
        let (s, c) = libm::sincos(3.2 * lot.next());
        let (a, b) = (long * long, short * short);
        let xy = (a - b) * s * c;
        let covariance = [[a * c * c + b * s * s, xy], [xy, a * s * s + b * c * c]];
        points.push(Bivariate::new(mean, covariance));
    }
    points
}

fn line(name: &str, points: &[Bivariate], runs: u32, work: impl Fn(&Bivariate) -> f64) {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            for of in points {
                black_box(work(black_box(of)));
            }
            start.elapsed().as_secs_f64() * 1e9 / 200.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("{name:<52} {:>10.0} {:>10.0}", times[0], times[times.len() / 2]);
}
