//! What must hold for any part, however it is measured.
//!
//! The parts and their readings are made up by `simulate::random_part`, which simulates a gauge and
//! calls nothing of the program. A coordinate or a size is "the same" when it agrees to a
//! billionth of a millimetre.

use crate::common::{cases, feature, same};
use crate::simulate::random_part::{
    Made, Part, Stand, ZeroAt, any_part, any_stand, any_unit, index, square_pairs,
};
use proptest::prelude::*;
use quarterturn_core::bench::{Setup, expected, reduce};
use quarterturn_core::callout::{Salvage, Verdict};
use quarterturn_core::evaluate;
use quarterturn_core::findings::{Coordinate, FeatureFinding, PieceFinding, Weight};
use quarterturn_core::job::{
    Blocks, Callout, Instrument, Job, Kind, Modifier, Orientation, Outline, Probe, Reading,
    SizeLimits, Standard, Taken, Touch, Zero,
};
use quarterturn_core::quantity::{Axis, Figure, Length, Side, Unit};

/// Features of a made-up part, at most.
const MOST: usize = 7;

/// The coordinate that must come out along `axis`, in millimetres; `None` where it was what read
/// zero, or cannot be seen from there.
fn coordinate(part: &Part, i: usize, axis: Axis, stands: &[Stand]) -> Option<f64> {
    let f = &part.features[i];
    let stand = stands.iter().find(|s| s.up.axis() == axis)?;
    // What read zero is known where the datum is: what lies between them was measured.
    let zero = part.zero_of(stand) == ZeroAt::Feature(i) && !part.datum_is_known(stand);
    if zero || !f.seen_along(axis) {
        return None;
    }
    Some(f.actual[index(axis)] + part.shift(stand))
}

/// Position, allowed and verdict by plain arithmetic: `None` where something was not measured.
fn judged(part: &Part, i: usize, stands: &[Stand]) -> Option<(f64, f64, Verdict)> {
    let f = &part.features[i];
    let mm = part.unit.in_mm();
    let mut squares = 0.0;
    let mut sizes = Vec::new();
    for axis in [Axis::X, Axis::Y] {
        if !f.seen_along(axis) {
            continue;
        }
        // Nothing is said about a position from a datum that nothing ties to the readings.
        stands.iter().find(|s| s.up.axis() == axis).filter(|s| part.datum_is_known(s))?;
        let d = coordinate(part, i, axis, stands)? - f.nominal[index(axis)] * mm;
        squares += d * d;
        let stand = stands.iter().find(|s| s.up.axis() == axis)?;
        if part.zero_of(stand) != ZeroAt::Feature(i) {
            sizes.push(f.size[index(axis)]);
        }
    }
    let position = 2.0 * squares.sqrt();
    let (lower, upper) = (f.limits[0] * mm, f.limits[1] * mm);
    let least = sizes.iter().copied().fold(f64::MAX, f64::min);
    let most = sizes.iter().copied().fold(f64::MIN, f64::max);
    let size_conforms = least >= lower - 1e-9 && most <= upper + 1e-9;
    let bonus = match (size_conforms, f.modifier, f.internal()) {
        (false, _, _) | (_, Modifier::None, _) => 0.0,
        (_, Modifier::Mmc, true) => least - lower,
        (_, Modifier::Mmc, false) => upper - most,
        (_, Modifier::Lmc, true) => upper - most,
        (_, Modifier::Lmc, false) => least - lower,
    };
    let allowed = f.tolerance * mm + bonus;
    let verdict = if size_conforms && position <= allowed + 1e-9 {
        Verdict::Conforms
    } else {
        Verdict::DoesNotConform
    };
    Some((position, allowed, verdict))
}

/// How far every decision about the piece is from a tie: on a tie two sums may differ.
fn nearest_tie(piece: &PieceFinding) -> f64 {
    piece
        .features
        .iter()
        .flat_map(|f| {
            let size = f.size.margin.map(|m| m.to_mm().abs());
            let position = f.position.as_ref().and_then(|p| p.margin).map(|m| m.to_mm().abs());
            size.into_iter().chain(position)
        })
        .fold(f64::MAX, f64::min)
}

