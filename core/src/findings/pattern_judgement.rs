//! Patterns judged as the functional gauge would: all positions of one requirement with one common
//! shift, where the datums leave a freedom, and lower segments of composite callouts.

use super::demand::Demand;
use super::guard_bands::{Guarded, guarded};
use super::judge::{Measured, Sized, coverage};
use super::position_requirement::PositionRequirement;
use super::{DatumLists, PatternFinding, Rework, Room};
use crate::adjust::{BenchSensitivities, Sensitivities, SizeRef};
use crate::callout::{
    Bonus, K, NoBonus, PositionFinding, Proof, Shifted, Unjudged, Verdict, Zone, prove_margin,
    shift_position,
};
use crate::fit::{self, Bound, Fit, Freedom, Member, Turn};
use crate::frame::Frame;
use crate::job::{Boundary, DatumRef, DecisionRule, Job, JudgedWith, Modifier, SizeLimits};
use crate::pattern::{DatumConstraints, DatumStop, Limit, StopRoom, StopShape, limit};
use crate::quantity::Length;
use rustc_hash::FxHashMap;

/// A position, by its feature and its segment.
pub(super) type PositionId = (usize, usize);

/// A pattern that was judged.
pub(super) struct PatternJudged {
    pub(super) finding: PatternFinding,
    /// The positions of its members, as the pattern leaves them.
    pub(super) members: Vec<(PositionId, PositionFinding)>,
    /// How its margin follows from what was measured; `None` where it was not judged.
    pub(super) sensitivities: Option<BenchSensitivities>,
}

/// Everything that patterns are judged by.
struct Given<'a> {
    job: &'a Job,
    demands: &'a [Demand<'a>],
    measured: &'a Measured,
    sized: &'a [Sized],
    positions: &'a [Vec<PositionFinding>],
    lists: &'a DatumLists<'a>,
}

/// Judges all patterns of a piece.
pub(super) fn judge_patterns(
    job: &Job,
    lists: &DatumLists<'_>,
    demands: &[Demand<'_>],
    measured: &Measured,
    sized: &[Sized],
    positions: &[Vec<PositionFinding>],
) -> Vec<PatternJudged> {
    let given = Given { job, demands, measured, sized, positions, lists };
    let groups = groups(job, demands, lists);
    let patterns = groups.iter().enumerate();
    patterns.map(|(index, group)| given.pattern(index, group)).collect()
}

/// How far a fit may be from the bound that its certificate gives and still decide, mm: a thousandth of
/// a gauge's last digit.
const UNPROVEN: f64 = 1e-6;

/// Segments that are judged together.
struct Group<'a> {
    datums: &'a [DatumRef],
    /// Index of this list of datums.
    list: Option<usize>,
    lower: bool,
    members: Vec<PositionId>,
}

/// What makes two segments one requirement.
#[derive(PartialEq, Eq, Hash)]
enum Key<'a> {
    /// The same datums, in the same order, at the same boundaries.
    Frame(&'a [DatumRef]),
    /// The same with one number (SIM).
    Number(&'a [DatumRef], usize, Option<u8>),
    /// Callouts alike, of features alike.
    Pattern {
        datums: &'a [DatumRef],
        segment: usize,
        own: &'a [DatumRef],
        tolerance: u64,
        modifier: Modifier,
        pattern: &'a str,
        /// Kind and limits; a word on the drawing joins features of different sizes.
        size: Option<(crate::job::Kind, Option<[u64; 3]>)>,
    },
    /// Each feature for itself.
    Alone(PositionId),
}

fn key<'a>(
    job: &Job,
    demand: &Demand<'a>,
    ask: &PositionRequirement<'a>,
    id: PositionId,
) -> Key<'a> {
    let (callout, segment) = (ask.callout, ask.segment.number);
    let lower = segment.checked_sub(1).and_then(|n| callout.lower.get(n));
    let together = lower.map_or(callout.together, |s| s.together);
    let datums = callout.datums.as_slice();
    match job.drawing.standard().judged_with(together, segment > 0) {
        JudgedWith::Frame => Key::Frame(datums),
        JudgedWith::Number(n) => Key::Number(datums, segment, n.map(std::num::NonZeroU8::get)),
        JudgedWith::Alone => Key::Alone(id),
        JudgedWith::Pattern => {
            let tolerance = lower.map_or(callout.tolerance, |s| s.tolerance);
            let alike = (demand.feature.kind, demand.feature.size.map(size_key));
            Key::Pattern {
                datums,
                segment,
                own: ask.datums,
                tolerance: tolerance.0.to_bits(),
                modifier: callout.modifier,
                pattern: callout.pattern.as_str(),
                size: callout.pattern.is_empty().then_some(alike),
            }
        }
    }
}

