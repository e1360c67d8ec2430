//! How long a diagnosis takes, for patterns from four to ten thousand holes.
//!
//! `cargo run --release --example bench_cause`

#[path = "../tests/all/cause_common/fisher.rs"]
mod fisher;

use fisher::tail;
use quarterturn_core::cause::{Member, diagnose};
use std::time::Instant;

fn main() {
    for n in [4_u32, 24, 200, 1000, 10_000] {
        let members: Vec<Member> = (0..n)
            .map(|i| {
                let a = 2.4 * f64::from(i);
                let r = 10.0 + 100.0 * f64::from(i) / f64::from(n);
                let own = libm::sin(17.0 * a);
                Member {
                    nominal: [r * libm::cos(a), r * libm::sin(a)],
                    deviation: [Some(0.01 + 0.003 * own), Some(0.003 * libm::cos(23.0 * a))],
                    zone: None,
                }
            })
            .collect();
        let start = Instant::now();
        let d = diagnose(&members, None, tail);
        let took = start.elapsed();
        println!("{n:6} holes: {took:?}, {} actions", d.map_or(0, |d| d.actions.len()));
    }
}
