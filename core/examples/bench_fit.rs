//! `bench_fit`: how long a fit takes, printed as figures. Run it with `--release` on a quiet
//! machine.
//!
//! A plate of holes in rows, moved and turned a little, free to move and turn; the certificate is
//! part of the time. Beside it, in the same run:
//!
//! - a plain pass: the largest deviation less its radius over all holes, in a simple loop;
//! - a general conic solver (clarabel, tolerance 1e-9): once on the linear problem, and the whole
//!   of it, linear again until the rotation stands still, which is what the fit does too.
//!
//! Then how long it takes to find the fewest reworks, and how many sets are looked at: the worst
//! of many random patterns with some features far out, and of some that are scattered all over.
//!
//! Times are the fastest of many runs, and the median for the fit. The targets: 200 times faster
//! than the general solver at 1,000 holes, whole against whole; 60 plain passes at 1,000 holes,
//! 15 from 100,000 on; time in proportion to the holes.

#[allow(dead_code, reason = "the tests use more of it")]
#[path = "../tests/all/fit_common/mod.rs"]
mod fit_common;
#[allow(dead_code, reason = "the tests use more of it")]
#[path = "../tests/all/random.rs"]
mod random;

use fit_common::{Case, Found, clarabel_counted, clarabel_once, pivot, with_bad_ones};
use quarterturn_core::fit::{
    Bound, Freedom, Member, REWORK_NODES, Rework, Unfit, Zone, fewest_reworks, fit,
};
use random::Random;
use std::hint::black_box;
use std::time::Instant;

fn main() -> Result<(), Unfit> {
    println!("plate of round holes");
    heading();
    for n in [4, 10, 16, 100, 1_000, 10_000, 100_000, 1_000_000] {
        line(&plate(n), n <= 10_000)?;
    }
    println!("\nholes and slots, two datum features with room (the last in reach)");
    heading();
    for n in [4, 10, 100, 1_000, 10_000, 100_000, 1_000_000] {
        line(&mixed(n), n <= 1_000)?;
    }
    println!("\nall deviations on one circle");
    heading();
    for n in [4, 10, 100, 1_000, 10_000, 100_000, 1_000_000] {
        line(&ties(n), n <= 1_000)?;
    }
    println!("\nthe fewest reworks, worst of 100 patterns");
    println!("{:>9} {:>5} {:>6} {:>9} {:>11}", "holes", "bad", "nodes", "worst µs", "not found");
    for n in [50, 100, 200, 1_000] {
        for bad in [1, 2, 3, 4, 8] {
            let mut r = Random::new(77);
            reworks(n, Some(bad), (0..100).map(|_| with_bad_ones(&mut r, n, bad).0))?;
        }
    }
    println!("the same, zones too small for the scatter");
    for n in [12, 25, 50, 100, 200, 1_000] {
        reworks(n, None, (0..100).map(|seed| scatter(n, seed)))?;
    }
    Ok(())
}

/// The worst of some patterns.
fn reworks(n: usize, bad: Option<usize>, cases: impl Iterator<Item = Case>) -> Result<(), Unfit> {
    let (mut most, mut slowest, mut not_found) = (0, 0.0_f64, 0);
    for case in cases {
        let solve =
            || fewest_reworks(&case.members, &case.bounds, case.freedom, |k| k, REWORK_NODES);
        match solve()? {
            Rework::Fewest(fewest) => most = most.max(fewest.nodes),
            Rework::NotFound { nodes, .. } => {
                most = most.max(nodes);
                not_found += 1;
            }
            Rework::NotNeeded | Rework::Blocked { .. } => {}
        }
        slowest = slowest.max(time(3, solve).0);
    }
    let bad = bad.map_or_else(|| "?".to_owned(), |bad| bad.to_string());
    println!("{n:>9} {bad:>5} {most:>6} {:>9.0} {not_found:>11}", slowest * 1e-3);
    Ok(())
}

/// Deviations of 10 µm, of which each hole may have about as much.
fn scatter(n: usize, seed: u64) -> Case {
    let mut r = Random::new(seed);
    let mut normal = move || 0.01 * ((0..12).map(|_| r.unit()).sum::<f64>() - 6.0);
    rows(n, move |_| [normal(), normal()], |_| Zone::Round { radius: 0.022 })
}

fn heading() {
    println!(
        "{:>9} {:>11} {:>11} {:>8} {:>6} {:>8} {:>10} {:>7} {:>12} {:>7} {:>12} {:>7} {:>9}",
        "holes",
        "fastest ns",
        "median ns",
        "ns/hole",
        "looks",
        "settled",
        "plain ns",
        "passes",
        "conic 1 ns",
        "times",
        "conic ns",
        "times",
        "apart mm"
    );
}

