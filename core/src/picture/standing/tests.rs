use super::shape::Around;
use super::*;
use crate::job::{Blocks, Feature, Kind, Outline, SizeLimits, Zero};
use crate::mark::{Group, Path, Step, Turn};
use crate::quantity::{Figure, Side, Unit};

/// A plate of 100 by 60 with a hole at low X and low Y, one at high X and low Y, and a slot.
fn job() -> Job {
    let mut job = Job::empty(Unit::Mm);
    job.drawing.outline = Some(Outline {
        left: Figure(0.0),
        bottom: Figure(0.0),
        right: Figure(100.0),
        top: Figure(60.0),
    });
    let hole = |number: &str, x, y| Feature {
        number: number.to_owned(),
        x: Some(Figure(x)),
        y: Some(Figure(y)),
        size: Some(SizeLimits::Limits { lower: Figure(9.9), upper: Figure(10.1) }),
        ..Feature::default()
    };
    job.drawing.features.push(hole("1", 10.0, 12.0));
    job.drawing.features.push(hole("2", 80.0, 12.0));
    job
}

fn index(job: &Job, number: &str) -> usize {
    job.drawing.features.iter().position(|f| f.number == number).unwrap()
}

fn orientation(up: f64) -> Orientation {
    Orientation { number: 1, up_degrees: up, ..Orientation::default() }
}

fn stand(up: f64) -> (Stand, Point, Point) {
    let job = job();
    let stand = Stand::of(&job, &orientation(up), &StandingOptions::default());
    let at = |n| stand.shapes[index(&job, n)].as_ref().unwrap().centre();
    let (one, two) = (at("1"), at("2"));
    (stand, one, two)
}

fn scale(stand: &Stand) -> f64 {
    // The long side of the outline is 100 mm.
    let [a, b, ..] = stand.part;
    libm::hypot(b.x - a.x, b.y - a.y) / 100.0
}

/// Where the hole at low X and low Y is in each of the four square orientations: how far it is
/// above the plate, and how far from the part's left end as one looks at it.
#[test]
fn the_hole_at_low_x_and_low_y_goes_round_with_the_part() {
    for (side, above, from_left) in [
        // On its bottom edge, as drawn.
        (Side::PlusY, 12.0, 10.0),
        // Turned clockwise: right edge on the plate, low Y to the left.
        (Side::MinusX, 90.0, 12.0),
        // Turned counter-clockwise: left edge on the plate, low Y to the right.
        (Side::PlusX, 10.0, 48.0),
        // Upside down: top edge on the plate, low X to the right.
        (Side::MinusY, 48.0, 90.0),
    ] {
        let (stand, one, _) = stand(side.degrees());
        let k = scale(&stand);
        assert!(((stand.plate - one.y) / k - above).abs() < 1e-9, "{side:?}");
        assert!(((one.x - stand.sides.0) / k - from_left).abs() < 1e-9, "{side:?}");
    }
}

/// From 1 to 2 is +X on the drawing: it turns with the part and keeps its length.
#[test]
fn plus_x_points_where_the_turn_puts_it() {
    for (side, dx, dy) in [
        (Side::PlusY, 70.0, 0.0),
        (Side::MinusX, 0.0, 70.0),
        (Side::PlusX, 0.0, -70.0),
        (Side::MinusY, -70.0, 0.0),
    ] {
        let (stand, one, two) = stand(side.degrees());
        let k = scale(&stand);
        assert!(((two.x - one.x) / k - dx).abs() < 1e-9, "{side:?}");
        assert!(((two.y - one.y) / k - dy).abs() < 1e-9, "{side:?}");
    }
}

/// The corners of the outline run counter-clockwise on the drawing, and so on the page, at any
/// angle: the picture is turned and never mirrored.
#[test]
fn nothing_is_mirrored() {
    for up in [0.0, 37.5, 90.0, 180.0, 211.0, 270.0, 305.25, -90.0, 450.0] {
        let (stand, ..) = stand(up);
        let [a, b, c, _] = stand.part;
        let cross = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
        assert!(cross < 0.0, "{up}: y runs down on the page");
    }
}