fn stands() -> impl Strategy<Value = [Stand; 2]> {
    [any_stand(MOST), any_stand(MOST)]
}

/// Two findings of one feature that must be the same but for the sizes' order.
fn same_finding(a: &FeatureFinding, b: &FeatureFinding) -> Result<(), TestCaseError> {
    let both = |what: &str, a: Option<Length>, b: Option<Length>| match (a, b) {
        (Some(a), Some(b)) if same(a.to_mm(), b.to_mm()) => Ok(()),
        (None, None) => Ok(()),
        _ => Err(TestCaseError::fail(format!("{what}: {a:?} and {b:?}"))),
    };
    prop_assert_eq!(&a.number, &b.number);
    both("x", a.x.at(), b.x.at())?;
    both("y", a.y.at(), b.y.at())?;
    both("dx", a.x.deviation(), b.x.deviation())?;
    both("dy", a.y.deviation(), b.y.deviation())?;
    both("size", a.size.counts, b.size.counts)?;
    both("difference", a.size.difference, b.size.difference)?;
    prop_assert_eq!(a.size.verdict, b.size.verdict);
    match (&a.position, &b.position) {
        (Some(p), Some(q)) => {
            both("position", p.position, q.position)?;
            both("allowed", Some(p.allowed), Some(q.allowed))?;
            both("margin", p.margin, q.margin)?;
            prop_assert_eq!(
                (p.by_bonus, &p.unjudged, p.verdict),
                (q.by_bonus, &q.unjudged, q.verdict)
            );
        }
        (p, q) => prop_assert_eq!(p.is_some(), q.is_some()),
    }
    match (a.salvage, b.salvage) {
        (
            Some(Salvage::Possible { size: s, margin: m, .. }),
            Some(Salvage::Possible { size: t, margin: n, .. }),
        )
        | (
            Some(Salvage::Impossible { size: s, beyond: m, .. }),
            Some(Salvage::Impossible { size: t, beyond: n, .. }),
        ) => {
            both("salvage", Some(s), Some(t))?;
            both("salvage", Some(m), Some(n))?;
        }
        (s, t) => prop_assert_eq!((s, t), (None, None)),
    }
    prop_assert_eq!(a.verdict, b.verdict);
    Ok(())
}

fn same_piece(a: &PieceFinding, b: &PieceFinding) -> Result<(), TestCaseError> {
    for f in &a.features {
        same_finding(f, feature(b, &f.number))?;
    }
    prop_assert_eq!((a.tally, a.verdict), (b.tally, b.verdict));
    prop_assert_eq!(a.questions.len(), b.questions.len());
    Ok(())
}

