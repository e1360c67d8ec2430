//! A frame is built datum by datum.

use super::clock::{Clock, clock, fitted};
use super::contact::{Edge, at, touching};
use super::roles::{AXES, Carrier, Role, Turn, roles};
use super::spot::{Members, Spot};
use super::{Anchor, AxisOf, Frame, Lack, Origin, Place, Rotation, defaults};
use crate::adjust::{Adjustment, Form};
use crate::bench::{Target, UpDirection};
use crate::callout::Unjudged;
use crate::job::{DatumRef, Feature, Job, Kind, PatternKind};
use crate::pattern::DatumConstraints;
use crate::quantity::vector::{minus, quarter_turned};
use crate::quantity::{Axis, Length, Side};

impl Frame {
    /// The frame of these datums, as far as the facts give it.
    #[must_use]
    pub fn of(job: &Job, datums: &[DatumRef], bench: &Adjustment) -> Self {
        let letters: Vec<String> = datums.iter().map(|d| d.letter.clone()).collect();
        let free = DatumConstraints::of(job, datums).map_or([false; 2], |c| c.along.map(|s| !s));
        let mut frame = Self::undefined(job, bench, free);
        let roles = roles(job, &letters);
        let clocks = |r: &Role<'_>| matches!(r.turn, Turn::Clocks | Turn::Fits);
        let clocks = roles.iter().any(|r| r.as_ref().is_ok_and(clocks));
        let mut square: Option<UpDirection> = None;
        for role in roles {
            match role {
                Ok(role) => frame.take(job, &role, bench, &mut square),
                Err(why) => frame.lacks.push(Lack { why, along: [true; 2] }),
            }
        }
        // In a frame that is clocked each coordinate depends on both.
        if clocks {
            frame.lacks.iter_mut().for_each(|l| l.along = [true; 2]);
        }
        frame
    }

    /// The frame of all datums of the drawing.
    #[must_use]
    pub fn of_drawing(job: &Job, bench: &Adjustment) -> Self {
        let letters = job.drawing.datums.iter().map(|d| DatumRef::plain(d.letter.clone()));
        Self::of(job, &letters.collect::<Vec<_>>(), bench)
    }

    /// A frame without datums: it counts from what the orientations count from.
    #[must_use]
    pub fn undefined(job: &Job, bench: &Adjustment, free: [bool; 2]) -> Self {
        let origins = [0, 1].map(|k| Origin::Default(defaults::anchors(job, bench, k, free[k])));
        Self { rotation: Rotation::default(), origins, lacks: Vec::new() }
    }

    fn lack(&mut self, why: Unjudged, along: [bool; 2]) {
        self.lacks.push(Lack { why, along });
    }

    /// Lets one datum take what its role gives it. `square` is the direction that stopped the rotation.
    fn take(
        &mut self,
        job: &Job,
        role: &Role<'_>,
        bench: &Adjustment,
        square: &mut Option<UpDirection>,
    ) {
        let missing = || Unjudged::DatumNotMeasured(role.letter.to_owned());
        let shapeless = || Unjudged::DatumShapeless(role.letter.to_owned());
        // Without the rotation that a datum stops, its axes are those of the orientations.
        let whole = match role.turn {
            Turn::Leaves | Turn::Square if role.takes != [false; 2] => role.takes,
            Turn::Leaves => role.takes,
            Turn::Square | Turn::Clocks | Turn::Fits => [true; 2],
        };
        let feature = match role.on {
            Carrier::Feature(i) => job.drawing.features.get(i).map(|f| (i, f)),
            Carrier::Pattern(..) => None,
        };
        if role.turn == Turn::Square
            && let Some((index, _)) = feature
        {
            match bench.facts().directions.plane(index) {
                Some(up) => {
                    self.square(bench, up);
                    *square = Some(up);
                }
                None => self.lack(missing(), whole),
            }
        }
        let members = match role.on.members(job, role.letter, bench) {
            Ok(members) => members,
            Err(why) => return self.lack(why, whole),
        };
        let spot = match (&role.on, &members) {
            (Carrier::Feature(i), _) => Spot::of_feature(job, *i, bench).ok_or_else(missing),
            (Carrier::Pattern(kind, _), Some(members)) => {
                Spot::of_pattern(*kind, members).ok_or_else(shapeless)
            }
            (Carrier::Pattern(..), None) => Err(shapeless()),
        };
        let spot = match spot {
            Ok(spot) => spot,
            Err(why) => return self.lack(why, whole),
        };
        for (k, axis) in AXES.into_iter().enumerate().filter(|(k, _)| role.takes[*k]) {
            let along = [k == 0, k == 1];
            if !spot.observed[k] {
                self.lack(missing(), along);
                continue;
            }
            let Some(basic) = spot.basic[k] else {
                let why = Unjudged::DatumNominalMissing(role.letter.to_owned(), axis);
                self.lack(why, along);
                continue;
            };
            let anchor = Anchor { place: spot.place.clone(), basic };
            let face = feature.filter(|(_, f)| f.kind == Kind::Face && role.turn == Turn::Leaves);
            let ends = match face {
                Some((index, face)) => self.contact(job, bench, k, (index, face), &anchor, *square),
                None => Ok(vec![(1.0, anchor)]),
            };
            match ends {
                Ok(ends) => self.origins[k] = Origin::Datum(ends),
                Err(()) => self.lack(Unjudged::EdgeEndsMissing(role.letter.to_owned()), along),
            }
        }
        let found = match (role.turn, &members) {
            (Turn::Leaves | Turn::Square, _) => Ok(()),
            // Without the whole origin there is nothing to turn about, and that is said already.
            (Turn::Clocks | Turn::Fits, _) if !self.lacks.is_empty() => Ok(()),
            (Turn::Clocks | Turn::Fits, Some(members)) if is_fit(&role.on) => {
                self.fit(members, bench).ok_or_else(shapeless)
            }
            (Turn::Clocks | Turn::Fits, _) => {
                self.clock(role, &spot, feature.and_then(|(_, f)| f.plane_axis()), bench)
            }
        };
        if let Err(why) = found {
            self.lack(why, [true; 2]);
        }
    }

