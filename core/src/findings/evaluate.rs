//! From a job to its findings.

use super::along::Along;
use super::budget::{Budget, budget};
use super::datum_reference::without_datum;
use super::demand::Demand;
use super::drawing_checks::drawing_checks;
use super::judge::{Judged, Measured, deciding_sensitivities, judge};
use super::opposite::opposite;
use super::place_questions::place_questions;
use super::reading_checks::{ReadingSummary, reading_checks};
use super::relations::{judge_relations, stray_heights};
use super::remarks;
use super::row_questions::Rows;
use super::size_questions::Sizes;
use super::symmetry::{sizes_turned, symmetric};
use super::undetermined::undetermined;
use super::{
    DatumLists, DrawingProblem, Fault, FeatureFinding, Findings, Frames, Measurement, PatternFault,
    PieceFinding, Place, Problem, ProblemKind, Tally,
};
use crate::adjust::adjust;
use crate::bench::{
    Expectation, Guess, Heights, Question, Readings, Setup, chain_faults, collect, expected,
    expected_from, question, reduce, stands_otherwise, touches,
};
use crate::callout::{RelationFinding, Verdict};
use crate::grade::Surface;
use crate::job::{
    Datum, DatumPattern, DrawingPlace, Feature, Job, Kind, Orientation, Piece, Reading, SizeLimits,
    Touch,
};
use crate::quantity::{Axis, Length, Point};
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
    datums: DatumLists<'a>,
    features: Vec<Demand<'a>>,
    /// Index of each feature by its number.
    numbers: FxHashMap<&'a str, usize>,
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
    /// For each feature, where its touches start in `expected`, and the end.
    starts: Vec<usize>,
}

impl Planned {
    /// Index of a touch in `expected`; `None` where the plan does not ask for it.
    fn index(&self, feature: usize, touch: Touch) -> Option<usize> {
        let (start, end) = (*self.starts.get(feature)?, *self.starts.get(feature + 1)?);
        (start..end).find(|i| self.expected[*i].touch == touch)
    }

    /// What a touch should show; `None` where the plan does not ask for it.
    pub(super) fn expectation(&self, feature: usize, touch: Touch) -> Option<&Expectation> {
        self.expected.get(self.index(feature, touch)?)
    }
}

impl<'a> Ready<'a> {
    /// Prepares drawing and plan.
    #[must_use]
    pub fn of(job: &'a Job) -> Self {
        let along = Along::of(job);
        let mut problems = drawing_problems(job, &along);
        problems.extend(pattern_problems(job));
        problems.extend(drawing_checks(job));
        let mut orientations = Vec::with_capacity(job.plan.orientations.len());
        for orientation in &job.plan.orientations {
            let setup = match Setup::of(job, orientation) {
                Ok(setup) => Some(setup),
                Err(why) => {
                    let orientation = orientation.number;
                    let what = ProblemKind::Setup { orientation, why };
                    problems.push(Problem::stops(Place::Orientation(orientation), what));
                    None
                }
            };
            let expected = expected(job, orientation, setup.as_ref());
            let starts = (0..=job.drawing.features.len())
                .map(|f| expected.partition_point(|e| e.feature < f))
                .collect();
            orientations.push(Planned { number: orientation.number, setup, expected, starts });
        }
        problems.extend(orientations.iter().filter_map(|o| remarks::beyond_range(job, o)));
        problems.extend(without_datum(job));
        problems.extend(remarks::coarse(job));
        problems.extend(super::probes::probes(job));
        problems.extend(single_direction(job));
        problems.extend(symmetric(job));
        let datums = DatumLists::of(job);
        problems.extend(remarks::standard(job));
        problems.extend(remarks::ends(job, &datums));
        let mut features: Vec<Demand<'_>> = job
            .drawing
            .features
            .iter()
            .map(|f| Demand::of(job, &datums, f, along.unplaced(f)))
            .collect();
        let numbers = job.drawing.by_number();
        // The first of two with one number has it; then both are at fault.
        for second in 0..features.len() {
            let number = features[second].feature.number.as_str();
            let first = numbers.get(number).copied().unwrap_or(second);
            if number.is_empty() || first != second {
                for one in [first, second] {
                    features[one].fault = Some(Fault::Number);
                }
            }
        }
        Self { job, problems, orientations, datums, features, numbers }
    }

