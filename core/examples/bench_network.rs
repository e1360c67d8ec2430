//! `bench_network`: how long an adjustment takes, printed as figures. Run it with `--release` on a
//! quiet machine:
//!
//! ```text
//! cargo run --release -p quarterturn-core --example bench_network
//! ```
//!
//! Points seen in four directions three times each, over four free offsets that one fixed point
//! ties, with two systematic errors: 1,000 points are 12,000 observations. The time is that of
//! everything: coordinates, covariances, residuals, redundancies. The target is 1,000 points in
//! less than 5 ms, and time in proportion to the points. Beside it, what errors of angle add, and
//! offsets that nothing ties.

use quarterturn_core::network::{
    Direction, Fault, Fixed, Network, Observation, Offset, Place, Point, Prior, Systematic,
};
use std::f64::consts::FRAC_PI_2;
use std::hint::black_box;
use std::time::Instant;

fn main() -> Result<(), Fault> {
    println!(
        "{:<34} {:>6} {:>12} {:>11} {:>9} {:>13} {:>7}",
        "adjust", "runs", "fastest ms", "median ms", "p95 ms", "µs per point", "ratio"
    );
    let mut first = None;
    for (points, runs) in [(1_000, 100), (10_000, 30), (100_000, 5)] {
        let median = line(&format!("{points} points"), points, runs, &plate(points), first)?;
        first.get_or_insert((points, median));
    }
    let mut angles = plate(1_000);
    for d in &mut angles.directions[1..] {
        d.error = Prior::About { value: 0.0, standard: 1e-4 };
    }
    line("1000 points, three errors of angle", 1_000, 30, &angles, first)?;
    let mut untied = plate(1_000);
    untied.fixed.clear();
    line("1000 points, nothing tied", 1_000, 30, &untied, first)?;
    Ok(())
}

/// Prints a line and gives the median, ms; the ratio is that of the time per point to the first.
fn line(
    name: &str,
    points: usize,
    runs: usize,
    network: &Network,
    first: Option<(usize, f64)>,
) -> Result<f64, Fault> {
    let adjusted = network.adjust()?;
    let determined =
        adjusted.points.iter().filter(|p| matches!(p, Place::Determined { .. })).count();
    let expected = if network.fixed.is_empty() { 0 } else { points };
    assert_eq!(determined, expected, "or the figures mean nothing");
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            let found = black_box(network).adjust();
            let took = start.elapsed();
            let _ = black_box(found);
            took.as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let at = |share: usize| times[(times.len() * share / 100).min(times.len() - 1)];
    let each =
        |ms: f64, points: usize| ms * 1e3 / f64::from(u32::try_from(points).unwrap_or(u32::MAX));
    let (fastest, median, p95) = (at(0), at(50), at(95));
    let ratio = first.map_or(1.0, |(n, ms)| each(median, points) / each(ms, n));
    println!(
        "{name:<34} {runs:>6} {fastest:>12.3} {median:>11.3} {p95:>9.3} {:>13.3} {ratio:>7.2}",
        each(median, points)
    );
    Ok(median)
}

/// A plate with a grid of holes 10 mm apart; deviations and errors by lot, the same in every run.
fn plate(points: usize) -> Network {
    let mut lot = Lot(1);
    let sigma = 0.001;
    let mut network = Network {
        directions: (0..4).map(|k| Direction::exact(f64::from(k) * FRAC_PI_2)).collect(),
        offsets: (0..4).map(|direction| Offset { direction, prior: Prior::Free }).collect(),
        systematics: [0.002, 1e-5]
            .map(|standard| Systematic { prior: Prior::About { value: 0.0, standard } })
            .to_vec(),
        fixed: [0.0, FRAC_PI_2].map(|angle| Fixed { point: 0, angle, value: 10.0 }).to_vec(),
        ..Network::default()
    };
    for i in 0..points {
        let near = [i % 100, i / 100]
            .map(|k| 10.0 + 10.0 * f64::from(u32::try_from(k).unwrap_or(u32::MAX)));
        network.points.push(Point::axis(near));
        let p = near.map(|x| if i == 0 { x } else { x + 0.05 * lot.next() });
        for (k, d) in network.directions.iter().enumerate() {
            for repeat in 0..3 {
                let height = p[0] * libm::cos(d.angle) + p[1] * libm::sin(d.angle) + 200.0;
                let share = [0.0, 0.5, 1.0][repeat];
                network.observations.push(
                    Observation::new(i, k, height + sigma * lot.next(), sigma)
                        .with(0, share)
                        .with(1, height),
                );
            }
        }
    }
    network
}

/// Numbers from −1 to 1 by lot, the same in every run (a linear congruential generator).
struct Lot(u64);

impl Lot {
    #[expect(clippy::cast_precision_loss, reason = "53 bits")]
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}
