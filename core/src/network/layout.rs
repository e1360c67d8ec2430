//! Which shared unknown has which column, and which columns a point touches.

use super::model::{Direction, Observation, Prior};
use super::problem::Problem;
use super::state::State;
use crate::quantity::vector::{dot, quarter_turned};

/// A shared unknown, by its place in the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    /// δ of one or more directions.
    AngleError(usize),
    /// c of an offset.
    Offset(usize),
    /// s of a systematic error.
    Systematic(usize),
}

/// Columns for some of the shared unknowns.
#[derive(Debug)]
pub(super) struct Layout {
    angle_errors: Vec<Option<usize>>,
    offsets: Vec<Option<usize>>,
    systematics: Vec<Option<usize>>,
    /// What each column stands for, and what is known of it.
    pub(super) unknowns: Vec<(Which, Prior)>,
    /// How many columns, from the first, are estimated: those of the considered systematic errors
    /// come after them.
    estimated: usize,
    starts: Vec<usize>,
    columns: Vec<usize>,
}

impl Layout {
    /// Columns for the shared unknowns that `keep` keeps.
    pub(super) fn new(problem: &Problem<'_>, keep: impl Fn(Which, Prior) -> bool) -> Self {
        let network = problem.network;
        let mut unknowns = Vec::new();
        let mut column = |which, prior| {
            keep(which, prior).then(|| {
                unknowns.push((which, prior));
                unknowns.len() - 1
            })
        };
        let angle_errors: Vec<_> = (network.angle_errors.iter().enumerate())
            .map(|(k, prior)| column(Which::AngleError(k), *prior))
            .collect();
        let offsets: Vec<_> = (network.offsets.iter().enumerate())
            .map(|(j, c)| column(Which::Offset(j), c.prior))
            .collect();
        let mut systematics = vec![None; network.systematics.len()];
        for considered in [false, true] {
            for (m, s) in network.systematics.iter().enumerate() {
                if s.prior.standard().is_some() == considered {
                    systematics[m] = column(Which::Systematic(m), s.prior);
                }
            }
        }
        let considered = |(which, prior): &&(Which, Prior)| {
            matches!(which, Which::Systematic(_)) && prior.standard().is_some()
        };
        let estimated = unknowns.len() - unknowns.iter().filter(considered).count();

        let mut layout = Self {
            angle_errors,
            offsets,
            systematics,
            unknowns,
            estimated,
            starts: Vec::with_capacity(network.points.len() + 1),
            columns: Vec::new(),
        };
        layout.starts.push(0);
        let mut last = vec![usize::MAX; layout.unknowns.len()];
        let mut found = Vec::new();
        for point in 0..network.points.len() {
            for &i in problem.of(point) {
                let o = &network.observations[i];
                let errors = layout.angle_errors(&network.directions[network.direction_of(o)]);
                let systematics = o.systematics.iter().map(|&(m, _)| layout.systematics[m]);
                let shared = std::iter::once(layout.offsets[o.offset]).chain(systematics);
                for c in errors.chain(shared.flatten()) {
                    if last[c] != point {
                        last[c] = point;
                        found.push(c);
                    }
                }
            }
            layout.columns.append(&mut found);
            layout.starts.push(layout.columns.len());
        }
        layout
    }

    /// Number of columns.
    pub(super) fn width(&self) -> usize {
        self.unknowns.len()
    }

    /// Number of columns that are estimated: the first ones.
    pub(super) fn estimated(&self) -> usize {
        self.estimated
    }

    /// The column of this unknown.
    pub(super) fn column(&self, which: Which) -> Option<usize> {
        match which {
            Which::AngleError(k) => self.angle_errors[k],
            Which::Offset(j) => self.offsets[j],
            Which::Systematic(m) => self.systematics[m],
        }
    }

    /// The columns of a direction's angle errors.
    fn angle_errors(&self, direction: &Direction) -> impl Iterator<Item = usize> {
        direction.angle_errors.iter().filter_map(|k| self.angle_errors[*k])
    }

    /// Whether an angle error is among them.
    pub(super) fn has_angle_errors(&self) -> bool {
        self.unknowns.iter().any(|(which, _)| matches!(which, Which::AngleError(_)))
    }

    /// The columns that the observations of `point` touch.
    pub(super) fn of(&self, point: usize) -> &[usize] {
        &self.columns[self.starts[point]..self.starts[point + 1]]
    }

    /// Where the columns of `point` start among those of all points.
    pub(super) fn start(&self, point: usize) -> usize {
        self.starts[point]
    }

    /// Calls `entry(column, derivative)` for every shared unknown of an observation.
    ///
    /// The derivative by δ is −x sin(φ + δ) + y cos(φ + δ), the arm along the plate.
    pub(super) fn row(
        &self,
        problem: &Problem<'_>,
        state: &State,
        o: &Observation,
        mut entry: impl FnMut(usize, f64),
    ) {
        let direction = problem.network.direction_of(o);
        for c in self.angle_errors(&problem.network.directions[direction]) {
            let arm = dot(&state.points[o.point], &quarter_turned(state.ups[direction]));
            entry(c, if arm.abs() > state.short { arm } else { 0.0 });
        }
        if let Some(c) = self.offsets[o.offset] {
            entry(c, 1.0);
        }
        for &(m, a) in &o.systematics {
            if let Some(c) = self.systematics[m] {
                entry(c, a);
            }
        }
    }
}