    /// Evaluates the piece with this index.
    #[must_use]
    pub fn piece(&self, index: usize) -> Option<PieceFinding> {
        let piece = self.job.pieces.get(index)?;
        let readings = Readings::of(piece);
        let mut examined = self.examine(&readings);
        let mut problems = std::mem::take(&mut examined.problems);
        let measured = self.measure(&readings, &mut problems);
        let plan = self.job.plan.orientations.iter().zip(&examined.centres);
        let standing: Vec<Problem> = plan.filter_map(|(o, centres)| standing(o, centres)).collect();
        // How a part stood is one question, and not one for each touch.
        let turned: Vec<u32> = standing.iter().filter_map(|p| orientation_of(&p.place)).collect();
        examined.once_turned(&turned);
        let mut checks =
            reading_checks(self.job, index, &examined.summaries, &examined.questions, &turned);
        let sizes = &measured.bench.facts().sizes;
        let sizes_off = checks.iter().any(|p| matches!(p.what, ProblemKind::SizesOff { .. }));
        if standing.is_empty() && examined.questions.is_empty() && !sizes_off {
            checks.extend(sizes_turned(self.job, &self.features, sizes));
        }
        let turned_sizes = checks.iter().any(|p| matches!(p.what, ProblemKind::SizesTurned { .. }));
        if !sizes_off && !turned_sizes {
            let rows = Rows {
                job: self.job,
                orientations: &self.orientations,
                demands: &self.features,
                readings: &readings,
                asked: &examined.in_question,
            };
            examined.add(rows.questions(sizes));
            let of_sizes = Sizes {
                job: self.job,
                orientations: &self.orientations,
                demands: &self.features,
                readings: &readings,
                uncertainty: &measured.bench.facts().uncertainty,
                asked: &examined.in_question,
            };
            examined.add(of_sizes.questions(sizes));
        }
        let against = opposite(
            self.job,
            (index, piece),
            &examined.summaries,
            &measured.bench.facts().uncertainty,
            &examined.in_question,
        );
        let measurement = Measurement::of(&measured.bench);
        let misfits = remarks::misfits(self.job, &measurement);
        let [against, misfits] = against.settled(misfits, &measurement.doubtful_zeros);
        // A part that stood otherwise makes the heights contradict each other everywhere.
        let misfits = if standing.is_empty() { misfits } else { Vec::new() };
        if checks.is_empty() && standing.is_empty() {
            checks.extend(against);
        }
        let Judged { features, patterns: together, .. } =
            judge(self.job, &self.datums, &self.features, &measured, &examined.in_question);
        if checks.is_empty() && standing.is_empty() {
            let asked = place_questions(self.job, &self.orientations, &readings, &features);
            examined.questions.extend(asked);
        }
        problems.extend(undetermined(self.job, &self.features, &measured, &features));
        problems.extend(standing);
        problems.extend(checks);
        problems.extend(self.strays(index, piece));
        problems.extend(remarks::temperature(self.job, piece, index));
        problems.extend(remarks::datum_circles(self.job, &measured.bench, index));
        problems.extend(stray_heights(self.job, index, piece));
        let relations = judge_relations(self.job, piece, &measured, &features).findings;
        problems.extend(misfits);
        let uncertainty = &measured.bench.facts().uncertainty;
        problems.extend(remarks::drift(self.job, piece, uncertainty));
        problems.extend(remarks::seats(self.job, piece, uncertainty));
        let (tally, verdict) = tally(self.job, &features, &relations);
        Some(PieceFinding {
            serial: piece.serial.clone(),
            features,
            patterns: together,
            relations,
            questions: examined.questions,
            problems,
            tally,
            verdict,
            measurement,
        })
    }

