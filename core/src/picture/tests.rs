//! What every picture must hold, whatever the job.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use super::{Layout, PatternOptions, gauge, pattern, zone, zone_lettered};
use crate::callout::Verdict;
use crate::findings::{PieceFinding, evaluate};
use crate::job::{
    Callout, Datum, DatumRef, Feature, Job, Kind, Modifier, Outline, Piece, Position, Reading,
    SizeLimits, Zero,
};
use crate::mark::{Ink, Mark, Point, Step, Turn};
use crate::quantity::{Axis, Figure, Length, Side, Unit};

fn hole(number: &str, x: f64, y: f64, size: f64) -> Feature {
    Feature {
        number: number.to_owned(),
        kind: Kind::Hole,
        x: Some(Figure(x)),
        y: Some(Figure(y)),
        size: Some(SizeLimits::Limits { lower: Figure(size), upper: Figure(size + 0.2) }),
        callouts: vec![Callout::Position(Position {
            tolerance: Figure(0.2),
            modifier: Modifier::Mmc,
            datums: DatumRef::all(&["A", "B", "C"]),
            ..Position::default()
        })],
        ..Feature::default()
    }
}

/// A plate of 200 by 120 with `features` beside its faces B and C, measured with each feature
/// off by what `off` says for its index, all sizes 0.1 above the lower limit.
fn measured(features: Vec<Feature>, off: impl Fn(usize) -> (f64, f64)) -> (Job, PieceFinding) {
    let mut job = Job::empty(Unit::Mm);
    job.drawing.outline = Some(Outline {
        left: Figure(0.0),
        bottom: Figure(0.0),
        right: Figure(200.0),
        top: Figure(120.0),
    });
    for o in &mut job.plan.orientations {
        o.zero = Zero::Plate;
    }
    let mut piece = Piece::default();
    for (i, f) in features.iter().enumerate() {
        let (dx, dy) = off(i);
        let limits = f.size.unwrap().limits(Unit::Mm).unwrap();
        let r = (limits.lower.to_mm() + 0.1) / 2.0;
        for (orientation, at) in [(1, f.y.unwrap().0 + dy), (2, f.x.unwrap().0 + dx)] {
            piece.readings.push(Reading {
                orientation,
                feature: f.number.clone(),
                low: vec![Figure(at - r)],
                high: vec![Figure(at + r)],
                ..Reading::default()
            });
        }
    }
    job.drawing.features.extend(features);
    job.pieces = vec![piece];
    let finding = evaluate(&job).pieces.remove(0);
    (job, finding)
}

/// All points of some marks, those of text apart.
fn points(marks: &[Mark], into: &mut Vec<Point>) {
    for mark in marks {
        match mark {
            Mark::Line(l) => into.extend([l.from, l.to]),
            Mark::Circle(c) => {
                into.extend([c.centre.by(-c.radius, -c.radius), c.centre.by(c.radius, c.radius)])
            }
            Mark::Rect(r) => into.extend([r.at, r.at.by(r.width, r.height)]),
            Mark::Path(p) => {
                for step in &p.steps {
                    match *step {
                        Step::Move(a) | Step::Line(a) => into.push(a),
                        Step::Cubic(a, b, c) => into.extend([a, b, c]),
                        Step::Close => {}
                    }
                }
            }
            Mark::Text(t) => {
                let start = t.start();
                into.extend([start, start.by(t.width(), 0.0)]);
            }
            Mark::Group(g) => points(&g.marks, into),
        }
    }
}

fn assert_inside(marks: &[Mark], width: f64, height: f64, what: &str) {
    let mut all = Vec::new();
    points(marks, &mut all);
    for p in all {
        assert!(p.x.is_finite() && p.y.is_finite(), "{what}: {p:?}");
        let slack = 0.3;
        assert!(p.x >= -slack && p.x <= width + slack, "{what}: {p:?}");
        assert!(p.y >= -slack && p.y <= height + slack, "{what}: {p:?}");
    }
}

