//! How the part stands, in words that name edges and letters and never a mere turning sense.

use crate::bench::{Contact, carries};
use crate::job::{Drawing, Job, Kind, Orientation, Zero};
use crate::quantity::Side;
use crate::show::Figures;

/// The datum letter that the feature with this number carries.
#[must_use]
pub(super) fn letter_of<'a>(drawing: &'a Drawing, number: &str) -> Option<&'a str> {
    drawing.datums.iter().find(|d| d.feature.as_deref() == Some(number)).map(|d| d.letter.as_str())
}

/// What is up: `−X`, or the angle for an orientation that is not square: `37.5°`.
#[must_use]
pub fn up_words(orientation: &Orientation) -> String {
    match orientation.up_side() {
        Some(side) => side.label().to_owned(),
        None => {
            let degrees = orientation.up_degrees.rem_euclid(360.0);
            format!("{}°", (degrees * 1e6).round() / 1e6)
        }
    }
}

/// The edge of the part on `side`, with the letter or number of a face that looks there.
fn edge_words(job: &Job, side: Side, given: Option<&str>) -> String {
    let face = given.and_then(|n| job.feature(n)).or_else(|| {
        job.drawing.features.iter().find(|f| f.kind == Kind::Face && f.looks == Some(side))
    });
    match face {
        Some(f) if !f.number.is_empty() => {
            let name = letter_of(&job.drawing, &f.number).unwrap_or(&f.number);
            format!("{} edge {name}", side.edge())
        }
        _ => format!("{} edge", side.edge()),
    }
}

/// What carries the part: `right edge on the plate`, `bottom edge B on blocks 1.0000`.
#[must_use]
pub fn carried_by(job: &Job, orientation: &Orientation) -> String {
    let Some(up) = orientation.up_side() else {
        return "leaning on a sine bar".to_owned();
    };
    let edge = edge_words(job, up.opposite(), orientation.rest.face.as_deref());
    let Some(blocks) = orientation.rest.blocks.height() else {
        return format!("{edge} on blocks of unknown height");
    };
    if blocks.0 > 0.0 {
        let height = blocks.length(job.reading_unit(orientation));
        format!("{edge} on blocks {}", Figures::of_readings(job, orientation).plain(height))
    } else {
        format!("{edge} on the plate")
    }
}

/// The whole stand in one line: `−X up: right edge on the plate, left edge C on top`.
#[must_use]
pub fn stands_in_words(job: &Job, orientation: &Orientation) -> String {
    match orientation.up_side() {
        Some(up) => format!(
            "{} up: {}, {} on top",
            up.label(),
            carried_by(job, orientation),
            edge_words(job, up, None)
        ),
        None => format!(
            "{} from +X towards +Y is up, {}",
            up_words(orientation),
            carried_by(job, orientation)
        ),
    }
}

/// What reads zero, as short as can be: `plate`, `face C`, `hole 1`.
#[must_use]
pub(super) fn zero_name(job: &Job, orientation: &Orientation) -> String {
    let Zero::Feature(number) = &orientation.zero else {
        return "plate".to_owned();
    };
    let name = letter_of(&job.drawing, number).unwrap_or(number);
    match job.feature(number) {
        Some(f) if f.kind == Kind::Face => format!("face {name}"),
        Some(f) => format!("{} {number}", f.kind.word()),
        None => number.clone(),
    }
}

/// What reads zero: `plate`, `face C from above`, `resting surface of face B, from above`, `centre of
/// hole 1`.
#[must_use]
pub fn zero_words(job: &Job, orientation: &Orientation) -> String {
    let Zero::Feature(number) = &orientation.zero else {
        return "plate".to_owned();
    };
    let Some(feature) = job.feature(number) else {
        return format!("{number}, not in the drawing");
    };
    if feature.kind != Kind::Face {
        return format!("centre of {} {number}", feature.kind.word());
    }
    let name = letter_of(&job.drawing, number).unwrap_or(number);
    // It cannot be touched itself: what is touched is what it lies on.
    if carries(job, orientation, feature) {
        return format!("resting surface of face {name}, {}", Contact::FromAbove.words());
    }
    let side = feature.looks.map_or(0.0, |s| orientation.up().component(s.axis()) * s.sign());
    if side > 0.5 {
        format!("face {name} {}", Contact::FromAbove.words())
    } else if side < -0.5 {
        format!("face {name} {}", Contact::FromBelow.words())
    } else {
        format!("face {name}")
    }
}
