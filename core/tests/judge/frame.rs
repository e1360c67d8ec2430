//! The datum frame of a callout, taken from the adjusted points: a translation and a rotation, and what
//! the datums leave free.

use super::adjust::Adjusted;
use super::document::{Boundary, Datum, DatumPattern, DatumRef, Document, Kind, Pair, dot, turned};
use super::observations::Network;
use nalgebra::DMatrix;

/// What a datum does in the plane, decided by the kinds of the datums and their precedence alone.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Role {
    /// A face, first of all: its direction is an axis of the frame, and it stops the motion along its
    /// normal.
    FaceFirst(usize, usize),
    /// A face after the rotation is stopped: its plane is square to the frame and touches its
    /// outermost end.
    FaceStop(usize, usize),
    /// A face after both translations are stopped: it stops the rotation.
    FaceClock(usize),
    /// A slot or tab, first of all: as it stood when it was measured.
    SlotFirst(usize, usize),
    SlotStop(usize, usize),
    /// A slot or tab after a round datum: its centre plane stands at its basic place.
    SlotClock(usize, usize),
    /// A round datum (or the circle through several) stops the motion along the axes flagged.
    Round([bool; 2]),
    /// A round datum stops the rotation about the origin of the datum with this index.
    RoundClock(usize),
    /// Several features fitted to their basic places: both translations and the rotation.
    FitFirst,
    FitClock(usize),
    Nothing,
}

/// A datum of a callout with its role.
#[derive(Clone, Debug)]
pub(crate) struct Stage<'a> {
    pub reference: DatumRef,
    pub datum: &'a Datum,
    pub role: Role,
}

/// The datums of a callout in their precedence, and what they leave free.
#[derive(Clone, Debug)]
pub(crate) struct Precedence<'a> {
    pub stages: Vec<Stage<'a>>,
    pub turn_stopped: bool,
    pub stopped: [bool; 2],
}

impl<'a> Precedence<'a> {
    /// Gives each datum its role: the first one that stops the rotation stops it.
    pub(crate) fn of(job: &'a Document, references: &[DatumRef]) -> Self {
        let (mut turn, mut stopped) = (false, [false; 2]);
        let mut origin = 0;
        let mut stages: Vec<Stage<'a>> = Vec::new();
        for reference in references {
            let Some(datum) = job.datum(&reference.letter) else { continue };
            let Some(&first) = datum.features.first() else { continue };
            let f = &job.features[first];
            let none = !stopped[0] && !stopped[1];
            let role = match (datum.pattern, f.kind) {
                (Some(DatumPattern::BestFit), _) if !turn && none => {
                    (turn, stopped) = (true, [true; 2]);
                    Role::FitFirst
                }
                (Some(DatumPattern::BestFit), _) if !turn => {
                    turn = true;
                    Role::FitClock(origin)
                }
                (Some(DatumPattern::BestFit | DatumPattern::Circle), _)
                | (None, Kind::Hole | Kind::Boss) => {
                    let free = [!stopped[0], !stopped[1]];
                    if free[0] || free[1] {
                        stopped = [true; 2];
                        if !turn {
                            origin = stages.len();
                        }
                        Role::Round(free)
                    } else if turn {
                        Role::Nothing
                    } else {
                        turn = true;
                        Role::RoundClock(origin)
                    }
                }
                (None, Kind::Face) => {
                    let a = f.axis.expect("a face looks somewhere");
                    if !turn && none {
                        (turn, stopped[a]) = (true, true);
                        Role::FaceFirst(first, a)
                    } else if !turn {
                        turn = true;
                        Role::FaceClock(first)
                    } else if stopped[a] {
                        Role::Nothing
                    } else {
                        stopped[a] = true;
                        Role::FaceStop(first, a)
                    }
                }
                (None, Kind::Slot | Kind::Tab) => {
                    let a = f.axis.expect("a slot lies across something");
                    if !turn && none {
                        (turn, stopped[a]) = (true, true);
                        Role::SlotFirst(first, a)
                    } else if !turn {
                        turn = true;
                        Role::SlotClock(first, origin)
                    } else if stopped[a] {
                        Role::Nothing
                    } else {
                        stopped[a] = true;
                        Role::SlotStop(first, a)
                    }
                }
            };
            stages.push(Stage { reference: reference.clone(), datum, role });
        }
        Self { stages, turn_stopped: turn, stopped }
    }