/// The groups of a role with the feature they are tagged with.
fn groups<'a>(marks: &'a [Mark], role: &str) -> Vec<(usize, &'a [Mark])> {
    marks
        .iter()
        .filter_map(|m| match m {
            Mark::Group(g) if g.tag.role.split(' ').next() == Some(role) => {
                Some((g.tag.feature.as_ref()?.parse().unwrap(), g.marks.as_slice()))
            }
            _ => None,
        })
        .collect()
}

/// From where to where the vector of feature `index` goes.
fn vector(marks: &[Mark], index: usize) -> (Point, Point) {
    let found = groups(marks, "vector").into_iter().find(|(i, _)| *i == index);
    let Some((_, [Mark::Line(line), ..])) = found else { panic!("no vector of {index}") };
    (line.from, line.to)
}

#[test]
fn vectors_point_where_the_axis_lies() {
    let at = [(60.0, 40.0), (140.0, 40.0), (140.0, 80.0), (60.0, 80.0)];
    let holes =
        at.iter().enumerate().map(|(i, (x, y))| hole(&(i + 1).to_string(), *x, *y, 10.0)).collect();
    // To the right; up; to the left; down, and twice as far.
    let off = [(0.05, 0.0), (0.0, 0.05), (-0.05, 0.0), (0.0, -0.1)];
    let (job, piece) = measured(holes, |i| off[i]);
    let picture = pattern(&job, Some(&piece), &PatternOptions::default());
    let ways: Vec<(f64, f64)> = (2..6)
        .map(|i| {
            let (from, to) = vector(&picture.marks, i);
            (to.x - from.x, to.y - from.y)
        })
        .collect();
    let long = ways[0].0;
    let near = |(x, y): (f64, f64), (wx, wy): (f64, f64)| {
        assert!((x - wx).abs() < 1e-6 && (y - wy).abs() < 1e-6, "({x}, {y}) for ({wx}, {wy})");
    };
    assert!(long > 2.0);
    near(ways[0], (long, 0.0));
    near(ways[1], (0.0, -long));
    near(ways[2], (-long, 0.0));
    near(ways[3], (0.0, 2.0 * long));
    // As much larger as is said.
    let layout = Layout::of(&job.drawing, &PatternOptions::default());
    let factor = picture.exaggeration.unwrap();
    assert!((long - 0.05 * layout.fit.scale * factor).abs() < 1e-6);
    assert_eq!(picture.caption, format!("deviations drawn {factor} times larger"));
}

#[test]
fn vectors_are_near_as_long_as_none_of_them_moves() {
    let holes = || vec![hole("1", 60.0, 40.0, 10.0), hole("2", 140.0, 80.0, 10.0)];
    let of = |dx: f64| {
        let (job, piece) = measured(holes(), |i| if i == 0 { (0.1, 0.0) } else { (dx, 0.02) });
        Layout::of(&job.drawing, &PatternOptions::default()).vectors(&piece)
    };
    // Drawn 50 to 100 times larger at about half the size: 0.001 is 0.05 mm, 0.05 is 2 mm.
    assert!(of(0.03).is_near(&of(0.031), 0.3));
    assert!(!of(0.03).is_near(&of(0.08), 0.3));
    let (job, mut piece) = measured(holes(), |_| (0.1, 0.0));
    let layout = Layout::of(&job.drawing, &PatternOptions::default());
    let all = layout.vectors(&piece);
    piece.features.pop();
    assert!(!layout.vectors(&piece).is_near(&all, 100.0));
}

