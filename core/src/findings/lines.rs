//! The lines of the drawing between features, judged on one piece.

use super::measured::{Measured, SizeDoubt};
use super::{Fault, FeatureFinding, Place, Problem, Weight};
use crate::adjust::{Owed, Source, Touched};
use crate::bench::carries;
use crate::callout::K;
use crate::callout::line::{
    Found, Hangs, LineFinding, LineUnjudged, Seen, Way, bolt_circle, coaxiality, distance,
    flatness, judge_line, parallelism, perpendicularity, polar, prove_line, wall,
};
use crate::form::{Spot, Sweep};
use crate::frame::Frame;
use crate::job::{
    Along, Asks, Datum, Distance, Feature, Job, Kind, Line, LineLimits, Modifier, Orientation,
    Piece, Range, Zero,
};
use crate::quantity::{Axis, Figure, Length, Side};
use crate::show::feature_name;
use rustc_hash::FxHashMap;

/// Judges all lines of a piece. `doubts` are the uncertainties of the sizes, where known.
pub(super) fn judge_lines(
    job: &Job,
    piece: &Piece,
    measured: &mut Measured<'_>,
    features: &[FeatureFinding],
    doubts: &[Option<SizeDoubt>],
) -> Vec<LineFinding> {
    if job.drawing.lines.is_empty() {
        return Vec::new();
    }
    let numbers = job.drawing.by_number();
    let datums = measured.frame(None);
    let measured = &*measured;
    let numbers = &numbers;
    let within = |frame| Bench { job, piece, measured, features, doubts, frame, numbers };
    let (on_datums, by_itself) = (within(datums), within(Frame::BENCH));
    let one = |line: &Line| match on_datums.hangs_on_datums(&line.asks) {
        true => on_datums.line(&line.number, &line.asks),
        false => by_itself.line(&line.number, &line.asks),
    };
    job.drawing.lines.iter().map(one).collect()
}

/// Heights that were taken for a line that is not there, or asks for something else.
pub(super) fn stray_grids(job: &Job, index: usize, piece: &Piece) -> Option<Problem> {
    let asked = |number: &str| {
        let mut lines = job.drawing.lines.iter();
        lines.any(|l| l.number == number && matches!(l.asks, Asks::Flatness(_)))
    };
    let stray: Vec<&str> =
        piece.grids.iter().map(|g| g.line.as_str()).filter(|line| !asked(line)).collect();
    (!stray.is_empty()).then(|| Problem {
        weight: Weight::Warns,
        place: Place::Piece(index),
        says: format!(
            "Heights over a face are kept for lines of the drawing that ask for no flatness: {}. They \
             take no part in the results.",
            stray.join(", ")
        ),
    })
}

/// Everything a line is judged by.
struct Bench<'a, 'b> {
    job: &'a Job,
    piece: &'a Piece,
    measured: &'a Measured<'b>,
    features: &'a [FeatureFinding],
    doubts: &'a [Option<SizeDoubt>],
    /// That of the datums, or that of the bench where only what lies between features counts.
    frame: Frame,
    numbers: &'a FxHashMap<&'a str, usize>,
}

impl Bench<'_, '_> {
    /// Whether a line needs the frame of the datums: places from its origin and directions of its
    /// axes do; what lies between two features, or square to a plane one, does not.
    fn hangs_on_datums(&self, asks: &Asks) -> bool {
        let round = |number: &String| {
            self.feature(number).is_some_and(|(_, feature)| feature.kind.is_round())
        };
        match asks {
            Asks::Distance(Distance { from: None, .. })
            | Asks::BoltCircle(_)
            | Asks::PolarPosition(_) => true,
            Asks::Distance(Distance { from: Some(from), to, along, .. }) => {
                along.axis().is_some() && round(from) && round(to)
            }
            _ => false,
        }
    }

