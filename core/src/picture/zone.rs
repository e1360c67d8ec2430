//! The zone of one feature, and where its axis lies in it.

use super::scale::Room;
use super::vectors::{clipped, end};
use crate::callout::{PositionFinding, Segment, Verdict, Zone};
use crate::findings::FeatureFinding;
use crate::job::Job;
use crate::mark::{
    Anchor, Circle, Face, Group, Ink, Line, Mark, Path, Point, Rect, Stroke, Tag, Text, width,
};
use crate::quantity::{Axis, Length};
use crate::show::{Figures, against, segment_name};

/// How much of the frame's half the zone takes.
const FILL: f64 = 0.78;
/// How far beyond its zone, as a multiple of it, an axis may lie before it is shown at the
/// border.
const BEYOND: f64 = 1.7;

/// Draws the zone of a feature in a square of `size_mm`: the tolerance as a full line, what is
/// allowed with the bonus as a dashed one, the axis as a dot (a cross if the feature does not
/// conform) with its line from the true position. Deviations and zone are to one scale; Y is up.
///
/// Of several segments it is the one that decides. Where the pattern was shifted, the axis is drawn
/// where it then lies, and where it lay before as a hollow dot joined to it by a thin line.
///
/// A slot or tab has two planes for a zone and is free along the other axis. What lies far
/// outside is shown at the border by an arrow with its figure; what was not measured is said.
#[must_use]
pub fn zone(job: &Job, index: usize, finding: &FeatureFinding, size_mm: f64) -> Vec<Mark> {
    zone_lettered(job, index, finding, size_mm, (0.047 * size_mm).clamp(1.6, 3.0))
}

/// The same with letters of `text_mm`, for a picture that is shown smaller than it is drawn.
#[must_use]
pub fn zone_lettered(
    job: &Job,
    index: usize,
    finding: &FeatureFinding,
    size_mm: f64,
    text_mm: f64,
) -> Vec<Mark> {
    let size = if size_mm.is_finite() { size_mm.max(10.0) } else { 10.0 };
    let text = if text_mm.is_finite() { text_mm.clamp(0.5, 0.08 * size) } else { 0.05 * size };
    let picture = Picture::of(job, finding, size, text);
    let body = picture.draw();
    let role = match finding.verdict {
        Verdict::Conforms => "zone conforms",
        Verdict::DoesNotConform => "zone fails",
        _ => "zone open",
    };
    vec![Group::new(Tag::new(role).feature(index.to_string()), body).into()]
}

/// Whether a picture of this size, with letters of `text_mm`, has room for the name of a segment.
pub(crate) fn names_segment(name: &str, size_mm: f64, text_mm: f64) -> bool {
    width(Face::Sans, name, text_mm) < size_mm / 2.0 - text_mm
}

struct Picture<'a> {
    finding: &'a FeatureFinding,
    /// The segment that is drawn.
    position: Option<&'a PositionFinding>,
    figures: Figures,
    size: f64,
    middle: Point,
    text: f64,
    /// Deviations in millimetres of the part, each where it was measured.
    at: (Option<f64>, Option<f64>),
    /// The same before the shift of its pattern, where it was shifted.
    before: Option<(f64, f64)>,
    /// Millimetres of paper for one of the part.
    scale: f64,
    marks: Vec<Mark>,
}

/// A deviation as far as it counts for this zone.
fn measured(length: Option<Length>) -> Option<f64> {
    length.map(Length::to_mm).filter(|v| v.is_finite())
}

