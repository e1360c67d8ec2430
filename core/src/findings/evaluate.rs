//! From a job to its findings.

use super::along::Along;
use super::ask::Ask;
use super::budget::{Budget, budget};
use super::frame::untied;
use super::measured::{Measured, SizeDoubt};
use super::patterned::judge_patterns;
use super::patterns::{Glance, patterns};
use super::relations::{judge_relations, stray_heights};
use super::remarks;
use super::{
    Coordinate, Fault, FeatureFinding, Findings, PatternFinding, PieceFinding, Place, Problem,
    Tally, Weight,
};
use crate::adjust::{Coordinates, Owed};
use crate::bench::{
    Expectation, Heights, Question, Setup, expected, expected_from, question, reduce,
    stands_otherwise, touches,
};
use crate::callout::{
    Bonus, K, PositionFinding, RelationFinding, Salvage, SizeFinding, SizeSeen, Unjudged, Verdict,
    Zone, decisive, judge_position, judge_size, prove_position, prove_size, salvage,
};
use crate::frame::Frame;
use crate::grade::Surface;
use crate::job::{
    Datum, DatumPattern, DecisionRule, Feature, Job, Kind, Limits, Modifier, Orientation, Piece,
    Reading, SizeLimits, Touch,
};
use crate::pattern::Held;
use crate::quantity::{Axis, Length, Point, Unit};
use rustc_hash::FxHashMap;

/// Evaluates a job: pure, and the same natively and in the browser.
#[must_use]
pub fn evaluate(job: &Job) -> Findings {
    let ready = Ready::of(job);
    let pieces = (0..job.pieces.len()).filter_map(|i| ready.piece(i)).collect();
    Findings { problems: ready.problems, pieces }
}

/// What follows from the drawing and the plan alone, ready for any number of pieces.
#[derive(Clone, Debug)]
pub struct Ready<'a> {
    job: &'a Job,
    /// What is wrong or doubtful in the drawing and the plan.
    pub problems: Vec<Problem>,
    /// One for each orientation, in the order of the plan.
    pub orientations: Vec<Planned>,
    features: Vec<Demand<'a>>,
}

/// An orientation of the plan with its expected heights.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Number of the orientation.
    pub number: u32,
    /// Resolved, unless something is wrong with it.
    pub setup: Option<Setup>,
    /// Every touch, in the order of the drawing, with its expected height.
    pub expected: Vec<Expectation>,
    /// Where a feature's touches start in `expected`, by the feature's index.
    at: FxHashMap<(usize, Touch), usize>,
}

/// What the drawing asks of one feature.
#[derive(Clone, Debug)]
struct Demand<'a> {
    feature: &'a Feature,
    limits: Option<Limits>,
    asks: Vec<Ask<'a>>,
    needs: [bool; 2],
    fault: Option<Fault>,
}

impl<'a> Ready<'a> {
    /// Prepares drawing and plan.
    #[must_use]
    pub fn of(job: &'a Job) -> Self {
        let along = Along::of(job);
        let mut problems = drawing_problems(job, &along);
        problems.extend(pattern_problems(job));
        let mut orientations = Vec::with_capacity(job.plan.orientations.len());
        for orientation in &job.plan.orientations {
            let setup = match Setup::of(job, orientation) {
                Ok(setup) => Some(setup),
                Err(problem) => {
                    problems.push(Problem {
                        weight: Weight::Stops,
                        place: Place::Orientation(orientation.number),
                        says: format!("Orientation {} {problem}", orientation.number),
                    });
                    None
                }
            };
            let expected = expected(job, orientation, setup.as_ref());
            let at = expected.iter().enumerate().map(|(i, e)| ((e.feature, e.touch), i)).collect();
            orientations.push(Planned { number: orientation.number, setup, expected, at });
        }
        problems.extend(untied(job));
        problems.extend(remarks::coarse(job));
        problems.extend(super::probes::probes(job));
        problems.extend(single_direction(job));
        let mut features: Vec<Demand<'_>> =
            job.drawing.features.iter().map(|f| Demand::of(job, f, along.unplaced(f))).collect();
        let mut count: FxHashMap<&str, usize> = FxHashMap::default();
        for f in &job.drawing.features {
            *count.entry(f.number.as_str()).or_default() += 1;
        }
        for demand in &mut features {
            let number = demand.feature.number.as_str();
            if number.is_empty() || count.get(number).is_some_and(|n| *n > 1) {
                demand.fault = Some(Fault::Number);
            }
        }
        Self { job, problems, orientations, features }
    }

