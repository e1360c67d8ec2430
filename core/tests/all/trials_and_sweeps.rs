//! The probe constant found by a trial, and sweeps, from the document to the results.

use crate::build::{Build, Part, hole};
use quarterturn_core::findings::{Place, Ready, Weight};
use quarterturn_core::job::{Job, Probe, ProbeTrial, ProbeWay, Standard, read, write};
use quarterturn_core::quantity::{Figure, Unit};
use quarterturn_core::show::sweeps;
use serde_json::json;

/// A hole of 10 mm at (30, 20), touched by a ball of 4 mm that nobody corrected for: its highest
/// point reads 4 too low.
fn job() -> Job {
    let hole = hole("1", [30.0, 20.0]).limits(9.9, 10.1).position(0.1, &["A", "B", "C"]);
    let ball = |job: &mut Job| job.gauge().probe = Probe::Constant(Figure(4.0));
    let mut job = Part::mm().with(ball).put(hole).read();
    job.gauge().probe = Probe::AppliedByGauge;
    job.gauge_errs_by(0.002);
    job.drawing.standard = Some(Standard::IsoGps);
    job
}

fn trial(way: ProbeWay, down: &[f64], up: &[f64]) -> Option<ProbeTrial> {
    let figures = |values: &[f64]| values.iter().map(|v| Figure(*v)).collect();
    Some(ProbeTrial { way, down: figures(down), up: figures(up), known_standard: None })
}

#[test]
fn the_constant_that_was_found_corrects_sizes_and_centres_and_has_its_uncertainty() {
    let mut job = job();
    job.plan.instruments[0].probe = Probe::Found;
    job.plan.instruments[0].probe_found =
        trial(ProbeWay::Gap(Figure(20.0)), &[30.001, 29.999], &[46.0, 46.0]);
    let ready = Ready::of(&job);
    assert_eq!(ready.problems, []);
    let piece = ready.piece(0).unwrap();
    let hole = piece.features.iter().find(|f| f.number == "1").unwrap();
    assert!((hole.size.counts.unwrap().to_mm() - 10.0).abs() < 1e-9, "{:?}", hole.size);
    let (x, y) = (hole.x.at().unwrap().to_mm(), hole.y.at().unwrap().to_mm());
    assert!((x - 30.0).abs() < 1e-9 && (y - 20.0).abs() < 1e-9, "{x} {y}");
    // s² pooled = 2e-6/2; u²(K) = 1e-6 (1/2 + 1/2) + 1e-6/6.
    let budget = ready.budget(0, 2).unwrap();
    let of_probe = budget.lines.iter().find(|l| l.name == "probe constant").unwrap();
    let expected = (1e-6_f64 + 1e-6 / 6.0).sqrt();
    assert!((of_probe.of_touch.unwrap().to_mm() - expected).abs() < 1e-12, "{of_probe:?}");
    // Entered as a plain constant it gives the same.
    let mut entered = job.clone();
    entered.plan.instruments[0].probe = Probe::Constant(Figure(4.0));
    entered.plan.instruments[0].probe_found = None;
    let same = Ready::of(&entered).piece(0).unwrap();
    assert_eq!(same.features[2].size.counts, hole.size.counts);
}

#[test]
fn a_trial_that_is_not_complete_stops_and_says_what_to_do() {
    let mut job = job();
    job.plan.instruments[0].probe = Probe::Found;
    for incomplete in [None, trial(ProbeWay::Plane, &[30.0], &[])] {
        job.plan.instruments[0].probe_found = incomplete;
        let ready = Ready::of(&job);
        let stops: Vec<_> = ready.problems.iter().filter(|p| p.weight == Weight::Stops).collect();
        assert_eq!(stops.len(), 2, "{stops:?}");
        assert_eq!(stops[0].place, Place::Orientation(1));
        assert!(stops[0].says().contains("its trial is not complete"), "{stops:?}");
        assert_eq!(ready.piece(0).unwrap().features[2].size.counts, None);
    }
}