#[test]
fn a_wild_deviation_is_cut_short_and_said() {
    let holes =
        (0..6).map(|i| hole(&i.to_string(), 30.0 + 25.0 * f64::from(i), 60.0, 8.0)).collect();
    let (job, piece) = measured(holes, |i| if i == 3 { (7.0, -9.0) } else { (0.02, 0.03) });
    let options = PatternOptions::default();
    let picture = pattern(&job, Some(&piece), &options);
    assert!(picture.caption.ends_with(", 1 cut short"), "{}", picture.caption);
    let (from, to) = vector(&picture.marks, 2);
    let usual = libm::hypot(to.x - from.x, to.y - from.y);
    assert!(usual > 3.0, "the others stay readable: {usual}");
    let (from, to) = vector(&picture.marks, 5);
    let cut = libm::hypot(to.x - from.x, to.y - from.y);
    assert!(cut <= 0.16 * options.width_mm + 1e-9);
    // Its direction stays.
    assert!(((to.y - from.y) / (to.x - from.x) - 9.0 / 7.0).abs() < 1e-6);
    assert_inside(&picture.marks, options.width_mm, options.height_mm, "cut");
}

#[test]
fn balloons_cover_nothing_and_stay_inside() {
    let mut holes: Vec<Feature> = Vec::new();
    for j in 0..6 {
        for i in 0..10 {
            let n = 10 * j + i + 1;
            holes.push(hole(
                &n.to_string(),
                8.0 + 20.4 * f64::from(i),
                8.0 + 20.8 * f64::from(j),
                6.0,
            ));
        }
    }
    let (job, piece) = measured(holes, |i| if i % 3 == 0 { (0.08, 0.02) } else { (-0.03, 0.05) });
    let options = PatternOptions::default();
    let layout = Layout::of(&job.drawing, &options);
    let vectors = layout.vectors(&piece);
    let balloons = layout.balloons(Some(&vectors)).marks();
    assert_eq!(balloons.len(), 60);
    assert_inside(&balloons, options.width_mm, options.height_mm, "balloons");
    let discs: Vec<(Point, f64)> = groups(&balloons, "balloon")
        .iter()
        .map(|(_, marks)| {
            let body = marks.iter().find_map(|m| match m {
                Mark::Rect(r) => Some((r.at.by(r.width / 2.0, r.height / 2.0), r.height / 2.0)),
                _ => None,
            });
            body.unwrap()
        })
        .collect();
    for (i, (p, r)) in discs.iter().enumerate() {
        for (q, s) in &discs[..i] {
            assert!(libm::hypot(p.x - q.x, p.y - q.y) >= r + s, "{p:?} over {q:?}");
        }
        for shape in layout.shapes.iter().skip(2).flatten() {
            assert!(shape.distance(*p) >= *r, "{p:?} over {:?}", shape.at);
        }
    }
}

#[test]
fn every_job_has_a_picture_without_a_missing_number() {
    let options = PatternOptions { selected: Some(0), ..PatternOptions::default() };
    let mut jobs: Vec<(&str, Job)> = Vec::new();
    let mut bare = Job::empty(Unit::Mm);
    jobs.push(("empty", bare.clone()));
    bare.drawing.features.clear();
    bare.pieces.clear();
    jobs.push(("nothing", bare.clone()));
    bare.drawing.features = vec![hole("1", 5.0, 5.0, 2.0)];
    jobs.push(("one feature", bare.clone()));
    bare.drawing.features[0].size = None;
    jobs.push(("one without size", bare.clone()));
    bare.drawing.features[0].y = None;
    jobs.push(("half a place", bare.clone()));
    bare.drawing.outline = Some(Outline::clone(&Outline {
        left: Figure(3.0),
        bottom: Figure(3.0),
        right: Figure(3.0),
        top: Figure(3.0),
    }));
    jobs.push(("an outline without size", bare.clone()));
    bare.drawing.outline = Some(Outline {
        left: Figure(0.0),
        bottom: Figure(0.0),
        right: Figure(9000.0),
        top: Figure(0.0),
    });
    jobs.push(("a line for an outline", bare.clone()));
    bare.drawing.features = vec![
        Feature { kind: Kind::Face, number: "D".into(), ..Feature::default() },
        Feature {
            kind: Kind::Face,
            number: "E".into(),
            looks: Some(Side::PlusY),
            ..Feature::default()
        },
        Feature {
            kind: Kind::Slot,
            number: "S".into(),
            across: Some(Axis::Y),
            y: Some(Figure(1.0)),
            ..Feature::default()
        },
        Feature {
            kind: Kind::Tab,
            number: String::new(),
            x: Some(Figure(-40.0)),
            ..Feature::default()
        },
        Feature { number: "a number as long as can be".into(), ..hole("", 8999.0, 0.0, 3.0) },
    ];
    jobs.push(("odd features", bare.clone()));
    let mut only = Job::empty(Unit::Inch);
    only.drawing.outline = None;
    only.drawing.datums.push(Datum {
        letter: "D".into(),
        feature: Some("1".into()),
        what: String::new(),
        ..Default::default()
    });
    only.drawing.features.push(hole("1", 0.0, 0.0, 0.2));
    jobs.push(("at the origin", only));
    for (name, job) in &jobs {
        let findings = evaluate(job);
        for piece in [None, findings.pieces.first()] {
            let picture = pattern(job, piece, &options);
            assert_inside(&picture.marks, options.width_mm, options.height_mm, name);
            for (i, finding) in piece.into_iter().flat_map(|p| p.features.iter().enumerate()) {
                assert_inside(&zone(job, i, finding, 60.0), 60.0, 60.0, name);
                assert_inside(&zone_lettered(job, i, finding, 60.0, 3.4), 60.0, 60.0, name);
            }
        }
        for (width_mm, height_mm) in [(0.0, 0.0), (f64::NAN, 50.0), (20.0, 300.0)] {
            let odd = PatternOptions { width_mm, height_mm, ..options };
            let mut all = Vec::new();
            points(&pattern(job, None, &odd).marks, &mut all);
            assert!(all.iter().all(|p| p.x.is_finite() && p.y.is_finite()), "{name}");
        }
    }
}

