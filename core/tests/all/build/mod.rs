//! Jobs in a few words: features with what is asked of them, the plan, and readings.
//!
//! Lengths are millimetres in the drawing's frame unless a function says otherwise. A feature is
//! built with what the drawing asks of it and with what it really is ([`Made`]); a [`Part`] holds a
//! job and what its features really are, and is read by [`crate::simulate`].

mod feature;
mod part;
mod position;
mod verbs;

pub(crate) use feature::{Made, face, hole, slot};
pub(crate) use part::{Part, Truth, face_on};
pub(crate) use position::{Ask, composite, position};
pub(crate) use verbs::{Build, Found, Read, from, reading};
