//! Parts that several screens use.

mod field;
mod room;
mod window;

pub(crate) use field::{Choice, Field, NumberField, TextArea};
pub(crate) use room::room;
pub(crate) use window::Window;
