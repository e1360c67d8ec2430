//! Deviations, from the true position to the measured axis, drawn many times larger.

use super::pattern::Layout;
use super::scale::{Room, exaggeration};
use crate::callout::{Verdict, Zone};
use crate::findings::{FeatureFinding, PieceFinding};
use crate::mark::{Circle, Group, Ink, Line, Mark, Path, Point, Stroke, Tag};
use crate::quantity::Axis;

/// How long the largest vector becomes, as a share of the picture's longer side.
const REACH: f64 = 0.08;
/// How many times that a vector may be before it is cut short.
const CUT: f64 = 2.0;
/// What the mark at the end needs of the picture's edge, in millimetres.
const END: f64 = 1.2;

/// The deviations of one piece, drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Vectors {
    /// The marks: one group for each feature, tagged with its index.
    pub marks: Vec<Mark>,
    /// How many times larger than the part the deviations are drawn.
    pub exaggeration: Option<f64>,
    /// The same in words, with what is cut short; what to say where there is nothing to draw.
    pub caption: String,
    pub(super) drawn: Vec<(Point, Point)>,
}

impl Vectors {
    /// Whether these vectors are those of `other`, give or take `mm` millimetres of the
    /// picture: what was placed clear of the one is then clear enough of the other.
    #[must_use]
    pub fn is_near(&self, other: &Self, mm: f64) -> bool {
        let near = |a: Point, b: Point| libm::hypot(a.x - b.x, a.y - b.y) <= mm;
        self.drawn.len() == other.drawn.len()
            && self.drawn.iter().zip(&other.drawn).all(|((from, to), (was_from, was_to))| {
                near(*from, *was_from) && near(*to, *was_to)
            })
    }
}

/// One vector on the paper.
struct Vector {
    feature: usize,
    from: Point,
    to: Point,
    cut: bool,
    verdict: Verdict,
}

/// Which way and how far the measured axis is from its true position, in millimetres of the
/// drawing: across its faces for a slot or tab, in the plane for a round feature. `None` where
/// that was not measured, or not all of it.
fn deviation(finding: &FeatureFinding) -> Option<(f64, f64)> {
    let x = finding.x.deviation().map(|d| d.to_mm());
    let y = finding.y.deviation().map(|d| d.to_mm());
    let along = match finding.position.as_ref().map(|p| p.zone) {
        Some(Zone::Planes(Axis::X)) => (x?, 0.0),
        Some(Zone::Planes(Axis::Y)) => (0.0, y?),
        _ if finding.kind.is_round() => (x?, y?),
        _ if finding.kind.is_sized() => (x.or(y.map(|_| 0.0))?, y.unwrap_or(0.0)),
        _ => return None,
    };
    (along.0.is_finite() && along.1.is_finite()).then_some(along)
}

/// Of the line from `from` (inside) to `to`, the end that still lies in `room`.
pub(super) fn clipped(from: Point, to: Point, room: Room) -> Point {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let limit = |at: f64, d: f64, low: f64, high: f64| {
        if d > 0.0 {
            ((high - at) / d).max(0.0)
        } else if d < 0.0 {
            ((low - at) / d).max(0.0)
        } else {
            f64::INFINITY
        }
    };
    let t = limit(from.x, dx, room.left, room.right)
        .min(limit(from.y, dy, room.top, room.bottom))
        .min(1.0);
    from.by(t * dx, t * dy)
}

/// Above this many features, deviations of one verdict are one mark.
const MANY: usize = 100;

pub(super) fn vectors(layout: &Layout, piece: &PieceFinding) -> Vectors {
    let scale = layout.fit.scale;
    let room = Room {
        left: layout.room.left + END,
        right: layout.room.right - END,
        top: layout.room.top + END,
        bottom: layout.room.bottom - END,
    };
    let found: Vec<(usize, Point, (f64, f64), Verdict)> = layout
        .shapes
        .iter()
        .zip(&piece.features)
        .enumerate()
        .filter_map(|(i, (shape, finding))| {
            let (dx, dy) = deviation(finding)?;
            Some((i, shape.as_ref()?.at, (dx * scale, -dy * scale), finding.verdict))
        })
        .collect();
    let lengths: Vec<f64> = found.iter().map(|(_, _, (dx, dy), _)| libm::hypot(*dx, *dy)).collect();
    // Where features stand close together, not much farther than to the next one.
    let spacing = layout.spacing();
    let reach = (REACH * layout.options.width_mm.max(layout.options.height_mm)).min(0.8 * spacing);
    let factor = exaggeration(&lengths, reach);
    let most = CUT * reach;
    let list: Vec<Vector> = found
        .iter()
        .zip(&lengths)
        .map(|(&(feature, from, (dx, dy), verdict), &length)| {
            let k = factor.unwrap_or(1.0);
            let keep = if length * k > most { most / length } else { k };
            let whole = from.by(dx * keep, dy * keep);
            let to = clipped(from, whole, room);
            let cut = keep < k || libm::hypot(to.x - whole.x, to.y - whole.y) > 1e-6;
            Vector { feature, from, to, cut, verdict }
        })
        .collect();
    let cut = list.iter().filter(|v| v.cut).count();
    let weight = (spacing / 12.0).clamp(0.5, 1.0);
    let mut marks = if layout.shapes.len() > MANY {
        together(&list, weight, !layout.simple())
    } else {
        list.iter().map(|v| one(v, weight)).collect()
    };
    if !layout.simple() {
        marks.extend(missing(layout, piece, weight));
    }
    let caption = caption(factor, list.is_empty(), cut);
    Vectors {
        marks,
        exaggeration: factor,
        caption,
        drawn: list.iter().map(|v| (v.from, v.to)).collect(),
    }
}

