use super::rows::{Ahead, Rows, SoFar};
use crate::desk::View;
use quarterturn_core::Job;
use quarterturn_core::bench::stood;
use quarterturn_core::callout::Verdict;
use quarterturn_core::findings::Ready;
use quarterturn_core::job::{Feature, Outline, SizeLimits, Touch, Zero};
use quarterturn_core::quantity::{Figure, Unit};
use std::sync::Arc;

/// A plate of 4 by 3 inches with two holes, on B with +Y up, then on C with +X up.
pub(super) fn job() -> Job {
    let mut job = Job::empty(Unit::Inch);
    job.drawing.outline = Some(Outline {
        left: Figure(0.0),
        bottom: Figure(0.0),
        right: Figure(4.0),
        top: Figure(3.0),
    });
    for (number, x) in [("1", 0.75), ("2", 3.25)] {
        job.drawing.features.push(Feature {
            number: number.to_owned(),
            x: Some(Figure(x)),
            y: Some(Figure(0.75)),
            size: Some(SizeLimits::Limits { lower: Figure(0.375), upper: Figure(0.378) }),
            ..Feature::default()
        });
    }
    job
}

pub(super) fn view(job: &Job) -> View {
    let ready = Ready::of(job);
    let piece = ready.piece(0);
    let (problems, planned) = (ready.problems, ready.orientations);
    View { job: Arc::new(job.clone()), problems, planned, piece, index: 0 }
}

fn rows(job: &Job, index: usize) -> Rows {
    Rows::of(&view(job), index)
}

fn texts(rows: &Rows) -> Vec<&str> {
    rows.cells.iter().map(|c| c.text.as_str()).collect()
}

#[test]
fn expected_heights_stand_in_empty_cells_and_readings_take_their_place() {
    let mut job = job();
    let before = rows(&job, 0);
    assert_eq!(texts(&before), [".56175", ".93825", ".56175", ".93825"]);
    assert_eq!((before.taken, before.empty_from(0)), (0, Some(0)));
    job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.56055)]);
    job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(0.9368), Figure(0.9369)]);
    let after = rows(&job, 0);
    assert_eq!(texts(&after), [".56055", ".93685", ".56175", ".93825"]);
    assert_eq!(after.taken, 2);
    // Size and coordinate come with the readings, and only in the row that has them.
    assert_eq!((after.rows[0].size.as_str(), after.rows[0].at.as_str()), (".37630", ".74870"));
    assert_eq!((after.rows[1].size.as_str(), after.rows[1].at.as_str()), ("", ""));
}

#[test]
fn the_next_empty_touch_is_sought_onwards_and_then_from_the_beginning() {
    let mut job = job();
    for (feature, touch) in [("1", Touch::High), ("2", Touch::High)] {
        job.pieces[0].set_values(1, feature, touch, vec![Figure(0.938)]);
    }
    let rows = rows(&job, 0);
    assert_eq!(rows.empty_from(1), Some(2));
    assert_eq!(rows.empty_from(3), Some(0));
    assert_eq!(rows.empty_from(4), Some(0));
}

#[test]
fn what_the_table_has_no_cell_for_is_counted() {
    let mut job = job();
    job.pieces[0].set_values(1, "1", Touch::Centre, vec![Figure(0.75)]);
    job.pieces[0].set_values(1, "2", Touch::Low, vec![Figure(0.56)]);
    let all = rows(&job, 0);
    assert_eq!((all.taken, all.unseen, all.idle), (1, 1, 0));
    // Hole 2 as the zero is not touched: its reading takes no part.
    job.plan.orientations[0].zero = Zero::Feature("2".to_owned());
    let fewer = rows(&job, 0);
    assert_eq!((fewer.taken, fewer.unseen, fewer.idle), (0, 1, 1));
}

/// Turned another way, the part lies on the face that then looks down, and its zero is no face
/// that cannot be touched.
#[test]
fn a_part_turned_over_rests_on_the_face_that_looks_down() {
    let job = job();
    let mut on_b = job.plan.orientations[0].clone();
    on_b.zero = Zero::Feature("B".to_owned());
    // −X up: nothing but the outline looks down, and B looks aside.
    let turned = stood(&job, &on_b, 180.0);
    assert_eq!((turned.rest.face.as_deref(), &turned.zero), (None, &Zero::Plate));
    // C looks up then and can be the zero; with +X up it lies on the plate and cannot.
    on_b.zero = Zero::Feature("C".to_owned());
    let turned = stood(&job, &on_b, 180.0);
    assert_eq!(turned.zero, Zero::Feature("C".to_owned()));
    let back = stood(&job, &turned, 0.0);
    assert_eq!((back.rest.face.as_deref(), &back.zero), (Some("C"), &Zero::Plate));
    // The readings of an orientation that leans need a feature: what was given stays, to be seen.
    let leaning = stood(&job, &turned, 37.5);
    assert_eq!(
        (leaning.rest.face.as_deref(), &leaning.zero),
        (None, &Zero::Feature("C".to_owned()))
    );
}