    fn line(&self, number: &str, asks: &Asks) -> LineFinding {
        let name = self.name(asks);
        let mut found = if let Asks::Coaxiality(c) = asks {
            let tolerance = c.tolerance.length(self.job.drawing.unit);
            match (self.seen(&c.of), self.seen(&c.to)) {
                (Ok(of), Ok(to)) => {
                    self.coaxial((number, name), (&of, &to), (tolerance, c.modifier))
                }
                (Err(why), _) | (_, Err(why)) => judge_line(number, name, Err(why)).0,
            }
        } else {
            let (mut found, hangs) = judge_line(number, name, self.found(number, asks));
            let standard = self.standard(&hangs);
            let k = self.coverage(&hangs, standard);
            prove_line(&mut found, standard, k, self.job.plan.decision_rule);
            found
        };
        let of = |number: &str| self.numbers.get(number).and_then(|i| self.features.get(*i));
        found.in_question =
            asks.features().into_iter().any(|n| of(n).is_some_and(|f| f.in_question));
        found
    }

    /// `hole 3, face B`.
    fn name(&self, asks: &Asks) -> String {
        let one = |number: &str| match self.feature(number) {
            Some((_, feature)) => feature_name(feature),
            None if matches!(asks, Asks::Flatness(_)) => number.to_owned(),
            None => format!("feature {number}"),
        };
        let list = asks.features();
        match (asks, list.as_slice()) {
            (Asks::BoltCircle(_), [first, .., last]) if list.len() > 3 => {
                format!("{} features, {} to {}", list.len(), one(first), one(last))
            }
            _ => list.into_iter().map(one).collect::<Vec<_>>().join(", "),
        }
    }

    fn found(&self, number: &str, asks: &Asks) -> Result<Found, LineUnjudged> {
        let unit = self.job.drawing.unit;
        match asks {
            Asks::Distance(d) => {
                let allowed = self.range(d.limits)?;
                let from = d.from.as_deref().map(|n| self.seen(n)).transpose()?;
                let to = self.seen(&d.to)?;
                self.framed(d.along, from.is_none())?;
                distance(from.as_ref(), &to, d.along, allowed)
            }
            Asks::Wall(w) => {
                let [a, b] = &w.between;
                let (a, b) = (self.seen(a)?, self.seen(b)?);
                wall(&a, &b, self.range(w.limits)?)
            }
            // Judged where the others are, by its own function.
            Asks::Coaxiality(_) => Err(LineUnjudged::Figures),
            Asks::BoltCircle(c) => {
                let holes: Vec<Seen> =
                    c.of.iter().map(|n| self.seen(n)).collect::<Result<_, _>>()?;
                bolt_circle(&holes, self.range(c.diameter)?)
            }
            Asks::PolarPosition(p) => {
                let of = self.seen(&p.of)?;
                let centre = p.centre.as_deref().map(|n| self.seen(n)).transpose()?;
                self.framed(Along::Straight, true)?;
                let (radial, around) = (p.radial.length(unit), p.around.length(unit));
                polar(&of, centre.as_ref(), radial, around)
            }
            Asks::Perpendicularity(p) => {
                let (of, to) = (self.seen(&p.of)?, self.seen(&p.to)?);
                let length = of.looks.and_then(|side| self.length_of(side));
                let leans = self.leans(&p.of, &p.to);
                perpendicularity(&of, &to, leans, length, p.tolerance.length(unit))
            }
            Asks::Parallelism(p) => {
                let of = self.seen(&p.of)?;
                let to = p.to.as_deref().map(|n| self.seen(n)).transpose()?;
                let swept = self.sweeps(&p.of, p.to.as_deref());
                parallelism(&of, to.as_ref(), &swept, p.tolerance.length(unit))
            }
            Asks::Flatness(f) => {
                let name = self.name(asks);
                let grid = self.piece.grid(number).map(|grid| {
                    let instrument = self.job.plan.instruments.get(grid.instrument);
                    let unit = instrument.map_or(unit, |i| i.unit);
                    let spots = grid.points.iter().map(|point| {
                        let [x, y, height] = point.map(|f| f.length(unit).to_mm());
                        Spot { x, y, height }
                    });
                    (spots.collect::<Vec<_>>(), grid.instrument)
                });
                let grid = grid.as_ref().map(|(spots, i)| (spots.as_slice(), *i));
                flatness(&name, grid, f.tolerance.length(unit))
            }
        }
    }