/// `deviations drawn 50 times larger, 1 cut short`.
fn caption(factor: Option<f64>, none: bool, cut: usize) -> String {
    let mut text = match factor {
        None if none => return "no deviations measured yet".to_owned(),
        None => return "no deviations".to_owned(),
        Some(k) if k <= 1.0 => "deviations drawn at the scale of the part".to_owned(),
        Some(k) => format!("deviations drawn {k:.0} times larger"),
    };
    if cut > 0 {
        text.push_str(&format!(", {cut} cut short"));
    }
    text
}

const fn ink(verdict: Verdict) -> Ink {
    match verdict {
        Verdict::Conforms => Ink::Accent,
        Verdict::DoesNotConform => Ink::Fault,
        Verdict::NotProven
        | Verdict::NotMeasured
        | Verdict::CannotBeJudged
        | Verdict::NothingAsked => Ink::Soft,
    }
}

const fn role(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Conforms => "vector conforms",
        Verdict::DoesNotConform => "vector fails",
        Verdict::NotProven
        | Verdict::NotMeasured
        | Verdict::CannotBeJudged
        | Verdict::NothingAsked => "vector open",
    }
}

fn one(vector: &Vector, weight: f64) -> Mark {
    let tag = Tag::new(role(vector.verdict)).feature(vector.feature.to_string());
    Group::new(tag, arrow(vector, weight)).into()
}

/// A line with the end that the verdict gives it: a dot, a cross, or a ring; two strokes
/// across it where it is cut short. `weight` makes it lighter than usual.
fn arrow(vector: &Vector, weight: f64) -> Vec<Mark> {
    let &Vector { from, to, cut, verdict, .. } = vector;
    let pen = Stroke::new(ink(verdict), 0.5 * weight);
    let mut marks: Vec<Mark> = vec![Line::new(from, to, pen).into()];
    if cut {
        marks.extend(break_marks(from, to, pen));
    }
    marks.extend(end(to, verdict, weight));
    marks
}

/// The mark at the measured axis, `weight` times its usual size.
pub(super) fn end(at: Point, verdict: Verdict, weight: f64) -> Vec<Mark> {
    let colour = ink(verdict);
    match verdict {
        Verdict::Conforms => vec![Circle::new(at, 0.85 * weight).fill(colour).into()],
        Verdict::DoesNotConform => {
            let pen = Stroke::new(colour, 0.5 * weight);
            let arm = weight;
            vec![
                Line::new(at.by(-arm, -arm), at.by(arm, arm), pen).into(),
                Line::new(at.by(-arm, arm), at.by(arm, -arm), pen).into(),
            ]
        }
        Verdict::NotProven
        | Verdict::NotMeasured
        | Verdict::CannotBeJudged
        | Verdict::NothingAsked => {
            vec![
                Circle::new(at, 0.75 * weight)
                    .fill(Ink::Paper)
                    .stroke(Stroke::new(colour, 0.3 * weight))
                    .into(),
            ]
        }
    }
}

/// Two short strokes across the line, at two thirds of it.
fn break_marks(from: Point, to: Point, pen: Stroke) -> [Mark; 2] {
    break_lines(from, to).map(|(from, to)| Line::new(from, to, pen).into())
}

/// The ends of those strokes.
fn break_lines(from: Point, to: Point) -> [(Point, Point); 2] {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = libm::hypot(dx, dy).max(1e-9);
    let (ux, uy) = (dx / length, dy / length);
    let stroke = |along: f64| {
        let at = from.by(ux * along, uy * along);
        // Slanted, so that they are not taken for ticks of a scale.
        let (ax, ay) = (1.1 * (-uy + 0.6 * ux), 1.1 * (ux + 0.6 * uy));
        (at.by(-ax, -ay), at.by(ax, ay))
    };
    let middle = length * 0.66;
    [stroke(middle - 0.5), stroke(middle + 0.5)]
}

