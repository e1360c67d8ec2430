//! Problems in sentences: what is wrong or doubtful, and what to do.

use crate::adjust::AdjustmentFault;
use crate::findings::{
    Named, NoDatumFrom, OppositeCause, ProbeCause, Problem, ProblemKind, Toleranced, Turn,
};
use crate::notation::joined;
use crate::quantity::{Axis, Length};
use serde::ser::{Serialize, SerializeStruct, Serializer};
use std::fmt;

impl Problem {
    /// One or two sentences: what it is and what to do.
    #[must_use]
    pub fn says(&self) -> String {
        self.what.to_string()
    }
}

impl Serialize for Problem {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut all = to.serialize_struct("Problem", 3)?;
        all.serialize_field("weight", &self.weight)?;
        all.serialize_field("place", &self.place)?;
        all.serialize_field("says", &self.says())?;
        all.end()
    }
}

impl fmt::Display for ProblemKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Drawing(problem) => write!(f, "{problem}"),
            Self::Plan(problem) => write!(f, "{problem}"),
            Self::Setup { orientation, why } => write!(f, "Orientation {orientation} {why}"),
            Self::Chain { orientation, fault } => {
                write!(f, "In orientation {orientation} {fault}")
            }
            Self::OwnZero { feature, orientation, why } => {
                write!(f, "The reading of {feature} in orientation {orientation} {why}")
            }
            Self::NotAdjusted(why) => {
                f.write_str("The heights could not be adjusted together: ")?;
                match why {
                    AdjustmentFault::Network(fault) => write!(f, "{fault}"),
                    AdjustmentFault::AnglesNotFound => f.write_str(
                        "The angles of the orientations could not be found from these readings.",
                    ),
                }
            }
            Self::NoDatum { orientation, axis, from } => no_datum(f, *orientation, *axis, from),
            Self::JudgedFrom { orientation, from, feature } => write!(
                f,
                "Orientation {orientation} measures from {from}, which the callout of {feature} does \
                 not name as a datum. Its position is judged from there all the same."
            ),
            Self::OneAxis(axis) => write!(
                f,
                "Every orientation measures {} only; {} is not measured. Add an orientation a \
                 quarter turn away.",
                axis.letter(),
                axis.other().letter()
            ),
            Self::Coarse { worst, more, ratio, expanded, figures } => {
                let list: Vec<String> = worst
                    .iter()
                    .map(|(what, feature)| match what {
                        Toleranced::Size => format!("size of {feature}"),
                        Toleranced::Position => format!("position of {feature}"),
                    })
                    .collect();
                let more = if *more > 0 { format!(" and {more} more") } else { String::new() };
                let [size, position] = expanded.map(|u| figures.plain(u));
                write!(
                    f,
                    "Gauge capability insufficient: {}{more}; ratio of tolerance to uncertainty \
                     below 4:1, ±{size} for a size and ±{position} for a position (worst \
                     {ratio:.1}:1). Repeat touches, use a finer gauge, or decide with a guard \
                     band.",
                    list.join(", "),
                )
            }
            Self::Probe { gauge, constant, doubt, figures } => {
                f.write_str(&super::probe::doubt(gauge, *constant, *doubt, *figures))
            }
            Self::StrayReadings(readings) => {
                let list: Vec<String> =
                    readings.iter().map(|(f, o)| format!("{f} in orientation {o}")).collect();
                write!(
                    f,
                    "Readings are kept that drawing and plan no longer ask for: {}. They take no part in \
                     the results.",
                    list.join(", ")
                )
            }
            Self::StrayHeights(relations) => write!(
                f,
                "Heights are kept for lines of the drawing that take none: {}. They take no part in the \
                 results.",
                relations.join(", ")
            ),
            Self::StandsOtherwise { orientation, fits } => write!(
                f,
                "The heights of orientation {orientation} fit {} up far better than what is \
                 stated. Check how the part stood; nothing was changed.",
                fits.label()
            ),
            Self::SizesOff { orientations, cause, by, figures } => {
                sizes_off(f, orientations, *cause, &figures.plain(by.abs()))
            }
            Self::Exchanged { orientation, features: [one, other] } => write!(
                f,
                "In orientation {orientation} {one} reads what {other} should, and the other way \
                 round: they seem to be interchanged. Touch them again; nothing was changed."
            ),
            Self::SizeOff { orientation, feature, by, figures } => write!(
                f,
                "The size of {feature} in orientation {orientation} is off by {}: touch it again, both \
                 points.",
                figures.signed(*by)
            ),
            Self::HeightsOff { orientation, features, figures } => {
                let named = |(name, off): &(String, Length)| {
                    format!("{name} ({})", figures.signed(*off))
                };
                let list: Vec<String> = features.iter().map(named).collect();
                write!(
                    f,
                    "In orientation {orientation} the height of {} is far from where the others have the \
                     pattern. Touch again; nothing was changed.",
                    list.join(", ")
                )
            }
            Self::NotThePattern(orientation) => write!(
                f,
                "The heights of orientation {orientation} do not make the pattern of the drawing. \
                 Check how the part stood and which features were touched; nothing was changed."
            ),
            Self::Misfit { orientation, feature, times, error, figures } => {
                let by = error.map_or_else(String::new, |e| {
                    format!(", apparent error {}", figures.signed(e))
                });
                write!(
                    f,
                    "The height of {feature} in orientation {orientation} does not fit those of \
                     the other orientations: it is off by {times:.1} times its uncertainty{by}. \
                     Re-measure; the reading is included."
                )
            }
            Self::ZeroMisfit { orientation, times, error, figures } => write!(
                f,
                "The heights of orientation {orientation} disagree as a whole with those of the \
                 others: its zero is off by {times:.1} times its uncertainty, apparent error {}. \
                 Set it again, and check what the part rests on; nothing was changed.",
                figures.signed(*error)
            ),
            Self::TestFails { chi_square, degrees, probability } => write!(
                f,
                "The orientations fit each other worse than the stated uncertainty allows \
                 (chi-square {chi_square:.1} with {degrees} degrees of freedom, probability \
                 {probability:.1e}), and no single reading stands out. Check how the part stood, \
                 burrs, and the error limit entered for the gauge."
            ),
            Self::IdleTemperature => f.write_str(
                "The temperature stated corrects nothing: a coefficient of expansion or the temperature of \
                 the part is missing. Enter both coefficients, or take the temperature as a record only.",
            ),
            Self::StandardNotStated => f.write_str(
                "The drawing states no standard: it is judged by ASME Y14.5-2018, and a metric drawing may \
                 well follow ISO. Choose the standard, since it decides what is judged together.",
            ),
            Self::EndsAssumed(faces) => write!(
                f,
                "How far out of square {} may be counts over the length of the edge, which the drawing does \
                 not give: the outermost features stand for its ends, and the uncertainty comes out too \
                 small. Enter the outline.",
                joined(faces)
            ),
            Self::DatumCircle { letter, worst, radius, figures } => write!(
                f,
                "The centres that make datum {letter} lie as far as {} from the circle through \
                 them, of radius {}: the centre is not reliable. Check which features carry the \
                 datum.",
                figures.plain(*worst),
                figures.plain(*radius)
            ),
            Self::Drift { orientation, by, limit, figures } => write!(
                f,
                "The zero of orientation {orientation} read {} at its end, where {} is explained by the \
                 gauge. Set the zero again and repeat the orientation.",
                figures.signed(*by),
                figures.plain(*limit)
            ),
            Self::NotParallel { orientation, face, tir, limit, figures } => write!(
                f,
                "The sweep of {face} in orientation {orientation} shows a TIR of {}, where {} is \
                 explained by the gauge. Check that the part is seated, with no burr or chip under it; \
                 if it is, the face is not parallel to the one that carries the part.",
                figures.plain(*tir),
                figures.plain(*limit)
            ),
            Self::SizesTurned { orientation, other } => write!(
                f,
                "The sizes of orientation {orientation} fit those of orientation {other} far better with \
                 the part turned by half a turn: the pattern is symmetric. Look how the part stood in \
                 both; nothing was changed."
            ),
            Self::Symmetric(turns) => {
                let list: Vec<String> = turns.iter().map(|t| turn(*t).to_owned()).collect();
                write!(
                    f,
                    "The pattern is symmetric: no height tells the part {}. Mark an edge of each part \
                     before the first touch.",
                    list.join(" or ")
                )
            }
            Self::Opposite { orientations: [one, other], cause, by, figures } => {
                write!(
                    f,
                    "Orientations {one} and {other}, which are opposite, contradict each other: "
                )?;
                opposite(f, cause, &figures.plain(by.abs()))
            }
            Self::NotTied { orientation, axis, features } => write!(
                f,
                "The heights of orientation {orientation} are not referred to a datum: {} of {} is \
                 not known. Set its zero at the datum, touch the datum in it, or stand the part on \
                 it and enter the height of the blocks.",
                coordinate(*axis),
                named(features)
            ),
            Self::AngleNotFound { orientation, axis, features } => write!(
                f,
                "The angle of orientation {orientation} is to be found from the readings, and they do not \
                 give it: {} of {} is not known. Read the same features in one more orientation, or take \
                 the angle as stated.",
                coordinate(*axis),
                named(features)
            ),
            Self::ObliqueAlone { orientation, features } => {
                let names = named(features);
                write!(
                    f,
                    "Orientation {orientation} alone looks at {names}, along neither X nor Y: neither \
                     coordinate is known. Read {names} in another orientation too."
                )
            }
        }
    }
}