    /// Collects and adjusts the facts of a piece, and takes the frames of all callouts.
    fn measure(&self, readings: &Readings<'_>, problems: &mut Vec<Problem>) -> Measured {
        let (faults, unusable) = chain_faults(self.job, readings.piece());
        problems.extend(faults.into_iter().map(|(orientation, fault)| {
            let what = ProblemKind::Chain { orientation, fault };
            Problem::stops(Place::Orientation(orientation), what)
        }));
        let bench = adjust(self.job, collect(self.job, readings, &unusable));
        let fault = bench.fault.map(ProblemKind::NotAdjusted);
        problems.extend(fault.map(|what| Problem::stops(Place::Drawing, what)));
        let frames = Frames::of(self.job, &self.datums, &bench);
        Measured { bench, frames }
    }

    /// Looks at the readings of a piece one by one: what is asked about, and what they look like.
    fn examine(&self, readings: &Readings<'_>) -> Examined {
        let expectations: Vec<Heights<'_>> =
            self.orientations.iter().map(|o| Heights::new(&o.expected)).collect();
        let mut examined = Examined {
            centres: vec![Vec::new(); self.orientations.len()],
            in_question: vec![false; self.features.len()],
            ..Examined::default()
        };
        for (f, demand) in self.features.iter().enumerate() {
            let plan = self.orientations.iter().zip(&self.job.plan.orientations);
            for (o, (planned, orientation)) in plan.enumerate() {
                let reading = readings.get(planned.number, &demand.feature.number);
                let (Some(reading), Some(planned_setup)) = (reading, &planned.setup) else {
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
                        let what = ProblemKind::OwnZero {
                            feature: demand.feature.number.clone(),
                            orientation: planned.number,
                            why,
                        };
                        examined.problems.push(Problem::stops(Place::Feature(f), what));
                        continue;
                    }
                };
                let asked = examined.questions.len();
                let own = other.map(|_| &setup);
                let of = (planned, &expectations[o], own);
                self.ask(of, orientation, f, reading, &mut examined.questions);
                examined.in_question[f] |= examined.questions.len() > asked;
                let reduced = reduce(demand.feature, &setup, reading);
                let basic = demand.feature.basic_point(self.job.drawing.unit);
                examined.summaries.push(ReadingSummary {
                    feature: f,
                    orientation: o,
                    basic,
                    along: reduced.along.filter(|_| other.is_none()),
                    foreseen: setup.base_is_known,
                    size: reduced.size.map(|size| (size, demand.limits)),
                });
                if let Some(along) = reduced.along.filter(|_| demand.feature.kind.is_round()) {
                    examined.centres[o].push((basic, along));
                }
            }
        }
        examined
    }

    /// The uncertainty budget of the position of a feature of a piece, or of its coordinate where no
    /// position is asked; `None` where nothing was measured or its uncertainty is not known.
    #[must_use]
    pub fn budget(&self, piece: usize, feature: usize) -> Option<Budget> {
        let (measured, judged) = self.judged(self.job.pieces.get(piece)?);
        let of = deciding_sensitivities(self.job, &self.features, &measured, &judged, feature)?;
        Some(budget(self.job, &measured.bench, &measured.bench.contributions(&of)?))
    }

    /// The uncertainty budget of a pattern of a piece: that of its smallest margin. `None` where the
    /// pattern was not fitted or its uncertainty is not known.
    #[must_use]
    pub fn pattern_budget(&self, piece: usize, pattern: usize) -> Option<Budget> {
        let (measured, judged) = self.judged(self.job.pieces.get(piece)?);
        let of = judged.sensitivities.get(pattern)?.as_ref()?;
        Some(budget(self.job, &measured.bench, &measured.bench.contributions(of)?))
    }

    /// The uncertainty budget of a relation of a piece, by its place among those of the drawing; `None`
    /// where it has no figure or its uncertainty is not known.
    #[must_use]
    pub fn relation_budget(&self, piece: usize, relation: usize) -> Option<Budget> {
        let piece = self.job.pieces.get(piece)?;
        let (measured, judged) = self.judged(piece);
        let relations = judge_relations(self.job, piece, &measured, &judged.features);
        let of = relations.sensitivities.get(relation)?.as_ref()?;
        Some(budget(self.job, &measured.bench, &measured.bench.contributions(of)?))
    }

    /// A piece measured and judged, without what is asked about its readings.
    fn judged(&self, piece: &Piece) -> (Measured, Judged) {
        let measured = self.measure(&Readings::of(piece), &mut Vec::new());
        let in_question = vec![false; self.features.len()];
        let judged = judge(self.job, &self.datums, &self.features, &measured, &in_question);
        (measured, judged)
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
            let Some(at) = planned.index(feature, touch) else { continue };
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
        let known = &self.numbers;
        let counts = |reading: &Reading, touch: Touch| {
            known.get(reading.feature.as_str()).is_some_and(|feature| {
                self.orientations
                    .iter()
                    .any(|o| o.number == reading.orientation && o.index(*feature, touch).is_some())
            })
        };
        let unused = |r: &Reading| {
            Touch::ALL.into_iter().any(|touch| !r.values(touch).is_empty() && !counts(r, touch))
        };
        let mut stray: Vec<(String, u32)> = piece
            .readings
            .iter()
            .filter(|r| unused(r))
            .map(|r| (r.feature.clone(), r.orientation))
            .collect();
        stray.dedup();
        (!stray.is_empty())
            .then(|| Problem::warns(Place::Piece(index), ProblemKind::StrayReadings(stray)))
    }
}