    /// Whether every datum applies regardless of its size.
    pub(crate) fn regardless(&self) -> bool {
        self.stages.iter().all(|s| s.reference.boundary == Boundary::Regardless)
    }

    /// Nothing may move.
    pub(crate) fn is_rigid(&self) -> bool {
        self.turn_stopped && self.stopped == [true; 2] && self.regardless()
    }
}

/// A frame: its axes turned from those of the adjustment, then moved.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    pub turn: f64,
    pub offset: Pair,
}

impl Frame {
    pub(crate) fn place(&self, p: Pair) -> Pair {
        let v = turned(p, -self.turn);
        [v[0] - self.offset[0], v[1] - self.offset[1]]
    }
}

/// The adjusted part of one piece.
pub(crate) struct Part<'a> {
    pub job: &'a Document,
    pub net: &'a Network,
    pub adjusted: &'a Adjusted,
}

/// Along each axis that the datums leave free, the feature from which its coordinates count.
pub(crate) type Origin = [Option<usize>; 2];

/// Larger than what differences of differences make of zero, smaller than any real dependence.
const DEPENDS: f64 = 1e-6;
/// A direction within this of an axis counts as that axis: what is missing is taken at its basic place.
const NEARLY: f64 = 0.02;

impl Part<'_> {
    fn point(&self, x: &[f64], feature: usize) -> Pair {
        let at = self.net.of_feature[feature];
        [x[at], x[at + 1]]
    }

    /// How a pair of figures depends on what is not determined: none, one direction, or both.
    fn open(&self, f: &dyn Fn(&[f64]) -> Pair) -> Open {
        let free = &self.adjusted.undetermined;
        let x = &self.adjusted.unknowns;
        let step = 1e-3;
        let mut g = DMatrix::<f64>::zeros(2, free.ncols());
        for j in 0..free.ncols() {
            let moved = |by: f64| -> Vec<f64> {
                x.iter().enumerate().map(|(i, v)| v + by * free[(i, j)]).collect()
            };
            let (a, b) = (f(&moved(step)), f(&moved(-step)));
            for i in 0..2 {
                g[(i, j)] = (a[i] - b[i]) / (2.0 * step);
            }
        }
        if g.iter().all(|v| v.abs() < DEPENDS) {
            return Open::Nothing;
        }
        let eigen = super::eigen::symmetric(&(&g * g.transpose()));
        let (large, small) = if eigen.values[0] > eigen.values[1] { (0, 1) } else { (1, 0) };
        if libm::sqrt(eigen.values[small].max(0.0)) > DEPENDS {
            return Open::Both;
        }
        let d = eigen.vectors.column(large);
        Open::Along([d[0], d[1]])
    }

    /// Where a datum made of one or several round features has its place.
    pub(crate) fn round_place(&self, x: &[f64], datum: &Datum) -> Pair {
        let points: Vec<Pair> = datum.features.iter().map(|f| self.point(x, *f)).collect();
        match datum.pattern {
            Some(DatumPattern::Circle) => {
                super::circle::fit(&points).map_or([f64::NAN; 2], |c| c.0)
            }
            _ => points[0],
        }
    }

    pub(crate) fn round_basic(&self, datum: &Datum) -> Pair {
        let points: Vec<Pair> =
            datum.features.iter().map(|f| self.job.features[*f].basic).collect();
        match datum.pattern {
            Some(DatumPattern::Circle) => {
                super::circle::fit(&points).map_or([f64::NAN; 2], |c| c.0)
            }
            _ => points[0],
        }
    }

    /// The frame that the datums of a callout make, each regardless of its size; along what they leave
    /// free the features `free_origin` stand at their basic places. `None` where the rotation that they
    /// stop cannot be determined.
    pub(crate) fn frame(&self, p: &Precedence, free_origin: Origin) -> Option<Frame> {
        self.frame_at(&self.adjusted.unknowns, p, free_origin)
    }

    fn frame_at(&self, x: &[f64], p: &Precedence, free_origin: Origin) -> Option<Frame> {
        let job = self.job;
        let (mut turn, mut offset) = (0.0, [0.0; 2]);
        // First the rotation, since every offset is along an axis of the frame.
        for s in &p.stages {
            match &s.role {
                // A face that nothing has touched yet counts as square to the others, as drawn.
                Role::FaceFirst(f, _) => turn = self.turn_of_face(*f),
                // Alone it says which way it runs only once something has touched it.
                Role::FaceClock(f) if !self.net.seen[*f] && !self.net.stood_on[*f] => return None,
                Role::FaceClock(f) => turn = self.turn_of_face(*f),
                Role::RoundClock(o) => {
                    let (b, c) = (p.stages[*o].datum, s.datum);
                    let v = |x: &[f64]| {
                        let (pb, pc) = (self.round_place(x, b), self.round_place(x, c));
                        [pc[0] - pb[0], pc[1] - pb[1]]
                    };
                    let (nb, nc) = (self.round_basic(b), self.round_basic(c));
                    let n = [nc[0] - nb[0], nc[1] - nb[1]];
                    let seen = complete_length(v(x), self.open(&v), n)?;
                    turn = angle(seen) - angle(n);
                }
                Role::SlotClock(f, o) => {
                    let b = p.stages[*o].datum;
                    let v = |x: &[f64]| {
                        let (pb, pc) = (self.round_place(x, b), self.point(x, *f));
                        [pc[0] - pb[0], pc[1] - pb[1]]
                    };
                    let (nb, nc) = (self.round_basic(b), job.features[*f].basic);
                    let n = [nc[0] - nb[0], nc[1] - nb[1]];
                    turn = clock_slot(v(x), self.open(&v), n, job.features[*f].axis?)?;
                }
                Role::FitFirst | Role::FitClock(_) => {
                    let (mut cross, mut along) = (0.0, 0.0);
                    let (from, basic_from) = if let Role::FitClock(o) = s.role {
                        (
                            self.round_place(x, p.stages[o].datum),
                            self.round_basic(p.stages[o].datum),
                        )
                    } else {
                        (self.mean_place(x, s.datum), self.mean_basic(s.datum))
                    };
                    for f in &s.datum.features {
                        let (m, n) = (self.point(x, *f), job.features[*f].basic);
                        let m = [m[0] - from[0], m[1] - from[1]];
                        let n = [n[0] - basic_from[0], n[1] - basic_from[1]];
                        cross += n[0] * m[1] - n[1] * m[0];
                        along += dot(n, m);
                    }
                    turn = libm::atan2(cross, along);
                }
                Role::FaceStop(..)
                | Role::SlotFirst(..)
                | Role::SlotStop(..)
                | Role::Round(_)
                | Role::Nothing => {}
            }
        }
        let axes = |v: Pair| turned(v, -turn);
        for s in &p.stages {
            match &s.role {
                Role::FaceFirst(f, a) => {
                    let q = x[self.net.of_feature[*f]];
                    // In the frame the normal into the material is an axis.
                    offset[*a] = -job.features[*f].sign * q - job.features[*f].basic[*a];
                }
                Role::FaceStop(f, a) => offset[*a] = self.outermost(x, *f, *a, turn, offset)?,
                Role::SlotFirst(f, a) | Role::SlotStop(f, a) => {
                    offset[*a] = axes(self.point(x, *f))[*a] - job.features[*f].basic[*a];
                }
                Role::Round(free) => {
                    let (at, n) = if s.datum.pattern == Some(DatumPattern::BestFit) {
                        (self.mean_place(x, s.datum), self.mean_basic(s.datum))
                    } else {
                        (self.round_place(x, s.datum), self.round_basic(s.datum))
                    };
                    let at = axes(at);
                    for a in 0..2 {
                        if free[a] {
                            offset[a] = at[a] - n[a];
                        }
                    }
                }
                Role::FitFirst => {
                    let (at, n) = (axes(self.mean_place(x, s.datum)), self.mean_basic(s.datum));
                    offset = [at[0] - n[0], at[1] - n[1]];
                }
                Role::FaceClock(_)
                | Role::SlotClock(..)
                | Role::RoundClock(_)
                | Role::FitClock(_)
                | Role::Nothing => {}
            }
        }
        for a in 0..2 {
            if let (Some(f), false) = (free_origin[a], p.stopped[a]) {
                offset[a] = axes(self.point(x, f))[a] - job.features[f].basic[a];
            }
        }
        Some(Frame { turn, offset })
    }

    fn mean_place(&self, x: &[f64], datum: &Datum) -> Pair {
        mean(datum.features.iter().map(|f| self.point(x, *f)))
    }

    fn mean_basic(&self, datum: &Datum) -> Pair {
        mean(datum.features.iter().map(|f| self.job.features[*f].basic))
    }

    /// How far the normal of a face is turned from the drawn one.
    pub(crate) fn turn_of_face(&self, face: usize) -> f64 {
        let (f, m) = (&self.job.features[face], self.net.inward[face]);
        let mut n = [0.0; 2];
        n[f.axis.expect("a face looks somewhere")] = -f.sign;
        libm::atan2(n[0] * m[1] - n[1] * m[0], dot(n, m))
    }

    /// The offset that lets the plane square to the frame touch the outermost end of a face.
    fn outermost(&self, x: &[f64], face: usize, a: usize, turn: f64, offset: Pair) -> Option<f64> {
        let (f, q) = (&self.job.features[face], x[self.net.of_feature[face]]);
        let m = turned(self.net.inward[face], -turn);
        let b = 1 - a;
        let ends: Vec<f64> = if m[b].abs() < 1e-13 {
            vec![0.0]
        } else {
            let o = self.job.outline.as_ref()?;
            vec![o.low[b] + offset[b], o.high[b] + offset[b]]
        };
        ends.into_iter()
            .map(|end| (q - m[b] * end) / m[a])
            .reduce(|p, r| if f.sign > 0.0 { p.max(r) } else { p.min(r) })
            .map(|outer| outer - f.basic[a])
    }

    /// The coordinates of a feature in the frame of a callout; none where no reading gives them.
    pub(crate) fn coordinates(
        &self,
        p: &Precedence,
        free_origin: Origin,
        feature: usize,
    ) -> [Option<f64>; 2] {
        let at = |x: &[f64]| {
            self.frame_at(x, p, free_origin)
                .and_then(|frame| self.raw(x, &frame, feature).map(|v| less(v, frame.offset)))
        };
        self.determined(&at, &[feature], self.job.features[feature].basic)
    }

    /// Whether every datum feature of a callout was touched, read zero, or carried the part.
    pub(crate) fn datums_seen(&self, p: &Precedence) -> bool {
        let seen = |f: &usize| self.net.seen[*f] || self.net.stood_on[*f];
        p.stages.iter().flat_map(|s| &s.datum.features).all(seen)
    }

    /// Variances of the coordinates of a feature of size in the frame of a callout, to first order and
    /// with what the datums bring into them.
    pub(crate) fn variances(&self, p: &Precedence, feature: usize) -> [f64; 2] {
        let n = self.adjusted.unknowns.len();
        let step = 1e-3;
        let at = |j: usize, by: f64| {
            let mut x = self.adjusted.unknowns.clone();
            x[j] += by;
            self.frame_at(&x, p, [None; 2])
                .map_or([f64::NAN; 2], |frame| frame.place(self.point(&x, feature)))
        };
        let mut g = DMatrix::<f64>::zeros(2, n);
        for j in 0..n {
            let (a, b) = (at(j, step), at(j, -step));
            for i in 0..2 {
                g[(i, j)] = (a[i] - b[i]) / (2.0 * step);
            }
        }
        let s = &g * &self.adjusted.covariance * g.transpose();
        [s[(0, 0)], s[(1, 1)]]
    }

    /// The coordinates of one feature less those of another, along the axes of a frame whose place does
    /// not matter.
    pub(crate) fn difference(&self, p: &Precedence, from: usize, to: usize) -> [Option<f64>; 2] {
        let at = |x: &[f64]| {
            let frame = self.frame_at(x, p, [None; 2])?;
            Some(less(self.raw(x, &frame, to)?, self.raw(x, &frame, from)?))
        };
        let basic = less(self.job.features[to].basic, self.job.features[from].basic);
        self.determined(&at, &[from, to], basic)
    }

    /// How far a feature lies from a face, along the face's own normal, in the direction of its axis.
    pub(crate) fn distance_from_face(&self, face: usize, to: usize) -> Option<f64> {
        let a = self.job.features[face].axis?;
        let frame = Frame { turn: self.turn_of_face(face), offset: [0.0; 2] };
        let at = |x: &[f64]| Some(less(self.raw(x, &frame, to)?, self.raw(x, &frame, face)?));
        let basic = less(self.job.features[to].basic, self.job.features[face].basic);
        self.determined(&at, &[face, to], basic)[a]
    }

    /// Along the axes of a frame, before it is moved: a point, or a face's outermost end along its axis.
    fn raw(&self, x: &[f64], frame: &Frame, feature: usize) -> Option<Pair> {
        let f = &self.job.features[feature];
        if f.kind != Kind::Face {
            return Some(turned(self.point(x, feature), -frame.turn));
        }
        let a = f.axis?;
        let mut v = [0.0; 2];
        v[a] = self.outermost(x, feature, a, frame.turn, frame.offset)? + f.basic[a];
        Some(v)
    }

    /// Two figures along the axes, as far as they are determined; what is open across is taken at its
    /// basic value.
    fn determined(
        &self,
        at: &dyn Fn(&[f64]) -> Option<Pair>,
        features: &[usize],
        basic: Pair,
    ) -> [Option<f64>; 2] {
        let Some(here) = at(&self.adjusted.unknowns) else { return [None; 2] };
        if features.iter().any(|f| !self.net.seen[*f]) {
            return [None; 2];
        }
        let mut found = match self.open(&|x| at(x).unwrap_or([f64::NAN; 2])) {
            Open::Nothing => here.map(Some),
            Open::Both => [None; 2],
            Open::Along(d) => {
                let mut found = [None; 2];
                for a in 0..2 {
                    let b = 1 - a;
                    if d[a].abs() < NEARLY {
                        found[a] = Some(here[a] + (basic[b] - here[b]) / d[b] * d[a]);
                    }
                }
                found
            }
        };
        for f in features {
            if let Some(a) = self.job.features[*f].axis {
                found[1 - a] = None;
            }
        }
        found
    }
}

