//! Which errors are said to be there.

use crate::cause_common::{circle, count, pattern, plate, tail};
use crate::random::Random;
use quarterturn_core::cause::{
    Action, Diagnosis, Distortion, Kind, Member, Refusal, Size, Standing, Trouble, Zone, diagnose,
    mean,
};

fn used(d: &Diagnosis) -> Vec<Kind> {
    d.steps
        .iter()
        .filter(|s| matches!(s.standing, Standing::Tried(t) if t.used))
        .map(|s| s.kind)
        .collect()
}

const SIGMA: f64 = 0.005;

fn errors() -> [(&'static str, Distortion, Vec<Kind>); 6] {
    let none = Distortion::default();
    [
        ("nothing", none, vec![]),
        ("shift", Distortion { shift: [0.02, -0.03], ..none }, vec![Kind::Shift]),
        ("rotation", Distortion { turn: 0.000_4, ..none }, vec![Kind::Turn]),
        (
            "shift and rotation",
            Distortion { shift: [0.02, -0.03], turn: -0.000_6, ..none },
            vec![Kind::Shift, Kind::Turn],
        ),
        ("scale", Distortion { scale: -0.000_5, ..none }, vec![Kind::Scale]),
        ("squareness", Distortion { shear: 0.000_5, ..none }, vec![Kind::Shear]),
    ]
}

/// Over many patterns: what is there is found, and little else.
#[test]
fn each_error_is_called_by_its_name() {
    for (name, error, should) in errors() {
        let mut random = Random::new(11);
        let (mut exactly, mut missed) = (0, 0);
        let runs = 1000;
        for run in 0..runs {
            let n = 8 + run % 9;
            let places = plate(n, [60.0, 40.0], &mut random);
            let d = diagnose(&pattern(&places, error, SIGMA, &mut random), None, tail).unwrap();
            let is = used(&d);
            exactly += usize::from(is == should);
            missed += usize::from(!should.iter().all(|k| is.contains(k)));
        }
        let (exactly, missed) = (count(exactly) / 10.0, count(missed) / 10.0);
        println!("{name}: called so {exactly:.1} %, missed {missed:.1} %");
        assert!(exactly > 94.0 && missed < 3.0, "{name}: {exactly} % and {missed} %");
    }
}

/// A datum at the corner or far away: a shift stays a shift, and is not taken for a rotation.
#[test]
fn the_place_of_the_datum_makes_no_rotation() {
    for from in [[0.0, 0.0], [-300.0, 200.0], [1000.0, -1000.0]] {
        let mut random = Random::new(3);
        let shift = Distortion { shift: [0.03, 0.02], ..Distortion::default() };
        let mut turned = 0;
        for _ in 0..600 {
            let places = plate(8, from, &mut random);
            let d = diagnose(&pattern(&places, shift, SIGMA, &mut random), None, tail).unwrap();
            turned += usize::from(used(&d).contains(&Kind::Turn));
        }
        println!("datum at {from:?}: {turned} of 600 shifts with a rotation");
        assert!(turned < 20, "{from:?}: {turned} of 600");
    }
}

/// Readings to 0.001 that happen to agree to the last digit show nothing below their uncertainty.
#[test]
fn a_pattern_that_fits_exactly_shows_no_more_than_was_measured() {
    let mut members = pattern(&circle(6, 50.0), Distortion::default(), 0.0, &mut Random::new(1));
    for m in &mut members {
        m.deviation = [Some(0.020), Some(-0.010)];
    }
    let d = diagnose(&members, Some(0.002), tail).unwrap();
    assert_eq!(used(&d), [Kind::Shift]);
    assert!(d.scatter.unwrap() < 1e-12);
    let Standing::Tried(shift) = d.steps[0].standing else { panic!() };
    let Size::Shift([x, y]) = shift.size else { panic!() };
    // From the floor: σ / √6.
    assert!((x.value - 0.02).abs() < 1e-12 && (y.value + 0.01).abs() < 1e-12);
    assert!((x.uncertainty - 0.002 / 6.0_f64.sqrt()).abs() < 1e-12);
    assert!((shift.farthest - libm::hypot(0.02, 0.01)).abs() < 1e-12);
    // One hole a digit away: nothing to be said of it, but without the floor there would be.
    members[2].deviation[0] = Some(0.021);
    assert_eq!(diagnose(&members, Some(0.002), tail).unwrap().outlier, None);
    assert_eq!(diagnose(&members, None, tail).unwrap().outlier.map(|l| l.member), Some(2));
    // And a shift below it.
    for m in &mut members {
        m.deviation = [Some(0.001), Some(0.0)];
    }
    let d = diagnose(&members, Some(0.002), tail).unwrap();
    assert_eq!(used(&d), []);
    assert_eq!(d.actions, [Action::LeaveAlone]);
    // Without any uncertainty given, only rounding is left, and is not taken for an error.
    let d = diagnose(&members, None, tail).unwrap();
    assert_eq!(used(&d), [Kind::Shift]);
}

/// Exact patterns, of all sizes and far from the datum; with a hole that was looked up in the wrong
/// row, whose square drowns those of the others.
#[test]
fn no_error_is_found_in_rounding() {
    let mut random = Random::new(8);
    for run in 0..1000 {
        let n = 5 + random.below(12);
        let places =
            plate(n, [5000.0 * random.within(1.0), 5000.0 * random.within(1.0)], &mut random);
        let shift = [random.within(1.0), random.within(1.0)];
        let turn = (0.001 + 0.01 * random.unit()) * random.within(1.0).signum();
        let error = Distortion { shift, turn, ..Distortion::default() };
        let mut members = pattern(&places, error, 0.0, &mut random);
        let wild = (run % 2 == 1).then(|| random.below(n));
        if let Some(j) = wild {
            members[j].deviation[1] =
                members[j].deviation[1].map(|d| d + 1000.0 * random.within(1.0));
        }
        let d = diagnose(&members, None, tail).unwrap();
        assert_eq!(d.outlier.map(|l| l.member), wild, "{error:?}");
        assert!(used(&d).contains(&Kind::Turn), "{error:?}");
        for kind in [Kind::Scale, Kind::Scales, Kind::Shear] {
            assert!(!used(&d).contains(&kind), "{error:?}");
        }
    }
}

#[test]
fn the_counts_are_those_of_the_zones() {
    let error = Distortion { shift: [0.06, 0.0], ..Distortion::default() };
    let mut members = pattern(&circle(8, 50.0), error, 0.002, &mut Random::new(21));
    // One is out by its own, one has no zone, one is a slot that was seen along y only.
    members[5].deviation[1] = Some(0.09);
    members[1].zone = None;
    members[2].zone = Some(Zone::Sides([Some(0.05), None]));
    members[2].deviation[0] = None;
    let d = diagnose(&members, None, tail).unwrap();
    assert_eq!(d.outlier.map(|l| l.member), Some(5));
    assert_eq!((d.now.conforming, d.now.judged), (0, 6));
    assert_eq!((d.corrected.conforming, d.corrected.judged), (5, 6));
    assert_eq!(d.corrected.holes[1].conforms, None);
    assert_eq!(d.corrected.holes[2].conforms, None);
    assert_eq!(d.corrected.holes[2].deviation[0], None);
    assert_eq!(d.corrected.holes[5].conforms, Some(false));
    assert!(matches!(d.actions[..], [Action::Correct(_), Action::Remeasure { member: 5, .. }]));
}

#[test]
fn holes_that_are_out_for_themselves() {
    let mut members = pattern(&circle(10, 50.0), Distortion::default(), 0.03, &mut Random::new(2));
    for m in &mut members {
        m.zone = Some(Zone::Round(0.03));
    }
    let d = diagnose(&members, None, tail).unwrap();
    assert_eq!(used(&d), []);
    assert_eq!(d.correction, None);
    let out: Vec<usize> = (0..10).filter(|i| d.now.holes[*i].conforms == Some(false)).collect();
    assert!(!out.is_empty());
    assert_eq!(d.actions, [Action::LeaveAlone, Action::Scatter { members: out }]);
}

#[test]
fn what_few_holes_cannot_say() {
    let error = Distortion { shift: [0.1, 0.1], ..Distortion::default() };
    for n in 0..3 {
        let d = diagnose(&pattern(&circle(n, 50.0), error, 0.001, &mut Random::new(1)), None, tail)
            .unwrap();
        for (step, why) in d.steps.iter().zip([
            Refusal::TooFew { needed: 3 },
            Refusal::Contains(Kind::Shift),
            Refusal::Contains(Kind::Shift),
            Refusal::Contains(Kind::Shift),
            Refusal::Contains(Kind::Shift),
        ]) {
            assert_eq!(step.standing, Standing::Refused(why), "{n} holes");
        }
        assert_eq!((d.correction, d.outlier, d.scatter), (None, None, None));
        assert_eq!(d.actions, [Action::MeasureMore { needed: 3 }]);
        assert_eq!(d.now.holes.len(), n);
    }
    // In a line: a scale, but not two.
    let line: Vec<_> = (0..7).map(|i| [15.0 * f64::from(i), 20.0]).collect();
    let grown = Distortion { scale: 0.001, ..Distortion::default() };
    let d = diagnose(&pattern(&line, grown, 0.001, &mut Random::new(1)), None, tail).unwrap();
    assert_eq!(used(&d), [Kind::Scale]);
    assert_eq!(d.steps[3].standing, Standing::Refused(Refusal::InLine));
    assert_eq!(d.steps[4].standing, Standing::Refused(Refusal::Contains(Kind::Scales)));
    assert!(
        matches!(d.actions[..], [Action::CheckScale { grown }] if (grown - 0.0922).abs() < 0.004)
    );
}

/// What all pieces share shows in their mean where one piece does not show it.
#[test]
fn the_mean_of_pieces_shows_more() {
    let error = Distortion { shift: [0.004, 0.0], ..Distortion::default() };
    let mut random = Random::new(9);
    let places = circle(6, 50.0);
    let pieces: Vec<Vec<Member>> =
        (0..40).map(|_| pattern(&places, error, SIGMA, &mut random)).collect();
    let alone = pieces
        .iter()
        .filter(|p| used(&diagnose(p, None, tail).unwrap()).contains(&Kind::Shift))
        .count();
    let d = diagnose(&mean(&pieces).unwrap(), None, tail).unwrap();
    println!("{alone} of 40 pieces show the shift, and their mean");
    assert!(alone < 20);
    assert_eq!(used(&d), [Kind::Shift]);
    assert!((d.error.shift[0] - 0.004).abs() < 0.001);
}

#[test]
fn bad_numbers_are_refused() {
    let good = pattern(&circle(5, 50.0), Distortion::default(), 0.001, &mut Random::new(1));
    assert_eq!(diagnose(&good, Some(f64::NAN), tail), Err(Trouble::Uncertainty));
    assert_eq!(diagnose(&good, Some(-1.0), tail), Err(Trouble::Uncertainty));
    let mut bad = good.clone();
    bad[3].nominal[1] = f64::NAN;
    let trouble = diagnose(&bad, None, tail).unwrap_err();
    assert_eq!(trouble, Trouble::Coordinate { member: 3 });
    assert!(trouble.to_string().starts_with("member 3: "));
}