#[test]
fn a_reading_with_a_zero_of_its_own_is_expected_from_there() {
    let mut job = job();
    let hole = Some(Zero::Feature("1".to_owned()));
    job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.56175)]);
    job.pieces[0].set_zero(1, "2", hole);
    let made = rows(&job, 0);
    // Both holes are as high as each other: .18825 below and above the centre.
    assert_eq!(texts(&made), [".56175", ".93825", "−.18825", ".18825"]);
    assert_eq!((made.rows[0].from.as_deref(), made.rows[1].from.as_deref()), (None, Some("1")));
    assert_eq!(made.cells[2].zero.as_deref(), Some("from the centre of hole 1"));
    assert_eq!((made.taken, made.unseen, made.idle), (1, 0, 0));
    // What it reads is a coordinate all the same.
    job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(0.93825)]);
    job.pieces[0].set_values(1, "2", Touch::Low, vec![Figure(-0.18725)]);
    job.pieces[0].set_values(1, "2", Touch::High, vec![Figure(0.18925)]);
    let read = rows(&job, 0);
    assert_eq!((read.rows[1].size.as_str(), read.rows[1].at.as_str()), (".37650", ".75100"));
}

/// 50 (1 + 11.5e-6 · 5)/(1 + 23.1e-6 · 5) is 49.99710033493...: computed independently.
#[test]
fn a_size_is_shown_as_it_is_judged() {
    let mut job = Job::empty(Unit::Mm);
    job.drawing.features.push(Feature {
        number: "1".to_owned(),
        x: Some(Figure(40.0)),
        y: Some(Figure(30.0)),
        size: Some(SizeLimits::Limits { lower: Figure(49.9), upper: Figure(50.1) }),
        ..Feature::default()
    });
    job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(5.0)]);
    job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(55.0)]);
    assert_eq!(rows(&job, 0).rows[0].size, "50.000");
    job.plan.conditions.part_expansion = Some(23.1);
    job.plan.conditions.gauge_expansion = Some(11.5);
    job.pieces[0].part_celsius = Some(25.0);
    assert_eq!(rows(&job, 0).rows[0].size, "49.997");
}

#[test]
fn enter_leads_on_in_order_and_from_the_end_to_what_is_missing() {
    let mut job = job();
    for (feature, touch) in [("1", Touch::High), ("2", Touch::High), ("2", Touch::Low)] {
        job.pieces[0].set_values(1, feature, touch, vec![Figure(0.938)]);
    }
    let missing = rows(&job, 0);
    // Also where the next one has a reading already.
    assert_eq!(missing.ahead(0), Ahead::Next(1));
    assert_eq!((missing.ahead(3), missing.is_full()), (Ahead::Missing(0), false));
    job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.5615)]);
    let full = rows(&job, 0);
    assert_eq!((full.ahead(1), full.ahead(3)), (Ahead::Next(2), Ahead::Complete));
    assert!(full.is_full());
}

#[test]
fn a_size_is_judged_once_the_orientation_has_seen_it() {
    let mut job = job();
    job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.56175)]);
    let so_far = |job: &Job| rows(job, 0).rows.iter().map(|r| r.so_far).collect::<Vec<_>>();
    assert_eq!(so_far(&job), [None, None]);
    job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(0.93825)]);
    // Nothing but its size is asked of the hole, and .3765 is inside its limits.
    let one = so_far(&job)[0].unwrap();
    assert_eq!(one, SoFar::All(Verdict::Conforms));
    assert_eq!(one.words(), "conforms");
    job.pieces[0].set_values(1, "1", Touch::High, vec![Figure(0.94025)]);
    assert_eq!(so_far(&job)[0].map(SoFar::verdict), Some(Verdict::DoesNotConform));
    assert_eq!(SoFar::Size(Verdict::Conforms).words(), "size conforms");
}

/// The points of a slot exchanged are said to be its own, and not those of a hole that lie as high.
#[test]
fn points_exchanged_name_their_own_feature() {
    let mut job = job();
    // Hole 2 with its points a hair beside those of hole 1.
    let hole = job.drawing.features.iter_mut().find(|f| f.number == "2").unwrap();
    hole.size = Some(SizeLimits::Limits { lower: Figure(0.3746), upper: Figure(0.3776) });
    job.pieces[0].set_values(1, "1", Touch::Low, vec![Figure(0.9380)]);
    let view = Arc::new(job);
    let view = View::of(&view, 0);
    let says: Vec<String> = view
        .questions()
        .iter()
        .map(|q| quarterturn_core::show::question(q, &view.job, &view.planned))
        .collect();
    let [says] = &says[..] else { panic!("{says:?}") };
    assert!(says.contains("It is what hole 1, highest point, should show"), "{says}");
}
