//! Which models the holes can carry.
//!
//! A model is used only where any single hole can be left out, and
//!
//! - at least one coordinate more than parameters is left: shift and rotation need three holes
//!   known in x and y, scales four, shear five;
//! - every error is still determined by a twentieth of what all holes determine it by: what
//!   depends on one hole alone cannot be told from that hole's own error;
//!
//! and the places of the holes tell its errors apart: holes in one line cannot have two scales.

use super::distortion::Kind;
use super::gram::Gram;
use super::member::Member;

/// Holes count as being in one line where they keep within this part of the pattern's extent; what
/// then tells two scales is a difference of lengths a thousand times shorter (common practice, no
/// source).
const FLAT: f64 = 1e-3;

/// A hole without which less than this is left of what determines an error carries it alone
/// (common practice, no source).
const SHARE: f64 = 0.05;

/// Seen from the datum the pattern must be this large.
const FAR: f64 = 1e-5;

/// Why a model is not used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// There are too few holes: so many are needed, known in x and y.
    TooFew {
        /// Holes needed.
        needed: usize,
    },
    /// No hole is known in x (0) or in y (1).
    Unseen {
        /// The coordinate: 0 for x, 1 for y.
        axis: usize,
    },
    /// All holes are at one place, or so close together and so far from the datum that it comes
    /// to the same.
    OnePlace,
    /// All holes are in one line.
    InLine,
    /// What is known of the holes does not tell this error from those before it.
    Alike,
    /// It hangs on this member alone: its own error could not be told from it.
    HangsOn {
        /// Index of the member.
        member: usize,
    },
    /// It contains this error, which was refused.
    Contains(Kind),
}

/// For each kind of error whether the model up to it may be used.
pub(super) fn support(members: &[Member]) -> [Result<(), Refusal>; 5] {
    let mut out = [Ok(()); 5];
    let mut refused: Option<Kind> = None;
    let ground = Ground::of(members);
    let mut all = ground.gram;
    let mut each: Vec<(usize, Gram)> = members
        .iter()
        .enumerate()
        .filter(|(_, m)| m.is_measured())
        .map(|(i, m)| (i, ground.gram.without(m)))
        .collect();
    for (kind, slot) in Kind::ALL.into_iter().zip(&mut out) {
        *slot = match refused {
            Some(below) => Err(Refusal::Contains(below)),
            None => ground.carries(kind, &mut all, &mut each),
        };
        if slot.is_err() && refused.is_none() {
            refused = Some(kind);
        }
    }
    out
}

/// The pattern about its own middle.
struct Ground {
    gram: Gram,
    /// Σ |n − middle|² in units of the largest.
    spread: f64,
    /// Whether all holes are at one place, or in one line.
    one_place: bool,
    in_line: bool,
    /// The most coordinates that leaving out one hole takes away.
    most: f64,
}

impl Ground {
    fn of(members: &[Member]) -> Self {
        let measured = || members.iter().filter(|m| m.is_measured());
        let n = measured().fold(0.0, |n, _| n + 1.0_f64).max(1.0);
        let middle =
            measured().fold([0.0, 0.0], |[x, y], m| [x + m.nominal[0] / n, y + m.nominal[1] / n]);
        let from = |m: &Member| [m.nominal[0] - middle[0], m.nominal[1] - middle[1]];
        let size = |[x, y]: [f64; 2]| libm::hypot(x, y);
        let extent = measured().map(|m| size(from(m))).fold(0.0, f64::max);
        let reach = measured().map(|m| size(m.nominal)).fold(0.0, f64::max);
        let one_place = extent <= FAR * reach || extent <= 0.0;
        let length = if one_place { 1.0 } else { extent };
        let mut gram = Gram::new(middle, length);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        let mut most = 0.0_f64;
        for m in measured() {
            gram.add(m);
            let [x, y] = from(m).map(|v| v / length);
            xx += x * x;
            xy += x * y;
            yy += y * y;
            most = most.max(m.deviation.iter().flatten().fold(0.0, |n, _| n + 1.0));
        }
        // The smaller principal moment, from the determinant: nothing cancels.
        let spread = xx + yy;
        let larger = 0.5 * (spread + libm::hypot(xx - yy, 2.0 * xy));
        let narrow = (xx * yy - xy * xy) / larger;
        let in_line = one_place || narrow <= FLAT * FLAT * larger;
        Self { gram, spread, one_place, in_line, most }
    }

