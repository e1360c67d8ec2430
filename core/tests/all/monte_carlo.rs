//! The uncertainty held against simulation (JCGM 101:2008, propagation of distributions; JCGM
//! 106:2012, 7, probability of conformity).
//!
//! Thousands of pieces are measured with errors drawn from the distributions that the plan
//! states: touches, zeros, the probe constant, the squareness of the second orientation. What the
//! results scatter by must be what the program says they do by the law of propagation, where
//! that law holds; where it does not, near the true position, the test says by how much. And of
//! the pieces that are said to conform with a probability p, a share p must conform.

use crate::build::{self, Ask, Build, Part, position};
use crate::random::Random;
use crate::simulate::Errors;
use quarterturn_core::callout::Bonus;
use quarterturn_core::evaluate;
use quarterturn_core::findings::{FeatureFinding, Findings};
use quarterturn_core::job::{Instrument, Job, Modifier, Position, Probe, Slope, Taken};
use quarterturn_core::quantity::{Figure, Length};

/// Basic places of holes, what is asked of each, and the errors of the bench.
struct Shape<'a> {
    basic: &'a [[f64; 2]],
    asked: &'a [Position],
    second: Taken,
    errors: Errors,
}

/// The upper end of C; the lower one is the origin.
const UP_TO: f64 = 100.0;
const LOWER: f64 = 8.0;
const UPPER: f64 = 8.1;

/// The part without pieces, every hole in the middle of its limits and where it should be.
fn part(shape: &Shape<'_>) -> Part {
    let e = shape.errors;
    let asked = (1..).zip(shape.basic.iter().zip(shape.asked));
    let holes = asked.map(|(n, (basic, asked))| {
        build::hole(&format!("{n}"), *basic).limits(LOWER, UPPER).asked(asked.clone())
    });
    let plan = |job: &mut Job| {
        job.set_outline(Figure(200.0), Figure(UP_TO));
        *job.gauge() = Instrument {
            name: "Height gauge".to_owned(),
            error_limit: (e.limit > 0.0).then_some(Figure(e.limit)),
            repeatability: Some(Figure(e.scatter)),
            probe: Probe::Constant(Figure(3.0)),
            probe_standard: (e.probe > 0.0).then_some(Figure(e.probe)),
            // What it shows is not rounded.
            resolution: Figure(0.0),
            ..Instrument::default()
        };
        job.stand(2).taken = shape.second;
        job.plan.conditions.squareness = (e.slope > 0.0)
            .then_some(Slope { deviation: Figure(e.slope * 100.0), over: Figure(100.0) });
        job.pieces.clear();
    };
    Part::mm().with(plan).put_all(holes).datum("P", "1").datum("Q", "2")
}

fn hole(found: &Findings, piece: usize, number: usize) -> &FeatureFinding {
    // Two faces come first.
    &found.pieces[piece].features[1 + number]
}

/// Mean and covariance of a list of pairs.
fn sample(of: &[[f64; 2]]) -> ([f64; 2], [[f64; 2]; 2]) {
    #[allow(clippy::cast_precision_loss, reason = "a count")]
    let n = of.len() as f64;
    let mean = [0, 1].map(|a| of.iter().map(|p| p[a]).sum::<f64>() / n);
    let covariance = [0, 1].map(|a| {
        [0, 1].map(|b| {
            of.iter().map(|p| (p[a] - mean[a]) * (p[b] - mean[b])).sum::<f64>() / (n - 1.0)
        })
    });
    (mean, covariance)
}

/// Mean squares and product of errors: the deviations less what is true.
fn about(truth: [f64; 2], of: &[[f64; 2]]) -> [[f64; 2]; 2] {
    #[allow(clippy::cast_precision_loss, reason = "a count")]
    let n = of.len() as f64;
    let product = |a: usize, b: usize| {
        of.iter().map(|p| (p[a] - truth[a]) * (p[b] - truth[b])).sum::<f64>() / n
    };
    [0, 1].map(|a| [0, 1].map(|b| product(a, b)))
}

/// Sampling error allowed, in its standard deviations: one false alarm in 100 000 figures.
const SIGMAS: f64 = 4.5;

