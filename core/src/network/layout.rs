//! Which shared unknown has which column, and which columns a point touches.

use super::model::{Observation, Prior};
use super::problem::Problem;
use super::state::{State, across, dot};

/// A shared unknown, by its place in the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    /// δ of a direction.
    Error(usize),
    /// c of an offset.
    Offset(usize),
    /// s of a systematic error.
    Systematic(usize),
}

/// Columns for some of the shared unknowns.
#[derive(Debug)]
pub(super) struct Layout {
    errors: Vec<Option<usize>>,
    offsets: Vec<Option<usize>>,
    systematics: Vec<Option<usize>>,
    /// What each column stands for, and what is known of it.
    pub(super) unknowns: Vec<(Which, Prior)>,
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
        let errors: Vec<_> = (network.directions.iter().enumerate())
            .map(|(k, d)| column(Which::Error(k), d.error))
            .collect();
        let offsets: Vec<_> = (network.offsets.iter().enumerate())
            .map(|(j, c)| column(Which::Offset(j), c.prior))
            .collect();
        let systematics: Vec<_> = (network.systematics.iter().enumerate())
            .map(|(m, s)| column(Which::Systematic(m), s.prior))
            .collect();

        let mut layout = Self {
            errors,
            offsets,
            systematics,
            unknowns,
            starts: Vec::with_capacity(network.points.len() + 1),
            columns: Vec::new(),
        };
        layout.starts.push(0);
        let mut last = vec![usize::MAX; layout.unknowns.len()];
        let mut found = Vec::new();
        for point in 0..network.points.len() {
            for &i in problem.of(point) {
                let o = &network.observations[i];
                let error = layout.errors[network.direction_of(o)];
                let systematics = o.systematics.iter().map(|&(m, _)| layout.systematics[m]);
                for c in [error, layout.offsets[o.offset]].into_iter().chain(systematics).flatten()
                {
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

    /// Whether this unknown has a column.
    pub(super) fn has(&self, which: Which) -> bool {
        match which {
            Which::Error(k) => self.errors[k].is_some(),
            Which::Offset(j) => self.offsets[j].is_some(),
            Which::Systematic(m) => self.systematics[m].is_some(),
        }
    }

    /// Whether an error of angle is among them.
    pub(super) fn has_errors(&self) -> bool {
        self.unknowns.iter().any(|(which, _)| matches!(which, Which::Error(_)))
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
        if let Some(c) = self.errors[direction] {
            let arm = dot(state.points[o.point], across(state.ups[direction]));
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
