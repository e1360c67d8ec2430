//! A frame is built datum by datum.

use super::clock::{Clock, clock, fitted};
use super::roles::{AXES, Carrier, Role, Turn, roles};
use super::spot::{Members, Spot};
use super::vector::{less, turned};
use super::{Frame, Lack, Share};
use crate::adjust::Adjustment;
use crate::callout::Unjudged;
use crate::job::{Feature, Job, PatternKind};
use crate::quantity::Axis;
use std::collections::BTreeMap;

impl Frame {
    /// The frame of these datum letters, as far as the datum features give it.
    #[must_use]
    pub fn of(job: &Job, letters: &[String], bench: &Adjustment) -> Self {
        let mut frame = Self::BENCH;
        let roles = roles(job, letters);
        let turns = |r: &Role<'_>| matches!(r.turn, Turn::Stops | Turn::Fits);
        let turns = roles.iter().any(|r| r.as_ref().is_ok_and(turns));
        for role in roles {
            match role {
                Ok(role) => frame.stand(job, &role, bench),
                Err(why) => frame.lacks.push(Lack { why, along: [true; 2] }),
            }
        }
        // In a frame that is turned each coordinate depends on both.
        if turns {
            frame.lacks.iter_mut().for_each(|l| l.along = [true; 2]);
        }
        frame.spread(bench);
        frame
    }

    /// Lets one datum take what its role gives it.
    fn stand(&mut self, job: &Job, role: &Role<'_>, bench: &Adjustment) {
        let missing = || Unjudged::DatumNotMeasured(role.letter.to_owned());
        let bare = |axis| Unjudged::DatumNominalMissing(role.letter.to_owned(), axis);
        let shapeless = || Unjudged::DatumShapeless(role.letter.to_owned());
        let whole = if role.turn == Turn::Leaves { role.takes } else { [true; 2] };
        let members = match role.on.members(job, role.letter, bench) {
            Ok(members) => members,
            Err(why) => {
                self.lacks.push(Lack { why, along: whole });
                return;
            }
        };
        let (spot, stands) = match (&role.on, &members) {
            // What carries the part is where the drawing has it, and so is how it lies.
            (Carrier::Feature(i), _) => {
                (Some(Spot::of_feature(job, *i, bench)), bench.stands_on(*i))
            }
            (Carrier::Pattern(kind, _), Some(members)) => (Spot::of_pattern(*kind, members), false),
            (Carrier::Pattern(..), None) => (None, false),
        };
        let Some(spot) = spot else {
            self.lacks.push(Lack { why: shapeless(), along: whole });
            return;
        };
        for (k, axis) in AXES.into_iter().enumerate().filter(|(k, _)| role.takes[*k]) {
            let why = match (spot.at[k], spot.basic[k]) {
                (Some(at), Some(basic)) => {
                    self.take(k, &spot, at, basic);
                    continue;
                }
                (Some(_), None) => bare(axis),
                (None, _) if stands => continue,
                (None, _) => missing(),
            };
            let along = [k == 0, k == 1];
            self.lacks.push(Lack { why, along });
        }
        let fits = matches!(role.on, Carrier::Pattern(PatternKind::BestFit, _));
        let touched = || spot.at.iter().any(Option::is_some);
        let found = match (role.turn, &members) {
            (Turn::Leaves, _) => Ok(()),
            (Turn::Stands, _) if stands || touched() => Ok(()),
            (Turn::Stands, _) => Err(missing()),
            // Without the whole origin there is nothing to turn about, and that is said already.
            (Turn::Stops | Turn::Fits, _) if !self.lacks.is_empty() => Ok(()),
            (Turn::Stops | Turn::Fits, Some(members)) if fits => {
                self.fit(members).ok_or_else(shapeless)
            }
            (Turn::Stops | Turn::Fits, _) => {
                let feature = match role.on {
                    Carrier::Feature(i) => job.drawing.features.get(i),
                    Carrier::Pattern(..) => None,
                };
                self.stop(role, &spot, feature.and_then(Feature::plane_axis))
            }
        };
        self.lacks.extend(found.err().map(|why| Lack { why, along: [true; 2] }));
    }

    /// Puts the origin along one axis, 0 for x and 1 for y, at a spot.
    fn take(&mut self, k: usize, spot: &Spot, at: f64, basic: f64) {
        (self.origin[k], self.basic[k]) = (at, basic);
        self.shares.extend(spot.by.iter().map(|(feature, rates)| {
            let mut share = Share { feature: *feature, rates: [[0.0; 2]; 3] };
            share.rates[k] = rates[k];
            share
        }));
    }

