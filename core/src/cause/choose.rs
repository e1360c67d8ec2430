//! Which errors are there: F tests between nested models.

use super::distortion::Kind;
use super::gram::Gram;

/// Significance at which a shift or a rotation counts; scales and shear, which are rarer and cost
/// more to look for, share it between the three of them. A shift that is not there is reported
/// about once in a hundred patterns, so is a rotation, and so is any of the others.
pub const LEVEL: f64 = 0.01;

/// What each kind of error must be significant at, in the order of [`Kind::ALL`].
pub(super) fn levels() -> [f64; 5] {
    Kind::ALL.map(level)
}

const fn level(kind: Kind) -> f64 {
    match kind {
        Kind::Shift | Kind::Turn => LEVEL,
        Kind::Scale | Kind::Scales | Kind::Shear => LEVEL / 3.0,
    }
}

/// P(F > x) of Fisher's F distribution, with the degrees of freedom of the numerator and of the
/// denominator.
pub type Tail = fn(f64, f64, f64) -> f64;

/// An F test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// The ratio of variances.
    pub f: f64,
    /// P(F > f) if there were nothing to it.
    pub p: f64,
    /// Degrees of freedom of the numerator: parameters, or coordinates.
    pub above: f64,
    /// Degrees of freedom of the denominator: coordinates less parameters.
    pub below: f64,
}

impl Test {
    pub(super) fn of(ratio: f64, above: f64, below: f64, tail: Tail) -> Self {
        Self { f: ratio, p: tail(ratio, above, below), above, below }
    }

    /// Not where the significance is no number.
    pub(super) fn reaches(&self, level: f64) -> bool {
        self.p <= level
    }
}

/// What the tests are done with.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rule {
    /// No residual variance counts for less, mm².
    pub(super) floor: f64,
    /// Variances of what all x and all y have in common by the zeros they were measured from, mm²: it
    /// shows as a shift and in no residual.
    pub(super) zero: [f64; 2],
    pub(super) tail: Tail,
}

impl Rule {
    /// Residual variance of a model, mm².
    pub(super) fn variance(&self, fit: &Gram) -> f64 {
        (fit.rss() / fit.freedom()).max(self.floor)
    }

    /// The larger of two nested models against the smaller.
    fn between(&self, smaller: &Gram, larger: &Gram) -> Test {
        let above = smaller.freedom() - larger.freedom();
        let gained = (smaller.rss() - larger.rss()).max(0.0) / above;
        // A zero that is off by its uncertainty takes this much off on average.
        let shifts = Kind::Shift.columns().iter().filter(|k| larger.has(**k) && !smaller.has(**k));
        let by_zero: f64 = shifts.zip(self.zero).map(|(k, u)| smaller.left(*k) * u).sum();
        let expected = self.variance(larger) + by_zero / above;
        Test::of(gained / expected, above, larger.freedom(), self.tail)
    }
}

/// How an error fared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Decided {
    /// The test that decided on it.
    pub(super) test: Test,
    /// The significance it had to have.
    pub(super) level: f64,
    /// The step up the ladder of nested models.
    pub(super) step: Test,
    /// The fit with it that the test was made with.
    pub(super) fit: Gram,
}

/// The chosen errors.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice {
    /// Which are in the model, in the order of [`Kind::ALL`].
    pub(super) set: [bool; 5],
    /// How each fared that was tried.
    pub(super) decided: [Option<Decided>; 5],
    /// The fit of those chosen.
    pub(super) fit: Gram,
}

/// Chooses among the first `carried` models; each kind of error must be as significant as
/// `levels` says. `bare` has nothing swept.
pub(super) fn choose(bare: &Gram, carried: usize, levels: [f64; 5], rule: Rule) -> Choice {
    let mut decided = [None; 5];
    let mut set = [false; 5];
    let mut fit = *bare;
    let mut climbing = *bare;
    // Up the ladder to the largest step that counts.
    for (i, kind) in Kind::ALL.into_iter().enumerate().take(carried) {
        let before = climbing;
        if !climbing.toggle(kind) {
            break;
        }
        let step = rule.between(&before, &climbing);
        decided[i] = Some(Decided { test: step, level: levels[i], step, fit: climbing });
        if step.reaches(levels[i]) {
            fit = climbing;
            set = [false; 5];
            set[..=i].fill(true);
        }
    }
    // And out with what the others have made needless, the least significant first.
    loop {
        let mut worst: Option<(f64, Kind, Gram)> = None;
        for kind in Kind::ALL {
            let i = kind.index();
            let mut smaller = fit;
            if !set[i] || !smaller.toggle(kind) {
                continue;
            }
            let test = rule.between(&smaller, &fit);
            if let Some(d) = &mut decided[i] {
                d.test = test;
                d.fit = fit;
            }
            // Two scales are never without the one that they are about.
            let bound = kind == Kind::Scale && set[Kind::Scales.index()];
            if !bound && !test.reaches(levels[i]) && worst.is_none_or(|(p, ..)| test.p > p) {
                worst = Some((test.p, kind, smaller));
            }
        }
        let Some((_, kind, smaller)) = worst else { break };
        set[kind.index()] = false;
        fit = smaller;
    }
    Choice { set, decided, fit }
}