    fn coaxial(
        &self,
        (number, name): (&str, String),
        (of, to): (&Seen, &Seen),
        (tolerance, modifier): (Length, Modifier),
    ) -> LineFinding {
        let one = |e: [f64; 2]| self.variance(&[(of.index, e), (to.index, e.map(|e| -e))]);
        let covariance =
            one([1.0, 0.0]).zip(one([0.0, 1.0])).zip(one([1.0, 1.0])).map(|((xx, yy), both)| {
                let xy = 0.5 * (both - xx - yy);
                [[xx, xy], [xy, yy]]
            });
        let Some(feature) = self.features.get(of.index) else {
            return judge_line(number, name, Err(LineUnjudged::Figures)).0;
        };
        let standard = self.doubts.get(of.index).copied().flatten().map(|d| d.standard);
        let rule = self.job.plan.decision_rule;
        let vector = of.axis().ok().zip(to.axis().ok()).map(|(a, b)| [a[0] - b[0], a[1] - b[1]]);
        let by_size = (modifier != Modifier::None).then_some((of.index, 1.0));
        let k = vector.map_or(K, |vector| {
            let places = Way::Apart { from: Some(to.index), to: of.index, vector, times: 2.0 };
            let sizes = by_size.into_iter().collect();
            let hangs = Hangs { places, sizes, touches: Some(Vec::new()) };
            self.coverage(&hangs, self.standard(&hangs))
        });
        let size = (&feature.size, standard);
        let decided_by = (covariance, k, rule);
        coaxiality((number, name), (of, to), (tolerance, modifier), size, decided_by)
    }

    fn feature(&self, number: &str) -> Option<(usize, &Feature)> {
        let index = *self.numbers.get(number)?;
        Some((index, self.job.drawing.features.get(index)?))
    }

    fn range(&self, limits: LineLimits) -> Result<Range, LineUnjudged> {
        limits.range(self.job.drawing.unit).ok_or(LineUnjudged::Limits)
    }

    /// What was seen of a feature.
    fn seen(&self, number: &str) -> Result<Seen, LineUnjudged> {
        let unknown = || LineUnjudged::UnknownFeature(number.to_owned());
        let (index, feature) = self.feature(number).ok_or_else(unknown)?;
        let found = self.features.get(index).ok_or_else(unknown)?;
        // Limits that make no sense are no matter here: what was measured counts.
        if found.fault.is_some_and(|fault| fault != Fault::Limits) {
            return Err(LineUnjudged::AtFault(feature_name(feature)));
        }
        let unit = self.job.drawing.unit;
        let (at, read) = self.measured.counted(index, &self.frame);
        let sizes = found.size.seen.iter().map(|s| s.size.to_mm());
        let sizes = sizes.fold(None, |range: Option<[f64; 2]>, size| {
            Some(range.map_or([size; 2], |[least, most]| [least.min(size), most.max(size)]))
        });
        let mut seen = Seen {
            index,
            name: feature_name(feature),
            kind: feature.kind,
            plane: feature.plane_axis(),
            looks: feature.looks,
            at: at.map(|at| at.map(Length::to_mm)),
            read,
            basic: [Axis::X, Axis::Y].map(|axis| feature.basic(axis, unit).map(Length::to_mm)),
            sizes,
        };
        self.carrying(feature, &mut seen);
        Ok(seen)
    }