    /// Turns the frame so that an axis is along this direction.
    pub(super) fn square(&mut self, bench: &Adjustment, up: UpDirection) {
        let error = up.error.map_or(0.0, |e| bench.angle(e));
        let angles = up.error.map(|e| (e, -1.0)).into_iter().collect();
        self.rotation = Rotation {
            angle: -(up.lean + error),
            by: Form { angles, ..Form::default() },
            clocked: false,
        };
    }

    /// Where the frame touches a face that does not stop its rotation, along axis `k`. `Err` where the
    /// face is known to be out of square and the drawing does not say where it ends.
    fn contact(
        &self,
        job: &Job,
        bench: &Adjustment,
        k: usize,
        (index, face): (usize, &Feature),
        anchor: &Anchor,
        square: Option<UpDirection>,
    ) -> Result<Vec<(f64, Anchor)>, ()> {
        let plain = || Ok(vec![(1.0, anchor.clone())]);
        let plane = bench.facts().directions.plane(index);
        let (Some(side), Some(up)) = (face.looks, plane) else { return plain() };
        let error = up.error.map_or(0.0, |e| bench.angle(e));
        let turned_by = up.lean + error + self.rotation.angle;
        let between = bench.angle_between(up.error, square.and_then(|s| s.error));
        let standard = between.unwrap_or(0.0);
        let exact = turned_by == 0.0 && standard == 0.0;
        if exact && self.rotation == Rotation::default() {
            return plain();
        }
        let other = 1 - k;
        let near = Adjustment::near(job, Target::Feature(index))[other];
        let anchors = self.anchors(other);
        // Without anything to count from along the edge, the bench is taken for the drawing.
        let here = Anchor { place: Place { at: anchor.place.at, ..Place::default() }, basic: near };
        let origin = anchors.first().map_or(&here, |(_, origin)| *origin);
        let axis = AxisOf { row: self.row(other), origin };
        let normal = up.angle + error;
        let along = [-libm::sin(normal), libm::cos(normal)];
        let edge = Edge { anchor, along, looks: side.sign(), error: up.error };
        if exact {
            return Ok(vec![(1.0, at(edge, near, axis))]);
        }
        // Not known to be out of square.
        let rough = turned_by.abs() <= 2.0 * standard;
        let Some(ends) = ends(job, AXES[other], rough) else { return Err(()) };
        Ok(touching(edge, ends, axis, self.row(k), standard))
    }

