//! From a job to what the trade says of each piece.

use super::adjust::{Adjusted, adjust};
use super::answer::{Answer, FeatureAnswer, PatternAnswer, PositionAnswer, Verdict};
use super::document::{
    Boundary, Callout, DatumRef, Document, Kind, Modifier, Pair, Piece, Standard, Together,
};
use super::frame::{Origin, Part, Precedence, Role, Stage};
use super::observations::{Network, collect};
use super::pattern::{Fit, Problem, Zone, fit};
use super::size;

/// The judge's answer for one piece of a job.
pub(crate) fn judge(job: &Document, piece: &Piece) -> Answer {
    let net: Network = collect(job, piece);
    let adjusted: Adjusted = adjust(&net);
    let part = Part { job, net: &net, adjusted: &adjusted };
    let sizes: Vec<Vec<(usize, f64)>> =
        (0..job.features.len()).map(|f| size::measured(job, piece, f)).collect();
    let mut features: Vec<FeatureAnswer> = job
        .features
        .iter()
        .zip(&sizes)
        .map(|(f, s)| {
            let size_margin = size::margin(f, s);
            let size_verdict = match (f.limits, size_margin) {
                (None, _) => Verdict::NothingAsked,
                (Some(_), None) => Verdict::NotMeasured,
                (Some(_), Some(m)) => Verdict::from_margin(m),
            };
            FeatureAnswer {
                number: f.number.clone(),
                sizes: s.iter().map(|s| s.1).collect(),
                size_margin,
                size_verdict,
                positions: Vec::new(),
                variance: [None; 2],
                verdict: size_verdict,
            }
        })
        .collect();

    let mut groups: Vec<(Group, Vec<Member>)> = Vec::new();
    for (i, f) in job.features.iter().enumerate() {
        for (c, callout) in f.callouts.iter().enumerate() {
            for (n, segment) in callout.segments.iter().enumerate() {
                let bonus = size::bonus(f, &sizes[i], callout.modifier);
                let allowed = bonus.map(|b| segment.tolerance + b);
                let mut answer = PositionAnswer {
                    callout: c,
                    segment: n,
                    deviation: [None; 2],
                    bonus,
                    allowed,
                    margin: None,
                    pattern: None,
                    verdict: Verdict::NotMeasured,
                };
                let precedence = Precedence::of(job, &segment.datums);
                let frees = n > 0 && job.standard != Standard::IsoGps;
                if !frees && precedence.is_rigid() {
                    let at = part.coordinates(&precedence, [None; 2], i);
                    let wanted = axes_wanted(job, i, callout);
                    for a in 0..2 {
                        answer.deviation[a] = at[a].map(|v| v - f.basic[a]);
                    }
                    answer.margin = allowed
                        .and_then(|allowed| Some(allowed - position(answer.deviation, wanted)?));
                    // An error that grows with height is one factor of the scale to the core.
                    let grows = job.instruments.iter().any(|i| i.error_growth > 0.0);
                    if (c, n) == (0, 0) && f.kind != Kind::Face && !grows {
                        let all = part.variances(&precedence, i);
                        for a in 0..2 {
                            features[i].variance[a] = at[a].map(|_| all[a]);
                        }
                    }
                    if let Some(m) = answer.margin {
                        answer.verdict = Verdict::from_margin(m);
                    } else if position(answer.deviation, wanted)
                        .is_some_and(|p| p <= segment.tolerance + size::TIE)
                    {
                        // Whatever the size will be, no bonus is needed.
                        answer.verdict = Verdict::Conforms;
                    }
                } else {
                    let group = Group::of(job, i, c, n);
                    let member = Member { feature: i, answer: features[i].positions.len() };
                    match groups.iter().position(|g| g.0 == group) {
                        Some(g) => groups[g].1.push(member),
                        None => groups.push((group, vec![member])),
                    }
                }
                features[i].positions.push(answer);
            }
        }
    }

    let mut patterns = Vec::new();
    for (group, members) in &groups {
        let answer = judge_group(&part, group, members, &features, &sizes);
        for m in members {
            let p = &mut features[m.feature].positions[m.answer];
            p.pattern = Some(patterns.len());
            p.verdict = if answer.missing.contains(&m.feature) {
                Verdict::NotMeasured
            } else {
                answer.verdict
            };
        }
        patterns.push(answer);
    }
    for f in &mut features {
        for p in &f.positions {
            f.verdict = f.verdict.max(p.verdict);
        }
    }
    let relations = super::relations::judge(&part, &sizes);
    Answer { features, patterns, relations }
}

