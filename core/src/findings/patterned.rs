//! Patterns judged as the functional gauge would: all positions of one frame with one common
//! shift, where the datums leave a freedom, and lower segments of composite callouts.

use super::ask::Ask;
use super::measured::{Measured, SizeDoubt};
use super::{FeatureFinding, PatternFinding, Room};
use crate::adjust::{Coordinates, Owed, Source};
use crate::callout::{
    Bonus, NoBonus, Shifted, Unjudged, Verdict, Zone, prove_margin, shift_position,
};
use crate::fit::{self, Bound, Counterpart, Fit, Freedom, Member, Turn};
use crate::frame::Frame;
use crate::job::{Boundary, DatumRef, DecisionRule, Job, Modifier, Position};
use crate::pattern::{Held, Shape, Stop, limit};
use crate::quantity::Length;
use rustc_hash::FxHashMap;

/// Judges all patterns of a piece and writes what it finds into the features' positions.
/// `doubts` are the uncertainties of the sizes, where known.
pub(super) fn judge_patterns(
    job: &Job,
    asks: &[&[Ask<'_>]],
    measured: &mut Measured<'_>,
    doubts: &[Option<SizeDoubt>],
    features: &mut [FeatureFinding],
) -> Vec<PatternFinding> {
    let mut patterns = Vec::new();
    for group in groups(job, asks) {
        let Some((pattern, members)) = judge(job, asks, &group, measured, doubts, features) else {
            continue;
        };
        let index = patterns.len();
        let guard = match job.plan.decision_rule {
            DecisionRule::SimpleAcceptance => Some(Length::ZERO),
            DecisionRule::GuardedAcceptance { multiple } => {
                pattern.proof.map(|p| p.expanded * multiple)
            }
        };
        for member in members {
            let found = features.get_mut(member.feature);
            let Some(p) = found.and_then(|f| f.position_mut(member.ask)) else { continue };
            if let Some(why) = &pattern.unjudged {
                p.unjudged.get_or_insert_with(|| why.clone());
                p.verdict = pattern.verdict;
                continue;
            }
            let shifted = Shifted { pattern: index, before: member.before };
            p.proof = pattern.proof.filter(|_| member.holds);
            if member.ready {
                let held = (member.holds, member.needed);
                shift_position(p, member.after, shifted, pattern.verdict, held, guard);
                if member.lost {
                    p.needed = None;
                }
                // What it was held against.
                if p.verdict == Verdict::NotProven {
                    p.proof = pattern.proof;
                }
            }
        }
        patterns.push(pattern);
    }
    patterns
}

/// How far a fit may be from the bound that its certificate gives and still decide, mm: a thousandth of
/// a gauge's last digit.
const UNPROVEN: f64 = 1e-6;

/// Segments that are judged together.
struct Group<'a> {
    datums: &'a [DatumRef],
    lower: bool,
    /// Feature, and index among its asks.
    members: Vec<(usize, usize)>,
}

/// What makes two segments one requirement.
#[derive(PartialEq, Eq, Hash)]
struct Key<'a> {
    datums: &'a [DatumRef],
    /// The callout itself, where it is judged for itself: always in a lower segment.
    alone: Option<(u64, Modifier, &'a str, usize)>,
    lower: Option<(u64, &'a [DatumRef])>,
}

fn key<'a>(ask: &Ask<'a>) -> Key<'a> {
    let callout: &'a Position = ask.callout;
    let number = ask.segment.number;
    let alone = (callout.separate || number > 0).then(|| {
        (callout.tolerance.0.to_bits(), callout.modifier, callout.pattern.as_str(), number)
    });
    let lower = number
        .checked_sub(1)
        .and_then(|n| callout.lower.get(n))
        .map(|s| (s.tolerance.0.to_bits(), s.datums.as_slice()));
    Key { datums: &callout.datums, alone, lower }
}

fn groups<'a>(job: &Job, asks: &[&[Ask<'a>]]) -> Vec<Group<'a>> {
    let mut at: FxHashMap<Key<'a>, usize> = FxHashMap::default();
    let mut all: Vec<Group<'a>> = Vec::new();
    // Nearly all drawings have one frame that leaves nothing free.
    let mut whole: FxHashMap<&'a [DatumRef], bool> = FxHashMap::default();
    for (feature, asks) in asks.iter().enumerate() {
        for (index, ask) in asks.iter().enumerate() {
            let lower = ask.segment.number > 0;
            let stands = *whole
                .entry(ask.datums)
                .or_insert_with(|| Held::of(job, ask.datums).is_ok_and(|held| held.stands()));
            if !lower && stands {
                continue;
            }
            let group = *at.entry(key(ask)).or_insert_with(|| {
                all.push(Group { datums: ask.datums, lower, members: Vec::new() });
                all.len() - 1
            });
            all[group].members.push((feature, index));
        }
    }
    all
}