    /// Turns the frame until the spot lies where the drawing has it: that of a slot or tab across
    /// `across` alone, of all else across the line from the origin.
    fn clock(
        &mut self,
        role: &Role<'_>,
        spot: &Spot,
        across: Option<Axis>,
        bench: &Adjustment,
    ) -> Result<(), Unjudged> {
        let near = || Unjudged::DatumTooNear(role.letter.to_owned());
        let missing = || Unjudged::DatumNotMeasured(role.letter.to_owned());
        // Along a slot too, since where it is turned about the origin the way to it counts.
        let bare = |axis| Unjudged::DatumNominalMissing(role.letter.to_owned(), axis);
        let basic = |k: usize, axis| spot.basic[k].ok_or_else(|| bare(axis));
        let Some([from, from_basic]) = self.origin() else { return Err(missing()) };
        let arm = minus([basic(0, Axis::X)?, basic(1, Axis::Y)?], from_basic);
        let length = libm::hypot(arm[0], arm[1]);
        let seen =
            |k: usize| Some(spot.place.at[k]).filter(|_| spot.observed[k]).ok_or_else(missing);
        let whole = |at: [f64; 2], across| clock(minus(at, from), arm, across);
        // Of a slot only the coordinate across it was seen; along it, it is where that brings it to
        // the basic one in the turned frame, as for any other feature seen along one axis.
        let half = |k: usize, across: [f64; 2]| -> Result<Option<Clock>, Unjudged> {
            let mut at = [from[0] + arm[0], from[1] + arm[1]];
            at[k] = seen(k)?;
            let off = at[k] - from[k];
            let mut found = whole(at, across);
            for _ in 0..4 {
                let Some(Clock { turn, .. }) = found else { return Ok(None) };
                let (c, s) = (libm::cos(turn), libm::sin(turn));
                let sign = if k == 1 { s } else { -s };
                at[1 - k] = from[1 - k] + (arm[1 - k] + sign * off) / c;
                found = whole(at, across);
            }
            Ok(found)
        };
        let found = match across {
            Some(Axis::X) => half(0, [1.0, 0.0])?,
            Some(Axis::Y) => half(1, [0.0, 1.0])?,
            None if length > 0.0 => {
                whole([seen(0)?, seen(1)?], quarter_turned([arm[0] / length, arm[1] / length]))
            }
            None => return Err(near()),
        };
        let Clock { turn, rate } = found.ok_or_else(near)?;
        // Along what was not looked at, the feature moves with the origin.
        let rate = [0, 1].map(|k| if spot.observed[k] { rate[k] } else { 0.0 });
        let mut by = spot.place.along(rate);
        by.add(-1.0, &self.origin_along(rate));
        if !bench.determines(&by) {
            return Err(missing());
        }
        self.rotation = Rotation { angle: turn, by, clocked: true };
        Ok(())
    }

    /// Turns the frame until the features of a pattern lie as near as can be to where the drawing has
    /// them; `None` where they do not stop it.
    fn fit(&mut self, members: &Members, bench: &Adjustment) -> Option<()> {
        let [at, basic] = self.origin()?;
        let from = |points: &[[f64; 2]], origin: [f64; 2]| -> Vec<[f64; 2]> {
            points.iter().map(|p| minus(*p, origin)).collect()
        };
        let (measured, arms) = (from(&members.at, at), from(&members.basic, basic));
        let found = fitted(&measured, &arms)?;
        let mut by = Form::default();
        for (feature, rate) in members.features.iter().zip(&found.rates) {
            by.add(1.0, &Form::along(Target::Feature(*feature), *rate));
            by.add(-1.0, &self.origin_along(*rate));
        }
        if !bench.determines(&by) {
            return None;
        }
        self.rotation = Rotation { angle: found.turn, by, clocked: true };
        Some(())
    }

    /// Where the origin is on the bench and by the drawing.
    fn origin(&self) -> Option<[[f64; 2]; 2]> {
        let [x, y] = [self.anchors(0), self.anchors(1)];
        let (x, y) = (x.first()?.1, y.first()?.1);
        Some([[x.place.at[0], y.place.at[1]], [x.basic, y.basic]])
    }

    /// How the origin moves along a vector.
    fn origin_along(&self, e: [f64; 2]) -> Form {
        let mut sum = Form::default();
        for (k, own) in [[e[0], 0.0], [0.0, e[1]]].into_iter().enumerate() {
            if let Some((_, anchor)) = self.anchors(k).first() {
                sum.add(1.0, &anchor.place.along(own));
            }
        }
        sum
    }
}

fn is_fit(on: &Carrier) -> bool {
    matches!(on, Carrier::Pattern(PatternKind::BestFit, _))
}

/// The two ends of an edge along an axis, as the drawing has them: those of the outline or, where only
/// an uncertainty depends on them, the outermost features.
fn ends(job: &Job, axis: Axis, rough: bool) -> Option<[f64; 2]> {
    let unit = job.drawing.unit;
    let (low, high) = match axis {
        Axis::X => (Side::MinusX, Side::PlusX),
        Axis::Y => (Side::MinusY, Side::PlusY),
    };
    if let Some(outline) = &job.drawing.outline {
        return Some([low, high].map(|side| outline.edge(side).length(unit).to_mm()));
    }
    let all = job.drawing.features.iter().filter_map(|f| f.basic(axis, unit)).map(Length::to_mm);
    let range = all.fold(None, |range: Option<[f64; 2]>, at| {
        Some(range.map_or([at; 2], |[low, high]| [low.min(at), high.max(at)]))
    });
    range.filter(|_| rough)
}
