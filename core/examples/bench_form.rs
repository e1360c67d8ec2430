//! Prints how long flatness, straightness and a circle take.

use quarterturn_core::form::{Spot, Station, circle, flatness, straightness};
use std::hint::black_box;
use std::time::Instant;

/// Even numbers between 0 and 1 (a linear congruence), the same in every run.
fn noise(n: u32) -> Vec<f64> {
    let mut state = 12_345_u32;
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1 << 24)
    };
    (0..n).map(|_| next()).collect()
}

fn time<T>(what: &str, mut run: impl FnMut() -> T) {
    let mut best = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        black_box(run());
        best = best.min(start.elapsed().as_secs_f64());
    }
    println!("{what:45} {:10.3} ms", 1000.0 * best);
}

fn main() {
    for side in [10_u32, 32, 100, 316] {
        let n = side * side;
        let noise = noise(n);
        let at = |i: u32| [f64::from(i % side), f64::from(i / side)];
        let scatter: Vec<Spot> = (0..n)
            .zip(&noise)
            .map(|(i, e)| Spot { x: at(i)[0], y: at(i)[1], height: 0.01 * e })
            .collect();
        let half = 0.5 * f64::from(side);
        let dome: Vec<Spot> = (0..n)
            .map(|i| {
                let [x, y] = at(i);
                let r2 = (x - half) * (x - half) + (y - half) * (y - half);
                Spot { x, y, height: -1e-6 * r2 }
            })
            .collect();
        let steps: Vec<Spot> = scatter
            .iter()
            .map(|s| Spot { height: 0.001 * libm::round(1000.0 * s.height), ..*s })
            .collect();
        time(&format!("flatness, {n} scattered heights"), || flatness(&scatter));
        time(&format!("flatness, {n} heights of a dome"), || flatness(&dome));
        time(&format!("flatness, {n} heights of ten values"), || flatness(&steps));
        let profile: Vec<Station> = scatter
            .iter()
            .map(|s| Station { x: s.x + f64::from(side) * s.y, height: s.height })
            .collect();
        time(&format!("straightness, {n} heights"), || straightness(&profile));
        let holes: Vec<[f64; 2]> = (0..n)
            .zip(&noise)
            .map(|(i, e)| {
                let t = std::f64::consts::TAU * f64::from(i) / f64::from(n);
                [(100.0 + 0.1 * e) * libm::cos(t), (100.0 + 0.1 * e) * libm::sin(t)]
            })
            .collect();
        time(&format!("circle, {n} centres"), || circle(&holes));
    }
}