#[test]
fn ten_thousand_features_still_make_a_picture() {
    let mut holes = Vec::with_capacity(10_000);
    for j in 0..100 {
        for i in 0..100 {
            let n = (100 * j + i).to_string();
            holes.push(hole(&n, 1.0 + 1.98 * f64::from(i), 1.0 + 1.18 * f64::from(j), 0.6));
        }
    }
    let (job, piece) = measured(holes, |i| (0.01 * (i % 7) as f64, -0.01 * (i % 5) as f64));
    let options = PatternOptions { selected: Some(5000), ..PatternOptions::default() };
    let started = std::time::Instant::now();
    let picture = pattern(&job, Some(&piece), &options);
    let took = started.elapsed();
    // An unoptimised build on a busy machine; it is a guard against squares of ten thousand.
    assert!(took.as_secs() < 5, "{took:?}");
    assert_inside(&picture.marks, options.width_mm, options.height_mm, "ten thousand");
    assert!(picture.exaggeration.is_some());
}

#[test]
fn pointing_finds_the_feature_that_is_meant() {
    let holes = vec![
        hole("1", 100.0, 60.0, 60.0),
        hole("2", 100.0, 60.0, 8.0),
        hole("3", 170.0, 100.0, 5.0),
    ];
    let (job, _) = measured(holes, |_| (0.0, 0.0));
    let layout = Layout::of(&job.drawing, &PatternOptions::default());
    let balloons = layout.balloons(None);
    let centre = |i: usize| layout.shapes[i].as_ref().unwrap().at;
    let found = |p: Point| layout.nearest(p.x, p.y, &balloons);
    // The small bore in the large one, the large one beside it, one nearby, nothing far off.
    assert_eq!(found(centre(3)), Some(3));
    assert_eq!(found(centre(2).by(10.0, 0.0)), Some(2));
    assert_eq!(found(centre(4).by(4.0, 0.0)), Some(4));
    assert_eq!(found(centre(4).by(-12.0, 6.0)), None);
    for (index, marks) in groups(&balloons.marks(), "balloon") {
        let Some(Mark::Rect(r)) = marks.iter().find(|m| matches!(m, Mark::Rect(_))) else {
            panic!()
        };
        assert_eq!(found(r.at.by(r.width / 2.0, r.height / 2.0)), Some(index));
    }
}