/// One feature in its pattern.
struct Placed {
    feature: usize,
    ask: usize,
    zone: Zone,
    /// Whether all of it was measured, and it can be judged.
    ready: bool,
    /// A bonus could still come from a size that was not measured.
    short: bool,
    at: [f64; 2],
    basic: [f64; 2],
    before: [Option<Length>; 2],
    after: [Option<Length>; 2],
    allowed: f64,
    /// Its size made a bonus.
    earned: bool,
    /// It is one of the things that hold the pattern: this segment, not another of its feature.
    holds: bool,
    /// It grows with its size.
    grows: bool,
    /// What would have to be allowed, where that is not its position after the shift.
    needed: Option<Length>,
    /// It fails, and no size of it would help.
    lost: bool,
    /// A change of its size can make its zone larger.
    opens: bool,
}

fn judge(
    job: &Job,
    asks: &[&[Ask<'_>]],
    group: &Group<'_>,
    measured: &mut Measured<'_>,
    doubts: &[Option<SizeDoubt>],
    features: &[FeatureFinding],
) -> Option<(PatternFinding, Vec<Placed>)> {
    let letters: Vec<String> = group.datums.iter().map(|d| d.letter.clone()).collect();
    let frame = measured.frame(Some(&letters));
    let mut members: Vec<Placed> = group
        .members
        .iter()
        .filter_map(|&(f, ask)| placed(job, asks, (f, ask), measured, &frame, features))
        .collect();
    let mut pattern = PatternFinding {
        datums: group.datums.to_vec(),
        lower: group.lower,
        members: members.iter().map(|m| m.feature).collect(),
        missing: members.iter().filter(|m| !m.ready).map(|m| m.feature).collect(),
        shift: [Length::ZERO; 2],
        turn: 0.0,
        margin: None,
        holding: Vec::new(),
        rooms: Vec::new(),
        proof: None,
        unjudged: None,
        verdict: Verdict::NotMeasured,
    };
    let held =
        match frame.lacks([true; 2]).cloned().map_or_else(|| Held::of(job, group.datums), Err) {
            Ok(held) => held,
            Err(why) => return Some((refused(pattern, why), members)),
        };
    if group.lower && held.stops.iter().any(|s| s.loose) {
        let loose = group.datums.iter().find(|d| d.boundary != Boundary::Regardless);
        let letter = loose.map(|d| d.letter.clone()).unwrap_or_default();
        return Some((refused(pattern, Unjudged::BoundaryBelow(letter)), members));
    }
    let ready: Vec<usize> = (0..members.len()).filter(|i| members[*i].ready).collect();
    if ready.is_empty() {
        return Some((pattern, members));
    }
    let stops: &[Stop] = if group.lower { &[] } else { &held.stops };
    let mut bounds = Vec::with_capacity(stops.len());
    for stop in stops {
        match bound(job, group.datums, stop, measured, &frame, features) {
            Ok((bound, room)) => {
                bounds.push(bound);
                pattern.rooms.push(room);
            }
            Err(why) => return Some((refused(pattern, why), members)),
        }
    }
    let clocked = held.stops.iter().any(|s| matches!(s.shape, Shape::Across(_)) && !s.loose)
        && held.stops.iter().any(|s| s.shape == Shape::Round && !s.loose);
    let [x, y] = if group.lower { [true; 2] } else { held.along.map(|stopped| !stopped) };
    let freedom = Freedom {
        x,
        y,
        // A lower segment without datums is free to turn too.
        turn: match group.lower {
            true if group.datums.is_empty() => Turn::Free,
            true if held.turn || clocked => Turn::Locked,
            false if held.turn => Turn::Locked,
            _ => Turn::Free,
        },
    };
    let fitted: Vec<Member> = ready.iter().map(|&i| member(&members[i])).collect();
    let found = match fit::fit(&fitted, &bounds, freedom) {
        Ok(found) if !found.gauge_goes_on() => {
            let why = Unjudged::GaugeDoesNotFit(Length::mm(2.0 * found.s()));
            return Some((refused(pattern, why), members));
        }
        Ok(found) => found,
        Err(_) => return Some((refused(pattern, Unjudged::Figures), members)),
    };
    // A fit that cannot show that it is the best one decides nothing.
    if found.certificate().gap > UNPROVEN {
        return Some((refused(pattern, Unjudged::Figures), members));
    }
    moved(&mut pattern, &mut members, &found, &ready, &bounds);
    if found.s() > 0.0 {
        saved(&mut members, &found, &ready, &bounds, freedom);
    }
    let margin = Length::mm(-2.0 * found.s());
    let hangs = hangs(job, group.datums, &members, &found, (&ready, stops), features);
    let standard = hangs.as_ref().and_then(|h| h.standard(measured, &frame, doubts));
    let k = coverage(hangs.as_ref().zip(standard), measured, &frame, doubts);
    let (proof, verdict) = prove_margin(margin, standard, k, job.plan.decision_rule);
    pattern.proof = proof;
    // What is missing could only hold the pattern closer.
    let incomplete = !pattern.missing.is_empty();
    let short = members.iter().any(|m| m.short);
    pattern.verdict = match verdict {
        Verdict::DoesNotConform if !short => Verdict::DoesNotConform,
        _ if incomplete || (short && verdict != Verdict::Conforms) => Verdict::NotMeasured,
        other => other,
    };
    Some((pattern, members))
}

fn refused(pattern: PatternFinding, why: Unjudged) -> PatternFinding {
    let verdict = match why {
        Unjudged::DatumNotMeasured(_) => Verdict::NotMeasured,
        _ => Verdict::CannotBeJudged,
    };
    PatternFinding { unjudged: Some(why), verdict, ..pattern }
}

fn placed(
    job: &Job,
    asks: &[&[Ask<'_>]],
    (feature, ask): (usize, usize),
    measured: &Measured<'_>,
    frame: &Frame,
    features: &[FeatureFinding],
) -> Option<Placed> {
    let asked = asks.get(feature)?.get(ask)?;
    let found = features.get(feature)?;
    let position = found.positions().nth(ask)?;
    let one = job.drawing.features.get(feature)?;
    let point = one.basic_point(job.drawing.unit);
    let Coordinates { x, y } = measured.at(feature, frame);
    let basic = [point.x.to_mm(), point.y.to_mm()];
    let needs = asked.needs(found.kind);
    let missing = (needs[0] && x.is_none()) || (needs[1] && y.is_none());
    let at = [x.map_or(basic[0], Length::to_mm), y.map_or(basic[1], Length::to_mm)];
    Some(Placed {
        feature,
        ask,
        zone: position.zone,
        ready: !missing && asked.unjudged.is_none() && found.fault.is_none(),
        short: position.bonus == Bonus::None(NoBonus::SizeNotMeasured),
        at,
        basic,
        before: [x.map(|x| x - point.x), y.map(|y| y - point.y)],
        after: [None; 2],
        allowed: position.allowed.to_mm(),
        earned: matches!(position.bonus, Bonus::Earned { .. }),
        holds: false,
        grows: found.kind.is_internal() == (position.modifier == Modifier::Mmc),
        needed: None,
        lost: false,
        opens: position.modifier == Modifier::Mmc,
    })
}

fn member(placed: &Placed) -> Member {
    let half = 0.5 * placed.allowed;
    let zone = match placed.zone {
        Zone::Round => fit::Zone::Round { radius: half },
        Zone::Planes(axis) => fit::Zone::Planes { normal: axis.unit(), half },
    };
    Member { nominal: placed.basic, measured: placed.at, zone }
}

/// What a datum feature leaves the pattern, and how the finding says it.
fn bound(
    job: &Job,
    datums: &[DatumRef],
    stop: &Stop,
    measured: &Measured<'_>,
    frame: &Frame,
    features: &[FeatureFinding],
) -> Result<(Bound, Room), Unjudged> {
    let Some(datum) = datums.get(stop.datum) else { return Err(Unjudged::Figures) };
    let (Some(one), Some(found)) =
        (job.drawing.features.get(stop.feature), features.get(stop.feature))
    else {
        return Err(Unjudged::UnknownDatum(datum.letter.clone()));
    };
    let missing = || Unjudged::DatumNotMeasured(datum.letter.clone());
    let point = one.basic_point(job.drawing.unit);
    let basic = [point.x.to_mm(), point.y.to_mm()];
    let Coordinates { x, y } = measured.at(stop.feature, frame);
    let at = match stop.shape {
        Shape::Round => [x.ok_or_else(missing)?.to_mm(), y.ok_or_else(missing)?.to_mm()],
        Shape::Across(e) => {
            // What lies along the line was not asked for where the datum has one coordinate only.
            let needed = |at: Option<Length>, e: f64, basic: f64| match at {
                Some(at) => Ok(at.to_mm()),
                None if e.abs() > 1e-9 => Err(missing()),
                None => Ok(basic),
            };
            [needed(x, e[0], basic[0])?, needed(y, e[1], basic[1])?]
        }
    };
    let limit = if stop.loose {
        let sizes = found.size.seen.iter().map(|s| s.size);
        Some(limit(job, datum, one, datums.get(..stop.datum).unwrap_or_default(), sizes)?)
    } else {
        None
    };
    let half = 0.5 * limit.map_or(0.0, |l| l.clearance.to_mm());
    let zone = match stop.shape {
        Shape::Round => fit::Zone::Round { radius: half },
        Shape::Across(normal) => fit::Zone::Planes { normal, half },
    };
    let room = Room {
        letter: datum.letter.clone(),
        feature: stop.feature,
        limit: limit.map(|l| (l.boundary, l.size)),
        clearance: Length::mm(2.0 * half),
        across: match stop.shape {
            Shape::Round => None,
            Shape::Across(e) => Some(e),
        },
        before: [at[0] - basic[0], at[1] - basic[1]].map(Length::mm),
        after: [Length::ZERO; 2],
        holds: false,
    };
    let counterpart = match stop.shape {
        _ if stop.loose => Counterpart::Boundary(zone),
        Shape::Round => Counterpart::Round,
        Shape::Across(normal) => Counterpart::Planes { normal },
    };
    Ok((Bound { nominal: basic, measured: at, counterpart }, room))
}

/// Writes where everything lies after the shift.
fn moved(
    pattern: &mut PatternFinding,
    members: &mut [Placed],
    found: &Fit,
    ready: &[usize],
    bounds: &[Bound],
) {
    pattern.shift = found.shift().map(Length::mm);
    pattern.turn = found.turn();
    pattern.margin = Some(Length::mm(-2.0 * found.s()));
    for &i in ready {
        let Some(m) = members.get_mut(i) else { continue };
        let after = found.deviation(m.basic, m.at).map(Length::mm);
        for ((to, after), before) in m.after.iter_mut().zip(after).zip(m.before) {
            *to = before.map(|_| after);
        }
    }
    let certificate = found.certificate();
    for hold in &certificate.members {
        let member = ready.get(hold.index).and_then(|i| members.get_mut(*i));
        if let Some(member) = member {
            member.holds = true;
            if !pattern.holding.contains(&member.feature) {
                pattern.holding.push(member.feature);
            }
        }
    }
    for (j, (room, bound)) in pattern.rooms.iter_mut().zip(bounds).enumerate() {
        room.after = found.deviation(bound.nominal, bound.measured).map(Length::mm);
        room.holds = certificate.bounds.iter().any(|h| h.index == j);
    }
}

/// What the features that fail and can be saved by their size would have to be allowed: the shift
/// that is best for them, the others inside their zones. It is found by the same fit, the zones of
/// the others being bounds; where these cannot all be kept, no size helps.
fn saved(members: &mut [Placed], found: &Fit, ready: &[usize], bounds: &[Bound], freedom: Freedom) {
    let (mut failing, mut limits) = (Vec::new(), bounds.to_vec());
    let mut which = Vec::new();
    for &i in ready {
        let Some(m) = members.get(i) else { continue };
        let one = member(m);
        if found.left_over(&one) < 0.0 && m.opens {
            failing.push(one);
            which.push(i);
        } else {
            limits.push(Bound::within(one.nominal, one.measured, one.zone));
        }
    }
    let best = fit::fit(&failing, &limits, freedom).ok().filter(Fit::gauge_goes_on);
    for i in which {
        if let Some(m) = members.get_mut(i) {
            m.needed = best.as_ref().map(|best| Length::mm(m.allowed + 2.0 * best.s()));
            m.lost = best.is_none();
        }
    }
}

/// What the margin of a pattern hangs on, to first order: at an optimum on what was measured by the
/// multipliers of the fit alone (the envelope theorem), on a place by its push, and on what makes
/// bonus or clearance by its weight.
struct Hangs {
    /// Features, and the derivatives of s by their places in the frame.
    places: Vec<(usize, [f64; 2])>,
    /// Features, whether they are inner ones, and the derivative of s by their sizes.
    sizes: Vec<(usize, bool, f64)>,
}

fn hangs(
    job: &Job,
    datums: &[DatumRef],
    members: &[Placed],
    found: &Fit,
    (ready, stops): (&[usize], &[Stop]),
    features: &[FeatureFinding],
) -> Option<Hangs> {
    let mut hangs = Hangs { places: Vec::new(), sizes: Vec::new() };
    let mut size = |feature: usize, weight: f64, grows: bool| {
        let inner = features.get(feature)?.kind.is_internal();
        hangs.sizes.push((feature, inner, if grows { -0.5 * weight } else { 0.5 * weight }));
        Some(())
    };
    let certificate = found.certificate();
    for hold in &certificate.members {
        let m = members.get(*ready.get(hold.index)?)?;
        hangs.places.push((m.feature, hold.by_place));
        if m.earned {
            size(m.feature, hold.weight, m.grows)?;
        }
    }
    for hold in &certificate.bounds {
        let stop = stops.get(hold.index)?;
        hangs.places.push((stop.feature, hold.by_place));
        // A boundary that leaves no room is a lock, whose weight is no sensitivity.
        if stop.loose && !hold.locked {
            let inner = job.drawing.features.get(stop.feature)?.kind.is_internal();
            let maximum = datums.get(stop.datum)?.boundary == Boundary::Maximum;
            size(stop.feature, hold.weight, inner == maximum)?;
        }
    }
    Some(hangs)
}

impl Hangs {
    /// Standard uncertainty of the margin, as a diameter, with what the datum features of the frame
    /// bring. The error of the probe constant is in all sizes of one instrument alike, and in the
    /// places too. `None` where the uncertainty of any of it is not known.
    fn standard(
        &self,
        measured: &Measured<'_>,
        frame: &Frame,
        doubts: &[Option<SizeDoubt>],
    ) -> Option<Length> {
        let places = measured.on_bench(frame, &self.places)?;
        let mut variance = measured.variance(&places)?;
        let mut probes: Vec<(usize, f64)> = Vec::new();
        for (feature, inner, derivative) in &self.sizes {
            let doubt = doubts.get(*feature).copied().flatten()?;
            let instrument = doubt.touched.instrument;
            let (u, k) = (doubt.standard.to_mm(), measured.probe(instrument).to_mm());
            variance += derivative * derivative * (u * u - k * k).max(0.0);
            // By the error of the constant, stated less true: an inner size is true plus that.
            let by_error = if *inner { -derivative } else { *derivative };
            match probes.iter_mut().find(|(i, _)| *i == instrument) {
                Some((_, sum)) => *sum += by_error,
                None => probes.push((instrument, by_error)),
            }
        }
        for (instrument, by_error) in probes {
            let k = measured.probe(instrument).to_mm();
            let with = measured.with_probe(&places, instrument)?;
            variance += by_error * by_error * k * k + 2.0 * by_error * with;
        }
        Some(Length::mm(2.0 * variance.max(0.0).sqrt()))
    }

    /// What the margin owes to each source, as a diameter.
    fn owed(
        &self,
        measured: &Measured<'_>,
        frame: &Frame,
        doubts: &[Option<SizeDoubt>],
        standard: Length,
    ) -> Option<Vec<Owed>> {
        let mut owed = measured.owed_on_bench(&measured.on_bench(frame, &self.places)?)?;
        for part in &mut owed {
            part.variance *= 4.0;
        }
        for (feature, _, derivative) in &self.sizes {
            let touched = doubts.get(*feature).copied().flatten()?.touched;
            let scale = 4.0 * derivative * derivative;
            let source = |part| Source::Touch(part, touched.instrument);
            Owed::touches(measured.doubts(), touched, scale, source).for_each(|o| o.add(&mut owed));
        }
        // The probe constant, as far as it is not in there yet, is taken for exactly known.
        let sum: f64 = owed.iter().map(|o| o.variance).sum();
        let rest = standard.to_mm() * standard.to_mm() - sum;
        Owed { source: Source::Size, repeats: None, variance: rest }.add(&mut owed);
        Some(owed)
    }
}

/// The coverage factor that the plan asks for.
fn coverage(
    hangs: Option<(&Hangs, Length)>,
    measured: &Measured<'_>,
    frame: &Frame,
    doubts: &[Option<SizeDoubt>],
) -> f64 {
    let owed = hangs
        .filter(|_| measured.looks_into_coverage())
        .and_then(|(hangs, standard)| hangs.owed(measured, frame, doubts, standard));
    measured.covering(owed.as_deref())
}
