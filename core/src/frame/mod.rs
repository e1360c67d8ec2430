//! The datum frame of a callout: from adjusted points on the bench to coordinates of the drawing.
//!
//! The frame is taken after the adjustment and costs nothing: it moves and turns the points, with
//! their covariance, and adjusts no reading (surveyors call it a datum transformation). Datum features
//! regardless of their size take up the freedoms in their order (ASME Y14.5-2018, clause 7; ISO 5459):
//! a face or a centre plane the translation across it and, where it is the first that can, the
//! rotation; a round feature both translations, and a further feature of size the rotation about it.
//! What no datum takes is left as the orientations have it. Several round features may be one datum:
//! the centre of the circle through them, or the best fit of the whole pattern.
//!
//! Coordinate k of a point p in the frame is bₖ + rₖ·(p − aₖ): aₖ a place on the bench that the datum
//! gives, bₖ its coordinate on the drawing, rₖ row k of the rotation. It is known if the facts
//! determine that difference, whatever else they leave open.

mod build;
mod clock;
mod contact;
mod defaults;
mod located;
mod roles;
mod spot;

pub use located::Located;
pub use roles::{touched_faces, turned_by};

use crate::adjust::{Adjustment, BenchSensitivities, Form, Propagated, Sensitivities};
use crate::bench::Target;
use crate::callout::Unjudged;
use crate::job::Job;
use crate::quantity::Axis;
use crate::quantity::vector::{dot, minus, quarter_turned};
use smallvec::{SmallVec, smallvec};

/// A place on the bench that moves with what was measured, to first order.
#[derive(Clone, Debug, Default, PartialEq)]
struct Place {
    /// Where it is, mm.
    at: [f64; 2],
    /// Targets, and row by row how x and y move with theirs.
    targets: SmallVec<[(Target, [[f64; 2]; 2]); 2]>,
    /// Errors of angle, and how x and y move with them, mm/rad.
    angles: SmallVec<[(usize, [f64; 2]); 1]>,
}

impl Place {
    /// That of a target, as far as its coordinates count along x and along y; `None` where no fact tells
    /// of it.
    fn of(bench: &Adjustment, target: Target, along: [bool; 2]) -> Option<Self> {
        let [x, y] = along.map(|counts| if counts { 1.0 } else { 0.0 });
        let targets = smallvec![(target, [[x, 0.0], [0.0, y]])];
        Some(Self { at: bench.state(target)?, targets, angles: SmallVec::new() })
    }

    /// It slid along the unit vector `along` until its coordinate on an axis of the frame is `to`.
    ///
    /// With τ that vector, f this place, r the row of the rotation for that axis and a, b place and
    /// coordinate of what it counts from: p = f + t τ with r·(p − a) = to − b, and so
    /// dp = (I − M) df + M da with M = τ rᵀ/(r·τ). Where τ turns with an error of angle δ, so does the
    /// way that it goes: dp = (I − M)(df + t J τ dδ) + M da.
    fn slid(&self, along: [f64; 2], error: Option<usize>, to: f64, axis: AxisOf<'_>) -> Self {
        let slope = dot(&axis.row, &along);
        let origin = &axis.origin.place;
        let missing = dot(&axis.row, &minus(self.at, origin.at));
        let t = (to - axis.origin.basic - missing) / slope;
        let slides = |v: [f64; 2]| along.map(|e| e * dot(&axis.row, &v) / slope);
        let stays = |v: [f64; 2]| minus(v, slides(v));
        let mut place = Self {
            at: [self.at[0] + t * along[0], self.at[1] + t * along[1]],
            targets: self.targets.iter().map(|(at, m)| (*at, by_columns(m, stays))).collect(),
            angles: self.angles.iter().map(|(error, v)| (*error, stays(*v))).collect(),
        };
        let turns = quarter_turned(along).map(|v| v * t);
        place.angles.extend(error.map(|error| (error, stays(turns))));
        place.targets.extend(origin.targets.iter().map(|(at, m)| (*at, by_columns(m, slides))));
        place.angles.extend(origin.angles.iter().map(|(error, v)| (*error, slides(*v))));
        place
    }