/// Where the axis is drawn in a zone, from the middle, in shares of the allowed radius.
fn in_zone(job: &Job, piece: &PieceFinding, index: usize) -> (f64, f64) {
    let marks = zone(job, index, &piece.features[index], 60.0);
    let Some(Mark::Group(g)) = marks.first() else { panic!("a zone is one group") };
    let allowed = g.marks.iter().find_map(|m| match m {
        Mark::Circle(c) => Some(c.radius),
        _ => None,
    });
    let line = g.marks.iter().rev().find_map(|m| match m {
        Mark::Line(l) if (l.stroke.width - 0.55).abs() < 1e-9 => Some((l.from, l.to)),
        _ => None,
    });
    let (from, to) = line.unwrap();
    let r = allowed.unwrap();
    ((to.x - from.x) / r, (to.y - from.y) / r)
}

#[test]
fn an_axis_lies_in_its_zone_as_it_was_measured() {
    let holes = vec![hole("1", 60.0, 40.0, 10.0), hole("2", 120.0, 40.0, 10.0)];
    let off = [(0.06, 0.08), (3.0, 0.0)];
    let (job, piece) = measured(holes, |i| off[i]);
    // Tolerance 0.2 and bonus 0.1: a radius of 0.15 is allowed. Y is up.
    let (x, y) = in_zone(&job, &piece, 2);
    assert!((x - 0.06 / 0.15).abs() < 1e-6 && (y + 0.08 / 0.15).abs() < 1e-6, "{x}, {y}");
    // Twenty times outside: an arrow at the border, with its figure.
    let marks = zone(&job, 3, &piece.features[3], 60.0);
    assert_inside(&marks, 60.0, 60.0, "far");
    let svg = crate::mark::svg_marks(&marks);
    assert!(svg.contains(">6.000<"), "{svg}");
    assert!(svg.contains(">with bonus 0.300<") && svg.contains(">0.200<"), "{svg}");
}

#[test]
fn a_slot_is_free_along_its_length_and_what_is_missing_is_said() {
    let slot = |number: &str, axis| Feature {
        kind: Kind::Slot,
        across: Some(axis),
        ..hole(number, 60.0, 40.0, 10.0)
    };
    let (mut job, _) =
        measured(vec![slot("1", Axis::X), slot("2", Axis::Y), hole("3", 90.0, 90.0, 9.0)], |_| {
            (0.05, -0.05)
        });
    job.pieces[0].readings.retain(|r| r.orientation == 2 || r.feature != "3");
    let piece = evaluate(&job).pieces.remove(0);
    let text = |i: usize| crate::mark::svg_marks(&zone(&job, i, &piece.features[i], 60.0));
    assert!(text(2).contains(">y free<") && !text(2).contains("not measured"));
    assert!(text(3).contains(">x free<"));
    assert!(text(4).contains(">y not measured<"));
    job.pieces[0].readings.clear();
    let piece = evaluate(&job).pieces.remove(0);
    let svg = crate::mark::svg_marks(&zone(&job, 4, &piece.features[4], 60.0));
    assert!(svg.contains(">not measured<"));
    let picture = pattern(&job, Some(&piece), &PatternOptions::default());
    assert_eq!(picture.caption, "no deviations measured yet");
    assert_eq!(picture.exaggeration, None);
    // Each of the three has a ring where its axis should be.
    assert_eq!(groups(&picture.marks, "vector").len(), 3);
}

/// Two datum holes of 10 and four holes of 6 at their boundaries, moved to the right by 0.05.
fn shifted() -> (Job, PieceFinding) {
    let at = [(40.0, 30.0), (160.0, 30.0), (60.0, 60.0), (140.0, 60.0), (60.0, 100.0)];
    let mut holes: Vec<Feature> =
        at.iter().enumerate().map(|(i, (x, y))| hole(&(i + 1).to_string(), *x, *y, 10.0)).collect();
    for (i, h) in holes.iter_mut().enumerate() {
        let Callout::Position(p) = &mut h.callouts[0];
        p.datums = DatumRef::all(&["A", "D(M)", "E(M)"]);
        if i < 2 {
            h.callouts.clear();
        }
    }
    let off = [(0.0, 0.0), (0.02, 0.0), (0.16, 0.0), (0.14, 0.02), (0.15, -0.02)];
    let (mut job, _) = measured(holes, |i| off[i]);
    for (letter, feature) in [("D", "1"), ("E", "2")] {
        job.drawing.datums.push(Datum {
            letter: letter.into(),
            feature: Some(feature.into()),
            ..Datum::default()
        });
    }
    let finding = evaluate(&job).pieces.remove(0);
    (job, finding)
}

