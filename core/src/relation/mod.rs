//! What the drawing asks between features, and of the form of one: one file for each kind.
//!
//! A kind is a struct of the document with an implementation of [`Requirement`]: how it is typed and
//! written, which features it names, what it needs of a piece, how its figure is found and held
//! against what is allowed, and how it stands on the sheet. It is entered in the table of kinds
//! below, and nowhere else: the reader of files, the screens, the sheet and the uncertainty go
//! through [`Requirement`].
//!
//! ```text
//! job      Relation: number, kind, note
//!            │  judge(&dyn Facts)            what was measured of a piece
//!            ▼
//!          Found: figure, limits or zone, steps of the sum, Dependence   or a Reason
//!            │  the same for all kinds
//! callout  RelationFinding: margin, proof, verdict
//! ```

mod compartments;
mod dependence;
mod document;
mod facts;
mod found;
mod heights;
mod limits;
mod measured;
mod reason;
mod requirement;
mod step;
#[macro_use]
mod table;
mod typed;
mod vector;
mod written;

pub use compartments::Compartments;
pub use dependence::{Dependence, VectorBetween};
pub use distance::Along;
pub use document::Relation;
pub use facts::{Facts, Lean, MeasuredSweep};
pub use found::{Found, HeldTo, RoundZone};
pub use heights::{Heights, HeightsOver};
pub use limits::{Range, RelationLimits};
pub use measured::{Half, MeasuredFeature, MeasuredSize};
pub use reason::Reason;
pub use requirement::{Basis, FrameNeed, OnDrawing, Requirement};
pub use step::{Step, Term};
pub use typed::{Typed, examples, parse};
pub use written::{range_text, relation_limits_text};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::ops::{Deref, DerefMut};
use typed::TypedKind;

// The files of the kinds are declared by this table; `cargo xtask lint` formats them too.
kinds! {
    distance::Distance, "A distance between two features, or of one from the origin of the frame.";
    wall::Wall, "The material between two features: from surface to surface.";
    coaxiality::Coaxiality, "Two round features about one axis.";
    perpendicularity::Perpendicularity, "An edge square to another one.";
    parallelism::Parallelism, "A face parallel to the one that carries the part.";
    flatness::Flatness, "A face between two parallel planes.";
    bolt_circle::BoltCircle, "Holes on a circle.";
    polar::PolarPosition, "The place of a feature by its radius and angle from a centre.";
}
