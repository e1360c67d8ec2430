//! What can be done in one step about something that the readings of an orientation have in common.
//! Nothing of it is done unasked.

use super::{ProbeCause, Problem, ProblemKind};
use crate::bench::{ProbeFound, stand};
use crate::job::{Job, Probe};
use crate::quantity::{Figure, Side};

/// What can be done in one step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Remedy {
    /// Say that the part stood otherwise.
    Stand {
        /// In which orientation.
        orientation: u32,
        /// Which side was up.
        up: Side,
    },
    /// Apply the probe constant that the trial of this instrument gives.
    ApplyFound {
        /// Its place in the plan.
        instrument: usize,
    },
    /// Apply the probe constant of this instrument with the other sign.
    TurnConstant {
        /// Its place in the plan.
        instrument: usize,
    },
    /// Apply none: this gauge does it.
    AppliedByGauge {
        /// Its place in the plan.
        instrument: usize,
    },
}

impl Remedy {
    /// What can be done about a problem; `None` where it has to be looked at.
    #[must_use]
    pub fn of(job: &Job, problem: &Problem) -> Option<Self> {
        match &problem.what {
            ProblemKind::StandsOtherwise { orientation, fits } => {
                Some(Self::Stand { orientation: *orientation, up: *fits })
            }
            ProblemKind::SizesOff { orientations, cause, .. } => {
                let instrument = job.orientation(*orientations.first()?)?.instrument;
                let gauge = job.plan.instruments.get(instrument)?;
                match (cause, gauge.probe) {
                    (ProbeCause::Forgotten, Probe::AppliedByGauge) => {
                        ProbeFound::of(gauge).map(|_| Self::ApplyFound { instrument })
                    }
                    (ProbeCause::WrongSign, Probe::Constant(_)) => {
                        Some(Self::TurnConstant { instrument })
                    }
                    (ProbeCause::Twice, Probe::Constant(_) | Probe::Found) => {
                        Some(Self::AppliedByGauge { instrument })
                    }
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// Does it. Readings stay as they are.
    pub fn apply(self, job: &mut Job) {
        let (instrument, probe) = match self {
            Self::Stand { orientation, up } => {
                stand(job, orientation, up.degrees());
                return;
            }
            Self::ApplyFound { instrument } => (instrument, Some(Probe::Found)),
            Self::AppliedByGauge { instrument } => (instrument, Some(Probe::AppliedByGauge)),
            Self::TurnConstant { instrument } => {
                let probe = job.plan.instruments.get(instrument).map(|i| i.probe);
                let turned = match probe {
                    Some(Probe::Constant(k)) => Some(Probe::Constant(Figure(-k.0))),
                    _ => None,
                };
                (instrument, turned)
            }
        };
        if let (Some(gauge), Some(probe)) = (job.plan.instruments.get_mut(instrument), probe) {
            gauge.probe = probe;
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::findings::evaluate;
    use crate::job::{ProbeTrial, Touch};
    use crate::testing::notebook;

    /// What can be done about the job's first piece.
    fn offered(job: &Job) -> Vec<Remedy> {
        let found = evaluate(job);
        found.pieces[0].problems.iter().filter_map(|p| Remedy::of(job, p)).collect()
    }

    #[test]
    fn a_part_that_stood_otherwise_is_turned_and_then_nothing_is_asked() {
        let good = notebook();
        assert_eq!(offered(&good), []);
        let mut job = good.clone();
        let stated = good.plan.orientations[0].up_side().unwrap();
        stand(&mut job, good.plan.orientations[0].number, stated.opposite().degrees());
        let found = offered(&job);
        let [remedy @ Remedy::Stand { up, .. }] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!(*up, stated);
        remedy.apply(&mut job);
        assert_eq!(offered(&job), []);
        assert_eq!(job.plan.orientations[0].up_side(), Some(stated));
        let verdicts = |job: &Job| evaluate(job).pieces[0].verdict;
        assert_eq!(verdicts(&job), verdicts(&good));
    }

    /// Readings without a probe constant of 2 mm, or with one that has the wrong sign.
    fn without_constant(probe: Probe) -> Job {
        let mut job = notebook();
        let k = 2.0 / 25.4;
        job.plan.instruments[0].probe = probe;
        for piece in &mut job.pieces {
            let numbers: Vec<(u32, String)> =
                piece.readings.iter().map(|r| (r.orientation, r.feature.clone())).collect();
            for (orientation, number) in numbers {
                let feature = job.drawing.features.iter().find(|f| f.number == number).unwrap();
                // A touch from below reads lower by the constant.
                let below = if feature.kind.is_internal() { Touch::High } else { Touch::Low };
                let values = piece.reading(orientation, &number).unwrap().values(below).to_vec();
                let lower = values.into_iter().map(|v| Figure(v.0 - k)).collect();
                piece.set_values(orientation, &number, below, lower);
            }
        }
        job
    }

    #[test]
    fn a_probe_constant_that_was_not_applied_is_applied_where_a_trial_gives_it() {
        let mut job = without_constant(Probe::AppliedByGauge);
        assert_eq!(offered(&job), [], "nothing says what it is");
        let (k, at) = (2.0 / 25.4, 1.0);
        let touches = |at: f64| vec![Figure(at), Figure(at + 0.0001), Figure(at - 0.0001)];
        job.plan.instruments[0].probe_found =
            Some(ProbeTrial { down: touches(at), up: touches(at - k), ..ProbeTrial::default() });
        let found = offered(&job);
        assert_eq!(found, [Remedy::ApplyFound { instrument: 0 }]);
        found[0].apply(&mut job);
        assert_eq!(offered(&job), []);
        assert_eq!(job.plan.instruments[0].probe, Probe::Found);
    }

    #[test]
    fn a_probe_constant_with_the_wrong_sign_is_turned() {
        let mut job = without_constant(Probe::Constant(Figure(-2.0 / 25.4)));
        let found = offered(&job);
        assert_eq!(found, [Remedy::TurnConstant { instrument: 0 }]);
        found[0].apply(&mut job);
        assert_eq!(offered(&job), []);
        let off = |p: &Problem| matches!(p.what, ProblemKind::SizesOff { .. });
        assert!(!evaluate(&job).pieces[0].problems.iter().any(off));
    }
}
