//! Why a class has no limits at a size.

use super::{Class, Grade};
use std::fmt;

/// Why ISO 286-1 has no value. Sizes are in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Undefined {
    /// The nominal size is not positive, or above 3150 mm.
    Size,
    /// The grade is tabulated only up to this size.
    Grade {
        /// The grade.
        grade: Grade,
        /// Largest size that has it.
        to: f64,
    },
    /// IT14 and coarser do not exist for sizes to 1 mm.
    GradeUnderOne {
        /// The grade.
        grade: Grade,
    },
    /// The letters exist for other sizes only.
    Letter {
        /// The class.
        class: Class,
        /// Sizes that have it are above this.
        above: f64,
        /// Largest size that has it.
        to: f64,
    },
    /// These letters exist, but not for sizes to 1 mm.
    LetterUnderOne {
        /// The class.
        class: Class,
    },
    /// The letters exist at this size, but only with these grades.
    Pair {
        /// The class.
        class: Class,
        /// Finest grade.
        from: Grade,
        /// Coarsest grade.
        to: Grade,
    },
}

impl fmt::Display for Undefined {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Undefined::Size => {
                f.write_str("ISO 286 is for nominal sizes above 0, up to and including 3150 mm.")
            }
            Undefined::Grade { grade, to } => {
                write!(f, "Grade IT{grade} is tabulated up to {to} mm only.")
            }
            Undefined::GradeUnderOne { grade } => {
                write!(f, "Grade IT{grade} is not used for nominal sizes up to 1 mm.")
            }
            Undefined::Letter { class, above, to } => {
                write!(f, "{class} exists only for nominal sizes above {above} up to {to} mm.")
            }
            Undefined::LetterUnderOne { class } => {
                write!(f, "{class} is not used for nominal sizes up to 1 mm.")
            }
            Undefined::Pair { class, from, to } => {
                write!(f, "{class} does not exist at this size: grades IT{from} to IT{to} only.")
            }
        }
    }
}

impl std::error::Error for Undefined {}
