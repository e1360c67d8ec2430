//! With how many decimals a sum is written, so that a reader with a calculator comes from each
//! line to the next without a difference in the last digit.

use super::Figures;
use crate::callout::{Bonus, PositionFinding, Zone};
use crate::findings::PatternFinding;
use crate::quantity::{Axis, Length, NOISE, Point};

/// Further decimals of deviations and radius that are tried in turn; a difference in the last digit
/// is put up with only after the last of them.
const TRIED: [(usize, usize); 10] =
    [(0, 1), (1, 1), (2, 1), (1, 2), (2, 2), (3, 2), (3, 3), (4, 2), (4, 3), (4, 4)];
/// Further decimals of what is added up.
const MOST: usize = 3;

/// The decimals of one position: of its deviations, of the radius, of the position and what is allowed, of
/// the bonus, of the sizes that it follows from, and of the margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Chain {
    pub(super) deviation: Figures,
    pub(super) radius: Figures,
    pub(super) result: Figures,
    pub(super) bonus: Figures,
    pub(super) size: Figures,
    pub(super) margin: Figures,
}

impl Chain {
    /// The same for all.
    pub(super) const fn uniform(f: Figures) -> Self {
        Self { deviation: f, radius: f, result: f, bonus: f, size: f, margin: f }
    }

    /// From these figures on, every choice of decimals with which the position follows from the
    /// deviations, the fewest first; one at least.
    pub(super) fn choices(p: &PositionFinding, f: Figures) -> Vec<Self> {
        let like = |f: Figures, graded: usize| {
            let result = f.finer(graded);
            let [bonus, size] = [f.finer(2 * graded), f.finer(3 * graded)];
            Self { deviation: result, radius: result, result, bonus, size, margin: f }
        };
        // The same for all that is added up, or else what follows has a decimal less.
        let kinds = (0..=1).flat_map(|graded| (0..=2).map(move |k| (graded, k)));
        let mut kinds: Vec<Self> = kinds.map(|(graded, k)| like(f.finer(k), graded)).collect();
        // What adds up comes first.
        kinds.sort_by_key(|kind| !kind.adds_up(p));
        let of = |kind: Self| {
            let one = |(d, r): (usize, usize)| Self {
                deviation: kind.result.finer(d),
                radius: kind.result.finer(r),
                ..kind
            };
            TRIED.map(one)
        };
        let mut choices: Vec<Self> =
            kinds.into_iter().flat_map(of).filter(|c| c.follows(p)).collect();
        if choices.is_empty() {
            let [deviation, radius] = [f.finer(1), f.finer(1)];
            choices.push(Self { deviation, radius, ..like(f, 0) });
        }
        choices
    }

    /// Bonus, what is allowed and the margin follow from each other as they are written.
    fn adds_up(&self, p: &PositionFinding) -> bool {
        let Self { result, bonus: fine, size: finest, margin: last, .. } = *self;
        let is = |f: Figures, sum: Length, shown: Length| f.plain(sum) == f.plain(shown);
        let bonus = match p.bonus {
            Bonus::Earned { bonus, size, from, .. } => {
                // Capped at the size tolerance it is no difference.
                let departure = (size - from).abs();
                let capped = (departure - bonus).abs() > NOISE;
                let by_hand = (finest.rounded(size) - finest.rounded(from)).abs();
                (capped || is(fine, by_hand, bonus))
                    && is(result, fine.rounded(p.tolerance) + fine.rounded(bonus), p.allowed)
            }
            Bonus::NotAsked | Bonus::None(_) => true,
        };
        let margin = p.position.zip(p.margin);
        bonus
            && margin.is_none_or(|(position, margin)| {
                is(last, result.rounded(p.allowed) - result.rounded(position), margin)
            })
    }

    /// The position follows from the deviations as they are written.
    fn follows(&self, p: &PositionFinding) -> bool {
        let (Some(radius), Some(position)) = (p.radius, p.position) else { return true };
        let [dx, dy] = p.deviation.map(|d| self.deviation.rounded(d.unwrap_or_default()).to_mm());
        let doubled = |r: Length| self.result.plain(r * 2.0) == self.result.plain(position);
        match p.zone {
            Zone::Round => {
                let shown = Length::mm((dx * dx + dy * dy).sqrt());
                self.radius.plain(shown) == self.radius.plain(radius)
                    && doubled(self.radius.rounded(radius))
            }
            Zone::Planes(_) => doubled(self.deviation.rounded(radius)),
        }
    }
}