/// Callouts that are judged together.
#[derive(Clone, Debug, PartialEq)]
struct Group {
    datums: Vec<DatumRef>,
    /// Number of the lower segment; 0 for the upper one.
    lower: usize,
    /// The datums of a lower segment stop rotation only.
    frees: bool,
    with: With,
}

/// With what a segment is judged.
#[derive(Clone, Debug, PartialEq)]
enum With {
    /// With nothing else: a feature and its callout.
    Alone(usize, usize),
    Pattern(PatternKey),
    /// With all in the same frame.
    Frame,
    /// With those in the same frame that bear this number.
    Number(Option<u8>),
}

/// Features of one kind, size and callout are one pattern (ASME Y14.5-2018, 7.19 and 10.5.1).
#[derive(Clone, Debug, PartialEq)]
struct PatternKey {
    kind: Kind,
    limits: Option<[f64; 2]>,
    word: String,
    modifier: Modifier,
    frames: Vec<Vec<DatumRef>>,
    tolerances: Vec<f64>,
}

impl Group {
    fn of(job: &Document, feature: usize, c: usize, segment: usize) -> Self {
        let f = &job.features[feature];
        let callout = &f.callouts[c];
        let key = || {
            With::Pattern(PatternKey {
                kind: f.kind,
                limits: f.limits,
                word: callout.pattern.clone(),
                modifier: callout.modifier,
                frames: callout.segments.iter().map(|s| s.datums.clone()).collect(),
                tolerances: callout.segments.iter().map(|s| s.tolerance).collect(),
            })
        };
        let asme = job.standard != Standard::IsoGps;
        let lower = segment > 0;
        let with = match (callout.segments[segment].together, asme) {
            (Together::Simultaneous(number), _) if number.is_some() || lower || !asme => {
                With::Number(number)
            }
            (Together::Simultaneous(_), _) => With::Frame,
            (Together::Separate, true) => key(),
            (Together::Default | Together::Separate, false) => With::Alone(feature, c),
            (Together::Combined, false) => key(),
            (Together::Default | Together::Combined, true) if lower => key(),
            (Together::Default | Together::Combined, true) => With::Frame,
        };
        let datums = callout.segments[segment].datums.clone();
        // The number of a segment matters only where each is a requirement of a pattern of its own.
        let lower = if matches!(with, With::Number(_)) { lower.into() } else { segment };
        Self { datums, lower, frees: asme && lower > 0, with }
    }
}

struct Member {
    feature: usize,
    /// Index among the positions of the feature.
    answer: usize,
}

/// The axes that a callout asks for.
fn axes_wanted(job: &Document, feature: usize, c: &Callout) -> [bool; 2] {
    let f = &job.features[feature];
    let one = if f.kind.is_round() { c.along } else { f.axis };
    match one {
        Some(a) => [a == 0, a == 1],
        None => [true; 2],
    }
}

/// Twice the distance from the basic place, across what is wanted.
fn position(deviation: [Option<f64>; 2], wanted: [bool; 2]) -> Option<f64> {
    let mut square = 0.0;
    for a in 0..2 {
        if wanted[a] {
            square += deviation[a]? * deviation[a]?;
        }
    }
    Some(2.0 * libm::sqrt(square))
}

