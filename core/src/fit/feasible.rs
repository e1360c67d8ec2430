//! A first place, at which every bound holds.

use super::exchange::{Effort, Problem};
use super::freedom::{Freedom, Turn};
use super::held::{Held, Part};
use super::member::{Bound, Member};
use super::pose::Pose;
use super::reduce::close;
use super::settle::FAR;
use super::survey::{NOISE, Survey};
use super::touch::{Line, Touch, Whose, norm};

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
        let tight = |h: &&Held| h.part != Part::Idle && h.weight > 1e-6;
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
        let lines: Vec<Line> = locks.iter().map(|t| t.line(&pose, lever)).collect();
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

/// By how much every bound would have to grow for all to hold, mm.
pub(super) fn excess(bounds: &[Bound], freedom: Freedom, at: &Survey) -> f64 {
    let Survey { pose, lever, noise, .. } = *at;
    let members: Vec<Member> = bounds.iter().map(|b| Member::from(*b)).collect();
    let (locks, limit) = frame(freedom);
    let problem = Problem { members: &members, walls: &[], locks: &locks, limit, lever, noise };
    problem.minimise(pose, &mut Effort::default()).point.s
}
