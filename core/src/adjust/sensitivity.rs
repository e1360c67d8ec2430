//! How a result follows from what was measured, to first order (JCGM 100:2008, 5.1).

use super::Form;
pub use crate::chance::{Sensitivities, SizeRef};

/// The same on the bench, the datum features of the frame among the places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BenchSensitivities {
    /// The coordinates on the bench. Where it is not known which end of an edge the frame touches,
    /// one form for either end, with the probability of that end; they add up to 1.
    pub forms: Vec<(f64, Form)>,
    /// Sizes, each with its derivative.
    pub sizes: Vec<(SizeRef, f64)>,
    /// As in [`Sensitivities::touches`].
    pub touches: Vec<(usize, f64)>,
}

impl BenchSensitivities {
    /// `times` as sensitive.
    #[must_use]
    pub fn scaled(mut self, times: f64) -> Self {
        for (_, form) in &mut self.forms {
            form.targets.iter_mut().for_each(|(_, w)| *w = w.map(|w| times * w));
            form.angles.iter_mut().for_each(|(_, w)| *w *= times);
        }
        self.sizes.iter_mut().for_each(|(_, w)| *w *= times);
        self.touches.iter_mut().for_each(|(_, w)| *w *= times * times);
        self
    }
}