fn axis(a: usize) -> Pair {
    if a == 0 { [1.0, 0.0] } else { [0.0, 1.0] }
}

fn judge_group(
    part: &Part<'_>,
    group: &Group,
    members: &[Member],
    features: &[FeatureAnswer],
    sizes: &[Vec<(usize, f64)>],
) -> PatternAnswer {
    let job = part.job;
    let mut precedence = Precedence::of(job, &group.datums);
    let lower = group.lower > 0;
    let frees = group.frees;
    if frees {
        precedence.stopped = [false; 2];
    }
    let callout_of = |m: &Member| {
        let p = &features[m.feature].positions[m.answer];
        (&job.features[m.feature].callouts[p.callout], p)
    };
    let place = |origin: Origin, m: &Member| -> Option<Zone> {
        let f = &job.features[m.feature];
        let (callout, answer) = callout_of(m);
        let wanted = axes_wanted(job, m.feature, callout);
        let at = part.coordinates(&precedence, origin, m.feature);
        let mut measured = f.basic;
        for a in 0..2 {
            match at[a] {
                Some(v) => measured[a] = v,
                None if wanted[a] => return None,
                None => {}
            }
        }
        let across = match wanted {
            [true, true] => None,
            [x, _] => Some(axis(usize::from(!x))),
        };
        Some(Zone { measured, basic: f.basic, across, half: answer.allowed? / 2.0 })
    };
    // Along what is free, the coordinates count from one of the members: the one from which most of the
    // others can be told.
    let along = |a: usize| -> Vec<Option<usize>> {
        if precedence.stopped[a] {
            return vec![None];
        }
        let has = |m: &&Member| job.features[m.feature].axis.is_none_or(|own| own == a);
        let able: Vec<Option<usize>> =
            members.iter().filter(has).map(|m| Some(m.feature)).collect();
        if able.is_empty() { vec![None] } else { able }
    };
    let mut origins: Vec<Origin> =
        along(0).into_iter().flat_map(|x| along(1).into_iter().map(move |y| [x, y])).collect();
    // One for both axes first.
    origins.sort_by_key(|o| o[0] != o[1]);
    let mut best: (Origin, Vec<Option<Zone>>) = ([None; 2], Vec::new());
    let mut most = None;
    for origin in origins {
        let zones: Vec<Option<Zone>> = members.iter().map(|m| place(origin, m)).collect();
        let count = zones.iter().flatten().count();
        if most.is_none_or(|m| count > m) {
            most = Some(count);
            best = (origin, zones);
        }
        if count == members.len() {
            break;
        }
    }
    let (origin, zones) = best;
    let mut answer = PatternAnswer {
        datums: group
            .datums
            .iter()
            .map(|d| {
                let mark = match d.boundary {
                    Boundary::Regardless => "",
                    Boundary::Maximum => "(M)",
                    Boundary::Least => "(L)",
                };
                let translates = if d.translates { "\u{25b7}" } else { "" };
                format!("{}{mark}{translates}", d.letter)
            })
            .collect(),
        lower,
        members: members.iter().map(|m| m.feature).collect(),
        missing: members
            .iter()
            .zip(&zones)
            .filter(|(_, z)| z.is_none())
            .map(|(m, _)| m.feature)
            .collect(),
        margin: None,
        no_room: false,
        verdict: Verdict::NotMeasured,
        unsure: false,
    };
    let mut problem = Problem {
        members: zones.into_iter().flatten().collect(),
        bounds: Vec::new(),
        // Above, the datums say it one by one.
        turns: !frees || !precedence.turn_stopped,
    };
    if problem.members.is_empty() || !part.datums_seen(&precedence) {
        return answer;
    }
    if !frees {
        let Some(()) = bounds(part, &precedence, origin, sizes, &mut problem) else {
            answer.verdict = Verdict::CannotBeJudged;
            return answer;
        };
    }
    match fit(&problem) {
        Fit::Best { s, .. } => {
            answer.margin = Some(-2.0 * s);
            answer.verdict = Verdict::from_margin(-2.0 * s);
            // Those that were measured can condemn the pattern; they cannot pass it.
            if answer.verdict == Verdict::Conforms && !answer.missing.is_empty() {
                answer.verdict = Verdict::NotMeasured;
            }
        }
        Fit::Infeasible { excess } => {
            answer.no_room = true;
            answer.unsure = excess < 1e-7;
            answer.verdict = Verdict::DoesNotConform;
        }
        Fit::Failed => {
            answer.unsure = true;
            answer.verdict = Verdict::CannotBeJudged;
        }
    }
    answer
}