    /// Evaluates the piece with this index.
    #[must_use]
    pub fn piece(&self, index: usize) -> Option<PieceFinding> {
        let piece = self.job.pieces.get(index)?;
        let Taken { mut problems, questions, centres, glances, mut measured, seen } =
            self.take(piece);
        measured.adjust(&mut problems);
        let suspected = measured.suspected();
        let mut features = Vec::with_capacity(self.features.len());
        let mut doubts: Vec<Option<SizeDoubt>> = Vec::with_capacity(self.features.len());
        for (f, (demand, sizes)) in self.features.iter().zip(seen).enumerate() {
            let in_question = sizes.in_question || suspected.contains(&f);
            doubts.push(sizes.doubt());
            features.push(self.finding(f, demand, sizes, in_question, &mut measured));
        }
        let asks: Vec<&[Ask<'_>]> = self.features.iter().map(|d| d.asks.as_slice()).collect();
        let together = judge_patterns(self.job, &asks, &mut measured, &doubts, &mut features);
        for (demand, found) in self.features.iter().zip(&mut features) {
            demand.settle(found, self.job.plan.decision_rule);
        }
        hopeless(&together, &mut features);
        for (orientation, centres) in self.job.plan.orientations.iter().zip(&centres) {
            problems.extend(standing(orientation, centres));
        }
        problems.extend(patterns(self.job, index, &glances, &questions));
        problems.extend(self.strays(index, piece));
        problems.extend(stray_heights(self.job, index, piece));
        let relations = judge_relations(self.job, piece, &mut measured, &features, &doubts);
        let measurement = measured.finish();
        problems.extend(remarks::misfits(self.job, &measurement));
        problems.extend(remarks::drift(self.job, piece));
        let (tally, verdict) = tally(&features, &relations);
        Some(PieceFinding {
            serial: piece.serial.clone(),
            features,
            patterns: together,
            relations,
            questions,
            problems,
            tally,
            verdict,
            measurement,
        })
    }

    /// What is found of one feature of a piece by itself; its
    /// pattern and its verdict are still to come.
    fn finding(
        &self,
        f: usize,
        demand: &Demand<'_>,
        sizes: Sizes,
        in_question: bool,
        measured: &mut Measured<'_>,
    ) -> FeatureFinding {
        let unit = self.job.drawing.unit;
        let rule = self.job.plan.decision_rule;
        let first = demand.asks.first();
        let letters = demand.letters();
        let doubt = sizes.doubt();
        let standard = doubt.map(|d| d.standard);
        let frame = measured.frame(letters);
        let at = measured.at(f, &frame);
        let unframed = first.and_then(|ask| demand.unframed(ask, &frame, at));
        // The size is decided first: what it does not lose by the rule counts as bonus.
        let mut size = demand.size(sizes.seen);
        let k = measured.coverage(|m| doubt.map(|d| m.owed_by_size(d.touched)));
        prove_size(&mut size, standard, k, rule);
        let mut found = demand.judge(unit, at, size, in_question, unframed);
        for ask in demand.asks.iter().skip(1) {
            let frame = measured.frame(Some(&ask.letters));
            let at = measured.at(f, &frame);
            let unframed = demand.unframed(ask, &frame, at);
            found.further.push(demand.position(ask, unit, at, &found.size, unframed));
        }
        found.covariance = measured.covariance(f, letters);
        let k = match found.position {
            Some(_) => {
                measured.coverage(|m| owed(f, demand, &found, doubt, m, Measured::owed_to_repeats))
            }
            None => K,
        };
        if let Some(position) = &mut found.position {
            let size = standard.map(|u| (&found.size, u));
            prove_position(position, position.deviation, found.covariance, size, k, rule);
        }
        for (ask, position) in demand.asks.iter().skip(1).zip(&mut found.further) {
            let covariance = measured.covariance(f, Some(&ask.letters));
            let size = standard.map(|u| (&found.size, u));
            prove_position(position, position.deviation, covariance, size, k, rule);
        }
        found
    }

    /// Takes in the readings of a piece.
    fn take<'b>(&'b self, piece: &'b Piece) -> Taken<'b> {
        let by_place: FxHashMap<(u32, &str), &Reading> =
            piece.readings.iter().map(|r| ((r.orientation, r.feature.as_str()), r)).collect();
        let mut problems = Vec::new();
        let mut questions = Vec::new();
        let expectations: Vec<Heights<'_>> =
            self.orientations.iter().map(|o| Heights::new(&o.expected)).collect();
        let mut centres: Vec<Vec<(Point, Length)>> = vec![Vec::new(); self.orientations.len()];
        let mut glances: Vec<Glance> = Vec::new();
        let mut measured = Measured::of(self.job, piece, &mut problems);
        let mut seen = Vec::with_capacity(self.features.len());
        for (f, demand) in self.features.iter().enumerate() {
            let mut sizes = Sizes::default();
            let plan = self.orientations.iter().zip(&self.job.plan.orientations);
            for (o, (planned, orientation)) in plan.enumerate() {
                let key = (planned.number, demand.feature.number.as_str());
                let (Some(reading), Some(planned_setup)) = (by_place.get(&key), &planned.setup)
                else {
                    continue;
                };
                if touches(demand.feature, orientation).is_empty() {
                    continue;
                }
                let other = reading.own_zero(orientation);
                let setup = match other.map(|z| Setup::with_zero(self.job, orientation, z)) {
                    None => *planned_setup,
                    Some(Ok(setup)) => setup,
                    Some(Err(why)) => {
                        problems.push(Problem {
                            weight: Weight::Stops,
                            place: Place::Feature(f),
                            says: format!(
                                "The reading of {} in orientation {} {why}",
                                demand.feature.number, planned.number
                            ),
                        });
                        continue;
                    }
                };
                let asked = questions.len();
                let own = other.map(|_| &setup);
                self.ask((planned, &expectations[o], own), orientation, f, reading, &mut questions);
                sizes.in_question |= questions.len() > asked;
                let reduced = reduce(demand.feature, &setup, reading);
                glances.push(Glance {
                    feature: f,
                    orientation: o,
                    basic: demand.feature.basic_point(self.job.drawing.unit),
                    along: reduced.along.filter(|_| other.is_none()),
                    foreseen: setup.tied,
                    size: reduced.size.map(|size| (size, demand.limits)),
                });
                if let Some(along) = reduced.along {
                    measured.height((f, demand.feature), (o, orientation), setup, reading, along);
                    if demand.feature.kind.is_round() {
                        centres[o].push((demand.feature.basic_point(self.job.drawing.unit), along));
                    }
                }
                if let Some(size) = reduced.size {
                    let (size, doubt) = measured.size(orientation, &setup, reading, size);
                    sizes.unknown |= doubt.is_none();
                    let most =
                        |a: SizeDoubt, b: SizeDoubt| if b.standard > a.standard { b } else { a };
                    sizes.doubt = [sizes.doubt, doubt].into_iter().flatten().reduce(most);
                    sizes.seen.push(SizeSeen { orientation: planned.number, size });
                }
            }
            seen.push(sizes);
        }
        Taken { problems, questions, centres, glances, measured, seen }
    }

    /// What the position of a feature of a piece owes to each source of uncertainty, or its
    /// coordinate where no position is asked; `None` where nothing was measured or its uncertainty
    /// is not known.
    #[must_use]
    pub fn budget(&self, piece: usize, feature: usize) -> Option<Budget> {
        let piece = self.job.pieces.get(piece)?;
        let demand = self.features.get(feature)?;
        // The margin of a pattern that may shift hangs on all that holds it; it has its own
        // uncertainty and no budget.
        if let Some(ask) = demand.asks.first()
            && !Held::of(self.job, ask.datums).is_ok_and(|held| held.stands())
        {
            return None;
        }
        let Taken { mut measured, seen, .. } = self.take(piece);
        measured.adjust(&mut Vec::new());
        let sizes = seen.into_iter().nth(feature)?;
        let size = sizes.doubt();
        let found = self.finding(feature, demand, sizes, false, &mut measured);
        let owed = owed(feature, demand, &found, size, &mut measured, Measured::owed)?;
        Some(budget(self.job, measured.doubts(), &owed, size.map(|d| d.standard)))
    }

    fn ask(
        &self,
        (planned, heights, own): (&Planned, &Heights<'_>, Option<&Setup>),
        orientation: &Orientation,
        feature: usize,
        reading: &Reading,
        questions: &mut Vec<Question>,
    ) {
        let Some(setup) = &planned.setup else { return };
        for touch in Touch::ALL {
            let Some(&at) = planned.at.get(&(feature, touch)) else { continue };
            // Counted from a zero of its own, it is held against what that makes of it.
            let moved: Option<[Expectation; 1]> = own
                .zip(planned.expected.get(at))
                .map(|(own, usual)| [expected_from(self.job, own, usual)]);
            let moved = moved.as_ref().map(|one| Heights::new(one));
            let (heights, at) = moved.as_ref().map_or((heights, at), |own| (own, 0));
            for (repeat, value) in reading.values(touch).iter().enumerate() {
                let raw = value.length(setup.unit);
                questions.extend(question(self.job, orientation, heights, at, repeat, raw));
            }
        }
    }

    /// Readings that take no part in the results: kept, and said.
    fn strays(&self, index: usize, piece: &Piece) -> Option<Problem> {
        let known: FxHashMap<&str, usize> = self
            .job
            .drawing
            .features
            .iter()
            .enumerate()
            .map(|(i, f)| (f.number.as_str(), i))
            .collect();
        let counts = |reading: &Reading, touch: Touch| {
            known.get(reading.feature.as_str()).is_some_and(|feature| {
                self.orientations.iter().any(|o| {
                    o.number == reading.orientation && o.at.contains_key(&(*feature, touch))
                })
            })
        };
        let unused = |r: &Reading| {
            Touch::ALL.into_iter().any(|touch| !r.values(touch).is_empty() && !counts(r, touch))
        };
        let mut names: Vec<String> = piece
            .readings
            .iter()
            .filter(|r| unused(r))
            .map(|r| format!("{} in orientation {}", r.feature, r.orientation))
            .collect();
        names.dedup();
        (!names.is_empty()).then(|| Problem {
            weight: Weight::Warns,
            place: Place::Piece(index),
            says: format!(
                "Readings are kept that drawing and plan no longer ask for: {}. They take no part in \
                 the results.",
                names.join(", ")
            ),
        })
    }
}

/// What the margin of a position owes to each source, or the coordinate where no position is asked,
/// `by` what the coordinate along a direction owes.
fn owed<'a>(
    feature: usize,
    demand: &Demand<'_>,
    found: &FeatureFinding,
    size: Option<SizeDoubt>,
    measured: &mut Measured<'a>,
    by: impl Fn(&mut Measured<'a>, usize, Option<&[String]>, [f64; 2]) -> Option<Vec<Owed>>,
) -> Option<Vec<Owed>> {
    let covariance = found.covariance?;
    let deviation = [found.x.deviation(), found.y.deviation()];
    let letters = demand.letters();
    let Some(position) = &found.position else {
        // A coordinate by itself, or of two the one along the deviation.
        let zone = match [found.x, found.y].map(|c| c.at().is_some()) {
            [true, false] => Zone::Planes(Axis::X),
            [false, true] => Zone::Planes(Axis::Y),
            _ => Zone::Round,
        };
        let deviation = deviation.map(|d| Some(d.unwrap_or_default()));
        return by(measured, feature, letters, decisive(zone, deviation, covariance)?);
    };
    let e = decisive(position.zone, deviation, covariance)?;
    let mut owed = by(measured, feature, letters, e)?;
    // Twice the radius.
    for part in &mut owed {
        part.variance *= 4.0;
    }
    let grows = matches!(position.bonus, Bonus::Earned { .. })
        && found.size.limits.is_some_and(|l| l.tolerance() > Length::ZERO);
    if let Some(size) = size.filter(|_| grows) {
        owed.extend(measured.owed_by_size(size.touched));
    }
    Some(owed)
}

impl<'a> Demand<'a> {
    /// `along`: the axis of a slot along which its basic coordinate is missing where it counts.
    fn of(job: &Job, feature: &'a Feature, along: Option<Axis>) -> Self {
        let unit = job.drawing.unit;
        let limits = feature.size.and_then(|s| s.limits(unit));
        let mut asks = Ask::all(feature, &job.drawing);
        for ask in &mut asks {
            ask.unjudged = ask.unjudged.take().or(along.map(Unjudged::NominalMissing));
        }
        let needs = asks.iter().map(|a| a.needs(feature.kind));
        let needs = needs.fold([false; 2], |[x, y], [ax, ay]| [x || ax, y || ay]);
        let fault = (feature.size.is_some() && limits.is_none()).then_some(Fault::Limits);
        Self { feature, limits, asks, needs, fault }
    }

    /// Why a segment cannot be judged in its frame.
    fn unframed(&self, ask: &Ask<'_>, frame: &Frame, at: Coordinates) -> Option<Unjudged> {
        let [x, y] = ask.needs(self.feature.kind);
        let seen = (!x || at.x.is_some()) && (!y || at.y.is_some());
        // What was not read of the feature itself is said first.
        let why = frame.lacks([x, y])?;
        (seen || !matches!(why, Unjudged::DatumNotMeasured(_))).then(|| why.clone())
    }

    /// The datum letters of its callout.
    fn letters(&self) -> Option<&[String]> {
        self.asks.first().map(|a| a.letters.as_slice())
    }

    fn size(&self, seen: Vec<SizeSeen>) -> SizeFinding {
        let modifier = self.feature.position().map(|p| p.modifier).unwrap_or_default();
        judge_size(self.feature.kind, self.limits, modifier, seen)
    }

    fn judge(
        &self,
        unit: Unit,
        at: Coordinates,
        size: SizeFinding,
        in_question: bool,
        unframed: Option<Unjudged>,
    ) -> FeatureFinding {
        let feature = self.feature;
        let contradict = size.seen.iter().any(|s| s.size <= Length::ZERO);
        let fault = self.fault.or(contradict.then_some(Fault::Touches));
        let coordinate = |at: Option<Length>,
                          basic: Option<crate::quantity::Figure>,
                          needed: bool| match at {
            Some(at) => Coordinate::Measured { at, deviation: basic.map(|b| at - b.length(unit)) },
            None if needed => Coordinate::NotMeasured,
            None => Coordinate::NotRequired,
        };
        let x = coordinate(at.x, feature.x, self.needs[0]);
        let y = coordinate(at.y, feature.y, self.needs[1]);
        let position = self.asks.first().map(|ask| self.position(ask, unit, at, &size, unframed));
        FeatureFinding {
            number: feature.number.clone(),
            kind: feature.kind,
            x,
            y,
            covariance: None,
            size,
            position,
            further: Vec::new(),
            salvage: None,
            fault,
            in_question,
            // Drawn by `settle`, once size and position are decided.
            verdict: Verdict::NothingAsked,
        }
    }

    /// Judges one segment of a position callout by coordinates in its own frame.
    fn position(
        &self,
        ask: &Ask<'_>,
        unit: Unit,
        at: Coordinates,
        size: &SizeFinding,
        unframed: Option<Unjudged>,
    ) -> PositionFinding {
        let less = |at: Option<Length>, axis| Some(at? - self.feature.basic(axis, unit)?);
        let deviation = [less(at.x, Axis::X), less(at.y, Axis::Y)];
        let unjudged = ask.unjudged.clone().or(unframed);
        judge_position(&ask.asked(self.feature.kind), deviation, size, unjudged)
    }

    /// Draws the verdict over size and position, once both are decided.
    fn settle(&self, found: &mut FeatureFinding, rule: DecisionRule) {
        // What is doubtful is touched again before anything is cut.
        found.salvage = (!found.in_question && found.fault.is_none())
            .then(|| salvage(found.kind, &found.size, found.positions(), rule))
            .flatten();
        let asked = self.feature.size.is_some() || found.position.is_some();
        let position =
            found.positions().map(|p| p.verdict).fold(Verdict::NothingAsked, Verdict::and);
        found.verdict = if asked && found.fault.is_some() {
            Verdict::CannotBeJudged
        } else {
            found.size.verdict.and(position)
        };
    }
}

/// Where one failing feature of a pattern cannot be brought to the size that it needs, bringing the
/// others to theirs saves nothing.
fn hopeless(patterns: &[PatternFinding], features: &mut [FeatureFinding]) {
    for (index, pattern) in patterns.iter().enumerate() {
        let fails = |f: &FeatureFinding| {
            f.positions().any(|p| {
                p.verdict == Verdict::DoesNotConform
                    && p.modifier == Modifier::Mmc
                    && p.shifted.is_some_and(|s| s.pattern == index)
            })
        };
        let possible = |f: &FeatureFinding| matches!(f.salvage, Some(Salvage::Possible { .. }));
        let mut members = pattern.members.iter().filter_map(|i| features.get(*i));
        if members.all(|f| !fails(f) || possible(f)) {
            continue;
        }
        for i in &pattern.members {
            if let Some(f) = features.get_mut(*i)
                && fails(f)
                && possible(f)
            {
                f.salvage = None;
            }
        }
    }
}

/// The readings of one piece, taken in.
struct Taken<'a> {
    problems: Vec<Problem>,
    questions: Vec<Question>,
    /// Basic position and height of the round features, by orientation.
    centres: Vec<Vec<(Point, Length)>>,
    glances: Vec<Glance>,
    measured: Measured<'a>,
    /// One for each feature.
    seen: Vec<Sizes>,
}

/// The sizes of one feature.
#[derive(Default)]
struct Sizes {
    seen: Vec<SizeSeen>,
    /// The largest uncertainty of those of which it is known.
    doubt: Option<SizeDoubt>,
    /// Of one at least it is not.
    unknown: bool,
    in_question: bool,
}

impl Sizes {
    /// How uncertain any of them is at most, if that is known of all.
    fn doubt(&self) -> Option<SizeDoubt> {
        self.doubt.filter(|_| !self.unknown)
    }
}

fn tally(features: &[FeatureFinding], relations: &[RelationFinding]) -> (Tally, Verdict) {
    let mut tally = Tally::default();
    let mut verdict = Verdict::NothingAsked;
    let relations = relations.iter().map(|r| r.verdict);
    for one in features.iter().map(|f| f.verdict).chain(relations) {
        verdict = verdict.and(one);
        let slot = match one {
            Verdict::Conforms => &mut tally.conform,
            Verdict::DoesNotConform => &mut tally.fail,
            Verdict::NotProven => &mut tally.unproven,
            Verdict::NotMeasured => &mut tally.missing,
            Verdict::CannotBeJudged => &mut tally.unjudged,
            Verdict::NothingAsked => continue,
        };
        *slot += 1;
        tally.asked += 1;
    }
    (tally, verdict)
}

fn standing(orientation: &Orientation, centres: &[(Point, Length)]) -> Option<Problem> {
    let found = stands_otherwise(centres, orientation.up())?;
    if orientation.up_side() == Some(found.fits) {
        return None;
    }
    Some(Problem {
        weight: Weight::Warns,
        place: Place::Orientation(orientation.number),
        says: format!(
            "The heights of orientation {} fit {} up far better than what is stated. Look how the \
             part stood; nothing was changed.",
            orientation.number,
            found.fits.label()
        ),
    })
}

/// What is missing or contradictory in the drawing.
fn drawing_problems(job: &Job, along: &Along<'_>) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut seen: FxHashMap<&str, usize> = FxHashMap::default();
    let mut say = |index, says: String| {
        problems.push(Problem { weight: Weight::Stops, place: Place::Feature(index), says });
    };
    for (i, f) in job.drawing.features.iter().enumerate() {
        let (n, word) = (f.number.as_str(), f.kind.word());
        if n.is_empty() {
            say(
                i,
                format!("Feature in row {} has no number. Give it the one on the drawing.", i + 1),
            );
        } else if let Some(first) = seen.insert(n, i) {
            say(
                i,
                format!("Rows {} and {} are both number {n}. Give each its own.", first + 1, i + 1),
            );
        }
        if f.size.is_some_and(|s| s.limits(job.drawing.unit).is_none()) {
            say(i, format!("The limits of {word} {n} are the wrong way round or not positive."));
        }
        if let Some(SizeLimits::Class { class, .. }) = f.size
            && (class.surface == Surface::Inner) != f.kind.is_internal()
        {
            let whose = if f.kind.is_internal() { "an outer" } else { "an inner" };
            say(
                i,
                format!(
                    "{class} is a class of {whose} feature, and {word} {n} is none. Holes and slots \
                     have capitals, bosses and tabs small letters."
                ),
            );
        }
        if matches!(f.kind, Kind::Slot | Kind::Tab) && f.across.is_none() {
            say(i, format!("The width of {word} {n} lies along X or Y: say which."));
        }
        if f.kind == Kind::Face && f.looks.is_none() {
            say(i, format!("Face {n} looks to +X, −X, +Y or −Y: say where to."));
        }
        let missing: Vec<&str> = wanted(f)
            .into_iter()
            .zip([("X", f.x.is_some()), ("Y", f.y.is_some())])
            .filter(|(wanted, (_, there))| *wanted && !there)
            .map(|(_, (name, _))| name)
            .collect();
        if !missing.is_empty() {
            say(i, format!("{} of {word} {n} is missing on the drawing.", missing.join(" and ")));
        }
        if let Some(axis) = along.missing(i, f) {
            let axis = axis.letter();
            say(
                i,
                format!(
                    "{axis} of {word} {n} is missing on the drawing. Its datum frame is turned as the \
                     part was found to lie, and so it counts where along {axis} the {word} is."
                ),
            );
        }
    }
    problems
}

/// A datum pattern of which a feature is not there, is not round or stands there twice.
fn pattern_problems(job: &Job) -> Vec<Problem> {
    let patterns = job.drawing.datums.iter().filter_map(|d| Some((d, d.pattern.as_ref()?)));
    let fault = |(datum, pattern): (&Datum, &DatumPattern)| {
        let letter = &datum.letter;
        let bad = |(i, number): (usize, &String)| match job.feature(number) {
            None => Some(format!("there is no feature {number}")),
            Some(f) if !f.kind.is_round() => Some(format!("{number} is a {}", f.kind.word())),
            Some(_) => {
                pattern.features[..i].contains(number).then(|| format!("{number} is named twice"))
            }
        };
        let why = pattern.features.iter().enumerate().find_map(bad)?;
        Some(Problem {
            weight: Weight::Stops,
            place: Place::Drawing,
            says: format!(
                "Datum {letter} stands on a pattern of holes or bosses, and {why}. Write again what \
                 carries it."
            ),
        })
    };
    patterns.filter_map(fault).collect()
}

/// Which basic coordinates a feature must have to be measured at all.
fn wanted(f: &Feature) -> [bool; 2] {
    match (f.kind, f.across, f.looks) {
        (Kind::Hole | Kind::Boss, _, _) => [true, true],
        (Kind::Slot | Kind::Tab, Some(axis), _) => [axis == Axis::X, axis == Axis::Y],
        (Kind::Face, _, Some(side)) => [side.axis() == Axis::X, side.axis() == Axis::Y],
        _ => [false, false],
    }
}

/// A plan whose orientations all look along one line leaves one coordinate out.
fn single_direction(job: &Job) -> Option<Problem> {
    let mut axes = job.plan.orientations.iter().map(|o| o.up().square_axis());
    let first = axes.next()??;
    let round = job.drawing.features.iter().any(|f| f.kind.is_round() && f.position().is_some());
    (round && axes.all(|a| a == Some(first))).then(|| Problem {
        weight: Weight::Warns,
        place: Place::Drawing,
        says: format!(
            "Every orientation measures {} only; {} stays unmeasured. Add an orientation a \
             quarter turn away.",
            first.letter(),
            first.other().letter()
        ),
    })
}
