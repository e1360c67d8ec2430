//! Parts that several screens use.

mod check;
mod field;
mod next_frame;
mod room;
mod window;

pub(crate) use check::Check;
pub(crate) use field::{BareField, Choice, Field, KeptText, NumberField, TextArea};
pub(crate) use next_frame::NextFrame;
pub(crate) use room::room;
pub(crate) use window::Window;