#[test]
fn a_gauge_shows_each_axis_before_and_after_the_shift() {
    let (job, piece) = shifted();
    let [pattern] = piece.patterns.as_slice() else { panic!("{:?}", piece.patterns) };
    let options = PatternOptions { width_mm: 118.0, height_mm: 76.0, ..PatternOptions::default() };
    let picture = gauge(&job, &piece, 0, &options);
    assert_inside(&picture.marks, options.width_mm, options.height_mm, "gauge");
    let factor = picture.exaggeration.unwrap();
    assert!(picture.caption.contains(&format!("drawn {factor:.0} times larger than the part")));
    let circle = |marks: &[Mark], which: fn(&crate::mark::Circle) -> bool| {
        marks.iter().find_map(|m| match m {
            Mark::Circle(c) if which(c) => Some(*c),
            _ => None,
        })
    };
    // Where the layout has the part: the two datum holes lie 120 apart.
    let zones = groups(&picture.marks, "gauge-zone");
    let middle = |feature: usize| {
        let (_, marks) = zones.iter().find(|(i, _)| *i == feature).unwrap();
        let Mark::Line(l) = &marks[0] else { panic!() };
        Point::new(f64::midpoint(l.from.x, l.to.x), f64::midpoint(l.from.y, l.to.y))
    };
    let scale = (middle(3).x - middle(2).x) / 120.0;
    for index in [4_usize, 5, 6] {
        let p = piece.features[index].position.as_ref().unwrap();
        let (_, marks) = zones.iter().find(|(i, _)| *i == index).unwrap();
        let radius = circle(marks, |c| c.stroke.is_some()).unwrap().radius;
        let zone = p.allowed.to_mm() / 2.0 * factor * scale;
        assert!((radius - zone).abs() < 1e-6, "{radius} for {zone}");
        // Hollow before, filled after, both where they belong.
        let moves = groups(&picture.marks, "gauge-move");
        let (_, marks) = moves.iter().find(|(i, _)| *i == index).unwrap();
        let hollow = circle(marks, |c| c.fill == Some(Ink::Paper)).unwrap();
        let filled = circle(marks, |c| c.fill == Some(Ink::Accent)).unwrap();
        for (dot, deviation) in [(hollow, p.before()), (filled, p.deviation)] {
            let [dx, dy] = deviation.map(|d| d.unwrap().to_mm() * factor * scale);
            let at = middle(index).by(dx, -dy);
            assert!(libm::hypot(dot.centre.x - at.x, dot.centre.y - at.y) < 1e-6);
        }
    }
    // A wedge for each thing that holds the pattern, and for nothing else.
    let held: Vec<usize> = groups(&picture.marks, "gauge-hold").iter().map(|(i, _)| *i).collect();
    let rooms = pattern.rooms.iter().filter(|r| r.holds).map(|r| r.feature);
    let mut holding: Vec<usize> = rooms.chain(pattern.holding.iter().copied()).collect();
    holding.sort_unstable();
    assert!(!holding.is_empty());
    assert_eq!(held, holding);
    // The gauge itself at the scale of the part: MMC 10 less the tolerance 0.2, boundary 10.
    let pins = groups(&picture.marks, "gauge-pin");
    for (index, size) in [(2_usize, 10.0), (4, 9.8)] {
        let (_, marks) = pins.iter().find(|(i, _)| *i == index).unwrap();
        let pin = circle(marks, |c| c.fill.is_none()).unwrap();
        assert!((pin.radius - size / 2.0 * scale).abs() < 1e-6);
    }
}

