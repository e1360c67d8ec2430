//! What is missing or contradictory in a drawing, in sentences.

use super::problem::named;
use crate::findings::{DrawingProblem, Named, PatternFault, PlanProblem};
use crate::job::{DrawingPlace, DrawingText, FeatureField, NotUnderstood, OutlineField};
use crate::notation::{capital, joined};
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
                    "{class} is a {whose} class; {} {number} needs the other. Holes and slots take \
                     capital letters, bosses and tabs small ones.",
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
                    "{} of {} {number} {} missing on the drawing.",
                    joined(&axes),
                    kind.word(),
                    if axes.len() == 1 { "is" } else { "are" }
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
            Self::NotUnderstood { feature, what: NotUnderstood { field, typed } } => write!(
                f,
                "The {} of {feature} as typed is not understood: “{}”. It is kept, and {feature} \
                 cannot be judged until it is corrected or cleared.",
                field_word(*field),
                typed_text(typed)
            ),
            Self::TextNotUnderstood(DrawingText { place, typed }) => write!(
                f,
                "{} as typed is not understood: “{}”. It is kept, and no piece conforms until it is \
                 corrected or cleared.",
                capital(&place_words(place)),
                typed_text(typed)
            ),
            Self::DatumNotDefined { letter, features } => write!(
                f,
                "Datum {letter} is named by the position of {} and is not defined. Add it under Datums, \
                 or correct the callout.",
                named(features)
            ),
            Self::DatumWithoutFeature { letter, feature } => write!(
                f,
                "Datum {letter} stands on feature {feature}, which is not in the table. Write what \
                 carries it."
            ),
            Self::DatumBesideFace { letter } => write!(
                f,
                "Datum {letter} is defined as not seen in this view, and face {letter} is in the table. \
                 If the face carries the datum, write {letter} as its feature under Datums; if not, \
                 give the face another number."
            ),
            Self::RelationWithoutFeature { relation, features } => write!(
                f,
                "Line {relation} names {}, which {} not in the table.",
                joined(features),
                if features.len() == 1 { "is" } else { "are" }
            ),
            Self::ModifierWithoutLimits(features) => write!(
                f,
                "The position of {} is modified by M or L, which needs limits of size: enter them.",
                named(features)
            ),
            Self::PositionWithoutDatums(features) => write!(
                f,
                "The position of {} names no datum: it is judged from whatever the orientations count \
                 from. Enter the datums of the drawing.",
                named(features)
            ),
            Self::LowerSegmentLooser(features) => write!(
                f,
                "A lower segment of the callout of {} is larger than the one above it, and so asks for \
                 nothing more. Check the figures.",
                named(features)
            ),
            Self::BoundaryWithoutTolerance { letter, feature } => write!(
                f,
                "Datum {letter} is named at its boundary, and {feature} has no tolerance of its own: the \
                 boundary is taken as its limit of size. Enter its callout, or the boundary under Datums."
            ),
            Self::OutsideOutline(features) => write!(
                f,
                "{} outside the outline of the part. Check the coordinates and the outline.",
                subject(features)
            ),
            Self::ClassInInches(features) => write!(
                f,
                "The size of {} is a whole number of inches with a class of ISO 286. If the drawing \
                 gives it in millimetres, enter it as limits in inches.",
                named(features)
            ),
        }
    }
}

/// `Hole 1 lies`, `Hole 1 and hole 2 lie`.
fn subject(features: &Named) -> String {
    let one = features.features.len() == 1 && features.more == 0;
    let text = named(features);
    let mut chars = text.chars();
    let first = chars.next().into_iter().flat_map(char::to_uppercase);
    format!("{}{} {}", first.collect::<String>(), chars.as_str(), if one { "lies" } else { "lie" })
}

/// What was typed, as far as a sentence has room for it.
pub(super) fn typed_text(typed: &str) -> String {
    const MOST: usize = 60;
    match typed.char_indices().nth(MOST) {
        Some((end, _)) => format!("{} …", typed[..end].trim_end()),
        None => typed.to_owned(),
    }
}

/// What a field of the table of features is called in a sentence.
#[must_use]
pub const fn field_word(field: FeatureField) -> &'static str {
    match field {
        FeatureField::Number => "number",
        FeatureField::Kind => "kind",
        FeatureField::Direction => "direction",
        FeatureField::X => "X",
        FeatureField::Y => "Y",
        FeatureField::Size => "size",
        FeatureField::Position => "callout",
        FeatureField::Modifier => "modifier",
        FeatureField::Datums => "list of datums",
    }
}

impl fmt::Display for PlanProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CalibrationOverdue { gauge, due, measured } => write!(
                f,
                "The calibration of {gauge} was due on {due}, and a piece was measured on {measured}. \
                 Enter the date of the newer certificate, or measure with a gauge that is calibrated."
            ),
            Self::BeyondRange { gauge, range, highest, orientation, figures } => write!(
                f,
                "{gauge} measures up to {}, and a height of {} is expected in orientation \
                 {orientation}. Use another gauge, set the zero on a feature, or correct the measuring \
                 range.",
                figures.plain(*range),
                figures.plain(*highest)
            ),
            Self::SerialTwice(serial) if serial.is_empty() => {
                f.write_str("Two pieces have no serial number. Give each its own.")
            }
            Self::SerialTwice(serial) => {
                write!(f, "Two pieces have the serial number {serial}. Give each its own.")
            }
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

/// What something was typed for beside the features, in words.
fn place_words(place: &DrawingPlace) -> String {
    match place {
        DrawingPlace::DatumLetter(letter) => format!("the letter of datum {letter}"),
        DrawingPlace::DatumFeature(letter) => format!("the feature that carries datum {letter}"),
        DrawingPlace::DatumBoundary(letter) => format!("the stated boundary of datum {letter}"),
        DrawingPlace::LineNumber(number) => format!("the number of line {number}"),
        DrawingPlace::LineRequirement(number) => format!("the requirement of line {number}"),
        DrawingPlace::FurtherLine => "the requirement of a further line".to_owned(),
        DrawingPlace::Outline(field) => {
            let field = match field {
                OutlineField::Left => "left edge",
                OutlineField::Bottom => "bottom edge",
                OutlineField::Width => "width",
                OutlineField::Height => "height",
            };
            format!("the {field} of the outline")
        }
    }
}