#[test]
fn a_constant_with_the_wrong_sign_is_said_before_anything_is_measured() {
    let mut job = job();
    job.pieces.clear();
    let says =
        |job: &Job| Ready::of(job).problems.iter().map(|p| p.says()).collect::<Vec<_>>().join(" ");
    job.plan.instruments[0].probe = Probe::Constant(Figure(-4.0));
    job.plan.instruments[0].probe_found = trial(ProbeWay::Plane, &[30.0, 30.001], &[26.0, 26.001]);
    let text = says(&job);
    assert!(
        text.contains("gives the probe constant 4.0000, exactly the opposite of the −4.0000"),
        "{text}"
    );
    job.plan.instruments[0].probe = Probe::Constant(Figure(4.0));
    assert_eq!(says(&job), "");
    job.plan.instruments[0].probe = Probe::Found;
    job.plan.instruments[0].probe_found = trial(ProbeWay::Plane, &[26.0, 26.001], &[30.0, 30.001]);
    let text = says(&job);
    assert!(text.contains("seem to be interchanged"), "{text}");
    job.plan.instruments[0].probe_found = trial(ProbeWay::Plane, &[30.0], &[26.0]);
    let text = says(&job);
    assert!(text.contains("is not known. Repeat the touches"), "{text}");
}

#[test]
fn a_trial_is_kept_in_the_file_as_it_was_read_and_checked() {
    let mut job = job();
    job.plan.instruments[0].probe = Probe::Found;
    job.plan.instruments[0].probe_found =
        trial(ProbeWay::Thickness(Figure(12.0)), &[42.0, 42.0005], &[26.0]);
    assert_eq!(read(&write(&job)), Ok(job.clone()));
    // The drawing's unit is another matter.
    let mut other = job.clone();
    other.convert_unit(Unit::Inch);
    assert_eq!(other.plan.instruments, job.plan.instruments);
    let whole: serde_json::Value = serde_json::from_str(&write(&job)).unwrap();
    for (place, to, says) in [
        ("way", json!({"gap": -1.0}), "not negative"),
        ("way", json!({"gap": 1e9}), "beyond what can be measured"),
        ("down", json!(vec![1.0; 101]), "more than the 100 allowed"),
        ("up", json!([1e9]), "beyond what can be measured"),
        ("known_standard", json!(1e9), "beyond what can be measured"),
    ] {
        let mut value = whole.clone();
        value["plan"]["instruments"][0]["probe_found"][place] = to;
        let error = read(&value.to_string()).unwrap_err();
        assert_eq!(error.place, format!("plan.instruments[0].probe_found.{place}"));
        assert!(error.what.contains(says), "{error}");
    }
}

#[test]
fn sweeps_are_kept_as_they_were_read_and_checked() {
    let mut job = job();
    job.pieces[0].set_sweep(1, "B", Some((Figure(-0.002), Figure(0.004))));
    job.pieces[0].set_sweep(2, "B", Some((Figure(0.001), Figure(0.001))));
    assert_eq!(read(&write(&job)), Ok(job.clone()));
    for (edit, says) in [
        (json!({"orientation": 1, "feature": "B", "lowest": 0.0, "highest": 0.1}), "two sweeps"),
        (
            json!({"orientation": 3, "feature": "B", "lowest": 0.2, "highest": 0.1}),
            "above its highest",
        ),
        (json!({"orientation": 3, "feature": "B", "lowest": -1e9, "highest": 0.1}), "beyond what"),
        (
            json!({"orientation": 3, "feature": "B23456789012345678", "lowest": 0.0, "highest": 0.1}),
            "16 characters",
        ),
    ] {
        let mut value: serde_json::Value = serde_json::from_str(&write(&job)).unwrap();
        value["pieces"][0]["sweeps"].as_array_mut().unwrap().push(edit);
        let error = read(&value.to_string()).unwrap_err();
        assert_eq!(error.place, "pieces[0].sweeps[2]");
        assert!(error.what.contains(says), "{error}");
    }
}

/// The uncertainty of a sweep is that of two touches: √(2 (r²/12 + s²)), with r = 0.001 and s = 0.001
/// √(2 (1e-6/12 + 1e-6)) = 0.00147196 (computed independently).
#[test]
fn the_uncertainty_of_a_sweep_is_that_of_two_touches() {
    let mut job = job();
    job.drawing.features[0].looks = Some(quarterturn_core::quantity::Side::PlusY);
    job.pieces[0].set_sweep(1, "B", Some((Figure(-0.002), Figure(0.004))));
    let of = |job: &Job| sweeps(job, &job.pieces[0], &job.plan.orientations[0]);
    assert_eq!(of(&job)[0].words(), "face B: lowest −0.002, highest +0.004, TIR 0.006");
    job.plan.instruments[0].repeatability = Some(Figure(0.001));
    let found = of(&job);
    assert_eq!(found[0].standard.as_deref(), Some("0.0015"));
    assert!(found[0].looks_up);
    assert_eq!(sweeps(&job, &job.pieces[0], &job.plan.orientations[1]), []);
}