/// What a common shift made of the deviations of one position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Steps {
    /// The decimals of what is added up.
    pub(super) figures: Figures,
    /// The turn in radians, counter-clockwise; `None` where the pattern was not turned.
    pub(super) turn: Option<f64>,
    /// Decimals of the turn in radians.
    pub(super) decimals: usize,
    /// The small-turn formula does, dx − θ y and dy + θ x: what it leaves out is not seen.
    pub(super) small: bool,
    /// Where the feature was measured, by the frame before the shift.
    pub(super) at: [Length; 2],
    /// What is added up gives the last digit of what is written of the sum.
    pub(super) exact: bool,
    /// Before the shift, what the shift adds, what the turn adds, and after it; along x and y.
    pub(super) parts: [[Length; 4]; 2],
}

impl Steps {
    /// The steps of a position that was shifted with `pattern`; `basic` is its true position.
    pub(super) fn of(
        p: &PositionFinding,
        pattern: &PatternFinding,
        basic: Point,
        after: Figures,
    ) -> Option<Self> {
        let before = p.shifted?.before;
        let wanted = wanted(p.zone);
        let mut parts = [[Length::ZERO; 4]; 2];
        for (k, part) in parts.iter_mut().enumerate().filter(|(k, _)| wanted[*k]) {
            let (b, a, t) = (before[k]?, p.deviation[k]?, pattern.shift[k]);
            *part = [b, t, a - b - t, a];
        }
        let along = |basic: Length, d: Option<Length>| basic + d.unwrap_or_default();
        let at = [along(basic.x, before[0]), along(basic.y, before[1])];
        let turn = pattern.turned();
        let mut steps =
            Self { figures: after, turn, decimals: 0, small: true, at, exact: true, parts };
        let finer = |k: usize| Self { figures: after.finer(k), ..steps };
        let found = (0..=MOST).map(finer).find(|s| s.add_up(after));
        steps = Self { exact: found.is_some(), ..found.unwrap_or_else(|| finer(MOST)) };
        if let Some(turn) = turn {
            let enough = |small| (4..=14).find(|n| steps.turns(turn, *n, wanted, small));
            let (small, decimals) = match enough(true) {
                Some(n) => (true, n),
                None => (false, enough(false).unwrap_or(14)),
            };
            steps.small = small;
            steps.decimals = decimals;
        }
        Some(steps)
    }

    /// As they are written, the parts add up to what is written of their sum.
    fn add_up(&self, after: Figures) -> bool {
        self.parts.iter().all(|[before, shift, turn, sum]| {
            let shown = [before, shift, turn].map(|l| self.figures.rounded(*l));
            after.plain(shown[0] + shown[1] + shown[2]) == after.plain(*sum)
        })
    }

    /// As it is written with `n` decimals, the turn gives what it adds as that is written: by the
    /// small-turn formula, or by sine and cosine.
    fn turns(&self, turn: f64, n: usize, wanted: [bool; 2], small: bool) -> bool {
        let shown: f64 = format!("{turn:.n$}").parse().unwrap_or(turn);
        let f = self.figures;
        let [x, y] = self.at.map(|at| f.rounded(at));
        let (along, across) =
            if small { (0.0, shown) } else { (libm::cos(shown) - 1.0, libm::sin(shown)) };
        let adds = [x * along - y * across, y * along + x * across];
        (0..2).filter(|k| wanted[*k]).all(|k| f.plain(adds[k]) == f.plain(self.parts[k][2]))
    }
}

/// Along which axes a zone asks for anything.
pub(super) const fn wanted(zone: Zone) -> [bool; 2] {
    match zone {
        Zone::Round => [true, true],
        Zone::Planes(axis) => [matches!(axis, Axis::X), matches!(axis, Axis::Y)],
    }
}