fn line(case: &Case, general: bool) -> Result<(), Unfit> {
    let n = case.members.len();
    let solve = || fit(&case.members, &case.bounds, case.freedom);
    let found = solve()?;
    let runs = (40_000_000 / (n + 2000)).clamp(15, 10_000);
    let (fastest, median) = time(runs, solve);
    let (pass, _) = time(runs, || plain(&case.members, found.shift(), found.turn()));
    #[expect(clippy::cast_precision_loss, reason = "counts of holes")]
    let each = fastest / n as f64;
    let effort = found.effort();
    print!(
        "{n:>9} {fastest:>11.0} {median:>11.0} {each:>8.2} {:>6} {:>8} {pass:>10.0} {:>7.1}",
        effort.looks,
        effort.settled,
        fastest / pass
    );
    if general {
        let runs = (20_000 / n).clamp(2, 100);
        let (center, lever) = pivot(case);
        let (once, _) = time(runs, || clarabel_once(case, center, [0.0; 2], 0.0, lever, 1e-9));
        let (whole, _) = time(runs, || clarabel_counted(case, 1e-9));
        let apart = match clarabel_counted(case, 1e-9).0 {
            Found::Optimum { s, .. } => (s - found.s()).abs(),
            _ => f64::NAN,
        };
        print!(
            " {once:>12.0} {:>7.0} {whole:>12.0} {:>7.0} {apart:>9.0e}",
            once / fastest,
            whole / fastest
        );
    }
    println!();
    Ok(())
}

/// Fastest and median of so many runs, ns.
fn time<T>(runs: usize, mut f: impl FnMut() -> T) -> (f64, f64) {
    let mut all: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            black_box(f());
            start.elapsed().as_secs_f64() * 1e9
        })
        .collect();
    all.sort_by(f64::total_cmp);
    (all[0], all[all.len() / 2])
}

/// The largest deviation less its radius at one place.
fn plain(members: &[Member], t: [f64; 2], turn: f64) -> f64 {
    let (s, c) = (libm::sin(turn), libm::cos(turn));
    let mut worst = f64::NEG_INFINITY;
    for m in black_box(members) {
        let [x, y] = m.measured;
        let dx = c * x - s * y + t[0] - m.nominal[0];
        let dy = s * x + c * y + t[1] - m.nominal[1];
        worst = worst.max(match m.zone {
            Zone::Round { radius } => (dx * dx + dy * dy).sqrt() - radius,
            Zone::Planes { normal, half } => (normal[0] * dx + normal[1] * dy).abs() - half,
        });
    }
    worst
}

/// Holes in rows, 10 mm apart; the deviation depends on the index.
#[expect(clippy::cast_precision_loss, reason = "counts of holes")]
fn rows(
    n: usize,
    mut deviation: impl FnMut(usize) -> [f64; 2],
    zone: impl Fn(usize) -> Zone,
) -> Case {
    let side = libm::ceil((n as f64).sqrt()) as usize;
    let members = (0..n)
        .map(|k| {
            let nominal = [(k % side) as f64 * 10.0, (k / side) as f64 * 10.0];
            let [x, y] = deviation(k);
            // Moved by (0.02, -0.03) and turned by 2e-4.
            let measured = [
                nominal[0] + 0.02 - 2e-4 * nominal[1] + x,
                nominal[1] - 0.03 + 2e-4 * nominal[0] + y,
            ];
            Member { nominal, measured, zone: zone(k) }
        })
        .collect();
    Case { members, bounds: Vec::new(), freedom: Freedom::FREE, size: 0.05 }
}

fn scattered() -> impl FnMut(usize) -> [f64; 2] {
    let mut r = Random::new(42);
    move |_| {
        // Twelve even ones are nearly normal; standard deviation 10 µm.
        let mut normal = || 0.01 * ((0..12).map(|_| r.unit()).sum::<f64>() - 6.0);
        [normal(), normal()]
    }
}

fn bonus(k: usize) -> f64 {
    0.05 + 0.001 * f64::from(u8::try_from(k * 7 % 11).unwrap_or(0))
}

fn plate(n: usize) -> Case {
    rows(n, scattered(), |k| Zone::Round { radius: bonus(k) })
}

fn mixed(n: usize) -> Case {
    let mut case = rows(n, scattered(), |k| match k % 5 {
        0 => Zone::Planes { normal: [1.0, 0.0], half: bonus(k) },
        1 => Zone::Planes { normal: [0.0, 1.0], half: bonus(k) },
        _ => Zone::Round { radius: bonus(k) },
    });
    let datum = |m: &Member, radius| Bound::within(m.nominal, m.measured, Zone::Round { radius });
    if let (Some(first), Some(last)) = (case.members.first(), case.members.last()) {
        case.bounds = vec![datum(first, 0.02), datum(last, 0.03)];
    }
    case
}

#[expect(clippy::cast_precision_loss, reason = "counts of holes")]
fn ties(n: usize) -> Case {
    let on_circle = |k: usize| {
        let angle = std::f64::consts::TAU * (k * 7919 % n) as f64 / n as f64;
        [0.02 * libm::cos(angle), 0.02 * libm::sin(angle)]
    };
    rows(n, on_circle, |_| Zone::Round { radius: 0.05 })
}