impl<'a> Picture<'a> {
    fn of(job: &Job, finding: &'a FeatureFinding, size: f64, text: f64) -> Self {
        let zone = finding.deciding();
        let [x, y] = zone.map_or([finding.x.deviation(), finding.y.deviation()], |p| p.deviation);
        let at = (measured(x), measured(y));
        let before = zone.filter(|p| p.shifted.is_some()).and_then(|p| {
            let [x, y] = p.before().map(measured);
            match p.zone {
                Zone::Round => x.zip(y),
                Zone::Planes(Axis::X) => x.map(|x| (x, 0.0)),
                Zone::Planes(Axis::Y) => y.map(|y| (0.0, y)),
            }
        });
        let half = FILL * size / 2.0;
        let allowed = zone.map_or(0.0, |p| p.allowed.max(p.tolerance).to_mm() / 2.0).max(0.0);
        let off = match zone.map(|p| p.zone) {
            Some(Zone::Planes(Axis::X)) => at.0.map(f64::abs),
            Some(Zone::Planes(Axis::Y)) => at.1.map(f64::abs),
            _ => at.0.zip(at.1).map(|(x, y)| libm::hypot(x, y)),
        }
        .unwrap_or(0.0);
        let was = before.map_or(0.0, |(x, y)| libm::hypot(x, y));
        let off = if was > BEYOND * allowed { off } else { off.max(was) };
        // Without a zone (zero tolerance and no bonus) the axis itself sets the scale.
        let largest = if allowed <= 1e-12 {
            off
        } else if off > BEYOND * allowed {
            allowed
        } else {
            off.max(allowed)
        };
        let scale = if largest > 1e-12 { half / largest } else { 1.0 };
        Self {
            finding,
            position: zone,
            figures: Figures::of_results(&job.drawing),
            size,
            middle: Point::new(size / 2.0, size / 2.0),
            text,
            at,
            before,
            scale,
            marks: Vec::new(),
        }
    }

    fn put(&mut self, mark: impl Into<Mark>) {
        self.marks.push(mark.into());
    }

    fn draw(mut self) -> Vec<Mark> {
        let Some(position) = self.position else {
            self.cross_hair();
            self.say("no position asked for");
            return self.marks;
        };
        match position.zone {
            Zone::Round => self.round(position),
            Zone::Planes(axis) => self.planes(position, axis),
        }
        self.notes(position);
        self.marks
    }

    /// Which of several segments this is, and what the hollow dot is.
    fn notes(&mut self, p: &PositionFinding) {
        let note =
            |at: (f64, f64), words: &str, size: f64| Text::new(at, words, size).ink(Ink::Soft);
        let left = 0.3 * self.text;
        let mut line = 1.0;
        let segment = segment_name(self.finding, p);
        // A long name has no room beside the letter of the axis; who places the picture says it.
        if !segment.is_empty() && names_segment(&segment, self.size, self.text) {
            self.put(note((left, line * self.text), &segment, self.text));
            line += 1.25;
        }
        if self.before.is_some() {
            // At the lower left, or above it where what is allowed or what is free stands there.
            let lines = [0.4, 1.65, 2.9].map(|up| Point::new(left, self.size - up * self.text));
            let top = Point::new(left, line.max(2.25) * self.text);
            self.put_clear("hollow: before shift", &[lines[0], lines[1], top, lines[2]]);
        }
    }

    /// Where the axis lay before its pattern was shifted, and the way from there.
    fn moved(&mut self, to: Point, room: Room) {
        let Some((x, y)) = self.before else { return };
        let from = self.middle.by(x * self.scale, -y * self.scale);
        let thin = Stroke::new(Ink::Soft, 0.18);
        let start = clipped(to, from, room);
        self.put(Line::new(to, start, thin));
        if room.holds(from) {
            self.put(Circle::new(from, 0.75).fill(Ink::Paper).stroke(Stroke::new(Ink::Soft, 0.3)));
        }
    }

    fn cross_hair(&mut self) {
        let (half, m) = (self.size / 2.0, self.middle);
        let arm = half - 1.4 * self.text;
        self.put(Line::new(m.by(-arm, 0.0), m.by(arm, 0.0), Stroke::HAIR));
        self.put(Line::new(m.by(0.0, -arm), m.by(0.0, arm), Stroke::HAIR));
        let letter = |at: Point, s: &str, size: f64| Text::new(at, s, size).middle().ink(Ink::Soft);
        let drop = Face::CAP_HEIGHT * self.text / 2.0;
        self.put(letter(m.by(half - 0.6 * self.text, drop), "X", self.text));
        self.put(letter(m.by(0.0, -half + 2.4 * drop), "Y", self.text));
    }

    /// Words over the lower half, where nothing else is to be seen.
    fn say(&mut self, words: &str) {
        let at = self.middle.by(0.0, 0.2 * self.size);
        let ground = width(Face::Sans, words, self.text) + self.text;
        self.put(
            Rect::new(at.by(-ground / 2.0, -1.15 * self.text), ground, 1.7 * self.text)
                .radius(0.5 * self.text)
                .fill(Ink::Paper),
        );
        self.put(Text::new(at, words, self.text).middle().ink(Ink::Soft));
    }