fn size_key(size: SizeLimits) -> [u64; 3] {
    match size {
        SizeLimits::Limits { lower, upper } => [0, lower.0.to_bits(), upper.0.to_bits()],
        SizeLimits::Deviations { nominal, lower, upper } => {
            let [n, l, u] = [nominal, lower, upper].map(|f| f.0);
            [1, (n + l).to_bits(), (n + u).to_bits()]
        }
        SizeLimits::Class { nominal, class } => {
            let name = class.to_string();
            let hash = name.bytes().fold(0_u64, |h, b| h.wrapping_mul(31).wrapping_add(b.into()));
            [2, nominal.0.to_bits(), hash]
        }
    }
}

fn groups<'a>(job: &Job, demands: &[Demand<'a>], lists: &DatumLists<'_>) -> Vec<Group<'a>> {
    let mut at: FxHashMap<Key<'a>, usize> = FxHashMap::default();
    let mut all: Vec<Group<'a>> = Vec::new();
    for (feature, demand) in demands.iter().enumerate() {
        for (index, ask) in demand.asks.iter().enumerate() {
            let lower = ask.segment.number > 0;
            let held = lists.constraints(ask.list).and_then(|held| held.as_ref().ok());
            let stands = held.is_some_and(DatumConstraints::stands);
            let located = !lower || !job.drawing.standard().lower_segment_frees_translation();
            if located && stands {
                continue;
            }
            let group = *at.entry(key(job, demand, ask, (feature, index))).or_insert_with(|| {
                all.push(Group { datums: ask.datums, list: ask.list, lower, members: Vec::new() });
                all.len() - 1
            });
            all[group].members.push((feature, index));
        }
    }
    all
}

/// One feature in its pattern.
struct Placed<'a> {
    id: PositionId,
    position: &'a PositionFinding,
    /// Whether all of it was measured, and it can be judged.
    ready: bool,
    /// Measured place in the frame, mm.
    at: [f64; 2],
    /// Basic place, mm.
    basic: [f64; 2],
    /// Deviation in the frame as it was set up.
    before: [Option<Length>; 2],
    /// Along which axes it may lie anywhere.
    free: [bool; 2],
}

impl Placed<'_> {
    /// A bonus could still come from a size that was not measured.
    fn short(&self) -> bool {
        self.position.bonus == Bonus::None(NoBonus::SizeNotMeasured)
    }

    fn member(&self) -> Member {
        let half = 0.5 * self.position.allowed.to_mm();
        let zone = match self.position.zone {
            Zone::Round => fit::Zone::Round { radius: half },
            Zone::Planes(axis) => fit::Zone::Planes { normal: axis.unit(), half },
        };
        Member { nominal: self.basic, measured: self.at, zone }
    }
}

/// A datum feature of size on the gauge.
struct Counterpart {
    stop: DatumStop,
    at: [f64; 2],
    basic: [f64; 2],
    /// At its boundary.
    limit: Option<Limit>,
    /// The size that the clearance depends on.
    size: Option<SizeRef>,
}

impl Counterpart {
    /// As a bound of the fit that is centred on its counterpart.
    fn centred(&self) -> Bound {
        let counterpart = match self.stop.shape {
            StopShape::Round => fit::Counterpart::Round,
            StopShape::Across(normal) => fit::Counterpart::Planes { normal },
        };
        Bound { nominal: self.basic, measured: self.at, counterpart }
    }

    /// As a bound of the fit with half this clearance, mm.
    fn within(&self, half: f64) -> Bound {
        let zone = match self.stop.shape {
            StopShape::Round => fit::Zone::Round { radius: half },
            StopShape::Across(normal) => fit::Zone::Planes { normal, half },
        };
        Bound::within(self.basic, self.at, zone)
    }

