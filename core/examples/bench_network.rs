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
//! less than 5 ms, and time in proportion to the points. Beside it, what angle errors add, and
//! offsets that nothing ties.
//!
//! With `PYTHON_WITH_SCIPY` naming a Python that has scipy, the same network is given to its general
//! sparse least-squares routine in the same run, and the ratio is printed; the coordinates must
//! agree. The program itself needs none of that.

#[path = "common/lot.rs"]
mod lot;

use lot::Lot;
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
    angles.angle_errors = vec![Prior::About { value: 0.0, standard: 1e-4 }; 3];
    for (k, d) in angles.directions[1..].iter_mut().enumerate() {
        d.angle_errors = [k].into_iter().collect();
    }
    line("1000 points, three angle errors", 1_000, 30, &angles, first)?;
    let mut untied = plate(1_000);
    untied.fixed.clear();
    line("1000 points, nothing tied", 1_000, 30, &untied, first)?;
    if let Some(python) = std::env::var_os("PYTHON_WITH_SCIPY") {
        let network = plate(1_000);
        let own = first.map_or(f64::NAN, |(_, ms)| ms);
        match general(&python, &network) {
            Some((ms, full, apart)) => println!(
                "scipy, the same 1000 points: lsqr, coordinates alone, {ms:.1} ms (best of 5), {:.0} times as \
                 long; with the covariances and residuals, by splu, {full:.0} ms, {:.0} times as long; \
                 coordinates within {apart:.1e} mm",
                ms / own,
                full / own
            ),
            None => println!("scipy could not be run"),
        }
    }
    Ok(())
}

/// The rows of the general routine: unknown are x and y of every point, the free offsets and the
/// systematic errors; what is fixed is left out by a heavy row.
fn general(python: &std::ffi::OsStr, network: &Network) -> Option<(f64, f64, f64)> {
    use std::fmt::Write as _;
    use std::io::Write as _;
    let points = network.points.len();
    let (offsets, systematics) = (network.offsets.len(), network.systematics.len());
    let mut text = format!("{}\n", 2 * points + offsets + systematics);
    let mut row = |cells: &[(usize, f64)], value: f64| {
        let _ = write!(text, "{value:e}");
        for (column, a) in cells {
            let _ = write!(text, " {column} {a:e}");
        }
        text.push('\n');
    };
    for o in &network.observations {
        let angle = network.directions[network.offsets[o.offset].direction].angle;
        let w = 1.0 / o.standard;
        let mut cells = vec![
            (2 * o.point, w * libm::cos(angle)),
            (2 * o.point + 1, w * libm::sin(angle)),
            (2 * points + o.offset, w),
        ];
        cells.extend(o.systematics.iter().map(|(m, a)| (2 * points + offsets + m, w * a)));
        row(&cells, w * o.height);
    }
    for (m, s) in network.systematics.iter().enumerate() {
        if let Prior::About { value, standard } = s.prior {
            row(&[(2 * points + offsets + m, 1.0 / standard)], value / standard);
        }
    }
    for f in &network.fixed {
        let (c, s) = (1e6 * libm::cos(f.angle), 1e6 * libm::sin(f.angle));
        row(&[(2 * f.point, c), (2 * f.point + 1, s)], 1e6 * f.value);
    }
    let mut child = std::process::Command::new(python)
        .args(["-c", SCIPY])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .ok()?;
    child.stdin.take()?.write_all(text.as_bytes()).ok()?;
    let out = String::from_utf8(child.wait_with_output().ok()?.stdout).ok()?;
    let mut words = out.split_whitespace().filter_map(|w| w.parse::<f64>().ok());
    let (ms, full) = (words.next()?, words.next()?);
    let adjusted = network.adjust().ok()?;
    let apart = adjusted
        .points
        .iter()
        .filter_map(|p| match p {
            Place::Determined { at, .. } => Some(*at),
            _ => None,
        })
        .flatten()
        .zip(words)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max);
    Some((ms, full, apart))
}

const SCIPY: &str = "
import sys, time
import numpy as np, scipy.sparse as sp, scipy.sparse.linalg as la
n = int(sys.stdin.readline())
i, j, v, b = [], [], [], []
for k, line in enumerate(sys.stdin):
    w = line.split()
    b.append(float(w[0]))
    for c in range(1, len(w), 2):
        i.append(k); j.append(int(w[c])); v.append(float(w[c + 1]))
a = sp.csr_matrix((v, (i, j)), shape=(len(b), n)); b = np.array(b)
best = 1e9
for _ in range(5):
    t = time.perf_counter()
    x = la.lsqr(a, b, atol=1e-14, btol=1e-14, conlim=1e16, iter_lim=100000)[0]
    best = min(best, time.perf_counter() - t)
full = 1e9
for _ in range(2):
    t = time.perf_counter()
    q = la.splu((a.T @ a).tocsc()).solve(np.eye(n))
    r = b - a @ x
    full = min(full, time.perf_counter() - t)
print(best * 1e3, (best + full) * 1e3, *x)
";

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