#[test]
fn results_scatter_as_they_are_said_to() {
    const M: usize = 6000;
    let edges = position(0.1, &["B", "C"]);
    let shape = Shape {
        basic: &[[20.0, 15.0], [120.0, 15.0], [170.0, 80.0], [60.0, 70.0]],
        // The last one from hole 1, turned by hole 2.
        asked: &[edges.clone(), edges.clone(), edges, position(0.1, &["P", "Q"])],
        second: Taken::Touches,
        errors: Errors { scatter: 0.0015, limit: 0.002, probe: 0.002, slope: 6e-5, ..Errors::NONE },
    };
    // The third hole is where it should be, where the law of propagation fails for 2r.
    let off = [("1", [0.03, -0.02]), ("2", [-0.025, 0.03]), ("4", [0.03, 0.03])];
    let mut part = part(&shape).off(&off);
    let mut rng = Random::far_apart(20_081_011);
    part.job.pieces = (0..M).map(|_| part.measured_with(shape.errors, &mut rng)).collect();
    let found = evaluate(&part.job);
    // The part again without any error: what is said of the true values.
    part.job.pieces = vec![part.measured()];
    let truth = evaluate(&part.job);
    #[allow(clippy::cast_precision_loss, reason = "a count")]
    let m = M as f64;
    println!("hole       sample variances and covariance        said            2r: sample, said");
    for number in 1..=4 {
        let said = hole(&truth, 0, number);
        let deviations: Vec<[f64; 2]> = (0..M)
            .map(|i| {
                let f = hole(&found, i, number);
                [f.x, f.y].map(|c| c.deviation().unwrap().to_mm())
            })
            .collect();
        let truth = [said.x, said.y].map(|c| c.deviation().unwrap().to_mm());
        let (mean, _) = sample(&deviations);
        let scatter = about(truth, &deviations);
        let by = said.covariance.unwrap();
        for a in 0..2 {
            // The mean is where the hole is, in its frame; from C less what the frame lies farther out
            // on average than C's middle line: E max(0, L s) = L a/4 of a slope s uniform in ±a.
            let out = if a == 0 && number < 4 { UP_TO * shape.errors.slope / 4.0 } else { 0.0 };
            let at = truth[a] - out;
            let error = (by[a][a] / m).sqrt();
            assert!((mean[a] - at).abs() < SIGMAS * error, "{number}: {} {at}", mean[a]);
            for b in 0..2 {
                // Variance of a sample covariance of normal values; uniform ones vary less.
                let error = ((by[a][a] * by[b][b] + by[a][b] * by[a][b]) / m).sqrt();
                assert!(
                    (scatter[a][b] - by[a][b]).abs() < SIGMAS * error,
                    "{number}: {scatter:?} {by:?}"
                );
            }
        }
        let sizes: Vec<[f64; 2]> = (0..M)
            .map(|i| {
                let seen = &hole(&found, i, number).size.seen;
                [seen[0].size.to_mm(), seen[1].size.to_mm()]
            })
            .collect();
        let (_, sizes) = sample(&sizes);
        let u = said.size.proof.unwrap().standard.to_mm();
        for variance in [sizes[0][0], sizes[1][1]] {
            assert!((variance / (u * u) - 1.0).abs() < SIGMAS * (2.0 / m).sqrt(), "{number}");
        }
        // The probe constant is in both of them.
        assert!((sizes[0][1] - shape.errors.probe * shape.errors.probe).abs() < 3e-7);

        let positions: Vec<[f64; 2]> = (0..M)
            .map(|i| {
                let p = hole(&found, i, number).position.as_ref().unwrap();
                [p.position.unwrap().to_mm(), 0.0]
            })
            .collect();
        let (mean, scatter) = sample(&positions);
        let p = said.position.as_ref().unwrap();
        // At the true position the mean is not zero, and the scatter is about it; elsewhere it is the
        // error of what is said that counts.
        let truth = if number == 3 { mean[0] } else { p.position.unwrap().to_mm() };
        let error = scatter[0][0] + (mean[0] - truth) * (mean[0] - truth);
        let (is, should) = (error.sqrt(), p.proof.unwrap().standard.to_mm());
        println!(
            "{number}  {:.3e} {:.3e} {:+.3e}  {:.3e} {:.3e} {:+.3e}  {is:.5} {should:.5}",
            sample(&deviations).1[0][0],
            sample(&deviations).1[1][1],
            sample(&deviations).1[0][1],
            by[0][0],
            by[1][1],
            by[0][1]
        );
        if number == 3 {
            // At the true position 2r is never negative and has no first order: its mean is not
            // zero but 2 σ √(π/2) for a round covariance, and it scatters by 2 σ √(2 − π/2), a
            // third less than the law of propagation along the worst direction says.
            let [small, large] = spread(by).map(|s| 2.0 * (std::f64::consts::PI / 2.0).sqrt() * s);
            assert!(small * 0.97 < mean[0] && mean[0] < large * 1.03, "{mean:?} {small} {large}");
            assert!(is < 0.8 * should, "{is} {should}");
            println!("   at the true position the mean of 2r is {:.5} and not 0", mean[0]);
        } else {
            // Where r is ten standard deviations or so it holds, and 2r is hardly too large.
            assert!((is / should - 1.0).abs() < SIGMAS * (0.5 / m).sqrt() + 0.01, "{is} {should}");
            let at = p.position.unwrap().to_mm();
            assert!((mean[0] - at).abs() < 0.05 * at);
        }
    }
}