    /// How its coordinate along a vector moves.
    fn along(&self, e: [f64; 2]) -> Form {
        let by = |m: &[[f64; 2]; 2]| [0, 1].map(|k| e[0] * m[0][k] + e[1] * m[1][k]);
        Form {
            targets: self.targets.iter().map(|(target, m)| (*target, by(m))).collect(),
            angles: self.angles.iter().map(|(angle, v)| (*angle, dot(v, &e))).collect(),
        }
    }
}

/// A place whose coordinate along one axis of the frame is that of the drawing.
#[derive(Clone, Debug, PartialEq)]
struct Anchor {
    place: Place,
    /// That coordinate, mm.
    basic: f64,
}

/// An axis of a frame.
#[derive(Clone, Copy, Debug)]
struct AxisOf<'a> {
    /// Row of the rotation.
    row: [f64; 2],
    /// What it counts from.
    origin: &'a Anchor,
}

/// What a frame counts from along one of its axes.
#[derive(Clone, Debug, PartialEq)]
enum Origin {
    /// What a datum gives: one place or, where it is not known which end of an edge the frame
    /// touches, one for either end with its probability, the likelier first.
    Datum(Vec<(f64, Anchor)>),
    /// Nothing that a datum gives: the first of these that is tied to what is looked at.
    Default(Vec<Anchor>),
    /// Nothing: only differences of coordinates mean anything.
    None,
}

/// The rotation of a frame against the bench.
#[derive(Clone, Debug, Default, PartialEq)]
struct Rotation {
    /// Counter-clockwise, rad.
    angle: f64,
    /// How it moves with what was measured, in rad.
    by: Form,
    /// Whether features of size made it: a coordinate then needs the basic one across it.
    clocked: bool,
}

/// Something that a datum does not give.
#[derive(Clone, Debug, PartialEq)]
struct Lack {
    why: Unjudged,
    /// Whether x and y of the frame suffer from it.
    along: [bool; 2],
}

/// What is looked at from a direction that leans no more than this from an axis of the frame, as the
/// cosine of 3°, is located along that axis with the basic coordinate across: an error of 0.1 mm across
/// then makes at most 5 µm (common practice, no source).
const NEARLY_STRAIGHT: f64 = 0.9986;

/// A datum frame on one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    rotation: Rotation,
    origins: [Origin; 2],
    /// What the datums do not give, in their order.
    lacks: Vec<Lack>,
}

