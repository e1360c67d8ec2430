//! What is known of the uncertainty, of what, and what it is made of.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use quarterturn_core::evaluate;
use quarterturn_core::findings::FeatureFinding;
use quarterturn_core::job::{
    Callout, Feature, Job, Modifier, Position, Reading, SizeLimits, Taken,
};
use quarterturn_core::quantity::{Figure, Unit};

/// Step of the display, mm.
const STEP: f64 = 0.001;

/// Holes of 6 to 6.1 mm at these places, position 0.1 to A, B and C, centre and size read.
fn job(holes: &[(&str, f64, f64)]) -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.plan.instruments[0].error_limit = Some(Figure(0.002));
    job.plan.instruments[0].resolution = Figure(STEP);
    for o in &mut job.plan.orientations {
        o.taken = Taken::CentreAndSize;
    }
    for (number, x, y) in holes {
        job.drawing.features.push(Feature {
            number: (*number).to_owned(),
            x: Some(Figure(*x)),
            y: Some(Figure(*y)),
            size: Some(SizeLimits::Limits { lower: Figure(6.0), upper: Figure(6.1) }),
            callouts: vec![Callout::Position(Position {
                tolerance: Figure(0.1),
                modifier: Modifier::None,
                datums: ["A", "B", "C"].map(str::to_owned).to_vec(),
            })],
            ..Feature::default()
        });
    }
    job
}

fn read(job: &mut Job, orientation: u32, feature: &str, centre: f64) {
    job.pieces[0].readings.push(Reading {
        orientation,
        feature: feature.to_owned(),
        centre: vec![Figure(centre)],
        size: vec![Figure(6.05)],
        ..Reading::default()
    });
}

fn found(job: &Job, number: &str) -> FeatureFinding {
    let findings = evaluate(job);
    findings.pieces[0].features.iter().find(|f| f.number == number).unwrap().clone()
}

fn close(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within * should.abs(), "{is} for {should}");
}

/// The variance of a uniform quantity of half width r/2: r²/12 (JCGM 100, 4.3.7 and F.2.2.1).
const OF_STEP: f64 = STEP * STEP / 12.0;

#[test]
fn lucky_repeats_show_nothing_finer_than_the_display() {
    // Six sizes that agree in every digit, in each of two orientations: ten degrees of freedom.
    let mut job = job(&[("1", 30.0, 20.0)]);
    job.plan.instruments[0].error_limit = None;
    read(&mut job, 1, "1", 20.0);
    read(&mut job, 2, "1", 30.0);
    for r in &mut job.pieces[0].readings {
        r.size = vec![Figure(6.05); 6];
    }
    let variance = |job: &Job| {
        let u = found(job, "1").size.proof.unwrap().standard.to_mm();
        u * u
    };
    // The step is common to the six. That they agree says that they scatter by no more than the
    // display can show, and of that the mean of six has a sixth.
    close(variance(&job), OF_STEP * (1.0 + 1.0 / 6.0), 1e-12);
    assert!(variance(&job) >= OF_STEP);
    // A scatter that is stated is not disproved by them.
    job.plan.instruments[0].repeatability = Some(Figure(0.0006));
    close(variance(&job), OF_STEP + 0.0006 * 0.0006 / 6.0, 1e-12);
    // Repeats that do scatter count, and the step stays common however many there are.
    for r in &mut job.pieces[0].readings {
        r.size = (0..50).map(|i| Figure(6.05 + if i % 2 == 0 { 0.004 } else { -0.004 })).collect();
    }
    close(variance(&job), OF_STEP + 0.004 * 0.004 / 49.0, 1e-12);
}