proptest! {
    #![proptest_config(cases(256))]

    /// The plant-and-find property: what a part measured in any two square orientations really
    /// is comes out again, with its verdict.
    #[test]
    fn a_made_up_part_is_found_again(part in any_part(MOST), mut stands in stands()) {
        for (a, b) in square_pairs() {
            stands[0].up = a;
            stands[1].up = b;
            let job = part.measured(&stands);
            let findings = evaluate(&job);
            let stops: Vec<_> = findings.problems.iter().filter(|p| p.weight == Weight::Stops).collect();
            prop_assert!(stops.is_empty(), "{:?}", stops);
            let piece = &findings.pieces[0];
            prop_assert!(piece.problems.is_empty(), "{:?}", piece.problems);
            for (i, made) in part.features.iter().enumerate() {
                let found = feature(piece, &Part::number(i));
                for (axis, is) in [(Axis::X, found.x), (Axis::Y, found.y)] {
                    match coordinate(&part, i, axis, &stands) {
                        Some(should) => {
                            let at = is.at().unwrap().to_mm();
                            prop_assert!(same(at, should), "{axis:?} {at} {should}");
                            let d = should - made.nominal[index(axis)] * part.unit.in_mm();
                            prop_assert!(same(is.deviation().unwrap().to_mm(), d));
                        }
                        // What read zero is missing; along a slot nothing is asked.
                        None if made.seen_along(axis) => prop_assert_eq!(is, Coordinate::NotMeasured),
                        None => prop_assert_eq!(is, Coordinate::NotRequired),
                    }
                }
                for seen in &found.size.seen {
                    let axis = stands[seen.orientation as usize - 1].up.axis();
                    prop_assert!(same(seen.size.to_mm(), made.size[index(axis)]));
                }
                if found.size.seen.is_empty() {
                    // It was the zero whichever way it was looked at.
                    prop_assert_eq!(found.size.verdict, Verdict::NotMeasured);
                    continue;
                }
                match judged(&part, i, &stands) {
                    Some((position, allowed, verdict)) => {
                        let p = found.position.as_ref().unwrap();
                        prop_assert!(same(p.position.unwrap().to_mm(), position));
                        prop_assert!(same(p.allowed.to_mm(), allowed));
                        prop_assert!(same(p.margin.unwrap().to_mm(), allowed - position));
                        prop_assert_eq!(found.verdict, verdict);
                    }
                    None => prop_assert_eq!(
                        found.position.as_ref().unwrap().verdict, Verdict::NotMeasured
                    ),
                }
            }
            for face in piece.features.iter().filter(|f| f.kind == Kind::Face) {
                for d in [face.x, face.y].into_iter().filter_map(|c| c.deviation()) {
                    let axis = if face.x.at().is_some() { Axis::X } else { Axis::Y };
                    let shift: f64 = stands.iter().filter(|s| s.up.axis() == axis).map(|s| part.shift(s)).sum();
                    prop_assert!(same(d.to_mm(), shift), "{} {:?}", face.number, d);
                }
            }
        }
    }

    /// Turning the part the other way for its second axis changes nothing of what is found.
    #[test]
    fn turned_the_other_way_it_is_the_same_part(part in any_part(MOST), mut stands in stands()) {
        for (a, b) in square_pairs() {
            stands[0].up = a;
            stands[1].up = b;
            let one = evaluate(&part.measured(&stands));
            let known = part.datum_is_known(&stands[1]);
            stands[1].up = b.opposite();
            // With the zero at another feature only one of the two ways ties the datum to the readings.
            if !(known && part.datum_is_known(&stands[1])) {
                continue;
            }
            let other = evaluate(&part.measured(&stands));
            prop_assume!(nearest_tie(&one.pieces[0]) > 1e-8);
            // Other edges are faces to touch now: what is compared are the features of size.
            let (one, other) = (&one.pieces[0], &other.pieces[0]);
            for f in one.features.iter().filter(|f| f.kind.is_sized()) {
                same_finding(f, feature(other, &f.number))?;
            }
            prop_assert_eq!((one.tally, one.verdict), (other.tally, other.verdict));
        }
    }

    /// It does not matter which unit the drawing and the gauges speak.
    #[test]
    fn another_unit_changes_no_verdict(part in any_part(MOST), stands in stands()) {
        let mut job = part.measured(&stands);
        // A metric drawing alone is asked for its standard.
        job.drawing.standard = Some(Standard::Asme2018);
        let was = evaluate(&job);
        for unit in [Unit::Inch, Unit::Mm] {
            let is = evaluate(&in_unit(&job, unit));
            prop_assert_eq!(is.problems.len(), was.problems.len());
            same_piece(&was.pieces[0], &is.pieces[0])?;
        }
    }

    /// Features, readings and orientations may stand in any order.
    #[test]
    fn order_changes_nothing(
        part in any_part(MOST),
        stands in stands(),
        keys in prop::collection::vec(any::<u32>(), 64),
    ) {
        let job = part.measured(&stands);
        let mut other = job.clone();
        shuffle(&mut other.drawing.features, &keys);
        shuffle(&mut other.pieces[0].readings, &keys[7..]);
        shuffle(&mut other.plan.orientations, &keys[13..]);
        let (was, is) = (evaluate(&job), evaluate(&other));
        let said = |f: &quarterturn_core::Findings| {
            let mut list: Vec<String> = f.problems.iter().map(|p| p.says()).collect();
            list.sort();
            list
        };
        prop_assert_eq!(said(&was), said(&is));
        let numbers: Vec<&str> = is.pieces[0].features.iter().map(|f| f.number.as_str()).collect();
        let listed: Vec<&str> = other.drawing.features.iter().map(|f| f.number.as_str()).collect();
        prop_assert_eq!(numbers, listed, "findings come in the order of the drawing");
        same_piece(&was.pieces[0], &is.pieces[0])?;
    }

    /// A larger tolerance, or wider limits of size, makes no verdict worse; with readings missing
    /// as well.
    #[test]
    fn more_tolerance_is_never_worse(
        part in any_part(MOST),
        stands in stands(),
        more in prop_oneof![Just(0.0), 0.0..0.2f64],
        wider in [prop_oneof![Just(0.0), 0.0..0.05f64], prop_oneof![Just(0.0), 0.0..0.05f64]],
        gaps in prop::collection::vec(0u8..5, 2 * MOST + 8),
    ) {
        let mut job = part.measured(&stands);
        for (reading, gap) in job.pieces[0].readings.iter_mut().zip(&gaps) {
            match gap {
                0 => reading.high.clear(),
                1 => reading.size.clear(),
                _ => {}
            }
        }
        let mut other = job.clone();
        let mm = part.unit.in_mm();
        for f in &mut other.drawing.features {
            for Callout::Position(p) in &mut f.callouts {
                p.tolerance = Figure(p.tolerance.0 + more / mm);
            }
            if let Some(SizeLimits::Limits { lower, upper }) = &mut f.size {
                *lower = Figure(lower.0 - wider[0] / mm);
                *upper = Figure(upper.0 + wider[1] / mm);
            }
        }
        let good = |v: Verdict| match v {
            Verdict::DoesNotConform => 0,
            Verdict::NotProven | Verdict::NotMeasured => 1,
            Verdict::Conforms => 2,
            Verdict::CannotBeJudged | Verdict::NothingAsked => 3,
        };
        let (was, is) = (evaluate(&job), evaluate(&other));
        for (a, b) in was.pieces[0].features.iter().zip(&is.pieces[0].features) {
            prop_assert!(good(b.verdict) >= good(a.verdict), "{}: {:?} became {:?}", a.number, a.verdict, b.verdict);
            let (a, b) = (a.position.as_ref(), b.position.as_ref());
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert!(good(b.verdict) >= good(a.verdict), "position {:?} became {:?}", a.verdict, b.verdict);
            }
        }
    }

    /// A part exactly to its drawing shows what is expected: readings equal to the expected ones
    /// give no deviation and sizes in the middle of their limits.
    #[test]
    fn what_is_expected_gives_no_deviation(part in any_part(MOST), stands in stands()) {
        for (a, b) in square_pairs() {
            let mut stands = stands.clone();
            stands[0].up = a;
            stands[1].up = b;
            let mut job = part.measured(&stands);
            job.pieces[0].readings.clear();
            fill_as_expected(&mut job);
            let piece = &evaluate(&job).pieces[0];
            prop_assert!(piece.questions.is_empty(), "{:?}", piece.questions);
            let mut seen = 0;
            for (f, drawn) in piece.features.iter().zip(&job.drawing.features) {
                for d in [f.x.deviation(), f.y.deviation()].into_iter().flatten() {
                    prop_assert!(d.to_mm().abs() < 1e-10, "{}: {:?}", f.number, d);
                    seen += 1;
                }
                for s in &f.size.seen {
                    let middle = drawn.size.unwrap().limits(part.unit).unwrap().middle();
                    prop_assert!((s.size - middle).to_mm().abs() < 1e-10);
                    seen += 1;
                }
            }
            // A part whose one feature is the zero shows nothing.
            prop_assume!(seen >= 2);
        }
    }

    /// And the other way: a reduced reading, put back through the setup, is the reading.
    #[test]
    fn a_reduced_reading_is_that_reading_again(part in any_part(MOST), stands in stands()) {
        let job = part.measured(&stands);
        for o in &job.plan.orientations {
            let setup = Setup::of(&job, o).unwrap();
            for e in expected(&job, o, Some(&setup)) {
                let f = &job.drawing.features[e.feature];
                let reading = job.pieces[0].reading(o.number, &f.number).unwrap();
                let value = reading.values(e.touch)[reading.values(e.touch).len() / 2].length(setup.unit);
                let found = reduce(f, &setup, reading);
                let back = match e.touch {
                    Touch::Size => setup.raw_size(found.size.unwrap(), f.kind),
                    Touch::Low => setup.raw(found.along.unwrap() - found.size.unwrap() * 0.5, e.contact),
                    Touch::High => setup.raw(found.along.unwrap() + found.size.unwrap() * 0.5, e.contact),
                    Touch::Centre | Touch::Face => setup.raw(found.along.unwrap(), e.contact),
                };
                prop_assert!(same(back.to_mm(), value.to_mm()), "{:?} {back:?} {value:?}", e.touch);
            }
        }
    }

    /// Blocks that are higher than stated move all features of an axis alike: what lies between two of
    /// them stays what it is.
    #[test]
    fn opposite_orientations_keep_distances_whatever_the_blocks(
        part in any_part(MOST),
        mut stand in any_stand(MOST),
        error in -3.0..3.0f64,
        first in 0usize..4,
    ) {
        stand.zero = ZeroAt::Plate;
        stand.rests_on_face = false;
        let up = Side::ALL[first];
        let turned = Side::ALL[(first + 1) % 4];
        let mut stands: Vec<Stand> = [up, up.opposite(), turned, turned.opposite()]
            .into_iter()
            .map(|up| Stand { up, ..stand.clone() })
            .collect();
        let stated = part.measured(&stands);
        for s in &mut stands {
            s.blocks += error;
        }
        let mut job = part.measured(&stands);
        job.plan.orientations.clone_from(&stated.plan.orientations);
        let piece = &evaluate(&job).pieces[0];
        let mut off: [Option<f64>; 2] = [None; 2];
        for (i, made) in part.features.iter().enumerate() {
            let f = feature(piece, &Part::number(i));
            for (axis, is) in [(Axis::X, f.x), (Axis::Y, f.y)] {
                if made.seen_along(axis) {
                    let error = is.at().unwrap().to_mm() - made.actual[index(axis)];
                    let first = *off[index(axis)].get_or_insert(error);
                    prop_assert!(same(error, first), "{error} {first}");
                }
            }
        }
    }

    /// Any angle set up on a sine bar, with its zero at a hole, gives the same coordinates in
    /// company of a second, well different one.
    #[test]
    fn oblique_orientations_give_x_and_y(
        extent in [80.0..300.0f64, 80.0..300.0f64],
        holes in prop::collection::vec(([0.05..0.95f64, 0.05..0.95f64], [-0.1..0.1f64, -0.1..0.1f64]), 2..6),
        degrees in prop::collection::vec(-360.0..360.0f64, 2..5),
        unit in any_unit(),
    ) {
        let spread = |a: f64, b: f64| libm::sin((a - b).to_radians()).abs();
        prop_assume!(degrees.iter().any(|d| spread(*d, degrees[0]) > 0.2));
        let part = round_holes(extent, &holes);
        let mut job = part.measured(&[]);
        job.plan.instruments = vec![quarterturn_core::job::Instrument {
            name: "gauge".to_owned(),
            identification: String::new(),
            calibration_due: String::new(),
            unit,
            resolution: Figure(0.001),
            error_limit: None,
            probe: Probe::AppliedByGauge,
            ..Instrument::default()
        }];
        let origin = &part.features[0];
        for (number, d) in (1..).zip(&degrees) {
            job.plan.orientations.push(Orientation {
                number,
                up_degrees: *d,
                zero: Zero::Feature("1".to_owned()),
                taken: Taken::CentreAndSize,
                ..Orientation::default()
            });
            let a = d.to_radians();
            for (i, f) in part.features.iter().enumerate().skip(1) {
                let (dx, dy) = (f.actual[0] - origin.actual[0], f.actual[1] - origin.actual[1]);
                let height = dx * libm::cos(a) + dy * libm::sin(a);
                job.pieces[0].readings.push(Reading {
                    orientation: number,
                    feature: Part::number(i),
                    centre: vec![Figure(height / unit.in_mm())],
                    size: vec![Figure(f.size[0] / unit.in_mm())],
                    ..Reading::default()
                });
            }
        }
        let findings = evaluate(&job);
        for (i, made) in part.features.iter().enumerate().skip(1) {
            let f = feature(&findings.pieces[0], &Part::number(i));
            for (k, is) in [f.x, f.y].into_iter().enumerate() {
                let should = made.actual[k] - origin.actual[k] + origin.nominal[k];
                let at = is.at().unwrap().to_mm();
                prop_assert!((at - should).abs() < 1e-8, "{at} {should}");
            }
        }
    }

    /// A part that stood the other way up than stated is noticed, and nothing is changed.
    #[test]
    fn standing_the_other_way_up_is_noticed(
        extent in [80.0..300.0f64, 80.0..300.0f64],
        holes in prop::collection::vec(([0.05..0.95f64, 0.05..0.95f64], [-0.1..0.1f64, -0.1..0.1f64]), 3..8),
        stand in any_stand(1),
    ) {
        let stand = Stand { zero: ZeroAt::Plate, rests_on_face: false, ..stand };
        let part = round_holes(extent, &holes);
        let at: Vec<f64> = part.features.iter().map(|f| f.nominal[index(stand.up.axis())]).collect();
        let spread = at.iter().copied().fold(f64::MIN, f64::max) - at.iter().copied().fold(f64::MAX, f64::min);
        prop_assume!(spread > 10.0);
        let stated = part.measured(std::slice::from_ref(&stand));
        prop_assert!(evaluate(&stated).pieces[0].problems.is_empty());
        let really = Stand { up: stand.up.opposite(), ..stand };
        let mut job = part.measured(std::slice::from_ref(&really));
        job.plan.orientations.clone_from(&stated.plan.orientations);
        let piece = &evaluate(&job).pieces[0];
        let says: Vec<String> = piece.problems.iter().map(quarterturn_core::findings::Problem::says).collect();
        prop_assert!(says.iter().any(|s| s.contains(really.up.label())), "{says:?}");
    }

    /// A tie conforms: dx 3, dy 4 and a tolerance of 10 parts, whatever the part of a unit is and
    /// wherever the hole is; a gauge's last digit more does not.
    #[test]
    fn a_tie_conforms(
        unit in any_unit(),
        reading_unit in any_unit(),
        step in 1u32..40,
        at in [200u32..4000, 200u32..4000],
        mirrored in [any::<bool>(), any::<bool>()],
        swapped in any::<bool>(),
    ) {
        // All in thousandths (mm) or ten-thousandths (inch) of the unit, as a drawing writes them.
        let grid = match unit { Unit::Mm => 0.001, Unit::Inch => 0.0001 };
        let tidy = |v: f64| (v / grid).round() * grid;
        let (short, long) = if swapped { (4.0, 3.0) } else { (3.0, 4.0) };
        let by = [short, long].map(|v| v * f64::from(step) * grid);
        let nominal = at.map(|v| tidy(f64::from(v) * grid * 10.0));
        for (excess, verdict) in [(0.0, Verdict::Conforms), (grid / 10.0, Verdict::DoesNotConform)] {
            let actual = [0, 1].map(|k| {
                let d = by[k] + if k == 0 { excess } else { 0.0 };
                nominal[k] + if mirrored[k] { -d } else { d }
            });
            let mm = unit.in_mm();
            let part = Part {
                unit,
                extent: [50.0, 50.0],
                features: vec![Made {
                    kind: Kind::Hole,
                    across: None,
                    nominal,
                    limits: [0.375, 0.378],
                    tolerance: tidy(10.0 * f64::from(step) * grid),
                    modifier: Modifier::None,
                    actual: actual.map(|v| v * mm),
                    // On the upper limit in one direction, on the lower one in the other.
                    size: [0.375 * mm, 0.378 * mm],
                }],
            };
            let stands = [Side::PlusY, Side::MinusX].map(|up| Stand {
                up,
                rests_on_face: false,
                blocks: 0.0,
                zero: ZeroAt::Plate,
                taken: Taken::Touches,
                unit: reading_unit,
                ball: None,
                repeats: false,
            });
            let piece = &evaluate(&part.measured(&stands)).pieces[0];
            let f = feature(piece, "1");
            prop_assert_eq!(f.size.verdict, Verdict::Conforms);
            prop_assert_eq!(f.verdict, verdict, "{:?}", f.position);
        }
    }
}

