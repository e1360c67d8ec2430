//! The optimum of a handful of conditions.

use super::eigen::dot;
use super::held::{Held, Part};
use super::interior::Interior;
use super::polish::{Point, polish};
use super::reduce::Reduced;
use super::touch::{Line, norm};

/// A handful of conditions, and the best place for them.
#[derive(Clone, Debug)]
pub(super) struct Settled {
    pub(super) point: Point,
    pub(super) held: Vec<Held>,
    pub(super) locks: Vec<Held>,
    /// Lengths in here are like this, mm.
    pub(super) size: f64,
}

/// How close the interior-point method comes before Newton's method is tried; then closer.
const LOOKS: [f64; 4] = [1e-5, 1e-8, 1e-11, 1e-13];

impl Settled {
    /// Finds the optimum of what is held, from the pose that is given.
    ///
    /// The rotation is made linear where the pattern is; the conic problem gives a step; Newton's
    /// method ends it, or the pattern is moved and all begins again.
    pub(super) fn settle(&mut self, lever: f64) {
        for _ in 0..40 {
            let pose = self.point.pose;
            let lines: Vec<Line> = self.held.iter().map(|h| h.touch.line(&pose, lever)).collect();
            let locks: Vec<Line> = self.locks.iter().map(|h| h.touch.line(&pose, lever)).collect();
            let reduced = Reduced::of(&locks, &lines);
            let lines: Vec<Line> = lines.iter().map(|l| reduced.line(l)).collect();
            let mut interior = Interior::new(&lines);
            let mut step = [0.0; 3];
            for to in LOOKS {
                let more = interior.run(to);
                step = reduced.step(&interior.y);
                let [x, y, turn] = step;
                self.point = Point { pose: pose.moved([x, y], turn / lever), s: interior.s };
                self.size = self.measure(&lines, &interior, lever);
                take(&mut self.held, &interior, &lines);
                if polish(&mut self.point, &mut self.held, &mut self.locks, lever, self.size) {
                    return;
                }
                take(&mut self.held, &interior, &lines);
                if !more {
                    break;
                }
            }
            if dot(&step, &step).sqrt() <= 1e-13 * self.size {
                return;
            }
        }
    }

    /// The largest length that a deviation here is made of, mm.
    fn measure(&self, lines: &[Line], interior: &Interior<'_>, lever: f64) -> f64 {
        let pose = &self.point.pose;
        let moved = norm(pose.shift).max((pose.turn * lever).abs()).max(interior.s.abs());
        lines.iter().fold(moved, |m, l| m.max(l.length()).max(l.radius))
    }
}

/// Parts and multipliers as the interior-point method has them.
fn take(held: &mut [Held], interior: &Interior<'_>, lines: &[Line]) {
    for (k, ((h, cone), line)) in held.iter_mut().zip(&interior.cones).zip(lines).enumerate() {
        let Some((room, spare)) = interior.inside(k) else { continue };
        let push = norm([cone.dual[1], cone.dual[2]]);
        let length = norm([cone.slack[1], cone.slack[2]]);
        *h = Held::new(h.touch);
        if line.rise > 0.0 && spare * interior.size > cone.slack[0] + length {
            h.part = Part::Apex;
            h.weight = cone.dual[0];
            h.force = [-cone.dual[1], -cone.dual[2]];
        } else if (cone.dual[0] + push) * interior.size > room {
            h.part = Part::Rim;
            h.weight = 0.5 * (cone.dual[0] + push);
        }
    }
}