    /// A face that carries the part and was not touched is where the drawing has it: what was read
    /// from the plate counts from there.
    fn carrying(&self, feature: &Feature, seen: &mut Seen) {
        let (Kind::Face, Some(side)) = (feature.kind, feature.looks) else { return };
        let i = usize::from(side.axis() == Axis::Y);
        let Some(basic) = seen.basic[i].filter(|_| seen.at[i].is_none()) else { return };
        let carried = |o: &Orientation| {
            o.zero == Zero::Plate
                && o.rest.blocks.height().is_some()
                && carries(self.job, o, feature)
        };
        let is_datum = |number: &str| {
            self.job.drawing.datums.iter().flat_map(Datum::carriers).any(|n| n == number)
        };
        // Where another orientation stands on a datum, an edge that is none is not taken as true.
        let elsewhere = |o: &Orientation| {
            o.up().square_axis() == Some(side.axis())
                && self
                    .carrier(o)
                    .is_some_and(|f| f.number != feature.number && is_datum(&f.number))
        };
        let orientations = || self.job.plan.orientations.iter();
        if self.measured.stands_on(seen.index)
            && orientations().any(carried)
            && (is_datum(&feature.number) || !orientations().any(elsewhere))
        {
            let mut place = [None; 2];
            place[i] = Some(Length::mm(basic));
            seen.at[i] = self.measured.placed(place, &self.frame, seen.index)[i].map(Length::to_mm);
        }
    }

    /// The face that carries the part in an orientation.
    fn carrier(&self, o: &Orientation) -> Option<&Feature> {
        self.job.drawing.features.iter().find(|f| carries(self.job, o, f))
    }

    /// Whether the frame is there that a line needs: one along an axis, or from the origin.
    fn framed(&self, along: Along, origin: bool) -> Result<(), LineUnjudged> {
        let needs = match along.axis() {
            Some(axis) => [axis == Axis::X, axis == Axis::Y],
            None if origin => [true; 2],
            None => return Ok(()),
        };
        // Between two features along an axis only the rotation of the frame counts.
        let lacks = if origin { self.frame.lacks(needs) } else { self.frame.lacks_turn() };
        lacks.map_or(Ok(()), |why| Err(LineUnjudged::Frame(why.clone())))
    }

    /// The length of the edge that looks to a side.
    fn length_of(&self, side: Side) -> Option<Length> {
        let outline = self.job.drawing.outline?;
        let length = match side.axis() {
            Axis::X => outline.height(),
            Axis::Y => outline.width(),
        };
        Some(length.length(self.job.drawing.unit))
    }

    /// How far `of` leans against `to`, and over which length: one of the two carries the part in
    /// the first orientation, and the other in one whose squareness is known.
    fn leans(&self, of: &str, to: &str) -> Option<(Length, Length)> {
        let unit = self.job.drawing.unit;
        let first = self.carrier(self.job.plan.orientations.first()?)?;
        let known = self.piece.squareness.iter().find_map(|s| {
            let edge = self.carrier(self.job.orientation(s.orientation)?)?;
            let pair = (edge.number.as_str(), first.number.as_str());
            (pair == (of, to) || pair == (to, of)).then_some(*s)
        })?;
        Some((known.farther_out.length(unit), known.over.length(unit)))
    }

    /// Sweeps over a face while the part lay on `to`, or on whatever it lay: number of the
    /// orientation, lowest and highest reading, and the instrument. Only those count in which the
    /// face looks up or down.
    fn sweeps(&self, of: &str, to: Option<&str>) -> Vec<(u32, Sweep, usize)> {
        let across = |o: &Orientation| {
            let axis = self.feature(of).and_then(|(_, f)| f.plane_axis());
            axis.is_some() && o.up().square_axis() == axis
        };
        let lay = |o: &Orientation| {
            to.is_none_or(|to| self.feature(to).is_some_and(|(_, f)| carries(self.job, o, f)))
        };
        let swept = self.piece.sweeps.iter().filter(|s| s.feature == of);
        swept
            .filter_map(|s| Some((s, self.job.orientation(s.orientation)?)))
            .filter(|(_, o)| across(o) && lay(o))
            .map(|(s, o)| {
                let unit = self.job.reading_unit(o);
                let mm = |figure: Figure| figure.length(unit).to_mm();
                (o.number, Sweep { lowest: mm(s.lowest), highest: mm(s.highest) }, o.instrument)
            })
            .collect()
    }