fn texts<'a>(marks: &'a [Mark], found: &mut Vec<&'a crate::mark::Text>) {
    for mark in marks {
        match mark {
            Mark::Text(text) => found.push(text),
            Mark::Group(Group { marks, .. }) => texts(marks, found),
            _ => {}
        }
    }
}

fn picture(job: &Job, orientation: &Orientation, current: Option<(usize, Touch)>) -> Vec<Mark> {
    let taken = current.into_iter().collect();
    standing(job, orientation, &StandingOptions { current, taken, ..StandingOptions::default() })
}

#[test]
fn every_text_is_upright_and_on_the_page() {
    let job = job();
    for up in [0.0, 37.5, 90.0, 180.0, 270.0] {
        let marks = picture(&job, &orientation(up), Some((index(&job, "2"), Touch::High)));
        let mut found = Vec::new();
        texts(&marks, &mut found);
        assert!(found.iter().any(|t| t.text == "1") && found.iter().any(|t| t.text == "2"), "{up}");
        for text in found {
            assert_eq!(text.turn, Turn::Level, "{}", text.text);
            let start = text.start();
            assert!(
                start.x >= 0.0 && start.x + text.width() <= 150.0,
                "{up}: {} at {start:?}",
                text.text
            );
            assert!(
                start.y - text.size >= -0.5 && start.y <= 120.0,
                "{up}: {} at {start:?}",
                text.text
            );
        }
    }
}

/// The arrow of a touch from below has its tip at the point and its shaft under it.
#[test]
fn the_arrow_comes_from_where_the_probe_comes() {
    let job = job();
    let (stand, one, _) = stand(180.0);
    let k = scale(&stand);
    for (touch, contact, at, from) in [
        (Touch::High, crate::bench::Contact::FromBelow, -5.0, 1.0),
        (Touch::Low, crate::bench::Contact::FromAbove, 5.0, -1.0),
    ] {
        let next = NextTouch { feature: index(&job, "1"), touch, contact, figure: None };
        let marks = stand.next(&next);
        let [Mark::Group(group)] = &marks[..] else { panic!("one group") };
        let shaft = group.marks.iter().find_map(|m| match m {
            Mark::Line(l)
                if (l.from.x - l.to.x).abs() < 1e-9 && (l.from.x - one.x).abs() < 1e-9 =>
            {
                Some(l)
            }
            _ => None,
        });
        let shaft = shaft.unwrap();
        let point = one.y + at * k;
        assert!(
            (shaft.from.y - point) * from > (shaft.to.y - point) * from
                && (shaft.to.y - point) * from > 0.0
        );
    }
}

/// The dimension runs from the zero to the expected height, to scale.
#[test]
fn the_dimension_is_as_long_as_the_expected_height() {
    let mut job = job();
    let mut o = orientation(180.0);
    for (zero, expected) in [(Zero::Plate, 95.0), (Zero::Feature("C".to_owned()), -5.0)] {
        o.zero = zero;
        let stand = Stand::of(&job, &o, &StandingOptions::default());
        let one = stand.shapes[index(&job, "1")].as_ref().unwrap().centre();
        let zero = stand.zero.as_ref().unwrap().0.y;
        let k = scale(&stand);
        assert!(((zero - (one.y - 5.0 * k)) / k - expected).abs() < 1e-9);
    }
    // Blocks raise the part off the plate by their height.
    o.zero = Zero::Plate;
    o.rest.blocks = Blocks::High(Figure(20.0));
    let stand = Stand::of(&job, &o, &StandingOptions::default());
    let one = stand.shapes[index(&job, "1")].as_ref().unwrap().centre();
    assert!(((stand.plate - one.y) / scale(&stand) - 110.0).abs() < 1e-9);
    // In inches the same blocks are 25.4 times as high; then they are drawn as high as the part.
    job.plan.instruments[0].unit = Unit::Inch;
    let stand = Stand::of(&job, &o, &StandingOptions::default());
    assert!(
        ((stand.plate - stand.blocks.as_ref().unwrap().0) / scale(&stand) - 100.0).abs() < 1e-9
    );
}