fn less(p: Pair, q: Pair) -> Pair {
    [p[0] - q[0], p[1] - q[1]]
}

/// What of two figures is open.
enum Open {
    Nothing,
    Along(Pair),
    Both,
}

fn mean(points: impl ExactSizeIterator<Item = Pair>) -> Pair {
    let n = points.len() as f64;
    let sum = points.fold([0.0; 2], |s, p| [s[0] + p[0], s[1] + p[1]]);
    [sum[0] / n, sum[1] / n]
}

fn angle(v: Pair) -> f64 {
    libm::atan2(v[1], v[0])
}

/// The vector from one datum to the other. Where it is open along one direction it has its basic length.
fn complete_length(v: Pair, open: Open, basic: Pair) -> Option<Pair> {
    match open {
        Open::Nothing => Some(v),
        Open::Both => None,
        Open::Along(d) => {
            let length = libm::hypot(basic[0], basic[1]);
            // Across the line nothing would be known.
            if (dot(d, basic) / length).abs() < 1.0 - NEARLY {
                return None;
            }
            let (half, rest) = (dot(v, d), dot(v, v) - length * length);
            let root = half * half - rest;
            if root < 0.0 {
                return None;
            }
            let root = libm::sqrt(root);
            let by = if half > 0.0 { root - half } else { -root - half };
            Some([v[0] + by * d[0], v[1] + by * d[1]])
        }
    }
}

/// The rotation that puts the centre plane of a slot at its basic distance from the origin, along axis
/// `a`; along the slot it has its basic coordinate.
fn clock_slot(v: Pair, open: Open, basic: Pair, a: usize) -> Option<f64> {
    let b = 1 - a;
    let mut turn = 0.0;
    for _ in 0..50 {
        let at = turned(v, -turn);
        let (mut along, mut across) = (at[b], at[a]);
        if let Open::Along(d) = open {
            let d = turned(d, -turn);
            if d[a].abs() > NEARLY + turn.abs() * 2.0 {
                return None;
            }
            let by = (basic[b] - along) / d[b];
            (along, across) = (along + by * d[b], across + by * d[a]);
        } else if let Open::Both = open {
            return None;
        }
        // Across changes by the lever along times the angle: y grows with x, x falls with y.
        let lever = if a == 1 { along } else { -along };
        if lever.abs() < 1e-9 {
            return None;
        }
        // The frame turns by the angle that brings the deviation across to zero.
        let step = (across - basic[a]) / lever;
        turn += step;
        if step.abs() < 1e-16 {
            break;
        }
    }
    Some(turn)
}
