//! What is missing or contradictory in a drawing, in sentences.

use crate::findings::{DrawingProblem, PatternFault};
use crate::notation::joined;
use crate::quantity::Axis;
use std::fmt;

impl fmt::Display for DrawingProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoNumber(row) => {
                write!(f, "Feature in row {row} has no number. Give it the one on the drawing.")
            }
            Self::NumberTwice { number, rows: [first, second] } => {
                write!(f, "Rows {first} and {second} are both number {number}. Give each its own.")
            }
            Self::Limits(kind, number) => write!(
                f,
                "The limits of {} {number} are the wrong way round or not positive.",
                kind.word()
            ),
            Self::ClassOfOther { class, kind, number } => {
                let whose = if kind.is_internal() { "an outer" } else { "an inner" };
                write!(
                    f,
                    "{class} is a class of {whose} feature, and {} {number} is none. Holes and slots have \
                     capitals, bosses and tabs small letters.",
                    kind.word()
                )
            }
            Self::NoDirection(kind, number) => {
                write!(f, "The width of {} {number} lies along X or Y: say which.", kind.word())
            }
            Self::LooksNowhere(number) => {
                write!(f, "Face {number} looks to +X, −X, +Y or −Y: say where to.")
            }
            Self::NoCoordinates(kind, number, axes) => {
                let axes: Vec<&str> = axes.iter().map(|axis| Axis::letter(*axis)).collect();
                write!(
                    f,
                    "{} of {} {number} is missing on the drawing.",
                    joined(&axes),
                    kind.word()
                )
            }
            Self::NoCoordinateAlong(kind, number, axis) => {
                let (axis, word) = (axis.letter(), kind.word());
                write!(
                    f,
                    "{axis} of {word} {number} is missing on the drawing. Its datum frame is turned as the \
                     part was found to lie, and so it counts where along {axis} the {word} is."
                )
            }
            Self::DatumPattern { letter, why } => write!(
                f,
                "Datum {letter} stands on a pattern of holes or bosses, and {why}. Write again what \
                 carries it."
            ),
        }
    }
}

impl fmt::Display for PatternFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(number) => write!(f, "there is no feature {number}"),
            Self::NotRound(kind, number) => write!(f, "{number} is a {}", kind.word()),
            Self::Twice(number) => write!(f, "{number} is named twice"),
        }
    }
}
