//! The pattern as it will be once something has been changed.

use super::member::Member;

/// A hole after the change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Its deviation, measured less nominal, millimetres; `None` where it was not measured.
    pub deviation: [Option<f64>; 2],
    /// Whether it is in its zone; `None` where nothing is asked, or too little is known.
    pub conforms: Option<bool>,
}

/// All holes after the change, each with the error of its own that it has now.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Foreseen {
    /// The holes, in the order of the members.
    pub holes: Vec<Predicted>,
    /// How many conform.
    pub conforming: usize,
    /// Of how many that can be judged.
    pub judged: usize,
}

impl Foreseen {
    /// Whether no fewer holes conform than `now` do and their deviations are no larger together, that of
    /// the member that is on its own left out.
    pub(super) fn is_better_than(&self, now: &Self, own: Option<usize>) -> bool {
        let squares = |of: &Self| -> f64 {
            let holes = of.holes.iter().enumerate().filter(|(i, _)| Some(*i) != own);
            holes.flat_map(|(_, h)| h.deviation).flatten().map(|d| d * d).sum()
        };
        self.conforming >= now.conforming && squares(self) <= squares(now)
    }
}

/// Moves every hole at n by `change(n)` and judges it. The zones stay what they are: a hole that
/// is moved keeps its size.
pub fn foresee(members: &[Member], change: impl Fn([f64; 2]) -> [f64; 2]) -> Foreseen {
    let mut out = Foreseen::default();
    for m in members {
        let mut deviation = m.deviation;
        for (d, by) in deviation.iter_mut().zip(change(m.nominal)) {
            *d = d.map(|d| d + by);
        }
        let conforms = m.zone.and_then(|z| z.conforms(deviation));
        out.conforming += usize::from(conforms == Some(true));
        out.judged += usize::from(conforms.is_some());
        out.holes.push(Predicted { deviation, conforms });
    }
    out
}
