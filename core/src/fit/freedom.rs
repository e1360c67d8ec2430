//! What the frame itself leaves free.

/// How the pattern may turn as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Turn {
    /// As it likes.
    Free,
    /// Not at all.
    Locked,
    /// By no more than this either way, rad, at least 0.
    Within(f64),
}

/// How the pattern may move as a whole, besides what the bounds allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Freedom {
    /// Whether the origin of the drawing's frame may move along x.
    pub x: bool,
    /// Whether the origin of the drawing's frame may move along y.
    pub y: bool,
    /// Rotation about the origin of the drawing's frame.
    pub turn: Turn,
}

impl Freedom {
    /// Nothing but the bounds holds the pattern.
    pub const FREE: Self = Self { x: true, y: true, turn: Turn::Free };
    /// The pattern may be moved, but not turned.
    pub const SLIDING: Self = Self { x: true, y: true, turn: Turn::Locked };
    /// The pattern is judged where it is.
    pub const LOCKED: Self = Self { x: false, y: false, turn: Turn::Locked };
}

impl Default for Freedom {
    fn default() -> Self {
        Self::FREE
    }
}