    fn carries(
        &self,
        kind: Kind,
        all: &mut Gram,
        each: &mut [(usize, Gram)],
    ) -> Result<(), Refusal> {
        if kind == Kind::Shift {
            for &axis in kind.columns() {
                if !each.is_empty() && all.left(axis) < 0.5 {
                    return Err(Refusal::Unseen { axis });
                }
            }
        } else if self.one_place {
            return Err(Refusal::OnePlace);
        }
        // Coordinates less parameters, with any one hole left out.
        let left = kind.columns().iter().fold(all.freedom() - self.most, |n, _| n - 1.0);
        if left < 0.5 {
            return Err(Refusal::TooFew { needed: needed(kind) });
        }
        let mut hangs: Option<(f64, usize)> = None;
        for &column in kind.columns() {
            let whole = all.left(column);
            if kind != Kind::Shift && whole <= FLAT * FLAT * self.spread {
                return Err(if self.in_line { Refusal::InLine } else { Refusal::Alike });
            }
            for (member, gram) in each.iter() {
                let share = gram.left(column) / whole;
                if share < SHARE && hangs.is_none_or(|(least, _)| share < least) {
                    hangs = Some((share, *member));
                }
            }
        }
        if let Some((_, member)) = hangs {
            return Err(Refusal::HangsOn { member });
        }
        let fine = all.toggle(kind);
        if fine && each.iter_mut().all(|(_, g)| g.toggle(kind)) {
            Ok(())
        } else {
            Err(Refusal::Alike)
        }
    }
}

/// Holes known in x and y of which any one may be left out with a residual to spare: half of the
/// parameters and three, rounded up.
fn needed(kind: Kind) -> usize {
    let last = kind.columns().last().copied().unwrap_or(0);
    (last + 1 + 3).div_ceil(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn holes(places: &[[f64; 2]]) -> Vec<Member> {
        places
            .iter()
            .map(|&nominal| Member { nominal, deviation: [Some(0.0); 2], zone: None })
            .collect()
    }

    fn carried(members: &[Member]) -> (usize, Option<Refusal>) {
        let all = support(members);
        let n = all.iter().take_while(|r| r.is_ok()).count();
        (n, all.get(n).and_then(|r| r.err()))
    }

    #[test]
    fn few_holes_carry_few_errors() {
        let square = [[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0], [31.0, 22.0]];
        for (n, (errors, needed)) in
            [(0, 3), (0, 3), (0, 3), (2, 4), (4, 5)].into_iter().enumerate()
        {
            let refusal = Some(Refusal::TooFew { needed });
            assert_eq!(carried(&holes(&square[..n])), (errors, refusal), "{n} holes");
        }
        assert_eq!(carried(&holes(&square)), (5, None));
        assert_eq!(support(&holes(&square[..3]))[4], Err(Refusal::Contains(Kind::Scale)));
    }

    #[test]
    fn a_line_has_one_scale() {
        for direction in [[1.0, 0.0], [0.0, 1.0], [0.6, 0.8], [1.0, -1.0]] {
            let line: Vec<_> =
                (0..8).map(|i| direction.map(|c| 300.0 + 20.0 * c * f64::from(i))).collect();
            assert_eq!(carried(&holes(&line)), (3, Some(Refusal::InLine)), "{direction:?}");
        }
    }

    #[test]
    fn what_hangs_on_one_hole() {
        let mut row: Vec<_> = (0..6).map(|i| [20.0 * f64::from(i), 0.0]).collect();
        row.push([50.0, 40.0]);
        assert_eq!(carried(&holes(&row)), (3, Some(Refusal::HangsOn { member: 6 })));
        row.push([10.0, 40.0]);
        assert_eq!(carried(&holes(&row)), (5, None));
        // Five together, and one far away that alone tells of angles.
        let mut heap = vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.5, 0.5]];
        heap.push([200.0, 0.0]);
        assert_eq!(carried(&holes(&heap)), (1, Some(Refusal::HangsOn { member: 5 })));
    }

    #[test]
    fn one_place_and_one_coordinate() {
        assert_eq!(carried(&holes(&[[70.0, 20.0]; 6])), (1, Some(Refusal::OnePlace)));
        let mut seen = holes(&[[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0], [31.0, 22.0]]);
        for m in &mut seen {
            m.deviation[1] = None;
        }
        assert_eq!(carried(&seen), (0, Some(Refusal::Unseen { axis: 1 })));
        seen[2].deviation[1] = Some(0.0);
        assert_eq!(carried(&seen), (0, Some(Refusal::HangsOn { member: 2 })));
        assert_eq!(carried(&[]), (0, Some(Refusal::TooFew { needed: 3 })));
    }
}