/// Standard deviations along the axes of the ellipse, the smaller first.
fn spread(c: [[f64; 2]; 2]) -> [f64; 2] {
    let (sum, gap) = (0.5 * (c[0][0] + c[1][1]), 0.5 * (c[0][0] - c[1][1]));
    let root = libm::hypot(gap, c[0][1]);
    [(sum - root).sqrt(), (sum + root).sqrt()]
}

/// Bounds of the classes of probability.
const CLASSES: [f64; 9] = [0.0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.000_001];

/// Pieces of which nothing is known before: true places and sizes spread evenly far beyond zone
/// and limits. Then, of the pieces with the same probability, that share conforms (JCGM 106,
/// 6.2 and 7). It holds at the true position, where the first order fails, as anywhere.
#[test]
fn probabilities_are_borne_out() {
    const M: usize = 30_000;
    let shape = Shape {
        basic: &[[40.0, 30.0], [90.0, 60.0]],
        // The zone is about as wide as the uncertainty, so that everything is doubtful.
        asked: &[position(0.03, &["B", "C"]), position(0.01, &["B", "C"]).at_mmc()],
        second: Taken::CentreAndSize,
        errors: Errors { scatter: 0.004, centre_alone: true, ..Errors::NONE },
    };
    let mut rng = Random::far_apart(20_121_106);
    let mut part = part(&shape);
    let mut truths: Vec<[bool; 2]> = Vec::with_capacity(M);
    for _ in 0..M {
        // Wider than the widest zone by four standard deviations and more.
        let far = [0.05, 0.09];
        truths.push([0, 1].map(|i| {
            let off = [rng.within(far[i]), rng.within(far[i])];
            let size = rng.range(LOWER - 0.05, UPPER + 0.05);
            let truth = part.truth_of(&format!("{}", i + 1));
            truth.at = [0, 1].map(|a| shape.basic[i][a] + off[a]);
            truth.size = [size; 2];
            let asked = &shape.asked[i];
            let bonus = match asked.modifier {
                Modifier::Mmc => (size - LOWER).clamp(0.0, UPPER - LOWER),
                _ => 0.0,
            };
            2.0 * libm::hypot(off[0], off[1]) <= asked.tolerance.0 + bonus
        }));
        let piece = part.measured_with(shape.errors, &mut rng);
        part.job.pieces.push(piece);
    }
    let found = evaluate(&part.job);
    let mut tested = 0;
    for number in 1..=2 {
        // Pieces, sum of the probabilities, of p (1 − p), how many conform; and the same of those
        // within one standard deviation of the true position.
        let mut classes = [(0_u32, 0.0, 0.0, 0_u32); 9];
        for (i, truth) in truths.iter().enumerate() {
            let f = hole(&found, i, number);
            let p = f.position.as_ref().unwrap();
            // Without a size within its limits there is no bonus to be uncertain of.
            if number == 2 && !matches!(p.bonus, Bonus::Earned { .. }) {
                continue;
            }
            let proof = p.proof.unwrap();
            let class = CLASSES.iter().rposition(|c| proof.probability >= *c).unwrap();
            let near = p.radius.unwrap() < Length::mm(0.5 * proof.standard.to_mm());
            for class in [Some(class), near.then_some(8)].into_iter().flatten() {
                let c = &mut classes[class];
                c.0 += 1;
                c.1 += proof.probability;
                c.2 += proof.probability * (1.0 - proof.probability);
                c.3 += u32::from(truth[number - 1]);
            }
        }
        println!("hole {number}: said, found");
        for (class, (pieces, sum, variance, conform)) in classes.iter().enumerate() {
            // Of some classes a hole sees hardly any piece; most of them must be seen.
            if *pieces <= 50 {
                continue;
            }
            tested += 1;
            let off = (f64::from(*conform) - sum) / (variance + 1.0).sqrt();
            let n = f64::from(*pieces);
            let what = if class == 8 { "near the true position" } else { "" };
            println!(
                "  {pieces:6} pieces {:.4} {:.4}  {off:+.1} {what}",
                sum / n,
                f64::from(*conform) / n
            );
            assert!(off.abs() < SIGMAS, "{class}: {off}");
        }
    }
    assert!(tested >= 14, "{tested} of 18 classes were tested");
}