    fn clearance(&self) -> f64 {
        self.limit.map_or(0.0, |l| l.clearance.to_mm())
    }
}

impl<'a> Given<'a> {
    fn pattern(&self, index: usize, group: &Group<'a>) -> PatternJudged {
        let job = self.job;
        let features: Vec<usize> = group.members.iter().map(|(f, _)| *f).collect();
        let frame = self.measured.frames.get(group.list);
        let frame = &frame.together(self.job, &self.measured.bench, &features);
        let free = self.free_of_one(group);
        let placed = group.members.iter().filter_map(|id| self.placed(*id, frame, free));
        let members: Vec<Placed<'a>> = placed.collect();
        let blank = PatternFinding {
            datums: group.datums.to_vec(),
            lower: group.lower,
            members: members.iter().map(|m| m.id.0).collect(),
            missing: members.iter().filter(|m| !m.ready).map(|m| m.id.0).collect(),
            shift: [Length::ZERO; 2],
            turn: 0.0,
            margin: None,
            holding: Vec::new(),
            rooms: Vec::new(),
            rework: None,
            proof: None,
            unjudged: None,
            verdict: Verdict::NotMeasured,
        };
        let constraints = match (frame.lacks([true; 2]), self.lists.constraints(group.list)) {
            (None, Some(Ok(constraints))) => constraints,
            (Some(why), _) | (None, Some(Err(why))) => {
                return refused(blank, &members, why.clone());
            }
            (None, None) => return refused(blank, &members, Unjudged::Figures),
        };
        let loose = constraints.stops.iter().any(|s| s.room != StopRoom::None);
        let frees = group.lower && job.drawing.standard().lower_segment_frees_translation();
        if frees && loose {
            let loose = group.datums.iter().find(|d| d.boundary != Boundary::Regardless);
            let letter = loose.map(|d| d.letter.clone()).unwrap_or_default();
            return refused(blank, &members, Unjudged::BoundaryBelow(letter));
        }
        if !members.iter().any(|m| m.ready) {
            let members = members.iter().map(|m| (m.id, m.position.clone())).collect();
            return PatternJudged { finding: blank, members, sensitivities: None };
        }
        let stops: &[DatumStop] = if frees { &[] } else { &constraints.stops };
        let counterparts: Result<Vec<Counterpart>, Unjudged> =
            stops.iter().map(|stop| self.counterpart(group.datums, stop, frame)).collect();
        let counterparts = match counterparts {
            Ok(counterparts) => counterparts,
            Err(why) => return refused(blank, &members, why),
        };
        let [x, y] = if frees { [true; 2] } else { constraints.along.map(|stopped| !stopped) };
        let freedom = Freedom {
            x,
            y,
            // A lower segment without datums is free to turn too.
            turn: match frees {
                true if group.datums.is_empty() => Turn::Free,
                true if constraints.turn || constraints.clocked() => Turn::Locked,
                false if constraints.turn => Turn::Locked,
                _ => Turn::Free,
            },
        };
        self.fitted((index, group.datums), blank, &members, &counterparts, freedom, frame)
    }