    /// Turns the frame until the spot lies where the drawing has it: that of a slot or tab across
    /// `across` alone, of all else across the line from the origin.
    fn stop(&mut self, role: &Role<'_>, spot: &Spot, across: Option<Axis>) -> Result<(), Unjudged> {
        let near = || Unjudged::DatumTooNear(role.letter.to_owned());
        let missing = || Unjudged::DatumNotMeasured(role.letter.to_owned());
        // Along a slot too, since where it is turned about the origin the way to it counts.
        let bare = |axis| Unjudged::DatumNominalMissing(role.letter.to_owned(), axis);
        let basic = |k: usize, axis| spot.basic[k].ok_or_else(|| bare(axis));
        let arm = less([basic(0, Axis::X)?, basic(1, Axis::Y)?], self.basic);
        let length = libm::hypot(arm[0], arm[1]);
        let seen = |k: usize| spot.at[k].ok_or_else(missing);
        let whole = |at: [f64; 2], across| clock(less(at, self.origin), arm, across);
        // Of a slot only the coordinate across it was seen; along it, it is where that brings it to
        // the basic one in the turned frame, as for any other feature seen along one axis.
        let half = |k: usize, across: [f64; 2]| -> Result<Option<Clock>, Unjudged> {
            let mut at = [self.origin[0] + arm[0], self.origin[1] + arm[1]];
            at[k] = seen(k)?;
            let off = at[k] - self.origin[k];
            let mut found = whole(at, across);
            for _ in 0..4 {
                let Some(Clock { turn, .. }) = found else { return Ok(None) };
                let (c, s) = (libm::cos(turn), libm::sin(turn));
                let sign = if k == 1 { s } else { -s };
                at[1 - k] = self.origin[1 - k] + (arm[1 - k] + sign * off) / c;
                found = whole(at, across);
            }
            Ok(found)
        };
        let found = match across {
            Some(Axis::X) => half(0, [1.0, 0.0])?,
            Some(Axis::Y) => half(1, [0.0, 1.0])?,
            None if length > 0.0 => {
                whole([seen(0)?, seen(1)?], turned([arm[0] / length, arm[1] / length]))
            }
            None => return Err(near()),
        };
        let Clock { turn, rate } = found.ok_or_else(near)?;
        let by = spot.by.iter().map(|(feature, rates)| (*feature, along(rate, *rates)));
        self.turned(turn, rate, by.collect());
        Ok(())
    }

    /// Turns the frame until the features of a pattern lie as near as can be to where the drawing
    /// has them; None where they do not stop it.
    fn fit(&mut self, members: &Members) -> Option<()> {
        let from = |points: &[[f64; 2]], origin: [f64; 2]| -> Vec<[f64; 2]> {
            points.iter().map(|p| less(*p, origin)).collect()
        };
        let (measured, arms) = (from(&members.at, self.origin), from(&members.basic, self.basic));
        let found = fitted(&measured, &arms)?;
        let sum = found.rates.iter().fold([0.0; 2], |s, r| [s[0] + r[0], s[1] + r[1]]);
        let by = members.features.iter().copied().zip(found.rates.iter().copied()).collect();
        self.turned(found.turn, sum, by);
        Some(())
    }

    /// Turns the frame. The rotation moves with the features as `by` says, and with the origin the
    /// other way by `rate`.
    fn turned(&mut self, turn: f64, rate: [f64; 2], by: Vec<(usize, [f64; 2])>) {
        self.turn = Some(turn);
        for share in &mut self.shares {
            let [x, y, turn] = &mut share.rates;
            let origin = along(rate, [*x, *y]);
            *turn = less(*turn, origin);
        }
        self.shares.extend(
            by.into_iter()
                .map(|(feature, turn)| Share { feature, rates: [[0.0; 2], [0.0; 2], turn] }),
        );
    }

    /// Works out how uncertain origin and rotation are, once both are there.
    fn spread(&mut self, bench: &Adjustment) {
        let mut by_feature: BTreeMap<usize, [[f64; 2]; 3]> = BTreeMap::new();
        for share in &self.shares {
            let all = by_feature.entry(share.feature).or_default();
            for (all, own) in all.iter_mut().zip(share.rates) {
                *all = [all[0] + own[0], all[1] + own[1]];
            }
        }
        self.shares =
            by_feature.into_iter().map(|(feature, rates)| Share { feature, rates }).collect();
        for a in &self.shares {
            for b in &self.shares {
                let Some(c) = bench.covariance(a.feature, b.feature) else { continue };
                for (row, ra) in self.spread.iter_mut().zip(a.rates) {
                    let left = along(ra, c);
                    for (cell, rb) in row.iter_mut().zip(b.rates) {
                        *cell += left[0] * rb[0] + left[1] * rb[1];
                    }
                }
            }
        }
    }
}

/// A row times a matrix.
fn along(row: [f64; 2], m: [[f64; 2]; 2]) -> [f64; 2] {
    [row[0] * m[0][0] + row[1] * m[1][0], row[0] * m[0][1] + row[1] * m[1][1]]
}
