//! The whole of it for one pattern.

use super::action::Action;
use super::choose::{Choice, Decided, Rule, Tail, Test};
use super::correction::Correction;
use super::distortion::{Distortion, Kind};
use super::foresee::{Foreseen, foresee};
use super::gram::Gram;
use super::member::{Member, NOISE, Trouble, check};
use super::outlier::{Outlier, outlier};
use super::support::{Refusal, support};

/// A value with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty, from the residuals or the floor, whichever is larger.
    pub uncertainty: f64,
}

/// How large an error is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// At the datum in x and y, millimetres.
    Shift([Estimate; 2]),
    /// About the datum, radians, counter-clockwise positive.
    Turn(Estimate),
    /// Per unit of length, positive grows.
    Scale(Estimate),
    /// Of x and of y, per unit of length.
    Scales([Estimate; 2]),
    /// By how much the angle from +X to +Y is less than a right one, radians.
    OutOfSquare(Estimate),
}

/// An error that the holes could tell of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// Its estimate, with the other errors that are in the model; of one that is not, as it was
    /// when it was tried.
    pub size: Size,
    /// What it makes at the hole where it makes most, millimetres. For two scales both together.
    pub farthest: f64,
    /// Whether it is in the model.
    pub used: bool,
    /// Whether [`Term::test`] says that it is there. One scale can be in the model without, where
    /// two are.
    pub significant: bool,
    /// The significance it had to have: [`LEVEL`](super::LEVEL) or the part of it that is its own;
    /// beside a hole on its own, for an error that does not show with that hole, divided by the
    /// number of holes.
    pub level: f64,
    /// The test that decided: with it against without it, the other errors of the model being
    /// there; of one that never came in, its step up the ladder.
    pub test: Test,
    /// Its step up the ladder of nested models: with it and all before it, against all before it.
    pub step: Test,
}

/// Whether a model could be tried at all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Standing {
    /// The holes cannot support it.
    Refused(Refusal),
    /// It was tried.
    Tried(Term),
}

/// A step of the ladder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// The error that it adds.
    pub kind: Kind,
    /// What became of it.
    pub standing: Standing,
}

/// What is wrong with a pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// The five models, from the shift to the shear.
    pub steps: Vec<Step>,
    /// The errors in the model, together. Zero where there are none.
    pub error: Distortion,
    /// The hole that is on its own, if there is one; it had no part in the errors.
    pub outlier: Option<Outlier>,
    /// Standard deviation of one coordinate about the model, millimetres, the outlier hole left out;
    /// `None` where there are no residuals. Not raised to the floor.
    pub scatter: Option<f64>,
    /// What a correction of work offset and angle would take away; `None` where neither a shift
    /// nor a rotation is there.
    pub correction: Option<Correction>,
    /// The holes as they are.
    pub now: Foreseen,
    /// The holes after that correction; as they are where there is none.
    pub corrected: Foreseen,
    /// The holes once every error of the model is gone: what they are off by is their own.
    pub cleared: Foreseen,
    /// What to do, in that order.
    pub actions: Vec<Action>,
}

/// Finds the kind of error of a pattern whose zeros are exact; see [`diagnose_from`].
///
/// # Errors
/// As [`diagnose_from`].
pub fn diagnose(members: &[Member], sigma: Option<f64>, tail: Tail) -> Result<Diagnosis, Trouble> {
    diagnose_from(members, sigma, [0.0; 2], tail)
}

/// Finds the kind of error of a pattern. `sigma` is the standard uncertainty of one measured
/// coordinate, millimetres, where it is known (of a mean of pieces, that of the mean); `zeros` those of
/// what all x and all y have in common, millimetres; `tail` is Fisher's F distribution. Whatever the
/// holes cannot tell is refused in its [`Step`], and is not an error.
///
/// # Errors
/// [`Trouble`] where a number is none, is negative and must not be, or is larger than ten
/// kilometres.
pub fn diagnose_from(
    members: &[Member],
    sigma: Option<f64>,
    zeros: [f64; 2],
    tail: Tail,
) -> Result<Diagnosis, Trouble> {
    check(members)?;
    let sigma = sigma.unwrap_or(0.0);
    if [sigma, zeros[0], zeros[1]].iter().any(|u| !u.is_finite() || *u < 0.0) {
        return Err(Trouble::Uncertainty);
    }
    let zero = zeros.map(|u| u * u);
    let rule = Rule { floor: (sigma * sigma).max(NOISE * NOISE), zero, tail };
    let standing = support(members);
    let carried = standing.iter().take_while(|s| s.is_ok()).count();
    let (choice, outlier) = outlier(members, &all(members), carried, rule);
    let error = Distortion::of(choice.fit.parameters());
    let steps: Vec<Step> = Kind::ALL
        .into_iter()
        .zip(standing)
        .map(|(kind, standing)| Step {
            kind,
            standing: match (standing, choice.decided[kind.index()]) {
                (Err(why), _) => Standing::Refused(why),
                (Ok(()), None) => Standing::Refused(Refusal::Alike),
                (Ok(()), Some(d)) => {
                    let used = choice.set[kind.index()];
                    Standing::Tried(term(kind, &d, used, members, rule))
                }
            },
        })
        .collect();
    let free = choice.fit.freedom();
    let less = |e: Distortion| foresee(members, move |n| e.at(n).map(|v| -v));
    let (now, corrected) = (less(Distortion::default()), less(error.rigid()));
    let rigid = choice.set[Kind::Shift.index()] || choice.set[Kind::Turn.index()];
    // A shift and a rotation that only make room for another error may leave the pattern worse.
    let withheld = rigid && !corrected.is_better_than(&now, outlier.map(|o| o.member));
    let correction = (rigid && !withheld).then(|| Correction::against(error.shift, error.turn));
    let mut diagnosis = Diagnosis {
        steps,
        error,
        outlier,
        scatter: (carried > 0 && free > 0.5).then(|| (choice.fit.rss() / free).sqrt()),
        correction,
        corrected: if correction.is_some() { corrected } else { now.clone() },
        now,
        cleared: less(error),
        actions: Vec::new(),
    };
    diagnosis.actions = actions(&diagnosis, &choice, members, withheld);
    Ok(diagnosis)
}

