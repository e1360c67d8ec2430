//! Heights that a gauge does not reach: said of the plan, and asked about where one is read.

use quarterturn_core::bench::Guess;
use quarterturn_core::evaluate;
use quarterturn_core::findings::{PlanProblem, ProblemKind};
use quarterturn_core::job::{Job, Touch, read};
use quarterturn_core::quantity::Figure;

/// Notebook 1, in inches: the highest point of orientation 1 is near 2.44 above the plate.
fn notebook(range: Option<f64>) -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/notebooks/1-mast-adapter-plate.json");
    let mut job = read(&std::fs::read_to_string(path).unwrap()).unwrap();
    job.plan.instruments[0].range = range.map(Figure);
    job
}

fn said(job: &Job) -> Vec<String> {
    let problems = evaluate(job).problems;
    let beyond = |p: &ProblemKind| matches!(p, ProblemKind::Plan(PlanProblem::BeyondRange { .. }));
    problems.iter().filter(|p| beyond(&p.what)).map(|p| p.says()).collect()
}

fn asked(job: &Job) -> Vec<(String, String)> {
    let questions = &evaluate(job).pieces[0].questions;
    let beyond = questions.iter().filter(|q| matches!(q.guess, Guess::BeyondRange { .. }));
    beyond.map(|q| (q.name.clone(), q.says())).collect()
}

#[test]
fn a_height_beyond_the_range_is_said_of_the_plan_before_anything_is_read() {
    for range in [None, Some(12.0)] {
        assert_eq!(said(&notebook(range)), Vec::<String>::new());
    }
    let mut job = notebook(Some(2.0));
    job.pieces[0].readings.clear();
    let says = said(&job);
    assert!(!says.is_empty() && says[0].contains("measures up to 2.0000"), "{says:?}");
    assert_eq!(asked(&job), []);
}

#[test]
fn a_reading_beyond_the_range_is_asked_about_and_kept() {
    let mut job = notebook(Some(12.0));
    assert_eq!(asked(&job), []);
    // The point was left out.
    job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(93.680)]);
    let found = asked(&job);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].0, "hole 1");
    assert!(found[0].1.contains("the gauge measures up to 12.0000"), "{found:?}");
    assert!(job.pieces[0].reading(1, "1").unwrap().high == [Figure(93.680)]);
}