fn round_holes(extent: [f64; 2], holes: &[([f64; 2], [f64; 2])]) -> Part {
    let features = holes
        .iter()
        .map(|(place, by)| {
            let nominal = [place[0] * extent[0], place[1] * extent[1]];
            Made {
                kind: Kind::Hole,
                across: None,
                nominal,
                limits: [6.0, 6.1],
                tolerance: 0.2,
                modifier: Modifier::None,
                actual: [nominal[0] + by[0], nominal[1] + by[1]],
                size: [6.05, 6.05],
            }
        })
        .collect();
    Part { unit: Unit::Mm, extent, features }
}

/// Sorts by keys that were drawn by lot.
fn shuffle<T>(list: &mut [T], keys: &[u32]) {
    for i in (1..list.len()).rev() {
        let with = keys[i % keys.len()] as usize % (i + 1);
        list.swap(i, with);
    }
}

/// Puts the expected reading into every touch of the plan.
fn fill_as_expected(job: &mut Job) {
    let orientations = job.plan.orientations.clone();
    for o in &orientations {
        let setup = Setup::of(job, o).unwrap();
        for e in expected(job, o, Some(&setup)) {
            let number = job.drawing.features[e.feature].number.clone();
            let value = Figure(e.raw.unwrap().to(setup.unit));
            job.pieces[0].set_values(o.number, &number, e.touch, vec![value]);
        }
    }
}