/// The table of all measured holes, about the datum.
fn all(members: &[Member]) -> Gram {
    let measured = || members.iter().filter(|m| m.is_measured());
    let reach = measured().map(|m| libm::hypot(m.nominal[0], m.nominal[1])).fold(0.0, f64::max);
    let mut gram = Gram::new([0.0; 2], if reach > 0.0 { reach } else { 1.0 });
    for m in measured() {
        gram.add(m);
    }
    gram
}

fn term(kind: Kind, d: &Decided, used: bool, members: &[Member], rule: Rule) -> Term {
    let error = Distortion::of(d.fit.parameters());
    let variance = rule.variance(&d.fit);
    let root = |cofactor: f64| (variance * cofactor.max(0.0)).sqrt();
    let alone = |value: f64, column: usize, factor: f64| {
        let zero = rule.zero.get(column).map_or(0.0, |u| u.sqrt());
        let uncertainty = libm::hypot(factor * root(d.fit.cofactor(column, column)), zero);
        Estimate { value: factor * value, uncertainty }
    };
    let none = Distortion::default();
    let (size, only) = match kind {
        Kind::Shift => (
            Size::Shift([alone(error.shift[0], 0, 1.0), alone(error.shift[1], 1, 1.0)]),
            Distortion { shift: error.shift, ..none },
        ),
        Kind::Turn => {
            (Size::Turn(alone(error.turn, 2, 1.0)), Distortion { turn: error.turn, ..none })
        }
        Kind::Scale => {
            (Size::Scale(alone(error.scale, 3, 1.0)), Distortion { scale: error.scale, ..none })
        }
        Kind::Scales => {
            let [x, y] = error.scales();
            let (own, cross) =
                (d.fit.cofactor(3, 3) + d.fit.cofactor(4, 4), 2.0 * d.fit.cofactor(3, 4));
            (
                Size::Scales([
                    Estimate { value: x, uncertainty: root(own + cross) },
                    Estimate { value: y, uncertainty: root(own - cross) },
                ]),
                Distortion { scale: error.scale, stretch: error.stretch, ..none },
            )
        }
        Kind::Shear => (
            Size::OutOfSquare(alone(error.shear, 5, 2.0)),
            Distortion { shear: error.shear, ..none },
        ),
    };
    Term {
        size,
        farthest: farthest(only, members),
        used,
        significant: d.test.reaches(d.level),
        level: d.level,
        test: d.test,
        step: d.step,
    }
}

/// The most that an error makes at any hole, millimetres.
fn farthest(error: Distortion, members: &[Member]) -> f64 {
    let measured = members.iter().filter(|m| m.is_measured());
    let size = |[x, y]: [f64; 2]| libm::hypot(x, y);
    measured.map(|m| size(error.at(m.nominal))).fold(0.0, f64::max)
}

fn actions(d: &Diagnosis, choice: &Choice, members: &[Member], withheld: bool) -> Vec<Action> {
    let mut out = Vec::new();
    let used = |kind: Kind| choice.set[kind.index()];
    let measured = || members.iter().filter(|m| m.is_measured());
    if let Some(Step { standing: Standing::Refused(_), .. }) = d.steps.first() {
        out.push(Action::MeasureMore { needed: 3 });
    } else if !choice.set.contains(&true) {
        out.push(Action::LeaveAlone);
    }
    if used(Kind::Scales) {
        let reach = [0, 1].map(|k| measured().map(|m| m.nominal[k].abs()).fold(0.0, f64::max));
        let [kx, ky] = d.error.scales();
        out.push(Action::CheckScales { grown: [kx * reach[0], ky * reach[1]] });
    } else if used(Kind::Scale) {
        let reach = farthest(Distortion { scale: 1.0, ..Distortion::default() }, members);
        out.push(Action::CheckScale { grown: d.error.scale * reach });
    }
    if used(Kind::Shear) {
        let only = Distortion { shear: d.error.shear, ..Distortion::default() };
        out.push(Action::CheckSquareness {
            closer: d.error.out_of_square(),
            farthest: farthest(only, members),
        });
    }
    out.extend(d.correction.map(Action::Correct));
    out.extend(withheld.then_some(Action::Withhold));
    out.extend(d.outlier.map(|l| Action::Remeasure { member: l.member, away: l.away }));
    let own = |i: usize| d.outlier.is_some_and(|l| l.member == i);
    let outside: Vec<usize> = d
        .cleared
        .holes
        .iter()
        .enumerate()
        .filter(|(i, h)| h.conforms == Some(false) && !own(*i))
        .map(|(i, _)| i)
        .collect();
    let told = matches!(d.steps.first(), Some(Step { standing: Standing::Tried(_), .. }));
    if told && !outside.is_empty() {
        out.push(Action::Scatter { members: outside });
    }
    out
}