    /// `.0100`, and `.0121` where the bonus adds to it, with digits that show that it does.
    fn labels(&self, p: &PositionFinding) -> (String, Option<String>) {
        if p.allowed <= p.tolerance {
            let f = self.figures.exact(p.tolerance);
            return (f.plain(p.tolerance), None);
        }
        let (allowed, tolerance) = against(p.allowed, p.tolerance, self.figures);
        (tolerance, Some(format!("with bonus {allowed}")))
    }

    /// Half the tolerance and half of what is allowed, to scale; a negative tolerance, which is
    /// not judged, has no zone to draw.
    fn zone_radii(&self, p: &PositionFinding) -> (f64, f64) {
        let half = |zone: Length| zone.to_mm().max(0.0) / 2.0 * self.scale;
        (half(p.tolerance), half(p.allowed))
    }

    fn round(&mut self, p: &PositionFinding) {
        let (inner, outer) = self.zone_radii(p);
        let m = self.middle;
        let with_bonus = outer > inner + 1e-9;
        self.put(Circle::new(m, outer.max(inner)).fill(Ink::Paper));
        self.cross_hair();
        if with_bonus {
            let dashed = Stroke::new(Ink::Ink, 0.22).dash(Stroke::DASHED);
            self.put(Circle::new(m, outer).stroke(dashed));
        }
        if inner > 0.0 {
            self.put(Circle::new(m, inner).stroke(Stroke::new(Ink::Ink, 0.28)));
        }
        let (tolerance, allowed) = self.labels(p);
        if let Some(words) = allowed {
            let at = Point::new(self.size - 0.3 * self.text, self.size - 0.4 * self.text);
            self.put(Text::new(at, words, self.text).anchor(Anchor::End).ink(Ink::Soft));
        }
        match self.at {
            (Some(x), Some(y)) => self.axis(x, y),
            (None, None) => {}
            (Some(x), None) => self.locus(Axis::X, x),
            (None, Some(y)) => self.locus(Axis::Y, y),
        }
        self.tolerance_label(&tolerance, inner);
        self.open_words();
    }

    /// The tolerance just inside its line, right of the vertical axis; outside it where it has no room.
    fn tolerance_label(&mut self, words: &str, inner: f64) {
        let roomy = inner > 3.2 * self.text;
        let [above, below] = match roomy {
            true => [-inner + 1.5 * self.text, inner - 0.7 * self.text],
            false => [-inner - 0.5 * self.text, inner + 1.3 * self.text],
        };
        let right = 0.45 * self.text;
        let left = -right - width(Face::Sans, words, self.text);
        let places = [(right, above), (right, below), (left, above), (left, below)];
        self.put_clear(words, &places.map(|(x, y)| self.middle.by(x, y)));
    }

    /// Puts words at the first of these places where they lie on no other text, or at the first of all.
    fn put_clear(&mut self, words: &str, places: &[Point]) {
        let at = |place: &Point| Text::new(*place, words, self.text).ink(Ink::Soft);
        let lies = |text: &Text| {
            let (start, wide, size) = (text.start(), text.width(), text.size);
            [start.x, start.x + wide, start.y - 0.8 * size, start.y + 0.25 * size]
        };
        let others: Vec<[f64; 4]> = self
            .marks
            .iter()
            .filter_map(|mark| if let Mark::Text(text) = mark { Some(lies(text)) } else { None })
            .collect();
        let clear = |text: &Text| {
            let [left, right, top, bottom] = lies(text);
            let apart =
                |[l, r, t, b]: &[f64; 4]| *l >= right || *r <= left || *t >= bottom || *b <= top;
            left >= 0.0 && right <= self.size && others.iter().all(apart)
        };
        let text = places.iter().map(at).find(clear).or_else(|| places.first().map(at));
        self.marks.extend(text.map(Mark::from));
    }

    /// What is known of an axis of which one coordinate was measured: the line it lies on.
    fn locus(&mut self, axis: Axis, deviation: f64) {
        let reach = self.size / 2.0 - 1.5 * self.text;
        let off = (deviation * self.scale).clamp(-reach, reach);
        let pen = Stroke::new(Ink::Accent, 0.3).dash(Stroke::DASHED);
        let (from, to) = match axis {
            Axis::X => (self.middle.by(off, -reach), self.middle.by(off, reach)),
            Axis::Y => (self.middle.by(-reach, -off), self.middle.by(reach, -off)),
        };
        self.put(Line::new(from, to, pen));
    }

