//! Pictures of the part, as marks.
//!
//! - [`standing`]: the part as it stands on the plate, with the touch that comes next;
//! - [`pattern`]: the part as the drawing shows it, numbered, with the deviations of its
//!   features drawn many times larger;
//! - [`zone`]: the zone of one feature, and where its axis lies in it;
//! - [`gauge`]: a pattern as its functional gauge sees it, before and after its common shift;
//! - [`callout_frames`]: callouts as the drawing shows them.
//!
//! Only how things are drawn lives here; what is drawn was worked out before.

mod balloon;
mod callout;
mod gauge;
mod lean;
mod pattern;
mod room;
mod scale;
mod shape;
mod standing;
mod vectors;
mod zone;

#[cfg(test)]
mod tests;

pub use callout::callout_frames;
pub(crate) use callout::{frame_cells, is_composite};
pub use gauge::{Gauge, gauge};
pub use lean::{LEAN_SIZE, lean, lean_end, lean_says, lean_words};
pub use pattern::{Balloons, Layout, Pattern, PatternOptions, pattern};
pub use standing::{
    Detail, NextTouch, Stand, StandingOptions, carried_by, standing, stands_in_words, up_words,
    zero_words,
};
pub use vectors::Vectors;
pub(crate) use zone::names_segment;
pub use zone::{zone, zone_lettered};