/// A ring at the true position of what should have been measured and was not.
fn missing(layout: &Layout, piece: &PieceFinding, weight: f64) -> Vec<Mark> {
    let ring = |(i, (shape, finding)): (usize, (&Option<super::shape::Shape>, &FeatureFinding))| {
        let wanted = finding.verdict == Verdict::NotMeasured && finding.kind.is_sized();
        let shape = shape.as_ref().filter(|_| wanted && deviation(finding).is_none())?;
        let tag = Tag::new("vector open").feature(i.to_string());
        Some(Group::new(tag, end(shape.at, Verdict::NotMeasured, weight)).into())
    };
    layout.shapes.iter().zip(&piece.features).enumerate().filter_map(ring).collect()
}

/// All vectors of a verdict as one path, where there are many: a screen draws few marks faster
/// than many. `ends`: with the end that the verdict gives each.
fn together(list: &[Vector], weight: f64, ends: bool) -> Vec<Mark> {
    let mut marks = Vec::new();
    for verdict in [Verdict::NothingAsked, Verdict::Conforms, Verdict::DoesNotConform] {
        let colour = ink(verdict);
        let (mut lines, mut crosses, mut dots) = (Path::new(), Path::new(), Path::new());
        for v in list.iter().filter(|v| ink(v.verdict) == colour) {
            lines = lines.move_to(v.from).line_to(v.to);
            let arm = if ends { weight } else { 0.5 };
            if verdict == Verdict::DoesNotConform {
                crosses = crosses.move_to(v.to.by(-arm, -arm)).line_to(v.to.by(arm, arm));
                crosses = crosses.move_to(v.to.by(-arm, arm)).line_to(v.to.by(arm, -arm));
            } else if ends {
                dots = dot(dots, v.to, 0.85 * weight);
            }
            if v.cut && ends {
                for (from, to) in break_lines(v.from, v.to) {
                    lines = lines.move_to(from).line_to(to);
                }
            }
        }
        if lines.steps.is_empty() {
            continue;
        }
        let pen = Stroke::new(colour, if ends { 0.5 * weight } else { 0.25 });
        let mut body: Vec<Mark> = vec![lines.stroke(pen).into()];
        if !crosses.steps.is_empty() {
            body.push(crosses.stroke(pen).into());
        }
        if !dots.steps.is_empty() {
            let filled = if verdict == Verdict::Conforms { colour } else { Ink::Paper };
            let rim = Stroke::new(colour, 0.3 * weight);
            body.push(dots.fill(filled).stroke(rim).into());
        }
        marks.push(Group::new(Tag::new(role(verdict)), body).into());
    }
    marks
}

/// Adds a small round spot to `path`: at its size eight corners are a circle.
fn dot(path: Path, at: Point, radius: f64) -> Path {
    const S: f64 = std::f64::consts::FRAC_1_SQRT_2;
    let corners = [(S, S), (0.0, 1.0), (-S, S), (-1.0, 0.0), (-S, -S), (0.0, -1.0), (S, -S)];
    let start = path.move_to(at.by(radius, 0.0));
    corners.iter().fold(start, |path, (x, y)| path.line_to(at.by(radius * x, radius * y))).close()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_where_the_room_ends() {
        let room = Room { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };
        let from = Point::new(5.0, 5.0);
        assert_eq!(clipped(from, Point::new(8.0, 9.0), room), Point::new(8.0, 9.0));
        assert_eq!(clipped(from, Point::new(25.0, 5.0), room), Point::new(10.0, 5.0));
        assert_eq!(clipped(from, Point::new(5.0, -20.0), room), Point::new(5.0, 0.0));
        let corner = clipped(from, Point::new(105.0, 55.0), room);
        assert!((corner.x - 10.0).abs() < 1e-9 && (corner.y - 7.5).abs() < 1e-9);
        assert_eq!(clipped(from, from, room), from);
    }

    #[test]
    fn the_caption_says_what_is_not_as_it_seems() {
        assert_eq!(caption(Some(50.0), false, 0), "deviations drawn 50 times larger");
        assert_eq!(
            caption(Some(2000.0), false, 2),
            "deviations drawn 2000 times larger, 2 cut short"
        );
        assert_eq!(caption(Some(1.0), false, 0), "deviations drawn at the scale of the part");
        assert_eq!(caption(None, true, 0), "no deviations measured yet");
    }
}
