//! What is wrong with an orientation or with the zeros of its readings, in words that go on after its
//! name.

use crate::bench::{ChainFault, NoEnd, SetupProblem};
use crate::job::Touch;
use crate::notation::joined;
use std::fmt;

impl fmt::Display for SetupProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoInstrument => {
                f.write_str("names an instrument that is not in the plan. Choose one.")
            }
            Self::ProbeNotFound => f.write_str(
                "uses a gauge whose probe constant is to be found, and its trial is not complete. \
                 Enter its touches from above and from below with the instruments.",
            ),
            Self::NoOutline => f.write_str(
                "stands on an edge whose coordinate is not known. Enter the outline of the part, \
                 or set the zero at a feature.",
            ),
            Self::ObliqueOnPlate => f.write_str(
                "is not square to the drawing, so no edge of the outline lies on the plate. Set \
                 its zero at a feature.",
            ),
            Self::RestMissing(n) => {
                write!(f, "rests on face {n}, which is not in the drawing. Choose the face.")
            }
            Self::RestLooksElsewhere(n) => write!(
                f,
                "rests on {n}, which does not look down in this orientation. Choose which way is \
                 up, or the face on the plate.",
            ),
            Self::ZeroMissing(n) => {
                write!(f, "has its zero at {n}, which is not in the drawing. Choose the zero.")
            }
            Self::ZeroUnseen(n) => write!(
                f,
                "has its zero at {n}, which has no coordinate along the direction that is up. \
                 Choose another zero, or complete {n} on the drawing.",
            ),
        }
    }
}

impl fmt::Display for ChainFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Circle(ring) => write!(
                f,
                "the zeros are circular: {} counts from {}. Let one of them count from the plate \
                 or from a feature outside the circle.",
                ring.join(" counts from "),
                ring.first().map_or("", String::as_str)
            ),
            Self::NoEnd { reading, zero, why } => {
                write!(f, "{reading} counts from {zero}, ")?;
                no_end(f, zero, why)
            }
        }
    }
}

fn no_end(f: &mut fmt::Formatter<'_>, zero: &str, why: &NoEnd) -> fmt::Result {
    let named = |list: &[Touch]| {
        joined(&list.iter().map(|t| format!("the {}", t.word())).collect::<Vec<_>>())
    };
    match why {
        NoEnd::NotRead => write!(
            f,
            "which has no reading there. Read {zero} first, or choose another zero for it."
        ),
        NoEnd::Incomplete { read, lacks } => {
            match read.as_slice() {
                [] => write!(f, "of which {} was not read. Take it first", named(lacks)),
                some => {
                    write!(f, "of which only {} was read. Take {} too", named(some), named(lacks))
                }
            }?;
            f.write_str(", or choose another zero for it.")
        }
        NoEnd::OwnZero => {
            f.write_str("whose own zero cannot be used. Choose another zero for one of them.")
        }
    }
}
