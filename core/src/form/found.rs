//! What comes out where a form may not be determinable.

use std::fmt;

/// A form, or why the points do not determine it.
#[derive(Clone, Debug, PartialEq)]
pub enum Form<T> {
    /// It is determined.
    Found(T),
    /// Fewer points than it takes to say anything: any three lie in a plane, any two on a line.
    TooFew {
        /// How many there are.
        have: usize,
        /// How many it takes.
        need: usize,
    },
    /// The points lie on one line, or so nearly that what is across it is not determined.
    OnOneLine,
    /// All points are at the same place along the line.
    AtOnePlace,
}

impl<T> Form<T> {
    /// The form, where it is determined.
    #[must_use]
    pub fn found(self) -> Option<T> {
        match self {
            Form::Found(form) => Some(form),
            Form::TooFew { .. } | Form::OnOneLine | Form::AtOnePlace => None,
        }
    }
}

/// A number of this point is not finite. Points count from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotFinite(pub usize);

impl fmt::Display for NotFinite {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "point {} has a number that is not finite", self.0)
    }
}

impl std::error::Error for NotFinite {}

/// Refuses the first of `points` with a number that is not finite.
pub(super) fn finite<const N: usize>(
    points: impl Iterator<Item = [f64; N]>,
) -> Result<(), NotFinite> {
    for (i, numbers) in points.enumerate() {
        if !numbers.iter().all(|x| x.is_finite()) {
            return Err(NotFinite(i));
        }
    }
    Ok(())
}