fn finite(marks: &[Mark]) -> bool {
    let svg = crate::mark::svg_marks(marks);
    !svg.contains("NaN") && !svg.contains("inf")
}

#[test]
fn an_empty_drawing_still_gives_a_picture() {
    for up in [90.0, 12.0] {
        let mut job = Job::empty(Unit::Inch);
        assert!(finite(&picture(&job, &orientation(up), None)));
        job.drawing.features.clear();
        assert!(finite(&picture(&job, &orientation(up), Some((0, Touch::Low)))));
        job.drawing.features.push(Feature {
            number: "1".to_owned(),
            x: Some(Figure(1.0)),
            y: Some(Figure(2.0)),
            kind: Kind::Hole,
            ..Feature::default()
        });
        let marks = picture(&job, &orientation(up), Some((0, Touch::Low)));
        assert!(finite(&marks) && !marks.is_empty());
    }
}

#[test]
fn words_name_the_edge_on_the_plate_and_the_one_on_top() {
    let job = job();
    let mut o = orientation(180.0);
    assert_eq!(stands_in_words(&job, &o), "−X up: right edge on the plate, left edge C on top");
    assert_eq!(zero_words(&job, &o), "plate");
    o.zero = Zero::Feature("C".to_owned());
    assert_eq!(zero_words(&job, &o), "face C from above");
    o.up_degrees = 0.0;
    assert_eq!(zero_words(&job, &o), "resting surface of face C, from above");
    assert_eq!(stands_in_words(&job, &o), "+X up: left edge C on the plate, right edge on top");
    o.rest.blocks = Blocks::High(Figure(25.0));
    assert_eq!(carried_by(&job, &o), "left edge C on blocks 25.000");
    o.up_degrees = 37.5;
    assert_eq!(stands_in_words(&job, &o), "37.5° from +X towards +Y is up, leaning on a sine bar");
}

/// Everything of the next touch that is drawn as a polygon, a line or a badge.
fn next_marks(stand: &Stand, job: &Job, number: &str, touch: Touch) -> Vec<Mark> {
    let contact = match touch {
        Touch::High => crate::bench::Contact::FromBelow,
        _ => crate::bench::Contact::FromAbove,
    };
    let figure = Some("0.000".to_owned());
    let next = NextTouch { feature: index(job, number), touch, contact, figure };
    let marks = stand.next(&next);
    let [Mark::Group(group)] = &marks[..] else { panic!("one group") };
    group.marks.clone()
}

/// The corners of a polygon.
fn points(path: &Path) -> Vec<Point> {
    let corner = |step: &Step| match step {
        Step::Move(p) | Step::Line(p) => Some(*p),
        Step::Cubic(..) | Step::Close => None,
    };
    path.steps.iter().filter_map(corner).collect()
}

