//! The models against another least-squares solver, hole by hole and step by step.

use crate::cause_common::{count, plate, tail};
use crate::common::cases;
use crate::random::Random;
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;
use quarterturn_core::cause::{Diagnosis, Kind, Member, Size, Standing, diagnose};

/// How many columns the first errors have together.
const COLUMNS: [usize; 6] = [0, 2, 3, 4, 5, 6];

fn columns(n: [f64; 2]) -> [[f64; 6]; 2] {
    let [x, y] = n;
    [[1.0, 0.0, -y, x, x, y], [0.0, 1.0, x, y, -y, x]]
}

struct Solved {
    rss: f64,
    free: f64,
    beta: DVector<f64>,
    inverse: DMatrix<f64>,
}

/// By Householder's triangle and its inverse, with only these columns, all of a size.
fn solve(members: &[Member], which: &[usize]) -> Solved {
    let rows: Vec<([f64; 6], f64)> = members
        .iter()
        .flat_map(|m| columns(m.nominal).into_iter().zip(m.deviation))
        .filter_map(|(row, d)| d.map(|d| (row, d)))
        .collect();
    let unit = |column: usize| if column < 2 { 1.0 } else { 100.0 };
    let a = DMatrix::from_fn(rows.len(), which.len(), |i, j| rows[i].0[which[j]] / unit(which[j]));
    let d = DVector::from_fn(rows.len(), |i, _| rows[i].1);
    let free = count(rows.len()) - count(which.len());
    if which.is_empty() {
        return Solved { rss: d.norm_squared(), free, beta: d, inverse: a };
    }
    let qr = a.clone().qr();
    let back = qr.r().try_inverse().unwrap();
    let beta = &back * (qr.q().transpose() * &d);
    let rss = (&d - &a * &beta).norm_squared();
    let inverse = &back * back.transpose();
    let beta = DVector::from_fn(which.len(), |i, _| beta[i] / unit(which[i]));
    let inverse = DMatrix::from_fn(which.len(), which.len(), |i, j| {
        inverse[(i, j)] / unit(which[i]) / unit(which[j])
    });
    Solved { rss, free, beta, inverse }
}

fn of(kinds: &[Kind]) -> Vec<usize> {
    kinds
        .iter()
        .flat_map(|k| match k {
            Kind::Shift => vec![0, 1],
            Kind::Turn => vec![2],
            Kind::Scale => vec![3],
            Kind::Scales => vec![4],
            Kind::Shear => vec![5],
        })
        .collect()
}

fn near(is: f64, should: f64) -> bool {
    (is - should).abs() <= 1e-7 * should.abs() + 1e-12
}