    /// Fits the members with the datum features inside their boundaries, and judges by it.
    fn fitted(
        &self,
        (index, datums): (usize, &[DatumRef]),
        blank: PatternFinding,
        members: &[Placed<'a>],
        counterparts: &[Counterpart],
        freedom: Freedom,
        frame: &Frame,
    ) -> PatternJudged {
        let ready: Vec<&Placed<'a>> = members.iter().filter(|m| m.ready).collect();
        let fitted: Vec<Member> = ready.iter().map(|m| m.member()).collect();
        let bounds = bounds(counterparts, freedom);
        let Ok(found) = fit::fit(&fitted, &bounds, freedom) else {
            return refused(blank, members, Unjudged::Figures);
        };
        // A fit that cannot show that it is the best one decides nothing.
        if found.certificate().gap > UNPROVEN {
            return refused(blank, members, Unjudged::Figures);
        }
        // What the fit cannot tell from nothing is a tie.
        let tie = found.gauge_goes_on() && found.passes() && found.s() > 0.0;
        let margin = if tie { Length::ZERO } else { Length::mm(-2.0 * found.s()) };
        let of = self.sensitivities(&ready, counterparts, &found);
        let of = of.and_then(|of| frame.to_bench(self.job, &self.measured.bench, &of));
        let variance = of.as_ref().and_then(|of| self.measured.bench.variance(of));
        let standard = variance.map(|v| Length::mm(v.sqrt()));
        let k = of
            .as_ref()
            .zip(standard)
            .map_or(K, |(of, u)| coverage(self.job, &self.measured.bench, of, u));
        let (proof, verdict) = prove_margin(margin, standard, k, self.job.plan.decision_rule);
        if !found.gauge_goes_on() {
            let found = Excluded { margin, proof, verdict, sensitivities: of };
            return self.excluded(datums, blank, members, counterparts, found);
        }
        let guards = self.guards(&ready, &found, frame, proof);
        let closer = match verdict {
            Verdict::Conforms => self.held_closer(
                (&ready, &fitted),
                &guards,
                (counterparts, &bounds),
                freedom,
                frame,
            ),
            _ => None,
        };
        // What limits it once each feature is held against its own guard band.
        let (limits, proof, verdict, of) = match closer {
            Some((fit, closer)) => (fit, closer.proof, closer.verdict, closer.sensitivities),
            None => (found.clone(), proof, verdict, of),
        };
        // What is missing could only hold the pattern closer.
        let incomplete = !blank.missing.is_empty();
        let short = members.iter().any(Placed::short);
        let verdict = match verdict {
            Verdict::DoesNotConform if !short => Verdict::DoesNotConform,
            _ if incomplete || (short && verdict != Verdict::Conforms) => Verdict::NotMeasured,
            other => other,
        };
        let certificate = limits.certificate();
        let holds = |i: usize| certificate.members.iter().any(|h| h.index == i);
        let mut holding: Vec<usize> = Vec::new();
        for (_, m) in ready.iter().enumerate().filter(|(i, _)| holds(*i)) {
            if !holding.contains(&m.id.0) {
                holding.push(m.id.0);
            }
        }
        let rooms = counterparts.iter().zip(&bounds).enumerate().map(|(i, (c, bound))| Room {
            after: found.deviation(bound.nominal, bound.measured).map(Length::mm),
            holds: certificate.bounds.iter().any(|h| h.index == i),
            ..self.room(datums, c)
        });
        let fails = verdict == Verdict::DoesNotConform && !found.passes();
        let rework = fails.then(|| rework(&ready, &bounds, freedom)).flatten();
        let needed = needed(&ready, &found, rework.as_ref());
        let finding = PatternFinding {
            shift: found.shift().map(Length::mm),
            turn: found.turn(),
            margin: Some(margin),
            holding,
            rooms: rooms.collect(),
            rework,
            proof,
            verdict,
            ..blank
        };
        let mut moved = needed.into_iter().enumerate();
        let members = members.iter().map(|m| {
            if !m.ready {
                return (m.id, m.position.clone());
            }
            let Some((i, needed)) = moved.next() else { return (m.id, m.position.clone()) };
            let after = found.deviation(m.basic, m.at).map(Length::mm);
            let after = [0, 1].map(|k| {
                let counts = m.before[k].is_some() || m.free[k];
                counts.then_some(after[k])
            });
            let shifted = Shifted { pattern: index, before: m.before };
            let by = (holds(i), needed.allowed());
            let guard = guards.get(i).copied().flatten();
            let mut position =
                shift_position(m.position.clone(), after, shifted, verdict, by, guard);
            position.proof = proof.filter(|_| holds(i) || position.verdict == Verdict::NotProven);
            if needed == Needed::Nothing {
                position.needed = None;
            }
            (m.id, position)
        });
        PatternJudged { members: members.collect(), finding, sensitivities: of }
    }

    /// The guard band of each feature by its own uncertainty, as a diameter, with the pattern standing
    /// where it was fitted; `None` where the rule asks for one and the uncertainty is not known. What
    /// the others count from has that of the pattern, whose uncertainty is `proof`.
    fn guards(
        &self,
        ready: &[&Placed<'a>],
        found: &Fit,
        frame: &Frame,
        proof: Option<Proof>,
    ) -> Vec<Option<Length>> {
        let DecisionRule::GuardedAcceptance { multiple } = self.job.plan.decision_rule else {
            return vec![Some(Length::ZERO); ready.len()];
        };
        let bench = &self.measured.bench;
        let own = |m: &&Placed<'a>| {
            let of = frame.to_bench(self.job, bench, &self.own_sensitivities(m, found)?)?;
            let u = Length::mm(bench.variance(&of)?.sqrt());
            Some(u * coverage(self.job, bench, &of, u)).filter(|u| *u > Length::ZERO)
        };
        let one = |m| Some(own(m).or_else(|| proof.map(|p| p.expanded))? * multiple);
        ready.iter().map(one).collect()
    }

    /// What another feature than those that limit a pattern has against it, where each is held against
    /// its own guard band; `None` where it conforms all the same.
    fn held_closer(
        &self,
        (ready, fitted): (&[&Placed<'a>], &[Member]),
        guards: &[Option<Length>],
        (counterparts, bounds): (&[Counterpart], &[Bound]),
        freedom: Freedom,
        frame: &Frame,
    ) -> Option<(Fit, Closer)> {
        let rule = self.job.plan.decision_rule;
        if !matches!(rule, DecisionRule::GuardedAcceptance { .. }) {
            return None;
        }
        let guards: Vec<Length> = guards.iter().copied().collect::<Option<_>>()?;
        let Guarded { fit, margin } = guarded(fitted, &guards, bounds, freedom)?;
        if fit.certificate().gap > UNPROVEN {
            return None;
        }
        let bench = &self.measured.bench;
        let of = self.sensitivities(ready, counterparts, &fit);
        let of = of.and_then(|of| frame.to_bench(self.job, bench, &of));
        let variance = of.as_ref().and_then(|of| bench.variance(of));
        let standard = variance.map(|v| Length::mm(v.sqrt()));
        let k = of.as_ref().zip(standard).map_or(K, |(of, u)| coverage(self.job, bench, of, u));
        let (proof, verdict) = prove_margin(margin, standard, k, rule);
        let closer = Closer { proof, verdict, sensitivities: of };
        (verdict != Verdict::Conforms).then_some((fit, closer))
    }

    /// How the margin of one feature follows from what was measured, its pattern standing where it does.
    fn own_sensitivities(&self, m: &Placed<'a>, found: &Fit) -> Option<Sensitivities> {
        let deviation = found.deviation(m.basic, m.at);
        let length = libm::hypot(deviation[0], deviation[1]);
        let out = match m.position.zone {
            Zone::Planes(axis) => axis.unit(),
            Zone::Round if length > 0.0 => deviation.map(|d| d / length),
            Zone::Round => [1.0, 0.0],
        };
        let places = vec![(m.id.0, out.map(|e| -2.0 * e))];
        let sizes = self.bonus_size(m)?.into_iter().collect();
        Some(Sensitivities { places, sizes, ..Sensitivities::default() })
    }

    /// The size that made a bonus, and the derivative of the bonus by it: `Some(None)` for no bonus.
    fn bonus_size(&self, m: &Placed<'a>) -> Option<Option<(SizeRef, f64)>> {
        if !matches!(m.position.bonus, Bonus::Earned { .. }) {
            return Some(None);
        }
        let size = &self.sized.get(m.id.0)?.size;
        let seen = size.used(m.position.kind, m.position.modifier)?;
        let by = if m.position.grows_with_size() { 1.0 } else { -1.0 };
        Some(Some((SizeRef { feature: m.id.0, orientation: seen.orientation }, by)))
    }

    /// The gauge does not go on: its counterparts cannot all go in at once, and the pattern does not
    /// conform. Its margin is what every boundary would have to give, as a diameter.
    fn excluded(
        &self,
        datums: &[DatumRef],
        blank: PatternFinding,
        members: &[Placed<'a>],
        counterparts: &[Counterpart],
        Excluded { margin, proof, verdict, sensitivities }: Excluded,
    ) -> PatternJudged {
        let why = Unjudged::GaugeDoesNotFit(margin.abs());
        let finding = PatternFinding {
            margin: Some(margin),
            rooms: counterparts.iter().map(|c| self.room(datums, c)).collect(),
            proof,
            unjudged: Some(why.clone()),
            verdict,
            ..blank
        };
        let members = members.iter().map(|m| {
            let position = PositionFinding {
                verdict: if m.ready { verdict } else { m.position.verdict },
                by_bonus: false,
                proof: proof.filter(|_| m.ready),
                unjudged: m.position.unjudged.clone().or_else(|| m.ready.then(|| why.clone())),
                ..m.position.clone()
            };
            (m.id, position)
        });
        PatternJudged { members: members.collect(), finding, sensitivities }
    }

    /// Along which axes a single feature may lie anywhere, since its datums stop nothing there.
    fn free_of_one(&self, group: &Group<'_>) -> [bool; 2] {
        let constraints = self.lists.constraints(group.list).and_then(|c| c.as_ref().ok());
        let alone = group.members.len() == 1 && !group.lower;
        let free = constraints.filter(|c| alone && c.stops.is_empty());
        free.map_or([false; 2], |c| c.along.map(|stopped| !stopped))
    }

    fn placed(&self, id: PositionId, frame: &Frame, free: [bool; 2]) -> Option<Placed<'a>> {
        let (f, segment) = id;
        let ask = self.demands.get(f)?.asks.get(segment)?;
        let position = self.positions.get(f)?.get(segment)?;
        let feature = self.job.drawing.features.get(f)?;
        let bench = &self.measured.bench;
        let point = feature.basic_point(self.job.drawing.unit);
        let basic = [point.x.to_mm(), point.y.to_mm()];
        let found = frame.coordinates(self.job, bench, f).map(|c| c.map(|c| c.value));
        let needs = ask.needs(feature.kind);
        let missing = (0..2).any(|k| needs[k] && found[k].is_none() && !free[k]);
        // Where it may lie anywhere it was still to be looked at.
        let read = bench.facts().read.get(f).copied().unwrap_or_default();
        let unread = (0..2).all(|k| !needs[k] || !read[k]);
        let missing = missing || (unread && free.iter().any(|free| *free));
        let fault = self.sized.get(f).is_some_and(|s| s.fault.is_some());
        Some(Placed {
            id,
            position,
            ready: !missing && ask.unjudged.is_none() && !fault,
            at: [0, 1].map(|k| found[k].unwrap_or(basic[k])),
            basic,
            before: [0, 1].map(|k| found[k].map(|at| Length::mm(at - basic[k]))),
            free,
        })
    }

    /// A datum feature of size on the gauge.
    fn counterpart(
        &self,
        datums: &[DatumRef],
        stop: &DatumStop,
        frame: &Frame,
    ) -> Result<Counterpart, Unjudged> {
        let Some(datum) = datums.get(stop.datum) else { return Err(Unjudged::Figures) };
        let job = self.job;
        let feature = job.drawing.features.get(stop.feature);
        let (Some(feature), Some(sized)) = (feature, self.sized.get(stop.feature)) else {
            return Err(Unjudged::UnknownDatum(datum.letter.clone()));
        };
        let missing = || Unjudged::DatumNotMeasured(datum.letter.clone());
        let point = feature.basic_point(job.drawing.unit);
        let basic = [point.x.to_mm(), point.y.to_mm()];
        let found = frame.coordinates(job, &self.measured.bench, stop.feature);
        let at = |k: usize| found[k].as_ref().map(|c| c.value);
        let at = match stop.shape {
            StopShape::Round => [at(0).ok_or_else(missing)?, at(1).ok_or_else(missing)?],
            StopShape::Across(e) => {
                // What lies along the line was not asked for where the datum has one coordinate only.
                let needed = |k: usize| match at(k) {
                    Some(at) => Ok(at),
                    None if e[k].abs() > 1e-9 => Err(missing()),
                    None => Ok(basic[k]),
                };
                [needed(0)?, needed(1)?]
            }
        };
        let limit = match stop.room {
            StopRoom::Clearance => {
                let sizes: Vec<Length> = sized.size.seen.iter().map(|s| s.size).collect();
                let before = datums.get(..stop.datum).unwrap_or_default();
                Some(limit(job, datum, feature, stop.shape, before, &sizes)?)
            }
            StopRoom::None | StopRoom::Centred => None,
        };
        let size = limit
            .and_then(|l| sized.size.seen.get(l.size))
            .map(|seen| SizeRef { feature: stop.feature, orientation: seen.orientation });
        Ok(Counterpart { stop: stop.clone(), at, basic, limit, size })
    }

    /// What a datum feature leaves, before the shift.
    fn room(&self, datums: &[DatumRef], c: &Counterpart) -> Room {
        let letter = datums.get(c.stop.datum).map(|d| d.letter.clone()).unwrap_or_default();
        let size = c.limit.and_then(|l| {
            let seen = &self.sized.get(c.stop.feature)?.size.seen;
            Some((l.boundary, seen.get(l.size)?.size))
        });
        Room {
            letter,
            feature: c.stop.feature,
            limit: size,
            clearance: Length::mm(c.clearance().max(0.0)),
            across: match c.stop.shape {
                StopShape::Round => None,
                StopShape::Across(e) => Some(e),
            },
            before: [0, 1].map(|k| Length::mm(c.at[k] - c.basic[k])),
            after: [Length::ZERO; 2],
            holds: false,
        }
    }

    /// How the margin of a pattern, as a diameter, follows from what was measured. At an optimum it
    /// depends on places and sizes by the multipliers of the fit alone (the envelope theorem): on a
    /// place by its push, and on what makes bonus or clearance by its weight.
    fn sensitivities(
        &self,
        ready: &[&Placed<'a>],
        counterparts: &[Counterpart],
        found: &Fit,
    ) -> Option<Sensitivities> {
        let mut of = Sensitivities::default();
        let certificate = found.certificate();
        for hold in &certificate.members {
            let m = ready.get(hold.index)?;
            of.places.push((m.id.0, hold.by_place.map(|g| -2.0 * g)));
            if let Some((size, by)) = self.bonus_size(m)? {
                of.sizes.push((size, by * hold.weight));
            }
        }
        for hold in &certificate.bounds {
            let c = counterparts.get(hold.index)?;
            of.places.push((c.stop.feature, hold.by_place.map(|g| -2.0 * g)));
            // Regardless of size there is no size that it depends on.
            if let Some((size, limit)) = c.size.zip(c.limit) {
                of.sizes.push((size, limit.by_size * hold.weight));
            }
        }
        Some(merged(of))
    }
}

/// Adds up what stands twice: a size may make a bonus and a clearance.
fn merged(of: Sensitivities) -> Sensitivities {
    let mut sizes: Vec<(SizeRef, f64)> = Vec::with_capacity(of.sizes.len());
    for (size, g) in of.sizes {
        match sizes.iter_mut().find(|(own, _)| *own == size) {
            Some((_, sum)) => *sum += g,
            None => sizes.push((size, g)),
        }
    }
    Sensitivities { sizes, ..of }
}

/// What is found where a feature is held against its own guard band.
struct Closer {
    proof: Option<Proof>,
    verdict: Verdict,
    sensitivities: Option<BenchSensitivities>,
}

/// What is found where the gauge does not go on.
struct Excluded {
    margin: Length,
    proof: Option<Proof>,
    verdict: Verdict,
    sensitivities: Option<BenchSensitivities>,
}

/// The datum features as bounds of the fit.
///
/// A tertiary datum that is centred as far as the others let it is first fitted for itself: the room it
/// then needs is the room it gets.
fn bounds(counterparts: &[Counterpart], freedom: Freedom) -> Vec<Bound> {
    let mut bounds: Vec<Bound> = Vec::with_capacity(counterparts.len());
    for c in counterparts {
        bounds.push(match c.stop.room {
            StopRoom::None => c.centred(),
            StopRoom::Clearance => c.within(0.5 * c.clearance()),
            StopRoom::Centred => {
                let bound = c.centred();
                let alone = [Member {
                    nominal: bound.nominal,
                    measured: bound.measured,
                    zone: bound.zone(),
                }];
                match fit::fit(&alone, &bounds, freedom) {
                    Ok(found) if found.s() > 1e-9 => c.within(found.s() + 1e-9),
                    _ => bound,
                }
            }
        });
    }
    bounds
}

/// The fewest features whose rework lets the others conform with one shift. Of sets of the same number
/// one whose features earn a bonus is preferred: bringing those to another size is rework enough.
fn rework(ready: &[&Placed<'_>], bounds: &[Bound], freedom: Freedom) -> Option<Rework> {
    let found = fewest(ready, bounds, freedom)?;
    let earns = |m: &&Placed<'_>| matches!(m.position.bonus, Bonus::Earned { .. });
    let (earning, others): (Vec<&Placed<'_>>, Vec<&Placed<'_>>) =
        ready.iter().copied().partition(earns);
    if earning.is_empty() || others.is_empty() {
        return Some(found);
    }
    let mut held = bounds.to_vec();
    held.extend(others.iter().map(|m| {
        let Member { nominal, measured, zone } = m.member();
        Bound::within(nominal, measured, zone)
    }));
    match (&found, fewest(&earning, &held, freedom)) {
        (
            Rework::Features { features: any, .. },
            Some(Rework::Features { features, shift, turn }),
        ) if features.len() == any.len() => Some(Rework::Features { features, shift, turn }),
        _ => Some(found),
    }
}

fn fewest(ready: &[&Placed<'_>], bounds: &[Bound], freedom: Freedom) -> Option<Rework> {
    let members: Vec<Member> = ready.iter().map(|m| m.member()).collect();
    let feature = |i: usize| ready.get(i).map_or(usize::MAX, |m| m.id.0);
    let found = fit::fewest_reworks(&members, bounds, freedom, feature, fit::REWORK_NODES);
    Some(match found.ok()? {
        fit::Rework::Fewest(found) => {
            let mut features: Vec<(usize, Length)> = Vec::new();
            for one in &found.members {
                let (feature, needed) = (feature(one.index), Length::mm(one.needed));
                match features.iter_mut().find(|(own, _)| *own == feature) {
                    Some((_, most)) => *most = most.max(needed),
                    None => features.push((feature, needed)),
                }
            }
            let shift = found.shift().map(Length::mm);
            Rework::Features { features, shift, turn: found.turn() }
        }
        fit::Rework::NotFound { at_least, .. } => Rework::AtLeast(at_least),
        fit::Rework::NotNeeded | fit::Rework::Blocked { .. } => return None,
    })
}

/// What a feature that fails with its pattern would have to be allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Needed {
    /// Its own position.
    Own,
    /// This, at the shift that lets all features conform that are not reworked.
    Allowed(Length),
    /// Nothing: it conforms once others are reworked, or no set to rework was found.
    Nothing,
}

impl Needed {
    const fn allowed(self) -> Option<Length> {
        match self {
            Self::Allowed(length) => Some(length),
            Self::Own | Self::Nothing => None,
        }
    }
}

/// What each feature would have to be allowed, given what is to be reworked.
fn needed(ready: &[&Placed<'_>], found: &Fit, rework: Option<&Rework>) -> Vec<Needed> {
    let one = |m: &&Placed<'_>| match rework {
        Some(Rework::Features { features, .. }) => {
            match features.iter().find(|(feature, _)| *feature == m.id.0) {
                Some((_, needed)) => Needed::Allowed(*needed),
                None if found.left_over(&m.member()) < 0.0 => Needed::Nothing,
                None => Needed::Own,
            }
        }
        Some(Rework::AtLeast(_)) => Needed::Nothing,
        None => Needed::Own,
    };
    ready.iter().map(one).collect()
}

fn refused(blank: PatternFinding, members: &[Placed<'_>], why: Unjudged) -> PatternJudged {
    let verdict = match why {
        Unjudged::DatumNotMeasured(_) => Verdict::NotMeasured,
        _ => Verdict::CannotBeJudged,
    };
    let members = members.iter().map(|m| {
        let unjudged = m.position.unjudged.clone().or_else(|| Some(why.clone()));
        let proof = None;
        (m.id, PositionFinding { unjudged, verdict, proof, by_bonus: false, ..m.position.clone() })
    });
    let members = members.collect();
    let finding = PatternFinding { unjudged: Some(why), verdict, ..blank };
    PatternJudged { finding, members, sensitivities: None }
}