/// Holes close to one another in a row and a column: the badge of each finds a place of its own.
#[test]
fn the_badge_covers_no_other_feature_number_or_letter() {
    let mut job = job();
    for (number, x, y) in [
        ("31", 22.0, 12.0),
        ("32", 34.0, 12.0),
        ("33", 22.0, 24.0),
        ("34", 34.0, 24.0),
        ("35", 10.0, 24.0),
        ("36", 92.0, 50.0),
        ("37", 6.0, 52.0),
    ] {
        let mut hole = job.drawing.features[index(&job, "1")].clone();
        number.clone_into(&mut hole.number);
        (hole.x, hole.y) = (Some(Figure(x)), Some(Figure(y)));
        job.drawing.features.push(hole);
    }
    for up in [0.0, 90.0, 180.0, 270.0] {
        let stand = Stand::of(&job, &orientation(up), &StandingOptions::default());
        for shape in stand.shapes.iter().flatten() {
            if matches!(shape.body, shape::Body::Edge { .. }) {
                continue;
            }
            let marks = next_marks(&stand, &job, &shape.number, Touch::Low);
            let badge = marks.iter().find_map(|m| match m {
                Mark::Rect(rect) => Some(rect),
                _ => None,
            });
            let badge = badge.unwrap();
            let (at, w, h) = (badge.at, badge.width, badge.height);
            let here = Around { left: at.x, top: at.y, right: at.x + w, bottom: at.y + h };
            assert!(here.left >= 0.0 && here.top >= 0.0 && here.right <= stand.dimension, "{up}");
            for other in stand.shapes.iter().flatten().filter(|o| o.index != shape.index) {
                let body = !matches!(other.body, shape::Body::Edge { .. });
                assert!(
                    !(body && other.around().meets(&here))
                        && other.number_box(stand.text).is_none_or(|n| !n.meets(&here)),
                    "{up}: the badge of {} is on {}",
                    shape.number,
                    other.number
                );
            }
        }
    }
}

/// A line to the dimension leaves out the numbers that stand at its height.
#[test]
fn the_line_to_the_dimension_crosses_no_number() {
    let mut job = job();
    let one = index(&job, "1");
    // Hole 2, small, with its number at its height: at the height of the top of hole 1.
    let two = index(&job, "2");
    job.drawing.features[two].size =
        Some(SizeLimits::Limits { lower: Figure(0.9), upper: Figure(1.1) });
    job.drawing.features[two].y = Some(Figure(17.0));
    let stand = Stand::of(&job, &orientation(90.0), &StandingOptions::default());
    let number = stand.shapes[two].as_ref().unwrap().number_box(stand.text).unwrap();
    let top = stand.shapes[one].as_ref().unwrap().around().top;
    assert!(number.top < top && top < number.bottom, "{number:?} is not at {top}");
    let marks = next_marks(&stand, &job, "1", Touch::High);
    let level: Vec<_> = marks
        .iter()
        .filter_map(|m| match m {
            Mark::Line(l) if (l.from.y - l.to.y).abs() < 1e-12 && (l.from.y - top).abs() < 1e-9 => {
                Some(l)
            }
            _ => None,
        })
        .collect();
    assert_eq!(level.len(), 2, "before the number and behind it");
    for line in level {
        assert!(line.to.x <= number.left || line.from.x >= number.right, "{line:?}");
    }
}

/// However near the zero is, the arrow of the dimension points from it to the touch.
#[test]
fn the_dimension_points_from_the_zero_to_the_touch() {
    let mut job = job();
    let c = index(&job, "1");
    job.drawing.features.push(Feature {
        number: "D".to_owned(),
        kind: Kind::Face,
        looks: Some(Side::PlusY),
        y: Some(Figure(60.0)),
        ..Feature::default()
    });
    for (y, distance) in [(12.0, "far"), (53.5, "near")] {
        job.drawing.features[c].y = Some(Figure(y));
        let o = Orientation { zero: Zero::Feature("D".to_owned()), ..orientation(90.0) };
        let stand = Stand::of(&job, &o, &StandingOptions::default());
        let marks = next_marks(&stand, &job, "1", Touch::High);
        let at = stand.shapes[c].as_ref().unwrap().around().top;
        let x = stand.dimension;
        let arrows: Vec<_> = marks
            .iter()
            .filter_map(|m| match m {
                Mark::Path(p) => Some(Around::of(&points(p))),
                _ => None,
            })
            .filter(|b| b.left < x && x < b.right)
            .collect();
        let [arrow] = &arrows[..] else { panic!("{distance}: {arrows:?}") };
        // Downwards: its tip is the lowest of it, at the touch.
        assert!((arrow.bottom - at).abs() < 1e-9 && arrow.top < at, "{distance}: {arrow:?} {at}");
    }
}
