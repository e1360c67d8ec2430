//! The manifold cover with its datum holes regardless of their size: raw touches, a probe
//! constant, an edge out of square, held against plain arithmetic.

use crate::common;
use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::job::{Boundary, Callout, Job};
use std::collections::HashMap;

const JOB: &str = "tests/notebooks/2-manifold-cover.json";
/// Probe constant, and the lean of the left edge: its upper end 0.012 farther out over 60.
const K: f64 = 3.9963;
const LEAN: f64 = 0.012 / 60.0;

/// The same job with B and C regardless of their size.
fn regardless(mut job: Job) -> Job {
    for Callout::Position(p) in job.drawing.features.iter_mut().flat_map(|f| &mut f.callouts) {
        for datum in &mut p.datums {
            datum.boundary = Boundary::Regardless;
        }
    }
    job
}

/// With B and C at their boundaries of 10.000 and 8.000 the pattern may shift, and hole 2, which
/// fails regardless of size, conforms. Computed independently with scipy 1.17, SLSQP from 20
/// starts: minimise s over (tx, ty, θ) under |R(θ) p + t − n| ≤ a + s for the four holes and
/// ≤ clearance/2 for B and C, from the coordinates that the test above checks.
#[test]
fn datum_holes_at_their_boundaries_let_the_pattern_shift() {
    let job = common::job(JOB);
    let piece = &evaluate(&job).pieces[0];
    assert_eq!(piece.verdict, Verdict::Conforms);
    let [pattern] = piece.patterns.as_slice() else { panic!("{:?}", piece.patterns) };
    let close = |a: f64, b: f64, by: f64| assert!((a - b).abs() < by, "{a} {b}");
    close(pattern.margin.unwrap().to_mm(), 0.005_762_913_0, 2e-9);
    close(pattern.shift[0].to_mm(), -0.004_182_04, 1e-7);
    close(pattern.shift[1].to_mm(), -0.002_389_74, 1e-7);
    close(pattern.turn, 6.714_03e-5, 1e-8);
    let number = |i: usize| job.drawing.features[i].number.as_str();
    assert_eq!(pattern.holding.iter().map(|i| number(*i)).collect::<Vec<_>>(), ["2"]);
    let rooms: Vec<(&str, f64, bool)> =
        pattern.rooms.iter().map(|r| (r.letter.as_str(), r.clearance.to_mm(), r.holds)).collect();
    let [("B", b, true), ("C", c, false)] = rooms[..] else { panic!("{rooms:?}") };
    close(b, 0.009_633_333_3, 1e-9);
    close(c, 0.009_966_666_7, 1e-9);
    // Any shift as good is one for hole 2 and B only; the others follow to less.
    let two = piece.features.iter().find(|f| f.number == "2").unwrap();
    close(two.position.as_ref().unwrap().position.unwrap().to_mm(), 0.148_870_42, 1e-8);
    let before = two.position.as_ref().unwrap().shifted.unwrap().before.map(|d| d.unwrap().to_mm());
    close(before[0], 0.0715, 1e-4);
    for f in piece.features.iter().filter(|f| f.position.is_some()) {
        println!("hole {}: {:?}", f.number, f.position.as_ref().map(|p| (p.deviation, p.margin)));
    }
}

#[test]
fn the_program_finds_what_plain_arithmetic_finds() {
    let job = common::job(JOB);
    let mean = |v: &[quarterturn_core::quantity::Figure]| {
        v.iter().map(|f| f.0).sum::<f64>() / f64::from(u32::try_from(v.len()).unwrap())
    };
    // Centre height and size in each orientation: bottom touched from above, top from below.
    let mut seen: HashMap<(u32, &str), (f64, f64)> = HashMap::new();
    for r in &job.pieces[0].readings {
        let (down, up) = (mean(&r.low), mean(&r.high) + K);
        seen.insert((r.orientation, r.feature.as_str()), (f64::midpoint(down, up), up - down));
    }
    // From the edges: y is the height itself, x is the height along the normal of the left edge,
    // (cos e, sin e), less what y brings into it.
    let edge = |n: &str| {
        let (y, h) = (seen[&(1, n)].0, seen[&(2, n)].0);
        // The plate is where the drawing has the edges, 20 from B.
        let (c, s) = (libm::cos(libm::atan(LEAN)), libm::sin(libm::atan(LEAN)));
        let y = y - 20.0;
        [(h - 20.0 - s * y) / c, y]
    };
    let (b, c) = (edge("B"), edge("C"));
    let turn = -libm::atan2(c[1] - b[1], c[0] - b[0]);
    let (sin, cos) = (libm::sin(turn), libm::cos(turn));
    let place = |n: &str| {
        let p = edge(n);
        let (x, y) = (p[0] - b[0], p[1] - b[1]);
        [cos * x - sin * y, sin * x + cos * y]
    };
    let piece = &evaluate(&regardless(job.clone())).pieces[0];
    let mut verdicts = Vec::new();
    for f in piece.features.iter().filter(|f| f.position.is_some()) {
        let at = place(&f.number);
        let (x, y) = (f.x.at().unwrap().to_mm(), f.y.at().unwrap().to_mm());
        assert!(
            (x - at[0]).abs() < 1e-9 && (y - at[1]).abs() < 1e-9,
            "{}: {x} {y} {at:?}",
            f.number
        );
        let d = job.drawing.features.iter().find(|d| d.number == f.number).unwrap();
        let (dx, dy) = (at[0] - d.x.unwrap().0, at[1] - d.y.unwrap().0);
        let position = 2.0 * (dx * dx + dy * dy).sqrt();
        let size = seen[&(1, f.number.as_str())].1.min(seen[&(2, f.number.as_str())].1);
        let allowed = 0.1 + (size - 6.6);
        let p = f.position.as_ref().unwrap();
        assert!((p.position.unwrap().to_mm() - position).abs() < 1e-9);
        assert!((p.allowed.to_mm() - allowed).abs() < 1e-9);
        println!(
            "hole {}: dx {dx:+.4} dy {dy:+.4} size {size:.4} position {position:.4} allowed {allowed:.4} margin {:+.4} {}",
            f.number,
            allowed - position,
            f.verdict.words()
        );
        assert_eq!(f.verdict == Verdict::Conforms, position <= allowed);
        verdicts.push(f.verdict == Verdict::Conforms);
    }
    assert_eq!(verdicts, [true, false, true, true]);
}
