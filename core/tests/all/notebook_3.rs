//! The coupling flange: seven centre heights in five orientations over blocks of unknown height,
//! held against an adjustment written out here.

use crate::common;
use nalgebra::{DMatrix, DVector};
use quarterturn_core::Job;
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;

const JOB: &str = "tests/notebooks/3-coupling-flange.json";

/// Coordinates of holes 1 to 7 by plain least squares with equal weights: unknown are x and y of
/// holes 2 to 7 and one offset for each orientation; hole 1 is the origin.
fn by_hand(job: &Job) -> (Vec<[f64; 2]>, f64) {
    let readings = &job.pieces[0].readings;
    let (rows, columns) = (readings.len(), 12 + 5);
    let mut a = DMatrix::<f64>::zeros(rows, columns);
    let mut h = DVector::<f64>::zeros(rows);
    for (i, r) in readings.iter().enumerate() {
        let hole: usize = r.feature.parse().unwrap();
        let up = job.plan.orientations[r.orientation as usize - 1].up_degrees.to_radians();
        if hole > 1 {
            a[(i, 2 * (hole - 2))] = libm::cos(up);
            a[(i, 2 * (hole - 2) + 1)] = libm::sin(up);
        }
        a[(i, 11 + r.orientation as usize)] = 1.0;
        h[i] = r.centre[0].0;
    }
    let x = (a.transpose() * &a).cholesky().unwrap().solve(&(a.transpose() * &h));
    let v = &h - &a * &x;
    let mut at = vec![[0.0; 2]];
    at.extend((0..6).map(|i| [x[2 * i], x[2 * i + 1]]));
    (at, v.dot(&v))
}

fn check(job: &Job, suspects: &[(u32, usize)]) -> f64 {
    let piece = &evaluate(job).pieces[0];
    let (at, squares) = by_hand(job);
    for (f, at) in piece.features.iter().zip(&at) {
        let (x, y) = (f.x.at().unwrap().to_mm(), f.y.at().unwrap().to_mm());
        assert!((x - at[0]).abs() < 1e-9 && (y - at[1]).abs() < 1e-9, "{}: {x} {y}", f.number);
        if let Some(p) = &f.position {
            let n = &job.drawing.features.iter().find(|d| d.number == f.number).unwrap();
            let (dx, dy) = (at[0] - n.x.unwrap().0, at[1] - n.y.unwrap().0);
            let position = 2.0 * (dx * dx + dy * dy).sqrt();
            assert!((p.position.unwrap().to_mm() - position).abs() < 1e-9);
            assert_eq!(f.verdict, Verdict::Conforms);
            println!(
                "hole {}: x {x:.4} y {y:.4} position {position:.4} U {:.4}",
                f.number,
                p.proof.unwrap().expanded.to_mm()
            );
        }
    }
    let m = &piece.measurement;
    // Repeatability 0.0012 and half a step of 0.001.
    let sigma2 = 0.0012 * 0.0012 + 0.001 * 0.001 / 12.0;
    assert!((m.chi_square - squares / sigma2).abs() < 1e-6 * m.chi_square);
    println!("chi-square {:.2} with {} degrees of freedom", m.chi_square, m.degrees);
    let found: Vec<(u32, usize)> =
        m.suspects.iter().take(1).map(|s| (s.orientation, s.feature + 1)).collect();
    assert_eq!(found, suspects);
    m.chi_square
}

#[test]
fn one_reading_is_pointed_at_and_the_rest_agrees() {
    let mut job = common::job(JOB);
    let all = check(&job, &[(4, 6)]);
    let piece = &evaluate(&job).pieces[0];
    let worst = &piece.measurement.suspects[0];
    let w = worst.normalised.unwrap();
    assert!((18.0..20.0).contains(&w), "{w}");
    assert!((worst.error.unwrap().to_mm() - 0.0307).abs() < 1e-4);
    assert!(piece.problems[0].says().contains("hole 6 in orientation 4"), "{:?}", piece.problems);
    assert!(piece.measurement.probability.unwrap() < 1e-60);
    let doubted: Vec<&str> =
        piece.features.iter().filter(|f| f.in_question).map(|f| f.number.as_str()).collect();
    assert_eq!(doubted, ["6"], "what is doubtful is said with its verdict");
    job.pieces[0].readings.retain(|r| (r.orientation, r.feature.as_str()) != (4, "6"));
    let rest = check(&job, &[]);
    assert_eq!(evaluate(&job).pieces[0].problems, []);
    // Leaving out one reading takes exactly the square of its normalised residual away.
    assert!((all - rest - w * w).abs() < 1e-6 * all);
}