#[test]
fn numbers_of_a_gauge_stand_upright_and_apart() {
    let (job, piece) = shifted();
    let picture = gauge(&job, &piece, 0, &PatternOptions::default());
    let balloons = groups(&picture.marks, "balloon");
    assert_eq!(balloons.len(), 5);
    let mut boxes: Vec<(Point, f64, f64)> = Vec::new();
    for (_, marks) in &balloons {
        for mark in *marks {
            match mark {
                Mark::Text(t) => assert_eq!(t.turn, Turn::Level),
                Mark::Rect(r) => {
                    let apart = boxes.iter().all(|(at, w, h)| {
                        r.at.x + r.width <= at.x
                            || at.x + w <= r.at.x
                            || r.at.y + r.height <= at.y
                            || at.y + h <= r.at.y
                    });
                    assert!(apart, "{:?}", r.at);
                    boxes.push((r.at, r.width, r.height));
                }
                _ => {}
            }
        }
    }
    // Nor do they cover where an axis lies.
    for (_, marks) in groups(&picture.marks, "gauge-move") {
        for mark in marks {
            let Mark::Circle(dot) = mark else { continue };
            let on = boxes.iter().any(|(at, w, h)| {
                dot.centre.x > at.x
                    && dot.centre.x < at.x + w
                    && dot.centre.y > at.y
                    && dot.centre.y < at.y + h
            });
            assert!(!on, "{:?}", dot.centre);
        }
    }
}

#[test]
fn a_wild_member_of_a_gauge_is_cut_short_and_said() {
    let (mut job, _) = shifted();
    for r in job.pieces[0].readings.iter_mut().filter(|r| r.feature == "4" && r.orientation == 2) {
        for value in r.low.iter_mut().chain(&mut r.high) {
            value.0 += 9.0;
        }
    }
    let piece = evaluate(&job).pieces.remove(0);
    assert_eq!(piece.verdict, Verdict::DoesNotConform);
    for (width_mm, height_mm) in [(118.0, 76.0), (100.0, 70.0), (40.0, 30.0)] {
        let options = PatternOptions { width_mm, height_mm, text_mm: 1.5, ..Default::default() };
        let picture = gauge(&job, &piece, 0, &options);
        assert!(picture.caption.ends_with(" cut short"), "{}", picture.caption);
        assert_inside(&picture.marks, width_mm, height_mm, "wild");
    }
    assert_eq!(gauge(&job, &piece, 7, &PatternOptions::default()).marks, []);
}

/// The axis stands where it lies after the shift, and a hollow dot where it lay before.
#[test]
fn a_zone_shows_the_axis_before_the_shift() {
    let (job, piece) = shifted();
    let p = piece.features[4].position.as_ref().unwrap();
    let marks = zone(&job, 4, &piece.features[4], 60.0);
    assert_inside(&marks, 60.0, 60.0, "shifted");
    let (x, _) = in_zone(&job, &piece, 4);
    let half = p.allowed.to_mm() / 2.0;
    assert!((x - p.deviation[0].unwrap().to_mm() / half).abs() < 1e-6);
    let Some(Mark::Group(g)) = marks.first() else { panic!() };
    let circles = || {
        g.marks.iter().filter_map(|m| match m {
            Mark::Circle(c) => Some(c),
            _ => None,
        })
    };
    let zone = circles().next().unwrap();
    let hollow = circles().find(|c| c.radius < 1.0 && c.fill == Some(Ink::Paper)).unwrap();
    let before = p.before().map(|d: Option<Length>| d.unwrap().to_mm() / half * zone.radius);
    assert!((hollow.centre.x - zone.centre.x - before[0]).abs() < 1e-6);
    assert!((hollow.centre.y - zone.centre.y + before[1]).abs() < 1e-6);
    assert!(crate::mark::svg_marks(&marks).contains(">hollow: before shift<"));
}
