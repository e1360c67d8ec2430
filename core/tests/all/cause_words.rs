//! The sentences.

use crate::cause_common::{circle, pattern, plate, tail};
use crate::random::Random;
use quarterturn_core::cause::{
    Distortion, Kind, Member, Refusal, Standing, Step, Words, Zone, diagnose,
};

/// The actions, and what became of each model; in inches and degrees.
fn said(members: &[Member]) -> (Vec<String>, Vec<String>) {
    let inch = |mm: f64| format!("{:.4}", mm / 25.4);
    let degrees = |d: f64| format!("{d:.3} degrees");
    let name = |i: usize| format!("hole {}", i + 1);
    let words = Words { length: &inch, angle: &degrees, name: &name };
    diagnose(members, Some(0.0005), tail).map_or_else(
        |trouble| (vec![trouble.to_string()], vec![]),
        |d| (words.actions(&d), d.steps.iter().map(|s| words.step(s)).collect()),
    )
}

#[test]
fn offset_angle_and_a_hole_on_its_own() {
    let error = Distortion { shift: [0.0305, -0.0102], turn: 0.000_2, ..Distortion::default() };
    let mut members = pattern(&circle(12, 80.0), error, 0.001, &mut Random::new(12));
    for m in &mut members {
        m.zone = Some(Zone::Round(0.04));
    }
    members[6].deviation[1] = members[6].deviation[1].map(|d| d + 0.13);
    let (actions, steps) = said(&members);
    assert_eq!(
        actions,
        [
            "Move the work offset X −0.0012, Y +0.0004 and rotate 0.011 degrees clockwise about \
             the datum: 11 of 12 holes conform, 7 do now; hole 7 is on its own.",
            "Re-measure hole 7: it is X 0.0000, Y +0.0051 from where the others put it. If that \
             stands, look at its tool and its operation.",
        ]
    );
    assert_eq!(
        steps[..2],
        [
            "The shift: X +0.0012, Y −0.0004, 0.0013 at the farthest hole (p below 0.001).",
            "The rotation: 0.011 degrees counter-clockwise, 0.0006 at the farthest hole (p below \
             0.001).",
        ]
    );
    assert!(steps[4].starts_with("Squareness is not shown by these holes (p = 0."), "{steps:?}");
}

#[test]
fn scales_and_squareness() {
    let none = Distortion::default();
    let places = plate(10, [60.0, 40.0], &mut Random::new(7));
    let all = |error| said(&pattern(&places, error, 0.001, &mut Random::new(3)));
    assert_eq!(
        all(Distortion { scale: -0.001, ..none }).0[0],
        "Check the temperature of the part and the machine's scale: the pattern is too small by \
         0.0028 at the farthest hole."
    );
    assert_eq!(
        all(Distortion { stretch: 0.001, ..none }).0[0],
        "Check the scale of each axis: X is too long by 0.0024 and Y too short by 0.0016 at the \
         farthest hole."
    );
    let (actions, steps) = all(Distortion { shear: -0.001, ..none });
    assert_eq!(
        actions[0],
        "Check the squareness of the edges the part stood on, then that of the machine's axes: \
         +X and +Y meet at 0.115 degrees more than a right angle, 0.0028 at the farthest hole."
    );
    assert_eq!(
        steps[4],
        "Squareness: 0.115 degrees more than a right angle, 0.0028 at the farthest hole (p below \
         0.001)."
    );
}

#[test]
fn nothing_to_do_and_nothing_to_tell() {
    let clean = pattern(&circle(8, 50.0), Distortion::default(), 0.003, &mut Random::new(3));
    assert_eq!(
        said(&clean).0,
        ["The holes show no error in common: leave the machine's offsets as they are."]
    );
    let mut scattered = clean;
    for i in [2, 4] {
        scattered[i].zone = Some(Zone::Round(0.0));
    }
    assert_eq!(
        said(&scattered).0[1],
        "Hole 3 and hole 5 are out of zone by an error of their own, not by one that all holes share."
    );
    let two = pattern(&circle(2, 50.0), Distortion::default(), 0.003, &mut Random::new(3));
    let (actions, steps) = said(&two);
    assert_eq!(
        actions,
        ["Too little is known to tell an error of the machine from the holes' own: measure at \
          least 3 holes in X and in Y."]
    );
    assert_eq!(
        steps,
        [
            "The shift cannot be told: at least 3 holes known in X and in Y are needed.",
            "The rotation cannot be told: nor can the shift.",
            "One scale cannot be told: nor can the shift.",
            "Two scales cannot be told: nor can the shift.",
            "Squareness cannot be told: nor can the shift.",
        ]
    );
}

#[test]
fn below_the_last_digit() {
    let error = Distortion { shift: [0.0, 0.001], ..Distortion::default() };
    let members = pattern(&circle(30, 50.0), error, 0.0003, &mut Random::new(3));
    assert_eq!(
        said(&members).0,
        ["The correction is smaller than the last digit shown: leave the machine's offsets as \
          they are."]
    );
    // A component that shows nothing is left out, so is a rotation.
    let error = Distortion { shift: [0.0005, 0.1], ..Distortion::default() };
    let members = pattern(&circle(30, 50.0), error, 0.0003, &mut Random::new(3));
    assert_eq!(
        said(&members).0,
        ["Move the work offset Y −0.0039: 30 of 30 holes conform, 0 do now."]
    );
}

#[test]
fn refusals() {
    let none = |_: f64| String::new();
    let name = |i: usize| format!("hole {}", i + 1);
    let words = Words { length: &none, angle: &none, name: &name };
    for (why, says) in [
        (Refusal::Unseen { axis: 1 }, "no hole was measured in Y"),
        (Refusal::OnePlace, "the holes are all at one place"),
        (Refusal::InLine, "the holes are all in one line"),
        (Refusal::Alike, "what is known of the holes does not tell it from the simpler errors"),
        (Refusal::HangsOn { member: 6 }, "it would hang on hole 7 alone"),
        (Refusal::Contains(Kind::Scales), "nor can two scales"),
    ] {
        let step = Step { kind: Kind::Shear, standing: Standing::Refused(why) };
        assert_eq!(words.step(&step), format!("Squareness cannot be told: {says}."));
    }
}