const fn turn(turn: Turn) -> &'static str {
    match turn {
        Turn::Half => "turned by half a turn",
        Turn::Quarter => "turned by a quarter turn",
        Turn::LeftRight => "turned over, left for right",
        Turn::TopBottom => "turned over, top for bottom",
    }
}

/// 1, or 1 or 3.
fn either(numbers: &[u32]) -> String {
    let numbers: Vec<String> = numbers.iter().map(u32::to_string).collect();
    numbers.join(" or ")
}

fn opposite(f: &mut fmt::Formatter<'_>, cause: &OppositeCause, by: &str) -> fmt::Result {
    match cause {
        OppositeCause::Zero => write!(
            f,
            "all heights by about {by}, as from a zero that was off or bumped. Set both zeros again, and \
             look at what the part lies on; nothing was changed."
        ),
        OppositeCause::Probe => write!(
            f,
            "all heights by about {by}, and so do the other opposite orientations, as from a wrong probe \
             constant. Find the constant again; nothing was changed."
        ),
        OppositeCause::Tilt => write!(
            f,
            "by {by} from one side of the pattern to the other, as from a part that was not seated. Clean \
             and seat it again; nothing was changed."
        ),
        OppositeCause::Drift(numbers) => write!(
            f,
            "by {by} from the first touch of orientation {} to the last, as from a zero that drifts. Touch \
             the zero again, and repeat the orientation; nothing was changed.",
            either(numbers)
        ),
        OppositeCause::Step(numbers, from) => write!(
            f,
            "by {by} from {from} on in orientation {}, as from a zero bumped there. Set it again, and \
             repeat what was read from there; nothing was changed.",
            either(numbers)
        ),
        OppositeCause::One(feature) => {
            write!(f, "at {feature} alone, by {by}. Touch it again in both; nothing was changed.")
        }
    }
}