    /// What keeps the zone from a verdict, in words.
    fn open_words(&mut self) {
        match (self.at, self.position.map(|p| (p.verdict, p.zone))) {
            (_, Some((Verdict::CannotBeJudged, _))) => self.say("cannot be judged"),
            ((None, None), _) => self.say("not measured"),
            ((None, _), Some((_, Zone::Round | Zone::Planes(Axis::X)))) => {
                self.say("x not measured")
            }
            ((_, None), Some((_, Zone::Round | Zone::Planes(Axis::Y)))) => {
                self.say("y not measured")
            }
            _ => {}
        }
    }

    /// The measured axis, `x` and `y` in millimetres of the part from its true position.
    fn axis(&mut self, x: f64, y: f64) {
        let (dx, dy) = (x * self.scale, -y * self.scale);
        let to = self.middle.by(dx, dy);
        // Room for the mark itself; beyond it only the direction is shown.
        let edge = 1.6 * self.text;
        let room =
            Room { left: edge, top: edge, right: self.size - edge, bottom: self.size - edge };
        if room.holds(to) {
            self.doubt(to);
            self.put(Line::new(self.middle, to, self.pen()));
            self.moved(to, room);
            self.marks.extend(end(to, self.finding.verdict, 1.0));
        } else {
            self.far(dx, dy, room);
        }
    }

    /// The uncertainty of the axis about its mark: the ellipse of twice the standard uncertainty
    /// in every direction, where that is known and large enough to be seen.
    fn doubt(&mut self, at: Point) {
        // It is that of the first frame, before any shift.
        let own = |p: &&PositionFinding| p.segment == Segment::default() && p.shifted.is_none();
        let known = self.position.filter(own).is_some_and(|p| p.proof.is_some());
        let Some([[xx, xy], [_, yy]]) = self.finding.covariance.filter(|_| known) else { return };
        let k = 2.0 * self.scale;
        // The Cholesky factor carries the unit circle to the ellipse.
        let a = xx.max(0.0).sqrt();
        let b = if a > 0.0 { xy / a } else { 0.0 };
        let c = (yy - b * b).max(0.0).sqrt();
        let (wide, high) = (k * a, k * yy.max(0.0).sqrt());
        if !(wide.max(high) > 0.3 && wide.max(high) < 2.0 * self.size) {
            return;
        }
        let corner = |i: u32| {
            let t = std::f64::consts::TAU * f64::from(i) / 48.0;
            let (cos, sin) = (libm::cos(t), libm::sin(t));
            at.by(k * a * cos, -k * (b * cos + c * sin))
        };
        let path = Path::polygon((0..48).map(corner));
        self.put(path.stroke(Stroke::new(self.ink(), 0.18)));
    }

    fn pen(&self) -> Stroke {
        Stroke::new(self.ink(), 0.55)
    }

    const fn ink(&self) -> Ink {
        match self.finding.verdict {
            Verdict::Conforms => Ink::Accent,
            Verdict::DoesNotConform => Ink::Fault,
            _ => Ink::Soft,
        }
    }

    /// An axis far outside: an arrow at the border that points to it, with its figure.
    fn far(&mut self, dx: f64, dy: f64, room: Room) {
        let length = libm::hypot(dx, dy).max(1e-9);
        let (ux, uy) = (dx / length, dy / length);
        let half = (room.right - room.left) / 2.0;
        let tip =
            self.middle.by(ux * half / ux.abs().max(uy.abs()), uy * half / ux.abs().max(uy.abs()));
        let tip = room.nearest(tip);
        let (long, wide) = (1.1 * self.text, 0.45 * self.text);
        let back = tip.by(-long * ux, -long * uy);
        self.put(Line::new(self.middle, back, self.pen()));
        let head = [tip, back.by(-wide * uy, wide * ux), back.by(wide * uy, -wide * ux)];
        self.put(Path::polygon(head).fill(self.ink()));
        let Some(position) = self.position.and_then(|p| p.position) else {
            return;
        };
        let words = self.figures.plain(position);
        let wide = width(Face::SansBold, &words, self.text);
        // Beside the shaft, on the side of the middle of the frame.
        let side = if tip.x > self.middle.x { -1.0 } else { 1.0 };
        let below = if tip.y > self.middle.y { -1.0 } else { 1.0 };
        let at = Point::new(
            (tip.x + side * (0.5 * wide + 1.6 * self.text))
                .clamp(wide / 2.0, self.size - wide / 2.0),
            (tip.y + below * 0.2 * self.text + 0.36 * self.text)
                .clamp(self.text, self.size - 0.3 * self.text),
        );
        self.put(
            Rect::new(at.by(-wide / 2.0 - 0.4, -0.95 * self.text), wide + 0.8, 1.25 * self.text)
                .fill(Ink::Paper),
        );
        let ink = self.ink();
        self.put(Text::new(at, words, self.text).bold().middle().ink(ink));
    }