    /// Standard uncertainty of a figure; `None` where that of anything it hangs on is not known.
    fn standard(&self, hangs: &Hangs) -> Option<Length> {
        let touches = hangs.touches.as_ref()?;
        let mut variance = 0.0;
        for (instrument, squares) in touches {
            let u = self.measured.touch(*instrument)?.to_mm();
            variance += squares * u * u;
        }
        if hangs.sizes.is_empty() && hangs.places == Way::default() {
            return Some(Length::mm(variance.sqrt()));
        }
        let places = self.derivatives(&hangs.places)?;
        variance += self.variance(&places)?;
        // The probe constant is in all sizes of one instrument alike, and in the places too.
        let mut probes: Vec<(usize, f64)> = Vec::new();
        for (feature, derivative) in &hangs.sizes {
            let doubt = self.doubts.get(*feature).copied().flatten()?;
            let instrument = doubt.touched.instrument;
            let (u, k) = (doubt.standard.to_mm(), self.measured.probe(instrument).to_mm());
            variance += derivative * derivative * (u * u - k * k).max(0.0);
            let inner = self.features.get(*feature)?.kind.is_internal();
            // By the error of the constant, stated less true: an inner size is true plus that.
            let by_error = if inner { -derivative } else { *derivative };
            match probes.iter_mut().find(|(i, _)| *i == instrument) {
                Some((_, sum)) => *sum += by_error,
                None => probes.push((instrument, by_error)),
            }
        }
        for (instrument, by_error) in probes {
            let k = self.measured.probe(instrument).to_mm();
            let with = self.measured.with_probe(&self.on_bench(&places)?, instrument)?;
            variance += by_error * by_error * k * k + 2.0 * by_error * with;
        }
        Some(Length::mm(variance.max(0.0).sqrt()))
    }

    /// The coverage factor of a figure with this standard uncertainty.
    fn coverage(&self, hangs: &Hangs, standard: Option<Length>) -> f64 {
        let owed = standard.filter(|_| self.measured.looks_into_coverage()).and_then(|u| {
            let mut owed = match hangs.places == Way::default() {
                true => Vec::new(),
                false => {
                    let places = self.derivatives(&hangs.places)?;
                    self.measured.owed_on_bench(&self.on_bench(&places)?)?
                }
            };
            let sizes = hangs.sizes.iter().map(|(feature, derivative)| {
                let doubt = self.doubts.get(*feature).copied().flatten()?;
                Some((doubt.touched, derivative * derivative))
            });
            let touches = hangs.touches.iter().flatten();
            let touches = touches.map(|(i, squares)| Some((Touched::single(*i, 1), *squares)));
            for one in sizes.chain(touches) {
                let (touched, scale) = one?;
                let source = |part| Source::Touch(part, touched.instrument);
                Owed::touches(self.measured.doubts(), touched, scale, source)
                    .for_each(|o| o.add(&mut owed));
            }
            // The probe constant, as far as it is not in there yet, is taken for exactly known.
            let sum: f64 = owed.iter().map(|o| o.variance).sum();
            let rest = u.to_mm() * u.to_mm() - sum;
            Owed { source: Source::Size, repeats: None, variance: rest }.add(&mut owed);
            Some(owed)
        });
        self.measured.covering(owed.as_deref())
    }

    fn derivatives(&self, way: &Way) -> Option<Vec<(usize, [f64; 2])>> {
        let known = std::cell::Cell::new(true);
        let list = way.derivatives(|three| {
            [0, 1, 2].map(|i| {
                let Way::Given(list) = &three[i] else { return 0.0 };
                let variance = self.variance(list);
                known.set(known.get() && variance.is_some());
                variance.unwrap_or(0.0)
            })
        });
        known.get().then_some(list)
    }

    /// Variance of a sum of places in the frame, with what the frame itself brings.
    fn variance(&self, g: &[(usize, [f64; 2])]) -> Option<f64> {
        self.measured.variance(&self.on_bench(g)?)
    }

    /// Derivatives by places in the frame, as derivatives by places on the bench.
    fn on_bench(&self, g: &[(usize, [f64; 2])]) -> Option<Vec<(usize, [f64; 2])>> {
        self.measured.on_bench(&self.frame, g)
    }
}