/// The room of a datum feature in its boundary, as a diameter or width. `None` where its size is not
/// known.
fn room(part: &Part<'_>, stage: &Stage<'_>, sizes: &[Vec<(usize, f64)>]) -> Option<f64> {
    let feature = *stage.datum.features.first()?;
    let f = &part.job.features[feature];
    let least = stage.reference.boundary == Boundary::Least;
    let actual = size::counts(f, &sizes[feature], least)?;
    let [lower, upper] = f.limits?;
    let own = f.callouts.first().map(|c| (c.segments[0].tolerance, c.modifier));
    let boundary = match (stage.datum.boundary, own) {
        (Some(stated), _) => stated,
        // A tolerance that grows away from the boundary asked for has none.
        (None, Some((_, Modifier::Mmc))) if least => return None,
        (None, Some((_, Modifier::Lmc))) if !least => return None,
        (None, own) => {
            let own = own.map_or(0.0, |o| o.0);
            match (f.kind.is_internal(), least) {
                (true, false) => lower - own,
                (false, false) => upper + own,
                (true, true) => upper + own,
                (false, true) => lower - own,
            }
        }
    };
    // The actual feature stays outside the boundary that lies in its void, inside the one that lies in
    // its material.
    Some(if f.kind.is_internal() != least { actual - boundary } else { boundary - actual })
}

