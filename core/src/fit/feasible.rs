//! A first place, at which every bound holds.

use super::active::{ActiveCondition, Part};
use super::exchange::{Effort, Problem};
use super::freedom::{Freedom, Turn};
use super::member::{Bound, Member};
use super::pose::Pose;
use super::reduce::close;
use super::settle::{FAR, Settled};
use super::survey::{NOISE, Survey};
use super::touch::{Linearised, Touch, Whose};
use crate::quantity::vector::norm;

/// The locks of the frame itself, and the limit of its rotation.
pub(super) fn frame(freedom: Freedom) -> (Vec<Touch>, Option<Touch>) {
    let mut locks = Vec::new();
    let mut limit = None;
    match freedom.turn {
        Turn::Free => {}
        Turn::Within(most) if most > 0.0 => limit = Some(Touch::turn(most)),
        Turn::Locked | Turn::Within(_) => locks.push(Touch::turn(0.0)),
    }
    for (axis, free) in [freedom.x, freedom.y].into_iter().enumerate() {
        if !free {
            locks.push(Touch::slide(axis));
        }
    }
    (locks, limit)
}

/// A pose that closes the locks and is inside the walls; `None` if there is none. Walls that
/// leave no room to move become locks.
pub(super) fn feasible(
    locks: &mut Vec<Touch>,
    walls: &mut Vec<(usize, Bound)>,
    limit: Option<Touch>,
    at: &Survey,
) -> Option<Pose> {
    let Survey { lever, noise, resolution, .. } = *at;
    let mut pose = closed(locks, at.pose, lever)?;
    let mut limit = limit;
    // Every turn makes a lock of a wall at least.
    loop {
        let bars = walls.iter().map(|(k, b)| Touch::bound(*k, b)).chain(limit);
        let roomy = |t: Touch| {
            let line = t.line(&pose, lever);
            line.over(0.0) < -1e-3 * line.radius
        };
        if bars.clone().all(roomy) {
            return Some(pose);
        }
        let members: Vec<Member> = walls.iter().map(|(_, b)| Member::from(*b)).collect();
        let rising = limit.map(|t| Touch { rises: true, ..t });
        let problem = Problem { members: &members, walls: &[], locks, limit: rising, lever, noise };
        let found = problem.minimise(pose, &mut Effort::default());
        let worst = bars
            .map(|t| t.line(&found.point.pose, lever).over(0.0))
            .fold(f64::NEG_INFINITY, f64::max);
        if worst > NOISE {
            return None;
        }
        pose = found.point.pose;
        if worst < -resolution {
            return Some(pose);
        }
        let tight = |h: &&ActiveCondition| h.part != Part::Idle && h.weight > 1e-6;
        let mut gone = Vec::new();
        let before = locks.len();
        for h in found.held.iter().filter(tight) {
            match h.touch.whose {
                Whose::Member(k) => {
                    let Some((index, bound)) = walls.get(k) else { continue };
                    gone.push(k);
                    locks.push(Touch::bound(*index, bound).locked_at(&pose));
                }
                Whose::Turn => {
                    limit = None;
                    locks.push(Touch { rises: false, ..h.touch });
                }
                Whose::Bound(_) | Whose::Slide(_) => {}
            }
        }
        if locks.len() == before {
            return Some(pose);
        }
        let mut k = 0;
        walls.retain(|_| {
            k += 1;
            !gone.contains(&(k - 1))
        });
    }
}

/// The pose that closes the locks, by Newton's method in steps of least length; `None` if they do
/// not agree.
pub(super) fn closed(locks: &[Touch], mut pose: Pose, lever: f64) -> Option<Pose> {
    if locks.is_empty() {
        return Some(pose);
    }
    let mut last = f64::INFINITY;
    for _ in 0..50 {
        let lines: Vec<Linearised> = locks.iter().map(|t| t.line(&pose, lever)).collect();
        let [x, y, turn] = close(&lines);
        let length = norm([norm([x, y]), turn]);
        if length >= last && length < NOISE || length == 0.0 {
            break;
        }
        last = length;
        // Of several places the near one is meant.
        pose = pose.moved([x, y], (turn / lever).clamp(-FAR, FAR));
    }
    let open = locks.iter().map(|t| t.line(&pose, lever).length()).fold(0.0, f64::max);
    (open <= NOISE).then_some(pose)
}

/// The place at which the boundaries would have to grow least for all datum features to go in, and
/// by how much, as s. There is at least one bound.
///
/// Those that are held regardless of their size stand where they are; only where these contradict
/// each other, they are counted as boundaries without room.
pub(super) fn least_excess(bounds: &[Bound], freedom: Freedom, at: &Survey) -> Settled {
    let firm = |b: &Bound| b.is_regardless();
    let apart = |settled: &Settled| {
        let pose = &settled.point.pose;
        let firm = bounds.iter().filter(|b| firm(b));
        firm.map(|b| b.zone().distance(pose.deviation(b.nominal, b.measured))).fold(0.0, f64::max)
    };
    if bounds.iter().any(|b| !firm(b)) {
        let found = grown(bounds, freedom, at, firm);
        if apart(&found) <= NOISE {
            return found;
        }
    }
    grown(bounds, freedom, at, |_| false)
}

/// The least growth of all bounds that are not locks.
fn grown(
    bounds: &[Bound],
    freedom: Freedom,
    at: &Survey,
    firm: impl Fn(&Bound) -> bool,
) -> Settled {
    let Survey { pose, lever, noise, .. } = *at;
    let (mut locks, limit) = frame(freedom);
    let (mut members, mut index) = (Vec::new(), Vec::new());
    for (k, b) in bounds.iter().enumerate() {
        if firm(b) {
            locks.push(Touch::bound(k, b));
        } else {
            members.push(Member::from(*b));
            index.push(k);
        }
    }
    let start = closed(&locks, pose, lever).unwrap_or(pose);
    let problem = Problem { members: &members, walls: &[], locks: &locks, limit, lever, noise };
    let mut found = problem.minimise(start, &mut Effort::default());
    for h in &mut found.held {
        if let Whose::Member(k) = h.touch.whose
            && let Some(k) = index.get(k)
        {
            h.touch.whose = Whose::Bound(*k);
        }
    }
    found
}
