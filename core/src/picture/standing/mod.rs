//! The part as it stands on the surface plate, in front of the inspector.
//!
//! The drawing's view is turned until the direction that is up points up on the page; it is
//! never mirrored, and figures and letters stay upright. Millimetres of the page, y down.
//!
//! A [`Stand`] holds where everything is; it depends on the drawing and the orientation alone,
//! so a screen may keep it and draw the layers that change over it: what was touched, and the
//! touch that comes next. [`standing`] draws them all at once.

mod fit;
mod part;
mod shape;
mod touch;
mod words;

#[cfg(test)]
mod tests;

pub use touch::NextTouch;
pub use words::{carried_by, stands_in_words, up_words, zero_words};

use crate::bench::{Setup, expected};
use crate::job::{Job, Orientation, Touch};
use crate::mark::{Mark, Point};
use crate::quantity::Direction;
use crate::show::Figures;
use shape::Shape;

/// How much the picture shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Detail {
    /// Numbers, datum letters, zero, blocks, and room for a dimension line.
    #[default]
    Full,
    /// A small picture to choose by: outline, features and letters.
    Small,
}

/// How the picture is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct StandingOptions {
    /// Width of the picture in millimetres.
    pub width: f64,
    /// Height of the picture in millimetres.
    pub height: f64,
    /// Font size in millimetres.
    pub text: f64,
    /// How much is shown.
    pub detail: Detail,
    /// The touch that comes next: index of the feature in the drawing, and which touch.
    pub current: Option<(usize, Touch)>,
    /// What was touched already.
    pub taken: Vec<(usize, Touch)>,
}

impl Default for StandingOptions {
    fn default() -> Self {
        Self {
            width: 150.0,
            height: 120.0,
            text: 3.2,
            detail: Detail::Full,
            current: None,
            taken: Vec::new(),
        }
    }
}

/// Where everything of the picture is.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    width: f64,
    text: f64,
    detail: Detail,
    up: Direction,
    /// Axis label of what is up (`−X`), or the angle.
    up_label: String,
    /// Axis label of what is to the right, for square orientations.
    right_label: Option<&'static str>,
    /// Corners of the outline, or of the guess at it.
    part: [Point; 4],
    /// Whether the drawing gives the outline.
    outlined: bool,
    /// Left and right end of all that is drawn of the part.
    sides: (f64, f64),
    /// Top of all that is drawn of the part.
    top: f64,
    /// Height of the plate's surface on the page.
    plate: f64,
    /// What lies between plate and part: its top on the page, and what it says.
    blocks: Option<(f64, String)>,
    /// Whether the part leans on a sine bar.
    leans: bool,
    /// Where the zero is on the page, and what it says.
    zero: Option<(Point, String)>,
    /// Where the dimension line runs.
    dimension: f64,
    /// One for each feature of the drawing that can be drawn, in its order.
    shapes: Vec<Option<Shape>>,
}

/// The part as it stands: the still picture, what was touched, and the touch that comes next.
#[must_use]
pub fn standing(job: &Job, orientation: &Orientation, options: &StandingOptions) -> Vec<Mark> {
    let stand = Stand::of(job, orientation, options);
    let mut marks = stand.still();
    marks.extend(stand.taken(&options.taken));
    if let Some((feature, touch)) = options.current {
        let setup = Setup::of(job, orientation).ok();
        let expectation = expected(job, orientation, setup.as_ref())
            .into_iter()
            .find(|e| e.feature == feature && e.touch == touch);
        if let Some(e) = expectation {
            let figures = Figures::of_readings(job, orientation);
            marks.extend(stand.next(&NextTouch {
                feature,
                touch,
                contact: e.contact,
                figure: e.raw.map(|raw| figures.plain(raw)),
            }));
        }
    }
    marks
}