/// A coordinate in a frame.
#[derive(Clone, Debug)]
pub struct FrameCoordinate<'b> {
    /// Its value, mm.
    pub value: f64,
    /// How it follows from the adjusted points: as in [`BenchSensitivities::forms`].
    pub forms: SmallVec<[(f64, Form); 1]>,
    /// The same with what its uncertainty follows from; `None` where that is not determined.
    propagated: Option<SmallVec<[(f64, Propagated<'b>); 1]>>,
    /// Whether it counts from a datum, and not from what the orientations count from.
    pub from_datum: bool,
}

impl Frame {
    /// The first reason why a feature that needs these coordinates cannot be judged in this frame: a
    /// letter that the drawing does not define, a datum feature of which no fact tells, or one so near
    /// the origin that it cannot stop the rotation.
    #[must_use]
    pub fn lacks(&self, needs: [bool; 2]) -> Option<&Unjudged> {
        let suffers = |l: &&Lack| l.along.iter().zip(needs).any(|(along, needed)| *along && needed);
        self.lacks.iter().find(suffers).map(|l| &l.why)
    }

    /// The first reason why the directions of its axes are not known: they come from the orientations
    /// unless a datum turns the frame.
    #[must_use]
    pub fn lacks_rotation(&self) -> Option<&Unjudged> {
        self.lacks.iter().find(|l| l.along == [true; 2]).map(|l| &l.why)
    }

    /// Row `k` of the rotation.
    fn row(&self, k: usize) -> [f64; 2] {
        let (c, s) = (libm::cos(self.rotation.angle), libm::sin(self.rotation.angle));
        if k == 0 { [c, -s] } else { [s, c] }
    }

    /// The anchors along an axis, with their probabilities.
    fn anchors(&self, k: usize) -> Vec<(f64, &Anchor)> {
        match &self.origins[k] {
            Origin::Datum(ends) => ends.iter().map(|(w, anchor)| (*w, anchor)).collect(),
            Origin::Default(list) => list.iter().map(|anchor| (1.0, anchor)).collect(),
            Origin::None => Vec::new(),
        }
    }

    /// A feature that was looked at along `u`, slid square to that until its coordinate along axis `k` of
    /// the frame is the basic one; `None` where the drawing does not give that.
    fn slid_to_basic(
        &self,
        job: &Job,
        bench: &Adjustment,
        feature: usize,
        k: usize,
        u: [f64; 2],
    ) -> Option<Place> {
        let target = Target::Feature(feature);
        let axis = if k == 0 { Axis::X } else { Axis::Y };
        let basic = match job.drawing.features.get(feature)?.basic(axis, job.drawing.unit) {
            Some(basic) => basic.to_mm(),
            None if self.rotation.clocked => return None,
            None => Adjustment::near(job, target)[k],
        };
        let (anchors, row, slide) = (self.anchors(k), self.row(k), quarter_turned(u));
        if dot(&row, &slide).abs() < NEARLY_STRAIGHT {
            return None;
        }
        let seen = Place::of(bench, target, [true; 2])?;
        // Without anything to count from it stays where it is on the bench.
        let here = Anchor { place: Place { at: seen.at, ..Place::default() }, basic };
        let origin = anchors.first().map_or(&here, |(_, anchor)| *anchor);
        Some(seen.slid(slide, None, basic, AxisOf { row, origin }))
    }

    /// Coordinate `k` (0 for x, 1 for y) of a feature in this frame; `None` where the facts do not
    /// determine it. The feature counts first where its own coordinates place it, then with the
    /// coordinate across taken so that it comes to lie at the basic one, for what was looked at along
    /// one direction only.
    fn coordinate<'b>(
        &self,
        job: &Job,
        bench: &'b Adjustment,
        feature: usize,
        k: usize,
    ) -> Option<FrameCoordinate<'b>> {
        let observed = bench.observed(feature);
        if !observed[k] {
            return None;
        }
        let other = 1 - k;
        let directions = bench.looked_along(feature);
        let straight = self.rotation == Rotation::default()
            && directions.clone().all(|u| u[other].abs() < 1e-12);
        let own = (observed[other] || straight)
            .then(|| Place::of(bench, Target::Feature(feature), observed))
            .flatten()
            .and_then(|place| self.coordinate_of(bench, &place, k));
        if own.is_some() || straight {
            return own;
        }
        directions
            .filter_map(|u| self.slid_to_basic(job, bench, feature, other, u))
            .find_map(|place| self.coordinate_of(bench, &place, k))
    }

    /// Coordinate `k` of a place on the bench; `None` where the facts do not determine it.
    fn coordinate_of<'b>(
        &self,
        bench: &'b Adjustment,
        place: &Place,
        k: usize,
    ) -> Option<FrameCoordinate<'b>> {
        let row = self.row(k);
        let own = place.along(row);
        let one = |anchor: &Anchor| {
            let arm = minus(place.at, anchor.place.at);
            let mut form = own.clone();
            form.add(-1.0, &anchor.place.along(row));
            form.add(dot(&quarter_turned(arm), &row), &self.rotation.by);
            (anchor.basic + dot(&row, &arm), form)
        };
        match &self.origins[k] {
            Origin::Datum(ends) => {
                let (mut forms, mut propagated) = (SmallVec::new(), SmallVec::new());
                let mut value = None;
                for (weight, anchor) in ends {
                    let (at, form) = one(anchor);
                    value.get_or_insert(at);
                    propagated.push((*weight, bench.determined(&form)?));
                    forms.push((*weight, form));
                }
                Some(FrameCoordinate {
                    value: value?,
                    forms,
                    propagated: Some(propagated),
                    from_datum: true,
                })
            }
            Origin::Default(list) => list.iter().find_map(|anchor| {
                let (value, form) = one(anchor);
                let propagated = Some(smallvec![(1.0, bench.determined(&form)?)]);
                Some(FrameCoordinate {
                    value,
                    forms: smallvec![(1.0, form)],
                    propagated,
                    from_datum: false,
                })
            }),
            Origin::None => {
                let mut form = own;
                form.add(dot(&quarter_turned(place.at), &row), &self.rotation.by);
                let value = dot(&row, &place.at);
                let propagated = bench.propagated(&form).map(|p| smallvec![(1.0, p)]);
                Some(FrameCoordinate {
                    value,
                    forms: smallvec![(1.0, form)],
                    propagated,
                    from_datum: false,
                })
            }
        }
    }

    /// The same directions without an origin: for what only depends on differences of coordinates.
    /// Whether the facts determine such a difference is for whoever takes it to ask.
    #[must_use]
    pub fn without_origin(&self) -> Self {
        Self { origins: [Origin::None, Origin::None], ..self.clone() }
    }

    /// The same frame for features that are judged together: along an axis that no datum takes all of
    /// them count from one place, the first that most of them are tied to. Between two places nothing
    /// but the drawing need say how far apart they are.
    #[must_use]
    pub fn together(&self, job: &Job, bench: &Adjustment, features: &[usize]) -> Self {
        /// So many places are tried; the best come first.
        const TRIED: usize = 8;
        let mut frame = self.clone();
        for k in 0..2 {
            let Origin::Default(list) = &self.origins[k] else { continue };
            let mut best: Option<(usize, &Anchor)> = None;
            for anchor in list.iter().take(TRIED) {
                let mut only = self.clone();
                only.origins[k] = Origin::Default(vec![anchor.clone()]);
                let tied = features
                    .iter()
                    .filter(|f| only.coordinate(job, bench, **f, k).is_some())
                    .count();
                if best.is_none_or(|(most, _)| tied > most) {
                    best = Some((tied, anchor));
                }
                if tied == features.len() {
                    break;
                }
            }
            if let Some((_, anchor)) = best {
                frame.origins[k] = Origin::Default(vec![anchor.clone()]);
            }
        }
        frame
    }

    /// Directions without an origin, for what lies between features whichever way the frame is turned:
    /// those of the bench or, square to a `plane` feature, those of its normal.
    #[must_use]
    pub fn square_to(plane: Option<usize>, bench: &Adjustment) -> Self {
        let origins = [Origin::None, Origin::None];
        let mut frame = Self { rotation: Rotation::default(), origins, lacks: Vec::new() };
        if let Some(up) = plane.and_then(|index| bench.facts().directions.plane(index)) {
            frame.square(bench, up);
        }
        frame
    }

    /// Whether coordinate `k` counts from this feature.
    fn counts_from(&self, feature: usize, k: usize) -> bool {
        let own = |(target, _): &(Target, _)| *target == Target::Feature(feature);
        self.anchors(k).iter().any(|(_, anchor)| anchor.place.targets.iter().any(own))
    }

    /// Takes sensitivities by places in this frame to the bench, those of the datum features with
    /// them; `None` where a place is not determined.
    #[must_use]
    pub fn to_bench(
        &self,
        job: &Job,
        bench: &Adjustment,
        of: &Sensitivities,
    ) -> Option<BenchSensitivities> {
        let mut forms = vec![(1.0, Form::default())];
        for (feature, weights) in &of.places {
            located::add(&mut forms, *weights, &self.coordinates(job, bench, *feature))?;
        }
        Some(BenchSensitivities { forms, sizes: of.sizes.clone(), touches: of.touches.clone() })
    }
}

/// A matrix column by column.
fn by_columns(m: &[[f64; 2]; 2], by: impl Fn([f64; 2]) -> [f64; 2]) -> [[f64; 2]; 2] {
    let [x, y] = [0, 1].map(|k| by([m[0][k], m[1][k]]));
    [[x[0], y[0]], [x[1], y[1]]]
}

/// Adds `times` the forms of a coordinate to a sum, end by end.
fn added(sum: &[(f64, Form)], times: f64, more: &[(f64, Form)]) -> Vec<(f64, Form)> {
    let n = sum.len().max(more.len());
    (0..n)
        .filter_map(|i| {
            let ((w, sum), (own, more)) =
                (sum.get(i).or(sum.first())?, more.get(i).or(more.first())?);
            let mut form = sum.clone();
            form.add(times, more);
            Some((w.min(*own), form))
        })
        .collect()
}
