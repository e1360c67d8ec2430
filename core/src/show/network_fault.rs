//! Why heights cannot be adjusted together, in sentences.

use crate::network::Fault;
use std::fmt;

impl std::error::Error for Fault {}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Point(i) => write!(f, "Point {i} has a number that is not finite."),
            Self::AngleError(i) => write!(
                f,
                "Angle error {i} has a number that is not finite, or a negative uncertainty."
            ),
            Self::Direction(i) => write!(
                f,
                "Direction {i} has an angle that is not finite, or names an angle error that does not \
                 exist or that it names already."
            ),
            Self::Offset(i) => write!(
                f,
                "Offset {i} has no direction, a number that is not finite, or a negative uncertainty."
            ),
            Self::Systematic(i) => write!(
                f,
                "Systematic error {i} has a number that is not finite, or a negative uncertainty."
            ),
            Self::Observation(i) => write!(
                f,
                "Observation {i} names what does not exist, has a number that is not finite, or an \
                 uncertainty that is not positive."
            ),
            Self::EdgeOn(i) => write!(f, "Observation {i} looks at a plane edge-on."),
            Self::Fixed(i) => write!(
                f,
                "Fixed coordinate {i} names no point, or is not along the normal of its plane."
            ),
            Self::FixedTwice(i) => {
                write!(f, "Fixed coordinate {i} fixes what is already fixed.")
            }
            Self::TooFarApart => f.write_str(
                "The stated uncertainties lie too far apart. Check the resolution and the error limits \
                 of the gauges.",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A user reads it behind 'The heights could not be adjusted together: '.
    #[test]
    fn every_fault_is_a_sentence() {
        for fault in [
            Fault::Point(3),
            Fault::AngleError(3),
            Fault::Direction(3),
            Fault::Offset(3),
            Fault::Systematic(3),
            Fault::Observation(3),
            Fault::EdgeOn(3),
            Fault::Fixed(3),
            Fault::FixedTwice(3),
            Fault::TooFarApart,
        ] {
            let says = fault.to_string();
            assert!(says.starts_with(char::is_uppercase) && says.ends_with('.'), "{says}");
            assert_eq!(says.contains('3'), fault != Fault::TooFarApart, "{says}");
        }
    }
}