    /// Two planes across `axis`; along the other one the feature is free.
    fn planes(&mut self, p: &PositionFinding, axis: Axis) {
        let (inner, outer) = self.zone_radii(p);
        let m = self.middle;
        let long = self.size / 2.0 - 2.2 * self.text;
        let most = outer.max(inner);
        // Drawn for planes across x and turned for those across y.
        let at = |across: f64, along: f64| match axis {
            Axis::X => m.by(across, along),
            Axis::Y => m.by(along, -across),
        };
        let band =
            Path::polygon([at(-most, -long), at(most, -long), at(most, long), at(-most, long)]);
        self.put(band.fill(Ink::Paper));
        for end in [-1.0, 1.0] {
            self.marks.extend(hatch(&at, most, end * long, end * (long - 2.2 * self.text)));
        }
        self.cross_hair();
        let line = |across: f64, stroke| Line::new(at(across, -long), at(across, long), stroke);
        if outer > inner + 1e-9 {
            let dashed = Stroke::new(Ink::Ink, 0.22).dash(Stroke::DASHED);
            self.put(line(outer, dashed));
            self.put(line(-outer, dashed));
        }
        let full = Stroke::new(Ink::Ink, 0.28);
        self.put(line(inner, full));
        self.put(line(-inner, full));
        let (tolerance, allowed) = self.labels(p);
        let names = match axis {
            // Between the hatched ends; where letters are large, just above or below the middle.
            Axis::X => [-long + 4.2 * self.text, -1.2 * self.text, 1.9 * self.text]
                .map(|down| m.by(0.45 * self.text, down)),
            Axis::Y => [inner, -inner, inner + 3.0 * self.text]
                .map(|across| at(across, -long + 2.6 * self.text).by(0.0, 1.3 * self.text)),
        };
        let free = match axis {
            Axis::X => "y free",
            Axis::Y => "x free",
        };
        let base = self.size - 0.4 * self.text;
        self.put(Text::new((0.3 * self.text, base), free, self.text).ink(Ink::Soft));
        if let Some(words) = allowed {
            let place = Point::new(self.size - 0.3 * self.text, base);
            self.put(Text::new(place, words, self.text).anchor(Anchor::End).ink(Ink::Soft));
        }
        let deviation = match axis {
            Axis::X => self.at.0,
            Axis::Y => self.at.1,
        };
        if let Some(d) = deviation {
            let across = d * self.scale;
            if across.abs() < self.size / 2.0 - 1.6 * self.text {
                // The centre plane itself, beside the dot on it.
                self.put(line(across, Stroke::new(self.ink(), 0.2)));
            }
            match axis {
                Axis::X => self.axis(d, 0.0),
                Axis::Y => self.axis(0.0, d),
            }
        }
        self.put_clear(&tolerance, &names);
        self.open_words();
    }
}

/// Slanted hairlines over the band between `from` and `to` along it: it goes on from here.
fn hatch(at: &dyn Fn(f64, f64) -> Point, most: f64, from: f64, to: f64) -> Vec<Mark> {
    let step = 1.3;
    let rise = to - from;
    let mut marks = Vec::new();
    let mut across = -most;
    while across + rise.abs() <= most && marks.len() < 400 {
        marks.push(Line::new(at(across, from), at(across + rise.abs(), to), Stroke::HAIR).into());
        across += step;
    }
    marks
}