fn coordinate(axis: Option<Axis>) -> &'static str {
    axis.map_or("the coordinate", Axis::letter)
}

/// `hole 1`, `hole 1, hole 2 and 4 more`.
pub(super) fn named(all: &Named) -> String {
    let mut list = all.features.clone();
    if all.more > 0 {
        list.push(format!("{} more", all.more));
    }
    joined(&list)
}

fn no_datum(
    f: &mut fmt::Formatter<'_>,
    orientation: u32,
    axis: Option<Axis>,
    from: &NoDatumFrom,
) -> fmt::Result {
    let axis = axis.map_or("a coordinate", Axis::letter);
    let what = match from {
        NoDatumFrom::Feature(number) => {
            format!("{number}, which is no datum: its own error goes into every {axis}")
        }
        NoDatumFrom::Edge(side) => format!(
            "the {} edge, which is no datum: an error in the size of the part goes into every {axis}",
            side.edge()
        ),
        NoDatumFrom::Nothing => {
            format!("no datum: its coordinates are not tied to the frame along {axis}")
        }
    };
    write!(
        f,
        "Orientation {orientation} measures from {what}. Set its zero at the datum, or stand the part on \
         it."
    )
}

fn sizes_off(
    f: &mut fmt::Formatter<'_>,
    orientations: &[u32],
    cause: ProbeCause,
    by: &str,
) -> fmt::Result {
    let numbers: Vec<String> = orientations.iter().map(u32::to_string).collect();
    let word = if numbers.len() > 1 { "orientations" } else { "orientation" };
    let place = format!("{word} {}", joined(&numbers));
    match cause {
        ProbeCause::Forgotten => write!(
            f,
            "In {place} every hole and slot reads too small, and every boss and tab too large, by \
             about {by}: as if a probe constant of {by} had not been applied. Check how the gauge \
             is set, or enter the constant; nothing was changed."
        ),
        ProbeCause::Twice => write!(
            f,
            "In {place} every hole and slot reads too large, and every boss and tab too small, by \
             the probe constant {by} itself: the gauge seems to apply it already. Check how the \
             gauge is set; nothing was changed."
        ),
        ProbeCause::WrongSign => write!(
            f,
            "In {place} every size is off by about {by}, twice the probe constant: it seems to \
             have the wrong sign. Check the constant entered; nothing was changed."
        ),
        ProbeCause::Other => write!(
            f,
            "In {place} every size is off by about {by}, inner and outer features the opposite \
             way. Check the probe constant entered; nothing was changed."
        ),
    }
}