/// What the readings of one piece look like, one by one.
#[derive(Default)]
struct Examined {
    problems: Vec<Problem>,
    questions: Vec<Question>,
    /// Basic position and height of the round features, by orientation.
    centres: Vec<Vec<(Point, Length)>>,
    summaries: Vec<ReadingSummary>,
    /// For each feature, whether one of its readings is asked about.
    in_question: Vec<bool>,
}

impl Examined {
    /// Takes in what is asked about.
    fn add(&mut self, asked: Vec<Question>) {
        for question in asked.iter().filter(|q| q.guess.doubts_a_reading()) {
            // Of two rows that are the same either may be wrong.
            let other = match question.guess {
                Guess::SameAsRow { feature, .. } => feature,
                _ => question.feature,
            };
            for feature in [question.feature, other] {
                if let Some(slot) = self.in_question.get_mut(feature) {
                    *slot = true;
                }
            }
        }
        self.questions.extend(asked);
    }

    /// Of an orientation in which the part stood otherwise, which is said, no single reading is asked
    /// about; of one in which readings only look like that, the first. The features stay in question.
    fn once_turned(&mut self, turned: &[u32]) {
        let mut asked: Vec<u32> = Vec::new();
        self.questions.retain(|q| {
            let again = q.guess == Guess::OtherWayUp && asked.contains(&q.orientation);
            if q.guess == Guess::OtherWayUp {
                asked.push(q.orientation);
            }
            !again && !turned.contains(&q.orientation)
        });
    }
}

const fn orientation_of(place: &Place) -> Option<u32> {
    match place {
        Place::Orientation(number) => Some(*number),
        Place::Drawing | Place::Feature(_) | Place::Piece(_) => None,
    }
}

