//! Standard tolerance grades, IT01 to IT18.

use std::fmt;

/// A standard tolerance grade of ISO 286-1. Finer grades compare as less.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grade(u8);

impl Grade {
    /// IT01, the finest.
    pub const IT01: Grade = Grade(0);
    /// IT18, the coarsest.
    pub const IT18: Grade = Grade(19);

    /// IT `number`, for 0 to 18; `None` otherwise. IT01 is [`Grade::IT01`].
    #[must_use]
    pub fn it(number: u8) -> Option<Grade> {
        (number <= 18).then_some(Grade(number + 1))
    }

    /// All of them, finest first.
    pub fn all() -> impl Iterator<Item = Grade> {
        (Grade::IT01.0..=Grade::IT18.0).map(Grade)
    }

    /// As it is written behind the letters: `01`, `0`, `1` to `18`. `None` for other text.
    #[must_use]
    pub fn written(text: &str) -> Option<Grade> {
        Grade::all().find(|d| d.to_string() == text)
    }

    /// IT `number`, for the grades named in this module's rules.
    pub(super) const fn known(number: u8) -> Grade {
        Grade(number + 1)
    }

    /// The next finer grade.
    pub(super) fn finer(self) -> Option<Grade> {
        self.0.checked_sub(1).map(Grade)
    }

    /// Its column of the table of tolerances.
    pub(super) fn column(self) -> usize {
        usize::from(self.0)
    }
}

impl fmt::Display for Grade {
    /// The figure alone: `7` of IT7, `01` of IT01.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0 => f.write_str("01"),
            n => write!(f, "{}", n - 1),
        }
    }
}