fn used(d: &Diagnosis) -> Vec<Kind> {
    d.steps
        .iter()
        .filter(|s| matches!(s.standing, Standing::Tried(t) if t.used))
        .map(|s| s.kind)
        .collect()
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn as_by_householder(seed: u64) {
        let mut random = Random::new(seed);
        let n = 6 + random.below(20);
        let places = plate(n, [100.0 * random.within(1.0), 100.0 * random.within(1.0)], &mut random);
        let size = 0.03 * random.unit();
        let beta: Vec<f64> = [1.0, 1.0, 0.01, 0.01, 0.01, 0.01]
            .map(|u| if random.unit() < 0.4 { size * u * random.within(1.0) } else { 0.0 })
            .to_vec();
        let members: Vec<Member> = places
            .iter()
            .enumerate()
            .map(|(i, &nominal)| {
                let mut deviation = columns(nominal).map(|row| {
                    let at: f64 = row.iter().zip(&beta).map(|(a, b)| a * b).sum();
                    Some(at + 0.004 * random.normal())
                });
                // Some are slots, after the first six.
                if i >= 6 && random.unit() < 0.3 {
                    deviation[random.below(2)] = None;
                }
                Member { nominal, deviation, zone: None }
            })
            .collect();
        let d = diagnose(&members, None, tail).unwrap();
        let mut rest = members.clone();
        if let Some(l) = d.outlier {
            rest.remove(l.member);
            // The outlier hole against the others: as an error of its own in the whole model.
            let chosen = of(&used(&d));
            let with = solve(&rest, &chosen);
            let m = count(members[l.member].deviation.iter().flatten().count());
            let without = solve(&members, &chosen);
            let f = (without.rss - with.rss) / m / (with.rss / with.free);
            prop_assert!(near(l.test.f, f), "{} instead of {f}", l.test.f);
            prop_assert!(near(l.test.above, m) && near(l.test.below, with.free));
        }
        // Every step of the ladder.
        let mut before = solve(&rest, &[]);
        for (step, k) in d.steps.iter().zip(1..) {
            let Standing::Tried(t) = step.standing else { break };
            let after = solve(&rest, &(0..COLUMNS[k]).collect::<Vec<_>>());
            let above = before.free - after.free;
            let f = (before.rss - after.rss) / above / (after.rss / after.free);
            prop_assert!((t.step.f - f).abs() < 1e-7 * f + 1e-9, "{} instead of {f}", t.step.f);
            prop_assert!((t.step.above - above).abs() < 1e-9);
            prop_assert!((t.step.below - after.free).abs() < 1e-9);
            before = after;
        }
        // The chosen model: parameters, uncertainties, and each error taken out of it.
        let kinds = used(&d);
        let whole = solve(&rest, &of(&kinds));
        let scatter = (whole.rss / whole.free).sqrt();
        prop_assert!(near(d.scatter.unwrap(), scatter));
        let place = |column: usize| of(&kinds).iter().position(|c| *c == column);
        let root = |j: usize, k: usize| scatter * whole.inverse[(j, k)].sqrt();
        for step in &d.steps {
            let Standing::Tried(t) = step.standing else { break };
            if !t.used {
                continue;
            }
            let others: Vec<Kind> = kinds.iter().copied().filter(|k| *k != step.kind).collect();
            let smaller = solve(&rest, &of(&others));
            let above = smaller.free - whole.free;
            let f = (smaller.rss - whole.rss) / above / (scatter * scatter);
            prop_assert!((t.test.f - f).abs() < 1e-7 * f + 1e-9, "{} instead of {f}", t.test.f);
            let column = of(&[step.kind])[0];
            let i = place(column).unwrap();
            let (value, uncertainty) = match t.size {
                Size::Shift([x, y]) => {
                    prop_assert!(near(y.value, whole.beta[i + 1]));
                    prop_assert!(near(y.uncertainty, root(i + 1, i + 1)));
                    (x.value, x.uncertainty)
                }
                Size::Turn(e) | Size::Scale(e) => (e.value, e.uncertainty),
                Size::OutOfSquare(e) => (0.5 * e.value, 0.5 * e.uncertainty),
                Size::Scales([x, y]) => {
                    // kx = k + e, ky = k - e.
                    let s = place(3).unwrap();
                    prop_assert!(near(x.value, whole.beta[s] + whole.beta[i]));
                    prop_assert!(near(y.value, whole.beta[s] - whole.beta[i]));
                    let v = &whole.inverse;
                    let own = v[(s, s)] + v[(i, i)];
                    prop_assert!(near(x.uncertainty, scatter * (own + 2.0 * v[(s, i)]).sqrt()));
                    prop_assert!(near(y.uncertainty, scatter * (own - 2.0 * v[(s, i)]).sqrt()));
                    continue;
                }
            };
            prop_assert!(near(value, whole.beta[i]), "{value} instead of {}", whole.beta[i]);
            prop_assert!(near(uncertainty, root(i, i)));
        }
    }
}

/// Textbook by hand: four holes on the axes at 10, deviations that are a rotation of 0.001 and an
/// error of ±0.001 that is orthogonal to it, to the shift and to the scale. Rotation: 4 (0.01)²
/// explained, 4 (0.001)² left of 8 - 3 degrees: F = 4e-4 / (4e-6 / 5) = 500.
#[test]
fn a_rotation_by_hand() {
    let members: Vec<Member> = [
        ([10.0, 0.0], [0.001, 0.01]),
        ([0.0, 10.0], [-0.01, -0.001]),
        ([-10.0, 0.0], [-0.001, -0.01]),
        ([0.0, -10.0], [0.01, 0.001]),
    ]
    .into_iter()
    .map(|(nominal, d)| Member { nominal, deviation: d.map(Some), zone: None })
    .collect();
    let d = diagnose(&members, None, tail).unwrap();
    let Standing::Tried(turn) = d.steps[1].standing else { panic!() };
    assert!((turn.step.f - 500.0).abs() < 1e-6, "{}", turn.step.f);
    assert!((turn.step.below - 5.0).abs() < 1e-12 && (turn.step.above - 1.0).abs() < 1e-12);
    // P(F > 500) with 1 and 5 degrees of freedom: two tails of t = √500 with 5.
    // Computed independently: 1 - (2/π)(φ + sin φ (cos φ + 2/3 cos³ φ)), φ = atan(10).
    let phi = libm::atan(10.0);
    let (s, c) = (libm::sin(phi), libm::cos(phi));
    let p = 1.0 - std::f64::consts::FRAC_2_PI * (phi + s * (c + 2.0 / 3.0 * c * c * c));
    assert!((turn.step.p / p - 1.0).abs() < 1e-6, "{} instead of {p}", turn.step.p);
    assert!((d.error.turn - 0.001).abs() < 1e-12 && turn.used);
    assert!((turn.farthest - 0.01).abs() < 1e-12);
    // What is left is two scales, +1e-4 and -1e-4; four holes carry them with 3 degrees left.
    assert!(matches!(d.steps[3].standing, Standing::Tried(_)));
}