/// The same job with every figure written in `unit`.
fn in_unit(job: &Job, unit: Unit) -> Job {
    let mut job = job.clone();
    let from: Vec<Unit> = job.plan.orientations.iter().map(|o| job.reading_unit(o)).collect();
    let convert = |f: &mut Figure, from: Unit| *f = Figure(f.length(from).to(unit));
    let drawn = job.drawing.unit;
    for f in &mut job.drawing.features {
        f.x.iter_mut().chain(f.y.iter_mut()).for_each(|v| convert(v, drawn));
        if let Some(SizeLimits::Limits { lower, upper }) = &mut f.size {
            [lower, upper].into_iter().for_each(|v| convert(v, drawn));
        }
        for Callout::Position(p) in &mut f.callouts {
            convert(&mut p.tolerance, drawn);
        }
    }
    if let Some(Outline { left, bottom, right, top }) = &mut job.drawing.outline {
        [left, bottom, right, top].into_iter().for_each(|v| convert(v, drawn));
    }
    job.drawing.unit = unit;
    for (o, from) in job.plan.orientations.iter_mut().zip(&from) {
        if let Blocks::High(height) = &mut o.rest.blocks {
            convert(height, *from);
        }
    }
    for i in &mut job.plan.instruments {
        if let Probe::Constant(k) = &mut i.probe {
            convert(k, i.unit);
        }
        convert(&mut i.resolution, i.unit);
        i.unit = unit;
    }
    for r in &mut job.pieces[0].readings {
        let from = from[r.orientation as usize - 1];
        for touch in Touch::ALL {
            r.values_mut(touch).iter_mut().for_each(|v| convert(v, from));
        }
    }
    job
}
