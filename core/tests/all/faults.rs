//! What cannot be judged is said and never judged in part.

use quarterturn_core::callout::Verdict;
use quarterturn_core::evaluate;
use quarterturn_core::findings::Fault;
use quarterturn_core::job::{self, Job, SizeLimits, Taken, Touch, record_changes};
use quarterturn_core::quantity::{Figure, Side};

fn notebook() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/notebooks/1-mast-adapter-plate.json");
    job::read(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn verdict(job: &Job, number: &str) -> (Verdict, Option<Fault>) {
    let found = evaluate(job);
    let f = found.pieces[0].features.iter().find(|f| f.number == number).unwrap();
    (f.verdict, f.fault.clone())
}

#[test]
fn limits_the_wrong_way_round_are_not_judged() {
    let mut job = notebook();
    let f = job.drawing.features.iter_mut().find(|f| f.number == "5").unwrap();
    f.size = Some(SizeLimits::Limits { lower: Figure(1.251), upper: Figure(1.25) });
    assert_eq!(verdict(&job, "5"), (Verdict::CannotBeJudged, Some(Fault::Limits)));
}

#[test]
fn two_features_under_one_number_are_not_judged() {
    let mut job = notebook();
    let f = job.drawing.features.iter_mut().find(|f| f.number == "2").unwrap();
    f.number = "1".to_owned();
    assert_eq!(verdict(&job, "1"), (Verdict::CannotBeJudged, Some(Fault::Number)));
}

#[test]
fn touches_that_contradict_each_other_give_no_size_and_no_salvage() {
    let mut job = notebook();
    job.pieces[0].set_values(1, "3", Touch::Low, vec![Figure(2.9)]);
    assert_eq!(verdict(&job, "3"), (Verdict::CannotBeJudged, Some(Fault::Touches)));
    let found = evaluate(&job);
    let f = found.pieces[0].features.iter().find(|f| f.number == "3").unwrap();
    assert!(f.in_question && f.salvage.is_none());
}

#[test]
fn only_what_the_plan_asks_for_counts() {
    let mut job = notebook();
    job.plan.orientations[0].taken = Taken::CentreAndSize;
    let found = evaluate(&job);
    let f = found.pieces[0].features.iter().find(|f| f.number == "1").unwrap();
    assert_eq!(f.verdict, Verdict::NotMeasured);
    assert!(found.pieces[0].problems.iter().any(|p| p.says().contains("no part in the results")));
}

#[test]
fn readings_of_a_removed_orientation_are_not_taken_for_the_next_one() {
    let mut job = notebook();
    job.plan.orientations.retain(|o| o.number == 1);
    assert_eq!(job.add_orientation(Side::PlusX), 3);
}

#[test]
fn another_number_for_a_feature_is_no_correction() {
    let old = notebook();
    let mut new = old.clone();
    let index = new.drawing.features.iter().position(|f| f.number == "3").unwrap();
    new.renumber(index, "30");
    record_changes(&old, &mut new, "2026-11-25 12:00:00", "N. N.");
    assert_eq!(new.record, vec![]);
    assert_eq!(evaluate(&new).pieces[0].tally, evaluate(&old).pieces[0].tally);
}