/// What the datums of a callout allow. `None` where a datum at its boundary was not measured.
fn bounds(
    part: &Part<'_>,
    precedence: &Precedence<'_>,
    origin: Origin,
    sizes: &[Vec<(usize, f64)>],
    problem: &mut Problem,
) -> Option<()> {
    let job = part.job;
    // ASME Y14.5: a counterpart stands at its basic place unless the translation modifier is given.
    let translates =
        |stage: &Stage<'_>| stage.reference.translates || job.standard == Standard::IsoGps;
    // The datums as they would be regardless of their sizes, from which everything is counted.
    let lock = |problem: &mut Problem, a: usize, by: f64| {
        let mut basic = [0.0; 2];
        basic[a] = by;
        // A point of the frame's origin stands for the whole: nothing turns here.
        problem.bounds.push(Zone { measured: [0.0; 2], basic, across: Some(axis(a)), half: 0.0 });
    };
    let mut before: Option<(Pair, Pair, f64)> = None;
    for stage in &precedence.stages {
        let first = stage.datum.features[0];
        let f = &job.features[first];
        if stage.reference.boundary != Boundary::Regardless && f.kind != Kind::Face {
            let half = room(part, stage, sizes)? / 2.0;
            let at = part.coordinates(precedence, origin, first);
            let (measured, across) = match f.axis {
                Some(a) => {
                    let mut m = f.basic;
                    m[a] = at[a]?;
                    (m, Some(axis(a)))
                }
                // With the translation modifier its counterpart moves along the line from the first.
                None => {
                    let across = match stage.role {
                        Role::RoundClock(o) if stage.reference.translates => {
                            let base = part.round_basic(precedence.stages[o].datum);
                            let n = [f.basic[0] - base[0], f.basic[1] - base[1]];
                            let length = libm::hypot(n[0], n[1]);
                            Some([-n[1] / length, n[0] / length])
                        }
                        _ => None,
                    };
                    ([at[0]?, at[1]?], across)
                }
            };
            problem.bounds.push(Zone { measured, basic: f.basic, across, half });
            before = Some((measured, f.basic, half));
            if matches!(stage.role, Role::SlotFirst(..)) {
                problem.turns = false;
            }
            continue;
        }
        match &stage.role {
            Role::FaceFirst(_, a) | Role::SlotFirst(_, a) => {
                problem.turns = false;
                lock(problem, *a, 0.0);
            }
            Role::FaceStop(_, a) | Role::SlotStop(_, a) => lock(problem, *a, 0.0),
            Role::Round(free) => {
                // It stands at its basic place: that is how the coordinates were taken.
                let basic = part.round_basic(stage.datum);
                for a in 0..2 {
                    if free[a] {
                        let across = Some(axis(a));
                        problem.bounds.push(Zone { measured: basic, basic, across, half: 0.0 });
                    }
                }
            }
            Role::FaceClock(face) => {
                // The rotation is the face's own. After a round datum at its boundary the face's
                // counterpart stands at its basic place, as far as that room lets the part reach it.
                problem.turns = false;
                if let (Some((_, _, half)), false) = (before, translates(stage)) {
                    let a = f.axis?;
                    let gap = f.basic[a] - part.coordinates(precedence, origin, *face)[a]?;
                    lock(problem, a, gap.clamp(-half.max(0.0), half.max(0.0)));
                }
            }
            Role::FitClock(_) => {
                if before.is_some() {
                    // How a fitted pattern follows a datum with room is nowhere said.
                    return None;
                }
                problem.turns = false;
            }
            Role::RoundClock(o) => {
                let base = part.round_basic(precedence.stages[*o].datum);
                let basic = part.round_basic(stage.datum);
                let n = [basic[0] - base[0], basic[1] - base[1]];
                let length = libm::hypot(n[0], n[1]);
                let along = [n[0] / length, n[1] / length];
                let across = [-along[1], along[0]];
                let measured = if stage.datum.pattern.is_some() {
                    let frame = part.frame(precedence, origin)?;
                    frame.place(part.round_place(&part.adjusted.unknowns, stage.datum))
                } else {
                    let at = part.coordinates(precedence, origin, first);
                    [at[0].unwrap_or(basic[0]), at[1].unwrap_or(basic[1])]
                };
                let across_only = Zone { measured, basic, across: Some(across), half: 0.0 };
                match before {
                    Some((b, nb, half)) if !translates(stage) => {
                        let half = half.max(0.0);
                        let apart = libm::hypot(measured[0] - b[0], measured[1] - b[1]) - length;
                        if apart.abs() <= half + 1e-12 && half > 1e-9 {
                            // Centred on its counterpart in both directions.
                            problem.bounds.push(Zone { across: None, ..across_only });
                        } else {
                            // As near as the room of the first lets it: nothing is left to move.
                            let reach = half * apart.signum();
                            let to = [nb[0] - along[0] * reach, nb[1] - along[1] * reach];
                            problem.bounds.retain(|z| z.half != half || z.basic != nb);
                            problem.bounds.push(Zone {
                                measured: b,
                                basic: to,
                                across: None,
                                half: 0.0,
                            });
                            problem.bounds.push(across_only);
                        }
                    }
                    _ => problem.bounds.push(across_only),
                }
            }
            Role::SlotClock(_, _) => {
                let a = f.axis?;
                let at = part.coordinates(precedence, origin, first);
                let mut measured = f.basic;
                measured[a] = at[a]?;
                problem.bounds.push(Zone {
                    measured,
                    basic: f.basic,
                    across: Some(axis(a)),
                    half: 0.0,
                });
            }
            Role::FitFirst => {
                problem.turns = false;
                lock(problem, 0, 0.0);
                lock(problem, 1, 0.0);
            }
            Role::Nothing => {}
        }
    }
    Some(())
}