fn tally(
    job: &Job,
    features: &[FeatureFinding],
    relations: &[RelationFinding],
) -> (Tally, Verdict) {
    let mut tally = Tally::default();
    let mut verdict = Verdict::NothingAsked;
    let relations = relations.iter().map(|r| r.verdict);
    // What a line asks as typed is counted with the line.
    let of_line = |place: &DrawingPlace| matches!(place, DrawingPlace::LineRequirement(_));
    let texts = job.drawing.not_understood.iter().filter(|n| !of_line(&n.place));
    let texts = texts.map(|_| Verdict::CannotBeJudged);
    for one in features.iter().map(|f| f.verdict).chain(relations).chain(texts) {
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
    let (orientation, fits) = (orientation.number, found.fits);
    let what = ProblemKind::StandsOtherwise { orientation, fits };
    Some(Problem::warns(Place::Orientation(orientation), what))
}

/// What is missing or contradictory in the drawing.
fn drawing_problems(job: &Job, along: &Along<'_>) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut seen: FxHashMap<&str, usize> = FxHashMap::default();
    let mut say = |index, what| {
        problems.push(Problem::stops(Place::Feature(index), ProblemKind::Drawing(what)));
    };
    for (i, f) in job.drawing.features.iter().enumerate() {
        let (number, kind) = (f.number.clone(), f.kind);
        if number.is_empty() {
            say(i, DrawingProblem::NoNumber(i + 1));
        } else if let Some(first) = seen.insert(f.number.as_str(), i) {
            let rows = [first + 1, i + 1];
            say(i, DrawingProblem::NumberTwice { number: number.clone(), rows });
        }
        if f.size.is_some_and(|s| s.limits(job.drawing.unit).is_none()) {
            say(i, DrawingProblem::Limits(kind, number.clone()));
        }
        if let Some(SizeLimits::Class { class, .. }) = f.size
            && (class.surface == Surface::Inner) != kind.is_internal()
        {
            say(i, DrawingProblem::ClassOfOther { class, kind, number: number.clone() });
        }
        if matches!(kind, Kind::Slot | Kind::Tab) && f.across.is_none() {
            say(i, DrawingProblem::NoDirection(kind, number.clone()));
        }
        if kind == Kind::Face && f.looks.is_none() {
            say(i, DrawingProblem::LooksNowhere(number.clone()));
        }
        let missing: Vec<Axis> = wanted(f)
            .into_iter()
            .zip([(Axis::X, f.x.is_some()), (Axis::Y, f.y.is_some())])
            .filter(|(wanted, (_, there))| *wanted && !there)
            .map(|(_, (axis, _))| axis)
            .collect();
        if !missing.is_empty() {
            say(i, DrawingProblem::NoCoordinates(kind, number.clone(), missing));
        }
        if let Some(axis) = along.missing(i, f) {
            say(i, DrawingProblem::NoCoordinateAlong(kind, number, axis));
        }
    }
    problems
}

/// A datum pattern of which a feature is not there, is not round or stands there twice.
fn pattern_problems(job: &Job) -> Vec<Problem> {
    let patterns = job.drawing.datums.iter().filter_map(|d| Some((d, d.pattern.as_ref()?)));
    let fault = |(datum, pattern): (&Datum, &DatumPattern)| {
        let bad = |(i, number): (usize, &String)| match job.feature(number) {
            None => Some(PatternFault::Missing(number.clone())),
            Some(f) if !f.kind.is_round() => Some(PatternFault::NotRound(f.kind, number.clone())),
            Some(_) => {
                let twice = pattern.features[..i].contains(number);
                twice.then(|| PatternFault::Twice(number.clone()))
            }
        };
        let why = pattern.features.iter().enumerate().find_map(bad)?;
        let what = DrawingProblem::DatumPattern { letter: datum.letter.clone(), why };
        Some(Problem::stops(Place::Drawing, ProblemKind::Drawing(what)))
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
    (round && axes.all(|a| a == Some(first)))
        .then(|| Problem::warns(Place::Drawing, ProblemKind::OneAxis(first)))
}
